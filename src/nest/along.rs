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

    /// The other one.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::X => Self::Y,
            Self::Y => Self::X,
        }
    }

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

/// The part of a polygon beyond the line where the coordinate along is `cut` (Sutherland and Hodgman,
/// 1974).
pub(crate) fn beyond(polygon: &[Point], along: Along, cut: f64) -> Polygon {
    let mut kept = Vec::with_capacity(polygon.len() + 2);
    for (i, &p) in polygon.iter().enumerate() {
        let next = polygon[(i + 1) % polygon.len()];
        let (here, there) = (along.of(p), along.of(next));
        if here >= cut {
            kept.push(p);
        }
        if (here >= cut) != (there >= cut) {
            let meeting = p.lerp(next, (cut - here) / (there - here));
            kept.push(match along {
                Along::X => Point::new(cut, meeting.y),
                Along::Y => Point::new(meeting.x, cut),
            });
        }
    }
    kept
}

/// The part of a polygon short of the line where the coordinate along is `end`.
pub(crate) fn short_of(polygon: &[Point], along: Along, end: f64) -> Polygon {
    let turned = |p: &Point| Point::new(-p.x, -p.y);
    let points: Vec<Point> = polygon.iter().map(turned).collect();
    beyond(&points, along, -end).iter().map(turned).collect()
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

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

    #[test]
    fn a_polygon_is_cut_along_a_line() {
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        let square = square.map(|(x, y)| Point::new(x, y));
        assert_relative_eq!(polygon::signed_area(&beyond(&square, Along::X, 4.0)), 60.0);
        assert_relative_eq!(polygon::signed_area(&beyond(&square, Along::X, 11.0)), 0.0);
        assert_relative_eq!(polygon::signed_area(&beyond(&square, Along::Y, 7.0)), 30.0);
        // A U lying on its side, cut across both legs: two strips of 2 by 4.
        let u = [
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 2.0),
            (2.0, 2.0),
            (2.0, 8.0),
            (10.0, 8.0),
            (10.0, 10.0),
            (0.0, 10.0),
        ];
        let u = u.map(|(x, y)| Point::new(x, y));
        assert_relative_eq!(polygon::signed_area(&beyond(&u, Along::X, 6.0)), 16.0);
    }
}
