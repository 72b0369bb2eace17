//! Recipes, jobs and tables as the builder writes them.
//!
//! In: TOML files in the language of `part-recipes/README.md`, and the shelf of families. Out: a
//! [`Job`] of [`Part`]s, each with its [`Family`], every expression read and every name checked; and
//! for one part the values of all its names ([`evaluate()`]). Every message points at its place.

mod alternatives;
pub mod bolted;
pub(crate) mod borrowed;
mod caution;
pub(crate) mod columns;
pub mod cutting;
pub mod dimension_kind;
pub mod dimension_spec;
mod drawn;
pub(crate) mod drawn_at;
pub mod evaluate;
pub mod family;
pub mod fix;
pub mod job;
pub(crate) mod joint;
mod left_out;
pub mod limits;
pub mod listing;
pub mod name;
pub(crate) mod named_shape;
mod note;
mod order;
pub mod part;
mod plain;
pub(crate) mod plate_spec;
pub(crate) mod reader;
pub(crate) mod rule;
pub mod sampling;
mod shape_reader;
mod shared;
pub mod shelf;
mod slotted;
pub(crate) mod step;
mod step_reader;
pub mod strength;
pub mod tabs;
pub mod template;
mod usual_margin;
mod without_family;
pub mod words;

pub use cutting::Cutting;
pub use dimension_kind::{DimensionKind, Setting};
pub use dimension_spec::DimensionSpec;
pub use evaluate::{BrokenRule, Evaluated, Said, broken_rules, evaluate};
pub(crate) use evaluate::{RECIPE_NOTE, thorough_names, unruled};
pub use family::{Family, USUAL_MATERIAL};
pub use fix::Fix;
pub use job::{Job, Price, StockLine, StockShape, TableChoice};
pub use listing::start_text;
pub use part::Part;
pub use shelf::{Shelf, grouped};
pub use strength::{FIRST_LOOK, Hardware, Margin, NotChecked, StrengthResults};
pub use tabs::{TabChoice, Tabs};
pub use words::CutOrder;
