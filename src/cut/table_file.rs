//! Reading a table's settings file.
//!
//! In: a [`Source`] written as `part-recipes/README.md` says. Out: a [`Table`] whose every number
//! lies in a range that a machine can have, or all faults of the file with their places.

use std::sync::Arc;

use crate::cut::program_words;
use crate::cut::settings::{CutSettings, HeightControl, LeadForm, Process, Swirl, Table};
use crate::fault::{Fault, Outcome, Source};
use crate::quantity::Dimension;
use crate::quantity::format::millimetres;
use crate::recipe::Tabs;
use crate::recipe::tabs::TabKeys;
use crate::toml_text::Names;
use crate::toml_text::words::Words;
use crate::toml_text::{self, Item, settle};

/// What part of the feed-reduced or plain number a value may be.
#[derive(Debug, Clone, Copy)]
enum Range {
    /// More than 0.
    Positive,
    /// 0 or more.
    ZeroUp,
    /// More than 0 and at most 1.
    Share,
}

impl Range {
    fn holds(self, amount: f64) -> bool {
        match self {
            Self::Positive => amount > 0.0 && amount.is_finite(),
            Self::ZeroUp => amount >= 0.0 && amount.is_finite(),
            Self::Share => amount > 0.0 && amount <= 1.0,
        }
    }

    const fn says(self) -> &'static str {
        match self {
            Self::Positive => "it must be more than 0",
            Self::ZeroUp => "it must be 0 or more",
            Self::Share => "it must be more than 0 and at most 1",
        }
    }
}

/// How a number of the file is written: its key, unit, range and an example.
#[derive(Debug, Clone, Copy)]
struct Number {
    key: &'static str,
    dimension: Dimension,
    range: Range,
    example: &'static str,
}

const fn number(
    key: &'static str,
    dimension: Dimension,
    range: Range,
    example: &'static str,
) -> Number {
    Number {
        key,
        dimension,
        range,
        example,
    }
}

const RAPID: Number = number("rapid", Dimension::SPEED, Range::Positive, "12000 mm/min");
const ACCELERATION: Number = number(
    "acceleration",
    Dimension::ACCELERATION,
    Range::Positive,
    "800 mm/s2",
);
const SPREAD_HEAT: Number = number("spread_heat", Dimension::LENGTH, Range::ZeroUp, "60 mm");
const HOUR_RATE: Number = number("hour_rate", Dimension::NONE, Range::ZeroUp, "60");
const PIERCE_COST: Number = number("pierce_cost", Dimension::NONE, Range::ZeroUp, "0.10");
const THICKNESS: Number = number("thickness", Dimension::LENGTH, Range::Positive, "6 mm");
const KERF: Number = number("kerf", Dimension::LENGTH, Range::Positive, "1.5 mm");
const FEED: Number = number("feed", Dimension::SPEED, Range::Positive, "2500 mm/min");
const PIERCE_TIME: Number = number("pierce_time", Dimension::TIME, Range::ZeroUp, "0.5 s");
const PIERCE_CLEARANCE: Number =
    number("pierce_clearance", Dimension::LENGTH, Range::ZeroUp, "5 mm");
const LEAD_LENGTH: Number = number("lead_length", Dimension::LENGTH, Range::Positive, "6 mm");
const OVERCUT: Number = number("overcut", Dimension::LENGTH, Range::ZeroUp, "2 mm");
const SMALL_HOLE: Number = number("small_hole", Dimension::LENGTH, Range::ZeroUp, "20 mm");
const SMALLEST_HOLE: Number = number("smallest_hole", Dimension::LENGTH, Range::ZeroUp, "8 mm");
const SMALL_HOLE_FEED: Number = number("small_hole_feed", Dimension::NONE, Range::Share, "0.6");
const CURRENT: Number = number("current", Dimension::NONE, Range::Positive, "45");
const PIERCE_HEIGHT: Number = number("pierce_height", Dimension::LENGTH, Range::Positive, "4 mm");
const CUT_HEIGHT: Number = number("cut_height", Dimension::LENGTH, Range::Positive, "1.5 mm");
const UNDERSIZE: Number = number("undersize", Dimension::LENGTH, Range::Positive, "2 mm");

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
    // Words for the reader of the file.
    file.take("about").and_then(|item| item.text(faults));
    let title = file.need("title", "title = \"Shop plasma\"", faults);
    let title = title.and_then(|item| item.text(faults));
    let process = file.need("process", "process = \"plasma\"", faults);
    let process = process.and_then(|item| item.word::<Process>(faults));
    let bed = size(file, "bed", "bed = [\"1500 mm\", \"3000 mm\"]", faults);
    let sheet = size(file, "sheet", "sheet = [\"1220 mm\", \"2440 mm\"]", faults);
    let swirl = word_or(file, "swirl", Swirl::default(), faults);
    let rapid = needed(file, RAPID, faults);
    let acceleration = needed(file, ACCELERATION, faults);
    let spread_heat = given_or(file, SPREAD_HEAT, Some(0.0), faults);
    let hour_rate = given_or(file, HOUR_RATE, Some(0.0), faults);
    let pierce_cost = given_or(file, PIERCE_COST, Some(0.0), faults);
    let current = optional(file, CURRENT, faults);
    let tabs = tabs(file, faults);
    let program = program_words::read(file, faults);
    let rows = rows(file, faults);
    Some(Table {
        title: title?.as_str().to_owned(),
        process: process?,
        bed: bed?,
        sheet: sheet?,
        swirl: swirl?,
        rapid: rapid?,
        acceleration: acceleration?,
        spread_heat: spread_heat?,
        hour_rate: hour_rate?,
        pierce_cost: pierce_cost?,
        tabs: tabs?,
        program: program?,
        current: current?,
        rows: rows?,
    })
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
fn rows(file: &mut toml_text::Table, faults: &mut Vec<Fault>) -> Option<Vec<CutSettings>> {
    let blocks = file
        .need("cut", "[[cut]]", faults)
        .map(|item| item.tables(faults))?;
    let mut rows: Vec<CutSettings> = Vec::with_capacity(blocks.len());
    for mut block in blocks {
        block.call("a [[cut]] row");
        let Some(row) = read_row(&mut block, faults) else {
            block.finish(faults);
            continue;
        };
        let twice = rows.iter().any(|known| known.is_row_of(&row));
        if twice {
            let thickness = millimetres(row.thickness);
            let message = format!("{thickness} {} has two rows", row.material);
            faults.push(block.fault(message).remedy("leave only one of them"));
        }
        block.finish(faults);
        rows.push(row);
    }
    Some(rows)
}

