//! What stands beside things on a sheet's picture: names of plates, places in the cutting order, and
//! warnings, each with a leader where it cannot stand close.

use super::labels::{Labels, around_middle};
use super::picture::{Anchor, Chain, Dash, Ink, Picture, Words};
use super::sheet_view::SheetView;
use crate::cut::CutPath;
use crate::finding::{Finding, Level};
use crate::geometry::{Clear, Face, Point, Vector};
use crate::nest::Placement;

/// Heights that names are tried at, in picture units.
const NAME_HEIGHTS: [f64; 3] = [3.0, 2.4, 1.9];
/// Height of order numbers, in picture units.
const ORDER_HEIGHT: f64 = 1.8;
/// So many order numbers can still be read on a picture.
const MOST_NUMBERS: usize = 1_000;

/// Of so many runs, every how many-th has its place in the order beside it: all, or as many as can be read.
pub(super) fn numbered_every(runs: usize) -> usize {
    let steps = (0..).map(|power| 10_usize.pow(power));
    let mut few = steps.skip_while(|step| runs / step > MOST_NUMBERS);
    few.next().unwrap_or(1)
}

impl SheetView {
    /// A plate's name in its metal, or beside it with a leader if there is no room.
    pub(super) fn name(
        &self,
        picture: &mut Picture,
        labels: &mut Labels,
        face: &Face,
        text: String,
    ) {
        let turns = [0.0, std::f64::consts::FRAC_PI_2];
        let rooms = face.rooms(&Clear {
            clearance: 0.5 * self.draft.unit,
            turns: &turns,
            lines: &[],
        });
        for height in NAME_HEIGHTS.map(|height| height * self.draft.unit) {
            let length = Words::length_of(&text, height);
            if let Some(room) = rooms.place_for(length, 1.4 * height) {
                let up = Vector::from_angle(room.turn).left();
                let words = Words {
                    at: room.middle - up * (height / 2.0),
                    anchor: Anchor::Middle,
                    height,
                    turn: room.turn,
                    ink: Ink::Edge,
                    text,
                };
                labels.take(words.bounds());
                picture.write(words);
                return;
            }
        }
        let height = NAME_HEIGHTS[2];
        // The roomiest spot of the metal: the middle of a ring would be in its bore.
        let rooms = face.rooms(&Clear {
            clearance: 0.1 * self.draft.unit,
            turns: &turns[..1],
            lines: &[],
        });
        let spot = rooms.place_for(0.4 * self.draft.unit, 0.4 * self.draft.unit);
        let spot = spot.map(|room| room.middle);
        let at = spot.unwrap_or_else(|| face.outside.interior_point());
        self.tag(
            picture,
            labels,
            at,
            Vector::new(1.0, 0.0),
            (height, Ink::Edge, text),
        );
    }

    /// The place of a path in the order, beside its pierce.
    pub(super) fn order(
        &self,
        picture: &mut Picture,
        labels: &mut Labels,
        path: &CutPath,
        order: usize,
    ) {
        let away = -path.segments[0].direction_at(0.0);
        let words = (ORDER_HEIGHT, Ink::Burn, order.to_string());
        self.tag(picture, labels, path.pierce(), away, words);
    }

    /// Words on a patch of paper near a place, with a leader if that is not beside it.
    fn tag(
        &self,
        picture: &mut Picture,
        labels: &mut Labels,
        at: Point,
        towards: Vector,
        (height, ink, text): (f64, Ink, String),
    ) {
        let words = self.draft.words(at, Anchor::Middle, height, text);
        let size = Vector::new(
            words.length() + 0.6 * self.draft.unit,
            words.height + 0.6 * self.draft.unit,
        );
        let middle = labels.place(at, size, towards);
        let gap = Vector::new(
            ((at.x - middle.x).abs() - size.x / 2.0).max(0.0),
            ((at.y - middle.y).abs() - size.y / 2.0).max(0.0),
        );
        if gap.length() > 1.8 * self.draft.unit {
            self.draft.pointer(picture, at, middle);
        }
        let patch = Chain::polygon(&around_middle(middle, size).corners());
        picture.draw(vec![patch], Some(Ink::Paper), None);
        picture.write(Words {
            at: middle - Vector::new(0.0, words.height / 2.0),
            ink,
            ..words
        });
    }

    /// A numbered triangle at each warning that has a place, with the number it has in the report.
    pub(super) fn warnings(
        &self,
        picture: &mut Picture,
        labels: &mut Labels,
        placement: &Placement,
        findings: &[Finding],
    ) {
        for (number, at) in warned_places(findings) {
            let at = placement.pose.point(at);
            let size = Vector::new(4.6, 4.2) * self.draft.unit;
            let middle = labels.place(at, size, Vector::new(0.0, 1.0));
            let pen = self.draft.pen(0.25, Ink::Edge, Dash::Solid);
            picture.stroke(Chain::line(at, middle), pen);
            self.triangle(picture, middle, number);
        }
    }

    /// A warning's triangle with its number.
    pub(super) fn triangle(&self, picture: &mut Picture, middle: Point, number: usize) {
        let corner = |x: f64, y: f64| middle + Vector::new(x, y) * self.draft.unit;
        let corners = [corner(-2.2, -1.8), corner(2.2, -1.8), corner(0.0, 2.0)];
        let sides = Chain::polygon(&corners);
        let pen = self.draft.pen(0.4, Ink::Edge, Dash::Solid);
        picture.draw(vec![sides], Some(Ink::Paper), Some(pen));
        let (foot, number) = (corner(0.0, -1.3), number.to_string());
        picture.write(self.draft.words(foot, Anchor::Middle, 1.6, number));
    }
}

/// The number and place of each finding that a sheet's picture shows: notes are for the report.
pub(super) fn warned_places(findings: &[Finding]) -> impl Iterator<Item = (usize, Point)> {
    let numbered = (1..).zip(findings);
    let warned = numbered.filter(|(_, it)| it.level != Level::Note);
    warned.filter_map(|(number, it)| Some((number, it.at?)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_runs_have_numbers_but_where_there_are_more_than_can_be_read() {
        for (runs, every) in [
            (0, 1),
            (1, 1),
            (1_000, 1),
            (1_001, 10),
            (10_000, 10),
            (10_010, 100),
        ] {
            assert_eq!(numbered_every(runs), every, "{runs}");
        }
    }
}
