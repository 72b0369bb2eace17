//! Platewright turns caliper measurements into flat steel plates that fit, and into files that
//! cut right the first time.
//!
//! Data flows one way, and a module imports only from those above it:
//!
//! ```text
//! recipe + dimensions ──► plate ──► findings ──► sheet layout ──► cut paths ──► files
//! ```

pub mod check;
pub mod cli;
pub mod cut;
pub mod export;
pub mod fault;
pub mod finding;
pub mod geometry;
pub mod layer;
pub mod lettering;
pub mod measure;
pub mod nest;
pub mod pipeline;
pub mod plate;
pub mod proof;
pub mod quantity;
pub mod recipe;
pub mod redrill;
pub mod report;
pub mod sheet;
pub mod steering;
pub mod toml_text;
pub mod trade;
