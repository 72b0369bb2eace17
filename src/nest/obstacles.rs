//! What the search may not touch on a sheet: the corners of an odd outline, and spots to avoid.
//!
//! In: a usable area and spots to avoid, as the sheet is looked at. Out: the box around the area, and
//! shapes that fill what of the box is no room.

use std::sync::Arc;

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;

use super::placed::PlacedShape;
use super::prepared::PreparedPiece;
use super::rigid_shape::RigidShape;
use super::search::SearchShape;
use super::{Polygon, Rotation, polygon};
use crate::geometry::{Bounds, Point};

/// How far the corners reach beyond the box, as a share of its longer side: what lies across the edge
/// of the area then overlaps something thick.
const BEYOND: f64 = 0.1;
/// Corners smaller than this share of the box are rounding.
const ROUNDING: f64 = 1e-9;

/// A box and what is not room in it.
#[derive(Debug)]
pub(super) struct FixedObstacles {
    pub(super) frame: Bounds,
    fixed: Vec<SearchShape>,
}

impl FixedObstacles {
    pub(super) fn new(usable: &[Point], avoid: &[Polygon]) -> Self {
        let frame = polygon::bounds(usable);
        let shapes = corners(usable, frame)
            .into_iter()
            .chain(avoid.iter().filter_map(|spot| polygon::cleaned(spot)));
        let kind = |outline: Polygon| {
            SearchShape::new(&PreparedPiece {
                shape: Arc::new(RigidShape::new(&outline, &[])),
                rotation: Rotation::Steps(vec![0.0]),
            })
        };
        Self {
            frame,
            fixed: shapes.map(kind).collect(),
        }
    }

    /// The shapes, each where it lies.
    pub(super) fn fixed(&self) -> Vec<(&SearchShape, PlacedShape)> {
        let placed = |kind: &SearchShape| PlacedShape {
            shape: kind.rotated(0.0),
            at: kind.shape.centre,
        };
        self.fixed.iter().map(|kind| (kind, placed(kind))).collect()
    }
}

/// What of the box, and a little around it, lies outside the area: cut into quarters, so that no
/// piece of it goes all the way round.
fn corners(usable: &[Point], frame: Bounds) -> Vec<Polygon> {
    let full = frame.width() * frame.height();
    if full - polygon::signed_area(usable).abs() <= full * ROUNDING {
        return Vec::new();
    }
    let contour =
        |points: &[Point]| -> Vec<[f64; 2]> { points.iter().map(|p| [p.x, p.y]).collect() };
    let outer = frame.grown(BEYOND * frame.width().max(frame.height()));
    let middle = frame.centre();
    let mut corners = Vec::new();
    for (x, y) in [
        (outer.min.x, outer.min.y),
        (outer.max.x, outer.min.y),
        (outer.max.x, outer.max.y),
        (outer.min.x, outer.max.y),
    ] {
        let quarter = Bounds::around([Point::new(x, y), middle]);
        let quarter = [
            quarter.min,
            Point::new(quarter.max.x, quarter.min.y),
            quarter.max,
            Point::new(quarter.min.x, quarter.max.y),
        ];
        let shapes = vec![contour(&quarter)].overlay(
            &vec![contour(usable)],
            OverlayRule::Difference,
            FillRule::NonZero,
        );
        corners.extend(shapes.iter().filter_map(|shape| {
            let points: Polygon = shape
                .first()?
                .iter()
                .map(|[x, y]| Point::new(*x, *y))
                .collect();
            let outline = polygon::cleaned(&points)?;
            (polygon::signed_area(&outline) > full * ROUNDING).then_some(outline)
        }));
    }
    corners
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_has_no_corners_and_a_disc_four() {
        let square =
            [(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)].map(|(x, y)| Point::new(x, y));
        assert_eq!(FixedObstacles::new(&square, &[]).fixed().len(), 0);
        let disc: Polygon = (0..40)
            .map(|i| Point::ORIGIN.polar(50.0, f64::from(i) / 40.0 * std::f64::consts::TAU))
            .collect();
        let obstacles = FixedObstacles::new(&disc, &[square.to_vec()]);
        assert_eq!(obstacles.fixed().len(), 5);
        let area: f64 = obstacles
            .fixed()
            .iter()
            .map(|(kind, _)| kind.shape.area)
            .sum();
        let outer = 120.0 * 120.0;
        assert!(
            (area - 81.0 - (outer - polygon::signed_area(&disc))).abs() < 1e-3,
            "{area}"
        );
    }
}
