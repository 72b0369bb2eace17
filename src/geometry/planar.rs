//! The faces of an arrangement, and what each source winds around them.
//!
//! In: an arrangement. Out: for every side of every edge the face it looks into, and for every
//! face how often each source winds around it. Windings follow from one another across the edges,
//! so that a near-tangency cannot be judged one way here and another way there; that the order of
//! the edges around the vertices is truly that of a plane is checked (Euler's formula), as is that
//! every edge parts two faces by just what runs along it.
//!
//! A half-edge is an edge in one of its directions: `2 * edge` from tail to head, `2 * edge + 1`
//! back. Its face lies on its left.

use super::arrangement::{Arrangement, Edge, envelope, index_of, root_of, unite};
use super::curve::Curve;
use super::tolerance::Tolerance;
use super::{Bounds, Point, Unresolved, Vector};

/// Faces as closed walks, and the windings around them.
#[derive(Debug)]
pub(super) struct PlanarMap {
    /// The half-edge that follows each along its face.
    pub(super) next: Vec<usize>,
    /// The walk each half-edge belongs to. A face with holes in it has several walks.
    pub(super) walk: Vec<usize>,
    /// How many walks there are.
    pub(super) walks: usize,
    /// The walks of one and the same face, as a set with a parent for each walk; the last, one
    /// more than there are walks, is the face around everything.
    face: Vec<usize>,
    /// Windings of every source for each walk.
    windings: Vec<i32>,
    sources: usize,
}

/// Half-edges in order around each vertex.
struct Fans {
    /// Outgoing half-edges of all vertices, counter-clockwise around each.
    spokes: Vec<usize>,
    /// Where those of each vertex start; one more at the end.
    start: Vec<usize>,
    /// The place of each half-edge among the spokes.
    place: Vec<usize>,
}

impl PlanarMap {
    /// The map of an arrangement, or why it is not one.
    pub(super) fn of(arrangement: &Arrangement, tolerance: &Tolerance) -> Result<Self, Unresolved> {
        let fans = Fans::of(arrangement, tolerance);
        let next: Vec<usize> = (0..2 * arrangement.edges.len())
            .map(|half| fans.clockwise(arrangement, half ^ 1))
            .collect();
        let (walk, walks) = walks_of(&next);
        let mut map = Self {
            next,
            walk,
            walks,
            face: (0..=walks).collect(),
            windings: vec![0; (walks + 1) * arrangement.sources],
            sources: arrangement.sources,
        };
        let islands = Islands::of(arrangement, &fans);
        map.check_euler(arrangement, &islands)?;
        map.wind(arrangement, &islands);
        map.check_windings(arrangement)?;
        Ok(map)
    }

    /// The windings of each source around the face of a walk.
    pub(super) fn windings(&self, walk: usize) -> &[i32] {
        &self.windings[walk * self.sources..(walk + 1) * self.sources]
    }

    /// The face around everything, as a walk without half-edges.
    pub(super) fn around(&self) -> usize {
        self.walks
    }

    /// The sets of walks that bound one face.
    pub(super) fn faces(&self) -> Vec<usize> {
        self.face.clone()
    }

    fn check_euler(&self, arrangement: &Arrangement, islands: &Islands) -> Result<(), Unresolved> {
        let (corners, edges) = (islands.vertices, arrangement.edges.len());
        if corners + self.walks == edges + 2 * islands.list.len() {
            Ok(())
        } else {
            Err(Unresolved("edges cross where none should".into()))
        }
    }

