//! A piece of a contour: a straight line or a circular arc.

use super::{Bounds, Point, Pose, Tolerance, Vector};
use crate::elementary;

/// Which way an arc runs about its centre.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turning {
    /// Counter-clockwise.
    Left,
    /// Clockwise.
    Right,
}

impl Turning {
    /// The way of an angle: counter-clockwise, if it is more than 0.
    #[must_use]
    pub fn of(angle: f64) -> Self {
        if angle > 0.0 { Self::Left } else { Self::Right }
    }

    /// How an angle that way counts: 1 counter-clockwise, -1 clockwise.
    #[must_use]
    pub const fn sign(self) -> f64 {
        match self {
            Self::Left => 1.0,
            Self::Right => -1.0,
        }
    }

    /// The other way.
    #[must_use]
    pub const fn reversed(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

/// A straight line or a circular arc with a direction.
///
/// An arc carries its centre and radius as first given, so that a fillet keeps exactly the radius
/// asked; its sweep is more than 0 and at most a half turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Segment {
    /// A straight line.
    Line {
        /// Where it starts, mm.
        start: Point,
        /// Where it ends, mm.
        end: Point,
    },
    /// A circular arc.
    Arc {
        /// Where it starts, mm.
        start: Point,
        /// Where it ends, mm.
        end: Point,
        /// Its centre, mm.
        centre: Point,
        /// Its radius, mm.
        radius: f64,
        /// Which way it runs.
        turning: Turning,
    },
}

impl Segment {
    /// Where it starts.
    #[must_use]
    pub const fn start(&self) -> Point {
        match self {
            Self::Line { start, .. } | Self::Arc { start, .. } => *start,
        }
    }

    /// Where it ends.
    #[must_use]
    pub const fn end(&self) -> Point {
        match self {
            Self::Line { end, .. } | Self::Arc { end, .. } => *end,
        }
    }

    /// Signed sweep of an arc in radians, positive counter-clockwise; 0 for a line.
    #[must_use]
    pub fn sweep(&self) -> f64 {
        match self {
            Self::Line { .. } => 0.0,
            Self::Arc {
                start,
                end,
                centre,
                turning,
                ..
            } => {
                let (a, b) = (*start - *centre, *end - *centre);
                let turn = a.turn_to(b);
                match turning {
                    Turning::Left if turn <= 0.0 => turn + std::f64::consts::TAU,
                    Turning::Right if turn >= 0.0 => turn - std::f64::consts::TAU,
                    _ => turn,
                }
            }
        }
    }

