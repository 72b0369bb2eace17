//! Openings that the torch cannot make, or not well.

use std::f64::consts::PI;

use rayon::prelude::*;

use super::Level;
use super::breach::Breach;
use super::subject::{CutHole, SLACK, Subject, enough};
use crate::geometry::{Bounds, Contour, Face, Region, Unresolved};
use crate::plate::Purpose;
use crate::quantity::format::measured;

/// A slot narrower than this many kerfs is a strain on the torch: common practice, no source.
const COMFORTABLE: f64 = 1.5;
/// A part of an opening that the torch cannot enter counts from this many widths on: less is the
/// rounding of a corner.
const CORNER: f64 = 2.0;
/// Less than this, mm², is no stretch of an opening: rounding leaves as much along an edge.
const NOTHING: f64 = 1e-4;
/// From this many widths on it is a slot, not the tip of a wedge.
const SLOT: f64 = 4.0;
/// How near the widest circle of an opening is found, mm.
const PRECISION: f64 = SLACK / 2.0;
/// How much narrower than asked a slot is probed, mm: enough that one of just that width stays open
/// by more than the kernel takes for a sliver.
const PROBE_SLACK: f64 = 5e-3;

/// Openings that are cut to size and small for the thickness: they come out tapered.
pub(super) fn small_opening(subject: &Subject<'_>) -> Vec<Breach> {
    let Some(limits) = subject.limits else {
        return Vec::new();
    };
    let thickness = subject.plate.thickness;
    let least = limits.process.smallest_opening(thickness);
    let cut = subject.cut_holes();
    cut.filter(|hole| hole.opening.drilling().is_none())
        // As wide as the plate that goes into it: a taper makes the fit easier on one side only.
        .filter(|hole| hole.opening.purpose != Purpose::TabSlot)
        .filter_map(|hole| {
            let round = hole.opening.circle;
            // How wide it is takes a long search in a window of any shape: most are plainly wide enough.
            if round.is_none() && hole.edge.holds_circle(least / 2.0, PRECISION) {
                return None;
            }
            let inner = round.unwrap_or_else(|| hole.edge.widest_circle(PRECISION));
            let width = 2.0 * inner.radius;
            // Under 1.5 kerfs it is a narrow slot, which says enough.
            if width >= least - SLACK || width < COMFORTABLE * limits.kerf - SLACK {
                return None;
            }
            let message = format!(
                "{} is {} wide, under {} for plate of {}: it comes out tapered",
                hole.opening.name,
                measured(width),
                measured(least),
                measured(thickness)
            );
            let remedy = match round {
                Some(_) => "drill it (finish = \"drill\"), or make it larger",
                None => "make it wider, or use thinner plate",
            };
            Some(Breach::new(Level::Warn, width / least, inner.centre, message).remedy(remedy))
        })
        .collect()
}

/// Openings and notches narrower than the kerf, or not much wider.
pub(super) fn narrow_slot(subject: &Subject<'_>) -> Vec<Breach> {
    let Some(limits) = subject.limits else {
        return Vec::new();
    };
    let cut = subject.cut_holes();
    let face = Face {
        outside: subject.plate.face.outside.clone(),
        openings: cut.map(|hole| hole.edge.into_owned()).collect(),
    };
    let (kerf, comfortable) = (limits.kerf, COMFORTABLE * limits.kerf);
    let closed = closed_to(&face, comfortable).and_then(|mut strained| {
        // Where a wide torch can go, a narrow one can, too.
        let mut refused = Vec::new();
        if strained.iter().any(|it| it.counts_for(kerf)) {
            refused = closed_to(&face, kerf)?;
            refused.retain(|it| it.counts_for(kerf));
        }
        strained.retain(|it| refused.is_empty() && it.counts_for(comfortable));
        Ok((refused, strained))
    });
    let Ok((refused, strained)) = closed else {
        return vec![unmeasured(subject)];
    };
    let cut = subject.cut_holes().map(|it| (it.edge.bounds(), it));
    let cut: Vec<(Bounds, CutHole<'_>)> = cut.collect();
    let refused = refused
        .iter()
        .map(|closed| too_narrow(&named(&cut, closed), closed, kerf));
    // A slot for a tab is as wide as the plate that goes into it, and must be.
    let of_tab = |closed: &&Closed| {
        let hole = hole_of(&cut, closed);
        hole.is_some_and(|it| it.opening.purpose == Purpose::TabSlot)
    };
    let strained = strained
        .iter()
        .filter(|closed| !of_tab(closed))
        .map(|closed| tight(&named(&cut, closed), closed, comfortable));
    refused.chain(strained).collect()
}

/// A stretch of an opening that a torch of some width cannot enter.
struct Closed {
    piece: Region,
    /// Its longer side, mm.
    reach: f64,
    /// Whether it is a whole opening.
    whole: bool,
}

impl Closed {
    fn of(piece: Face, whole: bool) -> Self {
        let bounds = piece.outside.bounds();
        Self {
            reach: bounds.width().max(bounds.height()),
            whole,
            piece: Region { faces: vec![piece] },
        }
    }

    /// Whether it is more than a rounded corner to a torch of some width.
    fn counts_for(&self, width: f64) -> bool {
        self.whole || self.reach > CORNER * width
    }
}

/// The opening that a stretch lies in.
fn hole_of<'a, 'b>(cut: &'a [(Bounds, CutHole<'b>)], closed: &Closed) -> Option<&'a CutHole<'b>> {
    let bounds = closed.piece.bounds().grown(SLACK);
    let mut cut = cut.iter();
    let hole =
        cut.find(|(edge, hole)| edge.grown(SLACK).meets(bounds) && touches(&hole.edge, closed));
    hole.map(|(_, hole)| hole)
}

