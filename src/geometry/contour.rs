//! A closed chain of lines and arcs.

use super::tolerance::Tolerance;
use super::{Bounds, Point, Pose, Segment, Turning};
use crate::elementary;

/// A circle: centre and radius in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circle {
    /// Its centre.
    pub centre: Point,
    /// Its radius, mm.
    pub radius: f64,
}

/// A closed chain of lines and arcs that does not cross itself.
///
/// Guaranteed: every segment ends where the next starts (the last where the first starts), none has
/// zero length, no arc sweeps more than a half turn.
#[derive(Debug, Clone, PartialEq)]
pub struct Contour {
    segments: Vec<Segment>,
}

impl Contour {
    /// A chain that the caller knows to be closed; arcs of more than a half turn are split and
    /// zero-length segments dropped. `None` if nothing is left or the chain is not closed.
    #[must_use]
    pub fn new(segments: Vec<Segment>) -> Option<Self> {
        let mut kept: Vec<Segment> = Vec::with_capacity(segments.len() + 2);
        for segment in segments {
            if segment.length() <= 0.0 {
                continue;
            }
            match segment {
                Segment::Arc {
                    start,
                    end,
                    centre,
                    radius,
                    turning,
                } if segment.sweep().abs() > std::f64::consts::PI + Tolerance::ROUNDING => {
                    let middle = segment.point_at(0.5);
                    kept.push(Segment::Arc {
                        start,
                        end: middle,
                        centre,
                        radius,
                        turning,
                    });
                    kept.push(Segment::Arc {
                        start: middle,
                        end,
                        centre,
                        radius,
                        turning,
                    });
                }
                other => kept.push(other),
            }
        }
        let closed = !kept.is_empty()
            && (0..kept.len()).all(|i| {
                kept[i].end().distance(kept[(i + 1) % kept.len()].start()) < Tolerance::SAME
            });
        closed.then_some(Self { segments: kept })
    }

    /// A whole circle, counter-clockwise, as two half turns.
    #[must_use]
    pub fn circle(centre: Point, radius: f64) -> Self {
        let (right, left) = (
            Point::new(centre.x + radius, centre.y),
            Point::new(centre.x - radius, centre.y),
        );
        let half = |start, end| Segment::Arc {
            start,
            end,
            centre,
            radius,
            turning: Turning::Left,
        };
        Self {
            segments: vec![half(right, left), half(left, right)],
        }
    }

    /// The polygon through some points; `None` with fewer than three or with all on one spot.
    #[must_use]
    pub fn polygon(points: &[Point]) -> Option<Self> {
        if points.len() < 3 {
            return None;
        }
        let next = |i: usize| points[(i + 1) % points.len()];
        Self::new(
            points
                .iter()
                .enumerate()
                .map(|(i, p)| Segment::Line {
                    start: *p,
                    end: next(i),
                })
                .collect(),
        )
    }

    /// A contour from vertices `(x, y, bulge to the next)`; `None` if degenerate.
    #[must_use]
    pub fn from_bulges(vertices: &[(f64, f64, f64)]) -> Option<Self> {
        let at = |i: usize| {
            Point::new(
                vertices[i % vertices.len()].0,
                vertices[i % vertices.len()].1,
            )
        };
        Self::new(
            (0..vertices.len())
                .map(|i| Segment::from_bulge(at(i), at(i + 1), vertices[i].2))
                .collect(),
        )
    }

    /// Its pieces in order.
    #[must_use]
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// The centre of the circle it is, or the middle of the box around anything else.
    #[must_use]
    pub fn middle(&self) -> Point {
        self.as_circle()
            .map_or_else(|| self.bounds().centre(), |circle| circle.centre)
    }

    /// The circle it is, if every piece lies on one.
    #[must_use]
    pub fn as_circle(&self) -> Option<Circle> {
        let Some(Segment::Arc { centre, radius, .. }) = self.segments.first() else {
            return None;
        };
        let same = self.segments.iter().all(|segment| {
            matches!(segment, Segment::Arc { centre: c, radius: r, .. } if c.distance(*centre) < Tolerance::SAME && (r - radius).abs() < Tolerance::SAME)
        });
        let turn: f64 = self.segments.iter().map(Segment::sweep).sum();
        (same && (turn.abs() - std::f64::consts::TAU).abs() < Tolerance::SAME).then_some(Circle {
            centre: *centre,
            radius: *radius,
        })
    }

    /// Signed area, mm²: positive counter-clockwise. Exact for lines and arcs (Green's theorem).
    #[must_use]
    pub fn signed_area(&self) -> f64 {
        let origin = self.segments[0].start();
        self.segments
            .iter()
            .map(|segment| {
                let (a, b) = (segment.start() - origin, segment.end() - origin);
                let bow = match segment {
                    Segment::Line { .. } => 0.0,
                    Segment::Arc { radius, .. } => {
                        let sweep = segment.sweep();
                        radius * radius * (sweep - elementary::sin(sweep)) / 2.0
                    }
                };
                a.cross(b) / 2.0 + bow
            })
            .sum()
    }

    /// Length around it, mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.segments.iter().map(Segment::length).sum()
    }

    /// The smallest box around it.
    #[must_use]
    pub fn bounds(&self) -> Bounds {
        self.segments.iter().fold(Bounds::EMPTY, |bounds, segment| {
            bounds.union(segment.bounds())
        })
    }

    /// The same chain run the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        Self {
            segments: self.segments.iter().rev().map(Segment::reversed).collect(),
        }
    }

    /// The same chain run so that its area has this sign: counter-clockwise if positive.
    #[must_use]
    pub(crate) fn with_sense(&self, sign: f64) -> Self {
        if self.signed_area() * sign < 0.0 {
            self.reversed()
        } else {
            self.clone()
        }
    }

    /// The chain moved. A mirrored pose also reverses it, so that it keeps its sense of turning.
    #[must_use]
    pub fn posed(&self, pose: &Pose) -> Self {
        let moved = Self {
            segments: self
                .segments
                .iter()
                .map(|segment| segment.posed(pose))
                .collect(),
        };
        if pose.mirrored {
            moved.reversed()
        } else {
            moved
        }
    }
}
