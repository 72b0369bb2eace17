//! How a sheet is seen: how much of it, how large, where its notes stand; and the lines and words that
//! every part of its picture is drawn with.

use super::drafting::Drafting;
use super::marks;
use super::picture::{Chain, Dash, Ink, Picture};
use crate::cut::{CutPath, HoldingTab, Reach, ScrapCut, ScrapWork};
use crate::geometry::{Bounds, Circle, Point, Segment};
use crate::nest::Placement;
use crate::plate::{Opening, Plate};
use crate::sheet::{Along, CutPlate, CutSheet};

/// Room for the sheet itself on the printed page, mm: A4 and Letter upright, less margins and notes.
const ROOM: (f64, f64) = (166.0, 140.0);
/// The same if the notes stand beside it.
const ROOM_BESIDE_NOTES: (f64, f64) = (84.0, 195.0);
/// The same for a crowded sheet: A3, lying or upright.
const LARGE_ROOM: (f64, f64) = (390.0, 185.0);
const LARGE_ROOM_BESIDE_NOTES: (f64, f64) = (185.0, 390.0);
/// A sheet is broken off this far past what is used, as a share of its longer side in use.
const PAST_USED: f64 = 0.12;
/// Only a sheet of which less than this share is shown is worth breaking off.
const WORTH_BREAKING: f64 = 0.75;

/// Half the width of a cross where a hole is drilled, in picture units.
pub(super) const CROSS: f64 = 0.9;

/// What of a sheet is shown, and line widths and letter heights that suit it.
pub(super) struct SheetView {
    /// The part of the sheet that is shown, mm.
    pub(super) shown: Bounds,
    /// Pens and letters.
    pub(super) draft: Drafting,
    /// Where the notes stand.
    pub(super) notes: NotesPlace,
    /// Whether all of the sheet is shown.
    pub(super) extent: Extent,
}

/// Where the notes of a sheet stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NotesPlace {
    /// Below it.
    Below,
    /// To its right: it is tall.
    Beside,
}

/// How much of a sheet is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Extent {
    /// All of it.
    Whole,
    /// Up to a break line some way past what is used.
    BrokenOff,
}

impl SheetView {
    /// On a page of A4.
    pub(super) fn of(sheet: &CutSheet, plates: &[CutPlate]) -> Self {
        Self::in_room(sheet, plates, ROOM, ROOM_BESIDE_NOTES)
    }

    /// On a page of A3.
    pub(super) fn large(sheet: &CutSheet, plates: &[CutPlate]) -> Self {
        Self::in_room(sheet, plates, LARGE_ROOM, LARGE_ROOM_BESIDE_NOTES)
    }

    fn in_room(
        sheet: &CutSheet,
        plates: &[CutPlate],
        room: (f64, f64),
        room_beside: (f64, f64),
    ) -> Self {
        let whole = sheet.outline.bounds();
        let used = sheet.reach(plates, Along::X);
        let high = sheet.reach(plates, Along::Y);
        let past = PAST_USED * used.max(high);
        let broken_off = |from: f64, to: f64, used: f64| {
            let end = from + used + past;
            (used > 0.0 && end - from < WORTH_BREAKING * (to - from)).then_some(end)
        };
        let end = broken_off(whole.min.x, whole.max.x, used);
        let top = broken_off(whole.min.y, whole.max.y, high);
        let extent = match (end, top) {
            (None, None) => Extent::Whole,
            _ => Extent::BrokenOff,
        };
        let far = Point::new(end.unwrap_or(whole.max.x), top.unwrap_or(whole.max.y));
        let shown = Bounds {
            min: whole.min,
            max: far,
        };
        let unit = |(across, down): (f64, f64)| (shown.width() / across).max(shown.height() / down);
        let (below, beside) = (unit(room), unit(room_beside));
        let (unit, notes) = if beside < below {
            (beside, NotesPlace::Beside)
        } else {
            (below, NotesPlace::Below)
        };
        Self {
            shown,
            draft: Drafting {
                unit,
                thin: 0.2,
                letters: 2.4,
            },
            notes,
            extent,
        }
    }

