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

use super::arrangement::{BoxIndex, envelope, index_of, root_of, unite};
use super::measure::{normal_feet, overlap};
use super::{Bounds, Face, Gap, Point, Segment, Turning, Vector};

/// Edges that come nearer than this, mm, touch; points of an edge this near are one.
const TOUCH: f64 = 1e-9;
/// Two widths that differ by less than this, mm, and this share of them, are one.
const SAME_WIDTH: f64 = 1e-6;
/// An edge that makes a smaller angle (radians) with the normal of the width runs along it.
const LEVEL: f64 = 1e-6;
/// As much as an edge may lean into a neck, radians: short segments have no truer direction.
const LEAN: f64 = 1e-4;
/// How much of its own size a second derivative may err by.
const ROUNDING: f64 = 1e-9;
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
            list.extend(turned.segments().iter().enumerate().map(|(i, segment)| Edge {
                contour: name,
                segment: *segment,
                before: first + (i + count - 1) % count,
                after: first + (i + 1) % count,
            }));
        }
        let index = index_of(list.iter().map(|edge| edge.segment.bounds()));
        Self { list, index }
    }

    /// The necks between a segment and those after it in the list.
    fn necks_of(&self, first: usize, limit: f64, found: &mut Vec<Found>) {
        let one = &self.list[first].segment;
        let near = envelope(one.bounds().grown(limit));
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
        let near = envelope(Bounds::around([middle]).grown(radius));
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
            let onward = match turning {
                Turning::Left => -inward.left(),
                Turning::Right => inward.left(),
            };
            Branch {
                way: onward * sense,
                bend: inward * (1.0 / radius),
            }
        }
    }
}

/// Counter-clockwise turn from one direction to another, radians, 0 to a full turn.
fn turn(from: Vector, to: Vector) -> f64 {
    from.cross(to)
        .atan2(from.dot(to))
        .rem_euclid(std::f64::consts::TAU)
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
                .all(|(_, b)| a * b - (a + b) >= -ROUNDING * (1.0 + (a * b).abs() + a.abs() + b.abs()))
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
    (0..found.len())
        .filter(|&i| root_of(&mut set, i) == i)
        .map(|i| found[i].neck)
        .collect()
}

/// What two finds of one place share: a pair of segments, or a corner (as a pair with itself).
fn marks(found: &Found) -> Vec<(usize, usize)> {
    let [here, there] = &found.banks;
    let pairs = here
        .segments()
        .flat_map(|one| there.segments().map(move |other| (one.min(other), one.max(other))))
        .filter(|(one, other)| one != other);
    let corners = [here, there].into_iter().filter_map(Bank::corner);
    pairs.chain(corners.map(|corner| (corner, corner))).collect()
}
