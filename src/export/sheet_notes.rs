//! The notes beside a sheet's picture: what it is, what the signs mean, and, if only a part of it is
//! shown, the whole of it small.

use std::collections::BTreeSet;

use super::picture::{Anchor, Chain, Dash, Ink, Picture};
use super::sheet_tags::warned_places;
use super::sheet_view::{Extent, NotesPlace, SheetView, drill_centres, holding_tabs, label};
use crate::cut::HoldingTab;
use crate::finding::Finding;
use crate::geometry::{Bounds, Contour, Point, Segment, Side, Vector};
use crate::lettering;
use crate::quantity::format::{both_units, counted, millimetres, tenth};
use crate::sheet::{CutPlate, CutSheet};

/// Width of a column of notes, in picture units.
const COLUMN: f64 = 82.0;
/// Height of the words, in picture units.
const HEIGHT: f64 = 2.3;
/// From one line of words to the next, in picture units.
const LINE: f64 = 4.4;
/// The longer side of the small whole sheet, in picture units.
const SMALL: f64 = 46.0;
/// Chord tolerance on the small sheet, in picture units.
const CHORD: f64 = 0.05;

/// What the picture tells by numbers.
pub(super) enum Shown<'a> {
    /// The place of every run in the order.
    Runs,
    /// The plates in the order in which they come free, by placement.
    Plates(&'a [usize]),
}

/// Writes the notes; gives how low they reach.
pub(super) fn write(
    view: &SheetView,
    picture: &mut Picture,
    sheet: &CutSheet,
    plates: &[CutPlate],
    findings: &[Vec<Finding>],
    shown: &Shown<'_>,
) -> f64 {
    let Bounds { min, max } = view.shown;
    let start = match view.notes {
        NotesPlace::Below => Point::new(min.x, min.y - 9.0 * view.draft.unit),
        NotesPlace::Beside => Point::new(max.x + 9.0 * view.draft.unit, max.y),
    };
    let mut notes = Notes {
        view,
        picture,
        at: start,
    };
    notes.says(sheet, plates);
    match shown {
        Shown::Runs => notes.in_windows(sheet, plates),
        Shown::Plates(numbers) => notes.kinds(sheet, plates, numbers),
    }
    notes.down(3.0);
    let low = notes.at.y;
    if view.notes == NotesPlace::Below {
        notes.at = start + Vector::new(COLUMN + 8.0, 0.0) * view.draft.unit;
    }
    notes.signs(sheet, plates, findings, shown);
    if view.extent == Extent::BrokenOff {
        notes.whole(sheet, plates);
    }
    low.min(notes.at.y)
}

/// The plates of a sheet, each kind once, in the run's order.
pub(super) fn kinds(sheet: &CutSheet) -> BTreeSet<usize> {
    sheet.placements.iter().map(|it| it.piece).collect()
}

/// Numbers in rising order as people say them: `1 to 4, 9`.
fn ranges(numbers: &[usize]) -> String {
    let runs = numbers.chunk_by(|a, b| a + 1 == *b);
    let says = runs.map(|run| match *run {
        [one] => one.to_string(),
        [a, b] => format!("{a}, {b}"),
        _ => format!("{} to {}", run[0], run[run.len() - 1]),
    });
    says.collect::<Vec<_>>().join(", ")
}

/// Notes on their way down a column.
struct Notes<'a> {
    view: &'a SheetView,
    picture: &'a mut Picture,
    /// The upper left corner of what is left of the column.
    at: Point,
}

