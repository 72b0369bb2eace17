//! Points, vectors and boxes in millimetres.

use std::ops::{Add, Mul, Neg, Sub};

use rstar::AABB;

use crate::elementary;

/// A place in the plane, in mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point {
    /// mm to the right.
    pub x: f64,
    /// mm up.
    pub y: f64,
}

/// A displacement in the plane, in mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Vector {
    /// mm to the right.
    pub x: f64,
    /// mm up.
    pub y: f64,
}

impl Point {
    /// The origin.
    pub const ORIGIN: Self = Self { x: 0.0, y: 0.0 };

    /// A point from its coordinates in mm.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// Distance to another point, mm.
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        (other - self).length()
    }

    /// The point a share `t` of the way to another: 0 here, 1 there.
    #[must_use]
    pub fn lerp(self, other: Self, t: f64) -> Self {
        self + (other - self) * t
    }

    /// The point `radius` mm from this one in the direction `angle`, radians from +x.
    #[must_use]
    pub fn polar(self, radius: f64, angle: f64) -> Self {
        self + Vector::from_angle(angle) * radius
    }
}

impl Vector {
    /// A vector from its components in mm.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The unit vector at an angle in radians from +x, counter-clockwise.
    #[must_use]
    pub fn from_angle(angle: f64) -> Self {
        let (sin, cos) = elementary::sin_cos(angle);
        Self { x: cos, y: sin }
    }

    /// Length, mm.
    #[must_use]
    pub fn length(self) -> f64 {
        // Sizes are far from where squares overflow, and `hypot` takes several times as long.
        self.dot(self).sqrt()
    }

    /// Direction in radians from +x, in (-pi, pi].
    #[must_use]
    pub fn angle(self) -> f64 {
        elementary::atan2(self.y, self.x)
    }

    /// Scalar product.
    #[must_use]
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// z of the cross product: positive if `other` lies counter-clockwise of this.
    #[must_use]
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// How far this turns to point as another does, radians, counter-clockwise positive, at most half a turn.
    #[must_use]
    pub fn turn_to(self, other: Self) -> f64 {
        elementary::atan2(self.cross(other), self.dot(other))
    }

    /// The same turned by an angle, radians, counter-clockwise positive.
    #[must_use]
    pub fn turned(self, angle: f64) -> Self {
        self.turned_by(elementary::sin_cos(angle))
    }

    /// The same turned by an angle of this sine and cosine.
    #[must_use]
    pub fn turned_by(self, (sin, cos): (f64, f64)) -> Self {
        Self {
            x: self.x * cos - self.y * sin,
            y: self.x * sin + self.y * cos,
        }
    }

    /// A quarter turn counter-clockwise.
    #[must_use]
    pub const fn left(self) -> Self {
        Self {
            x: -self.y,
            y: self.x,
        }
    }

    /// The same direction at length one; `None` for a zero vector.
    #[must_use]
    pub fn unit(self) -> Option<Self> {
        let length = self.length();
        (length > 0.0).then(|| self * (1.0 / length))
    }
}

/// Whether two stretches of line cross in their interiors.
pub(crate) fn lines_cross(a: Point, b: Point, c: Point, d: Point) -> bool {
    let side = |p: Point, q: Point, r: Point| (q - p).cross(r - p);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

impl Add<Vector> for Point {
    type Output = Self;
    fn add(self, v: Vector) -> Self {
        Self {
            x: self.x + v.x,
            y: self.y + v.y,
        }
    }
}

impl Sub<Vector> for Point {
    type Output = Self;
    fn sub(self, v: Vector) -> Self {
        Self {
            x: self.x - v.x,
            y: self.y - v.y,
        }
    }
}

impl Sub for Point {
    type Output = Vector;
    fn sub(self, other: Self) -> Vector {
        Vector {
            x: self.x - other.x,
            y: self.y - other.y,
        }
    }
}

impl Add for Vector {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            x: self.x + other.x,
            y: self.y + other.y,
        }
    }
}

impl Sub for Vector {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self {
            x: self.x - other.x,
            y: self.y - other.y,
        }
    }
}

impl Mul<f64> for Vector {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self {
            x: self.x * k,
            y: self.y * k,
        }
    }
}

impl Neg for Vector {
    type Output = Self;
    fn neg(self) -> Self {
        Self {
            x: -self.x,
            y: -self.y,
        }
    }
}

/// A box with sides along the axes, in mm. An empty box has `min` above `max`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Lower left corner.
    pub min: Point,
    /// Upper right corner.
    pub max: Point,
}

impl Bounds {
    /// The same for an index of boxes.
    pub(crate) fn envelope(self) -> AABB<[f64; 2]> {
        AABB::from_corners([self.min.x, self.min.y], [self.max.x, self.max.y])
    }

    /// The box that holds nothing; growing it by a point gives that point.
    pub const EMPTY: Self = Self {
        min: Point::new(f64::INFINITY, f64::INFINITY),
        max: Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
    };

    /// The smallest box around some points.
    #[must_use]
    pub fn around(points: impl IntoIterator<Item = Point>) -> Self {
        points.into_iter().fold(Self::EMPTY, Self::including)
    }

    /// This box grown to hold a point.
    #[must_use]
    pub fn including(self, p: Point) -> Self {
        Self {
            min: Point::new(self.min.x.min(p.x), self.min.y.min(p.y)),
            max: Point::new(self.max.x.max(p.x), self.max.y.max(p.y)),
        }
    }

    /// The smallest box around both.
    #[must_use]
    pub fn union(self, other: Self) -> Self {
        Self {
            min: Point::new(self.min.x.min(other.min.x), self.min.y.min(other.min.y)),
            max: Point::new(self.max.x.max(other.max.x), self.max.y.max(other.max.y)),
        }
    }

    /// This box with every side moved outward by `margin` mm.
    #[must_use]
    pub fn grown(self, margin: f64) -> Self {
        Self {
            min: Point::new(self.min.x - margin, self.min.y - margin),
            max: Point::new(self.max.x + margin, self.max.y + margin),
        }
    }

    /// Whether the two boxes share at least a point.
    #[must_use]
    pub fn meets(self, other: Self) -> bool {
        self.min.x <= other.max.x
            && other.min.x <= self.max.x
            && self.min.y <= other.max.y
            && other.min.y <= self.max.y
    }

    /// Whether `other` lies inside or on this box.
    #[must_use]
    pub fn holds(self, other: Self) -> bool {
        self.min.x <= other.min.x
            && self.max.x >= other.max.x
            && self.min.y <= other.min.y
            && self.max.y >= other.max.y
    }

    /// mm from left to right; negative if empty.
    #[must_use]
    pub fn width(self) -> f64 {
        self.max.x - self.min.x
    }

    /// mm from bottom to top; negative if empty.
    #[must_use]
    pub fn height(self) -> f64 {
        self.max.y - self.min.y
    }

    /// Its corners, counter-clockwise from the lower left one.
    #[must_use]
    pub const fn corners(self) -> [Point; 4] {
        let Self { min, max } = self;
        [min, Point::new(max.x, min.y), max, Point::new(min.x, max.y)]
    }

    /// The middle.
    #[must_use]
    pub fn centre(self) -> Point {
        self.min.lerp(self.max, 0.5)
    }
}
