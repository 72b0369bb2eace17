//! The plate itself in true size: edges, centre crosses, bolt circles, folds and marks.
//!
//! In: a plate. Out: a picture in the plate's coordinates. Guaranteed: edges are drawn on the true
//! edge, the middle of a line is the size; bolt circles stop short of the holes, so that each cross
//! stands clear in its hole.

use std::f64::consts::TAU;

use super::Shows;
use super::furniture::{DRAFT, FINE};
use crate::elementary;
use crate::export::labels::Labels;
use crate::export::marks;
use crate::export::opening_group::{self, OpeningGroup};
use crate::export::picture::{Anchor, Chain, Dash, Ink, Item, Picture};
use crate::export::scaled::Scaled;
use crate::geometry::{Bounds, Circle, Contour, Point, Segment, Tolerance, Turning, Vector};
use crate::lettering;
use crate::plate::{Mark, Opening, Plate, Purpose};
use crate::quantity::format::decimal;

/// Thickness of edges, mm: thin enough to cut along.
const EDGE: f64 = 0.3;
/// How far the arms of a cross stand out of the hole, mm.
const PAST: f64 = 3.0;
/// Holes larger than this in radius get a cross of short arms and ticks across the edge, mm.
const LARGE: f64 = 12.0;
/// Arm of a cross that stands by itself, mm.
const ARM: f64 = 6.0;
/// Height of letters, mm.
const LETTERS: f64 = 2.0;
/// How far from the plate words may stand, mm.
const BESIDE: f64 = 12.0;
/// Spacing of the places along edges that words keep clear of, mm.
const SAMPLES: f64 = 0.8;

/// The picture of a plate, as a template shows it.
pub(super) fn outline(plate: &Plate, shows: Shows) -> Picture {
    let mut drawing = Outline {
        picture: Picture::new(plate.name.clone()),
    };
    drawing.edges(plate, shows);
    drawing.pitch_circles(plate);
    drawing.centres(plate);
    drawing.bends(plate);
    for mark in &plate.marks {
        drawing.mark(mark);
    }
    if shows == Shows::Plate {
        DRAFT.datum(&mut drawing.picture, &plate.datum());
    }
    drawing.labels(plate);
    drawing.picture
}

/// The box around a picture with the thickness of its lines.
pub(super) fn extent(picture: &Picture) -> Bounds {
    let boxes = picture.items.iter().map(Item::bounds);
    boxes.fold(Bounds::EMPTY, Bounds::union).grown(EDGE)
}

/// A picture in the making.
struct Outline {
    picture: Picture,
}

impl Outline {
    fn edges(&mut self, plate: &Plate, shows: Shows) {
        let openings = plate.openings.iter().zip(&plate.face.openings);
        let edges = std::iter::once(&plate.face.outside).chain(
            openings
                .filter(|(opening, _)| shows == Shows::Plate || !is_hole(opening))
                .map(|(_, edge)| edge),
        );
        let pen = match shows {
            Shows::Plate => DRAFT.pen(EDGE, Ink::Edge, Dash::Solid),
            Shows::HoleCentres => DRAFT.pen(FINE, Ink::Edge, Dash::Dashed),
        };
        let edges: Vec<Chain> = edges.map(Chain::around).collect();
        for edge in edges {
            self.picture.stroke(edge, pen);
        }
    }

    /// Bolt circles, between their holes.
    fn pitch_circles(&mut self, plate: &Plate) {
        let holes: Vec<Circle> = plate.openings.iter().filter_map(|o| o.circle).collect();
        let groups = opening_group::groups(plate);
        for circle in groups.iter().filter_map(OpeningGroup::bolt_circle) {
            for arc in between(circle, &holes) {
                let pen = DRAFT.pen(FINE, Ink::Aid, Dash::DashDot);
                self.picture.stroke(Chain::open(vec![arc]), pen);
            }
        }
    }

