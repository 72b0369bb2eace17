//! As many as fit: how many sets of a job's plates the stock at hand takes.
//!
//! In: a job whose plates are drawn. Out: for each material and thickness the most whole sets found
//! ([`Fill`]), proven like any layout. A set is every plate of the job as often as the job asks for it.

use std::time::Instant;

use super::{
    Drawn, Group, Planned, Supply, groups, pieces, prepared_job, prove, share_of, supplies,
};
use crate::fault::Outcome;
use crate::nest::most::{self, Most};
use crate::nest::{Budget, Control, Progress, Stock};
use crate::recipe::Job;

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
    /// Whole sets that fit.
    pub sets: u32,
    /// More than this cannot fit, by area.
    pub bound: u32,
    /// Net metal of the plates as a share of the whole stock, percent.
    pub use_percent: f64,
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
    let groups = groups(&planned.plates);
    let started = Instant::now();
    let copies = |group: &Group| -> f64 {
        let plates = group.plates.iter();
        let quantities = plates.map(|index| planned.plates[*index].plate.quantity);
        quantities.map(f64::from).sum()
    };
    let count = |(index, group): (usize, &Group)| {
        let budget = share_of(budget, started, groups[index..].iter().map(copies));
        fill(job, &planned, group, &budget, progress)
    };
    groups.iter().enumerate().map(count).collect()
}

fn fill(
    job: &Job,
    planned: &Planned,
    group: &Group,
    budget: &Budget,
    progress: &mut dyn FnMut(Progress) -> Control,
) -> Outcome<Fill> {
    let pieces = pieces(job, planned, group)?;
    let supplies = supplies(job, &planned.table, group)?;
    let stock: Vec<Stock> = supplies.iter().map(|supply| supply.stock.clone()).collect();
    let most = most::as_many_as_fit(&pieces, &stock, budget, progress);
    prove(job, planned, group, &supplies, &most.layout)?;
    let plates = group
        .plates
        .iter()
        .map(|index| &planned.plates[*index].plate);
    let set = plates.map(|plate| (plate.name.clone(), plate.quantity));
    Ok(Fill {
        material: group.material.clone(),
        thickness: group.thickness,
        set: set.collect(),
        sets: most.sets,
        bound: most.bound,
        use_percent: use_percent(planned, group, &supplies, &most),
        stock: supplies
            .into_iter()
            .map(|supply| (supply.says, supply.stock.quantity.unwrap_or(1)))
            .collect(),
    })
}

fn use_percent(planned: &Planned, group: &Group, supplies: &[Supply], most: &Most) -> f64 {
    let plates = group
        .plates
        .iter()
        .map(|index| &planned.plates[*index].plate);
    let set: f64 = plates
        .map(|plate| f64::from(plate.quantity) * plate.face.area())
        .sum();
    let stock: f64 = supplies
        .iter()
        .map(|supply| f64::from(supply.stock.quantity.unwrap_or(1)) * supply.edge.area())
        .sum();
    100.0 * f64::from(most.sets) * set / stock
}
