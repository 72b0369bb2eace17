//! Plate materials by the names builders use for them.

use super::material_table::{DENSITIES, MATERIALS, STRENGTHS};
use super::scan;
use super::unit::{GIGAPASCAL, KG_PER_M3, MEGAPASCAL};
use crate::fault::{Refusal, nearest};
use crate::quantity::{Argument, Dimension, Function, Given, Parameter, Value};

pub use super::material_kind::{Basis, Material, Metal, Strength};

/// The material a name stands for.
pub fn find(name: &str) -> Result<&'static Material, Refusal> {
    let plain = scan::plain(name)
        .replace("aluminum", "aluminium")
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    let called = |material: &&Material| {
        material.name.to_lowercase() == plain || material.aliases.contains(&plain.as_str())
    };
    MATERIALS
        .iter()
        .find(called)
        .ok_or_else(|| unknown(name, &plain))
}

fn unknown(name: &str, plain: &str) -> Refusal {
    let names = MATERIALS.iter().flat_map(|material| {
        std::iter::once(&material.name)
            .chain(material.aliases)
            .copied()
    });
    let all = MATERIALS.iter().map(|material| material.name);
    Refusal::new(format!("no material \"{name}\"")).remedy(match nearest(plain, names) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None => format!("there are {}", all.collect::<Vec<_>>().join(", ")),
    })
}

impl<'a> Argument<'a> for &'static Material {
    fn take(value: Option<&'a Value>) -> Result<Self, Refusal> {
        find(Argument::take(value)?)
    }
}

/// One figure of the strength of the material and thickness given.
fn strength(given: Given<'_>, figure: fn(Strength) -> f64) -> Result<Value, Refusal> {
    let (material, thickness): (&Material, f64) = given.take()?;
    let stress = figure(material.strength_at(thickness)) * MEGAPASCAL;
    Ok(Value::of(stress, Dimension::STRESS))
}

const MATERIAL: Parameter = Parameter::words("material");
const THICKNESS: Parameter = Parameter::length("thickness").not_negative();
const STRENGTH: &[Parameter] = &[MATERIAL, THICKNESS.otherwise(0.0)];

/// What recipes can ask about materials.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "density",
        parameters: &[MATERIAL],
        says: "density of a plate material",
        source: DENSITIES.source,
        call: |given| {
            let material: &Material = given.one()?;
            Ok(Value::of(material.density * KG_PER_M3, Dimension::DENSITY))
        },
    },
    Function {
        name: "yield",
        parameters: STRENGTH,
        says: "yield strength of a plate material; of its thinnest range unless the thickness is given",
        source: STRENGTHS.source,
        call: |given| strength(given, |strength| strength.yield_point),
    },
    Function {
        name: "tensile",
        parameters: STRENGTH,
        says: "tensile strength of a plate material; of its thinnest range unless the thickness is given",
        source: STRENGTHS.source,
        call: |given| strength(given, |strength| strength.tensile),
    },
    Function {
        name: "elasticity",
        parameters: &[MATERIAL],
        says: "modulus of elasticity of a plate material",
        source: STRENGTHS.source,
        call: |given| {
            let material: &Material = given.one()?;
            Ok(Value::of(material.modulus * GIGAPASCAL, Dimension::STRESS))
        },
    },
    Function {
        name: "plate_mass",
        parameters: &[
            Parameter::quantity("area", Dimension::AREA).not_negative(),
            THICKNESS,
            MATERIAL,
        ],
        says: "mass of a plate: area * thickness * density",
        source: DENSITIES.source,
        call: |given| {
            let (area, thickness, material): (f64, f64, &Material) = given.take()?;
            let mass = area * thickness * material.density * KG_PER_M3;
            Ok(Value::of(mass, Dimension::MASS))
        },
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_and_alias_finds_its_own_material() {
        for material in MATERIALS {
            for name in std::iter::once(&material.name).chain(material.aliases) {
                assert_eq!(
                    find(name).map(|found| found.name),
                    Ok(material.name),
                    "{name}"
                );
                assert_eq!(
                    find(&name.to_uppercase()).map(|found| found.name),
                    Ok(material.name)
                );
            }
        }
    }

    #[test]
    fn strength_falls_with_thickness_and_keeps_its_order() {
        for material in MATERIALS {
            assert!(material.strength.windows(2).all(|pair| {
                pair[0].upto < pair[1].upto && pair[0].yield_point >= pair[1].yield_point
            }));
            assert!(
                material
                    .strength
                    .iter()
                    .all(|row| row.yield_point < row.tensile)
            );
        }
        let s355 = find("S355").expect("S355 is a row");
        assert_eq!(s355.strength_at(16.0).yield_point, 355.0);
        assert_eq!(s355.strength_at(16.1).yield_point, 345.0);
    }

    #[test]
    fn a_mistyped_material_gets_the_near_one() {
        let refusal = |name: &str| find(name).expect_err(name).to_string();
        assert!(refusal("mild stel").contains("mild steel"));
        assert!(refusal("wood").contains("S355"));
    }
}
