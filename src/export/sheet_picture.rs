//! The picture of one sheet: its metal, the plates with their names, every cut path with lead, pierce
//! and place in the order, rapid moves, warnings where they are, and what is left over.
//!
//! Guaranteed: nothing rests on colour, no two labels overlap while there is room, and a sheet that
//! is little used is shown up to a break line, with the whole of it small beside.

use super::picture::{Anchor, Chain, Dash, Ink, Picture, Stroke, Words};
use super::sheet::{Along, CutPlate, CutSheet, beyond};
use super::sheet_labels::{Labels, around_middle};
use super::{Ends, sheet_notes};
use crate::cut::CutPath;
use crate::finding::Finding;
use crate::geometry::{Bounds, Circle, Contour, Face, Point, Region, Segment, Side, Vector};
use crate::nest::Placement;
use crate::plate::Plate;
use crate::quantity::format::{both_units, millimetres};

/// Room for the sheet itself on the printed page, mm: A4 and Letter upright, less margins and notes.
const ROOM: (f64, f64) = (166.0, 140.0);
/// The same if the notes stand beside it.
const ROOM_BESIDE_NOTES: (f64, f64) = (84.0, 195.0);
/// A sheet is broken off this far past what is used, as a share of its longer side in use.
const PAST_USED: f64 = 0.12;
/// Only a sheet of which less than this share is shown is worth breaking off.
const WORTH_BREAKING: f64 = 0.75;
/// Chord tolerance of a broken-off sheet with a curved edge, in picture units.
const CHORD: f64 = 0.02;

/// The picture of a sheet. `plates` are those of the run, which the sheet's placements point into,
/// and `findings` what is said of each.
#[must_use]
pub fn sheet_picture(sheet: &CutSheet, plates: &[CutPlate], findings: &[Vec<Finding>]) -> Picture {
    let view = View::of(sheet, plates);
    let mut picture = Picture::new(format!(
        "{}: {} {} on {}",
        sheet.name,
        sheet.material,
        millimetres(sheet.thickness),
        sheet.stock
    ));
    picture.enlarged = 1.0 / view.unit;
    view.metal(&mut picture, &sheet.outline);
    let faces: Vec<Face> = sheet
        .placements
        .iter()
        .map(|it| plates[it.piece].plate.face.posed(&it.pose))
        .collect();
    for face in &faces {
        picture.face(face, Ink::Plate, view.pen(0.2, Ink::Edge, Dash::Solid));
    }
    view.rapids(&mut picture, sheet);
    for (_, path) in &sheet.plan.paths {
        view.cut_path(&mut picture, path);
    }
    view.drill_marks(&mut picture, sheet, plates);
    let mut labels = view.labels(sheet, plates);
    view.left_over(&mut picture, &mut labels, sheet, plates);
    for (placement, face) in sheet.placements.iter().zip(&faces) {
        let text = label(&plates[placement.piece].plate, placement);
        view.name(&mut picture, &mut labels, face, text);
    }
    for placement in &sheet.placements {
        let said = findings.get(placement.piece).map_or(&[][..], Vec::as_slice);
        view.warnings(&mut picture, &mut labels, placement, said);
    }
    for (order, (_, path)) in sheet.plan.paths.iter().enumerate() {
        view.order(&mut picture, &mut labels, path, order + 1);
    }
    sheet_notes::write(&view, &mut picture, sheet, plates);
    picture.framed(view.unit * 3.0)
}

/// What of a sheet is shown, and line widths and letter heights that suit it.
pub(super) struct View {
    /// The part of the sheet that is shown, mm.
    pub(super) shown: Bounds,
    /// 1 mm on a printed page, mm: every width and height is a multiple.
    pub(super) unit: f64,
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

impl View {
    fn of(sheet: &CutSheet, plates: &[CutPlate]) -> Self {
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
        let (below, beside) = (unit(ROOM), unit(ROOM_BESIDE_NOTES));
        let (unit, notes) = if beside < below {
            (beside, NotesPlace::Beside)
        } else {
            (below, NotesPlace::Below)
        };
        Self {
            shown,
            unit,
            notes,
            extent,
        }
    }

    pub(super) fn pen(&self, width: f64, ink: Ink, dash: Dash) -> Stroke {
        Stroke {
            width: width * self.unit,
            ink,
            dash,
        }
    }

