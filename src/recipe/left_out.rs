//! What the blocks of a family leave out, filled in from where it stands already.
//!
//! In: the table of a recipe in which every block stands for itself. Out: the same with each usual dimension in
//! full, a remedy for each rule and one rule for each of several, a purpose and a diameter for each hole with a
//! thread, what each `[[hold]]` goes by, and thread, number and class of each `[[bolt]]` that goes through such holes.

use std::sync::Arc;

use super::alternatives;
use super::rule::parting;
use super::shelf::Shelf;
use super::{slotted, usual_margin};
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
        for steps in step_lists(table, of) {
            let both = |step: Item| {
                slotted::both_forms(&step, faults).map_or_else(|| vec![step], Vec::from)
            };
            *steps = std::mem::take(steps).into_iter().flat_map(both).collect();
        }
        for step in steps_mut(table, of) {
            hole(step);
        }
    }
    usual_margin::of_holds(table);
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
            match (
                more.name.as_str(),
                value.blocks_mut().map(|it| it.as_slice()),
            ) {
                // One end that a family says leaves the other.
                ("range", Some([least, most])) if block.has("min") || block.has("max") => {
                    block.put("min", least.clone());
                    block.put("max", most.clone());
                }
                _ => block.put(&more.name, value.clone()),
            }
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

/// Gives each rule its remedy, and writes one with several out as one rule for each.
fn remedies(table: &mut Table, faults: &mut Vec<Fault>) {
    let dimensions = table.keys_of("dimension");
    let Some(rules) = table.get_mut("rule").and_then(Item::blocks_mut) else {
        return;
    };
    let mut all = Vec::with_capacity(rules.len());
    for mut rule in std::mem::take(rules) {
        let Some(several) = alternatives::of_block(&rule, "remedy", faults) else {
            if let Some(block) = rule.table_mut() {
                by_its_need(block, &dimensions);
            }
            all.push(rule);
            continue;
        };
        for mut one in several {
            one.own.call("a remedy");
            let says = one.own.need("says", "says = \"what to do\"", faults);
            one.own.finish(faults);
            if let (Some(block), Some(says)) = (one.block.table_mut(), says) {
                block.put("remedy", says);
                all.push(one.block);
            }
        }
    }
    *rules = all;
}

/// Gives a rule that says nothing of what to do the remedy of its need, where that is a limit of a dimension.
fn by_its_need(rule: &mut Table, dimensions: &[String]) {
    let otherwise = rule.get_mut("otherwise").and_then(|it| it.written());
    if otherwise.is_none_or(|it| parting(&it).is_some()) {
        return;
    }
    let key = if rule.has("need") { "need" } else { "practice" };
    let Some(need) = rule.get_mut(key).cloned() else {
        return;
    };
    let set = need.written().and_then(|it| to_set(&it, dimensions));
    if let Some(remedy) = set.and_then(|it| need.rewritten(&it)) {
        rule.put("remedy", remedy);
    }
}

/// The words by which a dimension is set to its limit: of `margin >= edge(bolt)`.
fn to_set(need: &str, dimensions: &[String]) -> Option<String> {
    const OTHERS: [&str; 9] = [">=", "<=", "<", ">", "==", "!=", "and", "or", "not"];
    let (name, rest) = need.split_once(' ')?;
    let (how, limit) = rest.split_once(' ')?;
    let least_or_most = match how {
        ">=" => "least",
        "<=" => "most",
        _ => return None,
    };
    let mut words = limit.split(|c: char| c.is_whitespace() || "(),".contains(c));
    let is_more = words.any(|word| word == name || OTHERS.contains(&word));
    let is_dimension = dimensions.iter().any(|it| it == name);
    (is_dimension && !is_more)
        .then(|| format!("set {name} to at {least_or_most} {{{name} = {limit}}}"))
}

/// Conditions, or other values, in one.
pub(super) fn joined<'a>(all: impl IntoIterator<Item = &'a Item>, by: &str) -> Option<Item> {
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
    if thread.written().is_some() {
        if let Some(purpose) = thread.rewritten("bolt") {
            step.put("purpose", purpose);
        }
        if let Some(diameter) = clearance_of(&thread) {
            step.put("diameter", diameter);
        }
    }
}

/// How wide a hole is for a thread.
pub(super) fn clearance_of(thread: &Item) -> Option<Item> {
    thread.rewritten(&format!("clearance({})", thread.written()?))
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
    let dimensions = table.keys_of("dimension");
    for block in blocks_mut(table, "bolt") {
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
        let Some(thread) = block.get_mut("thread").cloned() else {
            continue;
        };
        let asked = class_asked(&near, &dimensions);
        let class = asked.zip(thread.written()).map(|(asked, thread)| {
            format!("if({asked} == \"usual\", usual_class({thread}), {asked})")
        });
        if let Some(class) = class.and_then(|it| thread.rewritten(&it)) {
            block.put("class", class);
        }
    }
}

/// The dimension that asks for the class of some bolts: `hub_class` of each `hub bolt`, or that of them all.
fn class_asked(near: &str, dimensions: &[String]) -> Option<String> {
    let of = near.strip_suffix(" bolt").unwrap_or(near);
    let own = format!("{}_class", of.replace(' ', "_"));
    let mut asked = [own, "bolt_class".to_owned()].into_iter();
    asked.find(|it| dimensions.contains(it))
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

/// The blocks of a name.
pub(super) fn blocks_mut<'a>(
    table: &'a mut Table,
    of: &str,
) -> impl Iterator<Item = &'a mut Table> {
    let blocks = table.get_mut(of).and_then(Item::blocks_mut);
    blocks.into_iter().flatten().filter_map(Item::table_mut)
}

/// The lists of steps of all plates or shapes.
pub(super) fn step_lists<'a>(
    table: &'a mut Table,
    of: &str,
) -> impl Iterator<Item = &'a mut Vec<Item>> {
    blocks_mut(table, of).filter_map(|it| it.get_mut("step")?.blocks_mut())
}

/// The steps of all plates or shapes.
fn steps_mut<'a>(table: &'a mut Table, of: &str) -> impl Iterator<Item = &'a mut Table> {
    step_lists(table, of).flatten().filter_map(Item::table_mut)
}
