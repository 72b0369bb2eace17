//! Reading TOML that a builder wrote, so that every message can point at its place.
//!
//! In: a text file. Out: a `Table` whose keys are taken one by one, with values that know where they
//! stand: words as [`Text`], expressions as [`Formula`], which find their names in [`Names`]. What the
//! keys mean is the business of recipes, jobs and tables.

mod each_word;
pub mod file;
pub mod formula;
mod names;
mod table;
mod text;
pub(crate) mod words;

pub(crate) use each_word::SIGN;
pub use formula::Formula;
pub(crate) use formula::holds;
pub(crate) use names::Named;
pub use names::Names;
pub(crate) use table::{Item, Key, MOST_FAULTS, Table, read, settle};
pub use text::Text;
