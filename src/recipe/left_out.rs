//! What the blocks of a family leave out, filled in from where it stands already.
//!
//! In: the table of a recipe in which every block stands for itself. Out: the same with each usual dimension in
//! full, one rule for each of several remedies, a purpose and a diameter for each hole with a thread, and a
//! thread and a number for each `[[bolt]]` that goes through such holes.

use std::sync::Arc;

use super::shelf::Shelf;
use crate::fault::{Fault, Source};
use crate::toml_text::{self, Item, SIGN, Table, Text};

/// The shared file of dimensions that many families have.
const USUAL: &str = "usual-dimensions";

/// Fills in what is left out. The shared text that was used for it, with its name.
pub(super) fn filled_in(
    table: &mut Table,
    shelf: &Shelf,
    faults: &mut Vec<Fault>,
) -> Option<(String, Arc<Source>)> {
    let usual = usual_dimensions(table, shelf, faults);
    remedies(table, faults);
    for of in ["plate", "shape"] {
        for step in steps_mut(table, of) {
            hole(step);
        }
    }
    bolts(table);
    usual
}

/// Gives each dimension without a default or words of its own what the usual one of its name has, but for its own keys.
fn usual_dimensions(
    table: &mut Table,
    shelf: &Shelf,
    faults: &mut Vec<Fault>,
) -> Option<(String, Arc<Source>)> {
    let whole = table.source().clone();
    let blocks = table.get_mut("dimension")?.table_mut()?.entries_mut();
    let blocks = blocks.iter_mut();
    let short: Vec<_> = blocks
        .filter_map(|(key, item)| {
            let is_short = |it: &&mut Table| !it.has("default") || !it.has("says");
            let block = item.table_mut().filter(is_short)?;
            Some((key, block))
        })
        .collect();
    let (first, _) = short.first()?;
    let asked = Text::new(&whole, first.span.clone(), USUAL.to_owned());
    let source = shelf.shared(&asked);
    let source = source.map_err(|found| faults.extend(found)).ok()?;
    let read = toml_text::read(&source);
    let mut read = read.map_err(|found| faults.extend(found.into_vec())).ok()?;
    let usual = read.get_mut("dimension")?.table_mut()?.entries_mut();
    let mut is_used = false;
    for (key, block) in short {
        let found = usual
            .iter()
            .find_map(|(known, item)| Some((item, word_of(&known.name, &key.name)?)));
        let Some((item, word)) = found else {
            continue;
        };
        is_used = true;
        let mut item = item.with_word(&word.replace('_', " "));
        for (more, value) in item.table_mut().into_iter().flat_map(Table::entries_mut) {
            block.put(&more.name, value.clone());
        }
    }
    is_used.then(|| (USUAL.to_owned(), source))
}

/// The word that the sign in a usual name stands for in a name; none for one without the sign.
fn word_of(usual: &str, name: &str) -> Option<String> {
    match usual.split_once(SIGN) {
        None => (usual == name).then(String::new),
        Some((before, after)) => {
            let word = name.strip_prefix(before)?.strip_suffix(after)?;
            (!word.is_empty()).then(|| word.to_owned())
        }
    }
}

/// Writes a rule with several remedies out as one rule for each: it counts where its `when` holds and none before
/// it did.
fn remedies(table: &mut Table, faults: &mut Vec<Fault>) {
    let Some(rules) = table.get_mut("rule").and_then(Item::blocks_mut) else {
        return;
    };
    let mut all = Vec::with_capacity(rules.len());
    for mut rule in std::mem::take(rules) {
        let block = rule.table_mut().filter(|it| it.is_list("remedy"));
        let several = block.and_then(|it| it.take("remedy"));
        let Some(several) = several else {
            all.push(rule);
            continue;
        };
        let mut before = Vec::new();
        before.extend(rule.table_mut().and_then(|it| it.take("when")));
        for mut one in several.tables(faults) {
            one.call("a remedy");
            let Some(says) = one.need("says", "says = \"what to do\"", faults) else {
                continue;
            };
            let when = one.take("when");
            one.finish(faults);
            let mut rule = rule.clone();
            let counts = before.iter().chain(&when);
            if let Some(block) = rule.table_mut() {
                block.put("remedy", says);
                if let Some(all) = joined(counts, " and ") {
                    block.put("when", all);
                }
            }
            all.push(rule);
            before.extend(when.and_then(|it| it.rewritten(&format!("not ({})", it.written()?))));
        }
    }
    *rules = all;
}

