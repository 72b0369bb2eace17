//! Where a plate lies: mirrored or not, turned, then moved.

use super::{Point, Vector};

/// A rigid move: mirror about the y axis (x becomes -x) if asked, then turn about the origin, then
/// move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// Whether the plate is flipped left for right before it is turned.
    pub mirrored: bool,
    /// Turn about the origin, radians counter-clockwise.
    pub turn: f64,
    /// Move after the turn, mm.
    pub shift: Vector,
}

impl Pose {
    /// Leaves everything where it is.
    pub const IDENTITY: Self = Self {
        mirrored: false,
        turn: 0.0,
        shift: Vector::new(0.0, 0.0),
    };

    /// A turn about the origin in radians, then a move in mm.
    #[must_use]
    pub const fn new(turn: f64, shift: Vector) -> Self {
        Self {
            mirrored: false,
            turn,
            shift,
        }
    }

    /// A move in mm.
    #[must_use]
    pub const fn shifted(shift: Vector) -> Self {
        Self {
            mirrored: false,
            turn: 0.0,
            shift,
        }
    }

    /// Where a point goes.
    #[must_use]
    pub fn point(&self, p: Point) -> Point {
        let v = self.vector(p - Point::ORIGIN);
        Point::new(v.x + self.shift.x, v.y + self.shift.y)
    }

    /// Where a direction goes.
    #[must_use]
    pub fn vector(&self, v: Vector) -> Vector {
        let x = if self.mirrored { -v.x } else { v.x };
        Vector::new(x, v.y).turned(self.turn)
    }

    /// The pose that does this one first and `next` after it.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        let turn = if next.mirrored {
            next.turn - self.turn
        } else {
            next.turn + self.turn
        };
        let shift = next.point(Point::ORIGIN + self.shift) - Point::ORIGIN;
        Self {
            mirrored: self.mirrored != next.mirrored,
            turn,
            shift,
        }
    }
}
