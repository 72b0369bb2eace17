//! The picture of one sheet: its metal, the plates with their names, every cut path with lead, pierce
//! and place in the order, rapid moves, warnings where they are, and what is left over.
//!
//! Guaranteed: nothing rests on colour, no two labels overlap, a sheet on which not all of them can be read
//! is told otherwise (`sheet_of_many`), and one that is little used is shown up to a break line, with the
//! whole of it small beside.

use super::picture::Picture;
use super::sheet_ground::DrillMarks;
use super::sheet_notes::{self, Shown};
use super::sheet_of_many::sheet_of_many;
use super::sheet_view::{SheetView, label};
use crate::finding::Finding;
use crate::sheet::{CutPlate, CutSheet};

/// Of more runs than this the picture shows no numbers, whatever their places.
const MOST_RUNS: usize = 300;

/// The picture of a sheet. `plates` are those of the run, which the sheet's placements point into,
/// and `findings` what is said of each. Every run has its number, and every plate its name, if nearly all of
/// them stand beside what they are about; else plates by number and kind.
#[must_use]
pub fn sheet_picture(sheet: &CutSheet, plates: &[CutPlate], findings: &[Vec<Finding>]) -> Picture {
    let every_run = (sheet.plan.runs() <= MOST_RUNS)
        .then(|| sheet_of_few(sheet, plates, findings))
        .flatten();
    every_run.unwrap_or_else(|| sheet_of_many(sheet, plates, findings))
}

/// With every run's number, if that can be read.
fn sheet_of_few(
    sheet: &CutSheet,
    plates: &[CutPlate],
    findings: &[Vec<Finding>],
) -> Option<Picture> {
    let view = SheetView::of(sheet, plates);
    let (mut picture, mut labels) = view.begun(sheet, plates, DrillMarks::Here);
    for placement in &sheet.placements {
        let CutPlate { plate, .. } = &plates[placement.piece];
        let face = plate.face.posed(&placement.pose);
        view.name(&mut picture, &mut labels, &face, label(plate, placement));
    }
    for placement in &sheet.placements {
        let said = findings.get(placement.piece).map_or(&[][..], Vec::as_slice);
        let place = |at| placement.pose.point(at);
        view.warnings(&mut picture, &mut labels, place, said);
    }
    let of_plates = sheet.plan.paths.iter().map(|(_, path)| &path.segments[0]);
    let firsts = of_plates.chain(sheet.plan.scrap.iter().map(|cut| &cut.segments[0]));
    for (order, first) in (1..).zip(firsts) {
        let away = -first.direction_at(0.0);
        view.order(&mut picture, &mut labels, (first.start(), away), order);
    }
    if !labels.are_legible() {
        return None;
    }
    sheet_notes::write(&view, &mut picture, sheet, plates, findings, &Shown::Runs);
    Some(picture.framed(view.draft.unit * 3.0))
}
