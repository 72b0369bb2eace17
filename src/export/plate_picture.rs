//! The picture of one plate: outline, openings, centre lines, marks, folds, sizes and findings.
//!
//! Sizes are nominal. Lines follow ISO 128: outlines thick, the rest thin, centre lines long-dash-dot
//! and past the edge, fold lines dashed. Guaranteed: every kind of opening is called out, and the
//! number of a finding hides no opening while there is room beside it.

use super::marks;
use super::opening_group::{self, Group};
use super::picture::{Anchor, Chain, Dash, Ink, Item, Picture, Stroke, Words};
use super::scaled::Scaled;
use super::sheet_labels::Labels;
use crate::check::{Finding, Level};
use crate::geometry::{Bounds, Circle, Point, Segment, Vector};
use crate::plate::{Bend, Fold, Plate};
use crate::quantity::format::{both_units, decimal, degrees, millimetres};

/// The picture of a plate. Findings that have a place are marked with their number, from 1 in the
/// order given.
#[must_use]
pub fn plate_picture(plate: &Plate, findings: &[Finding]) -> Picture {
    let sheet = Drafting::of(plate);
    let mut picture = Picture::new(format!(
        "{}: {} {}",
        plate.name,
        plate.material,
        millimetres(plate.thickness)
    ));
    picture.enlarged = 1.0 / sheet.unit;
    let groups = opening_group::groups(plate);
    picture.face(&plate.face, Ink::Plate, sheet.thick());
    sheet.centre_lines(&mut picture, plate, &groups);
    for mark in &plate.marks {
        let pen = sheet.pen(0.25, Ink::Mark, Dash::Solid);
        marks::draw(&mut picture, mark, Scaled::TRUE, pen, 1.5 * sheet.unit);
    }
    for bend in &plate.bends {
        sheet.bend(&mut picture, bend);
    }
    sheet.callouts(&mut picture, plate, &groups);
    sheet.overall_sizes(&mut picture);
    sheet.caption(&mut picture, plate);
    sheet.markers(&mut picture, plate, findings);
    picture.framed(sheet.unit * 3.0)
}

/// The longer side of the plate itself on paper, mm: a small plate is not shrunk, and a large one
/// leaves room for another on the page.
const ON_PAPER: (f64, f64) = (45.0, 62.0);

/// Longest line of a call-out, in picture units: with the plate it is as wide as a page.
const CALLOUT: f64 = 82.0;

/// How far past a quarter turn a line may run, by rounding, and still be read from the right, radians.
const ANGLE_SLACK: f64 = 1e-6;

/// How much a leader may climb, the best first: never level, or it could be taken for a centre line.
const LEADER_SLOPES: [f64; 6] = [0.2, -0.2, 0.35, -0.35, 0.1, -0.1];

/// How many radii of another hole a leader keeps from its centre.
const LEADER_ROOM: f64 = 1.4;

/// Line widths, letter heights and places that suit the size of a plate.
struct Drafting {
    /// The box around the plate, mm.
    bounds: Bounds,
    /// 1 mm on paper: every width and height is a multiple.
    unit: f64,
}

impl Drafting {
    fn of(plate: &Plate) -> Self {
        let bounds = plate.face.outside.bounds();
        let longer = bounds.width().max(bounds.height());
        Self {
            bounds,
            unit: longer / longer.clamp(ON_PAPER.0, ON_PAPER.1),
        }
    }

    fn pen(&self, width: f64, ink: Ink, dash: Dash) -> Stroke {
        Stroke {
            width: width * self.unit,
            ink,
            dash,
        }
    }

    fn thick(&self) -> Stroke {
        self.pen(0.4, Ink::Edge, Dash::Solid)
    }

    fn aid(&self) -> Stroke {
        self.pen(0.25, Ink::Aid, Dash::Solid)
    }

    fn axis(&self) -> Stroke {
        self.pen(0.25, Ink::Aid, Dash::DashDot)
    }

    fn words(&self, at: Point, anchor: Anchor, height: f64, text: String) -> Words {
        Words {
            at,
            anchor,
            height: height * self.unit,
            turn: 0.0,
            ink: Ink::Edge,
            text,
        }
    }

