//! All mutual intersections of the pieces of a scene, welded to vertices and edges.
//!
//! In: a scene. Out: a graph whose edges meet in vertices only. Each edge knows how often each
//! source runs along it; edges that no source runs along in sum are gone. Every source still flows
//! in and out of every vertex alike.

use std::ops::ControlFlow;

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::curve::Curve;
use super::intersection::crossings;
use super::piece::{Piece, Pieces, Scene};
use super::tolerance::Tolerance;
use super::{Bounds, Point, Unresolved};

/// Places where pieces meet that are worked out at most, counted once for each piece: what they make of
/// time and memory stays within seconds and some hundred megabytes.
const MOST_MEETINGS: usize = 1_000_000;
/// Pairs of pieces whose boxes meet that are looked at, at most.
const MOST_PAIRS: usize = 30_000_000;

/// A stretch of a curve between two vertices.
#[derive(Debug, Clone)]
pub(super) struct Edge {
    /// The vertex it starts at.
    pub(super) tail: usize,
    /// The vertex it ends at.
    pub(super) head: usize,
    /// What it runs along, from tail to head.
    pub(super) curve: Curve,
    /// How often each source runs along it, forwards less backwards; none is zero.
    pub(super) runs: Vec<(usize, i32)>,
}

/// Vertices and the edges between them.
#[derive(Debug)]
pub(super) struct Arrangement {
    pub(super) vertices: Vec<Point>,
    pub(super) edges: Vec<Edge>,
    pub(super) sources: usize,
}

/// An index of boxes, each with the number of what it is around.
pub(super) type BoxIndex = RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>;

/// An index over the boxes of things, numbered in order.
pub(super) fn index_of(boxes: impl Iterator<Item = Bounds>) -> BoxIndex {
    RTree::bulk_load(
        boxes
            .enumerate()
            .map(|(i, b)| {
                let corners = Rectangle::from_corners([b.min.x, b.min.y], [b.max.x, b.max.y]);
                GeomWithData::new(corners, i)
            })
            .collect(),
    )
}

/// Looks at everything whose box meets an envelope.
fn meeting(index: &BoxIndex, near: AABB<[f64; 2]>, mut look: impl FnMut(usize)) {
    let seen = |it: &GeomWithData<_, usize>| {
        look(it.data);
        ControlFlow::<()>::Continue(())
    };
    let _ = index.locate_in_envelope_intersecting_int(near, seen);
}

impl Arrangement {
    /// Intersects, splits, welds and merges; or gives up at once on a scene in which too much meets.
    pub(super) fn of(scene: &Scene, tolerance: &Tolerance) -> Result<Self, Unresolved> {
        let mut pieces = scene.pieces(tolerance);
        let index = index_of(pieces.pieces.iter().map(|piece| piece.bounds));
        let given = pieces.points.len();
        let mut stops = meet_all(&mut pieces, &index, tolerance)?;
        let (vertices, vertex_of) = weld(&pieces.points, tolerance.weld);
        for stop in &mut stops {
            stop.1 = vertex_of[stop.1];
        }
        settle(
            &pieces,
            &index,
            &vertices,
            &vertex_of[given..],
            tolerance,
            &mut stops,
        );
        let strokes = split(&pieces, &vertices, &vertex_of, stops);
        let edges = merge(&pieces, &vertices, strokes, tolerance);
        Ok(Self {
            vertices,
            edges,
            sources: scene.sources,
        })
    }
}

/// That a piece passes through a point (later: a vertex).
type Stop = (usize, usize);

/// Where every two pieces meet. Crossings become new points.
fn meet_all(
    pieces: &mut Pieces,
    index: &BoxIndex,
    tolerance: &Tolerance,
) -> Result<Vec<Stop>, Unresolved> {
    let mut stops = Vec::new();
    let mut pairs = 0;
    let Pieces { points, pieces } = pieces;
    for (i, a) in pieces.iter().enumerate() {
        let near = a.bounds.grown(tolerance.touch).envelope();
        meeting(index, near, |j| {
            if j > i {
                meet(points, (i, a), (j, &pieces[j]), tolerance, &mut stops);
            }
            pairs += 1;
        });
        if stops.len() > MOST_MEETINGS || pairs > 2 * MOST_PAIRS {
            return Err(Unresolved::Crowded);
        }
    }
    Ok(stops)
}

fn meet(
    points: &mut Vec<Point>,
    (i, a): (usize, &Piece),
    (j, b): (usize, &Piece),
    tolerance: &Tolerance,
    stops: &mut Vec<Stop>,
) {
    let touch = tolerance.touch;
    // A piece stops at its own ends anyway.
    let has = |piece: &Piece, end| end == piece.from || end == piece.to;
    for end in [a.from, a.to] {
        if !has(b, end) && lies_on(points, b, points[end], touch) {
            stops.push((j, end));
        }
    }
    for end in [b.from, b.to] {
        if !has(a, end) && lies_on(points, a, points[end], touch) {
            stops.push((i, end));
        }
    }
    for &p in crossings(&a.curve, &b.curve, touch).as_slice() {
        if spans(points, a, p, touch) && spans(points, b, p, touch) {
            stops.push((i, points.len()));
            stops.push((j, points.len()));
            points.push(p);
        }
    }
}

/// Whether a point on the curve of a piece lies between its ends.
fn spans(points: &[Point], piece: &Piece, p: Point, touch: f64) -> bool {
    let (start, end) = (points[piece.from], points[piece.to]);
    piece.curve.is_ahead(start, p, touch) && piece.curve.is_ahead(p, end, touch)
}

fn lies_on(points: &[Point], piece: &Piece, p: Point, touch: f64) -> bool {
    piece.curve.left_of(p).abs() <= touch && spans(points, piece, p, touch)
}

