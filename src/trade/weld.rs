//! What a fillet weld of steel carries, and the range of stress that steel bears again and again.
//! Everything is in base units.

use super::material::{self, Material};
use super::material_kind::Metal;
use super::unit::MEGAPASCAL;
use crate::elementary;
use crate::fault::Refusal;
use crate::quantity::{Dimension, Function, Parameter, Value};

/// Partial factor of welds, EN 1993-1-8.
const GAMMA_M2: f64 = 1.25;

/// Correlation factor of a steel by its tensile strength, N/mm²: EN 1993-1-8 Table 4.1.
fn correlation(tensile: f64) -> f64 {
    match tensile {
        ..=360.0 => 0.8,
        ..=430.0 => 0.85,
        ..=510.0 => 0.9,
        _ => 1.0,
    }
}

/// Cycles from which the limit of constant amplitude holds.
const LIMIT: f64 = 5e6;

/// Stress range that a detail of a category, N/mm², bears for so many cycles: category (2e6 / N)^(1/3)
/// up to five million, one value from there (EN 1993-1-9 Figure 7.1).
#[must_use]
pub fn fatigue_range(category: f64, cycles: f64) -> f64 {
    category * elementary::cbrt(2e6 / cycles.min(LIMIT))
}

fn steel(name: &str) -> Result<&'static Material, Refusal> {
    let material = material::find(name)?;
    match material.metal {
        Metal::Steel | Metal::Galvanised => Ok(material),
        _ => {
            let cause = format!("{} is no structural steel", material.name);
            Err(Refusal::new(cause).remedy("have it checked by a qualified person"))
        }
    }
}

/// What recipes can ask about welds and fatigue.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "fillet_weld",
        parameters: &[
            Parameter::words("material"),
            Parameter::length("thickness").positive(),
        ],
        says: "design shear stress of a fillet weld's throat, load in any direction: tensile / (sqrt(3) beta_w 1.25)",
        source: "EN 1993-1-8:2005 4.5.3.3, Table 4.1",
        call: |given| {
            let (name, thickness): (&str, f64) = given.take()?;
            let tensile = steel(name)?.strength_at(thickness)?.tensile;
            let stress = tensile / (3.0_f64.sqrt() * correlation(tensile) * GAMMA_M2);
            Ok(Value::of(stress * MEGAPASCAL, Dimension::STRESS))
        },
    },
    Function {
        name: "fatigue_range",
        parameters: &[
            Parameter::words("material"),
            Parameter::number("category").positive(),
            Parameter::number("cycles").positive(),
        ],
        says: "stress range of a detail of structural steel: category (2e6 / cycles)^(1/3), from 5e6 cycles on 0.737 category; 125 machine-cut edge, 90 drilled hole, 80 to 36 welds",
        source: "EN 1993-1-9:2005 Figure 7.1, Tables 8.1 to 8.5",
        call: |given| {
            let (name, category, cycles): (&str, f64, f64) = given.take()?;
            steel(name)?;
            let range = fatigue_range(category, cycles) * MEGAPASCAL;
            Ok(Value::of(range, Dimension::STRESS))
        },
    },
];
