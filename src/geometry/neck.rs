//! Necks: where the metal of a face is narrowest between two stretches of its edge.
//!
//! In: a face and a width. Out: every [`Neck`] narrower than that, on the true lines and arcs. A neck
//! is a least of the width along the medial axis: a circle in the metal that touches the edge at both
//! ends of a diameter and cannot be moved along the metal to where it would be smaller. Towards a
//! convex corner the width falls to nothing without a least, so a corner is no neck; a disc, which is
//! widest where it would be measured, has none. Guaranteed: shrunk by less than half its least neck a
//! face stays in one piece, and no two of its edges grow together.
//!
//! Near linear: pairs of segments come from an index of boxes, as does what lies in a circle's way.

use std::collections::BTreeMap;

use super::arrangement::{BoxIndex, index_of, root_of, unite};
use super::measure::{normal_feet, overlap};
use super::tolerance::Tolerance;
use super::{Bounds, Face, Gap, Point, Segment, Vector};

/// Edges that come nearer than this, mm, touch; points of an edge this near are one. The kernel has
/// welded what is nearer, and cannot tell on which side of one another such edges lie.
const TOUCH: f64 = Tolerance::WELD;
/// Two widths that differ by less than this, mm, and this share of them, are one.
const SAME_WIDTH: f64 = 1e-6;
/// An edge that makes a smaller angle (radians) with the normal of the width runs along it.
const LEVEL: f64 = 1e-6;
/// As much as an edge may lean into a neck, radians: short segments have no truer direction.
const LEAN: f64 = 1e-4;
/// How much of its own size a second derivative may err by: no less than a direction, or of a band hardly
/// wider in the middle neither end would be a neck, being level, nor level, being bent.
const ROUNDING: f64 = LEVEL;
/// Lines this parallel, and arcs this concentric, mm, leave a band of one width between them.
const PARALLEL: f64 = 1e-7;
/// Where along a band of one width a circle is tried, in shares of its length.
const TRIED: [f64; 5] = [0.5, 0.25, 0.75, 0.02, 0.98];

/// A place where metal is narrowest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Neck {
    /// Its width, mm, and the two points of the edge.
    pub gap: Gap,
    /// Which contours these lie on: an opening, by its place in [`Face::openings`], or the outside.
    pub between: [Option<usize>; 2],
}

impl Face {
    /// The places narrower than `limit` mm where the metal is narrowest, the narrowest first. A band of
    /// one width is one place.
    #[must_use]
    pub fn necks(&self, limit: f64) -> Vec<Neck> {
        let edges = Edges::of(self);
        let mut found = Vec::new();
        for first in 0..edges.list.len() {
            edges.necks_of(first, limit, &mut found);
        }
        distinct(found)
    }

    /// The narrowest neck of all; `None` if the metal only widens from its corners inward.
    #[must_use]
    pub fn least_neck(&self) -> Option<Neck> {
        self.necks(f64::INFINITY).first().copied()
    }
}

/// A segment of the face's edge, the metal on its left.
struct Edge {
    contour: Option<usize>,
    segment: Segment,
    /// The one before it on its contour.
    before: usize,
    /// The one after it.
    after: usize,
}

/// The edge of a face.
struct Edges {
    list: Vec<Edge>,
    index: BoxIndex,
}

/// A neck with the edge at its two ends.
struct Found {
    neck: Neck,
    banks: [Bank; 2],
}

impl Found {
    fn is_at_corner(&self) -> bool {
        self.banks.iter().any(|bank| bank.corner().is_some())
    }
}

/// A way along the edge from a point.
#[derive(Clone, Copy)]
struct Branch {
    /// Its unit direction.
    way: Vector,
    /// How it bends, 1/mm.
    bend: Vector,
}

/// The edge at a point: onward with the metal on the left, and back.
#[derive(Clone, Copy)]
struct Bank {
    at: Point,
    onward: Branch,
    back: Branch,
    /// The segment that comes to the point, and the one that goes on from it.
    arriving: usize,
    leaving: usize,
}

impl Edges {
    fn of(face: &Face) -> Self {
        let mut list: Vec<Edge> = Vec::new();
        let openings = face.openings.iter().enumerate();
        let openings = openings.map(|(i, contour)| (Some(i), contour, -1.0));
        for (name, contour, sign) in std::iter::once((None, &face.outside, 1.0)).chain(openings) {
            let (first, count) = (list.len(), contour.segments().len());
            let turned = contour.with_sense(sign);
            list.extend(
                turned
                    .segments()
                    .iter()
                    .enumerate()
                    .map(|(i, segment)| Edge {
                        contour: name,
                        segment: *segment,
                        before: first + (i + count - 1) % count,
                        after: first + (i + 1) % count,
                    }),
            );
        }
        let index = index_of(list.iter().map(|edge| edge.segment.bounds()));
        Self { list, index }
    }

