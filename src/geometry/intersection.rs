//! Where two curves cross or touch.
//!
//! Curves that come within the touch tolerance of tangency meet in the one point of tangency:
//! the two crossings beside it are ill-conditioned, and what lies between them is thinner than the
//! tolerance.

use super::curve::Curve;
use super::{Point, Vector};

/// At most two points, kept without allocation.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Crossings {
    points: [Point; 2],
    count: usize,
}

impl Crossings {
    pub(super) const NONE: Self = Self {
        points: [Point::ORIGIN; 2],
        count: 0,
    };

    fn one(p: Point) -> Self {
        Self {
            points: [p, p],
            count: 1,
        }
    }

    fn two(p: Point, q: Point) -> Self {
        Self {
            points: [p, q],
            count: 2,
        }
    }

    pub(super) fn as_slice(&self) -> &[Point] {
        &self.points[..self.count]
    }
}

/// The common points of two curves; none if they coincide or run parallel.
pub(super) fn crossings(a: &Curve, b: &Curve, touch: f64) -> Crossings {
    match (*a, *b) {
        (
            Curve::Line { origin, direction },
            Curve::Line {
                origin: other,
                direction: across,
            },
        ) => lines(origin, direction, other, across),
        (Curve::Line { origin, direction }, Curve::Circle { centre, radius, .. })
        | (Curve::Circle { centre, radius, .. }, Curve::Line { origin, direction }) => {
            line_and_circle(origin, direction, centre, radius, touch)
        }
        (
            Curve::Circle { centre, radius, .. },
            Curve::Circle {
                centre: other,
                radius: size,
                ..
            },
        ) => circles(centre, radius, other, size, touch),
    }
}

fn lines(origin: Point, direction: Vector, other: Point, across: Vector) -> Crossings {
    let cross = direction.cross(across);
    let along = (other - origin).cross(across) / cross;
    if along.is_finite() {
        Crossings::one(origin + direction * along)
    } else {
        Crossings::NONE
    }
}

fn line_and_circle(
    origin: Point,
    direction: Vector,
    centre: Point,
    radius: f64,
    touch: f64,
) -> Crossings {
    let left = direction.cross(centre - origin).abs();
    let foot = origin + direction * direction.dot(centre - origin);
    if left > radius + touch {
        return Crossings::NONE;
    }
    if left > radius - touch {
        return Crossings::one(foot);
    }
    let half = direction * ((radius - left) * (radius + left)).sqrt();
    Crossings::two(foot - half, foot + half)
}

fn circles(c: Point, r: f64, d: Point, s: f64, touch: f64) -> Crossings {
    let apart = d - c;
    let distance = apart.length();
    if distance + (r - s).abs() <= touch {
        return Crossings::NONE;
    }
    let Some(toward) = apart.unit() else {
        return Crossings::NONE;
    };
    let (outer_gap, inner_gap) = (distance - (r + s), (r - s).abs() - distance);
    if outer_gap > touch || inner_gap > touch {
        return Crossings::NONE;
    }
    if outer_gap >= -touch {
        return Crossings::one(c + toward * (r + outer_gap / 2.0));
    }
    if inner_gap >= -touch {
        let (middle, from, outward) = if r >= s {
            (r - inner_gap / 2.0, c, toward)
        } else {
            (s - inner_gap / 2.0, d, -toward)
        };
        return Crossings::one(from + outward * middle);
    }
    // Heron's product keeps its digits where the circles are nearly tangent.
    let along = f64::midpoint(distance, (r - s) * ((r + s) / distance));
    let product = (r + s + distance) * -outer_gap * (distance + r - s) * (distance - r + s);
    let half = toward.left() * (product.max(0.0).sqrt() / (2.0 * distance));
    let foot = c + toward * along;
    Crossings::two(foot - half, foot + half)
}
