//! What stands beside things on a sheet's picture: names of plates, places in the cutting order, and
//! warnings, each with a leader where it cannot stand close.

use super::labels::{Labels, around_middle};
use super::picture::{Anchor, Chain, Dash, Ink, Picture, Words};
use super::sheet_view::SheetView;
use crate::finding::{Finding, Level};
use crate::geometry::{Clear, Face, Point, Vector};

/// Heights that names are tried at, in picture units.
const NAME_HEIGHTS: [f64; 3] = [3.0, 2.4, 1.9];
/// Height of order numbers, in picture units.
const ORDER_HEIGHT: f64 = 1.8;
impl SheetView {
    /// A plate's name in its metal, or beside it with a leader if there is no room.
    pub(super) fn name(
        &self,
        picture: &mut Picture,
        labels: &mut Labels,
        face: &Face,
        text: String,
    ) {
        if !self.inside(picture, labels, face, &text, NAME_HEIGHTS, None) {
            self.beside(picture, labels, face, NAME_HEIGHTS[2], text);
        }
    }

    /// Words in a plate's metal, as high as there is room, on a ground if there is to be one; whether there is
    /// any room.
    pub(super) fn inside(
        &self,
        picture: &mut Picture,
        labels: &mut Labels,
        face: &Face,
        text: &str,
        heights: [f64; 3],
        ground: Option<Ink>,
    ) -> bool {
        // Upright where there is room for it.
        let rooms = [0.0, std::f64::consts::FRAC_PI_2].map(|turn| {
            face.rooms(&Clear {
                clearance: 0.5 * self.draft.unit,
                turns: &[turn],
                lines: &[],
            })
        });
        for height in heights.map(|height| height * self.draft.unit) {
            let length = Words::length_of(text, height);
            let mut fitting = rooms
                .iter()
                .filter_map(|it| it.place_for(length, 1.4 * height));
            if let Some(room) = fitting.next() {
                let up = Vector::from_angle(room.turn).left();
                let words = Words {
                    at: room.middle - up * (height / 2.0),
                    anchor: Anchor::Middle,
                    height,
                    turn: room.turn,
                    ink: Ink::Edge,
                    text: text.to_owned(),
                };
                labels.take(words.bounds());
                if ground.is_some() {
                    let around = words.bounds().grown(0.3 * self.draft.unit);
                    picture.draw(vec![Chain::polygon(&around.corners())], ground, None);
                }
                picture.write(words);
                return true;
            }
        }
        false
    }

    /// Words beside a plate, with a leader to its metal; whether there is room for them.
    pub(super) fn beside(
        &self,
        picture: &mut Picture,
        labels: &mut Labels,
        face: &Face,
        height: f64,
        text: String,
    ) -> bool {
        // The roomiest spot of the metal: the middle of a ring would be in its bore.
        let rooms = face.rooms(&Clear {
            clearance: 0.1 * self.draft.unit,
            turns: &[0.0],
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
        )
    }

    /// A number beside a pierce, on the side that the lead-in comes from; whether there is room.
    pub(super) fn order(
        &self,
        picture: &mut Picture,
        labels: &mut Labels,
        (pierce, away): (Point, Vector),
        number: usize,
    ) -> bool {
        let words = (ORDER_HEIGHT, Ink::Burn, number.to_string());
        self.tag(picture, labels, pierce, away, words)
    }

    /// Words on a patch of paper near a place, with a leader if that is not beside it; whether there is room.
    fn tag(
        &self,
        picture: &mut Picture,
        labels: &mut Labels,
        at: Point,
        towards: Vector,
        (height, ink, text): (f64, Ink, String),
    ) -> bool {
        let words = self.draft.words(at, Anchor::Middle, height, text);
        let size = Vector::new(
            words.length() + 0.6 * self.draft.unit,
            words.height + 0.6 * self.draft.unit,
        );
        let Some(middle) = labels.free_place(at, size, towards) else {
            return false;
        };
        if labels.is_far(at, middle, size) {
            self.draft.pointer(picture, at, middle);
        }
        let patch = Chain::polygon(&around_middle(middle, size).corners());
        picture.draw(vec![patch], Some(Ink::Paper), None);
        picture.write(Words {
            at: middle - Vector::new(0.0, words.height / 2.0),
            ink,
            ..words
        });
        true
    }

    /// A numbered triangle at each warning that has a place, with the number it has in the report.
    pub(super) fn warnings(
        &self,
        picture: &mut Picture,
        labels: &mut Labels,
        place: impl Fn(Point) -> Point,
        findings: &[Finding],
    ) {
        for (number, at) in warned_places(findings) {
            let at = place(at);
            let size = Vector::new(4.6, 4.2) * self.draft.unit;
            let Some(middle) = labels.free_place(at, size, Vector::new(0.0, 1.0)) else {
                continue;
            };
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
