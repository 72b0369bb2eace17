//! A measured kerf written into a table's settings file, comments and all else kept.
//!
//! In: the text of a settings file, and the kerf for a material and thickness. Out: the same text with
//! that row's kerf changed; where there is no such row, one is added at its end, with the other values
//! in proportion between its neighbours. Guaranteed: what comes out reads as a table again, with that
//! kerf in it.

use std::sync::Arc;

use toml_edit::{ArrayOfTables, DocumentMut, Item, Table as Block, Value, value};

use super::settings::{CutSettings, ROW_KEYS, Table};
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
    let mut block = Block::new();
    let source = "kerf measured; the rest in proportion between the rows around it";
    block.insert("source", value(source));
    for key in ROW_KEYS {
        if let Some(written) = key.written(row) {
            block.insert(key.name, Item::Value(written));
        }
    }
    block.decor_mut().set_prefix("\n");
    set(&mut block, measured);
    blocks.push(block);
}
