//! Recipes, jobs and tables as the builder writes them.
//!
//! In: TOML files in the language of `part-recipes/README.md`, and the shelf of families. Out: a
//! [`Job`] of [`Part`]s, each with its [`Family`], every expression read and every name checked; and
//! for one part the values of all its names ([`evaluate()`]). Every message points at its place.

pub mod evaluate;
pub mod family;
pub mod file;
pub mod formula;
pub mod holding;
pub mod job;
pub mod limits;
pub mod listing;
pub mod measure;
pub mod name;
mod order;
pub mod part;
pub(crate) mod plan;
pub(crate) mod reader;
pub(crate) mod rule;
pub mod scope;
mod shape_reader;
pub mod shelf;
pub(crate) mod step;
mod step_reader;
pub mod tabs;
pub mod template;
pub mod text;
pub(crate) mod toml_reader;
pub mod words;

pub use evaluate::{Evaluated, evaluate};
pub use family::Family;
pub use formula::Formula;
pub use holding::{Hardware, Holding, Margin};
pub use job::{Job, Price, StockLine, StockShape, TableChoice};
pub use listing::start_text;
pub use measure::Measure;
pub use part::Part;
pub use scope::Names;
pub use shelf::Shelf;
pub use tabs::{TabChoice, Tabs};
pub use text::Text;
