//! Figures of what a plate carries, what is done to its holes after cutting, and what it is bolted
//! with.

use super::figures::{DrillFigures, HardwareFigures, MarginFigures, rounded};
use crate::plate::{Datum, Plate, Purpose};
use crate::trade::thread::{self, System};
use crate::trade::unit::INCH;
use crate::trade::wrench;

/// Height of a nut in bolt diameters (ISO 4032 has 0.8 to 0.9): common practice.
const NUT: f64 = 0.9;
/// Threads that stand out of a nut: common practice.
const PAST_THE_NUT: f64 = 2.0;

/// What a plate carries over what is asked of it.
#[must_use]
pub fn margins(plate: &Plate) -> Vec<MarginFigures> {
    let margins = plate.holding.margins.iter();
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
    let hardware = plate.holding.hardware.iter();
    hardware
        .map(|it| HardwareFigures {
            says: it.says.clone(),
            thread: it.thread.clone(),
            class: it.class.clone(),
            count: it.count.saturating_mul(plate.quantity),
            grip_mm: rounded(it.grip),
            length_mm: bolt_length(&it.thread, it.grip).map(rounded),
        })
        .collect()
}

/// The shortest stocked bolt that goes through the grip, a nut and two threads more, mm: steps of 5 mm
/// to 80 and 10 from there (ISO 888), in inches of 1/4 (common practice).
fn bolt_length(written: &str, grip: f64) -> Option<f64> {
    let thread = thread::read(written).ok()?;
    let least = grip + NUT * thread.diameter + PAST_THE_NUT * thread.pitch;
    let step = match thread.system {
        System::Metric if least <= 80.0 => 5.0,
        System::Metric => 10.0,
        System::Inch => INCH / 4.0,
    };
    Some((least / step).ceil() * step)
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bolts_reach_through_their_nut_to_a_stocked_length() {
        // 20 + 0.9 x 10 + 2 x 1.5 = 32.
        assert_eq!(bolt_length("M10", 20.0), Some(35.0));
        assert_eq!(bolt_length("M20", 70.0), Some(100.0));
        // 1/2 + 0.45 + 2/13 = 1.104 in.
        let inch = bolt_length("1/2-13", 0.5 * INCH).expect("a thread");
        assert!((inch - 1.25 * INCH).abs() < 1e-9);
        assert_eq!(bolt_length("no thread", 20.0), None);
    }
}
