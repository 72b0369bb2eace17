//! One sheet of a run, as the files and the report see it.

use crate::cut::{PreparedPlate, SheetPlan};
use crate::geometry::Region;
use crate::nest::Placement;
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
    /// What lies on it; `piece` is an index into the plates of the run.
    pub placements: Vec<Placement>,
    /// The torch's work, in sheet coordinates.
    pub plan: SheetPlan,
}
