//! From a plate to torch paths: kerf, pierces and leads, order, time.
//!
//! In: plates and the settings of a table. Out: for each plate its cut paths in its own coordinates
//! ([`PreparedPlate`]), and for each sheet the sequence of all of them ([`SheetPlan`]).

pub mod path;
pub mod settings;
mod table_file;

pub use path::{CutPath, DrillPoint, Layer, Placed, PreparedPlate, SheetPlan};
pub use settings::{CutSettings, Process, Swirl, Table};
