//! What an edge runs along: an endless line or a whole circle, with a direction.
//!
//! The kernel keeps the curve an edge was first given, however often the edge is split, so that
//! splitting never moves it and a radius stays as asked.

use super::{Point, Segment, Turning, Vector};

/// A directed line or circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Curve {
    /// The line through a point in a unit direction.
    Line { origin: Point, direction: Vector },
    /// A circle run one way.
    Circle {
        centre: Point,
        radius: f64,
        turning: Turning,
    },
}

impl Curve {
    /// The endless line or whole circle that a piece is of; `None` of a line without length.
    pub(super) fn carrying(segment: &Segment) -> Option<Self> {
        match *segment {
            Segment::Line { start, end } => Some(Self::Line {
                origin: start,
                direction: (end - start).unit()?,
            }),
            Segment::Arc {
                centre,
                radius,
                turning,
                ..
            } => Some(Self::Circle {
                centre,
                radius,
                turning,
            }),
        }
    }

    /// The same run the other way.
    pub(super) fn reversed(self) -> Self {
        match self {
            Self::Line { origin, direction } => Self::Line {
                origin,
                direction: -direction,
            },
            Self::Circle {
                centre,
                radius,
                turning,
            } => Self::Circle {
                centre,
                radius,
                turning: turning.reversed(),
            },
        }
    }

    /// How far a point lies to the left of the curve, mm; negative to the right.
    pub(super) fn left_of(&self, p: Point) -> f64 {
        match *self {
            Self::Line { origin, direction } => direction.cross(p - origin),
            Self::Circle {
                centre,
                radius,
                turning,
            } => (radius - p.distance(centre)) * turning.sign(),
        }
    }

    /// Unit direction of travel beside a point.
    pub(super) fn direction_at(&self, p: Point) -> Vector {
        match *self {
            Self::Line { direction, .. } => direction,
            Self::Circle {
                centre, turning, ..
            } => {
                let outward = (p - centre).unit().unwrap_or(Vector::new(1.0, 0.0));
                outward.left() * turning.sign()
            }
        }
    }

    /// Distance along the curve from beside one point to beside another, mm; on a circle in the
    /// half turns before and after it.
    pub(super) fn along(&self, from: Point, to: Point) -> f64 {
        match *self {
            Self::Line { direction, .. } => direction.dot(to - from),
            Self::Circle {
                centre,
                radius,
                turning,
            } => {
                let (a, b) = (from - centre, to - centre);
                a.turn_to(b) * radius * turning.sign()
            }
        }
    }

    /// Whether a point lies ahead of another along the curve, on a circle in the half turn ahead, or no more than
    /// `slack` mm behind it: [`Self::along`] is not below `-slack`, told without an angle.
    pub(super) fn is_ahead(&self, from: Point, to: Point, slack: f64) -> bool {
        match *self {
            Self::Line { .. } => self.along(from, to) >= -slack,
            Self::Circle {
                centre,
                radius,
                turning,
            } => {
                let (a, b) = (from - centre, to - centre);
                let ahead = a.cross(b) * turning.sign();
                let is_near = || -ahead * radius <= slack * a.length() * b.length();
                ahead >= 0.0 || (a.dot(b) > 0.0 && is_near())
            }
        }
    }

    /// The nearest point on the curve.
    pub(super) fn foot(&self, p: Point) -> Point {
        match *self {
            Self::Line { origin, direction } => origin + direction * direction.dot(p - origin),
            Self::Circle { centre, radius, .. } => {
                centre + (p - centre).unit().unwrap_or(Vector::new(1.0, 0.0)) * radius
            }
        }
    }

    /// The point on the curve half-way between two points less than a half turn apart.
    pub(super) fn middle(&self, a: Point, b: Point) -> Point {
        match *self {
            Self::Line { .. } => self.foot(a.lerp(b, 0.5)),
            Self::Circle { centre, radius, .. } => match ((a - centre) + (b - centre)).unit() {
                Some(outward) => centre + outward * radius,
                None => self.foot(a),
            },
        }
    }

    /// Where the stretch between two points, monotone in y, passes height `y`.
    pub(super) fn x_at(&self, a: Point, b: Point, y: f64) -> f64 {
        if y == a.y {
            return a.x;
        }
        if y == b.y {
            return b.x;
        }
        let x = match *self {
            // The chord, not the line: the ends may have been welded off it.
            Self::Line { .. } => a.x + (y - a.y) * (b.x - a.x) / (b.y - a.y),
            Self::Circle { centre, radius, .. } => {
                let rise = y - centre.y;
                let half = ((radius - rise) * (radius + rise)).max(0.0).sqrt();
                if a.x + b.x >= 2.0 * centre.x {
                    centre.x + half
                } else {
                    centre.x - half
                }
            }
        };
        x.clamp(a.x.min(b.x), a.x.max(b.x))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// What lies ahead is what the angle between says, but for rounding at the very slack.
        #[test]
        fn what_lies_ahead_is_told_as_by_angles(
            radius in 0.1f64..1e4,
            from in -4.0f64..4.0,
            by in prop_oneof![-3.1f64..3.1, -1e-6f64..1e-6, -1e-3f64..1e-3],
            off in -1e-6f64..1e-6,
            slack in prop_oneof![Just(0.0), Just(1e-6), 0.0f64..1e-3],
            is_left in any::<bool>(),
        ) {
            let turning = if is_left { Turning::Left } else { Turning::Right };
            let centre = Point::new(3.0, -7.0);
            let circle = Curve::Circle { centre, radius, turning };
            let line = Curve::Line { origin: centre, direction: Vector::from_angle(from) };
            let (a, b) = (centre.polar(radius, from), centre.polar(radius + off, from + by));
            for curve in [circle, line] {
                let along = curve.along(a, b);
                // The sine stands for its angle: a sixth of its cube apart.
                let apart = 1e-9 * (1.0 + radius * 1e-3) + slack.powi(3) / radius.powi(2);
                prop_assume!((along + slack).abs() > apart);
                prop_assert_eq!(curve.is_ahead(a, b, slack), along >= -slack, "{}", along);
            }
        }
    }
}
