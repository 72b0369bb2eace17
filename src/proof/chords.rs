//! Lines and arcs as fine chords, and what can be said of chords: nothing here comes from the geometry
//! that made them.

use std::collections::BTreeMap;

use rstar::primitives::{GeomWithData, Line};
use rstar::{AABB, PointDistance, RTree};

use crate::elementary;
use crate::geometry::{Contour, Point, Pose, Segment, Turning};

/// Chords leave their arcs by less than this, mm.
pub(super) const CHORD: f64 = 0.003;

/// A place as a pair of coordinates, mm.
pub(super) type Xy = [f64; 2];

/// A run of places, each joined to the next.
pub(super) type Chain = Vec<Xy>;

/// Where a pose of the plate's coordinates puts a place on the sheet: turned about the origin, then moved.
#[derive(Clone, Copy)]
pub(super) struct Moved {
    sin: f64,
    cos: f64,
    shift: Xy,
}

impl Moved {
    pub(super) fn by(pose: &Pose) -> Self {
        let (sin, cos) = elementary::sin_cos(pose.turn);
        Self {
            sin,
            cos,
            shift: [pose.shift.x, pose.shift.y],
        }
    }

    pub(super) fn chain(self, chain: &[Xy]) -> Chain {
        let placed = |[x, y]: Xy| {
            [
                self.cos * x - self.sin * y + self.shift[0],
                self.sin * x + self.cos * y + self.shift[1],
            ]
        };
        chain.iter().map(|spot| placed(*spot)).collect()
    }
}

/// A chain along pieces that follow one another, from the start of the first to the end of the last.
pub(super) fn along(segments: &[Segment]) -> Chain {
    let mut chain: Chain = segments
        .first()
        .map(|it| spot(it.start()))
        .into_iter()
        .collect();
    for segment in segments {
        if let Segment::Arc {
            start,
            centre,
            radius,
            turning,
            end,
        } = *segment
        {
            let from = elementary::atan2(start.y - centre.y, start.x - centre.x);
            let to = elementary::atan2(end.y - centre.y, end.x - centre.x);
            let sweep = sweep(to - from, turning, start == end);
            for k in 1..steps(radius, sweep) {
                let angle = from + sweep * f64::from(k) / f64::from(steps(radius, sweep));
                chain.push([
                    centre.x + radius * elementary::cos(angle),
                    centre.y + radius * elementary::sin(angle),
                ]);
            }
        }
        chain.push(spot(segment.end()));
    }
    chain
}

/// A chain once around a contour, its first place again at its end.
pub(super) fn around(contour: &Contour) -> Chain {
    along(contour.segments())
}

fn spot(p: Point) -> Xy {
    [p.x, p.y]
}

/// The turn from one direction to another the way the arc runs; a whole one if it ends where it starts.
fn sweep(difference: f64, turning: Turning, whole: bool) -> f64 {
    use std::f64::consts::TAU;
    let left = difference.rem_euclid(TAU);
    match (turning, whole) {
        (Turning::Left, true) => TAU,
        (Turning::Right, true) => -TAU,
        (Turning::Left, false) => left,
        (Turning::Right, false) => left - TAU,
    }
}

/// How many chords keep within [`CHORD`]: the rise of a chord over an angle `a` is `r (1 - cos(a/2))`.
fn steps(radius: f64, sweep: f64) -> u32 {
    let widest = 2.0 * elementary::acos((1.0 - CHORD / radius).clamp(0.0, 1.0));
    (sweep.abs() / widest).ceil().clamp(1.0, 100_000.0) as u32
}

/// The area that a closed chain goes around, mm²: above 0 counter-clockwise (the surveyor's formula).
pub(super) fn area(ring: &[Xy]) -> f64 {
    let doubled: f64 = ring
        .windows(2)
        .map(|two| two[0][0] * two[1][1] - two[1][0] * two[0][1])
        .sum();
    doubled / 2.0
}

/// The length of a chain, mm.
pub(super) fn length(chain: &[Xy]) -> f64 {
    chain
        .windows(2)
        .map(|two| elementary::hypot(two[1][0] - two[0][0], two[1][1] - two[0][1]))
        .sum()
}

/// Whether a place is inside of rings: an odd number of edges lies to its right.
pub(super) fn holds<'a>(rings: impl IntoIterator<Item = &'a Chain>, [x, y]: Xy) -> bool {
    let mut odd = false;
    for two in rings.into_iter().flat_map(|ring| ring.windows(2)) {
        odd ^= is_right_of([two[0], two[1]], [x, y]);
    }
    odd
}

/// Whether a ray from a spot to the right crosses a chord.
fn is_right_of([[ax, ay], [bx, by]]: [Xy; 2], [x, y]: Xy) -> bool {
    (ay > y) != (by > y) && x < ax + (y - ay) / (by - ay) * (bx - ax)
}

/// Chords that can be asked for their nearest, each with a number of its owner.
pub(super) struct Edges(RTree<GeomWithData<Line<Xy>, usize>>);