    /// Windings of every walk: from the face around each island inwards.
    fn wind(&mut self, arrangement: &Arrangement, islands: &Islands) {
        let mut known = vec![false; self.walks];
        let mut entry = vec![usize::MAX; self.walks];
        for (half, &walk) in self.walk.iter().enumerate() {
            entry[walk] = entry[walk].min(half);
        }
        let outsides: Vec<(usize, usize)> = islands.nested(arrangement, &self.walk, self.walks);
        for (walk, surrounding) in outsides {
            unite(&mut self.face, walk, surrounding);
            self.copy_windings(surrounding, walk, &[], 0);
            known[walk] = true;
            let mut pending = vec![walk];
            while let Some(walk) = pending.pop() {
                let mut half = entry[walk];
                loop {
                    let across = self.walk[half ^ 1];
                    if !known[across] {
                        // Leaving the left of a half-edge loses what runs along it.
                        let sign = if half.is_multiple_of(2) { -1 } else { 1 };
                        self.copy_windings(walk, across, &arrangement.edges[half / 2].runs, sign);
                        known[across] = true;
                        pending.push(across);
                    }
                    half = self.next[half];
                    if half == entry[walk] {
                        break;
                    }
                }
            }
        }
    }

    fn copy_windings(&mut self, from: usize, to: usize, runs: &[(usize, i32)], sign: i32) {
        let n = self.sources;
        self.windings.copy_within(from * n..(from + 1) * n, to * n);
        for &(source, run) in runs {
            self.windings[to * n + source] += sign * run;
        }
    }

    fn check_windings(&self, arrangement: &Arrangement) -> Result<(), Unresolved> {
        for (i, edge) in arrangement.edges.iter().enumerate() {
            let left = self.windings(self.walk[2 * i]);
            let right = self.windings(self.walk[2 * i + 1]);
            let runs = |source| {
                let run = edge.runs.iter().find(|run| run.0 == source);
                run.map_or(0, |run| run.1)
            };
            if (0..self.sources).any(|s| left[s] - right[s] != runs(s)) {
                return Err(Unresolved("an outline does not close".into()));
            }
        }
        Ok(())
    }
}

/// The closed walks of half-edges, numbered by their first.
fn walks_of(next: &[usize]) -> (Vec<usize>, usize) {
    let mut walk = vec![usize::MAX; next.len()];
    let mut count = 0;
    for first in 0..next.len() {
        if walk[first] != usize::MAX {
            continue;
        }
        let mut half = first;
        while walk[half] == usize::MAX {
            walk[half] = count;
            half = next[half];
        }
        count += 1;
    }
    (walk, count)
}

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

impl Fans {
    fn of(arrangement: &Arrangement, tolerance: &Tolerance) -> Self {
        let (edges, vertices) = (&arrangement.edges, &arrangement.vertices);
        let mut start = vec![0; vertices.len() + 1];
        for half in 0..2 * edges.len() {
            start[tail(edges, half) + 1] += 1;
        }
        for i in 1..start.len() {
            start[i] += start[i - 1];
        }
        let mut fill = start.clone();
        let mut spokes = vec![0; 2 * edges.len()];
        for half in 0..2 * edges.len() {
            let vertex = tail(edges, half);
            spokes[fill[vertex]] = half;
            fill[vertex] += 1;
        }
        let mut fan = Vec::new();
        for span in start.windows(2) {
            order_fan(
                arrangement,
                &mut spokes[span[0]..span[1]],
                &mut fan,
                tolerance,
            );
        }
        let mut place = vec![0; spokes.len()];
        for (i, &half) in spokes.iter().enumerate() {
            place[half] = i;
        }
        Self {
            spokes,
            start,
            place,
        }
    }

    fn around(&self, vertex: usize) -> &[usize] {
        &self.spokes[self.start[vertex]..self.start[vertex + 1]]
    }

    /// The next spoke clockwise of a half-edge around the vertex it starts at.
    fn clockwise(&self, arrangement: &Arrangement, half: usize) -> usize {
        let vertex = tail(&arrangement.edges, half);
        let (first, end) = (self.start[vertex], self.start[vertex + 1]);
        let place = self.place[half];
        self.spokes[if place == first { end - 1 } else { place - 1 }]
    }
}

