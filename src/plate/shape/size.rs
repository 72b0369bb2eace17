//! What sizes a shape may have, and what is said about those it may not.

use crate::fault::Refusal;
use crate::toml_text::formula::COORDINATE;

/// The largest size or coordinate of a shape, mm: a hundred metres, far beyond any sheet.
pub const LARGEST: f64 = COORDINATE;
/// The largest radius of an arc, mm: flatter ones are computed with too little precision.
pub const LARGEST_RADIUS: f64 = 1_000_000.0;
/// The smallest size of a shape, mm: below it lies only rounding.
pub const SMALLEST: f64 = 0.001;

/// A size that must be there: `what` is its name in a sentence.
pub(super) fn positive(what: &str, mm: f64) -> Result<f64, Refusal> {
    if mm.is_nan() {
        return Err(Refusal::new(format!("the {what} is not a number")));
    }
    if mm < SMALLEST {
        return Err(
            Refusal::new(format!("the {what} is {}", read(mm))).remedy(format!(
                "write at least {}",
                crate::quantity::format::millimetres(SMALLEST)
            )),
        );
    }
    if mm > LARGEST {
        return Err(too_large(what, mm));
    }
    Ok(mm)
}

/// A size that may be 0.
pub(super) fn not_negative(what: &str, mm: f64) -> Result<f64, Refusal> {
    if mm == 0.0 {
        return Ok(0.0);
    }
    positive(what, mm)
}

/// A coordinate or displacement, of either sign.
pub(super) fn within_reach(what: &str, mm: f64) -> Result<f64, Refusal> {
    if mm.is_nan() {
        return Err(Refusal::new(format!("the {what} is not a number")));
    }
    if mm.abs() > LARGEST {
        return Err(too_large(what, mm));
    }
    Ok(mm)
}

/// A length in a sentence.
pub(super) fn read(mm: f64) -> String {
    crate::quantity::format::both_units(mm)
}

fn too_large(what: &str, mm: f64) -> Refusal {
    Refusal::new(format!("the {what} is {}", read(mm)))
        .remedy(format!("no more than {} is possible", read(LARGEST)))
}
