//! How each opening is made: cut, cut undersize for the reamer, or only centre-marked for the drill.
//!
//! In: an opening with its purpose, size and wish, and the table. Out: a [`Treatment`], or a fault
//! that names the opening.

use super::path::DrillPoint;
use super::settings::{CutSettings, Process};
use crate::fault::Fault;
use crate::geometry::Circle;
use crate::plate::{Finish, Opening, Plate, Purpose};
use crate::trade::thread;

/// How an opening is made.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Treatment {
    /// Cut to size.
    Cut,
    /// Cut as this smaller circle, then drilled or reamed.
    Undersize(Circle, DrillPoint),
    /// Centre-marked, then drilled.
    Drill(DrillPoint),
}

/// What the bolt holes of a plate have to stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Duty {
    /// Steady loads: a hole may be used as cut (AISC 360 M2.5 for static load, looked up).
    Steady,
    /// The changing loads of steering, suspension, hub and brake parts, where a crack may start from
    /// the notches of a thermal cut: holes are cut undersize and drilled or reamed. Common practice,
    /// from memory.
    Safety,
}

/// The caution that a recipe puts on parts whose failure kills.
const SAFETY: &str = "safety-critical";

impl Duty {
    /// By the cautions of the plate's recipe.
    pub(super) fn of(plate: &Plate) -> Self {
        if plate.cautions.iter().any(|topic| topic == SAFETY) {
            Self::Safety
        } else {
            Self::Steady
        }
    }
}

/// Decides how an opening is made; `round` is its circle if it is round.
pub(super) fn treatment(
    index: usize,
    opening: &Opening,
    round: Option<Circle>,
    settings: &CutSettings,
    (process, duty): (Process, Duty),
) -> Result<Treatment, Fault> {
    let Some(hole) = round else {
        return match opening.finish {
            Finish::ByRule | Finish::Cut => Ok(Treatment::Cut),
            Finish::Drill | Finish::Undersize => Err(Fault::refused(format!(
                "{} is not round, so it cannot be drilled or reamed",
                opening.name
            ))
            .remedy("take its `finish` away, or make it a disc")),
        };
    };
    let diameter = hole.radius * 2.0;
    let small = diameter < settings.smallest_hole || diameter <= settings.kerf;
    Ok(match opening.finish {
        Finish::Cut if diameter > settings.kerf => Treatment::Cut,
        Finish::Cut => return Err(within_the_kerf(opening, diameter, settings)),
        Finish::Drill => Treatment::Drill(to_drill(index, opening, hole)),
        Finish::Undersize => undersize(index, opening, hole, settings),
        Finish::ByRule if small => Treatment::Drill(to_drill(index, opening, hole)),
        Finish::ByRule if is_finished_by_hand(opening.purpose, process, duty) => {
            undersize(index, opening, hole, settings)
        }
        Finish::ByRule => Treatment::Cut,
    })
}

/// What is drilled, tapped or reamed by hand, in the order of the openings. An opening that cannot be
/// made as it is wished is left out: preparing the plate refuses it.
#[must_use]
pub fn drill_list(plate: &Plate, settings: &CutSettings, process: Process) -> Vec<DrillPoint> {
    let made_for = (process, Duty::of(plate));
    let openings = plate.openings.iter().enumerate();
    let made = openings.filter_map(|(index, opening)| {
        treatment(index, opening, opening.circle, settings, made_for).ok()
    });
    made.filter_map(|made| match made {
        Treatment::Cut => None,
        Treatment::Undersize(_, point) | Treatment::Drill(point) => Some(point),
    })
    .collect()
}

/// Whether a hole of this purpose is not used as cut: a pin wants a reamed hole, a tap wants metal that
/// the torch has not hardened, and a bolt in a safety part a hole without notches. Common practice.
fn is_finished_by_hand(purpose: Purpose, process: Process, duty: Duty) -> bool {
    match purpose {
        Purpose::Pin => true,
        Purpose::Tapped => process.edges_need_drilling(),
        Purpose::Bolt => duty == Duty::Safety,
        Purpose::Bore | Purpose::Slot | Purpose::Window => false,
    }
}

fn within_the_kerf(opening: &Opening, diameter: f64, settings: &CutSettings) -> Fault {
    Fault::refused(format!(
        "{} is {diameter:.1} mm across, no wider than the kerf of {} mm",
        opening.name, settings.kerf
    ))
    .remedy("let it be drilled: finish = \"drill\"")
}

/// Cut smaller by the settings' allowance; drilled from the solid if that leaves too little to cut.
fn undersize(index: usize, opening: &Opening, hole: Circle, settings: &CutSettings) -> Treatment {
    let point = to_drill(index, opening, hole);
    let pilot = hole.radius * 2.0 - settings.undersize;
    if pilot < settings.smallest_hole || pilot <= settings.kerf {
        return Treatment::Drill(point);
    }
    let cut = Circle {
        radius: pilot / 2.0,
        ..hole
    };
    Treatment::Undersize(
        cut,
        DrillPoint {
            work: format!("{} (cut at {})", point.work, size(pilot)),
            pilot: Some(pilot),
            ..point
        },
    )
}

fn to_drill(index: usize, opening: &Opening, hole: Circle) -> DrillPoint {
    let diameter = hole.radius * 2.0;
    let thread = opening.thread.as_deref();
    let thread = thread.and_then(|words| thread::read(words).ok());
    let (drill, work) = match (opening.purpose, thread) {
        (Purpose::Tapped, Some(thread)) => {
            let words = format!("drill {}, tap {}", thread.drill, thread.name());
            (thread.drill.diameter(), words)
        }
        (Purpose::Pin, _) => (diameter, format!("drill and ream to {}", size(diameter))),
        (Purpose::Bore, _) => (diameter, format!("drill or bore to {}", size(diameter))),
        _ => (diameter, format!("drill {}", size(diameter))),
    };
    DrillPoint {
        opening: index,
        hole,
        drill,
        pilot: None,
        work,
    }
}

/// A drill size in mm without trailing zeros.
fn size(mm: f64) -> String {
    let text = format!("{mm:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    format!("{text} mm")
}
