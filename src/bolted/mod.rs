//! Joints of a job: what is bolted together, whether it goes together, and with which bolts.
//!
//! In: the `[[bolted]]` blocks of a job and its plates, whose openings know how they are made. Out: [`Joints`]: of each
//! joint its stack, bolts and fit, findings that stand with plates, and which bolts of the families they take the place of.

mod across;
mod chance;
mod fit;
mod pattern;
mod room;
mod stack;
mod taken;
mod tell;

use std::ops::Range;

use rayon::prelude::*;

use crate::fault::{Fault, Faults, Outcome};
use crate::finding::{Finding, Level};
use crate::plate::{Hardware, Plate};
use crate::quantity::format::{both_units, decimal};
use crate::recipe::Job;
use crate::recipe::bolted::{Bolted, PlyOf};
use crate::recipe::strength::USUAL_TIGHTENING;
use crate::trade::bolt::{self, Fastener};
use crate::trade::thermal::Process;
use across::Across;
use stack::{Among, Stack};

pub use chance::{Chance, DRAWS, Drilled, chance};
pub use fit::{Holes, Laid, laid, miss};
pub use tell::{BOLT_PATTERN, CHANCE_OF_FIT, JOINT_LEFT_OUT, SOCKET_ROOM, is_of_joint};

/// A joint of a job.
#[derive(Debug, Clone, PartialEq)]
pub struct BoltedJoint {
    /// What the builder calls it.
    pub name: String,
    /// How many of them there are.
    pub quantity: u32,
    /// Its plies from one side to the other: `front-hub-plate, 10 mm`.
    pub through: Vec<String>,
    /// The bolts of one of them.
    pub hardware: Hardware,
    /// How surely the bolts go in; `None` where there is nothing to compare or it is not known how true the holes are.
    pub chance: Option<Chance>,
    /// The same in words.
    pub fit: String,
}

/// The joints of a job, and what follows from them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Joints {
    /// The joints, in the order of the job.
    pub joints: Vec<BoltedJoint>,
    /// What is said of them, with the plates that it stands with.
    pub findings: Vec<(usize, Finding)>,
    /// Bolts that a family lists and a joint lists instead: the plate, their place in its list, and how many.
    pub instead: Vec<(usize, usize, u32)>,
}

/// Looks at the joints of a job. `parts` tells which plates belong to one part.
pub fn joints(
    job: &Job,
    plates: &[Plate],
    parts: &[Range<usize>],
    process: Process,
) -> Outcome<Joints> {
    let among = Among {
        plates,
        parts,
        process,
    };
    let all_are_made = job.only.is_empty() && job.parts.iter().all(|it| it.plates.is_empty());
    let mut faults = Vec::new();
    let mut stacks: Vec<(&Bolted, Stack, Across)> = Vec::new();
    let mut all = Joints::default();
    for of in &job.bolted {
        match stack::stack(of, among, all_are_made).and_then(|it| known_class(of, it)) {
            Ok(Some(stack)) => {
                let across = Across::of(&stack);
                stacks.push((of, stack, across));
            }
            Ok(None) => all.findings.extend(left_out(of, plates)),
            Err(fault) => faults.push(fault),
        }
    }
    let of_stacks = stacks.iter().map(|(of, stack, _)| (*of, stack));
    faults.extend(taken::twice(of_stacks, plates));
    Faults::check(faults)?;
    let told = stacks.par_iter().map(|(_, stack, across)| {
        let fit = pattern::looked_at(stack, across, among);
        (fit, room::around(stack, among))
    });
    let told: Vec<_> = told.collect();
    for ((of, stack, _), (fit, around)) in stacks.iter().zip(told) {
        all.findings.extend(fit.findings);
        all.findings.extend(around);
        let hardware = hardware(of, stack, plates);
        let bolts = stack.quantity.saturating_mul(hardware.count);
        let instead = stack.listed.iter();
        let instead = instead.map(|(plate, at)| (*plate, *at, bolts));
        all.instead.extend(instead);
        all.joints.push(BoltedJoint {
            name: stack.name.clone(),
            quantity: stack.quantity,
            through: stack
                .plies
                .iter()
                .map(|it| format!("{}, {}", it.says, both_units(it.thickness)))
                .collect(),
            hardware,
            fit: fit.words,
            chance: fit.chance,
        });
    }
    for (at, (_, one, _)) in stacks.iter().enumerate() {
        let others = stacks.iter().enumerate().filter(|(other, _)| *other != at);
        for (_, (_, other, laid)) in others {
            all.findings
                .extend(room::covered(one, (other, laid), among));
        }
    }
    all.findings
        .sort_by_key(|(_, it)| std::cmp::Reverse(it.level));
    Ok(all)
}

