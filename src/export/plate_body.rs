//! A plate in a picture: its metal, and each opening cut out of it as a thing of its own, which reports
//! and pointers know by its id.

use super::ids;
use super::picture::{Chain, Ink, Picture, Stroke, Tag};
use super::scaled::Scaled;
use crate::plate::Plate;

/// Draws a plate that the picture shows scaled.
pub(super) fn draw(picture: &mut Picture, plate: &Plate, scaled: Scaled, edge: Stroke) {
    let tag = Tag::new("plate", plate.title()).id(ids::plate(&plate.name));
    picture.grouped(tag, |picture| {
        let outside = scaled.chain(&Chain::around(&plate.face.outside));
        picture.draw(vec![outside], Some(Ink::Plate), Some(edge));
        let openings = plate.openings.iter().zip(&plate.face.openings);
        for (index, (opening, contour)) in openings.enumerate() {
            let tag = Tag::new("opening", opening.name.as_str());
            picture.grouped(tag.id(ids::opening(&plate.name, index)), |picture| {
                let around = scaled.chain(&Chain::around(contour));
                picture.draw(vec![around], Some(Ink::Paper), Some(edge));
            });
        }
    });
}
