//! Sheets are used up along their longer side, so that what is left is one short wide piece.
//!
//! The placing code always works along x from the left. A sheet that is taller than wide is turned a
//! quarter for it, clockwise, and what was placed is turned back.

use std::f64::consts::FRAC_PI_2;

use super::Polygon;
use crate::geometry::{Bounds, Point, Pose, Vector};

/// The side that a sheet is used up along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Along {
    /// Along x, from the left: it is looked at as it is.
    X,
    /// Along y, from below: it is looked at turned a quarter clockwise.
    Y,
}

impl Along {
    /// Both of them, by their [`Along::index`].
    pub(super) const ALL: [Self; 2] = [Self::X, Self::Y];

    /// The longer side of a sheet with its edges within these bounds.
    #[must_use]
    pub fn longer(bounds: Bounds) -> Self {
        if bounds.height() > bounds.width() {
            Self::Y
        } else {
            Self::X
        }
    }

    /// The coordinate that runs this way.
    #[must_use]
    pub const fn of(self, p: Point) -> f64 {
        match self {
            Self::X => p.x,
            Self::Y => p.y,
        }
    }

    pub(super) const fn index(self) -> usize {
        match self {
            Self::X => 0,
            Self::Y => 1,
        }
    }

    /// How far the sheet is turned back in the end, radians.
    pub(super) const fn turn(self) -> f64 {
        match self {
            Self::X => 0.0,
            Self::Y => FRAC_PI_2,
        }
    }

    /// The sheet's polygon as it is looked at.
    pub(super) fn polygon(self, points: &[Point]) -> Polygon {
        match self {
            Self::X => points.to_vec(),
            Self::Y => points.iter().map(|p| Point::new(p.y, -p.x)).collect(),
        }
    }

    /// A pose found as it is looked at, on the sheet itself.
    pub(super) fn pose(self, pose: Pose) -> Pose {
        match self {
            Self::X => pose,
            Self::Y => Pose::new(
                pose.turn + FRAC_PI_2,
                Vector::new(-pose.shift.y, pose.shift.x),
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::polygon;
    use super::*;

    #[test]
    fn what_is_placed_in_a_view_lies_there_on_the_sheet() {
        let tall = [(0.0, 0.0), (3.0, 0.0), (3.0, 9.0), (0.0, 9.0)].map(|(x, y)| Point::new(x, y));
        let along = Along::longer(polygon::bounds(&tall));
        assert_eq!(along, Along::Y);
        let seen = along.polygon(&tall);
        let local = Pose::new(0.3, Vector::new(2.0, -1.0));
        let p = Point::new(0.4, 0.7);
        let on_sheet = along.pose(local).point(p);
        let seen_again = along.polygon(&[on_sheet])[0];
        assert!(seen_again.distance(local.point(p)) < 1e-12);
        assert!(polygon::bounds(&seen).width() > polygon::bounds(&seen).height());
    }
}