    fn centres(&mut self, plate: &Plate) {
        let round = plate.face.outside.as_circle();
        for circle in round
            .into_iter()
            .chain(plate.openings.iter().filter_map(|o| o.circle))
        {
            self.cross(circle);
        }
        let openings = plate.openings.iter().zip(&plate.face.openings);
        for (_, edge) in openings.filter(|(opening, _)| opening.circle.is_none()) {
            for end in half_turns(edge) {
                self.cross(end);
            }
        }
    }

    fn cross(&mut self, Circle { centre, radius }: Circle) {
        let (arm, ticks) = if radius > LARGE {
            (ARM, true)
        } else {
            (radius + PAST, false)
        };
        for way in [Vector::new(1.0, 0.0), Vector::new(0.0, 1.0)] {
            self.fine(centre - way * arm, centre + way * arm);
            for out in [way, -way] {
                if ticks {
                    let (from, to) = (radius - PAST, radius + PAST);
                    self.fine(centre + out * from, centre + out * to);
                }
            }
        }
    }

    fn fine(&mut self, from: Point, to: Point) {
        let pen = DRAFT.pen(FINE, Ink::Edge, Dash::Solid);
        self.picture.stroke(Chain::line(from, to), pen);
    }

    fn bends(&mut self, plate: &Plate) {
        for bend in &plate.bends {
            let line = Chain::line(bend.from, bend.to);
            self.picture
                .stroke(line, DRAFT.pen(FINE, Ink::Mark, Dash::Dashed));
        }
    }

    fn mark(&mut self, mark: &Mark) {
        if let Mark::Centre { at } = mark {
            self.cross(Circle {
                centre: *at,
                radius: 0.0,
            });
        } else {
            let pen = DRAFT.pen(FINE, Ink::Mark, Dash::Solid);
            marks::draw(&mut self.picture, mark, Scaled::TRUE, pen, ARM);
        }
    }

    /// The size of every round opening beside it, and what every fold is, where there is room clear of
    /// lines and words.
    fn labels(&mut self, plate: &Plate) {
        let within = extent(&self.picture).grown(BESIDE);
        let mut labels = Labels::new(1.0, within, &samples(&self.picture));
        // Nothing stands beside the middle of a cross, where the punch is set.
        for hole in plate.openings.iter().filter_map(|it| it.circle) {
            labels.take(Bounds::around([hole.centre]).grown(hole.radius.min(ARM)));
        }
        let holes = plate.openings.iter().filter_map(|opening| {
            let hole = opening.circle?;
            Some((hole.centre, size(opening, hole)))
        });
        let folds = plate.bends.iter();
        let folds = folds.map(|bend| (bend.from.lerp(bend.to, 0.5), bend.label()));
        for (at, text) in holes.chain(folds) {
            let size = Vector::new(lettering::width(&text, LETTERS), LETTERS);
            if let Some(middle) = labels.clear_place(at, size, Vector::new(1.0, 1.0)) {
                let foot = middle - Vector::new(0.0, LETTERS / 2.0);
                let words = DRAFT.words(foot, Anchor::Middle, LETTERS, text);
                self.picture.write(words);
            }
        }
    }
}

/// Whether an opening is a hole to drill, rather than an edge to lay the template by.
fn is_hole(opening: &Opening) -> bool {
    let drilled = match opening.purpose {
        Purpose::Bolt | Purpose::Tapped | Purpose::Pin => true,
        Purpose::Bore | Purpose::Opening | Purpose::TabSlot | Purpose::Slot | Purpose::Window => {
            false
        }
    };
    drilled && opening.circle.is_some()
}

fn size(opening: &Opening, hole: Circle) -> String {
    let diameter = decimal(hole.radius * 2.0, 2);
    match (&opening.thread, opening.purpose) {
        (Some(thread), Purpose::Tapped) => format!("⌀{diameter} tap {thread}"),
        _ => format!("⌀{diameter}"),
    }
}