    /// The burn, its lead-in thicker, and the pierce as a dot.
    pub(super) fn cut_path(&self, picture: &mut Picture, path: &CutPath) {
        let (lead, run) = path.segments.split_at(path.lead_in);
        self.burn(picture, lead, run);
    }

    /// A lead-in and the run after it.
    pub(super) fn burn(&self, picture: &mut Picture, lead: &[Segment], run: &[Segment]) {
        if !run.is_empty() {
            let pen = self.draft.pen(0.3, Ink::Burn, Dash::Solid);
            picture.stroke(Chain::open(run.to_vec()), pen);
        }
        if !lead.is_empty() {
            let pen = self.draft.pen(0.6, Ink::Burn, Dash::Solid);
            picture.stroke(Chain::open(lead.to_vec()), pen);
        }
        if let Some(first) = lead.first().or_else(|| run.first()) {
            let dot = Circle {
                centre: first.start(),
                radius: 0.7 * self.draft.unit,
            };
            picture.circle(dot, Some(Ink::Burn), None);
        }
    }

    /// A hollow triangle in the plate, its tip on the edge where a holding tab stays.
    pub(super) fn tab(&self, picture: &mut Picture, tab: &HoldingTab) {
        let (tip, half) = (tab.at, tab.into_plate.left() * (0.7 * self.draft.unit));
        let back = tip + tab.into_plate * (1.9 * self.draft.unit);
        let outline = Chain::polygon(&[tip, back + half, back - half]);
        let pen = self.draft.pen(0.25, Ink::Edge, Dash::Solid);
        picture.draw(vec![outline], Some(Ink::Sheet), Some(pen));
    }

    pub(super) fn cross(&self, picture: &mut Picture, at: Point) {
        let pen = self.draft.pen(0.25, Ink::Mark, Dash::Solid);
        marks::cross(picture, at, pen, CROSS * self.draft.unit);
    }
}

/// A plate's name, and which copy it is if there are several.
pub(super) fn label(plate: &Plate, placement: &Placement) -> String {
    if plate.quantity > 1 {
        format!("{} {}", plate.name, placement.copy + 1)
    } else {
        plate.name.clone()
    }
}

/// What a run cuts: the opening of a plate, or its outside.
#[must_use]
pub fn run_says(plate: &Plate, placement: &Placement, path: &CutPath) -> String {
    let what = path
        .opening
        .map_or("outside", |index| plate.openings[index].name.as_str());
    let across = match path.reach {
        Reach::AcrossSlug => "across the slug of ",
        Reach::BesideCut => "from the cut it shares, ",
        Reach::Whole | Reach::BetweenTabs => "",
    };
    format!("{across}{what} of {}", label(plate, placement))
}

/// What a run in the skeleton is for.
#[must_use]
pub fn scrap_says(cut: &ScrapCut) -> &'static str {
    match cut.work {
        ScrapWork::Skeleton => "through the skeleton",
        ScrapWork::CutOff => "parts what is left from the skeleton",
    }
}

/// The centres of the holes that are only marked, and of those that are drilled for runs to begin in.
pub(super) fn drill_centres<'a>(
    sheet: &'a CutSheet,
    plates: &'a [CutPlate],
) -> impl Iterator<Item = Point> + 'a {
    let of_plates = sheet.placements.iter().flat_map(|placement| {
        let openings = plates[placement.piece].plate.openings.iter();
        let marked = openings.filter_map(Opening::marked_centre);
        marked.map(|centre| placement.pose.point(centre))
    });
    of_plates.chain(sheet.plan.drilled_starts().map(|(at, _)| at))
}

/// Where plates and slugs stay tied to a sheet.
pub(super) fn holding_tabs<'a>(
    sheet: &'a CutSheet,
    plates: &'a [CutPlate],
) -> impl Iterator<Item = HoldingTab> + 'a {
    sheet.placements.iter().flat_map(|placement| {
        let tabs = plates[placement.piece].prepared.tabs.iter();
        tabs.map(|tab| tab.posed(&placement.pose))
    })
}
