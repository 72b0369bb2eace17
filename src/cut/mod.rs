//! From a plate to torch paths: kerf, pierces and leads, order, time.
//!
//! In: plates and the settings of a table. Out: for each plate its cut paths in its own coordinates
//! ([`PreparedPlate`]), and for each sheet the sequence of all of them ([`SheetPlan`]).

mod burn;
mod detour;
mod edges;
mod kerf;
mod keys;
mod lead;
mod motion;
pub mod path;
mod plates;
pub mod prepare;
mod program_words;
mod route;
pub mod sequence;
pub mod settings;
mod shortage;
mod starts;
mod stop;
mod table_edit;
mod table_file;
mod tabs;
mod tour;
mod kerf_path;
mod perturb;

pub use crate::layer::Layer;
pub use path::{CutPath, SheetLimits, HoldingTab, OtherStart, Placed, PreparedPlate, Reach, SheetPlan};
pub use prepare::prepare;
pub use program_words::{ProgramUnit, ProgramWords};
pub use sequence::sequence;
pub use settings::{CutSettings, HeightControl, LeadForm, Process, Swirl, Table};
pub use table_edit::{MeasuredKerf, with_kerf};
