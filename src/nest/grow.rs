//! Polygons grown or shrunk by a distance, never by less.
//!
//! In: a cleaned polygon and a distance, mm. Out: polygons. Arcs about corners are replaced by their
//! tangents, so that the result holds (or, shrunk, stays within) the true offset.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;

use super::{Polygon, polygon};
use crate::elementary;
use crate::geometry::{Point, Vector};

/// The widest turn of an arc that one corner of tangents stands for, radians.
const WIDEST: f64 = 0.35;
/// The overlay engine rounds coordinates to a grid; this much more, mm, makes up for it.
const ROUNDING: f64 = 1e-5;

/// The polygon and everything nearer to it than `distance`; holes that close up are filled.
pub(crate) fn grown(outline: &[Point], distance: f64) -> Polygon {
    if distance <= 0.0 {
        return outline.to_vec();
    }
    let bands = bands(outline, distance + ROUNDING);
    let shapes = vec![contour(outline)].overlay(&bands, OverlayRule::Union, FillRule::NonZero);
    shapes
        .iter()
        .filter_map(|shape| polygon::cleaned(&points(shape.first()?)))
        .max_by(|a, b| polygon::signed_area(a).total_cmp(&polygon::signed_area(b)))
        .unwrap_or_else(|| outline.to_vec())
}

/// What lies within the polygon farther than `distance` from its edge; it may fall apart.
pub(crate) fn shrunk(outline: &[Point], distance: f64) -> Vec<Polygon> {
    if distance <= 0.0 {
        return vec![outline.to_vec()];
    }
    let mut reversed = outline.to_vec();
    reversed.reverse();
    let bands = bands(&reversed, distance + ROUNDING);
    let shapes = vec![contour(outline)].overlay(&bands, OverlayRule::Difference, FillRule::NonZero);
    shapes
        .iter()
        .filter_map(|shape| polygon::cleaned(&points(shape.first()?)))
        .collect()
}

/// One band to the right of every edge, and a wedge at every corner where two bands part.
fn bands(outline: &[Point], distance: f64) -> Vec<Vec<[f64; 2]>> {
    let mut bands = Vec::new();
    let sides: Vec<(Point, Point)> = polygon::edges(outline).collect();
    for (i, (a, b)) in sides.iter().enumerate() {
        let Some(along) = (*b - *a).unit() else {
            continue;
        };
        let out = -along.left() * distance;
        bands.push(contour(&[*a, *a + out, *b + out, *b]));
        let (c, d) = sides[(i + 1) % sides.len()];
        let Some(next) = (d - c).unit() else { continue };
        let turn = along.turn_to(next);
        if turn > 0.0 {
            bands.push(contour(&wedge(*b, out, turn)));
        }
    }
    bands
}

/// The sector about a corner from `out` on over `turn` radians, its arc replaced by tangents.
fn wedge(corner: Point, out: Vector, turn: f64) -> Polygon {
    let parts = (turn / WIDEST).ceil().max(1.0);
    let half = turn / parts / 2.0;
    let start = out.angle();
    let radius = out.length();
    let mut wedge = vec![corner, corner + out];
    wedge.extend((0..parts as usize).map(|k| {
        corner.polar(
            radius / elementary::cos(half),
            start + half * (2 * k + 1) as f64,
        )
    }));
    wedge.push(corner.polar(radius, start + turn));
    wedge
}

fn contour(points: &[Point]) -> Vec<[f64; 2]> {
    points.iter().map(|p| [p.x, p.y]).collect()
}

fn points(contour: &[[f64; 2]]) -> Polygon {
    contour.iter().map(|[x, y]| Point::new(*x, *y)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn growing_holds_the_true_offset_and_hardly_more() {
        let square =
            [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)].map(|(x, y)| Point::new(x, y));
        let exact = 100.0 + 40.0 * 3.0 + std::f64::consts::PI * 9.0;
        let area = polygon::signed_area(&grown(&square, 3.0));
        assert!(area > exact && area < exact * 1.002, "{area} {exact}");
        let inner = shrunk(&square, 3.0);
        assert_eq!(inner.len(), 1);
        assert!((polygon::signed_area(&inner[0]) - 16.0).abs() < 1e-3);
        assert!(shrunk(&square, 6.0).is_empty());
    }

    #[test]
    fn a_waist_narrower_than_the_offset_falls_apart_when_shrunk() {
        let waisted = [
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 4.0),
            (20.0, 4.0),
            (20.0, 0.0),
            (30.0, 0.0),
            (30.0, 10.0),
            (20.0, 10.0),
            (20.0, 6.0),
            (10.0, 6.0),
            (10.0, 10.0),
            (0.0, 10.0),
        ]
        .map(|(x, y)| Point::new(x, y));
        assert_eq!(shrunk(&waisted, 1.5).len(), 2);
    }
}
