//! What the units of published tables are worth in base units (mm, kg, s, rad).
//!
//! Multiply a figure by its unit to get a base amount: `36.0 * KSI`.

use std::f64::consts::PI;

/// One inch in mm, exact by definition.
pub const INCH: f64 = 25.4;
/// One newton: kg·m/s², so a thousand kg·mm/s².
pub const NEWTON: f64 = 1000.0;
/// One pound-force in newtons, exact: 0.45359237 kg times 9.80665 m/s².
pub const POUND_FORCE: f64 = 4.448_221_615_260_5 * NEWTON;
/// One megapascal: a newton per mm².
pub const MEGAPASCAL: f64 = NEWTON;
/// One gigapascal.
pub const GIGAPASCAL: f64 = 1000.0 * MEGAPASCAL;
/// One thousand pounds-force per square inch.
pub const KSI: f64 = 1000.0 * POUND_FORCE / (INCH * INCH);
/// One kilogram per cubic metre, in kg/mm³.
pub const KG_PER_M3: f64 = 1e-9;
/// One micrometre in mm.
pub const MICROMETRE: f64 = 1e-3;
/// One degree in radians.
pub const DEGREE: f64 = PI / 180.0;
