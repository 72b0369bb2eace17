//! Openings that more joints go through than there are plates.
//!
//! In: the stacks of a job. Out: what is wrong with the block of a joint whose openings others have taken already.

use std::collections::HashMap;

use super::stack::Stack;
use crate::fault::Fault;
use crate::plate::Plate;
use crate::recipe::bolted::Bolted;

/// Joints that go through openings of which earlier ones leave too few, each told once.
pub(super) fn twice<'a>(
    stacks: impl Iterator<Item = (&'a Bolted, &'a Stack)>,
    plates: &[Plate],
) -> Vec<Fault> {
    let mut taken: HashMap<(usize, usize), (u32, &Stack)> = HashMap::new();
    let mut faults = Vec::new();
    for (of, stack) in stacks {
        let mut first = None;
        for ply in &stack.plies {
            for hole in &ply.holes {
                let (Some(plate), Some(opening)) = (ply.plate, hole.opening) else {
                    continue;
                };
                let (used, by) = taken.entry((plate, opening)).or_insert((0, stack));
                *used = used.saturating_add(stack.quantity);
                if *used > plates[plate].quantity && by.name != stack.name {
                    first = first.or(Some((&hole.name, plate, *used, *by)));
                }
            }
        }
        if let Some((hole, plate, used, by)) = first {
            let Plate { name, quantity, .. } = &plates[plate];
            let message = format!(
                "{hole} of {name} has a bolt of joint \"{}\" already: {used} would go through it, and the job makes {quantity} of \
                 this plate",
                by.name
            );
            faults.push(of.name.fault(message).remedy(remedy(stack, by, *quantity)));
        }
    }
    faults
}

fn remedy(stack: &Stack, by: &Stack, quantity: u32) -> String {
    let plies = |it: &Stack| {
        let mut plies: Vec<String> = it.plies.iter().map(|ply| ply.says.clone()).collect();
        plies.sort();
        plies
    };
    if plies(stack) == plies(by) && quantity < 2 {
        return "leave one of the two joints out: they are of the same plies".to_owned();
    }
    let one = "write all plies that these bolts go through in one joint, or name other openings";
    match quantity {
        0 | 1 => one.to_owned(),
        most => format!("{one}, or give each joint its `quantity`: together {most} at most"),
    }
}
