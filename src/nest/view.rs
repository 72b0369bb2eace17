//! Sheets are used up along their longer side, so that what is left is one short wide piece.
//!
//! The placing code always works along x from the left. A sheet that is taller than wide is turned a
//! quarter for it, clockwise, and what was placed is turned back.

use std::f64::consts::FRAC_PI_2;

use super::{Polygon, polygon};
use crate::geometry::{Point, Pose, Vector};

/// How a sheet is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum View {
    /// As it is: used up along x, from the left.
    AlongX,
    /// Turned a quarter clockwise: used up along y, from below.
    AlongY,
}

impl View {
    /// Both of them, by their [`View::index`].
    pub(super) const ALL: [Self; 2] = [Self::AlongX, Self::AlongY];

    /// Along the longer side of what is usable.
    pub(super) fn of(usable: &[Point]) -> Self {
        let bounds = polygon::bounds(usable);
        if bounds.height() > bounds.width() {
            Self::AlongY
        } else {
            Self::AlongX
        }
    }

    pub(super) const fn index(self) -> usize {
        match self {
            Self::AlongX => 0,
            Self::AlongY => 1,
        }
    }

    /// How far the sheet is turned back in the end, radians.
    pub(super) const fn turn(self) -> f64 {
        match self {
            Self::AlongX => 0.0,
            Self::AlongY => FRAC_PI_2,
        }
    }

    /// The sheet's polygon as it is looked at.
    pub(super) fn polygon(self, points: &[Point]) -> Polygon {
        match self {
            Self::AlongX => points.to_vec(),
            Self::AlongY => points.iter().map(|p| Point::new(p.y, -p.x)).collect(),
        }
    }

    /// A pose found in the view, on the sheet itself.
    pub(super) fn pose(self, pose: Pose) -> Pose {
        match self {
            Self::AlongX => pose,
            Self::AlongY => Pose::new(
                pose.turn + FRAC_PI_2,
                Vector::new(-pose.shift.y, pose.shift.x),
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_placed_in_a_view_lies_there_on_the_sheet() {
        let tall = [(0.0, 0.0), (3.0, 0.0), (3.0, 9.0), (0.0, 9.0)].map(|(x, y)| Point::new(x, y));
        let view = View::of(&tall);
        assert_eq!(view, View::AlongY);
        let seen = view.polygon(&tall);
        let local = Pose::new(0.3, Vector::new(2.0, -1.0));
        let p = Point::new(0.4, 0.7);
        let on_sheet = view.pose(local).point(p);
        let seen_again = view.polygon(&[on_sheet])[0];
        assert!(seen_again.distance(local.point(p)) < 1e-12);
        assert!(polygon::bounds(&seen).width() > polygon::bounds(&seen).height());
    }
}
