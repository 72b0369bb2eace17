//! `estimate`: what a job takes; nothing is written.

use serde_json::json;

use super::args::{EstimateArgs, ShelfArgs};
use super::job;
use super::screen::Screen;
use super::watch::Watch;
use crate::fault::Outcome;
use crate::pipeline;
use crate::report::terminal;

pub(super) fn run(options: &EstimateArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let shelf = job::shelf(shelf)?;
    let job = job::job(&options.input, &shelf)?;
    let drawn = pipeline::draw(&job, &shelf)?;
    let budget = options.search.budget();
    let mut watch = Watch::new();
    let planned = pipeline::plan(&job, drawn, &budget, &mut |now| watch.control(&now))?;
    drop(watch);
    let report = planned.report();
    screen.result(|| json!(report), || terminal::summary(&report))?;
    Ok(u8::from(!report.unplaced.is_empty()))
}