    /// The necks between a segment and those after it in the list.
    fn necks_of(&self, first: usize, limit: f64, found: &mut Vec<Found>) {
        let one = &self.list[first].segment;
        let near = one.bounds().grown(limit).envelope();
        // What was in the way of one circle is often in the way of the next.
        let mut in_the_way = first;
        for other in self.index.locate_in_envelope_intersecting(near) {
            let second = other.data;
            if second <= first {
                continue;
            }
            let pairs = facing(one, &self.list[second].segment);
            for (from, to) in pairs.points {
                let neck = self.neck((first, from), (second, to), limit, &mut in_the_way);
                let is_found = neck.is_some();
                found.extend(neck);
                if is_found && pairs.band {
                    break;
                }
            }
        }
    }

    /// The neck between two points of two segments, if there is one.
    fn neck(
        &self,
        (first, from): (usize, Point),
        (second, to): (usize, Point),
        limit: f64,
        in_the_way: &mut usize,
    ) -> Option<Found> {
        let gap = Gap::between(from, to);
        if gap.distance >= limit {
            return None;
        }
        let banks = [self.bank(first, from), self.bank(second, to)];
        let [here, there] = &banks;
        let is_neck = if gap.distance <= TOUCH {
            // Neighbours meet in their corner.
            here.leaving != there.leaving
        } else {
            let across = (to - from) * (1.0 / gap.distance);
            is_least(gap.distance, across, here, there)
                && self.is_metal(here, across)
                && self.is_metal(there, -across)
                && self.is_clear(from.lerp(to, 0.5), gap.distance, in_the_way)
        };
        is_neck.then(|| Found {
            neck: Neck {
                gap,
                between: [self.list[first].contour, self.list[second].contour],
            },
            banks,
        })
    }

    /// The edge at a point of a segment.
    fn bank(&self, index: usize, at: Point) -> Bank {
        let edge = &self.list[index];
        let (arriving, leaving) = if at.distance(edge.segment.start()) <= TOUCH {
            (edge.before, index)
        } else if at.distance(edge.segment.end()) <= TOUCH {
            (index, edge.after)
        } else {
            (index, index)
        };
        Bank {
            at,
            onward: branch(&self.list[leaving].segment, at, 1.0),
            back: branch(&self.list[arriving].segment, at, -1.0),
            arriving,
            leaving,
        }
    }

    /// Whether a direction leads from a point of the edge into the metal.
    fn is_metal(&self, bank: &Bank, across: Vector) -> bool {
        let way = turn(bank.onward.way, across);
        if bank.arriving == bank.leaving {
            return way < std::f64::consts::PI;
        }
        let angle = turn(bank.onward.way, bank.back.way);
        if angle.min(std::f64::consts::TAU - angle) > LEAN {
            return way < angle;
        }
        // The two ways run off side by side: what lies between them is told a little farther on.
        let [arriving, leaving] =
            [bank.arriving, bank.leaving].map(|index| &self.list[index].segment);
        let reach = arriving.length().min(leaving.length()) / 2.0;
        let ahead = leaving.point_at(reach / leaving.length()) - bank.at;
        let behind = arriving.point_at(1.0 - reach / arriving.length()) - bank.at;
        ahead.cross(behind) < 0.0
    }

    /// Whether no edge comes into a circle in the metal.
    fn is_clear(&self, middle: Point, width: f64, in_the_way: &mut usize) -> bool {
        let radius = width / 2.0 - (TOUCH / 2.0).max(SAME_WIDTH * width).min(width / 4.0);
        let blocks = |index: usize| {
            let gap = self.list[index].segment.gap_to_point(middle);
            gap.distance < radius
        };
        if blocks(*in_the_way) {
            return false;
        }
        let near = Bounds::around([middle]).grown(radius).envelope();
        let mut near = self.index.locate_in_envelope_intersecting(near);
        match near.find(|other| blocks(other.data)) {
            Some(other) => {
                *in_the_way = other.data;
                false
            }
            None => true,
        }
    }
}

impl Bank {
    fn branches(&self) -> [Branch; 2] {
        [self.onward, self.back]
    }

