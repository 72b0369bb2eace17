//! What a drawing draws, flat and in millimetres: lines, arcs and circles, each with its entity.

use std::f64::consts::{PI, TAU};

use super::entity::Name;
use crate::geometry::{Bounds, Point, Segment, Tolerance, Turning, Vector};

/// A curve of a drawing.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stroke<'d> {
    pub(super) curve: Curve,
    /// What drew it.
    pub(super) of: &'d Name,
    /// Which of the model's layers it is on.
    pub(super) layer: usize,
}

/// A line, or an arc counter-clockwise of up to a full turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Curve {
    Line {
        start: Point,
        end: Point,
    },
    Arc {
        centre: Point,
        radius: f64,
        start: Point,
        end: Point,
        /// Angle of its start about the centre, radians.
        from: f64,
        /// How far it goes from there, more than 0 and at most a full turn.
        sweep: f64,
    },
}

impl Curve {
    pub(super) fn arc(centre: Point, radius: f64, from: f64, sweep: f64) -> Self {
        let whole = sweep >= TAU - Tolerance::ROUNDING;
        let (from, sweep) = if whole { (0.0, TAU) } else { (from, sweep) };
        let start = centre.polar(radius, from);
        Self::Arc {
            centre,
            radius,
            start,
            end: if whole {
                start
            } else {
                centre.polar(radius, from + sweep)
            },
            from,
            sweep,
        }
    }

    pub(super) fn of_segment(segment: &Segment) -> Self {
        match *segment {
            Segment::Line { start, end } => Self::Line { start, end },
            Segment::Arc {
                start,
                end,
                centre,
                radius,
                turning,
            } => {
                let (start, end) = match turning {
                    Turning::Left => (start, end),
                    Turning::Right => (end, start),
                };
                Self::Arc {
                    centre,
                    radius,
                    start,
                    end,
                    from: (start - centre).angle(),
                    sweep: segment.sweep().abs(),
                }
            }
        }
    }

    pub(super) const fn start(&self) -> Point {
        match self {
            Self::Line { start, .. } | Self::Arc { start, .. } => *start,
        }
    }

    pub(super) const fn end(&self) -> Point {
        match self {
            Self::Line { end, .. } | Self::Arc { end, .. } => *end,
        }
    }

    pub(super) fn length(&self) -> f64 {
        match self {
            Self::Line { start, end } => start.distance(*end),
            Self::Arc { radius, sweep, .. } => radius * sweep,
        }
    }

    /// Centre and radius of a full circle.
    pub(super) fn circle(&self) -> Option<(Point, f64)> {
        match self {
            Self::Arc {
                centre,
                radius,
                sweep,
                ..
            } if *sweep >= TAU - Tolerance::ROUNDING => Some((*centre, *radius)),
            _ => None,
        }
    }

    pub(super) fn bounds(&self) -> Bounds {
        if let Some((centre, radius)) = self.circle() {
            let reach = Vector::new(radius, radius);
            return Bounds::around([centre + -reach, centre + reach]);
        }
        let bounds = self.segments().into_iter().map(|it| it.bounds());
        bounds.fold(Bounds::EMPTY, Bounds::union)
    }

    /// The same as pieces of a contour, from its start to its end.
    pub(super) fn segments(&self) -> Vec<Segment> {
        match *self {
            Self::Line { start, end } => vec![Segment::Line { start, end }],
            Self::Arc {
                centre,
                radius,
                start,
                end,
                from,
                sweep,
            } => {
                let arc = |start, end| Segment::Arc {
                    start,
                    end,
                    centre,
                    radius,
                    turning: Turning::Left,
                };
                if sweep <= PI {
                    return vec![arc(start, end)];
                }
                let middle = centre.polar(radius, from + sweep / 2.0);
                vec![arc(start, middle), arc(middle, end)]
            }
        }
    }
}
