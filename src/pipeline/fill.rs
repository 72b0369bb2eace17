//! As many as fit: how many sets of a job's plates the stock at hand takes.
//!
//! In: a job whose plates are drawn. Out: for each material and thickness the most whole sets found
//! ([`Fill`]), proven like any layout. A set is every plate of the job as often as the job asks for it; where
//! one plate is all there is, its copies are counted one by one.

use std::time::Instant;

use super::plan::prepared_job;
use super::{Drawn, Planned};
use crate::fault::Outcome;
use crate::nest::most;
use crate::nest::{Budget, Control, Progress};
use crate::recipe::Job;
use crate::sheet::Task;

/// The sets of one material and thickness.
#[derive(Debug, Clone, PartialEq)]
pub struct Fill {
    /// Material as the trade tables name it.
    pub material: String,
    /// Thickness, mm.
    pub thickness: f64,
    /// What they are counted on: each line of stock and how many of it.
    pub stock: Vec<(String, u32)>,
    /// The plates of a set and how many of each.
    pub set: Vec<(String, u32)>,
    /// How many fit: whole sets, or copies where there is one plate.
    pub count: u32,
    /// More of them than this cannot fit, by area.
    pub bound: u32,
    /// Whether more may well fit, which are not counted.
    pub uncounted: bool,
    /// Net metal of the plates as a share of the whole stock, percent.
    pub use_percent: f64,
}

impl Fill {
    /// Whole sets that fit.
    #[must_use]
    pub fn sets(&self) -> u32 {
        match self.set.as_slice() {
            [(_, copies)] => self.count / copies,
            _ => self.count,
        }
    }
}

/// Counts the sets of every material and thickness of a job. Of a stock line without a quantity, and
/// of the table's usual sheet, one is used.
pub fn as_many_as_fit(
    job: &Job,
    drawn: Drawn,
    budget: &Budget,
    progress: &mut dyn FnMut(Progress) -> Control,
) -> Outcome<Vec<Fill>> {
    let planned = prepared_job(job, drawn, budget.seed)?;
    let tasks = Task::all(job, &planned.table, &planned.plates)?;
    let started = Instant::now();
    let part = 1.0 / tasks.len() as f64;
    let count = |(index, task): (usize, &Task)| {
        let copies = tasks[index..].iter().map(|it| it.copies);
        let budget = budget.share_of_rest(started, copies);
        let begins = index as f64 * part;
        let told = &mut |now: Progress| progress(now.between(begins, begins + part));
        fill(job, &planned, task, &budget, told)
    };
    tasks.iter().enumerate().map(count).collect()
}

fn fill(
    job: &Job,
    planned: &Planned,
    task: &Task,
    budget: &Budget,
    progress: &mut dyn FnMut(Progress) -> Control,
) -> Outcome<Fill> {
    let Task { group, stock, .. } = task;
    let mut pieces = task.pieces.clone();
    if let [one] = pieces.as_mut_slice() {
        one.quantity = 1;
    }
    let most = most::as_many_as_fit(&pieces, stock, budget, progress);
    let copies = most.sets * pieces.iter().map(|it| it.quantity).sum::<u32>();
    let share = f64::from(copies) / task.copies;
    task.prove(job, &planned.plates, &most.layout)?;
    let plates = group.of(&planned.plates).map(|it| &it.plate);
    let set = plates.map(|plate| (plate.name.clone(), plate.quantity));
    Ok(Fill {
        material: group.material.clone(),
        thickness: group.thickness,
        set: set.collect(),
        count: most.sets,
        bound: most.bound,
        uncounted: most.uncounted,
        use_percent: share * use_percent(planned, task),
        stock: stock
            .iter()
            .map(|line| (line.id.clone(), line.quantity.unwrap_or(1)))
            .collect(),
    })
}

/// What the metal of one set is of the whole stock.
fn use_percent(planned: &Planned, task: &Task) -> f64 {
    let set = task.group.net_area(&planned.plates);
    let area =
        |it: &crate::sheet::Supply| f64::from(it.stock.quantity.unwrap_or(1)) * it.edge.area();
    let stock: f64 = task.supplies.iter().map(area).sum();
    100.0 * set / stock
}
