//! Platewright turns caliper measurements into flat steel plates that fit, and into files that
//! cut right the first time.
//!
//! From a recipe to a drawing for the table:
//!
//! ```
//! use std::path::Path;
//!
//! use platewright::export::{Dxf, Exporter, Release, plate_drawing};
//! use platewright::{Job, Outcome, Shelf, Source, pipeline};
//!
//! fn main() -> Outcome<()> {
//!     let shelf = Shelf::open(None, Path::new("."))?;
//!     let part = "recipe = \"flange\"\nbolt_circle = \"4-1/2 in\"\nbolt_count = 5\noutside = \"150 mm\"";
//!     let job = Job::from_source(&Source::inline("flange.toml", part), &shelf)?;
//!
//!     let drawn = pipeline::draw(&job, &shelf)?;
//!     pipeline::refuse(&drawn)?;
//!     let dxf = Dxf { release: Release::R2000 }.export(&plate_drawing(&drawn.plates[0]))?;
//!
//!     let text = String::from_utf8_lossy(&dxf);
//!     assert_eq!(text.matches("AcDbCircle").count(), 1 + 1 + 5); // outside, bore, bolt holes
//!     Ok(())
//! }
//! ```
//!
//! Data flows one way, and a module imports only from those before it:
//!
//! ```text
//! recipe + dimensions ──► plate ──► findings ──► cut paths ──► sheet layout ──► order ──► files
//!      (recipe)          (plate)    (check)        (cut)          (nest)        (cut)   (export, report)
//! ```
//!
//! [`pipeline`] tells this story, one verb a stage; [`cli`] is the only room that prints.

// Tests bring libraries of their own.
#![cfg_attr(not(test), warn(unused_crate_dependencies))]

pub mod bolted;
mod brought;
pub mod check;
pub mod cli;
pub mod cut;
pub mod elementary;
pub mod export;
pub mod fault;
pub mod finding;
pub mod geometry;
pub mod layer;
pub mod lettering;
pub mod lint;
pub mod measure;
pub mod nest;
pub mod page;
pub mod pipeline;
pub mod plate;
pub mod proof;
pub mod quantity;
pub mod recipe;
pub mod redrill;
pub mod report;
pub mod schema;
pub mod sheet;
pub mod sketch;
pub mod steering;
pub mod strip;
pub mod toml_text;
pub mod trade;

pub use cut::Table;
pub use fault::{Fault, Faults, Outcome, Refusal, Source};
pub use finding::{Finding, Level};
pub use pipeline::{Drawn, Planned};
pub use plate::Plate;
pub use recipe::{Job, Part, Shelf};
pub use report::Report;