/// Conditions in one.
fn joined<'a>(all: impl IntoIterator<Item = &'a Item>, by: &str) -> Option<Item> {
    let all: Vec<&Item> = all.into_iter().collect();
    let (first, more) = all.split_first()?;
    if more.is_empty() {
        return Some((*first).clone());
    }
    let each: Option<Vec<String>> = all
        .iter()
        .map(|it| it.written().map(|it| format!("({it})")))
        .collect();
    first.rewritten(&each?.join(by))
}

/// A round hole with a thread is one for its bolt, as wide as the medium series has it.
fn hole(step: &mut Table) {
    let is_disc = step
        .get_mut("cut")
        .is_some_and(|it| it.as_words() == Some("disc"));
    let Some(thread) = step.get_mut("thread").filter(|_| is_disc).cloned() else {
        return;
    };
    if let Some(written) = thread.written() {
        if let Some(purpose) = thread.rewritten("bolt") {
            step.put("purpose", purpose);
        }
        if let Some(diameter) = thread.rewritten(&format!("clearance({written})")) {
            step.put("diameter", diameter);
        }
    }
}

/// What a `[[bolt]]` takes from a step.
struct Holes {
    name: String,
    thread: Option<Item>,
    /// How many there are; `None` where the step alone does not tell.
    count: Option<Item>,
}

/// Gives bolts the thread and the number of the openings that they are near. Whether they are there at all is for
/// their `when` alone: bolts go through slots as well, and what vanished would be missed.
fn bolts(table: &mut Table) {
    let mut holes: Vec<Holes> = Vec::new();
    for of in ["plate", "shape"] {
        for step in steps_mut(table, of) {
            holes.extend(holes_of(step, of == "plate"));
        }
    }
    let blocks = table.get_mut("bolt").and_then(Item::blocks_mut);
    for block in blocks.into_iter().flatten().filter_map(Item::table_mut) {
        let near = block.get_mut("near").and_then(|it| it.as_words());
        let Some(near) = near.map(ToOwned::to_owned) else {
            continue;
        };
        let found: Vec<&Holes> = holes
            .iter()
            .filter(|it| it.name.starts_with(&near))
            .collect();
        let Some(first) = found.first() else {
            continue;
        };
        let alike = |of: fn(&Holes) -> Option<&Item>| {
            let written = |it: &Holes| of(it).and_then(Item::written);
            let same = found.iter().all(|it| written(it) == written(first));
            of(first).filter(|_| same).cloned()
        };
        if let Some(thread) = alike(|it| it.thread.as_ref()) {
            block.put("thread", thread);
        }
        if let Some(count) = alike(|it| it.count.as_ref()) {
            block.put("count", count);
        }
    }
}

/// The round holes or slots that a step cuts.
fn holes_of(step: &mut Table, counted: bool) -> Option<Holes> {
    let name = step.get_mut("name")?.as_words()?.to_owned();
    let cut = step.get_mut("cut")?.clone();
    let is_counted = counted && !step.has("each");
    let mut times = vec![cut.rewritten("1")];
    for (repeat, factors) in [("around", &["count"][..]), ("along", &["count", "rows"])] {
        let Some(repeat) = step.get_mut(repeat).and_then(Item::table_mut) else {
            continue;
        };
        if repeat.has("skip") {
            times.push(None);
        }
        for factor in factors.iter().filter_map(|it| repeat.get_mut(it).cloned()) {
            times.push(Some(factor));
        }
    }
    // A single factor stands as it is written.
    if times.len() > 1 {
        times.remove(0);
    }
    let times: Option<Vec<Item>> = times.into_iter().collect();
    Some(Holes {
        name,
        thread: step.get_mut("thread").cloned(),
        count: times
            .filter(|_| is_counted)
            .and_then(|times| joined(&times, " * ")),
    })
}

/// The steps of all plates or shapes.
fn steps_mut<'a>(table: &'a mut Table, of: &str) -> impl Iterator<Item = &'a mut Table> {
    let blocks = table.get_mut(of).and_then(Item::blocks_mut);
    let blocks = blocks.into_iter().flatten().filter_map(Item::table_mut);
    let steps = blocks.filter_map(|it| it.get_mut("step")?.blocks_mut());
    steps.flatten().filter_map(Item::table_mut)
}
