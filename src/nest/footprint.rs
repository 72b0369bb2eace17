//! From a prepared plate to the piece that is placed.
//!
//! In: what the torch burns around a plate, and the web that must stay between two parts. Out: a
//! [`Piece`] grown by half the web and flattened outward, its windows shrunk by half the web and
//! flattened inward: two pieces that do not overlap keep at least the web between what is burnt.

use std::f64::consts::{FRAC_PI_2, PI};

use super::{Piece, Rotation, polygon};
use crate::cut::PreparedPlate;
use crate::geometry::{Region, Side, Unresolved};
use crate::plate::{AllowedRotation, Plate};

/// How far a flattened outline may lie from the true one, mm.
const FLATTENING: f64 = 0.02;
/// Windows with less room than this, mm², are not offered to other parts.
const SMALLEST_WINDOW: f64 = 100.0;

/// The piece to place for a plate, known to the caller by `index`, with at least `web` mm between what is burnt for two of them.
///
/// Fails if the kernel cannot resolve the grown outline.
pub fn piece(
    index: usize,
    plate: &Plate,
    prepared: &PreparedPlate,
    web: f64,
) -> Result<Piece, Unresolved> {
    let grown = prepared.outline.offset(web / 2.0)?;
    let outline = grown
        .faces
        .iter()
        .max_by(|a, b| a.area().total_cmp(&b.area()))
        .map(|face| face.outside.flattened(FLATTENING, Side::Outward))
        .ok_or_else(|| Unresolved::Unclear(format!("nothing is cut around {}", plate.name)))?;
    let mut windows = Vec::new();
    for (_, room) in &prepared.room {
        windows.extend(window_polygons(room, web)?);
    }
    Ok(Piece {
        index,
        id: plate.name.clone(),
        quantity: plate.quantity,
        outline,
        windows,
        rotation: rotation(plate.rotation),
    })
}

fn window_polygons(room: &Region, web: f64) -> Result<Vec<super::Polygon>, Unresolved> {
    Ok(room
        .offset(-web / 2.0)?
        .faces
        .iter()
        .map(|face| face.outside.flattened(FLATTENING, Side::Inward))
        .filter(|window| polygon::signed_area(window).abs() > SMALLEST_WINDOW)
        .collect())
}

/// The turns a plate may take on the sheet.
fn rotation(allowed: AllowedRotation) -> Rotation {
    match allowed {
        AllowedRotation::Free => Rotation::Free,
        AllowedRotation::Quarters => Rotation::Steps(vec![0.0, FRAC_PI_2, PI, 3.0 * FRAC_PI_2]),
        AllowedRotation::Grain => Rotation::Steps(vec![0.0, PI]),
        AllowedRotation::Fixed => Rotation::Steps(vec![0.0]),
    }
}
