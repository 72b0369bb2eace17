//! The picture of a crowded sheet: plates numbered in the order in which they come free, with a list by kind
//! beside it, and each kind once, enlarged, its contours numbered as in the program and its drill marks.
//!
//! Guaranteed: no words lie on words or on drill marks. A number without room is left out, and the notes
//! say how many are.

use super::labels::{Labels, around_middle};
use super::picture::{Anchor, Chain, Dash, Ink, Picture, Words};
use super::scaled::Scaled;
use super::sheet_ground::DrillMarks;
use super::sheet_notes::{self, Shown, kinds};
use super::sheet_view::{CROSS, NotesPlace, SheetView};
use crate::cut::CutPath;
use crate::finding::Finding;
use crate::geometry::{Bounds, Face, Point, Segment, Vector};
use crate::plate::{Opening, Plate};
use crate::quantity::format::counted;
use crate::sheet::{CutPlate, CutSheet};

/// Heights that numbers are tried at, in picture units.
const HEIGHTS: [f64; 3] = [4.5, 3.4, 2.6];
/// The longer side of an enlarged plate, in picture units.
const ENLARGED: f64 = 52.0;
/// Room for numbers around it, in picture units.
const AROUND: f64 = 7.0;
/// Height of its name, in picture units.
const NAME: f64 = 2.6;
/// Room for the views where the notes stand beside the sheet, in picture units.
const COLUMN: f64 = 100.0;
/// Edges are looked at every so many picture units.
const EVERY: f64 = 1.0;

/// The picture of a sheet of which not every run can have its number.
pub(super) fn sheet_of_many(
    sheet: &CutSheet,
    plates: &[CutPlate],
    findings: &[Vec<Finding>],
) -> Picture {
    let view = SheetView::large(sheet, plates);
    let (mut picture, mut labels) = view.begun(sheet, plates, DrillMarks::Elsewhere);
    let numbers = sheet.plate_numbers();
    let faces = sheet.placements.iter();
    let faces = faces.map(|it| plates[it.piece].plate.face.posed(&it.pose));
    let faces: Vec<Face> = faces.collect();
    // Those with room first: the others find what is left. A number may lie on holes that are not cut.
    let mut without = Vec::new();
    for (at, (face, placement)) in faces.iter().zip(&sheet.placements).enumerate() {
        let text = numbers[at].to_string();
        if view.inside(&mut picture, &mut labels, face, &text, HEIGHTS, None) {
            continue;
        }
        let undrilled = undrilled(&plates[placement.piece].plate).posed(&placement.pose);
        let ground = Some(Ink::Plate);
        if !view.inside(
            &mut picture,
            &mut labels,
            &undrilled,
            &text,
            HEIGHTS,
            ground,
        ) {
            without.push(at);
        }
    }
    without.sort_by_key(|at| numbers[*at]);
    without.retain(|at| {
        let text = numbers[*at].to_string();
        !view.beside(&mut picture, &mut labels, &faces[*at], HEIGHTS[2], text)
    });
    let shown = Shown::Plates(&numbers);
    let mut low = sheet_notes::write(&view, &mut picture, sheet, plates, findings, &shown);
    let unit = view.draft.unit;
    let (left, right) = match view.notes {
        NotesPlace::Below => (view.shown.min.x, view.shown.max.x),
        NotesPlace::Beside => {
            let left = view.shown.max.x + 9.0 * unit;
            (left, left + COLUMN * unit)
        }
    };
    let says = |picture: &mut Picture, low: &mut f64, text: String| {
        *low -= 4.4 * unit;
        let at = Point::new(left, *low);
        picture.write(view.draft.words(at, Anchor::Start, 2.3, text));
    };
    if !without.is_empty() {
        let text = format!("{} too small for a number", counted(without.len(), "plate"));
        says(&mut picture, &mut low, text);
    }
    says(
        &mut picture,
        &mut low,
        "Each kind: its contours, numbered as in the program's comments".to_owned(),
    );
    let mut shelf = Shelf {
        at: Point::new(left, low - 4.0 * unit),
        left,
        right,
        low,
    };
    for piece in kinds(sheet) {
        let said = findings.get(piece).map_or(&[][..], Vec::as_slice);
        let enlarged = Enlarged::of(&view, &plates[piece]);
        let corner = shelf.next(enlarged.size(), 3.0 * unit);
        enlarged.draw(&mut picture, corner, said);
    }
    picture.framed(unit * 3.0)
}

/// Boxes side by side, row under row.
struct Shelf {
    /// The upper left corner of the next.
    at: Point,
    left: f64,
    right: f64,
    /// How low the row reaches.
    low: f64,
}