/// Places along every line of a picture.
fn samples(picture: &Picture) -> Vec<Point> {
    let mut places = Vec::new();
    for item in &picture.items {
        let Item::Shape(shape) = item else { continue };
        for segment in shape.chains.iter().flat_map(|chain| &chain.segments) {
            let steps = (segment.length() / SAMPLES).ceil().max(1.0);
            places.extend((0..=steps as u32).map(|k| segment.point_at(f64::from(k) / steps)));
        }
    }
    places
}

/// The arcs of a bolt circle outside of all holes; none if it lies within one.
fn between(circle: Circle, holes: &[Circle]) -> Vec<Segment> {
    let mut hidden: Vec<(f64, f64)> = holes
        .iter()
        .filter_map(|hole| within(circle, *hole))
        .collect();
    hidden.sort_by(|a, b| a.0.total_cmp(&b.0));
    let Some(&(first, _)) = hidden.first() else {
        return Vec::new();
    };
    let mut arcs = Vec::new();
    let mut reached = first;
    for (from, to) in hidden.into_iter().chain([(first + TAU, first + TAU)]) {
        if from > reached {
            arcs.push(Segment::Arc {
                start: circle.centre.polar(circle.radius, reached),
                end: circle.centre.polar(circle.radius, from),
                centre: circle.centre,
                radius: circle.radius,
                turning: Turning::Left,
            });
        }
        reached = reached.max(to);
    }
    arcs
}

/// The angles between which a circle runs within a hole, the first from 0 up to a full turn.
fn within(circle: Circle, hole: Circle) -> Option<(f64, f64)> {
    let off = hole.centre - circle.centre;
    let distance = off.length();
    let cosine = (circle.radius.powi(2) + distance.powi(2) - hole.radius.powi(2))
        / (2.0 * circle.radius * distance);
    // Beyond 1 they do not meet; short of -1, or with one centre, the hole holds all of it or none.
    let half = (-1.0..1.0)
        .contains(&cosine)
        .then(|| elementary::acos(cosine))?;
    let from = (off.angle() - half).rem_euclid(TAU);
    Some((from, from + 2.0 * half))
}

/// The circles of the round ends of a slot.
fn half_turns(edge: &Contour) -> Vec<Circle> {
    let half =
        |segment: &&Segment| (segment.sweep().abs() - std::f64::consts::PI).abs() < Tolerance::SAME;
    let ends = edge.segments().iter().filter(half);
    ends.filter_map(|segment| match *segment {
        Segment::Arc { centre, radius, .. } => Some(Circle { centre, radius }),
        Segment::Line { .. } => None,
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use std::f64::consts::FRAC_PI_2;

    use super::*;

    #[test]
    fn a_bolt_circle_stops_at_the_edges_of_its_holes() {
        let circle = Circle {
            centre: Point::new(3.0, 4.0),
            radius: 50.0,
        };
        let holes: Vec<Circle> = (0..4)
            .map(|i| Circle {
                centre: circle.centre.polar(50.0, FRAC_PI_2 * f64::from(i)),
                radius: 6.0,
            })
            .collect();
        let arcs = between(circle, &holes);
        assert_eq!(arcs.len(), 4);
        for end in arcs.iter().flat_map(|arc| [arc.start(), arc.end()]) {
            let gap = holes.iter().map(|hole| hole.centre.distance(end) - 6.0);
            let nearest = gap.fold(f64::INFINITY, f64::min);
            assert!(nearest.abs() < 1e-9, "{nearest}");
        }
    }

    #[test]
    fn a_slot_has_a_cross_at_each_end() {
        let slot = Contour::from_bulges(&[
            (-10.0, -5.0, 0.0),
            (10.0, -5.0, 1.0),
            (10.0, 5.0, 0.0),
            (-10.0, 5.0, 1.0),
        ]);
        let ends = half_turns(&slot.expect("closed"));
        let mut x: Vec<f64> = ends.iter().map(|end| end.centre.x).collect();
        x.sort_by(f64::total_cmp);
        assert!((x[0] + 10.0).abs() < 1e-9 && (x[1] - 10.0).abs() < 1e-9);
    }
}