impl Notes<'_> {
    fn down(&mut self, units: f64) {
        self.at.y -= units * self.view.draft.unit;
    }

    /// Words in as many lines as the column needs.
    fn wrapped(&mut self, height: f64, text: &str) {
        for line in lettering::wrapped(text, " ", height, COLUMN) {
            self.down(height);
            let words = self.view.draft.words(self.at, Anchor::Start, height, line);
            self.picture.write(words);
            self.down(LINE - HEIGHT);
        }
    }

    /// What the sheet is and what becomes of it.
    fn says(&mut self, sheet: &CutSheet, plates: &[CutPlate]) {
        self.wrapped(3.6, &sheet.name);
        let mut runs = format!(
            "{}, {}",
            counted(sheet.placements.len(), "plate"),
            counted(sheet.plan.runs(), "run")
        );
        let mut corner = None;
        if sheet.corner(plates).is_some() {
            corner = Some(format!("used {}", sheet.used_says(plates)));
        } else {
            let used = both_units(tenth(sheet.used_length(plates)));
            runs = format!("{runs}, used {used}");
        }
        let mut lines = vec![
            format!("{} {}", sheet.material, both_units(sheet.thickness)),
            sheet.stock.clone(),
            format!(
                "{} along × {} across, kerf {}",
                millimetres(sheet.length()),
                millimetres(sheet.width()),
                millimetres(sheet.kerf)
            ),
            runs,
        ];
        lines.extend(corner);
        let tabs = holding_tabs(sheet, plates).count();
        if tabs > 0 {
            lines.push(format!("{} to snip", counted(tabs, "holding tab")));
        }
        lines.extend(
            sheet
                .remnant(plates)
                .map(|rest| format!("left {}", rest.says())),
        );
        for line in lines {
            self.wrapped(HEIGHT, &line);
        }
    }

    /// Which plates lie in windows of others.
    fn in_windows(&mut self, sheet: &CutSheet, plates: &[CutPlate]) {
        let name = |at: usize| {
            let placement = &sheet.placements[at];
            label(&plates[placement.piece].plate, placement)
        };
        let inside = sheet.placements.iter().enumerate();
        let lines = inside.filter_map(|(at, it)| {
            let around = it.inside?;
            Some(format!("in a window: {} in {}", name(at), name(around)))
        });
        for line in lines.collect::<Vec<_>>() {
            self.wrapped(HEIGHT, &line);
        }
    }

    /// The plates by kind with their numbers.
    fn kinds(&mut self, sheet: &CutSheet, plates: &[CutPlate], numbers: &[usize]) {
        let inside = sheet
            .placements
            .iter()
            .filter(|it| it.inside.is_some())
            .count();
        if inside > 0 {
            self.wrapped(
                HEIGHT,
                &format!("{} in windows of others", counted(inside, "plate")),
            );
        }
        self.wrapped(HEIGHT, "Plates by kind, numbered as they come free:");
        for piece in kinds(sheet) {
            let of_kind = sheet.placements.iter().zip(numbers);
            let of_kind = of_kind.filter(|(it, _)| it.piece == piece);
            let mut of_kind: Vec<usize> = of_kind.map(|(_, number)| *number).collect();
            of_kind.sort_unstable();
            let (name, count) = (&plates[piece].plate.name, of_kind.len());
            self.wrapped(HEIGHT, &format!("{count} × {name}: {}", ranges(&of_kind)));
        }
    }

    /// What the signs that are on it mean.
    fn signs(
        &mut self,
        sheet: &CutSheet,
        plates: &[CutPlate],
        findings: &[Vec<Finding>],
        shown: &Shown<'_>,
    ) {
        let unit = self.view.draft.unit;
        self.wrapped(HEIGHT, "Signs");
        let level = |at: Point, from: f64, to: f64| Segment::Line {
            start: at + Vector::new(from, 0.0) * unit,
            end: at + Vector::new(to, 0.0) * unit,
        };
        let run = match shown {
            Shown::Runs => "a run: pierce, lead-in, cut, order",
            Shown::Plates(_) => "a run: pierce, lead-in, cut",
        };
        self.sign(run, |view, picture, at| {
            view.burn(picture, &[level(at, 1.0, 4.0)], &[level(at, 4.0, 10.0)]);
        });
        self.sign("torch moves without cutting", |view, picture, at| {
            let pen = view.draft.pen(0.2, Ink::Aid, Dash::Dotted);
            picture.stroke(Chain::open(vec![level(at, 0.0, 10.0)]), pen);
        });
        if drill_centres(sheet, plates).next().is_some() {
            self.sign("centre to punch and drill", |view, picture, at| {
                view.cross(picture, at + Vector::new(5.0, 0.0) * unit);
            });
        }
        if holding_tabs(sheet, plates).next().is_some() {
            self.sign("holding tab: a stretch left uncut", |view, picture, at| {
                let tab = HoldingTab {
                    opening: None,
                    at: at + Vector::new(4.0, 0.0) * unit,
                    into_plate: Vector::new(1.0, 0.0),
                    width: 0.0,
                };
                view.tab(picture, &tab);
            });
        }
        let said = sheet.placements.iter();
        let said = said.filter_map(|it| findings.get(it.piece));
        if said.flat_map(|it| warned_places(it)).next().is_some() {
            self.sign("warning, numbered as in the report", |view, picture, at| {
                view.triangle(picture, at + Vector::new(5.0, 0.2) * unit, 1);
            });
        }
        if sheet.remnant(plates).is_some() {
            self.sign("end of what is used", |view, picture, at| {
                let pen = view.draft.pen(0.35, Ink::Edge, Dash::Dashed);
                picture.stroke(Chain::open(vec![level(at, 0.0, 10.0)]), pen);
            });
        }
        self.down(3.0);
    }

    /// A sign and what it means.
    fn sign(&mut self, says: &str, draw: impl Fn(&SheetView, &mut Picture, Point)) {
        self.down(HEIGHT + 0.6);
        let unit = self.view.draft.unit;
        let middle = self.at + Vector::new(0.0, HEIGHT / 2.0 * unit);
        draw(self.view, self.picture, middle);
        let place = self.at + Vector::new(13.0, 0.0) * unit;
        let draft = &self.view.draft;
        let words = draft.words(place, Anchor::Start, HEIGHT, says.to_owned());
        self.picture.write(words);
        self.down(LINE - HEIGHT);
    }

    /// The whole sheet, small: what is shown large is dark.
    fn whole(&mut self, sheet: &CutSheet, plates: &[CutPlate]) {
        let unit = self.view.draft.unit;
        self.wrapped(HEIGHT, "The whole sheet, and what of it is used");
        self.down(1.0);
        let bounds = sheet.outline.bounds();
        let scale = SMALL * unit / bounds.width().max(bounds.height());
        let corner = Point::new(bounds.min.x, bounds.max.y);
        let small = |contour: &Contour| {
            let points = contour.flattened(CHORD * unit / scale, Side::OnCurve);
            let place = |p: Point| self.at + (p - corner) * scale;
            Chain::polygon(&points.into_iter().map(place).collect::<Vec<_>>())
        };
        let metal = sheet.outline.contours().map(small).collect();
        let parts = sheet.placements.iter().map(|it| {
            let outside = &plates[it.piece].plate.face.outside;
            small(&outside.posed(&it.pose))
        });
        let parts: Vec<Chain> = parts.collect();
        let edge = self.view.draft.pen(0.3, Ink::Edge, Dash::Solid);
        self.picture.draw(metal, Some(Ink::Sheet), Some(edge));
        for part in parts {
            self.picture.draw(vec![part], Some(Ink::Aid), None);
        }
        self.at.y -= bounds.height() * scale;
    }
}

#[cfg(test)]
mod tests {
    use super::ranges;

    #[test]
    fn numbers_in_a_row_are_told_as_one() {
        assert_eq!(ranges(&[1, 2, 3, 4, 9, 12, 13]), "1 to 4, 9, 12, 13");
        assert_eq!(ranges(&[5]), "5");
    }
}
