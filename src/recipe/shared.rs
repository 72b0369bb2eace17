//! A family made whole before it is read: blocks of shared files brought in, blocks that stand for several words
//! written out, and what blocks leave out filled in.
//!
//! In: the table of a recipe, and the shelf. Out: the table with the blocks of each `[[shared]]` file after its
//! own, and one block for each word where a block with `@` stands for several.

use std::sync::Arc;

use super::alternatives;
use super::left_out;
use super::shelf::Shelf;
use crate::fault::{Fault, Refusal, Source};
use crate::toml_text::{self, Item, Key, SIGN, Table, Text};

/// Blocks of which there may be several.
const LISTS: [&str; 8] = [
    "rule", "note", "figure", "hold", "bolt", "caution", "shape", "joint",
];
/// Tables of names.
const NAMED: [&str; 4] = ["dimension", "table", "let", "point"];
/// What a shared file has beside blocks: what it is for.
const ABOUT: &str = "about";

/// The refusal of a file that is read as a recipe and has what shared files or tables have.
pub(super) fn is_other(table: &Table) -> Option<Refusal> {
    if table.has("plate") {
        return None;
    }
    if table.has("cut") {
        let refusal = Refusal::new("this is the settings of a table, not a recipe");
        return Some(refusal.remedy("name a file with `title` and [[plate]]"));
    }
    let has_blocks = !table.has("title") && LISTS.iter().chain(&NAMED).any(|key| table.has(key));
    has_blocks.then(|| {
        let refusal =
            Refusal::new("this is a file that recipes share, not a recipe: it makes no plate");
        refusal.remedy(
            "name a recipe that brings it in by [[shared]]: what it brings is looked over there",
        )
    })
}

/// Brings in the shared files that a recipe names, and writes out what stands for several words. The texts that
/// were brought in, each with the name that asks for it.
pub(super) fn made_whole(
    table: &mut Table,
    shelf: &Shelf,
    faults: &mut Vec<Fault>,
) -> Vec<(String, Arc<Source>)> {
    let mut sources = Vec::new();
    by_their_words(table);
    alternatives::of_steps(table, faults);
    let shared = table.take("shared");
    let shared = shared.map_or_else(Vec::new, |item| item.tables(faults));
    for block in shared {
        sources.extend(bring_in(block, table, shelf, faults));
    }
    let words = table.take("each").map(|item| item.texts(faults));
    let words = words.unwrap_or_default();
    each_word(table, &words, faults);
    sources.extend(left_out::filled_in(table, shelf, faults));
    sources
}

/// Brings in what a `[[shared]]` block names, once for each of its words. What the recipe has of that name counts
/// more.
fn bring_in(
    mut block: Table,
    into: &mut Table,
    shelf: &Shelf,
    faults: &mut Vec<Fault>,
) -> Option<(String, Arc<Source>)> {
    block.call("[[shared]]");
    let file = block.need("file", "file = \"bolts-on-a-circle\"", faults);
    let words = block.take("each").map(|item| item.texts(faults));
    let span = block.span();
    block.finish(faults);
    let file = file?.text(faults)?;
    let source = shelf.shared(&file);
    let source = source.map_err(|found| faults.extend(found)).ok()?;
    let brought = toml_text::read(&source);
    let mut brought = brought
        .map_err(|found| faults.extend(found.into_vec()))
        .ok()?;
    brought.call("this shared file");
    brought.take(ABOUT).and_then(|item| item.text(faults));
    by_their_words(&mut brought);
    alternatives::of_steps(&mut brought, faults);
    if let Some(words) = words {
        each_word(&mut brought, &words, faults);
    }
    for key in LISTS.iter().chain(&NAMED) {
        if let Some(item) = brought.take(key) {
            // A fault of a name that is brought in stands where it is brought in.
            join(into, key, item, &span);
        }
    }
    brought.finish(faults);
    Some((file.as_str().to_owned(), source))
}

/// Makes blocks of what may also be written as words and a value: figures, and what is not checked.
fn by_their_words(table: &mut Table) {
    if let Some(figures) = table.get_mut("figure")
        && let Some(blocks) = figures
            .table_mut()
            .map(|it| it.as_blocks(("value", "value")))
    {
        figures.set_blocks(blocks);
    }
    let unchecked = table.take("not_checked");
    let Some(mut unchecked) = unchecked else {
        return;
    };
    if let Some(blocks) = unchecked
        .table_mut()
        .map(|it| it.as_blocks(("look", "not_checked")))
    {
        unchecked.set_blocks(blocks);
    }
    let span = unchecked.span();
    join(table, "hold", unchecked, &span);
}

