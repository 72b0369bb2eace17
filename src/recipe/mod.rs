//! Recipes, jobs and tables as the builder writes them.

pub mod formula;
pub mod scope;
pub mod text;
pub(crate) mod toml_reader;
pub mod words;

pub use formula::Formula;
pub use scope::Names;
pub use text::Text;
