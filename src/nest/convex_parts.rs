//! A polygon as convex parts.
//!
//! In: a simple polygon, counter-clockwise. Out: convex polygons that together cover it exactly. Two
//! convex parts that are apart have a line between them, which makes small moves of many shapes at
//! once a matter of linear bounds.

use std::collections::HashSet;

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
    let triangles = triangles(outline);
    let sides = triangles
        .iter()
        .flat_map(|[a, b, c]| [(*a, *b), (*b, *c), (*c, *a)]);
    let both: HashSet<(usize, usize)> = sides.clone().collect();
    let mut cuts: Vec<(usize, usize)> = sides
        .filter(|(a, b)| a < b && both.contains(&(*b, *a)))
        .collect();
    let mut parts: Vec<Vec<usize>> = triangles.iter().map(|it| it.to_vec()).collect();
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
fn triangles(outline: &[Point]) -> Vec<[usize; 3]> {
    let mut left: Vec<usize> = (0..outline.len()).collect();
    let corners = |left: &[usize], k: usize| {
        let n = left.len();
        [left[(k + n - 1) % n], left[k], left[(k + 1) % n]]
    };
    let looked_at = |left: &[usize], k: usize| Ear::at(outline, left, corners(left, k));
    let mut ears: Vec<Ear> = (0..left.len()).map(|k| looked_at(&left, k)).collect();
    let mut triangles = Vec::new();
    while left.len() > 3 {
        let open = ears.iter().enumerate().filter_map(|(k, ear)| match ear {
            Ear::Open(roundness) => Some((k, *roundness)),
            Ear::Bent | Ear::Holds(_) => None,
        });
        let roundest = open.max_by(|a, b| a.1.total_cmp(&b.1));
        // A simple polygon always has an ear; rounding may hide it, then any corner must do.
        let k = roundest.map_or(0, |(k, _)| k);
        triangles.push(corners(&left, k));
        let gone = left.remove(k);
        ears.remove(k);
        // What changes: the ears at its neighbours, and those that only it kept closed.
        let n = left.len();
        let beside = [(k + n - 1) % n, k % n];
        for (k, ear) in ears.iter_mut().enumerate() {
            if beside.contains(&k) || *ear == Ear::Holds(gone) {
                *ear = looked_at(&left, k);
            }
        }
    }
    triangles.extend(<[usize; 3]>::try_from(left));
    triangles
}

/// A corner of what is left of an outline, with its neighbours.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Ear {
    /// Nothing is in the way: how far from a sliver it is.
    Open(f64),
    /// It bends inward.
    Bent,
    /// It holds another corner.
    Holds(usize),
}

impl Ear {
    fn at(outline: &[Point], left: &[usize], corners: [usize; 3]) -> Self {
        let [p, q, r] = corners.map(|i| outline[i]);
        let turn = (q - p).cross(r - q);
        if turn < 0.0 {
            return Self::Bent;
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
        match left.iter().find(|i| holds(outline[**i])) {
            Some(held) => Self::Holds(*held),
            None => Self::Open(turn / longest),
        }
    }
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

    /// What is remembered of ears is what a look at every one of them would tell each time.
    #[test]
    fn ears_are_clipped_as_if_each_were_looked_at_anew() {
        let anew = |outline: &[Point]| {
            let mut left: Vec<usize> = (0..outline.len()).collect();
            let mut triangles = Vec::new();
            while left.len() > 3 {
                let n = left.len();
                let corners = |k: usize| [left[(k + n - 1) % n], left[k], left[(k + 1) % n]];
                let open = (0..n).filter_map(|k| match Ear::at(outline, &left, corners(k)) {
                    Ear::Open(roundness) => Some((k, roundness)),
                    Ear::Bent | Ear::Holds(_) => None,
                });
                let roundest = open.max_by(|a, b| a.1.total_cmp(&b.1));
                let k = roundest.map_or(0, |(k, _)| k);
                triangles.push(corners(k));
                left.remove(k);
            }
            triangles.extend(<[usize; 3]>::try_from(left));
            triangles
        };
        for (corners, waves, deep) in [(3, 1, 0.0), (24, 12, 0.5), (61, 7, 0.8), (90, 5, 0.3)] {
            let outline: Polygon = (0..corners)
                .map(|i| {
                    let turn = f64::from(i) / f64::from(corners) * std::f64::consts::TAU;
                    let reach = 30.0 * (1.0 + deep * (turn * f64::from(waves)).cos());
                    Point::ORIGIN.polar(reach, turn)
                })
                .collect();
            assert_eq!(triangles(&outline), anew(&outline), "{corners}, {waves}");
        }
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
