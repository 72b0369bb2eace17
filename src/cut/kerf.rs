//! Room for the kerf: the path whose burn leaves exactly the nominal edge.
//!
//! In: a nominal contour and the kerf. Out: the contour half a kerf into the scrap, on true arcs; or
//! the reason why the torch does not fit.

use super::burn::filled;
use super::track::Edge;
use crate::fault::Fault;
use crate::geometry::{Circle, Contour, Point, Region};

/// Metal left more than this share of the kerf off a nominal edge is worth a warning: a right-angled
/// inside corner leaves a fifth, one of 60° a half.
const WARN_SHARE: f64 = 0.5;

/// Metal left more than this many kerfs off a nominal edge means that the torch never gets in there.
const REFUSE_SHARE: f64 = 1.5;

/// The contour `distance` mm into the scrap from a nominal one.
pub(super) fn beside(
    nominal: &Contour,
    edge: Edge,
    distance: f64,
    name: &str,
) -> Result<Contour, Fault> {
    let towards_scrap = match edge {
        Edge::Outside => distance,
        Edge::Opening => -distance,
    };
    if let Some(circle) = nominal.as_circle() {
        return offset_circle(circle, towards_scrap).ok_or_else(|| too_narrow(name, distance));
    }
    let grown = filled(nominal).offset(towards_scrap).map_err(|error| {
        Fault::refused(format!("the kerf path of {name} was not found: {error}"))
            .remedy("change a size that makes edges meet by less than 0.01 mm")
    })?;
    only_outline(grown).ok_or_else(|| too_narrow(name, distance))
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

fn too_narrow(name: &str, half: f64) -> Fault {
    let kerf = half * 2.0;
    Fault::refused(format!(
        "{name} is somewhere no wider than the kerf of {kerf} mm, so the torch cannot follow it"
    ))
    .remedy(format!("make every gap and slot wider than {kerf} mm"))
}

/// Metal that the torch leaves because a nominal edge is narrower than its kerf.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Left {
    /// Where, on the nominal edge.
    pub(super) at: Point,
    /// How far from the nominal edge the burn stays, mm.
    pub(super) off: f64,
    /// Whether the torch never gets in there at all.
    pub(super) shut_out: bool,
}

/// Where most metal is left beyond the nominal edge, if it is worth a word. Corners and the middles
/// of pieces are looked at: whatever is too narrow for the kerf ends in one of them.
pub(super) fn metal_left(nominal: &Contour, path: &Contour, kerf: f64) -> Option<Left> {
    nominal
        .segments()
        .iter()
        .flat_map(|segment| [segment.start(), segment.point_at(0.5)])
        .map(|at| Left {
            at,
            off: path.gap_to_point(at).distance - kerf / 2.0,
            shut_out: false,
        })
        .max_by(|a, b| a.off.total_cmp(&b.off))
        .filter(|left| left.off > WARN_SHARE * kerf)
        .map(|left| Left {
            shut_out: left.off > REFUSE_SHARE * kerf,
            ..left
        })
}
