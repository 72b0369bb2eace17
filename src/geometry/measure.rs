//! Distances and containment on true lines and arcs.
//!
//! In: segments, contours and regions. Out: the closest approach of two of them ([`Gap`]), whether
//! a place lies inside. Nothing is flattened: distances are exact
//! up to rounding.

use super::curve::Curve;
use super::intersection::{self, Crossings};
use super::{Bounds, Contour, Face, Point, Region, Segment, Turning, Vector};
use crate::elementary;

/// Nearer than this, mm, and a point counts as on an edge.
pub const TOUCHING: f64 = 1e-6;

/// The closest approach of two shapes: how far, and where on each.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Distance, mm; 0 where they touch or cross.
    pub distance: f64,
    /// The nearest point on the first.
    pub from: Point,
    /// The nearest point on the second.
    pub to: Point,
}

impl Gap {
    /// The gap between two points.
    #[must_use]
    pub fn between(from: Point, to: Point) -> Self {
        Self {
            distance: from.distance(to),
            from,
            to,
        }
    }

    /// The same gap seen from the other shape.
    #[must_use]
    pub const fn reversed(self) -> Self {
        Self {
            distance: self.distance,
            from: self.to,
            to: self.from,
        }
    }

    /// The smaller of two gaps, the first if they are equal.
    #[must_use]
    pub fn or_nearer(self, other: Self) -> Self {
        if other.distance < self.distance {
            other
        } else {
            self
        }
    }
}

impl Segment {
    /// The closest approach of this piece to a point.
    #[must_use]
    pub fn gap_to_point(&self, p: Point) -> Gap {
        Gap::between(self.nearest_to(p), p)
    }

    /// Where two pieces cross or touch, at most twice.
    pub fn meeting_points(&self, other: &Self) -> impl Iterator<Item = Point> {
        let beside = |p: &Point| self.is_beside(*p) && other.is_beside(*p);
        let found = crossings(self, other);
        let found: Vec<Point> = found.as_slice().iter().copied().filter(beside).collect();
        found.into_iter()
    }

    /// The closest approach of two pieces; where they cross, 0 and one of the crossings.
    #[must_use]
    pub fn gap_to(&self, other: &Self) -> Gap {
        if let Some(p) = self.meeting_points(other).next() {
            return Gap {
                distance: 0.0,
                from: p,
                to: p,
            };
        }
        let ends = [
            Gap::between(self.nearest_to(other.start()), other.start()),
            Gap::between(self.nearest_to(other.end()), other.end()),
            Gap::between(self.start(), other.nearest_to(self.start())),
            Gap::between(self.end(), other.nearest_to(self.end())),
        ];
        let nearest = ends[1..]
            .iter()
            .fold(ends[0], |best, gap| best.or_nearer(*gap));
        self.along_common_normal(other, nearest)
    }

    /// The point of this piece nearest to `p`.
    fn nearest_to(&self, p: Point) -> Point {
        match self {
            Self::Line { start, end } => {
                let run = *end - *start;
                let along = (p - *start).dot(run) / run.dot(run);
                if along >= 1.0 {
                    *end
                } else if along > 0.0 {
                    *start + run * along
                } else {
                    *start
                }
            }
            Self::Arc { centre, radius, .. } => (p - *centre)
                .unit()
                .map(|out| *centre + out * *radius)
                .filter(|foot| self.is_beside(*foot))
                .unwrap_or_else(|| {
                    if p.distance(self.start()) <= p.distance(self.end()) {
                        self.start()
                    } else {
                        self.end()
                    }
                }),
        }
    }

    /// The point of this piece, not beyond its ends, where a line from `p` leaves it at a right angle; of
    /// two on an arc the nearer.
    pub(super) fn foot_beside(&self, p: Point) -> Option<Point> {
        let foot = match self {
            Self::Line { start, end } => foot_on_line(*start, *end, p),
            Self::Arc { centre, radius, .. } => *centre + (p - *centre).unit()? * *radius,
        };
        self.is_beside(foot).then_some(foot)
    }

    /// Whether a point of the endless line or whole circle that carries this piece lies between its
    /// ends.
    pub(super) fn is_beside(&self, p: Point) -> bool {
        match self {
            Self::Line { start, end } => {
                let run = *end - *start;
                let along = (p - *start).dot(run);
                (0.0..=run.dot(run)).contains(&along)
            }
            Self::Arc { centre, .. } => self.faces(p - *centre),
        }
    }

