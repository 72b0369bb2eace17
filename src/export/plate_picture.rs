//! The picture of one plate: outline, openings, centre lines, marks, folds, sizes and findings.
//!
//! Sizes are nominal. Lines follow ISO 128: outlines thick, the rest thin, centre lines long-dash-dot
//! and past the edge, fold lines dashed. Guaranteed: every kind of opening is called out, and the
//! number of a finding hides no opening while there is room beside it.

use super::column::{Beside, Callout, Column, Scene};
use super::drafting::Drafting;
use super::ids;
use super::labels::Labels;
use super::marks;
use super::opening_group::{self, OpeningGroup};
use super::picture::{Anchor, Chain, Dash, Ink, Item, Picture, Tag, Words};
use super::scaled::Scaled;
use crate::check::{Finding, Level};
use crate::geometry::{Bounds, Circle, Contour, Point, Vector};
use crate::lettering;
use crate::plate::{Bend, Plate};
use crate::quantity::format::{both_units, millimetres};

/// The picture of a plate. Findings that have a place are marked with their number, from 1 in the
/// order given.
#[must_use]
pub fn plate_picture(plate: &Plate, findings: &[Finding]) -> Picture {
    let view = PlateView::of(plate);
    let draft = view.draft;
    let mut picture = Picture::new(format!(
        "{}: {} {}",
        plate.name,
        plate.material,
        millimetres(plate.thickness)
    ));
    picture.enlarged = 1.0 / draft.unit;
    let groups = opening_group::groups(plate);
    let tag = Tag::new("plate", plate.title()).id(ids::plate(&plate.name));
    picture.grouped(tag, |picture| view.plate(picture, plate));
    view.centre_lines(&mut picture, plate, &groups);
    for mark in &plate.marks {
        let pen = draft.pen(0.25, Ink::Mark, Dash::Solid);
        picture.grouped(Tag::new("mark", "mark"), |picture| {
            marks::draw(picture, mark, Scaled::TRUE, pen, 1.5 * draft.unit);
        });
    }
    for bend in &plate.bends {
        picture.grouped(Tag::new("fold", bend.label()), |picture| {
            view.bend(picture, bend);
        });
    }
    draft.datum(&mut picture, &plate.datum());
    view.callouts(&mut picture, plate, &groups);
    let size = |mm: f64| both_units((mm * 100.0).round() / 100.0);
    let sizes = [size(view.bounds.width()), size(view.bounds.height())];
    let anywhere = view.bounds.grown(f64::INFINITY);
    let foot = draft.overall_sizes(&mut picture, view.bounds, sizes, anywhere);
    view.caption(&mut picture, plate, foot);
    view.markers(&mut picture, plate, findings);
    picture.framed(draft.unit * 3.0)
}

/// The longer side of the plate itself on paper, mm: a small plate is not shrunk, and a large one
/// leaves room for another on the page.
const ON_PAPER: (f64, f64) = (45.0, 62.0);
/// Longest line of a call-out, mm on paper: with the plate it is as wide as a page.
const CALLOUT: f64 = 82.0;
/// Height of ordinary letters, mm on paper.
const LETTERS: f64 = 2.5;

/// A plate, and the scale that suits its size.
struct PlateView {
    /// The box around the plate, mm.
    bounds: Bounds,
    draft: Drafting,
}

impl PlateView {
    fn of(plate: &Plate) -> Self {
        let bounds = plate.face.outside.bounds();
        let longer = bounds.width().max(bounds.height());
        let draft = Drafting {
            unit: longer / longer.clamp(ON_PAPER.0, ON_PAPER.1),
            thin: 0.25,
            letters: LETTERS,
        };
        Self { bounds, draft }
    }

    /// Crosses on round openings and on a round outside, past the edge, and the pitch circles.
    fn centre_lines(&self, picture: &mut Picture, plate: &Plate, groups: &[OpeningGroup]) {
        let round = plate.face.outside.as_circle();
        let holes = plate.openings.iter().filter_map(|opening| opening.circle);
        let circles: Vec<Circle> = round.into_iter().chain(holes).collect();
        let pitches: Vec<Circle> = groups
            .iter()
            .filter_map(OpeningGroup::bolt_circle)
            .collect();
        self.draft.centre_lines(picture, &circles, &pitches);
    }

    /// The metal, and each opening cut out of it as a thing of its own.
    fn plate(&self, picture: &mut Picture, plate: &Plate) {
        let edge = self.draft.pen(0.4, Ink::Edge, Dash::Solid);
        let outside = vec![Chain::around(&plate.face.outside)];
        picture.draw(outside, Some(Ink::Plate), Some(edge));
        let openings = plate.openings.iter().zip(&plate.face.openings);
        for (index, (opening, contour)) in openings.enumerate() {
            let tag = Tag::new("opening", opening.name.as_str());
            picture.grouped(tag.id(ids::opening(&plate.name, index)), |picture| {
                picture.draw(vec![Chain::around(contour)], Some(Ink::Paper), Some(edge));
            });
        }
    }

