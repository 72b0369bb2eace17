//! The picture of one plate: outline, openings, centre lines, marks, folds, sizes and findings.
//!
//! Sizes are nominal. Lines follow ISO 128: outlines thick, the rest thin, centre lines long-dash-dot
//! and past the edge, fold lines dashed. Guaranteed: every kind of opening is called out, and the
//! number of a finding hides no opening while there is room beside it.

use super::column::{Beside, Callout, Column, Scene, Target};
use super::drafting::{Crossed, Drafting, OVERALL};
use super::finding_marks::FindingMarks;
use super::marks;
use super::opening_group::{self, OpeningGroup};
use super::picture::{Anchor, Dash, Ink, Picture, Tag};
use super::plate_body;
use super::scaled::Scaled;
use super::shown;
use crate::check::Finding;
use crate::geometry::{Bounds, Circle, Point};
use crate::lettering;
use crate::plate::Plate;
use crate::quantity::format::{both_units, millimetres};

/// The picture of a plate. Findings that have a place are marked with their number, from 1 in the
/// order given.
#[must_use]
pub fn plate_picture(plate: &Plate, findings: &[Finding]) -> Picture {
    let view = PlateView::of(plate);
    let draft = view.draft;
    let mut picture = view.body(plate);
    let groups = opening_group::groups(plate);
    view.centre_lines(&mut picture, plate, &groups);
    for mark in &plate.marks {
        let pen = draft.pen(0.25, Ink::Mark, Dash::Solid);
        picture.grouped(Tag::new("mark", "mark"), |picture| {
            marks::draw(picture, mark, Scaled::TRUE, pen, 1.5 * draft.unit);
        });
    }
    for bend in &plate.bends {
        let pen = draft.pen(0.35, Ink::Mark, Dash::Dashed);
        draft.fold(&mut picture, bend.label(), [bend.from, bend.to], pen);
    }
    let around = view.bounds.grown(SHOWN * draft.unit);
    let pen = shown::pen(draft.pen(draft.thin, Ink::Mark, Dash::Solid));
    shown::draw(&mut picture, plate, Scaled::TRUE, (around, draft.unit), pen);
    draft.datum(&mut picture, &plate.datum());
    view.callouts(&mut picture, plate, &groups);
    let size = |mm: f64| both_units((mm * 100.0).round() / 100.0);
    let sizes = [size(view.bounds.width()), size(view.bounds.height())];
    let [width, height] = sizes;
    let sizes = [(OVERALL[0], width), (OVERALL[1], height)];
    let anywhere = view.bounds.grown(f64::INFINITY);
    let foot = draft.overall_sizes(&mut picture, view.bounds, sizes, anywhere);
    view.caption(&mut picture, plate, foot);
    let marks = FindingMarks {
        plate,
        scaled: Scaled::TRUE,
        draft,
    };
    marks.draw(&mut picture, findings, &[]);
    picture.framed(draft.unit * 3.0)
}

/// A plate alone, without words, sizes or marks.
#[must_use]
pub fn bare_plate_picture(plate: &Plate) -> Picture {
    let view = PlateView::of(plate);
    view.body(plate).framed(view.draft.unit * 2.0)
}

/// The longer side of the plate itself on paper, mm: a small plate is not shrunk, and a large one
/// leaves room for another on the page.
const ON_PAPER: (f64, f64) = (45.0, 62.0);
/// How far beyond the plate other things are shown, mm on paper: short of sizes and call-outs.
const SHOWN: f64 = 3.0;
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

    /// A picture with the metal and its openings.
    fn body(&self, plate: &Plate) -> Picture {
        let metal = format!("{} {}", plate.material, millimetres(plate.thickness));
        let mut picture = Picture::new(format!("{}: {metal}", plate.name));
        picture.enlarged = 1.0 / self.draft.unit;
        let edge = self.draft.pen(0.4, Ink::Edge, Dash::Solid);
        plate_body::draw(&mut picture, plate, Scaled::TRUE, edge);
        picture
    }

    /// Crosses on round openings and on a round outside, past the edge, and the pitch circles.
    fn centre_lines(&self, picture: &mut Picture, plate: &Plate, groups: &[OpeningGroup]) {
        let round = plate.face.outside.as_circle();
        let holes = plate.openings.iter().filter_map(|opening| opening.circle);
        let crossed: Vec<Crossed> = round.into_iter().chain(holes).map(Crossed::from).collect();
        let pitches: Vec<Circle> = groups
            .iter()
            .filter_map(OpeningGroup::bolt_circle)
            .collect();
        self.draft.centre_lines(picture, &crossed, &pitches);
    }

    /// What each group of openings and each fold is, in a column to the right with a leader to one of them.
    fn callouts(&self, picture: &mut Picture, plate: &Plate, groups: &[OpeningGroup]) {
        let callout = |group: &OpeningGroup| Callout {
            lines: lettering::wrapped(&group.label(), ", ", LETTERS, CALLOUT),
            targets: group.targets(plate),
        };
        let folds = plate.bends.iter().map(|bend| Callout {
            lines: lettering::wrapped(&bend.label(), ", ", LETTERS, CALLOUT),
            targets: Target::ends_of(bend),
        });
        let callouts: Vec<Callout> = groups.iter().map(callout).chain(folds).collect();
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
            lines: plate.bends.iter().map(|it| (it.from, it.to)).collect(),
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
            y -= (height + 2.6) * self.draft.unit;
            let at = Point::new(self.bounds.min.x, y);
            let words = self.draft.words(at, Anchor::Start, height, text);
            picture.write(words);
        }
    }
}
