//! A measured kerf written into a table's settings file, comments and all else kept.
//!
//! In: the text of a settings file, and the kerf for a material and thickness. Out: the same text with
//! that row's kerf changed; where there is no such row, one is added at its end, with the other values
//! in proportion between its neighbours. Guaranteed: what comes out reads as a table again, with that
//! kerf in it.

use std::sync::Arc;

use toml_edit::{ArrayOfTables, DocumentMut, Item, Table as Block, Value, value};

use super::settings::{CutSettings, Table};
use crate::fault::{Fault, Outcome, Source};
use crate::quantity::format::decimal;

/// A measured kerf.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredKerf {
    /// mm.
    pub kerf: f64,
    /// How far it may be off, mm.
    pub within: f64,
}

/// Seconds of a minute: feeds are written per minute.
const MINUTE: f64 = 60.0;

/// The settings file with a measured kerf for a material and thickness.
pub fn with_kerf(
    source: &Arc<Source>,
    material: &str,
    thickness: f64,
    measured: MeasuredKerf,
) -> Outcome<String> {
    let table = Table::read(source)?;
    let row = table.settings(material, thickness)?;
    let mut document: DocumentMut = source
        .text
        .parse()
        .map_err(|error| Fault::refused(format!("{} could not be edited: {error}", source.name)))?;
    let blocks = document
        .get_mut("cut")
        .and_then(Item::as_array_of_tables_mut);
    let Some(blocks) = blocks else {
        let fault = Fault::refused("the rows of this file are not written as [[cut]] blocks");
        return Err(fault
            .remedy("write each row as [[cut]], a key a line")
            .into());
    };
    let index = table.rows.iter().position(|known| known.is_row_of(&row));
    match index.and_then(|index| blocks.get_mut(index)) {
        Some(block) => set(block, measured),
        None => add(blocks, &row, measured),
    }
    let text = document.to_string();
    let written = Source::inline(source.name.clone(), text.clone());
    let settings = Table::read(&written)?.settings(material, thickness)?;
    if (settings.kerf - rounded(measured.kerf)).abs() > KERF_STEP {
        return Err(
            Fault::refused("another row of the file hides the one that was measured")
                .remedy("set the kerf in the file by hand")
                .into(),
        );
    }
    Ok(text)
}

/// Kerfs are written in steps of this, mm.
const KERF_STEP: f64 = 0.01;

fn rounded(kerf: f64) -> f64 {
    (kerf / KERF_STEP).round() * KERF_STEP
}

/// Changes the kerf of a row and says so beside it.
fn set(block: &mut Block, measured: MeasuredKerf) {
    let mut kerf = Value::from(format!("{} mm", decimal(measured.kerf, 2)));
    let before = block.get("kerf").and_then(Item::as_value);
    if let Some(prefix) = before.and_then(|old| old.decor().prefix()) {
        kerf.decor_mut().set_prefix(prefix.clone());
    }
    kerf.decor_mut().set_suffix(format!(
        "                       # measured on a test piece, within {} mm",
        decimal(measured.within, 2)
    ));
    // Assigning the value keeps the key with what stands around it.
    match block.get_mut("kerf") {
        Some(item) => *item = Item::Value(kerf),
        None => {
            block.insert("kerf", Item::Value(kerf));
        }
    }
}

/// A row of its own for a thickness between two rows.
fn add(blocks: &mut ArrayOfTables, row: &CutSettings, measured: MeasuredKerf) {
    let mm = |length: f64| format!("{} mm", decimal(length, 2));
    let mut block = Block::new();
    let mut text = |key: &str, words: String| block.insert(key, value(words));
    text(
        "source",
        "kerf measured; the rest in proportion between the rows around it".to_owned(),
    );
    text("material", row.material.clone());
    text("thickness", format!("{} mm", decimal(row.thickness, 3)));
    text("kerf", mm(row.kerf));
    text("feed", format!("{} mm/min", decimal(row.feed * MINUTE, 0)));
    text("pierce_time", format!("{} s", decimal(row.pierce_time, 2)));
    text("pierce_clearance", mm(row.pierce_clearance));
    text("lead_length", mm(row.lead_length));
    text("lead", row.lead.word().to_owned());
    text("overcut", mm(row.overcut));
    text("small_hole", mm(row.small_hole));
    text("smallest_hole", mm(row.smallest_hole));
    text("undersize", mm(row.undersize));
    text("height_control", row.height_control.word().to_owned());
    for (key, height) in [
        ("pierce_height", row.pierce_height),
        ("cut_height", row.cut_height),
    ] {
        if let Some(height) = height {
            text(key, mm(height));
        }
    }
    block.insert("small_hole_feed", value(share(row.small_hole_feed)));
    if let Some(current) = row.current {
        block.insert("current", value(current));
    }
    block.decor_mut().set_prefix("\n");
    set(&mut block, measured);
    blocks.push(block);
}

/// A share to three places, so that it reads as it was written.
fn share(value: f64) -> f64 {
    (value * 1e3).round() / 1e3
}
