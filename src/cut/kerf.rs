//! Room for the kerf: the path whose burn leaves exactly the nominal edge.
//!
//! In: a nominal contour and the kerf. Out: the contour half a kerf into the scrap, on true arcs; or
//! the reason why the torch does not fit.

use super::burn::filled;
use super::kerf_path::EdgeKind;
use crate::fault::Fault;
use crate::geometry::{Circle, Contour, Region};
use crate::quantity::format::millimetres;

/// The path of the torch: half a kerf into the scrap from a nominal contour.
pub(super) fn path(
    nominal: &Contour,
    edge: EdgeKind,
    kerf: f64,
    name: &str,
) -> Result<Contour, Fault> {
    let towards_scrap = match edge {
        EdgeKind::Outside => kerf / 2.0,
        EdgeKind::Opening => -kerf / 2.0,
    };
    if let Some(circle) = nominal.as_circle() {
        return offset_circle(circle, towards_scrap).ok_or_else(|| too_narrow(name, kerf));
    }
    let grown = grown(nominal, towards_scrap, name)?;
    only_outline(grown).ok_or_else(|| too_narrow(name, kerf))
}

/// A plate with all that is burnt along its outside: its outside grown by a whole kerf.
pub(super) fn burnt_around(outside: &Contour, kerf: f64) -> Result<Region, Fault> {
    let circle = outside.as_circle();
    match circle.and_then(|circle| offset_circle(circle, kerf)) {
        Some(circle) => Ok(filled(&circle)),
        None => grown(outside, kerf, "the outside"),
    }
}

fn grown(nominal: &Contour, distance: f64, name: &str) -> Result<Region, Fault> {
    filled(nominal).offset(distance).map_err(|error| {
        Fault::refused(format!("the kerf path of {name} was not found: {error}"))
            .remedy("change a size that makes edges meet by less than 0.01 mm")
    })
}

fn offset_circle(circle: Circle, distance: f64) -> Option<Contour> {
    let radius = circle.radius + distance;
    (radius > 0.0).then(|| Contour::circle(circle.centre, radius))
}

/// The outline of a region in one piece without openings.
fn only_outline(region: Region) -> Option<Contour> {
    let mut faces = region.faces;
    match (faces.pop(), faces.is_empty()) {
        (Some(face), true) if face.openings.is_empty() => Some(face.outside),
        _ => None,
    }
}

fn too_narrow(name: &str, kerf: f64) -> Fault {
    let kerf = millimetres(kerf);
    Fault::refused(format!(
        "{name} is somewhere no wider than the kerf of {kerf}, so the torch cannot follow it"
    ))
    .remedy(format!("make it wider than {kerf} everywhere, or drill it"))
}
