//! At the table: a sheet of the last `cut`, its plates and its drilling to tick off.
//!
//! In: `report.json`, and the ticks so far. Out: a page, and the ticks with one more. Ticks belong to the
//! sheets that they were made on: for other sheets they count no more.

use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::answer::{Bench, Change};
use super::views::{self, TablePage, Tick};
use crate::export::fnv1a;
use crate::fault::{Fault, Outcome};
use crate::quantity::format::{both_units, counted};

/// Ticks of some sheets.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
struct Ticks {
    /// Checksum of the sheets.
    sheets: String,
    /// What is done.
    done: Vec<String>,
}

/// Most ticks that are kept: far more than sheets have plates.
const MOST: usize = 20_000;

/// The page of a sheet, from 1.
pub(super) fn page(bench: &Bench<'_>, sheet: usize) -> Outcome<String> {
    let report = read(bench)?;
    let sheets = list(&report, "sheets");
    let Some(it) = sheet.checked_sub(1).and_then(|index| sheets.get(index)) else {
        let fault = Fault::file(format!("there is no sheet {sheet}"));
        let made = format!("the last cut made {}", counted(sheets.len(), "sheet"));
        return Err(fault.remedy(made).into());
    };
    let checksum = checksum(&report);
    let done = ticks(bench, &checksum).done;
    let tick = |(id, says): (String, String)| Tick {
        is_done: done.contains(&id),
        id,
        says,
    };
    let plates = plates(it).into_iter().map(tick).collect();
    let drilling = list(&report, "plates").iter();
    let drilling = drilling.flat_map(|plate| drilling_of(plate, it));
    views::rendered(&TablePage {
        job: words(&report, "job"),
        name: words(it, "name"),
        about: about(it),
        sheet,
        of: sheets.len(),
        plates,
        drilling: drilling.map(tick).collect(),
        cautions: list(&report, "cautions")
            .iter()
            .map(|it| (words(it, "topic"), words(it, "text")))
            .collect(),
        sheets: checksum,
    })
}

/// What a sheet is and takes.
fn about(sheet: &Value) -> String {
    let both = |key: &str| both_units(number(sheet, key));
    format!(
        "{}, {} thick, from {}; kerf {}; {}, about {}",
        words(sheet, "material"),
        both("thickness_mm"),
        words(sheet, "stock"),
        both("kerf_mm"),
        counted(whole(sheet, "pierces") as usize, "pierce"),
        crate::report::words::time(number(sheet, "time_s")),
    )
}

/// The plates of a sheet in the order in which they come free, by what their ticks are kept under.
fn plates(sheet: &Value) -> Vec<(String, String)> {
    let name = words(sheet, "name");
    let mut placements: Vec<&Value> = list(sheet, "placements").iter().collect();
    placements.sort_by_key(|it| whole(it, "comes_free"));
    let told = placements.into_iter().map(|it| {
        let (plate, copy) = (words(it, "plate"), whole(it, "copy"));
        let runs = words(it, "runs");
        let run = if runs.parse::<u64>().is_ok() {
            "run"
        } else {
            "runs"
        };
        (
            format!("{name}/{plate}/{copy}"),
            format!("{plate}, copy {copy}: {run} {runs}"),
        )
    });
    told.collect()
}

/// What is drilled in the copies of a plate that lie on a sheet.
fn drilling_of(plate: &Value, sheet: &Value) -> Vec<(String, String)> {
    let name = words(plate, "name");
    let copies = list(sheet, "placements").iter();
    let copies = copies.filter(|it| words(it, "plate") == name);
    let mut told = Vec::new();
    for copy in copies.map(|it| whole(it, "copy")) {
        for work in list(plate, "drill_list") {
            let opening = words(work, "opening");
            let says = format!(
                "{name}, copy {copy}, {opening}: {}, at x {}, y {} from {}",
                words(work, "work"),
                both_units(number(work, "x_mm")),
                both_units(number(work, "y_mm")),
                words(plate, "datum"),
            );
            told.push((format!("drill/{name}/{copy}/{opening}"), says));
        }
    }
    told
}

/// The ticks with one more, or one less.
pub(super) fn ticked(bench: &Bench<'_>, tick: &str, done: bool, sheets: &str) -> Outcome<Change> {
    let checksum = checksum(&read(bench)?);
    if checksum != sheets {
        let fault = Fault::refused("the sheets were cut anew meanwhile");
        return Err(fault.remedy("load this page again").into());
    }
    let mut ticks = ticks(bench, &checksum);
    ticks.done.retain(|it| it != tick);
    if done && ticks.done.len() < MOST {
        ticks.done.push(tick.to_owned());
    }
    let mut text = serde_json::to_string_pretty(&ticks).unwrap_or_default();
    text.push('\n');
    Ok(Change::Ticks { text })
}

fn ticks(bench: &Bench<'_>, sheets: &str) -> Ticks {
    let read = bench.ticks;
    let read = read.and_then(|it| serde_json::from_str::<Ticks>(it).ok());
    let none = || Ticks {
        sheets: sheets.to_owned(),
        done: Vec::new(),
    };
    read.filter(|it| it.sheets == sheets).unwrap_or_else(none)
}

fn read(bench: &Bench<'_>) -> Outcome<Value> {
    let read = bench.report.and_then(|it| serde_json::from_str(it).ok());
    let nothing = || {
        Fault::file("nothing was cut in this folder yet")
            .remedy("open a part or a job, and press Cut")
    };
    Ok(read.ok_or_else(nothing)?)
}

/// Checksum of the sheets: of the names and checksums of their drawings.
fn checksum(report: &Value) -> String {
    let files = list(report, "files").iter();
    let sheets = files.filter(|it| words(it, "path").starts_with("sheets/"));
    let told = sheets.map(|it| format!("{} {}\n", words(it, "path"), words(it, "fnv1a")));
    fnv1a(told.collect::<String>().as_bytes())
}

fn list<'a>(of: &'a Value, key: &str) -> &'a [Value] {
    of[key].as_array().map_or(&[], Vec::as_slice)
}

fn words<'a>(of: &'a Value, key: &str) -> &'a str {
    of[key].as_str().unwrap_or_default()
}

fn whole(of: &Value, key: &str) -> u64 {
    of[key].as_u64().unwrap_or_default()
}

fn number(of: &Value, key: &str) -> f64 {
    of[key].as_f64().unwrap_or_default()
}
