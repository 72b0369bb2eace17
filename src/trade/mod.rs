//! Facts of the trade as tables and formulas, each with its source; open to recipes as functions.

use crate::quantity::Function;

/// Every trade function that a recipe or `reckon` can call.
#[must_use]
pub fn functions() -> &'static [Function] {
    &[]
}
