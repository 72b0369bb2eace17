//! Where the places of a plate are measured from: one spot that a builder finds on the plate itself.
//!
//! Drawing, report, drill list, template and net DXF all count x and y from it, and nothing else: the
//! net DXF has it at its origin. It is what the recipe says, else, of these, the first that there is: the middle of the bore, the
//! middle of a round outside, the corner of two straight edges on the left and below, the middle of the
//! largest hole, the lower left corner of the box around the plate.

use super::{Opening, Plate, Purpose, form};
use crate::geometry::{Contour, Point, Pose, Segment, Tolerance};

/// Edges that lie this near to a side of the box around a plate lie on it, mm.
const ON_SIDE: f64 = 0.005;
/// Straight stretches of an edge that reach along this share of their side are an edge to measure from
/// (common practice, no source).
const LONG_ENOUGH: f64 = 0.25;
/// Where the places of a plate are measured from.
#[derive(Debug, Clone, PartialEq)]
pub struct Datum {
    /// The place, in the coordinates of the plate's recipe, mm.
    pub at: Point,
    /// What it is, to follow "from": `the middle of the bore`.
    pub says: String,
}

impl Datum {
    /// A place of the plate as it is told: x and y from here, mm.
    #[must_use]
    pub fn place(&self, p: Point) -> Point {
        Point::ORIGIN + (p - self.at)
    }

    /// From the coordinates of the recipe to those that are told.
    #[must_use]
    pub fn pose(&self) -> Pose {
        Pose::shifted(Point::ORIGIN - self.at)
    }
}

impl Plate {
    /// Where its places are measured from.
    #[must_use]
    pub fn datum(&self) -> Datum {
        if let Some(told) = &self.beside.datum {
            return told.clone();
        }
        let (at, says) = self
            .bore_middle()
            .or_else(|| self.outside_middle())
            .or_else(|| self.edges_corner())
            .or_else(|| self.hole_middle())
            .unwrap_or_else(|| {
                let corner = self.face.outside.bounds().min;
                (
                    corner,
                    "the lower left corner of the box around it".to_owned(),
                )
            });
        let exact = |mm: f64| {
            if mm.abs() < Tolerance::ROUNDING {
                0.0
            } else {
                mm
            }
        };
        Datum {
            at: Point::new(exact(at.x), exact(at.y)),
            says,
        }
    }

    /// Where an opening is: the centre of a bore even if it is keyed, the middle of a bent slot on its
    /// own circle, else the middle of the box around it.
    #[must_use]
    pub fn middle_of(&self, opening: usize) -> Point {
        form::middle(&self.face.openings[opening], self.openings[opening].purpose)
    }

    fn bore_middle(&self) -> Option<(Point, String)> {
        let is_bore = |&index: &usize| self.openings[index].purpose == Purpose::Bore;
        let mut bores = (0..self.openings.len()).filter(is_bore);
        let (first, more) = (bores.next()?, bores.next());
        let name = if more.is_some() {
            &self.openings[first].name
        } else {
            Purpose::Bore.word()
        };
        Some((self.middle_of(first), format!("the middle of the {name}")))
    }

    fn outside_middle(&self) -> Option<(Point, String)> {
        let circle = self.face.outside.as_circle()?;
        Some((circle.centre, "the middle of the outside".to_owned()))
    }

    fn edges_corner(&self) -> Option<(Point, String)> {
        let around = self.face.outside.bounds();
        let upright = reach(&self.face.outside, |p| (p.x - around.min.x, p.y));
        let level = reach(&self.face.outside, |p| (p.y - around.min.y, p.x));
        let found =
            upright >= LONG_ENOUGH * around.height() && level >= LONG_ENOUGH * around.width();
        found.then(|| (around.min, "the left and the lower edge".to_owned()))
    }

    fn hole_middle(&self) -> Option<(Point, String)> {
        let holes = self
            .openings
            .iter()
            .filter(|it| it.purpose.fits_something());
        let holes = holes.filter_map(|it| Some((it, it.circle?)));
        // Of those that are as large, the one with the lowest number.
        let rank = |it: &Opening| (it.name.len(), it.name.clone());
        let (opening, circle) = holes.reduce(|best, next| {
            let larger = next.1.radius - best.1.radius;
            if larger > ON_SIDE || (larger > -ON_SIDE && rank(next.0) < rank(best.0)) {
                next
            } else {
                best
            }
        })?;
        Some((circle.centre, format!("the middle of {}", opening.name)))
    }
}

/// How far apart the ends of the straight stretches on a side are; `seen` gives how far from that side a
/// point is, and where along it.
fn reach(outside: &Contour, seen: impl Fn(Point) -> (f64, f64)) -> f64 {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for segment in outside.segments() {
        let Segment::Line { start, end } = *segment else {
            continue;
        };
        let ends = [seen(start), seen(end)];
        if ends.iter().all(|(off, _)| off.abs() < ON_SIDE) {
            for (_, along) in ends {
                low = low.min(along);
                high = high.max(along);
            }
        }
    }
    (high - low).max(0.0)
}
