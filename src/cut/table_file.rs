//! Reading a table's settings file.
//!
//! In: a [`Source`] written as `part-recipes/README.md` says. Out: a [`Table`] whose every number
//! lies in a range that a machine can have, or all faults of the file with their places.

use std::sync::Arc;

use super::keys;
use super::program_words::{self, ProgramWords, RunValue};
use super::settings::{CutSettings, ROW_KEYS, SlugWork, StartFrom, TABLE_KEYS, Table};
use crate::fault::{Fault, Outcome, Source};
use crate::quantity::format::millimetres;
use crate::recipe::Tabs;
use crate::recipe::tabs::TabKeys;
use crate::toml_text::{self, settle};

impl Table {
    /// Reads a settings file; all its faults at once.
    pub fn read(source: &Arc<Source>) -> Outcome<Self> {
        let mut faults = Vec::new();
        let mut file = toml_text::read(source)?;
        let table = read_table(&mut file, &mut faults);
        file.finish(&mut faults);
        settle(table, faults)
    }
}

fn read_table(file: &mut toml_text::Table, faults: &mut Vec<Fault>) -> Option<Table> {
    let mut table = Table::blank();
    let whole = keys::read(TABLE_KEYS, file, &mut table, faults);
    if table.slugs != SlugWork::Leave && table.slats.is_none() {
        let fault = file.fault(format!(
            "`slugs = \"{}\"` asks how far apart the slats are",
            table.slugs.word()
        ));
        faults.push(
            fault.remedy(
                "add `slats = \"100 mm\"`, from the middle of one slat to that of the next",
            ),
        );
    }
    let tabs = tabs(file, faults);
    let program = program_words::read(file, faults);
    let rows = rows(file, program.as_ref(), faults);
    (table.tabs, table.program, table.rows) = (tabs?, program?, rows?);
    whole.then_some(table)
}

/// The `[tabs]` block, if there is one.
fn tabs(file: &mut toml_text::Table, faults: &mut Vec<Fault>) -> Option<Option<Tabs>> {
    let Some(item) = file.take("tabs") else {
        return Some(None);
    };
    let tabs = TabKeys::read(item, "[tabs]", faults)?.over(None);
    tabs.map_err(|fault| faults.push(fault)).ok().map(Some)
}

/// The `[[cut]]` rows: at least one, no two for the same material and thickness.
fn rows(
    file: &mut toml_text::Table,
    program: Option<&ProgramWords>,
    faults: &mut Vec<Fault>,
) -> Option<Vec<CutSettings>> {
    let blocks = file
        .need("cut", "[[cut]]", faults)
        .map(|item| item.tables(faults))?;
    let mut rows: Vec<CutSettings> = Vec::with_capacity(blocks.len());
    for mut block in blocks {
        block.call("a [[cut]] row");
        let mut row = CutSettings::blank();
        if !keys::read(ROW_KEYS, &mut block, &mut row, faults) {
            block.finish(faults);
            continue;
        }
        if rows.iter().any(|known| known.is_row_of(&row)) {
            let thickness = millimetres(row.thickness);
            let message = format!("{thickness} {} has two rows", row.material);
            faults.push(block.fault(message).remedy("leave only one of them"));
        }
        drilled_starts(&block, &row, faults);
        if let Some(missing) = program.and_then(|program| missing_height(program, &row)) {
            let name = missing.word();
            let fault = block.fault(format!(
                "the program's lines use {{{name}}}, and this row has none"
            ));
            faults.push(fault.remedy(format!(
                "add `{name}` to the row, or leave it out of the lines"
            )));
        }
        block.finish(faults);
        rows.push(row);
    }
    Some(rows)
}

/// Starts that are drilled want a drill, and one that keeps clear of the finished edge.
fn drilled_starts(block: &toml_text::Table, row: &CutSettings, faults: &mut Vec<Fault>) {
    let most = 2.0 * row.pierce_clearance;
    match row.start_drill {
        None if row.start == StartFrom::Drilled => {
            let fault = block.fault("runs begin in drilled holes, and the row says no diameter");
            faults.push(fault.remedy("add `start_drill = \"8 mm\"`, or what your drill is"));
        }
        Some(drill) if drill > most => {
            let fault = block.fault(format!(
                "a drill of {} reaches a finished edge that is {} from its middle",
                millimetres(drill),
                millimetres(row.pierce_clearance)
            ));
            let least = millimetres(drill / 2.0);
            faults.push(fault.remedy(format!("make `pierce_clearance` {least} or more")));
        }
        _ => {}
    }
}

/// A height that the lines of a run need and a row does not have.
fn missing_height(program: &ProgramWords, row: &CutSettings) -> Option<RunValue> {
    let heights = [
        (RunValue::PierceHeight, row.pierce_height),
        (RunValue::CutHeight, row.cut_height),
    ];
    let mut missing = heights.into_iter().filter(|(_, height)| height.is_none());
    let is_used = |value| program.run_lines().any(|line| line.has(value));
    missing
        .find(|(value, _)| is_used(*value))
        .map(|(value, _)| value)
}
