//! What every picture of a sheet has: its metal, the plates, every cut path with lead and pierce, rapid
//! moves, and what is left over; and the room between them for names and numbers.
//!
//! A sheet that is little used is shown up to a break line.

use super::ids;
use super::labels::{Labels, around_middle};
use super::picture::{Anchor, Chain, Dash, Ink, Picture, Tag, Words};
use super::sheet_view::{
    CROSS, Extent, SheetView, drill_centres, holding_tabs, label, run_says, scrap_says,
};
use crate::geometry::{Bounds, Contour, Point, Region, Segment, Side, Vector};
use crate::quantity::format::{both_units, millimetres, tenth};
use crate::sheet::{Along, CutPlate, CutSheet, short_of};

/// Chord tolerance of a broken-off sheet with a curved edge, in picture units.
const CHORD: f64 = 0.02;

/// Where the centres to drill are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum DrillMarks {
    /// On the sheet.
    Here,
    /// On the enlarged views of its plates.
    Elsewhere,
}

impl SheetView {
    /// The picture without names and numbers, and what is left of its room for them.
    pub(super) fn begun(
        &self,
        sheet: &CutSheet,
        plates: &[CutPlate],
        marks: DrillMarks,
    ) -> (Picture, Labels) {
        let mut picture = Picture::new(format!(
            "{}: {} {} on {}",
            sheet.name,
            sheet.material,
            millimetres(sheet.thickness),
            sheet.stock
        ));
        picture.enlarged = 1.0 / self.draft.unit;
        self.metal(&mut picture, &sheet.outline);
        for (index, placement) in sheet.placements.iter().enumerate() {
            let plate = &plates[placement.piece].plate;
            let face = plate.face.posed(&placement.pose);
            let edge = self.draft.pen(0.2, Ink::Edge, Dash::Solid);
            let tag = Tag::new("plate", label(plate, placement));
            picture.grouped(tag.id(ids::placement(&sheet.name, index)), |picture| {
                picture.face(&face, Ink::Plate, edge);
            });
        }
        self.rapids(&mut picture, sheet);
        for (number, (index, path)) in (1..).zip(&sheet.plan.paths) {
            let placement = &sheet.placements[*index];
            let says = run_says(&plates[placement.piece].plate, placement, path);
            let tag = Tag::new("run", format!("run {number}: {says}"));
            picture.grouped(tag.id(ids::run(&sheet.name, number)), |picture| {
                self.cut_path(picture, path);
            });
        }
        let first = sheet.plan.paths.len() + 1;
        for (number, cut) in (first..).zip(&sheet.plan.scrap) {
            let tag = Tag::new("run", format!("run {number}: {}", scrap_says(cut)));
            picture.grouped(tag.id(ids::run(&sheet.name, number)), |picture| {
                self.burn(picture, &[], &cut.segments);
            });
        }
        if marks == DrillMarks::Here {
            self.drill_marks(&mut picture, sheet, plates);
        }
        for tab in holding_tabs(sheet, plates) {
            self.tab(&mut picture, &tab);
        }
        let mut labels = self.labels(sheet, plates);
        if marks == DrillMarks::Here {
            for at in drill_centres(sheet, plates) {
                let cross = Vector::new(2.0 * CROSS, 2.0 * CROSS) * self.draft.unit;
                labels.take(around_middle(at, cross));
            }
        }
        self.left_over(&mut picture, &mut labels, sheet, plates);
        (picture, labels)
    }

    /// The sheet, up to the break line if it is broken off.
    fn metal(&self, picture: &mut Picture, outline: &Region) {
        let edge = self.draft.pen(0.5, Ink::Edge, Dash::Solid);
        if self.extent == Extent::Whole {
            picture.region(outline, Ink::Sheet, edge);
            return;
        }
        let Point { x: end, y: top } = self.shown.max;
        let mut filled = Vec::new();
        let mut edges = Vec::new();
        for contour in outline.contours() {
            let points = contour.flattened(CHORD * self.draft.unit, Side::OnCurve);
            let kept = short_of(&short_of(&points, Along::X, end), Along::Y, top);
            let edge = Chain::polygon(&kept);
            let whole = outline.bounds();
            let is_break = |a: Point, b: Point| {
                (end < whole.max.x && a.x >= end && b.x >= end)
                    || (top < whole.max.y && a.y >= top && b.y >= top)
            };
            let shown = |it: &&Segment| !is_break(it.start(), it.end());
            let shown = edge.segments.iter().filter(shown);
            edges.extend(shown.map(|it| Chain::open(vec![*it])));
            if !kept.is_empty() {
                filled.push(edge);
            }
        }
        picture.draw(filled, Some(Ink::Sheet), None);
        picture.draw(edges, None, Some(edge));
        let (low_right, high_left) = (
            Point::new(end, self.shown.min.y),
            Point::new(self.shown.min.x, top),
        );
        if end < outline.bounds().max.x {
            self.break_line(picture, low_right, self.shown.max);
        }
        if top < outline.bounds().max.y {
            self.break_line(picture, high_left, self.shown.max);
        }
    }