    /// The sheet, up to the break line if it is broken off.
    fn metal(&self, picture: &mut Picture, outline: &Region) {
        let edge = self.pen(0.5, Ink::Edge, Dash::Solid);
        if self.extent == Extent::Whole {
            picture.region(outline, Ink::Sheet, edge);
            return;
        }
        let Point { x: end, y: top } = self.shown.max;
        let mut filled = Vec::new();
        let mut edges = Vec::new();
        for contour in outline.contours() {
            let points = contour.flattened(CHORD * self.unit, Side::OnCurve);
            let kept = short_of(&short_of(&points, Along::X, end), Along::Y, top);
            let lines = closed_lines(&kept);
            let whole = outline.bounds();
            let is_break = |a: Point, b: Point| {
                (end < whole.max.x && a.x >= end && b.x >= end)
                    || (top < whole.max.y && a.y >= top && b.y >= top)
            };
            let shown = |it: &&Segment| !is_break(it.start(), it.end());
            edges.extend(lines.iter().filter(shown).map(|it| Chain::open(vec![*it])));
            if !lines.is_empty() {
                filled.push(Chain {
                    segments: lines,
                    ends: Ends::Closed,
                });
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
        let mut points = vec![from - along * self.unit];
        for share in [0.25, 0.75] {
            let middle = from.lerp(to, share);
            let zigzag = [(0.0, -1.6), (1.6, -0.8), (-1.6, 0.8), (0.0, 1.6)];
            let place = |(across, up): (f64, f64)| {
                middle + along.left() * (across * self.unit) + along * (up * self.unit)
            };
            points.extend(zigzag.map(place));
        }
        points.push(to + along * self.unit);
        let pen = self.pen(0.25, Ink::Edge, Dash::Solid);
        picture.stroke(Chain::open(lines_through(&points)), pen);
    }

    /// Rapid moves from where each path ends to the next pierce.
    fn rapids(&self, picture: &mut Picture, sheet: &CutSheet) {
        let from_the_first = sheet.plan.rapids.iter().skip(1);
        let moves = from_the_first
            .map(|way| Chain::open(lines_through(way)))
            .collect();
        picture.draw(moves, None, Some(self.pen(0.2, Ink::Aid, Dash::Dotted)));
    }

    /// The burn, its lead-in thicker, and the pierce as a dot.
    pub(super) fn cut_path(&self, picture: &mut Picture, path: &CutPath) {
        let (lead, run) = path.segments.split_at(path.lead_in);
        self.burn(picture, lead, run);
    }

    /// A lead-in and the run after it.
    pub(super) fn burn(&self, picture: &mut Picture, lead: &[Segment], run: &[Segment]) {
        if !run.is_empty() {
            let pen = self.pen(0.3, Ink::Burn, Dash::Solid);
            picture.stroke(Chain::open(run.to_vec()), pen);
        }
        if !lead.is_empty() {
            let pen = self.pen(0.6, Ink::Burn, Dash::Solid);
            picture.stroke(Chain::open(lead.to_vec()), pen);
        }
        if let Some(first) = lead.first().or_else(|| run.first()) {
            let dot = Circle {
                centre: first.start(),
                radius: 0.7 * self.unit,
            };
            picture.circle(dot, Some(Ink::Burn), None);
        }
    }

    /// A small cross where a hole is only centre-marked.
    fn drill_marks(&self, picture: &mut Picture, sheet: &CutSheet, plates: &[CutPlate]) {
        for at in drill_centres(sheet, plates) {
            self.cross(picture, at);
        }
    }

    pub(super) fn cross(&self, picture: &mut Picture, at: Point) {
        let arm = 0.9 * self.unit;
        let arms = [Vector::new(arm, arm), Vector::new(arm, -arm)];
        let lines = arms.map(|arm| Chain::line(at - arm, at + arm));
        let pen = self.pen(0.25, Ink::Mark, Dash::Solid);
        picture.draw(lines.to_vec(), None, Some(pen));
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
        let (along, across, away) = match sheet.along() {
            Along::X => (right, up * (max.y - min.y), -up),
            Along::Y => (up, right * (max.x - min.x), -right),
        };
        let far = min + along * used;
        let thin = self.pen(0.2, Ink::Aid, Dash::Solid);
        let low = min + away * (5.0 * self.unit);
        picture.stroke(Chain::line(low, low + along * used), thin);
        for end in [min, far] {
            let tick = Chain::line(end + away * self.unit, end + away * (6.0 * self.unit));
            picture.stroke(tick, thin);
        }
        let mut words = Words {
            turn: along.angle(),
            ..self.words(low, 2.4, format!("used {}", both_units(tenth(used))))
        };
        let length = Words::length_of(&words.text, words.height);
        // Words longer than their line stand past its end, where no tick runs through them.
        let start = if length < used - 2.0 * self.unit {
            (used - length) / 2.0
        } else {
            used + 1.5 * self.unit
        };
        words.at = low + along * start + Vector::from_angle(words.turn).left() * self.unit;
        labels.take(words.bounds());
        picture.write(words);
        let Some(rest) = sheet.remnant(plates) else {
            return;
        };
        let end = Chain::line(far, far + across);
        picture.stroke(end, self.pen(0.35, Ink::Edge, Dash::Dashed));
        let text = format!(
            "left {} × {}",
            millimetres(tenth(rest.length)),
            millimetres(tenth(rest.width))
        );
        let words = self.words(far.lerp(max, 0.5), 2.4, text);
        let fits = Words::length_of(&words.text, words.height) < 0.9 * (max.x - far.x);
        let (turn, aside) = if fits {
            (0.0, Vector::new(0.0, -0.5))
        } else {
            (std::f64::consts::FRAC_PI_2, Vector::new(0.5, 0.0))
        };
        let words = Words {
            anchor: Anchor::Middle,
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
        let runs = sheet.plan.paths.iter().flat_map(|(_, it)| &it.segments);
        for segment in edges.chain(runs) {
            let steps = (segment.length() / self.unit).ceil().max(1.0);
            lines.extend((0..steps as u32).map(|k| segment.point_at(f64::from(k) / steps)));
        }
        for at in drill_centres(sheet, plates) {
            // A hidden cross is as bad as a hidden stretch of line round it.
            lines.extend([at; 6]);
        }
        let mut within = self.shown.grown(3.0 * self.unit);
        within.min.y = self.shown.min.y;
        let mut labels = Labels::new(self.unit, within, lines);
        for (_, path) in &sheet.plan.paths {
            let dot = Vector::new(1.4, 1.4) * self.unit;
            labels.take(around_middle(path.pierce(), dot));
        }
        labels
    }

    /// Words that start at a point, their height in picture units.
    pub(super) fn words(&self, at: Point, height: f64, text: String) -> Words {
        Words {
            at,
            anchor: Anchor::Start,
            height: height * self.unit,
            turn: 0.0,
            ink: Ink::Edge,
            text,
        }
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

/// The centres of the holes that are only marked.
fn drill_centres<'a>(
    sheet: &'a CutSheet,
    plates: &'a [CutPlate],
) -> impl Iterator<Item = Point> + 'a {
    sheet.placements.iter().flat_map(|placement| {
        let drilled = plates[placement.piece].prepared.drill.iter();
        let marked = drilled.filter(|drill| drill.pilot.is_none());
        marked.map(|drill| placement.pose.point(drill.hole.centre))
    })
}

/// To a tenth of a millimetre: a sheet is sheared no closer.
pub(super) fn tenth(mm: f64) -> f64 {
    (mm * 10.0).round() / 10.0
}

/// The part of a polygon short of the line where the coordinate along is `end`.
fn short_of(polygon: &[Point], along: Along, end: f64) -> Vec<Point> {
    let turned = |p: &Point| Point::new(-p.x, -p.y);
    let points: Vec<Point> = polygon.iter().map(turned).collect();
    beyond(&points, along, -end).iter().map(turned).collect()
}

/// The lines from each point to the next.
pub(super) fn lines_through(points: &[Point]) -> Vec<Segment> {
    let line = |two: &[Point]| Segment::Line {
        start: two[0],
        end: two[1],
    };
    points.windows(2).map(line).collect()
}

/// The lines from each point to the next, and back to the first.
pub(super) fn closed_lines(points: &[Point]) -> Vec<Segment> {
    let mut points = points.to_vec();
    points.extend(points.first().copied());
    lines_through(&points)
}