impl Edges {
    pub(super) fn of<'a>(chains: impl IntoIterator<Item = (usize, &'a Chain)>) -> Self {
        let chords = chains.into_iter().flat_map(|(owner, chain)| {
            let lines = chain.windows(2).map(|two| Line::new(two[0], two[1]));
            lines.map(move |line| GeomWithData::new(line, owner))
        });
        Self(RTree::bulk_load(chords.collect()))
    }

    /// The owner of a chord that comes nearer to a chord than `least`, mm, and how near it comes: the
    /// nearest of all whose owner counts.
    pub(super) fn nearer(
        &self,
        (from, to): (Xy, Xy),
        least: f64,
        counts: impl Fn(usize) -> bool,
    ) -> Option<(usize, f64)> {
        let low = [from[0].min(to[0]) - least, from[1].min(to[1]) - least];
        let high = [from[0].max(to[0]) + least, from[1].max(to[1]) + least];
        let near = self
            .0
            .locate_in_envelope_intersecting(AABB::from_corners(low, high));
        let near = near.filter(|it| counts(it.data));
        let gaps = near.map(|it| (it.data, gap(&Line::new(from, to), it.geom())));
        gaps.filter(|(_, gap)| *gap < least)
            .min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// The same along a whole chain.
    pub(super) fn nearest(
        &self,
        chain: &[Xy],
        least: f64,
        counts: impl Fn(usize) -> bool,
    ) -> Option<(usize, f64)> {
        let near = chain
            .windows(2)
            .filter_map(|two| self.nearer((two[0], two[1]), least, &counts));
        near.min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Whose rings a spot lies in, by how often a ray to the right crosses them; of several the first.
    pub(super) fn holder(&self, [x, y]: Xy) -> Option<usize> {
        let ray = AABB::from_corners([x, y], [f64::INFINITY, y]);
        let mut crossed: BTreeMap<usize, bool> = BTreeMap::new();
        for edge in self.0.locate_in_envelope_intersecting(ray) {
            let ends = [edge.geom().from, edge.geom().to];
            *crossed.entry(edge.data).or_default() ^= is_right_of(ends, [x, y]);
        }
        let mut odd = crossed.into_iter().filter(|(_, odd)| *odd);
        odd.next().map(|(owner, _)| owner)
    }

    /// How far the nearest chord is from a place, mm; found soonest where one is nearer than `likely`.
    pub(super) fn distance(&self, from: Xy, likely: f64) -> f64 {
        let [x, y] = from;
        let around = AABB::from_corners([x - likely, y - likely], [x + likely, y + likely]);
        let near = self.0.locate_in_envelope_intersecting(around);
        let least = near
            .map(|it| it.distance_2(&from))
            .fold(f64::INFINITY, f64::min);
        if least <= likely * likely {
            return least.sqrt();
        }
        let nearest = self.0.nearest_neighbor(from);
        nearest.map_or(f64::INFINITY, |it| it.distance_2(&from).sqrt())
    }
}

/// The distance of two chords: 0 if they cross, else that of an end from the other.
fn gap(a: &Line<Xy>, b: &Line<Xy>) -> f64 {
    let side = |line: &Line<Xy>, p: Xy| {
        let (along, to) = (minus(line.to, line.from), minus(p, line.from));
        along[0] * to[1] - along[1] * to[0]
    };
    let parts =
        |line: &Line<Xy>, other: &Line<Xy>| side(line, other.from) * side(line, other.to) < 0.0;
    if parts(a, b) && parts(b, a) {
        return 0.0;
    }
    let ends = [
        a.distance_2(&b.from),
        a.distance_2(&b.to),
        b.distance_2(&a.from),
        b.distance_2(&a.to),
    ];
    ends.into_iter().fold(f64::INFINITY, f64::min).sqrt()
}

fn minus(a: Xy, b: Xy) -> Xy {
    [a[0] - b[0], a[1] - b[1]]
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    #[test]
    fn chords_of_a_circle_go_around_its_area() {
        for radius in [0.5, 10.0, 900.0] {
            let ring = around(&Contour::circle(Point::new(3.0, -2.0), radius));
            let off = PI * radius * radius - area(&ring);
            // Each chord cuts off less than two thirds of its rise times its length (a parabola).
            assert!(
                off > 0.0 && off < 2.0 * PI * radius * CHORD,
                "{radius}: {off}"
            );
            assert_eq!(ring.first(), ring.last());
        }
    }

    #[test]
    fn nearness_is_that_of_the_nearest_chord() {
        let square = vec![
            [0.0, 0.0],
            [10.0, 0.0],
            [10.0, 10.0],
            [0.0, 10.0],
            [0.0, 0.0],
        ];
        let edges = Edges::of([(7, &square)]);
        let any = |_: usize| true;
        let beside = ([12.0, 4.0], [13.0, 20.0]);
        assert_eq!(edges.nearer(beside, 2.5, any), Some((7, 2.0)));
        assert_eq!(edges.nearer(beside, 1.5, any), None);
        assert_eq!(edges.nearer(beside, 2.5, |owner| owner != 7), None);
        assert_eq!(
            edges.nearest(&[[5.0, 5.0], [5.0, 15.0]], 1.0, any),
            Some((7, 0.0))
        );
        for likely in [0.5, 2.9, 3.1, 40.0] {
            assert!((edges.distance([5.0, 13.0], likely) - 3.0).abs() < 1e-12);
        }
        assert!(holds([&square], [5.0, 5.0]) && !holds([&square], [15.0, 5.0]));
        for (spot, holder) in [
            ([5.0, 5.0], Some(7)),
            ([15.0, 5.0], None),
            ([-0.1, 5.0], None),
            ([5.0, 10.1], None),
        ] {
            assert_eq!(edges.holder(spot), holder);
        }
    }
}
