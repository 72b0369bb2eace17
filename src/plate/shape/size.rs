//! What sizes a shape may have, and what is said about those it may not.

/// The largest size or coordinate of a shape, mm: a hundred metres, far beyond any sheet.
pub const LARGEST: f64 = 100_000.0;
/// The largest radius of an arc, mm: flatter ones are computed with too little precision.
pub const LARGEST_RADIUS: f64 = 1_000_000.0;
/// The smallest size of a shape, mm: below it lies only rounding.
pub const SMALLEST: f64 = 0.001;

/// A size that must be there: `what` is its name in a sentence.
pub(super) fn positive(what: &str, mm: f64) -> Result<f64, String> {
    if mm.is_nan() {
        return Err(format!("the {what} is not a number"));
    }
    if mm < SMALLEST {
        return Err(format!(
            "the {what} is {}: it must be more than 0",
            read(mm)
        ));
    }
    if mm > LARGEST {
        return Err(too_large(what, mm));
    }
    Ok(mm)
}

/// A size that may be 0.
pub(super) fn not_negative(what: &str, mm: f64) -> Result<f64, String> {
    if mm == 0.0 {
        return Ok(0.0);
    }
    positive(what, mm)
}

/// A coordinate or displacement, of either sign.
pub(super) fn within_reach(what: &str, mm: f64) -> Result<f64, String> {
    if mm.is_nan() {
        return Err(format!("the {what} is not a number"));
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

fn too_large(what: &str, mm: f64) -> String {
    format!(
        "the {what} is {}: no more than {} is possible",
        read(mm),
        read(LARGEST)
    )
}
