//! Half-edges, and their order around the vertices.
//!
//! A half-edge is an edge in one of its directions: `2 * edge` from tail to head, `2 * edge + 1`
//! back. Near a vertex where edges touch, tangents cannot tell which lies on which side; where the
//! edges run farther on can.

use super::Vector;
use super::arrangement::{Arrangement, Edge};
use super::curve::Curve;
use super::tolerance::Tolerance;

/// The vertex a half-edge starts at.
pub(super) fn tail(edges: &[Edge], half: usize) -> usize {
    let edge = &edges[half / 2];
    if half.is_multiple_of(2) {
        edge.tail
    } else {
        edge.head
    }
}

/// What a half-edge runs along.
pub(super) fn curve(edges: &[Edge], half: usize) -> Curve {
    let curve = edges[half / 2].curve;
    if half.is_multiple_of(2) {
        curve
    } else {
        curve.reversed()
    }
}

/// Half-edges in order around each vertex.
pub(super) struct Rotation {
    /// Outgoing half-edges of all vertices, counter-clockwise around each.
    outgoing: Vec<usize>,
    /// Where those of each vertex start; one more at the end.
    start: Vec<usize>,
    /// The place of each half-edge among the outgoing.
    place: Vec<usize>,
}

impl Rotation {
    pub(super) fn of(arrangement: &Arrangement, tolerance: &Tolerance) -> Self {
        let (edges, vertices) = (&arrangement.edges, &arrangement.vertices);
        let mut start = vec![0; vertices.len() + 1];
        for half in 0..2 * edges.len() {
            start[tail(edges, half) + 1] += 1;
        }
        for i in 1..start.len() {
            start[i] += start[i - 1];
        }
        let mut fill = start.clone();
        let mut outgoing = vec![0; 2 * edges.len()];
        for half in 0..2 * edges.len() {
            let vertex = tail(edges, half);
            outgoing[fill[vertex]] = half;
            fill[vertex] += 1;
        }
        let mut order = Vec::new();
        for span in start.windows(2) {
            order_around(
                arrangement,
                &mut outgoing[span[0]..span[1]],
                &mut order,
                tolerance,
            );
        }
        let mut place = vec![0; outgoing.len()];
        for (i, &half) in outgoing.iter().enumerate() {
            place[half] = i;
        }
        Self {
            outgoing,
            start,
            place,
        }
    }

    pub(super) fn around(&self, vertex: usize) -> &[usize] {
        &self.outgoing[self.start[vertex]..self.start[vertex + 1]]
    }

    /// The next half-edge clockwise of one around the vertex it starts at.
    pub(super) fn clockwise(&self, arrangement: &Arrangement, half: usize) -> usize {
        let vertex = tail(&arrangement.edges, half);
        let (first, end) = (self.start[vertex], self.start[vertex + 1]);
        let place = self.place[half];
        self.outgoing[if place == first { end - 1 } else { place - 1 }]
    }
}

/// A direction as a number that grows counter-clockwise: quarter turns from +x, in (-2, 2].
fn bearing(v: Vector) -> f64 {
    let share = v.x / (v.x.abs() + v.y.abs());
    if v.y < 0.0 { share - 1.0 } else { 1.0 - share }
}

/// The bearing of a half-edge where it starts.
pub(super) fn bearing_of(arrangement: &Arrangement, half: usize) -> f64 {
    let at = arrangement.vertices[tail(&arrangement.edges, half)];
    bearing(curve(&arrangement.edges, half).direction_at(at))
}

/// Sorts the half-edges that leave a vertex counter-clockwise.
fn order_around(
    arrangement: &Arrangement,
    outgoing: &mut [usize],
    order: &mut Vec<(f64, usize)>,
    tolerance: &Tolerance,
) {
    if outgoing.len() < 2 {
        return;
    }
    order.clear();
    order.extend(
        outgoing
            .iter()
            .map(|&half| (bearing_of(arrangement, half), half)),
    );
    order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    // Cut the circle in its widest gap, so that near directions are neighbours in the list.
    let gap = |i: usize| (order[(i + 1) % order.len()].0 - order[i].0).rem_euclid(4.0);
    let widest = (0..order.len()).max_by(|&i, &j| gap(i).total_cmp(&gap(j)));
    let first = widest.map_or(0, |i| (i + 1) % order.len());
    order.rotate_left(first);
    let base = order[0].0;
    for half in order.iter_mut() {
        half.0 = (half.0 - base).rem_euclid(4.0);
    }
    // Of near directions, where the edges run decides. Insertion, because such comparisons need
    // not be transitive.
    for i in 1..order.len() {
        let mut j = i;
        while j > 0
            && order[j].0 - order[j - 1].0 < tolerance.near_direction
            && lead(arrangement, order[j].1, order[j - 1].1) < 0.0
        {
            let (earlier, later) = (order[j - 1], order[j]);
            order[j - 1] = (earlier.0, later.1);
            order[j] = (later.0, earlier.1);
            j -= 1;
        }
    }
    for (half, ordered) in outgoing.iter_mut().zip(order) {
        *half = ordered.1;
    }
}

/// How far half-edge `a` runs to the left of `b` where they, leaving one vertex, are farthest apart
/// on their common length.
pub(super) fn lead(arrangement: &Arrangement, a: usize, b: usize) -> f64 {
    let (edges, vertices) = (&arrangement.edges, &arrangement.vertices);
    let at = vertices[tail(edges, a)];
    let (to_a, to_b) = (vertices[tail(edges, a ^ 1)], vertices[tail(edges, b ^ 1)]);
    let (curve_a, curve_b) = (curve(edges, a), curve(edges, b));
    let farther = |x: f64, y: f64| if y.abs() > x.abs() { y } else { x };
    if at.distance(to_a) <= at.distance(to_b) {
        let end = curve_b.left_of(curve_a.foot(to_a));
        farther(end, curve_b.left_of(curve_a.middle(at, to_a)))
    } else {
        let end = -curve_a.left_of(curve_b.foot(to_b));
        farther(end, -curve_a.left_of(curve_b.middle(at, to_b)))
    }
}
