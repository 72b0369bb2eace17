//! What lies on a sheet: plates with their cut paths, the sheets that they lie on, and what is left of them.
//!
//! In: the plates of a job with their cut paths ([`CutPlate`]) and the stock at hand. Out: for each
//! material and thickness what is to be placed and on what ([`Task`]); and, once that is done, the sheets
//! as files and report see them ([`CutSheet`]), with what is left of each ([`Remnant`]).

mod block;
mod border;
mod group;
mod remnant;
mod rest;
mod stock;
mod task;

pub use block::{Block, may_share};
pub use group::PlateGroup;
pub use remnant::{Form, Remnant};
pub use rest::Rest;
pub use stock::Supply;
pub use task::Task;

use crate::cut::{PreparedPlate, SheetPlan};
use crate::geometry::{Bounds, Region};
pub use crate::nest::Along;
use crate::nest::Placement;
pub(crate) use crate::nest::short_of;
use crate::plate::Plate;

/// A plate of a run with its cut paths.
#[derive(Debug, Clone, PartialEq)]
pub struct CutPlate {
    /// The plate itself.
    pub plate: Plate,
    /// What the torch does for it.
    pub prepared: PreparedPlate,
}

/// One sheet to cut: what it is, what lies on it, and what the torch does.
#[derive(Debug, Clone, PartialEq)]
pub struct CutSheet {
    /// What it is called in messages and file names, for example `01-mild-steel-6mm`.
    pub name: String,
    /// The stock line it comes from, in the builder's words.
    pub stock: String,
    /// Material as the trade tables name it.
    pub material: String,
    /// Thickness, mm.
    pub thickness: f64,
    /// Width of the slot that the torch burns, mm.
    pub kerf: f64,
    /// The metal itself up to its edges (not the usable area), in sheet coordinates.
    pub outline: Region,
    /// The side that it is used up along.
    pub along: Along,
    /// Whether nothing that is cut mars what lies beside plates in a corner, up to its edges: see [`CutSheet::corner`].
    pub goes_round: bool,
    /// Least distance of what is cut from its edge, mm.
    pub margin: f64,
    /// What one such sheet costs, in the shop's money.
    pub price: Option<f64>,
    /// What lies on it; `piece` is an index into the plates of the run.
    pub placements: Vec<Placement>,
    /// The torch's work, in sheet coordinates.
    pub plan: SheetPlan,
    /// What becomes of it beside its plates.
    pub rest: Rest,
}

impl CutSheet {
    /// For each placement, the number of its plate on the sheet: from 1 in the order in which they come free.
    #[must_use]
    pub fn plate_numbers(&self) -> Vec<usize> {
        let mut last = vec![0; self.placements.len()];
        for (at, (placement, _)) in self.plan.paths.iter().enumerate() {
            last[*placement] = at;
        }
        let mut order: Vec<usize> = (0..last.len()).collect();
        order.sort_by_key(|placement| last[*placement]);
        let mut numbers = vec![0; order.len()];
        for (number, placement) in (1..).zip(order) {
            numbers[placement] = number;
        }
        numbers
    }

    /// For each placement, the numbers of its runs: from 1 in cutting order.
    #[must_use]
    pub fn run_numbers(&self) -> Vec<Vec<usize>> {
        let mut numbers = vec![Vec::new(); self.placements.len()];
        for (number, (placement, _)) in (1..).zip(&self.plan.paths) {
            numbers[*placement].push(number);
        }
        numbers
    }

    /// Size along x, mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.outline.bounds().width()
    }

    /// Size along y, mm.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.outline.bounds().height()
    }

    /// How far along its longer side, from the left or from below, the torch burns and pierces, mm.
    #[must_use]
    pub fn used_length(&self, plates: &[CutPlate]) -> f64 {
        self.reach(plates, self.along)
    }

    /// How far along a side, from the left or from below, the torch burns and pierces, mm.
    #[must_use]
    pub fn reach(&self, plates: &[CutPlate], along: Along) -> f64 {
        let Bounds { min, max } = self.outline.bounds();
        let reaches = self.placements.iter().map(|placement| {
            let burnt = &plates[placement.piece].prepared.outline;
            along.of(burnt.posed(&placement.pose).bounds().max) - along.of(min)
        });
        let whole = along.of(max) - along.of(min);
        reaches.fold(0.0, f64::max).min(whole)
    }

    /// Area of all the plates on it, openings taken off, mm².
    #[must_use]
    pub fn plate_area(&self, plates: &[CutPlate]) -> f64 {
        self.placements
            .iter()
            .map(|placement| plates[placement.piece].plate.net_area())
            .sum()
    }
}