    /// The segments it lies on: two at a corner.
    fn segments(&self) -> impl Iterator<Item = usize> + '_ {
        let count = if self.arriving == self.leaving { 1 } else { 2 };
        [self.arriving, self.leaving].into_iter().take(count)
    }

    /// The corner it is, if it is one.
    fn corner(&self) -> Option<usize> {
        (self.arriving != self.leaving).then_some(self.leaving)
    }
}

/// The way along a segment from one of its points, onward (1) or back (-1).
fn branch(segment: &Segment, at: Point, sense: f64) -> Branch {
    match segment {
        Segment::Line { .. } => Branch {
            way: segment.direction_at(0.0) * sense,
            bend: Vector::default(),
        },
        Segment::Arc {
            centre,
            radius,
            turning,
            ..
        } => {
            let inward = (*centre - at).unit().unwrap_or_default();
            let onward = -inward.left() * turning.sign();
            Branch {
                way: onward * sense,
                bend: inward * (1.0 / radius),
            }
        }
    }
}

/// Counter-clockwise turn from one direction to another, radians, 0 to a full turn.
fn turn(from: Vector, to: Vector) -> f64 {
    from.turn_to(to).rem_euclid(std::f64::consts::TAU)
}

/// Whether the width between two points, `across` from one to the other, is a least: no way along the
/// two edges makes it less.
///
/// With the edges level with one another, `y = a x²/2` on this side and `y = w - b x²/2` on the other,
/// the distance of the points at `s` and `t` is `w - a s²/2 - b t²/2 + (s - t)²/2w` to second order.
fn is_least(width: f64, across: Vector, here: &Bank, there: &Bank) -> bool {
    let leans = |bank: &Bank, towards: Vector| {
        bank.branches()
            .iter()
            .any(|branch| branch.way.dot(towards) > LEAN)
    };
    if leans(here, across) || leans(there, -across) {
        return false;
    }
    let level = |bank: &Bank, towards: Vector| {
        bank.branches()
            .into_iter()
            .filter(move |branch| branch.way.dot(towards) > -LEVEL)
            .map(move |branch| (branch.way, branch.bend.dot(towards) * width))
    };
    let flat_enough = |(_, bend): (Vector, f64)| bend <= 1.0 + ROUNDING;
    level(here, across).all(flat_enough)
        && level(there, -across).all(flat_enough)
        && level(here, across).all(|(way, a)| {
            level(there, -across)
                .filter(|(other, _)| way.dot(*other) > 0.0)
                .all(|(_, b)| {
                    a * b - (a + b) >= -ROUNDING * (1.0 + (a * b).abs() + a.abs() + b.abs())
                })
        })
}

/// Pairs of points of two segments where the width may be least.
struct Facing {
    points: Vec<(Point, Point)>,
    /// Whether they all stand for one band of the same width.
    band: bool,
}

fn facing(one: &Segment, other: &Segment) -> Facing {
    if let Some(points) = across_band(one, other) {
        return Facing { points, band: true };
    }
    let mut points = Vec::with_capacity(5);
    if let Some((mine, theirs)) = normal_feet(one, other) {
        let distinct = |feet: [Point; 2]| {
            let count = if feet[0] == feet[1] { 1 } else { 2 };
            feet.into_iter().take(count)
        };
        for a in distinct(mine).filter(|p| one.is_beside(*p)) {
            let theirs = distinct(theirs).filter(|p| other.is_beside(*p));
            points.extend(theirs.map(|b| (a, b)));
        }
    }
    points.push((one.start(), other.start()));
    points.extend(other.foot_beside(one.start()).map(|b| (one.start(), b)));
    points.extend(one.foot_beside(other.start()).map(|a| (a, other.start())));
    Facing {
        points,
        band: false,
    }
}

/// Points across the band between two parallel lines or concentric arcs, where they lie side by side.
fn across_band(one: &Segment, other: &Segment) -> Option<Vec<(Point, Point)>> {
    let (low, high) = overlap(one, other, PARALLEL)?;
    let places = TRIED.map(|share| one.point_at(low + (high - low) * share));
    let pairs = places.into_iter().map(|a| Some((a, other.foot_beside(a)?)));
    pairs.collect()
}

