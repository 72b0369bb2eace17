//! Facts of the trade as tables and formulas, each with its source; open to recipes as functions.
//!
//! In: what a builder writes (`"M10"`, `"1/2-13"`, `"mild steel"`) and quantities in base units.
//! Out: quantities in base units, or a refusal that names what the tables have instead. Every
//! table says where its rows come from and which of them were confirmed ([`Origin`]).

pub mod bend;
pub mod bolt;
pub mod cautions;
pub mod chain;
pub mod circle;
pub mod clamp;
pub mod clearance;
pub mod drill;
pub mod edge;
pub mod hole;
pub mod k_factor;
pub mod linkage;
pub mod material;
pub mod material_kind;
pub mod material_table;
pub mod origin;
pub mod paper;
pub mod pin;
pub mod pipe;
mod scan;
pub mod sheet;
pub mod steering;
pub mod strength;
pub mod thermal;
pub mod thread;
pub mod thread_kind;
pub mod thread_table;
pub mod unit;
pub mod weld;
pub mod wheel;
pub mod wrench;

pub use clearance::Fit;
pub use material::Material;
pub use origin::Origin;
pub use thread::Thread;

use std::sync::LazyLock;

use crate::fault::Refusal;
use crate::quantity::{Dimension, Expression, Function, Nameless};

static FUNCTIONS: LazyLock<Vec<Function>> = LazyLock::new(|| {
    [
        thread::FUNCTIONS,
        drill::FUNCTIONS,
        clearance::FUNCTIONS,
        edge::FUNCTIONS,
        bolt::FUNCTIONS,
        circle::FUNCTIONS,
        wheel::FUNCTIONS,
        bend::FUNCTIONS,
        k_factor::FUNCTIONS,
        material::FUNCTIONS,
        sheet::FUNCTIONS,
        pipe::FUNCTIONS,
        steering::FUNCTIONS,
        linkage::FUNCTIONS,
        chain::FUNCTIONS,
        thermal::FUNCTIONS,
        strength::FUNCTIONS,
        pin::FUNCTIONS,
        clamp::FUNCTIONS,
        weld::FUNCTIONS,
        paper::FUNCTIONS,
        wrench::FUNCTIONS,
    ]
    .concat()
});

/// Every trade function that a recipe or `reckon` can call.
#[must_use]
pub fn functions() -> &'static [Function] {
    &FUNCTIONS
}

/// A typed expression of a dimension in base units.
pub fn amount(text: &str, dimension: Dimension) -> Result<f64, Refusal> {
    let value = Expression::parse(text.trim())?.evaluate(&Nameless(functions()))?;
    let amount = value.expect(dimension);
    amount.map_err(|mismatch| mismatch.of("this", text))
}

/// The pedigree of every table.
#[must_use]
pub fn origins() -> &'static [Origin] {
    &[
        thread_table::METRIC_COARSE,
        thread_table::METRIC_FINE,
        thread_table::UNC,
        thread_table::UNF,
        drill::ORIGIN,
        clearance::ISO_273,
        clearance::ASME_B18_2_8,
        edge::J3_4,
        edge::J3_3,
        bolt::ISO_898_1,
        bolt::SAE_J429,
        wheel::ORIGIN,
        material_table::DENSITIES,
        material_table::STRENGTHS,
        sheet::STEEL,
        sheet::GALVANISED,
        sheet::STAINLESS,
        sheet::ALUMINIUM,
        pipe::NPS,
        pipe::EN_TUBE,
        chain::CHAINS,
        thermal::SMALLEST_OPENING,
        thermal::CLASS_1,
        thermal::CLASS_2,
        thermal::CUT_FACE,
        k_factor::HANDBOOK,
        paper::ORIGIN,
        wrench::HEXAGONS,
        wrench::WASHERS,
        wrench::SOCKETS,
    ]
}