/// What a stretch lies in, in words.
fn named(cut: &[(Bounds, CutHole<'_>)], closed: &Closed) -> String {
    match hole_of(cut, closed) {
        Some(hole) if closed.whole => hole.opening.name.clone(),
        Some(hole) => format!("part of {}", hole.opening.name),
        None => "a notch in the outside".to_owned(),
    }
}

fn touches(edge: &Contour, closed: &Closed) -> bool {
    let mut contours = closed.piece.contours();
    contours.any(|contour| contour.gap_to(edge).distance < SLACK)
}

/// Where a torch of a width cannot go, outside a face and in each of its openings.
fn closed_to(face: &Face, width: f64) -> Result<Vec<Closed>, Unresolved> {
    let half = (width - PROBE_SLACK) / 2.0;
    if half <= 0.0 {
        return Ok(Vec::new());
    }
    let openings = face.openings.par_iter();
    let inside = openings.map(|edge| closed_inside(edge, half));
    let (outside, inside) = rayon::join(
        || closed_outside(&face.outside, half),
        || inside.collect::<Result<Vec<_>, _>>(),
    );
    let closed = std::iter::once(outside?).chain(inside?);
    Ok(closed.flatten().collect())
}

/// What a disc of a radius cannot reach outside an outline: what closing its metal fills.
fn closed_outside(edge: &Contour, radius: f64) -> Result<Vec<Closed>, Unresolved> {
    let metal = Region::from(edge.clone());
    let grown = metal.offset(radius)?;
    if is_reached_from(edge, radius, &grown) {
        return Ok(Vec::new());
    }
    let pieces = grown.offset(-radius)?.difference(&metal)?.faces;
    let pieces = pieces.into_iter().map(|it| Closed::of(it, false));
    Ok(pieces.collect())
}

/// What a disc of a radius cannot reach in an opening.
fn closed_inside(edge: &Contour, radius: f64) -> Result<Vec<Closed>, Unresolved> {
    let edge = edge.reversed();
    let bounds = edge.bounds();
    let room = Region::from(edge.clone());
    let shrunk = room.offset(-radius)?;
    if is_reached_from(&edge, -radius, &shrunk) {
        return Ok(Vec::new());
    }
    let pieces = room.difference(&shrunk.offset(radius)?)?.faces;
    let is_whole = |piece: &Face| piece.outside.bounds().grown(SLACK).holds(bounds);
    let pieces = pieces.into_iter();
    let pieces = pieces.map(|it| (is_whole(&it), it));
    Ok(pieces.map(|(whole, it)| Closed::of(it, whole)).collect())
}

/// Whether a disc on the far side of an outline touches all of it: then what is within the disc's radius of it
/// is as large as Steiner's formula says (J. Steiner, Über parallele Flächen, 1840, from memory), and else less,
/// by what is near two stretches of the outline.
fn is_reached_from(edge: &Contour, distance: f64, moved: &Region) -> bool {
    let steiner = edge.signed_area() + edge.length() * distance + PI * distance * distance;
    let missing = (steiner - moved.area()) * distance.signum();
    moved.faces.len() == 1 && missing.abs() <= NOTHING
}

fn too_narrow(name: &str, closed: &Closed, kerf: f64) -> Breach {
    let is_slot = closed.whole || closed.reach > SLOT * kerf;
    let level = if is_slot { Level::Refuse } else { Level::Warn };
    let message = format!(
        "{name} is narrower than the kerf of {}: the torch cannot enter it",
        measured(kerf)
    );
    breach(closed, kerf, level, message)
        .physical()
        .remedy(format!(
            "make it at least {} wide, or drill it",
            enough(COMFORTABLE * kerf)
        ))
}

fn tight(name: &str, closed: &Closed, comfortable: f64) -> Breach {
    let message = format!(
        "{name} is narrower than {} (1.5 kerfs): both sides run hot and the edges melt",
        measured(comfortable)
    );
    breach(closed, comfortable, Level::Warn, message)
        .remedy(format!("make it at least {} wide", enough(comfortable)))
}

fn breach(closed: &Closed, width: f64, level: Level, message: String) -> Breach {
    let at = closed.piece.interior_point();
    let at = at.unwrap_or_else(|| closed.piece.bounds().centre());
    Breach::new(level, width / closed.reach, at, message)
}

fn unmeasured(subject: &Subject<'_>) -> Breach {
    let message = "narrow slots could not be measured on this outline".to_owned();
    Breach::new(Level::Warn, 1.0, subject.middle(), message)
        .remedy("look the drawing over for slots narrower than the kerf")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Pose, Vector};
    use crate::plate::shape::{disc, rectangle};
    use proptest::prelude::*;

    /// A plate with a notch in its edge and two openings, one of them with hollow sides.
    fn plate(notch: f64, window: [f64; 2], hollow: f64) -> Region {
        let at = |region: &Region, x: f64, y: f64| region.posed(&Pose::shifted(Vector::new(x, y)));
        let shape = |width: f64, height: f64| rectangle(width, height, 0.0).expect("a sane shape");
        let round = disc(2.0 * hollow).expect("a sane disc");
        let star = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
        let star = star.iter().fold(shape(20.0, 20.0), |left, (x, y)| {
            let corner = at(&round, 10.0 * x, 10.0 * y);
            left.difference(&corner).expect("a simple scene")
        });
        let cuts = [
            at(&shape(notch, 14.0), -20.0, 30.0),
            at(&round, 25.0, 31.0),
            at(&shape(window[0], window[1]), -25.0, -10.0),
            at(&star, 20.0, -8.0),
        ];
        cuts.iter().fold(shape(100.0, 60.0), |left, cut| {
            left.difference(cut).expect("a simple scene")
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, cases: 48, ..ProptestConfig::default() })]

        /// An outline at a time, and not closed at all where Steiner's formula says that nothing would be filled:
        /// what is found is what closing the whole plate finds.
        #[test]
        fn an_outline_at_a_time_is_all_at_once(
            notch in 0.5..9.0_f64,
            window in [1.0..20.0_f64, 1.0..20.0_f64],
            hollow in 1.0..9.0_f64,
            width in 0.5..8.0_f64,
        ) {
            let plate = plate(notch, window, hollow);
            prop_assume!(plate.faces.len() == 1);
            let closed = closed_to(&plate.faces[0], width).expect("a simple scene");
            let half = (width - PROBE_SLACK) / 2.0;
            let filled = plate.round_inside(half).expect("a simple scene");
            let filled = filled.difference(&plate).expect("a simple scene");
            let of_closed: f64 = closed.iter().map(|it| it.piece.area()).sum();
            prop_assert!((of_closed - filled.area()).abs() < 4.0 * NOTHING, "{of_closed} {}", filled.area());
            let whole = closed.iter().filter(|it| it.whole).count();
            prop_assert_eq!(whole, usize::from(window[0].min(window[1]) < 2.0 * half));
        }
    }

    #[test]
    fn a_round_opening_is_reached_up_to_its_radius_and_a_corner_never() {
        let reached = |edge: &Contour, radius: f64| {
            let moved = Region::from(edge.clone()).offset(-radius);
            is_reached_from(edge, -radius, &moved.expect("a simple scene"))
        };
        let round = disc(6.0).expect("a sane disc").faces.remove(0).outside;
        assert!(reached(&round, 2.9) && !reached(&round, 3.1));
        let square = rectangle(6.0, 6.0, 0.0).expect("a sane shape");
        assert!(!reached(&square.faces[0].outside, 0.5));
        let rounded = rectangle(6.0, 6.0, 1.0).expect("a sane shape");
        assert!(reached(&rounded.faces[0].outside, 0.9));
        assert!(!reached(&rounded.faces[0].outside, 1.2));
    }
}
