//! The connected parts of an arrangement, and how they lie in one another.
//!
//! In: an arrangement and the faces along its half-edges. Out: for each part the face it lies in,
//! found by a ray to the left from its leftmost vertex, and again by one to the right from its
//! rightmost: nothing of the part itself is in the way, and what it does not touch is farther off
//! than rounding.

use super::arrangement::{Arrangement, BoxIndex, Edge, index_of, root_of, unite};
use super::rotation::{Rotation, bearing_of, lead};
use super::tolerance::Tolerance;
use super::{Bounds, Point};

/// One connected part.
#[derive(Debug, Clone, Copy)]
struct Island {
    leftmost: usize,
    rightmost: usize,
    /// A half-edge from the leftmost vertex with the outside on its left.
    shore: usize,
}

/// Where an island lies.
#[derive(Debug, Clone, Copy)]
pub(super) struct Parent {
    /// The walk around its outside.
    pub(super) outside: usize,
    /// A walk of the face it lies in, as seen from its left end.
    pub(super) surrounding: usize,
    /// The same as seen from its right end; perhaps another walk, but of the same face.
    pub(super) confirmed: usize,
}

/// The connected parts of the graph.
pub(super) struct Islands {
    /// From left to right.
    list: Vec<Island>,
    /// The island of each vertex, as a set with a parent for each.
    set: Vec<usize>,
    /// How many vertices have edges.
    vertices: usize,
}

/// Which way a ray is cast.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Ray {
    Left,
    Right,
}

impl Islands {
    pub(super) fn of(arrangement: &Arrangement, rotation: &Rotation) -> Self {
        let points = &arrangement.vertices;
        let mut set: Vec<usize> = (0..points.len()).collect();
        for edge in &arrangement.edges {
            unite(&mut set, edge.tail, edge.head);
        }
        let mut ends: Vec<Option<(usize, usize)>> = vec![None; points.len()];
        let mut vertices = 0;
        let before = |i: usize, j: usize| {
            let (p, q) = (points[i], points[j]);
            p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y)).is_lt()
        };
        for vertex in 0..points.len() {
            let island = root_of(&mut set, vertex);
            set[vertex] = island;
            if rotation.around(vertex).is_empty() {
                continue;
            }
            vertices += 1;
            let (left, right) = ends[island].get_or_insert((vertex, vertex));
            if before(vertex, *left) {
                *left = vertex;
            }
            if before(*right, vertex) {
                *right = vertex;
            }
        }
        let mut list: Vec<Island> = ends
            .into_iter()
            .flatten()
            .map(|(leftmost, rightmost)| Island {
                leftmost,
                rightmost,
                shore: outward_half(arrangement, rotation.around(leftmost)),
            })
            .collect();
        list.sort_by(|a, b| {
            let (x, y) = (points[a.leftmost].x, points[b.leftmost].x);
            x.total_cmp(&y).then(a.leftmost.cmp(&b.leftmost))
        });
        Self {
            list,
            set,
            vertices,
        }
    }

    /// How many there are.
    pub(super) fn count(&self) -> usize {
        self.list.len()
    }

    /// How many vertices have edges.
    pub(super) fn vertices(&self) -> usize {
        self.vertices
    }

    /// Where each island lies, from left to right: an island comes after what it lies in. `walk`
    /// tells the walk of each half-edge, `around` is the face around everything.
    pub(super) fn parents(
        &self,
        arrangement: &Arrangement,
        walk: &[usize],
        around: usize,
    ) -> Vec<Parent> {
        if let [island] = self.list[..] {
            return vec![Parent {
                outside: walk[island.shore],
                surrounding: around,
                confirmed: around,
            }];
        }
        let (edges, points) = (&arrangement.edges, &arrangement.vertices);
        let ends = |edge: &Edge| Bounds::around([points[edge.tail], points[edge.head]]);
        let index = index_of(edges.iter().map(ends));
        let extent = Bounds::around(points.iter().copied()).grown(1.0);
        let seen = |vertex: usize, ray: Ray| {
            self.cast(arrangement, &index, extent, vertex, ray)
                .map_or(around, |hit| walk[hit.facing])
        };
        self.list
            .iter()
            .map(|island| Parent {
                outside: walk[island.shore],
                surrounding: seen(island.leftmost, Ray::Left),
                confirmed: seen(island.rightmost, Ray::Right),
            })
            .collect()
    }

    /// What a ray from a vertex first meets of other islands.
    fn cast(
        &self,
        arrangement: &Arrangement,
        index: &BoxIndex,
        extent: Bounds,
        vertex: usize,
        ray: Ray,
    ) -> Option<Hit> {
        let p = arrangement.vertices[vertex];
        let (end, way) = match ray {
            Ray::Left => (extent.min.x, -1.0),
            Ray::Right => (extent.max.x, 1.0),
        };
        let limit = (end - p.x).abs();
        // Stretch by stretch: what lies behind the first that is met need not be looked at.
        let mut reach = extent.width() / (self.list.len() as f64).sqrt();
        loop {
            let far = Point::new(p.x + way * reach.min(limit), p.y);
            let met = index
                .locate_in_envelope_intersecting(Bounds::around([p, far]).envelope())
                .map(|found| found.data)
                .filter(|&e| self.set[arrangement.edges[e].tail] != self.set[vertex])
                .filter_map(|e| Hit::of(arrangement, e, p, ray))
                .reduce(|best, hit| best.nearer(hit, arrangement));
            if reach >= limit || met.is_some_and(|hit| hit.distance < reach) {
                return met;
            }
            reach *= 4.0;
        }
    }
}

