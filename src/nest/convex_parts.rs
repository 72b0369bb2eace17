//! A polygon as convex parts.
//!
//! In: a simple polygon, counter-clockwise. Out: convex polygons that together cover it exactly. Two
//! convex parts that are apart have a line between them, which makes small moves of many shapes at
//! once a matter of linear bounds.

use super::{Polygon, polygon};
use crate::geometry::Point;

/// Corners that bend inward by less than this sine count as straight.
const STRAIGHT: f64 = 1e-9;

/// One convex part.
#[derive(Debug, Clone)]
pub(super) struct ConvexPart {
    /// Its corners, counter-clockwise.
    pub(super) corners: Polygon,
    /// Whether the side from each corner to the next is a side of the whole polygon.
    pub(super) outer: Vec<bool>,
}

/// The convex parts: ears are cut off one by one, then joined again across the longest cuts that
/// leave a convex part.
pub(super) fn convex_parts(outline: &[Point]) -> Vec<ConvexPart> {
    let mut parts: Vec<Vec<usize>> = triangles(outline);
    let mut cuts: Vec<(usize, usize)> = Vec::new();
    for part in &parts {
        for k in 0..3 {
            let (a, b) = (part[k], part[(k + 1) % 3]);
            if a < b && parts.iter().any(|other| has_side(other, b, a)) {
                cuts.push((a, b));
            }
        }
    }
    let length = |(a, b): &(usize, usize)| polygon::distance(outline[*a], outline[*b]);
    cuts.sort_by(|p, q| length(q).total_cmp(&length(p)));
    for (a, b) in cuts {
        let left = parts.iter().position(|part| has_side(part, a, b));
        let right = parts.iter().position(|part| has_side(part, b, a));
        if let (Some(left), Some(right)) = (left, right)
            && left != right
        {
            let joined = joined(&parts[left], &parts[right], a, b);
            if is_convex(outline, &joined) {
                parts[left] = joined;
                parts.remove(right);
            }
        }
    }
    parts
        .iter()
        .map(|part| ConvexPart::of(outline, part))
        .collect()
}

impl ConvexPart {
    fn of(outline: &[Point], part: &[usize]) -> Self {
        let n = part.len();
        Self {
            corners: part.iter().map(|i| outline[*i]).collect(),
            outer: (0..n)
                .map(|k| part[(k + 1) % n] == (part[k] + 1) % outline.len())
                .collect(),
        }
    }
}

fn has_side(part: &[usize], a: usize, b: usize) -> bool {
    (0..part.len()).any(|k| part[k] == a && part[(k + 1) % part.len()] == b)
}

/// Two parts joined across the cut from `a` to `b`, which the first runs forward.
fn joined(left: &[usize], right: &[usize], a: usize, b: usize) -> Vec<usize> {
    let from = |part: &[usize], start: usize| -> Vec<usize> {
        let k = part.iter().position(|v| *v == start).unwrap_or(0);
        part[k..].iter().chain(&part[..k]).copied().collect()
    };
    // Left from b round to a, then right from a round to b, without the ends twice.
    let mut joined = from(left, b);
    let other = from(right, a);
    joined.extend(&other[1..other.len() - 1]);
    joined
}

fn is_convex(outline: &[Point], part: &[usize]) -> bool {
    let n = part.len();
    (0..n).all(|k| {
        let corner = |step: usize| outline[part[(k + step) % n]];
        let (u, v) = (corner(1) - corner(0), corner(2) - corner(1));
        u.cross(v) >= -STRAIGHT * polygon::length(u) * polygon::length(v)
    })
}

/// Triangles whose corners are corners of the outline, by ear clipping, the roundest ear first.
fn triangles(outline: &[Point]) -> Vec<Vec<usize>> {
    let mut left: Vec<usize> = (0..outline.len()).collect();
    let mut triangles = Vec::new();
    while left.len() > 3 {
        let n = left.len();
        let ear = (0..n)
            .filter_map(|k| {
                let corners = [left[(k + n - 1) % n], left[k], left[(k + 1) % n]];
                Some((k, roundness(outline, &left, corners)?))
            })
            .max_by(|a, b| a.1.total_cmp(&b.1));
        // A simple polygon always has an ear; rounding may hide it, then any corner must do.
        let k = ear.map_or(0, |(k, _)| k);
        triangles.push(vec![left[(k + n - 1) % n], left[k], left[(k + 1) % n]]);
        left.remove(k);
    }
    triangles.push(left);
    triangles
}

/// How far from a sliver an ear is; `None` if it bends inward or holds another corner.
fn roundness(outline: &[Point], left: &[usize], corners: [usize; 3]) -> Option<f64> {
    let [p, q, r] = corners.map(|i| outline[i]);
    let turn = (q - p).cross(r - q);
    if turn < 0.0 {
        return None;
    }
    let holds = |s: Point| {
        s != p
            && s != q
            && s != r
            && (q - p).cross(s - p) >= 0.0
            && (r - q).cross(s - q) >= 0.0
            && (p - r).cross(s - r) >= 0.0
    };
    let longest = [q - p, r - q, p - r]
        .map(|side| side.dot(side))
        .into_iter()
        .fold(f64::MIN_POSITIVE, f64::max);
    (!left.iter().any(|i| holds(outline[*i]))).then_some(turn / longest)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(parts: &[ConvexPart]) -> f64 {
        parts
            .iter()
            .map(|part| polygon::signed_area(&part.corners))
            .sum()
    }

    #[test]
    fn an_angle_is_two_parts_and_a_square_one() {
        let angle = [
            (0.0, 0.0),
            (9.0, 0.0),
            (9.0, 2.0),
            (2.0, 2.0),
            (2.0, 9.0),
            (0.0, 9.0),
        ]
        .map(|(x, y)| Point::new(x, y));
        let parts = convex_parts(&angle);
        assert_eq!(parts.len(), 2);
        assert!((area(&parts) - 32.0).abs() < 1e-9);
        assert_eq!(
            parts
                .iter()
                .flat_map(|part| &part.outer)
                .filter(|o| !**o)
                .count(),
            2,
            "one cut, seen from both sides"
        );
        let square = [(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)];
        assert_eq!(
            convex_parts(&square.map(|(x, y)| Point::new(x, y))).len(),
            1
        );
    }

    #[test]
    fn the_parts_of_a_star_cover_it() {
        let star: Polygon = (0..24)
            .map(|i| {
                let reach = if i % 2 == 0 { 30.0 } else { 14.0 };
                Point::ORIGIN.polar(reach, f64::from(i) / 24.0 * std::f64::consts::TAU)
            })
            .collect();
        let parts = convex_parts(&star);
        assert!((area(&parts) - polygon::signed_area(&star)).abs() < 1e-9);
        assert!(parts.len() <= 13, "{}", parts.len());
    }
}
