//! Plain measures of simple polygons.
//!
//! In: points in order, not closed by repeating the first, mm. Out: areas, hulls, distances, and
//! polygons with fewer vertices that hold the given one. Nothing here knows about pieces or sheets.

use super::Polygon;
use crate::elementary;
use crate::geometry::{Bounds, Point, Vector, lines_cross};

/// Signed area, mm²: positive counter-clockwise.
pub(crate) fn signed_area(polygon: &[Point]) -> f64 {
    let Some(first) = polygon.first() else {
        return 0.0;
    };
    edges(polygon)
        .map(|(a, b)| (a - *first).cross(b - *first))
        .sum::<f64>()
        / 2.0
}

/// Every edge, from each point to the next and from the last to the first.
pub(crate) fn edges(polygon: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    (0..polygon.len()).map(|i| (polygon[i], polygon[(i + 1) % polygon.len()]))
}

/// The smallest box around it.
pub(crate) fn bounds(polygon: &[Point]) -> Bounds {
    Bounds::around(polygon.iter().copied())
}

/// The same polygon run counter-clockwise, without repeated points. `None` if it bounds no area or
/// has a coordinate that is not a number.
pub(crate) fn cleaned(polygon: &[Point]) -> Option<Polygon> {
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
pub(crate) fn diameter(polygon: &[Point]) -> f64 {
    let hull = hull(polygon);
    hull.iter()
        .flat_map(|a| hull.iter().map(move |b| distance(*a, *b)))
        .fold(0.0, f64::max)
}

/// The distance of the nearest two parallel lines that hold a convex polygon between them, mm: one of
/// them lies along a side.
pub(super) fn least_width(hull: &[Point]) -> f64 {
    let across = |(a, b): (Point, Point)| {
        let along = b - a;
        let doubled = hull.iter().map(|p| along.cross(*p - a).abs());
        doubled.fold(0.0, f64::max) / length(along)
    };
    edges(hull).map(across).fold(f64::INFINITY, f64::min)
}

/// Whether a point lies inside the loop, whichever way it runs.
pub(crate) fn encloses(polygon: &[Point], p: Point) -> bool {
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
    square_to_stretch(p, a, b).sqrt()
}

/// The square of the distance of a point from a stretch of line, mm².
pub(super) fn square_to_stretch(p: Point, a: Point, b: Point) -> f64 {
    let along = b - a;
    let square = along.dot(along);
    let share = if square > 0.0 {
        ((p - a).dot(along) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let apart = a + along * share - p;
    apart.dot(apart)
}

/// Distance of two points, mm; plain, since it is worked out millions of times.
pub(crate) fn distance(a: Point, b: Point) -> f64 {
    length(b - a)
}

/// Length of a vector, mm; without the care for huge and tiny numbers that takes ten times as long.
pub(super) fn length(v: Vector) -> f64 {
    v.dot(v).sqrt()
}

/// Distance of a point from the nearest edge, mm.
pub(crate) fn distance_to_edges(polygon: &[Point], p: Point) -> f64 {
    edges(polygon)
        .map(|(a, b)| distance_to_stretch(p, a, b))
        .fold(f64::INFINITY, f64::min)
}

/// The polygon turned about the origin by `turn` radians, then moved.
pub(crate) fn posed(polygon: &[Point], turn: f64, shift: Vector) -> Polygon {
    let (sin, cos) = elementary::sin_cos(turn);
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

/// How far a simplified outline may lie from the given one, as a share of the side of a square of
/// the same area: keeps a corner between nearly parallel edges from becoming a spike.
const REACH: f64 = 0.01;

/// A polygon with fewer vertices that holds the given one and is larger by at most `share` of its
/// area.
///
/// Two moves only ever grow it: dropping a concave vertex, and replacing an edge between two convex
/// vertices by the meeting point of its neighbours. The cheapest is taken first; none is taken that
/// would run into another part of the outline.
pub(super) fn simplified_outward(polygon: &[Point], share: f64) -> Polygon {
    let mut outline = polygon.to_vec();
    let area = signed_area(polygon).abs();
    let mut spare = area * share;
    let reach = area.sqrt() * REACH;
    let at = |outline: &[Point], i: usize| {
        Simplification::at(outline, i).filter(|step| step.reach <= reach)
    };
    let mut steps: Vec<Option<Simplification>> =
        (0..outline.len()).map(|i| at(&outline, i)).collect();
    while outline.len() > 4 {
        let Some((i, step)) = cheapest_clear(&steps, spare, &outline) else {
            break;
        };
        spare -= step.growth;
        step.apply(&mut outline);
        steps.remove(i);
        // A step looks one vertex back and two ahead.
        let n = outline.len();
        for step in steps.iter_mut().skip(i).flatten() {
            step.vertex -= 1;
        }
        for near in [n + i - 2, n + i - 1, n + i, n + i + 1] {
            steps[near % n] = at(&outline, near % n);
        }
    }
    outline
}

/// The step that grows an outline least of those within what there is to spare that run into nothing.
fn cheapest_clear(
    steps: &[Option<Simplification>],
    spare: f64,
    outline: &[Point],
) -> Option<(usize, Simplification)> {
    let mut blocked = vec![false; steps.len()];
    loop {
        let open = steps.iter().enumerate().filter_map(|(i, step)| {
            let step = step.as_ref()?;
            (step.growth <= spare && !blocked[i]).then_some((i, step))
        });
        let (i, step) = open.min_by(|a, b| a.1.growth.total_cmp(&b.1.growth))?;
        if step.is_clear(outline) {
            return Some((i, *step));
        }
        blocked[i] = true;
    }
}

/// One step of [`simplified_outward`].
#[derive(Debug, Clone, Copy)]
struct Simplification {
    /// The vertex that goes.
    vertex: usize,
    /// Where the vertex after it moves, if it does.
    corner: Option<Point>,
    /// Area gained, mm².
    growth: f64,
    /// How far the new outline lies from the old one, mm.
    reach: f64,
}

impl Simplification {
    /// The step that removes vertex `i`, if there is one that grows the outline.
    fn at(outline: &[Point], i: usize) -> Option<Self> {
        let n = outline.len();
        let (before, here, after) = (outline[(i + n - 1) % n], outline[i], outline[(i + 1) % n]);
        let turn = (here - before).cross(after - here);
        if turn <= 0.0 {
            return Some(Self {
                vertex: i,
                corner: None,
                growth: -turn / 2.0,
                reach: distance_to_stretch(here, before, after),
            });
        }
        let beyond = outline[(i + 2) % n];
        let (first, second) = (here - before, beyond - after);
        if (after - here).cross(second) <= 0.0 || first.cross(second) <= 0.0 {
            return None;
        }
        let share = (after - here).cross(second) / first.cross(second);
        let corner = here + first * share;
        Some(Self {
            vertex: i,
            corner: Some(corner),
            growth: (corner - here).cross(after - here).abs() / 2.0,
            reach: distance_to_stretch(corner, here, after),
        })
    }

    /// Whether no other edge reaches into the area gained.
    fn is_clear(&self, outline: &[Point]) -> bool {
        let n = outline.len();
        let (here, after) = (outline[self.vertex], outline[(self.vertex + 1) % n]);
        let tip = self.corner.unwrap_or(outline[(self.vertex + n - 1) % n]);
        let triangle = [tip, here, after];
        let reach = bounds(&triangle);
        let own = |p: Point| triangle.contains(&p);
        edges(outline)
            .filter(|(a, b)| Bounds::around([*a, *b]).meets(reach))
            .all(|(a, b)| {
                (own(a) || !encloses(&triangle, a))
                    && (own(b) || !encloses(&triangle, b))
                    && (own(a) || own(b) || !edges(&triangle).any(|(c, d)| lines_cross(a, b, c, d)))
            })
    }

    fn apply(&self, outline: &mut Polygon) {
        if let Some(corner) = self.corner {
            let after = (self.vertex + 1) % outline.len();
            outline[after] = corner;
        }
        outline.remove(self.vertex);
    }
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

    /// What is remembered of steps is what a look at all of them would tell each time.
    #[test]
    fn an_outline_is_simplified_as_if_each_step_were_looked_at_anew() {
        let anew = |polygon: &[Point], share: f64| {
            let mut outline = polygon.to_vec();
            let area = signed_area(polygon).abs();
            let (mut spare, reach) = (area * share, area.sqrt() * REACH);
            while outline.len() > 4 {
                let steps = (0..outline.len()).filter_map(|i| Simplification::at(&outline, i));
                let within = |step: &Simplification| step.growth <= spare && step.reach <= reach;
                let mut steps: Vec<Simplification> = steps.filter(within).collect();
                steps.sort_by(|a, b| a.growth.total_cmp(&b.growth));
                let Some(step) = steps.into_iter().find(|step| step.is_clear(&outline)) else {
                    break;
                };
                spare -= step.growth;
                step.apply(&mut outline);
            }
            outline
        };
        for (corners, waves, deep) in [(5, 1, 0.0), (48, 1, 0.0), (90, 9, 0.1), (120, 31, 0.6)] {
            let outline: Polygon = (0..corners)
                .map(|i| {
                    let turn = f64::from(i) / f64::from(corners) * std::f64::consts::TAU;
                    let reach = 50.0 * (1.0 + deep * (turn * f64::from(waves)).sin());
                    Point::ORIGIN.polar(reach, turn)
                })
                .collect();
            for share in [0.001, 0.01, 0.2] {
                let simple = simplified_outward(&outline, share);
                assert_eq!(simple, anew(&outline, share), "{corners} {share}");
            }
        }
    }

    #[test]
    fn a_simplified_polygon_holds_the_given_one() {
        let gear: Polygon = (0..90)
            .map(|i| {
                let reach = 50.0 * (1.0 + 0.1 * (f64::from(i) * 0.7).sin());
                Point::ORIGIN.polar(reach, f64::from(i) / 90.0 * std::f64::consts::TAU)
            })
            .collect();
        let simple = simplified_outward(&gear, 0.01);
        assert!(simple.len() < gear.len());
        let grown = signed_area(&simple) / signed_area(&gear);
        assert!((1.0..=1.01).contains(&grown), "{grown}");
        for p in &gear {
            assert!(encloses(&simple, *p) || distance_to_edges(&simple, *p) < 1e-9);
        }
    }
}