/// What is said of a joint that lacks plates, with the first of its plates that are made; nothing if none is.
fn left_out(of: &Bolted, plates: &[Plate]) -> Option<(usize, Finding)> {
    let named = of.through.iter().filter_map(|ply| match &ply.of {
        PlyOf::Plate { plate, .. } => Some((plate.as_str(), stack::made(plate, plates))),
        PlyOf::Thing(_) => None,
    });
    let (made, missing): (Vec<_>, Vec<_>) = named.partition(|(_, at)| at.is_some());
    let first = made.first()?.1?;
    let missing: Vec<&str> = missing.iter().map(|it| it.0).collect();
    let message = format!(
        "the joint {} is not looked at: {} left out",
        of.name.as_str(),
        match missing.as_slice() {
            [one] => format!("{one} is"),
            many => format!("{} are", many.join(", ")),
        }
    );
    let remedy = "draw or check the whole job to see whether it goes together";
    let finding = tell::finding(JOINT_LEFT_OUT, Level::Note, message, remedy.to_owned());
    Some((first, finding))
}

/// The stack, if the tables have the class that its joint names.
fn known_class(of: &Bolted, stack: Option<Stack>) -> Result<Option<Stack>, Fault> {
    if let (Some(stack), Some(class)) = (&stack, &of.class) {
        bolt::strength(&stack.thread, class.as_str()).map_err(|why| class.fault(why))?;
    }
    Ok(stack)
}

/// The bolts of one joint: as its block says, else as a family of its plates has them for these openings, else as
/// bolts usually are.
fn hardware(of: &Bolted, stack: &Stack, plates: &[Plate]) -> Hardware {
    let own = stack::family_bolts(stack, plates);
    let same_thread = own.filter(|it| it.thread == stack.thread.name());
    let class = match (&of.class, same_thread) {
        (Some(class), _) => class.as_str().to_owned(),
        (None, Some(own)) => own.class.clone(),
        (None, None) => bolt::usual_class(&stack.thread).to_owned(),
    };
    let fastener = if stack.plies.iter().any(|it| it.tapped) {
        Fastener::Tapped
    } else if stack.takes_u_bolts(plates) {
        Fastener::UBolt
    } else {
        Fastener::Nut
    };
    let each = match (of.washers, own) {
        (Some(washers), _) => washers,
        (None, Some(own)) if own.fastener == fastener => own.washers_each(),
        (None, _) => fastener.washers(),
    };
    let torque = match same_thread.filter(|own| own.class == class) {
        Some(own) => own.torque,
        None => bolt::torque(&stack.thread, &class, USUAL_TIGHTENING),
    };
    let legs = if fastener == Fastener::UBolt { 2 } else { 1 };
    let count = stack.bolts as u32 / legs;
    // What a U-bolt's legs span goes round something that is no ply.
    let grip = match own.filter(|_| fastener == Fastener::UBolt) {
        Some(own) => own.grip,
        None => stack.plies.iter().map(|it| it.thickness).sum(),
    };
    let of_family = own.filter(|it| it.fastener == fastener);
    let nut = of.nut.as_ref().map(|it| it.as_str().to_owned());
    let nut = nut.or_else(|| of_family.and_then(|it| it.nut.clone()));
    Hardware {
        says: stack.name.clone(),
        thread: stack.thread.name(),
        class,
        fastener,
        count,
        grip,
        torque,
        washers: each.saturating_mul(count),
        nut: nut.filter(|_| fastener != Fastener::Tapped),
        length: fastener.length(&stack.thread, grip, each),
        near: None,
        in_joints: 0,
    }
}

impl Chance {
    /// How surely all bolts go in, in words.
    #[must_use]
    pub fn says(&self) -> String {
        let spare = decimal(self.spare.abs(), 2);
        if self.spare >= 0.0 {
            return format!("goes together at the worst, with {spare} mm to spare");
        }
        format!(
            "in {} % of {DRAWS} draws all bolts go in; at the worst {spare} mm are wanting",
            decimal(100.0 * self.share, 1)
        )
    }
}