    /// Length along it, mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        match self {
            Self::Line { start, end } => start.distance(*end),
            Self::Arc { radius, .. } => radius * self.sweep().abs(),
        }
    }

    /// Its start and places on from it, evenly along and no more than `step` mm apart; without its end.
    pub(crate) fn paced(&self, step: f64) -> impl Iterator<Item = Point> + '_ {
        let steps = (self.length() / step).ceil().max(1.0);
        (0..steps as u32).map(move |k| self.point_at(f64::from(k) / steps))
    }

    /// The point a share `t` of its length along: 0 at the start, 1 at the end.
    #[must_use]
    pub fn point_at(&self, t: f64) -> Point {
        match self {
            Self::Line { start, end } => start.lerp(*end, t),
            Self::Arc {
                start,
                centre,
                radius,
                ..
            } => centre.polar(*radius, (*start - *centre).angle() + self.sweep() * t),
        }
    }

    /// The stretch of it between two shares of its length; its own ends stay as they are.
    pub(crate) fn between(&self, from: f64, to: f64) -> Self {
        let at = |share: f64| match share {
            share if share <= 0.0 => self.start(),
            share if share >= 1.0 => self.end(),
            share => self.point_at(share),
        };
        let (start, end) = (at(from), at(to));
        match *self {
            Self::Line { .. } => Self::Line { start, end },
            Self::Arc {
                centre,
                radius,
                turning,
                ..
            } => Self::Arc {
                start,
                end,
                centre,
                radius,
                turning,
            },
        }
    }

    /// The unit direction of travel a share `t` of its length along.
    #[must_use]
    pub fn direction_at(&self, t: f64) -> Vector {
        match self {
            Self::Line { start, end } => (*end - *start).unit().unwrap_or_default(),
            Self::Arc {
                start,
                centre,
                turning,
                ..
            } => {
                let outward = Vector::from_angle((*start - *centre).angle() + self.sweep() * t);
                outward.left() * turning.sign()
            }
        }
    }

    /// The same piece run the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        match *self {
            Self::Line { start, end } => Self::Line {
                start: end,
                end: start,
            },
            Self::Arc {
                start,
                end,
                centre,
                radius,
                turning,
            } => Self::Arc {
                start: end,
                end: start,
                centre,
                radius,
                turning: turning.reversed(),
            },
        }
    }

    /// The piece moved.
    #[must_use]
    pub fn posed(&self, pose: &Pose) -> Self {
        match *self {
            Self::Line { start, end } => Self::Line {
                start: pose.point(start),
                end: pose.point(end),
            },
            Self::Arc {
                start,
                end,
                centre,
                radius,
                turning,
            } => Self::Arc {
                start: pose.point(start),
                end: pose.point(end),
                centre: pose.point(centre),
                radius,
                turning: if pose.mirrored {
                    turning.reversed()
                } else {
                    turning
                },
            },
        }
    }

    /// `tan(sweep / 4)`, the DXF bulge: positive counter-clockwise, 0 for a line.
    #[must_use]
    pub fn bulge(&self) -> f64 {
        elementary::tan(self.sweep() / 4.0)
    }

    /// The segment between two points with a DXF bulge; a bulge of (nearly) 0 gives a line.
    ///
    /// Centre = midpoint + (1 - b²)/(4b) · left normal of the chord (DXF group code 42).
    #[must_use]
    pub fn from_bulge(start: Point, end: Point, bulge: f64) -> Self {
        if bulge.abs() < Tolerance::NOTHING {
            return Self::Line { start, end };
        }
        let chord = end - start;
        let centre = start.lerp(end, 0.5) + chord.left() * ((1.0 - bulge * bulge) / (4.0 * bulge));
        let radius = chord.length() * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
        let turning = Turning::of(bulge);
        Self::Arc {
            start,
            end,
            centre,
            radius,
            turning,
        }
    }

    /// The smallest box around it.
    #[must_use]
    pub fn bounds(&self) -> Bounds {
        let ends = Bounds::around([self.start(), self.end()]);
        let Self::Arc { centre, radius, .. } = self else {
            return ends;
        };
        let outermost = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
        outermost
            .map(|(x, y)| Vector::new(x, y))
            .into_iter()
            .filter(|out| self.faces(*out))
            .fold(ends, |bounds, out| {
                bounds.including(*centre + out * *radius)
            })
    }

    /// Whether an arc lies this way from its centre; a line lies every way.
    #[must_use]
    #[inline]
    pub(super) fn faces(&self, out: Vector) -> bool {
        let Some((first, last)) = self.span() else {
            return true;
        };
        if first.cross(last) < 0.0 {
            // More than a half turn, if only by rounding: all but what lies from its end to its start.
            last.cross(out) <= 0.0 || out.cross(first) <= 0.0
        } else {
            first.cross(out) >= 0.0 && out.cross(last) >= 0.0
        }
    }

    /// Whether an arc sweeps more than a half turn.
    #[must_use]
    pub fn is_large(&self) -> bool {
        self.span()
            .is_some_and(|(first, last)| first.cross(last) < 0.0)
    }

    /// From the centre of an arc to its two ends, counter-clockwise from the first to the last; `None`
    /// for a line.
    fn span(&self) -> Option<(Vector, Vector)> {
        let Self::Arc {
            start,
            end,
            centre,
            turning,
            ..
        } = self
        else {
            return None;
        };
        let ends = (*start - *centre, *end - *centre);
        Some(match turning {
            Turning::Left => ends,
            Turning::Right => (ends.1, ends.0),
        })
    }
}