    /// Crosses on round openings and on a round outside, past the edge, and the pitch circles.
    fn centre_lines(&self, picture: &mut Picture, plate: &Plate, groups: &[Group]) {
        let round = plate.face.outside.as_circle();
        let holes = plate.openings.iter().filter_map(|opening| opening.circle);
        let circles: Vec<Circle> = round.into_iter().chain(holes).collect();
        for axis in [Vector::new(1.0, 0.0), Vector::new(0.0, 1.0)] {
            for (from, to) in centre_line_along(axis, &circles, 2.5 * self.unit) {
                picture.stroke(Chain::line(from, to), self.axis());
            }
        }
        for circle in groups.iter().filter_map(Group::bolt_circle) {
            picture.circle(circle, None, Some(self.axis()));
        }
    }

    fn bend(&self, picture: &mut Picture, bend: &Bend) {
        let pen = self.pen(0.35, Ink::Mark, Dash::Dashed);
        picture.stroke(Chain::line(bend.from, bend.to), pen);
        let way = match bend.fold {
            Fold::Up => "up",
            Fold::Down => "down",
        };
        let text = format!(
            "fold {way} {}, R{}",
            degrees(bend.angle),
            decimal(bend.radius, 2)
        );
        picture.write(self.along(bend.from, bend.to, text));
    }

    /// Words above the middle of a line, turned to be read from below or from the right.
    fn along(&self, from: Point, to: Point, text: String) -> Words {
        let turn = upright((to - from).angle());
        let up = Vector::from_angle(turn).left();
        Words {
            at: from.lerp(to, 0.5) + up * (1.2 * self.unit),
            anchor: Anchor::Middle,
            height: 2.5 * self.unit,
            turn,
            ink: Ink::Mark,
            text,
        }
    }

    /// What each group of openings is, in a column to the right with a leader to one of them.
    fn callouts(&self, picture: &mut Picture, plate: &Plate, groups: &[Group]) {
        let x = self.bounds.max.x + 9.0 * self.unit;
        let holes: Vec<Circle> = plate.openings.iter().filter_map(|it| it.circle).collect();
        let mut called: Vec<(f64, Circle, String)> = groups
            .iter()
            .map(|group| {
                let target = target(plate, group);
                (leader_height(target, x, &holes), target, group.label())
            })
            .collect();
        called.sort_by(|(a, ..), (b, ..)| b.total_cmp(a));
        let mut ceiling = f64::INFINITY;
        for (wished, hole, label) in called {
            let elbow = Point::new(x, wished.min(ceiling));
            let lines = Self::folded(&label);
            ceiling = elbow.y - (1.4 + 3.6 * lines.len() as f64) * self.unit;
            let towards = (elbow - hole.centre).unit().unwrap_or_default();
            let rim = hole.centre + towards * hole.radius;
            picture.stroke(Chain::line(rim, elbow), self.aid());
            self.arrow(picture, rim, -towards);
            for (row, line) in lines.into_iter().enumerate() {
                let foot = elbow + Vector::new(1.0, -1.3 - 3.6 * row as f64) * self.unit;
                picture.write(self.words(foot, Anchor::Start, 2.5, line));
            }
        }
    }

