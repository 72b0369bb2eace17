//! `estimate`: what a job takes, or how many the stock gives; nothing is written.

use serde_json::{Value, json};

use super::args::{EstimateArgs, ShelfArgs};
use super::job;
use super::screen::Screen;
use super::watch::Watch;
use crate::fault::Outcome;
use crate::pipeline::fill::{self, Fill};
use crate::pipeline::{self, Drawn};
use crate::plate::Scribing;
use crate::quantity::format::{both_units, decimal};
use crate::recipe::Job;
use crate::report::terminal::{self, Showing};

pub(super) fn run(options: &EstimateArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let shelf = job::shelf(shelf)?;
    let job = job::job(&options.input, &shelf)?;
    let drawn = pipeline::draw(&job, &shelf)?;
    if options.as_many_as_fit {
        return most(options, &job, drawn, screen);
    }
    let budget = options
        .search
        .budget(drawn.plates.iter().map(|it| it.quantity));
    let mut watch = Watch::new();
    let drawn = drawn.scribed(Scribing::On);
    let planned = pipeline::plan(&job, drawn, &budget, &mut |now| {
        watch.control(&now.progress)
    })?;
    let search = watch.end();
    let report = planned.report();
    let showing = Showing {
        width: screen.width(),
        rest: (!options.all)
            .then_some("`--all` tells every plate, bolt and finding, and the cautions in full"),
    };
    screen.result(|| json!(report), || terminal::summary(&report, &showing))?;
    Ok(search.code(u8::from(!report.unplaced.is_empty())))
}

/// How many the stock gives; refused if of some material there is not one.
fn most(options: &EstimateArgs, job: &Job, drawn: Drawn, screen: &Screen) -> Outcome<u8> {
    let budget = options
        .search
        .budget(drawn.plates.iter().map(|it| it.quantity));
    let mut watch = Watch::new();
    let fills = fill::as_many_as_fit(job, drawn, &budget, &mut |now| watch.control(&now))?;
    let search = watch.end();
    let sets = fills.iter().map(Fill::sets).min().unwrap_or(0);
    screen.result(|| object(&job.name, sets, &fills), || text(sets, &fills))?;
    Ok(search.code(u8::from(fills.iter().any(|it| it.count == 0))))
}

fn object(job: &str, sets: u32, fills: &[Fill]) -> Value {
    let one = |fill: &Fill| {
        let stock = fill.stock.iter();
        let set = fill.set.iter();
        json!({
            "material": fill.material,
            "thickness_mm": fill.thickness,
            "stock": stock.map(|(says, n)| json!({ "stock": says, "sheets": n })).collect::<Vec<_>>(),
            "set": set
                .map(|(plate, n)| json!({ "plate": plate, "each": n, "in_all": in_all(fill, *n) }))
                .collect::<Vec<_>>(),
            "counts": if is_of_one_plate(fill) { "plates" } else { "sets" },
            "count": fill.count,
            "most_by_area": fill.bound,
            "sets": fill.sets(),
            "more_not_counted": fill.uncounted,
            "use_percent": fill.use_percent,
        })
    };
    json!({
        "schema": 1,
        "job": job,
        "sets": sets,
        "fills": fills.iter().map(one).collect::<Vec<_>>(),
    })
}

fn text(sets: u32, fills: &[Fill]) -> String {
    let mut lines: Vec<String> = fills.iter().flat_map(lines).collect();
    if fills.len() > 1 {
        lines.push(format!("whole sets of the job: {sets}"));
    }
    lines.join("\n")
}

/// Whether its copies are counted, and not sets.
fn is_of_one_plate(fill: &Fill) -> bool {
    fill.set.len() == 1
}

/// How many of a plate fit, of which `each` are in a set.
fn in_all(fill: &Fill, each: u32) -> u32 {
    if is_of_one_plate(fill) {
        fill.count
    } else {
        each * fill.count
    }
}

fn lines(fill: &Fill) -> Vec<String> {
    let stock: Vec<String> = fill
        .stock
        .iter()
        .map(|(says, sheets)| format!("{sheets} × {says}"))
        .collect();
    let of = match fill.set.as_slice() {
        [(plate, 1)] => format!("{} of {plate}", fill.count),
        [(plate, asked)] => format!("{} of {plate} (the job asks for {asked})", fill.count),
        plates => {
            let each = plates.iter().map(|(plate, n)| format!("{n} {plate}"));
            let each = each.collect::<Vec<_>>().join(", ");
            format!("{}, each {each}", sets(fill.count))
        }
    };
    // The bound counts what the line above counts.
    let most = if is_of_one_plate(fill) {
        fill.bound.to_string()
    } else {
        sets(fill.bound)
    };
    let more = if fill.uncounted {
        "; more may fit, it counts no further"
    } else {
        ""
    };
    vec![
        format!(
            "{} {}, from {}:",
            fill.material,
            both_units(fill.thickness),
            stock.join(" and ")
        ),
        format!("  {of}{more}"),
        format!(
            "  {} % of it is metal of the plates; by area alone no more than {most} could fit",
            decimal(fill.use_percent, 1)
        ),
    ]
}

/// `1 set`, `12 sets`.
fn sets(count: u32) -> String {
    match count {
        1 => "1 set".to_owned(),
        n => format!("{n} sets"),
    }
}