/// A direction as a number that grows counter-clockwise: quarter turns from +x, in (-2, 2].
fn bearing(v: Vector) -> f64 {
    let share = v.x / (v.x.abs() + v.y.abs());
    if v.y < 0.0 { share - 1.0 } else { 1.0 - share }
}

fn bearing_of(arrangement: &Arrangement, half: usize) -> f64 {
    let at = arrangement.vertices[tail(&arrangement.edges, half)];
    bearing(curve(&arrangement.edges, half).direction_at(at))
}

/// Sorts the half-edges that leave a vertex counter-clockwise.
fn order_fan(
    arrangement: &Arrangement,
    spokes: &mut [usize],
    fan: &mut Vec<(f64, usize)>,
    tolerance: &Tolerance,
) {
    if spokes.len() < 2 {
        return;
    }
    fan.clear();
    fan.extend(
        spokes
            .iter()
            .map(|&half| (bearing_of(arrangement, half), half)),
    );
    fan.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    // Cut the circle in its widest gap, so that near directions are neighbours in the list.
    let gap = |i: usize| (fan[(i + 1) % fan.len()].0 - fan[i].0).rem_euclid(4.0);
    let widest = (0..fan.len()).max_by(|&i, &j| gap(i).total_cmp(&gap(j)));
    let first = widest.map_or(0, |i| (i + 1) % fan.len());
    fan.rotate_left(first);
    let base = fan[0].0;
    for spoke in fan.iter_mut() {
        spoke.0 = (spoke.0 - base).rem_euclid(4.0);
    }
    // Of near directions, where the edges run decides. Insertion, because such comparisons need
    // not be transitive.
    for i in 1..fan.len() {
        let mut j = i;
        while j > 0
            && fan[j].0 - fan[j - 1].0 < tolerance.near_direction
            && lead(arrangement, fan[j].1, fan[j - 1].1) < 0.0
        {
            let (earlier, later) = (fan[j - 1], fan[j]);
            fan[j - 1] = (earlier.0, later.1);
            fan[j] = (later.0, earlier.1);
            j -= 1;
        }
    }
    for (spoke, ordered) in spokes.iter_mut().zip(fan) {
        *spoke = ordered.1;
    }
}

/// How far half-edge `a` runs to the left of `b` where they, leaving one vertex, are farthest apart
/// on their common length.
fn lead(arrangement: &Arrangement, a: usize, b: usize) -> f64 {
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

/// The connected parts of the graph.
struct Islands {
    /// Of each: its leftmost vertex and the spoke whose left is the outside there, from left to
    /// right.
    list: Vec<(usize, usize)>,
    /// The island of each vertex, as a set with a parent for each.
    set: Vec<usize>,
    /// How many vertices have edges.
    vertices: usize,
}

impl Islands {
    fn of(arrangement: &Arrangement, fans: &Fans) -> Self {
        let points = &arrangement.vertices;
        let mut set: Vec<usize> = (0..points.len()).collect();
        for edge in &arrangement.edges {
            unite(&mut set, edge.tail, edge.head);
        }
        let mut leftmost = vec![usize::MAX; points.len()];
        let mut vertices = 0;
        let before = |p: Point, q: Point| p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y)).is_lt();
        for vertex in 0..points.len() {
            let island = root_of(&mut set, vertex);
            set[vertex] = island;
            if fans.around(vertex).is_empty() {
                continue;
            }
            vertices += 1;
            let best = leftmost[island];
            if best == usize::MAX || before(points[vertex], points[best]) {
                leftmost[island] = vertex;
            }
        }
        let mut list: Vec<(usize, usize)> = leftmost
            .into_iter()
            .filter(|&vertex| vertex != usize::MAX)
            .map(|vertex| (vertex, outward_spoke(arrangement, fans.around(vertex))))
            .collect();
        list.sort_by(|a, b| points[a.0].x.total_cmp(&points[b.0].x).then(a.0.cmp(&b.0)));
        Self {
            list,
            set,
            vertices,
        }
    }

    /// For each island the walk around its outside and the walk of the face it lies in.
    fn nested(
        &self,
        arrangement: &Arrangement,
        walk: &[usize],
        around: usize,
    ) -> Vec<(usize, usize)> {
        if self.list.len() < 2 {
            return self
                .list
                .iter()
                .map(|island| (walk[island.1], around))
                .collect();
        }
        let (edges, points) = (&arrangement.edges, &arrangement.vertices);
        let boxes = edges
            .iter()
            .map(|e| Bounds::around([points[e.tail], points[e.head]]));
        let index = index_of(boxes);
        let left_end = points.iter().fold(0.0, |low: f64, p| low.min(p.x)) - 1.0;
        self.list
            .iter()
            .map(|&(vertex, spoke)| {
                let p = points[vertex];
                let ray = Bounds::around([Point::new(left_end, p.y), p]);
                let hit = index
                    .locate_in_envelope_intersecting(envelope(ray))
                    .map(|found| found.data)
                    .filter(|&e| self.set[edges[e].tail] != self.set[vertex])
                    .filter_map(|e| Hit::of(arrangement, e, p))
                    .reduce(|best, hit| best.nearer(hit, arrangement));
                (walk[spoke], hit.map_or(around, |hit| walk[hit.downward]))
            })
            .collect()
    }
}