/// The half-edge from an island's leftmost vertex that has the outside on its left: the gap that follows
/// it holds the direction of -x.
fn outward_half(arrangement: &Arrangement, outgoing: &[usize]) -> usize {
    let bearings: Vec<f64> = outgoing
        .iter()
        .map(|&half| bearing_of(arrangement, half))
        .collect();
    // The half-edges start after their widest gap; near directions may be out of order by a rounding,
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
    let best = (0..outgoing.len()).max_by(|&i, &j| depth(i).total_cmp(&depth(j)));
    outgoing[best.expect("a vertex of an island has edges")]
}

/// An edge that a ray runs into.
#[derive(Debug, Clone, Copy)]
struct Hit {
    /// How far off.
    distance: f64,
    /// The half-edge whose face is on the side that the ray comes from.
    facing: usize,
    ray: Ray,
}

impl Hit {
    /// Where the ray from `p`, raised by a hair, meets an edge.
    fn of(arrangement: &Arrangement, edge: usize, p: Point, ray: Ray) -> Option<Self> {
        let Edge {
            tail, head, curve, ..
        } = &arrangement.edges[edge];
        let (a, b) = (arrangement.vertices[*tail], arrangement.vertices[*head]);
        let (low, high) = (a.y.min(b.y), a.y.max(b.y));
        if !(low <= p.y && p.y < high) {
            return None;
        }
        let x = curve.x_at(a, b, p.y);
        let (down, up) = if a.y > b.y {
            (2 * edge, 2 * edge + 1)
        } else {
            (2 * edge + 1, 2 * edge)
        };
        // The left of what runs down is the right.
        let (distance, facing) = match ray {
            Ray::Left => (p.x - x, down),
            Ray::Right => (x - p.x, up),
        };
        (distance > 0.0).then_some(Self {
            distance,
            facing,
            ray,
        })
    }

    /// The one met first.
    fn nearer(self, other: Self, arrangement: &Arrangement) -> Self {
        if self.distance != other.distance {
            return if other.distance < self.distance {
                other
            } else {
                self
            };
        }
        // Both leave one vertex upwards: a ray to the left meets the more clockwise first.
        let upward = |hit: Self| match hit.ray {
            Ray::Left => hit.facing ^ 1,
            Ray::Right => hit.facing,
        };
        let (a, b) = (upward(self), upward(other));
        let apart = bearing_of(arrangement, a) - bearing_of(arrangement, b);
        let apart = if apart.abs() < Tolerance::default().near_direction {
            lead(arrangement, a, b)
        } else {
            apart
        };
        let other_first = match self.ray {
            Ray::Left => apart > 0.0,
            Ray::Right => apart < 0.0,
        };
        if other_first { other } else { self }
    }
}