/// One neck for each place, the narrowest first. Found more than once were those at a corner, and those
/// across a band of one width: necks of one width are one place if both ends lie on the same segments,
/// or either in the same corner.
fn distinct(mut found: Vec<Found>) -> Vec<Neck> {
    let width = |found: &Found| found.neck.gap.distance;
    found.sort_by(|a, b| width(a).total_cmp(&width(b)));
    let mut set: Vec<usize> = (0..found.len()).collect();
    let mut last: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for (i, one) in found.iter().enumerate() {
        for mark in marks(one) {
            if let Some(other) = last.insert(mark, i) {
                let apart = width(one) - width(&found[other]);
                if apart <= SAME_WIDTH * (1.0 + width(one)) {
                    unite(&mut set, other, i);
                }
            }
        }
    }
    // Of a band its middle is told, not one of its ends.
    let mut told: BTreeMap<usize, usize> = BTreeMap::new();
    for (i, one) in found.iter().enumerate() {
        let place = told.entry(root_of(&mut set, i)).or_insert(i);
        if found[*place].is_at_corner() && !one.is_at_corner() {
            *place = i;
        }
    }
    told.values().map(|i| found[*i].neck).collect()
}

/// What two finds of one place share: a pair of segments, or a corner (as a pair with itself).
fn marks(found: &Found) -> Vec<(usize, usize)> {
    let [here, there] = &found.banks;
    let pairs = here
        .segments()
        .flat_map(|one| {
            there
                .segments()
                .map(move |other| (one.min(other), one.max(other)))
        })
        .filter(|(one, other)| one != other);
    let corners = [here, there].into_iter().filter_map(Bank::corner);
    pairs
        .chain(corners.map(|corner| (corner, corner)))
        .collect()
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;
    use crate::geometry::{Contour, Region};

    fn solid(outside: Contour) -> Region {
        Region {
            faces: vec![Face {
                outside,
                openings: Vec::new(),
            }],
        }
    }

    fn disc(x: f64, y: f64, radius: f64) -> Region {
        solid(Contour::circle(Point::new(x, y), radius))
    }

    fn rectangle(left: f64, low: f64, right: f64, high: f64) -> Region {
        let corners = [(left, low), (right, low), (right, high), (left, high)];
        let points = corners.map(|(x, y)| Point::new(x, y));
        solid(Contour::polygon(&points).expect("a rectangle"))
    }

    fn necks(region: &Region) -> Vec<Neck> {
        assert_eq!(region.faces.len(), 1);
        region.faces[0].necks(1e3)
    }

    fn widths(region: &Region) -> Vec<f64> {
        necks(region).iter().map(|neck| neck.gap.distance).collect()
    }

    #[test]
    fn a_strip_between_two_squares_is_one_neck_of_its_width() {
        for width in [0.01, 1e-4, 5.0] {
            let squares = rectangle(-20.0, -20.0, 20.0, 20.0)
                .union(&rectangle(40.0, -20.0, 80.0, 20.0))
                .unwrap();
            let strip = rectangle(0.0, -width / 2.0, 60.0, width / 2.0);
            let found = necks(&squares.union(&strip).unwrap());
            assert_relative_eq!(found[0].gap.distance, width, epsilon = 1e-9);
            assert_eq!(found[0].between, [None, None]);
            let at = found[0].gap.from.lerp(found[0].gap.to, 0.5);
            assert!(at.distance(Point::new(30.0, 0.0)) < 1e-6, "{at:?}");
            assert!(
                found[1..].iter().all(|neck| neck.gap.distance > 30.0),
                "{found:?}"
            );
        }
    }

    #[test]
    fn two_discs_hang_by_their_common_chord() {
        for overlap in [1e-5, 1e-3, 0.1, 4.0] {
            let apart = 50.0 - overlap;
            let found = widths(&disc(0.0, 0.0, 25.0).union(&disc(apart, 0.0, 25.0)).unwrap());
            let half = apart / 2.0;
            let chord = 2.0 * ((25.0 - half) * (25.0 + half)).sqrt();
            assert_eq!(found.len(), 1, "{found:?}");
            assert_relative_eq!(found[0], chord, max_relative = 1e-6);
        }
    }

    #[test]
    fn squares_that_meet_in_a_corner_hang_by_its_diagonal() {
        for overlap in [1e-5, 0.3] {
            let other = rectangle(20.0 - overlap, 20.0 - overlap, 60.0, 60.0);
            let found = widths(&rectangle(-20.0, -20.0, 20.0, 20.0).union(&other).unwrap());
            assert_relative_eq!(found[0], overlap * 2_f64.sqrt(), max_relative = 1e-6);
        }
    }

    #[test]
    fn a_ring_is_narrowest_on_the_line_of_centres() {
        let ring = disc(0.0, 0.0, 40.0)
            .difference(&disc(6.0, 8.0, 25.0))
            .unwrap();
        let found = necks(&ring);
        assert_eq!(found.len(), 1, "{found:?}");
        assert_relative_eq!(found[0].gap.distance, 5.0, epsilon = 1e-9);
        assert_eq!(found[0].between, [None, Some(0)]);
        let even = disc(0.0, 0.0, 40.0)
            .difference(&disc(0.0, 0.0, 25.0))
            .unwrap();
        assert_eq!(widths(&even), [15.0]);
    }

    #[test]
    fn a_band_hardly_wider_in_the_middle_is_a_neck() {
        for off in [0.0, 1e-7, 1.5e-5, 1e-3] {
            let block = rectangle(-60.0, -60.0, 60.0, 10.0);
            let plate = disc(0.0, 0.0, 25.0).union(&block).unwrap();
            let found = widths(&plate.difference(&disc(0.0, -off, 12.5)).unwrap());
            assert_relative_eq!(found[0], 12.5 + 0.4 * off, epsilon = off + 1e-9);
        }
    }

    #[test]
    fn a_band_bent_round_a_circle_is_one_neck() {
        let ring = disc(0.0, 0.0, 40.0)
            .difference(&disc(0.0, 0.0, 37.0))
            .unwrap();
        let sector = ring.intersection(&rectangle(0.0, 0.0, 50.0, 50.0)).unwrap();
        assert_eq!(widths(&sector).len(), 1);
        assert_relative_eq!(widths(&sector)[0], 3.0, epsilon = 1e-9);
        let slot = solid(
            Contour::from_bulges(&[
                (-10.0, -3.0, 0.0),
                (10.0, -3.0, 1.0),
                (10.0, 3.0, 0.0),
                (-10.0, 3.0, 1.0),
            ])
            .expect("a slot closes"),
        );
        assert_eq!(widths(&slot), [6.0]);
    }

    #[test]
    fn what_only_widens_has_no_neck() {
        assert!(necks(&disc(3.0, 4.0, 5.0)).is_empty());
        let triangle = [(0.0, 0.0), (9.0, 0.0), (2.0, 7.0)].map(|(x, y)| Point::new(x, y));
        let triangle = Contour::polygon(&triangle).expect("a triangle");
        assert!(necks(&solid(triangle)).is_empty());
        let lens = disc(0.0, 0.0, 25.0)
            .intersection(&disc(30.0, 0.0, 25.0))
            .unwrap();
        assert!(necks(&lens).is_empty());
    }

    #[test]
    fn a_hole_hides_what_lies_behind_it() {
        let plate = rectangle(-100.0, -30.0, 100.0, 30.0);
        let holes = [-12.0, 0.0, 12.0].map(|x| disc(x, 0.0, 5.0));
        let drilled = holes
            .iter()
            .fold(plate, |plate, hole| plate.difference(hole).unwrap());
        let found: Vec<Neck> = drilled.faces[0].necks(24.9);
        let between: Vec<_> = found.iter().map(|neck| neck.between).collect();
        assert_eq!(between.len(), 2, "{found:?}");
        assert!(!between.contains(&[Some(0), Some(2)]));
    }

    #[test]
    fn edges_that_touch_leave_nothing() {
        let plate = disc(0.0, 0.0, 50.0)
            .difference(&disc(35.0, 0.0, 15.0))
            .unwrap();
        let found = necks(&plate);
        assert!(found[0].gap.distance < 1e-6, "{found:?}");
    }

    #[test]
    fn a_notch_is_measured_from_its_tip() {
        let notch = [(-2.0, 31.0), (0.0, 4.0), (2.0, 31.0)].map(|(x, y)| Point::new(x, y));
        let notch = solid(Contour::polygon(&notch).expect("a notch"));
        let plate = rectangle(-50.0, 0.0, 50.0, 30.0)
            .difference(&notch)
            .unwrap();
        let found = necks(&plate);
        assert_relative_eq!(found[0].gap.distance, 4.0, epsilon = 1e-6);
        assert!(
            found[0].gap.from.distance(Point::new(0.0, 0.0)) < 1e-6
                || found[0].gap.to.distance(Point::new(0.0, 0.0)) < 1e-6
        );
    }

    #[test]
    fn a_corner_that_pokes_through_an_edge_by_less_than_is_told_apart_touches_it() {
        for poke in [-1.6e-8, 0.0, 1.6e-8] {
            let window = [(0.0, -10.0 - poke), (3.0, 2.0), (-3.0, 2.0)];
            let window = Contour::polygon(&window.map(|(x, y)| Point::new(x, y)));
            let face = Face {
                outside: Contour::circle(Point::ORIGIN, 10.0),
                openings: vec![window.expect("a triangle")],
            };
            let least = face.least_neck().expect("a neck");
            assert!(least.gap.distance < 1e-7, "{least:?}");
        }
    }
}