    fn bend(&self, picture: &mut Picture, bend: &Bend) {
        let pen = self.draft.pen(0.35, Ink::Mark, Dash::Dashed);
        picture.stroke(Chain::line(bend.from, bend.to), pen);
        picture.write(Words {
            ink: Ink::Mark,
            ..self.draft.along(bend.from, bend.to, bend.label())
        });
    }

    /// What each group of openings is, in a column to the right with a leader to one of them.
    fn callouts(&self, picture: &mut Picture, plate: &Plate, groups: &[OpeningGroup]) {
        let callout = |group: &OpeningGroup| Callout {
            lines: lettering::wrapped(&group.label(), ", ", LETTERS, CALLOUT),
            targets: group.targets(plate),
        };
        let callouts: Vec<Callout> = groups.iter().map(callout).collect();
        let mut column = Column {
            beside: Beside::Right,
            draft: self.draft,
            letters: [LETTERS; 2],
            left: self.bounds.max.x + Column::LEADERS * self.draft.unit,
            width: f64::INFINITY,
            bottom: self.bounds.min.y,
            top: self.bounds.max.y,
        };
        // Higher than the plate where the words need it, never lower: there its name stands.
        column.top = column.top.max(column.bottom + column.height_of(&callouts));
        let scene = Scene {
            scaled: Scaled::TRUE,
            openings: Scene::boxed(&plate.face.openings),
        };
        column.draw(picture, &callouts, &scene);
    }

    fn caption(&self, picture: &mut Picture, plate: &Plate, below: f64) {
        let metal = format!("{} {}", plate.material, both_units(plate.thickness));
        let lines = [
            (3.5, plate.title()),
            (LETTERS, format!("{metal}, {} off", plate.quantity)),
        ];
        let mut y = below - 1.5 * self.draft.unit;
        for (height, text) in lines {
            y -= (height + 1.6) * self.draft.unit;
            let at = Point::new(self.bounds.min.x, y);
            let words = self.draft.words(at, Anchor::Start, height, text);
            picture.write(words);
        }
    }

    /// The number of every finding that has a place, beside it.
    fn markers(&self, picture: &mut Picture, plate: &Plate, findings: &[Finding]) {
        let placed = || findings.iter().enumerate();
        let mut placed = placed().filter_map(|(index, it)| Some((index + 1, it.at?, it.level)));
        let Some(first) = placed.next() else { return };
        let mut labels = self.labels(picture, plate);
        let away = self.bounds.centre();
        for (number, at, level) in std::iter::once(first).chain(placed) {
            let size = Vector::new(2.0 * DISC, 2.0 * DISC) * self.draft.unit;
            let towards = (at - away).unit().unwrap_or(Vector::new(0.0, 1.0));
            let middle = labels.place(at, size, towards);
            let says = findings[number - 1].message.as_str();
            let tag = Tag::new("finding", says).id(ids::finding(&plate.name, number));
            picture.grouped(tag, |picture| {
                self.marker(picture, (at, middle), number, level);
            });
        }
    }

    /// The room around the plate, what is written there, and the edges that numbers should not hide.
    fn labels(&self, picture: &Picture, plate: &Plate) -> Labels {
        let edges = plate.face.contours();
        let mut lines = Vec::new();
        // Two a unit: a number has room to step aside.
        let edges = edges.flat_map(Contour::segments);
        lines.extend(edges.flat_map(|it| it.paced(self.draft.unit / 2.0)));
        // A hidden centre is as bad as a hidden stretch of edge.
        let centres = plate.openings.iter().filter_map(|it| it.circle);
        lines.extend(centres.flat_map(|it| [it.centre; 12]));
        let mut labels = Labels::new(
            self.draft.unit,
            self.bounds.grown(8.0 * self.draft.unit),
            &lines,
        );
        for item in &picture.items {
            if matches!(item, Item::Words(_)) {
                labels.take(item.bounds());
            }
        }
        labels
    }

    /// A number in a disc, with a line to the spot it is about: black for what is refused, a thick
    /// ring for a warning, a thin one for a note.
    fn marker(
        &self,
        picture: &mut Picture,
        (at, middle): (Point, Point),
        number: usize,
        level: Level,
    ) {
        let draft = self.draft;
        let (ground, letters, ring) = match level {
            Level::Refuse => (Ink::Edge, Ink::Paper, 0.3),
            Level::Warn => (Ink::Paper, Ink::Edge, 0.8),
            Level::Note => (Ink::Paper, Ink::Edge, 0.25),
        };
        draft.pointer(picture, at, middle);
        let disc = Circle {
            centre: middle,
            radius: (DISC - 0.4) * draft.unit,
        };
        let ring = draft.pen(ring, Ink::Edge, Dash::Solid);
        picture.circle(disc, Some(ground), Some(ring));
        let foot = middle - Vector::new(0.0, 1.1 * draft.unit);
        picture.write(Words {
            ink: letters,
            ..draft.words(foot, Anchor::Middle, 2.2, number.to_string())
        });
    }
}

/// Radius of the disc of a number with its ring, mm on paper.
const DISC: f64 = 2.6;
