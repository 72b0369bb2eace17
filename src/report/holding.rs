//! Figures of what a plate carries, what is done to its holes after cutting, and what it is bolted
//! with.

use super::figures::{DrillFigures, HardwareFigures, MarginFigures, rounded};
use crate::plate::{Datum, Plate, Purpose};
use crate::trade::thread;
use crate::trade::wrench;

/// What a plate carries over what is asked of it.
#[must_use]
pub fn margins(plate: &Plate) -> Vec<MarginFigures> {
    let margins = plate.strength.margins.iter();
    margins
        .map(|it| MarginFigures {
            says: it.says.clone(),
            load: it.load.clone(),
            carries: it.carries.clone(),
            margin: rounded(it.ratio),
            wanted: it.wanted,
            enough: it.is_enough(),
            formula: it.formula.clone(),
            source: it.source.clone(),
        })
        .collect()
}

/// Bolts for all copies of a plate.
#[must_use]
pub fn hardware(plate: &Plate) -> Vec<HardwareFigures> {
    let hardware = plate.strength.hardware.iter();
    hardware
        .map(|it| HardwareFigures {
            says: it.says.clone(),
            thread: it.thread.clone(),
            class: it.class.clone(),
            fastener: it.fastener.words(),
            count: it.count.saturating_mul(plate.quantity),
            grip_mm: rounded(it.grip),
            length_mm: it.length.map(rounded),
            length_is: it.fastener.length_is(),
        })
        .collect()
}

/// What is drilled, tapped, reamed and countersunk; tapped holes that are cut to size among it.
#[must_use]
pub fn drill_list(plate: &Plate, datum: &Datum) -> Vec<DrillFigures> {
    let openings = plate.openings.iter();
    openings
        .filter_map(|opening| {
            let circle = opening.circle?;
            let at = datum.place(circle.centre);
            let drilling = opening.drilling();
            let work = opening.hand_work()?;
            let bolt = opening
                .thread
                .as_deref()
                .and_then(|written| thread::read(written).ok());
            let tapped = bolt.filter(|_| opening.purpose == Purpose::Tapped);
            Some(DrillFigures {
                opening: opening.name.clone(),
                diameter_mm: rounded(2.0 * circle.radius),
                drill_mm: rounded(drilling.map_or(2.0 * circle.radius, |it| it.drill)),
                pilot_mm: opening.pilot().map(rounded),
                x_mm: rounded(at.x),
                y_mm: rounded(at.y),
                tap: tapped.map(|thread| thread.name()),
                ream_mm: (opening.purpose == Purpose::Pin).then(|| rounded(2.0 * circle.radius)),
                // A tap starts, and a screw seats, in a hole countersunk to its thread's diameter.
                countersink_mm: tapped.map(|thread| rounded(thread.diameter)),
                washer_mm: bolt
                    .filter(|_| opening.purpose == Purpose::Bolt)
                    .and_then(|thread| Some(rounded(wrench::seat(&thread)?.1))),
                work,
            })
        })
        .collect()
}
