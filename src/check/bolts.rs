//! Bolt and tapped holes: room around them, and how they are made.

use super::Level;
use super::breach::Breach;
use super::subject::{Bolt, SLACK, Subject, enough};
use crate::geometry::{Contour, Gap};
use crate::plate::{Making, Purpose};
use crate::quantity::format::measured;
use crate::trade::edge::{self, EDGE_OF_HOLE, LEAST_SPACING};
use crate::trade::material::{self, Metal};

/// Never nearer to an edge than this many bolt diameters (AISC 360, note to Table J3.4).
const NEVER_NEARER: f64 = 1.0;
/// Engaged thread in steel, and in softer metals, in diameters: common practice, no source.
const ENGAGED_STEEL: f64 = 1.0;
const ENGAGED_SOFT: f64 = 1.5;

/// Bolt and tapped holes too near an edge of the plate or of an opening that is neither.
pub(super) fn edge_distance(subject: &Subject<'_>) -> Vec<Breach> {
    let is_bolt = |purpose| matches!(purpose, Purpose::Bolt | Purpose::Tapped);
    let outside = [("the outside", &subject.plate.face.outside)];
    let others: Vec<(&str, &Contour)> = subject
        .holes()
        .filter(|hole| !is_bolt(hole.opening.purpose))
        .map(|hole| (hole.opening.name.as_str(), hole.edge))
        .chain(outside)
        .collect();
    let bolts = subject.bolts().into_iter();
    let tapped = subject.round(Purpose::Tapped);
    bolts
        .chain(tapped)
        .filter_map(|bolt| {
            let gap = |edge: &Contour| edge.gap_to_point(bolt.hole.centre);
            let gaps = others.iter().map(|(name, edge)| (*name, gap(edge)));
            let nearest = gaps.min_by(|a, b| a.1.distance.total_cmp(&b.1.distance));
            let (name, gap) = nearest?;
            too_near(bolt, name, gap)
        })
        .collect()
}

fn too_near(bolt: Bolt<'_>, other: &str, gap: Gap) -> Option<Breach> {
    let (limit, source) = match bolt.thread {
        Some(thread) => (edge::edge_distance(&thread), edge::edge_source(&thread)),
        None => (
            EDGE_OF_HOLE * bolt.diameter(),
            "common practice, 1.5 hole diameters (no thread is named)",
        ),
    };
    if gap.distance >= limit - SLACK {
        return None;
    }
    let level = if gap.distance < NEVER_NEARER * bolt.diameter() - SLACK {
        Level::Refuse
    } else {
        Level::Warn
    };
    let message = format!(
        "the centre of {} is {} from the edge of {other}, under {}",
        bolt.opening.name,
        measured(gap.distance),
        measured(limit)
    );
    let breach = Breach::new(level, gap.distance / limit, bolt.hole.centre, message).source(source);
    Some(breach.remedy(format!(
        "move it {} further away or change that edge; less needs a tear-out check by an engineer",
        enough(limit - gap.distance)
    )))
}

/// Bolt holes too near one another.
pub(super) fn spacing(subject: &Subject<'_>) -> Vec<Breach> {
    let bolts = subject.bolts();
    let pairs = bolts
        .iter()
        .enumerate()
        .flat_map(|(i, one)| bolts[i + 1..].iter().map(move |other| (one, other)));
    pairs
        .filter_map(|(one, other)| too_close(one, other))
        .collect()
}

fn too_close(one: &Bolt<'_>, other: &Bolt<'_>) -> Option<Breach> {
    let diameter = one.diameter().max(other.diameter());
    let apart = one.hole.centre.distance(other.hole.centre);
    let limit = LEAST_SPACING * diameter;
    if apart >= limit - SLACK {
        return None;
    }
    let message = format!(
        "{} and {} are {} apart, centre to centre, under 2-2/3 bolt diameters ({})",
        one.opening.name,
        other.opening.name,
        measured(apart),
        measured(limit)
    );
    let at = one.hole.centre.lerp(other.hole.centre, 0.5);
    Some(
        Breach::new(Level::Warn, apart / limit, at, message)
            .remedy("use a larger circle, smaller bolts, or turn one pattern against the other"),
    )
}

/// Holes that their thread does not pass, or that leave a tap no metal.
pub(super) fn fit(subject: &Subject<'_>) -> Vec<Breach> {
    let bolts = subject.bolts().into_iter().filter_map(|bolt| {
        let thread = bolt.thread?;
        let hole = 2.0 * bolt.hole.radius;
        let message = format!(
            "{} is {}: an {} bolt does not pass",
            bolt.opening.name,
            measured(hole),
            thread.size
        );
        (hole < thread.diameter - SLACK).then(|| {
            Breach::new(
                Level::Warn,
                hole / thread.diameter,
                bolt.hole.centre,
                message,
            )
            .remedy("use clearance(thread) for its diameter, or purpose = \"tapped\"")
        })
    });
    let tapped = subject
        .round(Purpose::Tapped)
        .into_iter()
        .filter_map(|bolt| {
            let thread = bolt.thread?;
            let hole = 2.0 * bolt.hole.radius;
            let message = format!(
                "{} is {}: wider than {}, so a tap finds no metal",
                bolt.opening.name,
                measured(hole),
                thread.size
            );
            (hole > thread.diameter + SLACK).then(|| {
                Breach::new(
                    Level::Warn,
                    thread.diameter / hole,
                    bolt.hole.centre,
                    message,
                )
                .remedy("use tap_drill(thread) for its diameter, or purpose = \"bolt\"")
            })
        });
    bolts.chain(tapped).collect()
}

/// Tapped holes in plate too thin to hold the thread.
pub(super) fn engagement(subject: &Subject<'_>) -> Vec<Breach> {
    let soft = material::find(&subject.plate.material)
        .is_ok_and(|material| matches!(material.metal, Metal::Aluminium | Metal::Copper));
    let factor = if soft { ENGAGED_SOFT } else { ENGAGED_STEEL };
    let thickness = subject.plate.thickness;
    let level = if subject.is_safety_critical() {
        Level::Warn
    } else {
        Level::Note
    };
    let tapped = subject.round(Purpose::Tapped).into_iter();
    tapped
        .filter_map(|bolt| {
            let needed = factor * bolt.thread?.diameter;
            let message = format!(
                "{} has {} of thread, under {}: the thread strips before the bolt breaks",
                bolt.opening.name,
                measured(thickness),
                measured(needed)
            );
            (thickness < needed - SLACK).then(|| {
                Breach::new(level, thickness / needed, bolt.hole.centre, message)
                    .remedy("use thicker plate, a nut behind it, or a weld-on boss")
            })
        })
        .collect()
}

/// Bolt holes of a safety-critical part that are used as the torch leaves them: by rule they are drilled,
/// so it is the builder who wants them so.
pub(super) fn as_cut(subject: &Subject<'_>) -> Vec<Breach> {
    if !subject.is_safety_critical() {
        return Vec::new();
    }
    let bolts = subject.bolts().into_iter();
    bolts
        .filter(|bolt| bolt.opening.making == Some(Making::Cut))
        .map(|bolt| {
            let message = format!(
                "{} of a safety-critical part is cut to size: a cut edge is hard and may hide notches",
                bolt.opening.name
            );
            Breach::new(Level::Warn, 1.0, bolt.hole.centre, message)
                .remedy("cut it undersize and drill or ream it: finish = \"undersize\"")
        })
        .collect()
}