    /// A call-out in as many lines as it needs, parted at its commas.
    fn folded(label: &str) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for part in label.split_inclusive(", ") {
            let fits = |line: &&mut String| {
                let longer = format!("{line}{part}");
                Words::length_of(longer.trim_end(), 2.5) <= CALLOUT
            };
            match lines.last_mut().filter(fits) {
                Some(line) => line.push_str(part),
                None => lines.push(part.to_owned()),
            }
        }
        lines.iter().map(|it| it.trim_end().to_owned()).collect()
    }

    /// Width below and height to the left, with dimension and extension lines.
    fn overall_sizes(&self, picture: &mut Picture) {
        let Bounds { min, max } = self.bounds;
        let (gap, off) = (2.0 * self.unit, 8.5 * self.unit);
        let (low, left) = (min.y - off, min.x - off);
        let past = 1.5 * self.unit;
        for x in [min.x, max.x] {
            let line = Chain::line(Point::new(x, min.y - gap), Point::new(x, low - past));
            picture.stroke(line, self.aid());
        }
        for y in [min.y, max.y] {
            let line = Chain::line(Point::new(min.x - gap, y), Point::new(left - past, y));
            picture.stroke(line, self.aid());
        }
        let width = (Point::new(min.x, low), Point::new(max.x, low));
        let height = (Point::new(left, min.y), Point::new(left, max.y));
        for ((from, to), size) in [(width, max.x - min.x), (height, max.y - min.y)] {
            picture.stroke(Chain::line(from, to), self.aid());
            let along = (to - from).unit().unwrap_or_default();
            self.arrow(picture, from, -along);
            self.arrow(picture, to, along);
            let mut words = self.along(from, to, both_units(hundredth(size)));
            words.ink = Ink::Edge;
            let length = Words::length_of(&words.text, words.height);
            if along.y > 0.0 && length > (max.y - min.y) - 2.0 * self.unit {
                // Words longer than their line would run over its ends: level beside it.
                words.at = from.lerp(to, 0.5) - Vector::new(1.2, 1.25) * self.unit;
                words.anchor = Anchor::End;
                words.turn = 0.0;
            }
            picture.write(words);
        }
    }

    /// A filled arrow head with its tip at a point.
    fn arrow(&self, picture: &mut Picture, tip: Point, pointing: Vector) {
        let back = tip - pointing * (2.4 * self.unit);
        let side = pointing.left() * (0.45 * self.unit);
        let corners = [tip, back + side, back - side];
        let head = Chain {
            segments: (0..3)
                .map(|i| Segment::Line {
                    start: corners[i],
                    end: corners[(i + 1) % 3],
                })
                .collect(),
            ends: super::Ends::Closed,
        };
        picture.draw(vec![head], Some(Ink::Aid), None);
    }

    fn caption(&self, picture: &mut Picture, plate: &Plate) {
        let hand = plate
            .hand
            .word()
            .map_or_else(String::new, |it| format!(", {it}"));
        let metal = format!("{} {}", plate.material, both_units(plate.thickness));
        let lines = [
            (3.5, format!("{}{hand}", plate.name)),
            (2.5, format!("{metal}, {} off", plate.quantity)),
        ];
        let mut y = self.bounds.min.y - 10.5 * self.unit;
        for (height, text) in lines {
            y -= (height + 1.6) * self.unit;
            let at = Point::new(self.bounds.min.x, y);
            picture.write(self.words(at, Anchor::Start, height, text));
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
            let size = Vector::new(2.0 * DISC, 2.0 * DISC) * self.unit;
            let towards = (at - away).unit().unwrap_or(Vector::new(0.0, 1.0));
            let middle = labels.place(at, size, towards);
            self.marker(picture, (at, middle), number, level);
        }
    }

    /// The room around the plate, what is written there, and the edges that numbers should not hide.
    fn labels(&self, picture: &Picture, plate: &Plate) -> Labels {
        let edges = std::iter::once(&plate.face.outside).chain(&plate.face.openings);
        let mut lines = Vec::new();
        for segment in edges.flat_map(crate::geometry::Contour::segments) {
            // Two a unit: a number has room to step aside.
            let steps = (2.0 * segment.length() / self.unit).ceil().max(1.0);
            lines.extend((0..steps as u32).map(|k| segment.point_at(f64::from(k) / steps)));
        }
        // A hidden centre is as bad as a hidden stretch of edge.
        let centres = plate.openings.iter().filter_map(|it| it.circle);
        lines.extend(centres.flat_map(|it| [it.centre; 12]));
        let mut labels = Labels::new(self.unit, self.bounds.grown(8.0 * self.unit), lines);
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
        let disc = |centre, radius: f64| Circle {
            centre,
            radius: radius * self.unit,
        };
        let (ground, letters, ring) = match level {
            Level::Refuse => (Ink::Edge, Ink::Paper, 0.3),
            Level::Warn => (Ink::Paper, Ink::Edge, 0.8),
            Level::Note => (Ink::Paper, Ink::Edge, 0.25),
        };
        let line = self.pen(0.25, Ink::Edge, Dash::Solid);
        picture.stroke(Chain::line(at, middle), line);
        picture.circle(disc(at, 0.4), Some(Ink::Edge), None);
        let ring = self.pen(ring, Ink::Edge, Dash::Solid);
        picture.circle(disc(middle, DISC - 0.4), Some(ground), Some(ring));
        let foot = middle - Vector::new(0.0, 1.1 * self.unit);
        let mut words = self.words(foot, Anchor::Middle, 2.2, number.to_string());
        words.ink = letters;
        picture.write(words);
    }
}

