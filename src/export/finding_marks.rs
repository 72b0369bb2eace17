//! The numbers of findings in the picture of a plate, each beside the place it is about.

use super::drafting::Drafting;
use super::ids;
use super::labels::Labels;
use super::picture::{Anchor, Ink, Item, Picture, Tag, Words};
use super::scaled::Scaled;
use crate::check::{Finding, Level};
use crate::geometry::{Bounds, Circle, Point, Segment, Vector};
use crate::plate::Plate;

/// Radius of the disc of a number with its ring, mm on paper.
const DISC: f64 = 2.6;

/// A plate as a picture shows it, and what its numbers are drawn with.
pub(super) struct FindingMarks<'a> {
    pub(super) plate: &'a Plate,
    pub(super) scaled: Scaled,
    pub(super) draft: Drafting,
}

impl FindingMarks<'_> {
    /// The number of every finding that has a place, beside it; `lines` are points along what numbers should
    /// not hide beside the plate's own edges.
    pub(super) fn draw(&self, picture: &mut Picture, findings: &[Finding], lines: &[Point]) {
        let placed = || findings.iter().enumerate();
        let mut placed = placed().filter_map(|(index, it)| Some((index + 1, it.at?, it.level)));
        let Some(first) = placed.next() else { return };
        let mut labels = self.labels(picture, lines);
        let away = self.bounds().centre();
        for (number, at, level) in std::iter::once(first).chain(placed) {
            let at = self.scaled.point(at);
            let size = Vector::new(2.0 * DISC, 2.0 * DISC) * self.draft.unit;
            let towards = (at - away).unit().unwrap_or(Vector::new(0.0, 1.0));
            let middle = labels.place(at, size, towards);
            let says = findings[number - 1].message.as_str();
            let tag = Tag::new("finding", says).id(ids::finding(&self.plate.name, number));
            picture.grouped(tag, |picture| {
                self.marker(picture, (at, middle), number, level);
            });
        }
    }

    /// The box around the plate in the picture.
    fn bounds(&self) -> Bounds {
        self.scaled.bounds(self.plate.face.outside.bounds())
    }

    /// The room around the plate, what is written there, and the lines that numbers should not hide.
    fn labels(&self, picture: &Picture, lines: &[Point]) -> Labels {
        let contours = self.plate.face.contours();
        let edges = contours.map(|it| self.scaled.contour(it).segments);
        // Two a unit: a number has room to step aside.
        let paced = |it: Segment| it.paced(self.draft.unit / 2.0).collect::<Vec<_>>();
        let mut lines: Vec<Point> = lines
            .iter()
            .copied()
            .chain(edges.flatten().flat_map(paced))
            .collect();
        // A hidden centre is as bad as a hidden stretch of edge.
        let centres = self.plate.openings.iter().filter_map(|it| it.circle);
        lines.extend(centres.flat_map(|it| [self.scaled.point(it.centre); 12]));
        let mut labels = Labels::new(
            self.draft.unit,
            self.bounds().grown(8.0 * self.draft.unit),
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
        let ring = draft.pen(ring, Ink::Edge, super::picture::Dash::Solid);
        picture.circle(disc, Some(ground), Some(ring));
        let foot = middle - Vector::new(0.0, 1.1 * draft.unit);
        picture.write(Words {
            ink: letters,
            ..draft.words(foot, Anchor::Middle, 2.2, number.to_string())
        });
    }
}
