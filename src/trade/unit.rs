//! What the units of published tables are worth in base units (mm, kg, s, rad).
//!
//! Multiply a figure by its unit to get a base amount: `36.0 * KSI`.

use crate::quantity::unit::{MM_PER_INCH, PASCAL, PASCALS_PER_PSI};

/// One inch.
pub const INCH: f64 = MM_PER_INCH;
/// One megapascal: a newton per mm².
pub const MEGAPASCAL: f64 = 1e6 * PASCAL;
/// One gigapascal.
pub const GIGAPASCAL: f64 = 1e9 * PASCAL;
/// One thousand pounds-force per square inch.
pub const KSI: f64 = 1e3 * PASCALS_PER_PSI * PASCAL;
/// One kilogram per cubic metre.
pub const KG_PER_M3: f64 = 1e-9;
/// One micrometre.
pub const MICROMETRE: f64 = 1e-3;
