//! Blocks that are written once for several forms.
//!
//! In: a block with a list of alternatives at one of its keys, each with a `when`. Out: the block once for each of
//! them, which counts where its `when` holds and none before it did. So are the steps with `either` written out,
//! and the rules with several remedies.

use super::left_out::{joined, step_lists};
use crate::fault::Fault;
use crate::toml_text::{Item, Table};

/// The alternatives of a step, by their key.
const EITHER: &str = "either";

/// One of several.
pub(super) struct Alternative {
    /// The block that it is one of, with the `when` of both.
    pub(super) block: Item,
    /// What it says itself.
    pub(super) own: Table,
    /// Whether it has a `when`.
    is_asked: bool,
}

/// The block once for each of the alternatives at a key; `None` where there is no list.
pub(super) fn of_block(
    block: &Item,
    key: &str,
    faults: &mut Vec<Fault>,
) -> Option<Vec<Alternative>> {
    let mut shared = block.clone();
    let inside = shared.table_mut().filter(|it| it.is_list(key))?;
    let several = inside.take(key)?;
    let mut before: Vec<Item> = inside.take("when").into_iter().collect();
    let mut made = Vec::new();
    for mut own in several.tables(faults) {
        let when = own.take("when");
        let mut block = shared.clone();
        let counts = before.iter().chain(&when);
        if let (Some(table), Some(all)) = (block.table_mut(), joined(counts, " and ")) {
            table.put("when", all);
        }
        made.push(Alternative {
            block,
            own,
            is_asked: when.is_some(),
        });
        before.extend(when.and_then(|it| it.rewritten(&format!("not ({})", it.written()?))));
    }
    Some(made)
}

/// Writes each step with `either` out as one for each of its alternatives.
pub(super) fn of_steps(table: &mut Table, faults: &mut Vec<Fault>) {
    for of in ["plate", "shape"] {
        for steps in step_lists(table, of) {
            let mut all = Vec::with_capacity(steps.len());
            for step in std::mem::take(steps) {
                match of_block(&step, EITHER, faults) {
                    None => all.push(step),
                    Some(several) => all.extend(with_their_keys(several, faults)),
                }
            }
            *steps = all;
        }
    }
}

/// The steps with the keys of their alternatives.
fn with_their_keys(several: Vec<Alternative>, faults: &mut Vec<Fault>) -> Vec<Item> {
    if let [only] = several.as_slice() {
        let fault = only.own.fault("`either` takes two or more");
        faults.push(fault.remedy("write these keys in the step itself"));
    }
    let last = several.len().saturating_sub(1);
    let mut made = Vec::with_capacity(several.len());
    for (at, one) in several.into_iter().enumerate() {
        let Alternative {
            mut block,
            own,
            is_asked,
        } = one;
        if at < last && !is_asked {
            let fault = own.fault("this always holds, so those after it are never made");
            faults.push(fault.remedy("give it a `when`, or put it last"));
        }
        let Some(keys) = block.table_mut() else {
            continue;
        };
        for (key, item) in own.rest() {
            if keys.has(&key.name) {
                let fault = item.fault(format!("the step has `{}` as well", key.name));
                faults.push(fault.remedy("write it in one of the two"));
            } else {
                keys.entries_mut().push((key, item));
            }
        }
        made.push(block);
    }
    made
}
