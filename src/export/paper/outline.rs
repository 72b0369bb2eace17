//! The plate itself in true size: edges, centre crosses, bolt circles, folds and marks.
//!
//! In: a plate. Out: a picture in the plate's coordinates. Guaranteed: edges are drawn on the true
//! edge, the middle of a line is the size; bolt circles stop short of the holes, so that each cross
//! stands clear in its hole.

use std::f64::consts::TAU;

use super::Shows;
use crate::export::marks;
use crate::export::opening_group::{self, Group};
use crate::export::picture::{Anchor, Chain, Dash, Ink, Item, Picture, Stroke, Words};
use crate::export::scaled::Scaled;
use crate::geometry::{Bounds, Circle, Contour, Point, Segment, Turning, Vector};
use crate::lettering;
use crate::plate::{Fold, Mark, Opening, Plate, Purpose};
use crate::quantity::format::{decimal, degrees};

/// Thickness of edges, mm: thin enough to cut along.
const EDGE: f64 = 0.3;
/// Thickness of crosses, bolt circles and folds, mm.
const FINE: f64 = 0.18;
/// How far the arms of a cross stand out of the hole, mm.
const PAST: f64 = 3.0;
/// Holes larger than this in radius get a cross of short arms and ticks across the edge, mm.
const LARGE: f64 = 12.0;
/// Arm of a cross that stands by itself, mm.
const ARM: f64 = 6.0;
/// Height of letters, mm.
const LETTERS: f64 = 2.0;
/// Clear of words, mm.
const CLEAR: f64 = 1.0;
/// Spacing of the places along edges that words keep clear of, mm.
const SAMPLES: f64 = 0.8;

/// The picture of a plate, as a template shows it.
pub(super) fn outline(plate: &Plate, shows: Shows) -> Picture {
    let mut drawing = Outline {
        picture: Picture::new(plate.name.clone()),
        words: Vec::new(),
    };
    drawing.edges(plate, shows);
    drawing.pitch_circles(plate);
    drawing.centres(plate);
    drawing.bends(plate);
    for mark in &plate.marks {
        drawing.mark(mark);
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
    /// Boxes of the words so far.
    words: Vec<Bounds>,
}

const fn pen(width: f64, ink: Ink, dash: Dash) -> Stroke {
    Stroke { width, ink, dash }
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
            Shows::Plate => pen(EDGE, Ink::Edge, Dash::Solid),
            Shows::HoleCentres => pen(FINE, Ink::Edge, Dash::Dashed),
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
        for circle in groups.iter().filter_map(Group::bolt_circle) {
            for arc in between(circle, &holes) {
                let pen = pen(FINE, Ink::Aid, Dash::DashDot);
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
        let pen = pen(FINE, Ink::Edge, Dash::Solid);
        self.picture.stroke(Chain::line(from, to), pen);
    }

    fn bends(&mut self, plate: &Plate) {
        for bend in &plate.bends {
            let line = Chain::line(bend.from, bend.to);
            self.picture
                .stroke(line, pen(FINE, Ink::Mark, Dash::Dashed));
        }
    }

    fn mark(&mut self, mark: &Mark) {
        if let Mark::Centre { at } = mark {
            self.cross(Circle {
                centre: *at,
                radius: 0.0,
            });
        } else {
            let pen = pen(FINE, Ink::Mark, Dash::Solid);
            marks::draw(&mut self.picture, mark, Scaled::TRUE, pen, ARM);
        }
    }

    /// The size of every round opening beside it, and what every fold is, where there is room.
    fn labels(&mut self, plate: &Plate) {
        let lines = samples(&self.picture);
        for opening in &plate.openings {
            let Some(hole) = opening.circle else { continue };
            let text = size(opening, hole);
            self.label(
                &text,
                &around(hole, lettering::width(&text, LETTERS)),
                &lines,
            );
        }
        for bend in &plate.bends {
            let text = fold(bend.fold, bend.angle, bend.radius);
            let width = lettering::width(&text, LETTERS);
            let places = beside(bend.from, bend.to, width);
            self.label(&text, &places, &lines);
        }
    }

    /// Writes at the first place that is clear of lines and words; nowhere if none is.
    fn label(&mut self, text: &str, places: &[Point], lines: &[Point]) {
        let size = Vector::new(lettering::width(text, LETTERS), LETTERS);
        let clear = |at: &&Point| {
            let around = Bounds::around([**at, **at + size]).grown(CLEAR);
            let on_line = |p: &Point| around.meets(Bounds::around([*p]));
            !lines.iter().any(on_line) && !self.words.iter().any(|it| it.meets(around))
        };
        let Some(&at) = places.iter().find(clear) else {
            return;
        };
        self.words.push(Bounds::around([at, at + size]));
        self.picture.write(Words {
            at,
            anchor: Anchor::Start,
            height: LETTERS,
            turn: 0.0,
            ink: Ink::Edge,
            text: text.to_owned(),
        });
    }
}

/// Whether an opening is a hole to drill, rather than an edge to lay the template by.
fn is_hole(opening: &Opening) -> bool {
    let drilled = match opening.purpose {
        Purpose::Bolt | Purpose::Tapped | Purpose::Pin => true,
        Purpose::Bore | Purpose::Slot | Purpose::Window => false,
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

fn fold(way: Fold, angle: f64, radius: f64) -> String {
    let way = match way {
        Fold::Up => "up",
        Fold::Down => "down",
    };
    format!("fold {way} {}, R{}", degrees(angle), decimal(radius, 2))
}

/// Lower left corners of words beside a hole: between the arms of its cross, then farther out.
fn around(hole: Circle, width: f64) -> Vec<Point> {
    let diagonal = std::f64::consts::FRAC_1_SQRT_2;
    let mut places = Vec::new();
    for out in [1.8, 3.5, 6.0, 9.0] {
        let off = hole.radius * diagonal + out;
        for (x, y) in [
            (off, off),
            (-off - width, off),
            (off, -off - LETTERS),
            (-off - width, -off - LETTERS),
        ] {
            places.push(hole.centre + Vector::new(x, y));
        }
    }
    places
}

/// Lower left corners of words near a line: to the right of it and to the left, from its middle on.
fn beside(from: Point, to: Point, width: f64) -> Vec<Point> {
    let mut places = Vec::new();
    for t in [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8] {
        let at = from.lerp(to, t);
        places.push(at + Vector::new(2.0, 1.5));
        places.push(at + Vector::new(-2.0 - width, 1.5));
        places.push(at + Vector::new(2.0, -1.5 - LETTERS));
        places.push(at + Vector::new(-2.0 - width, -1.5 - LETTERS));
    }
    places
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
    let half = (-1.0..1.0).contains(&cosine).then(|| cosine.acos())?;
    let from = (off.angle() - half).rem_euclid(TAU);
    Some((from, from + 2.0 * half))
}

/// The circles of the round ends of a slot.
fn half_turns(edge: &Contour) -> Vec<Circle> {
    let half = |segment: &&Segment| (segment.sweep().abs() - std::f64::consts::PI).abs() < 1e-6;
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
