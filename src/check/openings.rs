//! Openings that the torch cannot make, or not well.

use super::Level;
use super::spot::Spot;
use super::subject::{SLACK, Subject, enough, length};
use crate::geometry::{Face, Region, Unresolved};

/// A slot narrower than this many kerfs is a strain on the torch: common practice, no source.
const COMFORTABLE: f64 = 1.5;
/// A part of an opening that the torch cannot enter counts from this many widths on: less is the
/// rounding of a corner.
const CORNER: f64 = 2.0;
/// From this many widths on it is a slot, not the tip of a wedge.
const SLOT: f64 = 4.0;
/// How near the widest circle of an opening is found, mm.
const PRECISION: f64 = SLACK / 2.0;
/// How much narrower than asked a slot is probed, mm: enough that one of just that width stays open
/// by more than the kernel takes for a sliver.
const PROBE_SLACK: f64 = 5e-3;

/// Openings that are cut to size and small for the thickness: they come out tapered.
pub(super) fn small_opening(subject: &Subject<'_>) -> Vec<Spot> {
    let Some(limits) = subject.limits else {
        return Vec::new();
    };
    let thickness = subject.plate.thickness;
    let least = limits.process.smallest_opening(thickness);
    let cut = subject.cut_holes();
    cut.filter(|hole| hole.opening.drilling().is_none())
        .filter_map(|hole| {
            let round = hole.opening.circle;
            let inner = round.unwrap_or_else(|| hole.edge.widest_circle(PRECISION));
            let width = 2.0 * inner.radius;
            if width >= least - SLACK {
                return None;
            }
            let message = format!(
                "{} is {} wide, under {} for plate of {}: it comes out tapered",
                hole.opening.name,
                length(width),
                length(least),
                length(thickness)
            );
            let remedy = match round {
                Some(_) => "drill it (finish = \"drill\"), or make it larger",
                None => "make it wider, or use thinner plate",
            };
            Some(Spot::new(Level::Warn, width / least, inner.centre, message).remedy(remedy))
        })
        .collect()
}

/// Openings and notches narrower than the kerf, or not much wider.
pub(super) fn narrow_slot(subject: &Subject<'_>) -> Vec<Spot> {
    let Some(limits) = subject.limits else {
        return Vec::new();
    };
    let cut = subject.cut_holes();
    let openings = cut.map(|hole| hole.edge.into_owned()).collect();
    let outside = subject.plate.face.outside.clone();
    let face = Region {
        faces: vec![Face { outside, openings }],
    };
    let (kerf, comfortable) = (limits.kerf, COMFORTABLE * limits.kerf);
    let closed = closed_to(&face, kerf).and_then(|refused| {
        if refused.is_empty() {
            Ok((refused, closed_to(&face, comfortable)?))
        } else {
            Ok((refused, Vec::new()))
        }
    });
    let Ok((refused, strained)) = closed else {
        return vec![unmeasured(subject)];
    };
    let refused = refused.iter().map(|closed| too_narrow(closed, kerf));
    let strained = strained.iter().map(|closed| tight(closed, comfortable));
    refused.chain(strained).collect()
}

/// A stretch of an opening that a torch of some width cannot enter.
struct Closed {
    piece: Region,
    /// Its longer side over the torch's width.
    reach: f64,
    /// Whether it is a whole opening.
    whole: bool,
}

/// Where a torch of a width cannot go: what closing the metal by half the width fills.
fn closed_to(face: &Region, width: f64) -> Result<Vec<Closed>, Unresolved> {
    let half = (width - PROBE_SLACK) / 2.0;
    if half <= 0.0 {
        return Ok(Vec::new());
    }
    let filled = face.round_inside(half)?.difference(face)?;
    let openings = || face.faces.iter().flat_map(|face| &face.openings);
    let pieces = filled.faces.into_iter().map(|piece| {
        let bounds = piece.outside.bounds();
        let whole = openings().any(|edge| bounds.grown(SLACK).holds(edge.bounds()));
        Closed {
            reach: bounds.width().max(bounds.height()) / width,
            whole,
            piece: Region { faces: vec![piece] },
        }
    });
    Ok(pieces
        .filter(|closed| closed.whole || closed.reach > CORNER)
        .collect())
}

fn too_narrow(closed: &Closed, kerf: f64) -> Spot {
    let is_slot = closed.whole || closed.reach > SLOT;
    let level = if is_slot { Level::Refuse } else { Level::Warn };
    let message = format!(
        "part of an opening or notch is narrower than the kerf of {}: the torch cannot enter it",
        length(kerf)
    );
    spot(closed, level, message).physical().remedy(format!(
        "make it at least {} wide, or drill it",
        enough(COMFORTABLE * kerf)
    ))
}

fn tight(closed: &Closed, comfortable: f64) -> Spot {
    let message = format!(
        "part of an opening or notch is narrower than {} (1.5 kerfs): both sides run hot and the edges melt",
        length(comfortable)
    );
    spot(closed, Level::Warn, message)
        .remedy(format!("make it at least {} wide", enough(comfortable)))
}

fn spot(closed: &Closed, level: Level, message: String) -> Spot {
    let at = closed.piece.interior_point();
    let at = at.unwrap_or_else(|| closed.piece.bounds().centre());
    Spot::new(level, 1.0 / closed.reach, at, message)
}

fn unmeasured(subject: &Subject<'_>) -> Spot {
    let message = "narrow slots could not be measured on this outline".to_owned();
    Spot::new(Level::Warn, 1.0, subject.middle(), message)
        .remedy("look the drawing over for slots narrower than the kerf")
}