impl Shelf {
    /// The upper left corner of a box of a size, with room after it.
    fn next(&mut self, size: Vector, gap: f64) -> Point {
        if self.at.x > self.left && self.at.x + size.x > self.right {
            self.at = Point::new(self.left, self.low - gap);
        }
        let corner = self.at;
        self.low = self.low.min(corner.y - size.y);
        self.at.x += size.x + gap;
        corner
    }
}

/// A plate as it is shown beside its sheet.
struct Enlarged<'a> {
    view: &'a SheetView,
    cut: &'a CutPlate,
    factor: f64,
    bounds: Bounds,
    caption: String,
}

impl<'a> Enlarged<'a> {
    fn of(view: &'a SheetView, cut: &'a CutPlate) -> Self {
        let bounds = cut.plate.face.outside.bounds();
        let longer = bounds.width().max(bounds.height());
        Self {
            view,
            cut,
            // Never smaller than on the sheet.
            factor: (ENLARGED * view.draft.unit / longer).max(1.0),
            bounds,
            caption: cut.plate.name.clone(),
        }
    }

    /// With its name and the room around it, mm in the picture.
    fn size(&self) -> Vector {
        let unit = self.view.draft.unit;
        let around = 2.0 * AROUND * unit;
        let name = Words::length_of(&self.caption, NAME * unit);
        Vector::new(
            (self.bounds.width() * self.factor + around).max(name),
            self.bounds.height() * self.factor + around + (NAME + 1.0) * unit,
        )
    }

    fn draw(&self, picture: &mut Picture, corner: Point, findings: &[Finding]) {
        let (view, unit) = (self.view, self.view.draft.unit);
        let foot = corner - Vector::new(0.0, NAME * unit);
        let words = view
            .draft
            .words(foot, Anchor::Start, NAME, self.caption.clone());
        picture.write(words);
        let high_left = Point::new(self.bounds.min.x, self.bounds.max.y);
        let to = foot + Vector::new(AROUND, -AROUND - 1.0) * unit;
        let scaled = Scaled::upright(
            self.factor,
            to - Point::ORIGIN - (high_left - Point::ORIGIN) * self.factor,
        );
        let face = &self.cut.plate.face;
        let edges = face.contours();
        let chains: Vec<Chain> = edges.map(|it| scaled.contour(it)).collect();
        let pen = view.draft.pen(0.2, Ink::Edge, Dash::Solid);
        let edge_lines: Vec<Segment> = chains.iter().flat_map(|it| it.segments.clone()).collect();
        picture.draw(chains, Some(Ink::Plate), Some(pen));
        let runs = self.cut.prepared.paths.iter();
        let runs: Vec<(&CutPath, Vec<Segment>)> = runs
            .map(|path| {
                let segments = path.segments.iter().map(|it| scaled.segment(it));
                (path, segments.collect())
            })
            .collect();
        for (path, segments) in &runs {
            let (lead, run) = segments.split_at(path.lead_in);
            view.burn(picture, lead, run);
        }
        let lines = edge_lines.iter().chain(runs.iter().flat_map(|(_, it)| it));
        let lines: Vec<Point> = lines.flat_map(|it| it.paced(EVERY * unit)).collect();
        let room = Bounds {
            min: scaled.point(self.bounds.min),
            max: scaled.point(self.bounds.max),
        };
        let mut labels = Labels::new(unit, room.grown((AROUND - 0.5) * unit), &lines);
        for (_, segments) in &runs {
            let dot = Vector::new(1.4, 1.4) * unit;
            labels.take(around_middle(segments[0].start(), dot));
        }
        let centres = self.cut.plate.openings.iter();
        for at in centres
            .filter_map(Opening::marked_centre)
            .map(|it| scaled.point(it))
        {
            view.cross(picture, at);
            let size = Vector::new(2.0 * CROSS, 2.0 * CROSS) * unit;
            labels.take(around_middle(at, size));
        }
        view.warnings(picture, &mut labels, |at| scaled.point(at), findings);
        let mut numbered = 0;
        for (path, segments) in &runs {
            // With holding tabs, the first run of a contour has its number.
            let number = self.cut.prepared.contour_number(path.opening);
            if number > numbered {
                let at = (segments[0].start(), -segments[0].direction_at(0.0));
                view.order(picture, &mut labels, at, number);
                numbered = number;
            }
        }
    }
}

/// A plate as it comes off the table: holes that are only marked are not open.
fn undrilled(plate: &Plate) -> Face {
    let openings = plate.face.openings.iter().zip(&plate.openings);
    let cut = openings.filter(|(_, it)| it.marked_centre().is_none());
    Face {
        outside: plate.face.outside.clone(),
        openings: cut.map(|(contour, _)| contour.clone()).collect(),
    }
}