/// The spoke of an island's leftmost vertex that has the outside on its left: the gap that follows
/// it holds the direction of -x.
fn outward_spoke(arrangement: &Arrangement, spokes: &[usize]) -> usize {
    let bearings: Vec<f64> = spokes
        .iter()
        .map(|&half| bearing_of(arrangement, half))
        .collect();
    // The spokes start after their widest gap; near directions may be out of order by a rounding,
    // which must not count as a full turn.
    let mut gaps: Vec<f64> = bearings
        .windows(2)
        .map(|pair| (pair[1] - pair[0] + 0.5).rem_euclid(4.0) - 0.5)
        .collect();
    gaps.push(4.0 - gaps.iter().sum::<f64>());
    let depth = |i: usize| {
        let to_west = (2.0 - bearings[i]).rem_euclid(4.0);
        to_west.min(gaps[i] - to_west)
    };
    let best = (0..spokes.len()).max_by(|&i, &j| depth(i).total_cmp(&depth(j)));
    spokes[best.expect("a vertex of an island has edges")]
}

/// An edge that a ray to the left runs into.
#[derive(Debug, Clone, Copy)]
struct Hit {
    x: f64,
    /// The half-edge that runs down, its face on the side the ray comes from.
    downward: usize,
}

impl Hit {
    /// Where the ray from `p` to the left, raised by a hair, meets an edge.
    fn of(arrangement: &Arrangement, edge: usize, p: Point) -> Option<Self> {
        let Edge {
            tail, head, curve, ..
        } = &arrangement.edges[edge];
        let (a, b) = (arrangement.vertices[*tail], arrangement.vertices[*head]);
        let (low, high) = (a.y.min(b.y), a.y.max(b.y));
        if !(low <= p.y && p.y < high) {
            return None;
        }
        let x = curve.x_at(a, b, p.y);
        let downward = if a.y > b.y { 2 * edge } else { 2 * edge + 1 };
        (x < p.x).then_some(Self { x, downward })
    }

    /// The one met first; of two that leave the same vertex, the more clockwise.
    fn nearer(self, other: Self, arrangement: &Arrangement) -> Self {
        if self.x != other.x {
            return if other.x > self.x { other } else { self };
        }
        let (a, b) = (self.downward ^ 1, other.downward ^ 1);
        let (bearing_a, bearing_b) = (bearing_of(arrangement, a), bearing_of(arrangement, b));
        let apart = if (bearing_a - bearing_b).abs() < Tolerance::default().near_direction {
            lead(arrangement, a, b)
        } else {
            bearing_a - bearing_b
        };
        if apart > 0.0 { other } else { self }
    }
}
