//! Figures of what a plate carries, what is done to its holes after cutting, and what it is bolted
//! with.

use super::figures::{
    DrillFigures, HardwareFigures, Holding, JointFigures, MarginFigures, NotCheckedFigures, rounded,
};
use crate::bolted::BoltedJoint;
use crate::plate::{Datum, Hardware, Margin, Plate, Purpose, StrengthResults};
use crate::quantity::format::decimal;
use crate::quantity::unit::NEWTON_METRE;
use crate::trade::bolt;
use crate::trade::thread;
use crate::trade::wrench;

/// Whether a plate holds.
#[must_use]
pub fn holding(plate: &Plate) -> Holding {
    let strength = &plate.strength;
    let margins = strength.margins.iter().map(|it| MarginFigures {
        says: it.says.clone(),
        load: it.load.clone(),
        carries: it.carries.clone(),
        steps: it.steps.clone(),
        typical: it.typical,
        margin: rounded(it.ratio),
        wanted: it.wanted,
        enough: it.is_enough(),
        formula: it.formula.clone(),
        load_reckoned: it.load_reckoned.clone(),
        carries_reckoned: it.carries_reckoned.clone(),
        source: it.source.clone(),
        remedy: it.remedy.clone(),
    });
    let not_checked = strength.not_checked.iter().map(|it| NotCheckedFigures {
        says: it.says.clone(),
        why: it.why.clone(),
        look: it.look.clone(),
    });
    Holding {
        governing: governing(strength),
        margins: margins.collect(),
        not_checked: not_checked.collect(),
    }
}

/// What is nearest its limit, and how much is not checked; `None` where the family says nothing.
fn governing(strength: &StrengthResults) -> Option<String> {
    let first = strength.margins.first().map(stand);
    let left = match strength.not_checked.len() {
        0 => None,
        1 => Some("1 way to fail is not checked".to_owned()),
        ways => Some(format!("{ways} ways to fail are not checked")),
    };
    let told: Vec<String> = first.into_iter().chain(left).collect();
    (!told.is_empty()).then(|| told.join("; "))
}

/// How a margin stands that is nearest its limit, or short of it.
#[must_use]
pub fn stand(margin: &Margin) -> String {
    let verdict = if margin.is_enough() {
        "nearest its limit"
    } else {
        "too weak"
    };
    let (carries, wanted) = (decimal(margin.ratio, 2), decimal(margin.wanted, 2));
    format!(
        "{verdict}: {}, {carries} times its load ({wanted} wanted)",
        margin.says
    )
}

/// Bolts for all copies of a plate that no joint of the job lists.
#[must_use]
pub fn hardware(plate: &Plate) -> Vec<HardwareFigures> {
    let hardware = plate.strength.hardware.iter();
    let left = hardware.map(|it| bolts(it, it.to_get(plate.quantity)));
    left.filter(|it| it.count > 0).collect()
}

/// A joint of the job with the bolts of all such joints.
#[must_use]
pub fn joint(of: &BoltedJoint) -> JointFigures {
    JointFigures {
        name: of.name.clone(),
        quantity: of.quantity,
        through: of.through.clone(),
        bolts: bolts(&of.hardware, of.hardware.to_get(of.quantity)),
        fit: of.fit.clone(),
        worst_spare_mm: of.chance.map(|it| rounded(it.spare)),
        goes_together_percent: of.chance.map(|it| rounded(100.0 * it.share)),
    }
}

fn bolts(it: &Hardware, count: u32) -> HardwareFigures {
    HardwareFigures {
        says: it.says.clone(),
        thread: it.thread.clone(),
        class: it.class.clone(),
        fastener: it.fastener.words(),
        count,
        torque_nm: it.torque.map(|torque| rounded(torque / NEWTON_METRE)),
        torque_factor: bolt::TORQUE_FACTOR,
        washers: it.washers_each().saturating_mul(count),
        nut: it.nut.clone(),
        grip_mm: rounded(it.grip),
        length_mm: it.length.map(rounded),
        length: it.length.map(|mm| bolt::length_asked_for(&it.thread, mm)),
        length_is: it.fastener.length_is(),
    }
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
