//! Plain measures of simple polygons.
//!
//! In: points in order, not closed by repeating the first, mm. Out: areas, hulls, distances, and
//! polygons with fewer vertices that hold the given one. Nothing here knows about pieces or sheets.

use super::Polygon;
use crate::geometry::{Bounds, Point, Vector};

/// Signed area, mm²: positive counter-clockwise.
pub(super) fn signed_area(polygon: &[Point]) -> f64 {
    let Some(first) = polygon.first() else {
        return 0.0;
    };
    edges(polygon)
        .map(|(a, b)| (a - *first).cross(b - *first))
        .sum::<f64>()
        / 2.0
}

/// Every edge, from each point to the next and from the last to the first.
pub(super) fn edges(polygon: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    (0..polygon.len()).map(|i| (polygon[i], polygon[(i + 1) % polygon.len()]))
}

/// The smallest box around it.
pub(super) fn bounds(polygon: &[Point]) -> Bounds {
    Bounds::around(polygon.iter().copied())
}

/// The same polygon run counter-clockwise, without repeated points. `None` if it bounds no area or
/// has a coordinate that is not a number.
pub(super) fn cleaned(polygon: &[Point]) -> Option<Polygon> {
    if polygon.iter().any(|p| !p.x.is_finite() || !p.y.is_finite()) {
        return None;
    }
    let mut kept: Polygon = Vec::with_capacity(polygon.len());
    for p in polygon {
        if kept.last() != Some(p) {
            kept.push(*p);
        }
    }
    while kept.len() > 1 && kept.first() == kept.last() {
        kept.pop();
    }
    let area = signed_area(&kept);
    if kept.len() < 3 || area == 0.0 {
        return None;
    }
    if area < 0.0 {
        kept.reverse();
    }
    Some(kept)
}

/// The convex hull, counter-clockwise, without points on its edges.
pub(super) fn hull(points: &[Point]) -> Polygon {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    sorted.dedup();
    if sorted.len() < 3 {
        return sorted;
    }
    let chain = |points: &mut dyn Iterator<Item = Point>| {
        let mut chain: Polygon = Vec::new();
        for p in points {
            while chain.len() > 1 {
                let (a, b) = (chain[chain.len() - 2], chain[chain.len() - 1]);
                if (b - a).cross(p - b) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut lower = chain(&mut sorted.iter().copied());
    lower.append(&mut chain(&mut sorted.iter().rev().copied()));
    lower
}

/// The greatest distance between two of its points, mm.
pub(super) fn diameter(polygon: &[Point]) -> f64 {
    let hull = hull(polygon);
    hull.iter()
        .flat_map(|a| hull.iter().map(move |b| a.distance(*b)))
        .fold(0.0, f64::max)
}

/// Whether a point lies inside the loop, whichever way it runs.
pub(super) fn encloses(polygon: &[Point], p: Point) -> bool {
    edges(polygon)
        .filter(|(a, b)| passes_right_of(*a, *b, p))
        .count()
        % 2
        == 1
}

/// Whether a ray from `p` along +x crosses the edge from `a` to `b`.
pub(super) fn passes_right_of(a: Point, b: Point, p: Point) -> bool {
    (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)
}

/// Distance of a point from a stretch of line, mm.
pub(super) fn distance_to_stretch(p: Point, a: Point, b: Point) -> f64 {
    let along = b - a;
    let square = along.dot(along);
    let share = if square > 0.0 {
        ((p - a).dot(along) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    p.distance(a.lerp(b, share))
}

/// Distance of a point from the nearest edge, mm.
pub(super) fn distance_to_edges(polygon: &[Point], p: Point) -> f64 {
    edges(polygon)
        .map(|(a, b)| distance_to_stretch(p, a, b))
        .fold(f64::INFINITY, f64::min)
}

/// The polygon turned about the origin by `turn` radians, then moved.
pub(super) fn posed(polygon: &[Point], turn: f64, shift: Vector) -> Polygon {
    let (sin, cos) = turn.sin_cos();
    polygon
        .iter()
        .map(|p| {
            Point::new(
                p.x * cos - p.y * sin + shift.x,
                p.x * sin + p.y * cos + shift.y,
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hull_of_a_notched_square_is_the_square() {
        let notched = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (2.0, 1.0), (0.0, 4.0)]
            .map(|(x, y)| Point::new(x, y));
        assert_eq!(signed_area(&hull(&notched)), 16.0);
        assert_eq!(signed_area(&notched), 10.0);
        assert!((diameter(&notched) - 32f64.sqrt()).abs() < 1e-12);
    }
}