    /// The nearer of `best` and the approaches that leave both pieces at a right angle, away from
    /// their ends.
    fn along_common_normal(&self, other: &Self, best: Gap) -> Gap {
        let Some((mine, theirs)) = normal_feet(self, other) else {
            return best;
        };
        let mut nearest = best;
        for a in mine.into_iter().filter(|p| self.is_beside(*p)) {
            for b in theirs.into_iter().filter(|p| other.is_beside(*p)) {
                nearest = nearest.or_nearer(Gap::between(a, b));
            }
        }
        nearest
    }
}

impl Contour {
    /// Whether a point lies inside the loop, whichever way it runs. On the edge itself, to within
    /// rounding, the answer may be either.
    #[must_use]
    pub fn encloses(&self, p: Point) -> bool {
        self.segments().iter().fold(false, |inside, segment| {
            inside ^ chord_is_right_of(segment, p) ^ bow_holds(segment, p)
        })
    }

    /// The closest approach of a point to the edge.
    #[must_use]
    pub fn gap_to_point(&self, p: Point) -> Gap {
        let first = self.segments()[0].gap_to_point(p);
        self.segments()[1..].iter().fold(first, |best, segment| {
            best.or_nearer(segment.gap_to_point(p))
        })
    }

    /// The closest approach of two edges, exact on lines and arcs. A loop inside another is as far
    /// away as its edge.
    #[must_use]
    pub fn gap_to(&self, other: &Self) -> Gap {
        let boxes: Vec<Bounds> = other.segments().iter().map(Segment::bounds).collect();
        let mut best = Gap::between(self.segments()[0].start(), other.segments()[0].start());
        for mine in self.segments() {
            let bounds = mine.bounds();
            for (theirs, box_of_theirs) in other.segments().iter().zip(&boxes) {
                if box_gap(bounds, *box_of_theirs) < best.distance {
                    best = best.or_nearer(mine.gap_to(theirs));
                }
            }
        }
        best
    }

    /// A point well inside the loop: the centre of the widest circle that fits, to within a
    /// hundredth of the loop's size.
    #[must_use]
    pub fn interior_point(&self) -> Point {
        self.widest_circle(coarse(self.bounds())).centre
    }
}

impl Face {
    /// Whether a point lies in the metal (on the edge counts as inside).
    #[must_use]
    pub fn contains(&self, p: Point) -> bool {
        let on_edge = |contour: &Contour| contour.gap_to_point(p).distance <= TOUCHING;
        (self.outside.encloses(p) || on_edge(&self.outside))
            && self
                .openings
                .iter()
                .all(|opening| !opening.encloses(p) || on_edge(opening))
    }
}

impl Region {
    /// Whether a point lies inside (on the edge counts as inside).
    #[must_use]
    pub fn contains(&self, p: Point) -> bool {
        self.faces.iter().any(|face| face.contains(p))
    }

    /// The closest approach of a point to any edge; `None` if the region is empty.
    #[must_use]
    pub fn edge_gap_to_point(&self, p: Point) -> Option<Gap> {
        self.contours()
            .map(|contour| contour.gap_to_point(p))
            .reduce(Gap::or_nearer)
    }

    /// The closest approach of two regions, 0 where they overlap; `None` if either is empty.
    #[must_use]
    pub fn gap_to(&self, other: &Self) -> Option<Gap> {
        if let Some(p) = self
            .corner_within(other)
            .or_else(|| other.corner_within(self))
        {
            return Some(Gap {
                distance: 0.0,
                from: p,
                to: p,
            });
        }
        self.contours()
            .flat_map(|mine| other.contours().map(move |theirs| mine.gap_to(theirs)))
            .reduce(Gap::or_nearer)
    }

    /// A point well inside its first face: the centre of the widest circle that fits between the
    /// edges, to within a hundredth of the face's size; `None` if the region is empty.
    #[must_use]
    pub fn interior_point(&self) -> Option<Point> {
        let face = self.faces.first()?;
        Some(face.widest_circle(coarse(face.outside.bounds())).centre)
    }

    /// A point of one of its contours that lies in the other region.
    fn corner_within(&self, other: &Self) -> Option<Point> {
        self.contours()
            .map(|contour| contour.segments()[0].start())
            .find(|p| other.contains(*p))
    }
}

/// Distance between two boxes, 0 where they meet.
fn box_gap(a: Bounds, b: Bounds) -> f64 {
    let x = (b.min.x - a.max.x).max(a.min.x - b.max.x).max(0.0);
    let y = (b.min.y - a.max.y).max(a.min.y - b.max.y).max(0.0);
    elementary::hypot(x, y)
}