fn read_row(block: &mut toml_text::Table, faults: &mut Vec<Fault>) -> Option<CutSettings> {
    // Words for the reader of the file.
    block.take("source").and_then(|item| item.text(faults));
    let material = block.need("material", "material = \"mild steel\"", faults);
    let material = material.and_then(|item| item.text(faults));
    let mut get = |wanted| needed(block, wanted, faults);
    let thickness = get(THICKNESS);
    let kerf = get(KERF);
    let feed = get(FEED);
    let pierce_time = get(PIERCE_TIME);
    let pierce_clearance = get(PIERCE_CLEARANCE);
    let lead_length = get(LEAD_LENGTH);
    let overcut = get(OVERCUT);
    let small_hole = get(SMALL_HOLE);
    let smallest_hole = get(SMALLEST_HOLE);
    let small_hole_feed = get(SMALL_HOLE_FEED);
    let undersize = kerf.map(|kerf| kerf.max(LEAST_UNDERSIZE));
    let undersize = given_or(block, UNDERSIZE, undersize, faults);
    let current = optional(block, CURRENT, faults);
    let pierce_height = optional(block, PIERCE_HEIGHT, faults);
    let cut_height = optional(block, CUT_HEIGHT, faults);
    let lead = word_or(block, "lead", LeadForm::Arc, faults);
    let usual = HeightControl::HoldInSmallHoles;
    let height_control = word_or(block, "height_control", usual, faults);
    Some(CutSettings {
        material: material?.as_str().to_owned(),
        thickness: thickness?,
        current: current?,
        pierce_height: pierce_height?,
        cut_height: cut_height?,
        height_control: height_control?,
        lead: lead?,
        kerf: kerf?,
        feed: feed?,
        pierce_time: pierce_time?,
        pierce_clearance: pierce_clearance?,
        lead_length: lead_length?,
        overcut: overcut?,
        small_hole: small_hole?,
        smallest_hole: smallest_hole?,
        small_hole_feed: small_hole_feed?,
        undersize: undersize?,
    })
}

/// What a hole to be drilled out or reamed is cut smaller at least, in diameter, where the file does
/// not say: half a millimetre a side takes the hardened skin off. Common practice, no source.
const LEAST_UNDERSIZE: f64 = 1.0;

fn needed(table: &mut toml_text::Table, wanted: Number, faults: &mut Vec<Fault>) -> Option<f64> {
    let example = match wanted.dimension {
        Dimension::NONE => format!("{} = {}", wanted.key, wanted.example),
        _ => format!("{} = \"{}\"", wanted.key, wanted.example),
    };
    let item = table.need(wanted.key, &example, faults)?;
    amount(item, wanted, faults)
}

fn given_or(
    table: &mut toml_text::Table,
    wanted: Number,
    otherwise: Option<f64>,
    faults: &mut Vec<Fault>,
) -> Option<f64> {
    match table.take(wanted.key) {
        Some(item) => amount(item, wanted, faults),
        None => otherwise,
    }
}

/// A number that may be left out.
fn optional(
    table: &mut toml_text::Table,
    wanted: Number,
    faults: &mut Vec<Fault>,
) -> Option<Option<f64>> {
    match table.take(wanted.key) {
        Some(item) => amount(item, wanted, faults).map(Some),
        None => Some(None),
    }
}

fn word_or<W: Words>(
    table: &mut toml_text::Table,
    key: &str,
    otherwise: W,
    faults: &mut Vec<Fault>,
) -> Option<W> {
    match table.take(key) {
        Some(item) => item.word::<W>(faults),
        None => Some(otherwise),
    }
}

fn amount(item: Item, wanted: Number, faults: &mut Vec<Fault>) -> Option<f64> {
    let formula = item.formula(faults)?;
    let what = format!("`{}`", wanted.key);
    match formula.amount(&Names::none(), wanted.dimension, &what) {
        Ok(amount) if wanted.range.holds(amount) => Some(amount),
        Ok(_) => {
            let message = format!("{what} is {}", formula.text().as_str());
            faults.push(formula.fault(message).remedy(wanted.range.says()));
            None
        }
        Err(fault) => {
            faults.push(fault);
            None
        }
    }
}

/// A size along x and y, mm.
fn size(
    file: &mut toml_text::Table,
    key: &'static str,
    example: &str,
    faults: &mut Vec<Fault>,
) -> Option<(f64, f64)> {
    let side = number(key, Dimension::LENGTH, Range::Positive, "1220 mm");
    let [x, y] = file.need(key, example, faults)?.pair(faults)?;
    let (x, y) = (amount(x, side, faults), amount(y, side, faults));
    Some((x?, y?))
}
