//! The picture of a sheet whose layout is still searched: its metal and the plates on it, without cut paths
//! and words, so that several a second can be made.

use super::drafting::Drafting;
use super::picture::{Dash, Ink, Picture};
use crate::geometry::{Face, Pose, Region};

/// The longer side of the sheet on paper, mm.
const LONG_SIDE: f64 = 170.0;

/// The picture of plates where they lie on a sheet with this edge.
#[must_use]
pub fn layout_picture<'a>(
    edge: &Region,
    plates: impl Iterator<Item = (&'a Face, Pose)>,
) -> Picture {
    let bounds = edge.bounds();
    let draft = Drafting {
        unit: bounds.width().max(bounds.height()) / LONG_SIDE,
        thin: 0.2,
        letters: 2.4,
    };
    let mut picture = Picture::new("a sheet of the best layout so far");
    picture.enlarged = 1.0 / draft.unit;
    picture.region(edge, Ink::Sheet, draft.pen(0.5, Ink::Edge, Dash::Solid));
    for (face, pose) in plates {
        let pen = draft.pen(draft.thin, Ink::Edge, Dash::Solid);
        picture.face(&face.posed(&pose), Ink::Plate, pen);
    }
    picture.framed(3.0 * draft.unit)
}
