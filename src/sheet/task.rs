//! What is to be placed for the plates of one material and thickness, and on what.

use super::{CutPlate, PlateGroup, Supply};
use crate::cut::Table;
use crate::fault::{Fault, Faults, Outcome, REPORT_IT};
use crate::nest::proof::{TrueShape, TrueSheet, on_arcs};
use crate::nest::{Layout, Piece, Stock};
use crate::recipe::Job;

/// Plates of one material and thickness, and the stock for them.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// The plates.
    pub group: PlateGroup,
    /// How many copies there are of them.
    pub copies: f64,
    /// What is placed for each, in the order of the group.
    pub pieces: Vec<Piece>,
    /// The lines of stock with their true edges.
    pub supplies: Vec<Supply>,
    /// The same lines as the layout search sees them.
    pub stock: Vec<Stock>,
}

impl Task {
    /// The tasks of a job, one for each material and thickness.
    pub fn all(job: &Job, table: &Table, plates: &[CutPlate]) -> Outcome<Vec<Self>> {
        let groups = PlateGroup::all(plates).into_iter();
        let task = |group: PlateGroup| {
            let pieces = group.pieces(plates, job.web)?;
            let supplies = Supply::all(job, table, &group, plates)?;
            Ok(Self {
                copies: group.copies(plates),
                pieces,
                stock: supplies.iter().map(|supply| supply.stock.clone()).collect(),
                supplies,
                group,
            })
        };
        groups.map(task).collect()
    }

    /// How many of the largest sheets the metal of its plates fills without a gap.
    #[must_use]
    pub fn least_sheets(&self, plates: &[CutPlate]) -> usize {
        let sheets = self.supplies.iter().map(|it| it.edge.area());
        (self.group.net_area(plates) / sheets.fold(0.0, f64::max)) as usize
    }

    /// Proves a layout on the true lines and arcs; a flaw is our mistake and never a file.
    pub fn prove(&self, job: &Job, plates: &[CutPlate], layout: &Layout) -> Outcome<()> {
        let shapes = plates.iter().map(|it| TrueShape {
            outline: &it.prepared.outline,
            rooms: &it.prepared.room,
        });
        let shapes: Vec<TrueShape> = shapes.collect();
        let sheets = layout.sheets.iter().enumerate();
        let flaws = sheets.flat_map(|(index, laid)| {
            let edge = TrueSheet {
                edge: &self.supplies[laid.stock].edge,
                margin: job.margin,
            };
            on_arcs(index, laid, &shapes, edge, job.web)
        });
        let faults = flaws.map(|flaw| {
            Fault::program(format!(
                "the layout failed its proof: {flaw}; nothing was written"
            ))
            .remedy(format!("try another --seed, and {REPORT_IT}"))
        });
        Faults::check(faults.collect())
    }
}