/// To a hundredth of a millimetre: nothing is cut closer.
fn hundredth(mm: f64) -> f64 {
    (mm * 100.0).round() / 100.0
}

/// Radius of the disc of a number with its ring, in picture units.
const DISC: f64 = 2.6;

/// What the leader of a group points at: a hole, or the rightmost spot on the edge of another
/// opening.
fn target(plate: &Plate, group: &Group) -> Circle {
    if let Some(hole) = plate.openings[group.shown].circle {
        return hole;
    }
    let edge = &plate.face.openings[group.shown];
    let spots = edge
        .segments()
        .iter()
        .flat_map(|it| [0.0, 0.5].map(|t| it.point_at(t)));
    let right = spots.max_by(|a, b| a.x.total_cmp(&b.x));
    Circle {
        centre: right.unwrap_or_else(|| edge.middle()),
        radius: 0.0,
    }
}

/// How high above the plane's origin the leader of a hole meets the column at `x`: as steep as the
/// first slope that takes it past every other hole, or the best slope if there is none.
fn leader_height(hole: Circle, x: f64, others: &[Circle]) -> f64 {
    let clear = |slope: f64| {
        let along = Vector::new(1.0, slope) * (1.0 / 1.0_f64.hypot(slope));
        others.iter().all(|other| {
            let to = other.centre - hole.centre;
            *other == hole
                || to.dot(along) <= hole.radius
                || along.cross(to).abs() > other.radius * LEADER_ROOM
        })
    };
    let slope = LEADER_SLOPES.into_iter().find(|&slope| clear(slope));
    hole.centre.y + (x - hole.centre.x) * slope.unwrap_or(LEADER_SLOPES[0])
}

/// The direction of words along a line at an angle, so that they read from below or from the right.
fn upright(angle: f64) -> f64 {
    let turn = angle.rem_euclid(std::f64::consts::PI);
    if turn > std::f64::consts::FRAC_PI_2 + ANGLE_SLACK {
        turn - std::f64::consts::PI
    } else {
        turn
    }
}

/// The lines through the centres of circles along an axis, `past` mm longer than each; lines that
/// lie on a longer one are left out, since dashes on dashes look like a solid line.
pub(super) fn centre_line_along(
    axis: Vector,
    circles: &[Circle],
    past: f64,
) -> Vec<(Point, Point)> {
    let mut by_size = circles.to_vec();
    by_size.sort_by(|a, b| b.radius.total_cmp(&a.radius));
    let mut lines: Vec<(Point, Point)> = Vec::new();
    for circle in by_size {
        let arm = axis * (circle.radius + past);
        let (from, to) = (circle.centre - arm, circle.centre + arm);
        let covered = |&(start, end): &(Point, Point)| {
            (from - start).cross(axis).abs() < past / 10.0
                && (from - start).dot(axis) >= 0.0
                && (end - to).dot(axis) >= 0.0
        };
        if !lines.iter().any(covered) {
            lines.push((from, to));
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{FRAC_PI_2, PI};

    use approx::assert_relative_eq;

    use super::*;

    #[test]
    fn words_read_from_below_or_from_the_right() {
        for (angle, expected) in [
            (0.0, 0.0),
            (PI, 0.0),
            (FRAC_PI_2, FRAC_PI_2),
            (-FRAC_PI_2, FRAC_PI_2),
            (-0.3, -0.3),
            (PI - 0.3, -0.3),
        ] {
            assert_relative_eq!(upright(angle), expected, epsilon = 1e-12);
        }
    }

    #[test]
    fn a_centre_line_is_not_drawn_over_a_longer_one() {
        let circle = |x, y, radius| Circle {
            centre: Point::new(x, y),
            radius,
        };
        let circles = [
            circle(0.0, 0.0, 32.0),
            circle(0.0, 0.0, 85.0),
            circle(50.0, 0.0, 5.0),
            circle(50.0, 20.0, 5.0),
        ];
        let along_x = centre_line_along(Vector::new(1.0, 0.0), &circles, 2.0);
        assert_eq!(along_x.len(), 2);
        let along_y = centre_line_along(Vector::new(0.0, 1.0), &circles, 2.0);
        assert_eq!(along_y.len(), 3);
    }
}