    /// A thin line with zigzags (ISO 128): the sheet goes on.
    fn break_line(&self, picture: &mut Picture, from: Point, to: Point) {
        let along = (to - from).unit().unwrap_or_default();
        let mut points = vec![from - along * self.draft.unit];
        for share in [0.25, 0.75] {
            let middle = from.lerp(to, share);
            let zigzag = [(0.0, -1.6), (1.6, -0.8), (-1.6, 0.8), (0.0, 1.6)];
            let place = |(across, up): (f64, f64)| {
                middle + along.left() * (across * self.draft.unit) + along * (up * self.draft.unit)
            };
            points.extend(zigzag.map(place));
        }
        points.push(to + along * self.draft.unit);
        let pen = self.draft.pen(0.25, Ink::Edge, Dash::Solid);
        picture.stroke(Chain::through(&points), pen);
    }

    /// Rapid moves from where each path ends to the next pierce.
    fn rapids(&self, picture: &mut Picture, sheet: &CutSheet) {
        let from_the_first = sheet.plan.rapids.iter().skip(1);
        let moves = from_the_first.map(|way| Chain::through(way)).collect();
        picture.draw(
            moves,
            None,
            Some(self.draft.pen(0.2, Ink::Aid, Dash::Dotted)),
        );
    }

    /// A small cross where a hole is only centre-marked.
    fn drill_marks(&self, picture: &mut Picture, sheet: &CutSheet, plates: &[CutPlate]) {
        for at in drill_centres(sheet, plates) {
            picture.grouped(Tag::new("mark", "centre to drill"), |picture| {
                self.cross(picture, at);
            });
        }
    }

    /// How far the sheet is used, along its lower or its left edge, the line that everything cut
    /// stays short of, and the remnant beyond.
    fn left_over(
        &self,
        picture: &mut Picture,
        labels: &mut Labels,
        sheet: &CutSheet,
        plates: &[CutPlate],
    ) {
        let Bounds { min, max } = self.shown;
        let used = sheet.used_length(plates);
        let (right, up) = (Vector::new(1.0, 0.0), Vector::new(0.0, 1.0));
        let (along, across, away) = match sheet.along {
            Along::X => (right, up * (max.y - min.y), -up),
            Along::Y => (up, right * (max.x - min.x), -right),
        };
        let far = min + along * used;
        let thin = self.draft.pen(0.2, Ink::Aid, Dash::Solid);
        let low = min + away * (5.0 * self.draft.unit);
        picture.stroke(Chain::line(low, low + along * used), thin);
        for end in [min, far] {
            let tick = Chain::line(
                end + away * self.draft.unit,
                end + away * (6.0 * self.draft.unit),
            );
            picture.stroke(tick, thin);
        }
        let mut words = Words {
            turn: along.angle(),
            ..self.draft.words(
                low,
                Anchor::Start,
                2.4,
                format!("used {}", both_units(tenth(used))),
            )
        };
        let length = words.length();
        // Words longer than their line stand past its end, where no tick runs through them.
        let start = if length < used - 2.0 * self.draft.unit {
            (used - length) / 2.0
        } else {
            used + 1.5 * self.draft.unit
        };
        words.at = low + along * start + Vector::from_angle(words.turn).left() * self.draft.unit;
        labels.take(words.bounds());
        picture.write(words);
        let Some(rest) = sheet.remnant(plates) else {
            return;
        };
        let end = match sheet.corner(plates) {
            None => Chain::line(far, far + across),
            Some((x, y)) => {
                let corner = min + Vector::new(x, y);
                Chain::through(&[
                    Point::new(corner.x, min.y),
                    corner,
                    Point::new(min.x, corner.y),
                ])
            }
        };
        picture.stroke(end, self.draft.pen(0.35, Ink::Edge, Dash::Dashed));
        let text = format!("left {}", rest.label());
        let words = self
            .draft
            .words(far.lerp(max, 0.5), Anchor::Middle, 2.4, text);
        let fits = words.length() < 0.9 * (max.x - far.x);
        let (turn, aside) = if fits {
            (0.0, Vector::new(0.0, -0.5))
        } else {
            (std::f64::consts::FRAC_PI_2, Vector::new(0.5, 0.0))
        };
        let words = Words {
            turn,
            at: words.at + aside * words.height,
            ..words
        };
        labels.take(words.bounds());
        picture.write(words);
    }

    /// The places that labels must leave free, and the lines they should.
    fn labels(&self, sheet: &CutSheet, plates: &[CutPlate]) -> Labels {
        let mut lines = Vec::new();
        let edges = sheet.outline.contours().flat_map(Contour::segments);
        let runs = sheet.plan.burnt();
        lines.extend(edges.chain(runs).flat_map(|it| it.paced(self.draft.unit)));
        for tab in holding_tabs(sheet, plates) {
            lines.extend([tab.at + tab.into_plate * self.draft.unit; 6]);
        }
        let mut within = self.shown.grown(3.0 * self.draft.unit);
        within.min.y = self.shown.min.y;
        let mut labels = Labels::new(self.draft.unit, within, &lines);
        for pierce in sheet.plan.pierces() {
            let dot = Vector::new(1.4, 1.4) * self.draft.unit;
            labels.take(around_middle(pierce, dot));
        }
        labels
    }
}