/// Where the endless lines or whole circles that carry two pieces cross.
fn crossings(a: &Segment, b: &Segment) -> Crossings {
    let curves = Curve::carrying(a).zip(Curve::carrying(b));
    curves.map_or(Crossings::NONE, |(a, b)| {
        intersection::crossings(&a, &b, 0.0)
    })
}

fn foot_on_line(start: Point, end: Point, p: Point) -> Point {
    let run = end - start;
    start + run * ((p - start).dot(run) / run.dot(run))
}

/// On each carrier, the two points where a line crosses both at a right angle: the normal of a line
/// through a centre, or the line of centres. `None` if there is no single such line; then the
/// closest approach is at an end.
pub(super) fn normal_feet(a: &Segment, b: &Segment) -> Option<([Point; 2], [Point; 2])> {
    use Segment::{Arc, Line};
    let on_circle = |centre: Point, out: Vector| [centre + out, centre - out];
    match (*a, *b) {
        (Line { .. }, Line { .. }) => None,
        (Line { start, end }, Arc { centre, radius, .. }) => {
            let foot = foot_on_line(start, end, centre);
            let normal = (end - start).left().unit()?;
            Some(([foot, foot], on_circle(centre, normal * radius)))
        }
        (Arc { .. }, Line { .. }) => normal_feet(b, a).map(|(line, arc)| (arc, line)),
        (
            Arc { centre, radius, .. },
            Arc {
                centre: c,
                radius: r,
                ..
            },
        ) => {
            let along = (c - centre).unit()?;
            Some((on_circle(centre, along * radius), on_circle(c, along * r)))
        }
    }
}

/// From where to where, in shares of its length, a piece lies beside another that runs the other way
/// parallel to it, or about the same centre; `None` unless it does so to within `off` mm.
pub(super) fn overlap(one: &Segment, other: &Segment, off: f64) -> Option<(f64, f64)> {
    use Segment::{Arc, Line};
    let (low, high) = match (*one, *other) {
        (Line { start, end }, Line { start: s, end: e }) => {
            let run = end - start;
            let share = |p: Point| (p - start).dot(run) / run.dot(run);
            let (low, high) = (share(e).max(0.0), share(s).min(1.0));
            let strays = run.cross(e - s).abs() / s.distance(e) * (high - low);
            (strays <= off).then_some((low, high))?
        }
        (Arc { centre, start, .. }, Arc { centre: c, .. }) if centre.distance(c) <= off => {
            let (sense, sweep) = (one.sweep().signum(), one.sweep().abs());
            let along = |p: Point| {
                let (from, to) = (start - centre, p - centre);
                sense * from.turn_to(to)
            };
            let first = if other.sweep() * sense > 0.0 {
                other.start()
            } else {
                other.end()
            };
            let from = along(first).rem_euclid(std::f64::consts::TAU);
            // An arc that starts past the end of this one may come round to its start.
            let from = if from < sweep {
                from
            } else {
                from - std::f64::consts::TAU
            };
            let to = from + other.sweep().abs();
            (from.max(0.0) / sweep, to.min(sweep) / sweep)
        }
        _ => return None,
    };
    (high > low).then_some((low, high))
}

/// Whether `p` lies left of the line through two points. A point on the line counts as moved a
/// trifle right (+x), and up where the line is level, so that all tests on one chord agree.
fn lies_left(start: Point, end: Point, p: Point) -> bool {
    let side = (end - start).cross(p - start);
    if side == 0.0 {
        end.y < start.y || (end.y == start.y && end.x > start.x)
    } else {
        side > 0.0
    }
}

/// Whether a ray from `p` along +x crosses the chord of a piece.
fn chord_is_right_of(segment: &Segment, p: Point) -> bool {
    let (start, end) = (segment.start(), segment.end());
    let straddles = (start.y > p.y) != (end.y > p.y);
    straddles && lies_left(start, end, p) == (end.y > start.y)
}

/// Whether `p` lies between an arc (of at most a half turn) and its chord.
fn bow_holds(segment: &Segment, p: Point) -> bool {
    match segment {
        Segment::Line { .. } => false,
        Segment::Arc {
            start,
            end,
            centre,
            radius,
            turning,
        } => {
            let bow_is_left = *turning == Turning::Right;
            p.distance(*centre) < *radius && lies_left(*start, *end, p) == bow_is_left
        }
    }
}

/// A hundredth of a box's size, mm.
fn coarse(bounds: Bounds) -> f64 {
    (bounds.width() + bounds.height()) / 200.0
}