/// Gathers points within `weld` of one another to vertices: their places, and the vertex of each
/// point. A vertex lies where the first of its points does.
fn weld(points: &[Point], weld: f64) -> (Vec<Point>, Vec<usize>) {
    // Sorted along an odd direction, so that grids do not pile up.
    let skew = |p: Point| p.x * 0.8 + p.y * 0.6_f64.sqrt();
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by(|&i, &j| skew(points[i]).total_cmp(&skew(points[j])).then(i.cmp(&j)));
    let mut parent: Vec<usize> = (0..points.len()).collect();
    for (k, &i) in order.iter().enumerate() {
        for &j in &order[k + 1..] {
            // |skew(p) - skew(q)| is at most 1.12 times the distance.
            if skew(points[j]) - skew(points[i]) > 1.2 * weld {
                break;
            }
            if points[i].distance(points[j]) <= weld {
                unite(&mut parent, i, j);
            }
        }
    }
    let mut vertices = Vec::new();
    let mut vertex_of = vec![usize::MAX; points.len()];
    for i in 0..points.len() {
        let root = root_of(&mut parent, i);
        if vertex_of[root] == usize::MAX {
            vertex_of[root] = vertices.len();
            vertices.push(points[root]);
        }
        vertex_of[i] = vertex_of[root];
    }
    (vertices, vertex_of)
}

/// The first member of the set that `i` belongs to.
pub(super) fn root_of(parent: &mut [usize], mut i: usize) -> usize {
    while parent[i] != i {
        parent[i] = parent[parent[i]];
        i = parent[i];
    }
    i
}

/// Makes the sets of `i` and `j` one.
pub(super) fn unite(parent: &mut [usize], i: usize, j: usize) {
    let (i, j) = (root_of(parent, i), root_of(parent, j));
    parent[i.max(j)] = i.min(j);
}

/// Stops every piece at the crossings of others that lie on it.
fn settle(
    pieces: &Pieces,
    index: &BoxIndex,
    vertices: &[Point],
    crossed: &[usize],
    tolerance: &Tolerance,
    stops: &mut Vec<Stop>,
) {
    let mut crossed = crossed.to_vec();
    crossed.sort_unstable();
    crossed.dedup();
    for vertex in crossed {
        let p = vertices[vertex];
        let near = Bounds::around([p]).grown(tolerance.touch).envelope();
        meeting(index, near, |piece| {
            if lies_on(&pieces.points, &pieces.pieces[piece], p, tolerance.touch) {
                stops.push((piece, vertex));
            }
        });
    }
}

/// A part of one piece between two vertices, noted from the lower to the higher.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Stroke {
    low: usize,
    high: usize,
    piece: usize,
    forward: bool,
}

fn split(
    pieces: &Pieces,
    vertices: &[Point],
    vertex_of: &[usize],
    mut stops: Vec<Stop>,
) -> Vec<Stroke> {
    stops.sort_unstable();
    stops.dedup();
    let mut strokes = Vec::with_capacity(stops.len() + pieces.pieces.len());
    let mut rest = stops.as_slice();
    let mut path: Vec<(f64, usize)> = Vec::new();
    for (i, piece) in pieces.pieces.iter().enumerate() {
        let count = rest.iter().take_while(|stop| stop.0 == i).count();
        let (mine, others) = rest.split_at(count);
        rest = others;
        let (first, last) = (vertex_of[piece.from], vertex_of[piece.to]);
        if first == last {
            continue;
        }
        path.clear();
        path.push((f64::NEG_INFINITY, first));
        let start = pieces.points[piece.from];
        let inner = mine.iter().filter(|stop| stop.1 != first && stop.1 != last);
        path.extend(inner.map(|stop| (piece.curve.along(start, vertices[stop.1]), stop.1)));
        path.push((f64::INFINITY, last));
        path.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for step in path.windows(2) {
            let (a, b) = (step[0].1, step[1].1);
            strokes.push(Stroke {
                low: a.min(b),
                high: a.max(b),
                piece: i,
                forward: a < b,
            });
        }
    }
    strokes
}

/// Makes strokes that run together one edge.
fn merge(
    pieces: &Pieces,
    vertices: &[Point],
    mut strokes: Vec<Stroke>,
    tolerance: &Tolerance,
) -> Vec<Edge> {
    strokes.sort_unstable();
    let mut edges: Vec<Edge> = Vec::with_capacity(strokes.len());
    for bundle in strokes.chunk_by(|a, b| (a.low, a.high) == (b.low, b.high)) {
        let first = edges.len();
        let (a, b) = (vertices[bundle[0].low], vertices[bundle[0].high]);
        for stroke in bundle {
            let piece = &pieces.pieces[stroke.piece];
            let (curve, run) = if stroke.forward {
                (piece.curve, 1)
            } else {
                (piece.curve.reversed(), -1)
            };
            let middle = curve.middle(a, b);
            let twin = edges[first..]
                .iter_mut()
                .find(|edge| edge.curve.left_of(middle).abs() <= tolerance.weld);
            match twin {
                Some(edge) => add_run(&mut edge.runs, piece.source, run),
                None => edges.push(Edge {
                    tail: stroke.low,
                    head: stroke.high,
                    curve,
                    runs: vec![(piece.source, run)],
                }),
            }
        }
    }
    edges.retain_mut(|edge| {
        edge.runs.retain(|run| run.1 != 0);
        !edge.runs.is_empty()
    });
    edges
}

fn add_run(runs: &mut Vec<(usize, i32)>, source: usize, run: i32) {
    match runs.iter_mut().find(|known| known.0 == source) {
        Some(known) => known.1 += run,
        None => runs.push((source, run)),
    }
}