fn join(into: &mut Table, key: &str, mut item: Item, span: &std::ops::Range<usize>) {
    for (key, _) in item.table_mut().into_iter().flat_map(Table::entries_mut) {
        key.span = span.clone();
    }
    if item.table_mut().is_some() {
        into.make_room(key, span);
    }
    let Some(own) = into.get_mut(key) else {
        let name = key.to_owned();
        let span = span.clone();
        into.entries_mut().push((Key { name, span }, item));
        return;
    };
    if let (Some(own), Some(more)) = (own.blocks_mut(), item.blocks_mut()) {
        own.append(more);
    }
    if let (Some(own), Some(more)) = (own.table_mut(), item.table_mut()) {
        let own = own.entries_mut();
        let known: Vec<String> = own.iter().map(|(key, _)| key.name.clone()).collect();
        let more = std::mem::take(more.entries_mut()).into_iter();
        own.extend(more.filter(|(key, _)| !known.contains(&key.name)));
    }
}

/// Writes out what stands for several words: blocks and names with the sign.
fn each_word(table: &mut Table, words: &[Text], faults: &mut Vec<Fault>) {
    for key in LISTS.iter().chain(&["plate"]) {
        let Some(blocks) = table.get_mut(key).and_then(Item::blocks_mut) else {
            continue;
        };
        if *key != "plate" && *key != "shape" {
            written_out(blocks, words, faults);
            continue;
        }
        let mut all = Vec::with_capacity(blocks.len());
        for mut block in std::mem::take(blocks) {
            // A plate or shape that is called by the word stands for each as a whole.
            let named = is_named_by_word(&mut block);
            if let Some(inside) = block.table_mut().filter(|_| !named) {
                if let Some(points) = inside.get_mut("point") {
                    names_written_out(points, words, faults);
                }
                if let Some(steps) = inside.get_mut("step").and_then(Item::blocks_mut) {
                    written_out(steps, words, faults);
                }
            }
            let mut block = vec![block];
            if named {
                written_out(&mut block, words, faults);
            }
            all.append(&mut block);
        }
        *blocks = all;
    }
    for key in NAMED {
        if let Some(named) = table.get_mut(key) {
            names_written_out(named, words, faults);
        }
    }
}

/// Whether the sign stands in the name of a block.
fn is_named_by_word(block: &mut Item) -> bool {
    let name = block.table_mut().and_then(|table| table.get_mut("name"));
    name.is_some_and(|name| name.has_sign())
}

/// Blocks with the sign, once for each word: of their own, or of the recipe.
fn written_out(blocks: &mut Vec<Item>, words: &[Text], faults: &mut Vec<Fault>) {
    let mut all = Vec::with_capacity(blocks.len());
    for mut block in std::mem::take(blocks) {
        let table = block.table_mut();
        let own = table.filter(|table| table.is_list("each"));
        let own = own.and_then(|table| table.take("each"));
        let own = own.map(|item| item.texts(faults));
        let words = own.as_deref().unwrap_or(words);
        if words.is_empty() || !block.has_sign() {
            all.push(block);
        } else {
            all.extend(words.iter().map(|word| block.with_word(word.as_str())));
        }
    }
    *blocks = all;
}

/// Names with the sign, once for each word.
fn names_written_out(named: &mut Item, words: &[Text], faults: &mut Vec<Fault>) {
    let Some(table) = named.table_mut() else {
        return;
    };
    let entries = table.entries_mut();
    if words.is_empty() || !entries.iter().any(|(key, _)| key.name.contains(SIGN)) {
        return;
    }
    let mut all: Vec<(Key, Item)> = Vec::with_capacity(entries.len());
    for (key, item) in std::mem::take(entries) {
        if !key.name.contains(SIGN) {
            all.push((key, item));
            continue;
        }
        for word in words {
            let key = key.with_word(word.as_str());
            if all.iter().any(|(known, _)| known.name == key.name) {
                let message = format!("there is `{}` already", key.name);
                faults.push(word.fault(message).remedy("choose another word"));
                continue;
            }
            all.push((key, item.with_word(word.as_str())));
        }
    }
    *entries = all;
}
