//! From a plate to torch paths: kerf, pierces and leads, order, time.
//!
//! In: plates and the settings of a table. Out: for each plate its cut paths in its own coordinates
//! ([`PreparedPlate`]), and for each sheet the sequence of all of them ([`SheetPlan`]).

mod burn;
mod corners;
mod detour;
mod edges;
mod kerf;
mod kerf_path;
mod keys;
mod lead;
mod motion;
mod near;
mod ngc_words;
mod open_edges;
pub mod path;
mod perturb;
mod plates;
pub mod prepare;
mod program_words;
mod route;
pub mod sequence;
pub mod settings;
pub mod shared;
mod shortage;
mod slugs;
mod starts;
mod stop;
mod table_edit;
mod table_file;
mod tabs;
mod tour;

pub use crate::layer::Layer;
pub use detour::{WayIn, way_in};
pub use keys::{SettingKey, Takes};
pub use path::{
    CornerLoop, CutPath, CutUpSlug, HoldingTab, OrderCosts, OtherStart, Placed, PreparedPlate,
    Reach, RunStart, ScrapCut, ScrapWork, SheetLimits, SheetPlan, SlowCorners,
};
pub use prepare::{Starts, prepare};
pub use program_words::{ProgramUnit, ProgramWords, RunLine, RunValue, line_keys};
pub use sequence::sequence;
pub use settings::{
    CutOff, CutSettings, HeightControl, LeadForm, Process, SlugWork, StartFrom, Swirl, Table,
};
pub use table_edit::{MeasuredKerf, with_kerf};
