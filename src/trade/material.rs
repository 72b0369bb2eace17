//! Plate materials by the names builders use for them.

use super::given::Given;
use super::material_table::{DENSITIES, MATERIALS, STRENGTHS};
use super::scan;
use super::unit::{GIGAPASCAL, KG_PER_M3, MEGAPASCAL};
use crate::fault::nearest;
use crate::quantity::{Dimension, Function, Parameter, Value};

pub use super::material_kind::{Basis, Material, Metal, Strength};

/// The material a name stands for.
pub fn find(name: &str) -> Result<&'static Material, String> {
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

fn unknown(name: &str, plain: &str) -> String {
    let names = MATERIALS.iter().flat_map(|material| {
        std::iter::once(&material.name)
            .chain(material.aliases)
            .copied()
    });
    if let Some(near) = nearest(plain, names) {
        return format!("no material \"{name}\"; did you mean \"{near}\"?");
    }
    let all: Vec<&str> = MATERIALS.iter().map(|material| material.name).collect();
    format!("no material \"{name}\"; there are {}", all.join(", "))
}

/// The material and thickness given, and one figure of its strength.
fn strength(values: &[Value], figure: fn(Strength) -> f64) -> Result<Value, String> {
    let given = Given(values);
    let material = find(given.text(0)?)?;
    let thickness = given.amount_if_any(1)?.unwrap_or(0.0);
    let stress = figure(material.strength_at(thickness)) * MEGAPASCAL;
    Ok(Value::of(stress, Dimension::STRESS))
}

const MATERIAL: Parameter = Parameter::Text("material");
const STRENGTH: &[Parameter] = &[
    MATERIAL,
    Parameter::OptionalQuantity("thickness", Dimension::LENGTH),
];

/// What recipes can ask about materials.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "density",
        parameters: &[MATERIAL],
        says: "density of a plate material",
        source: DENSITIES.source,
        call: |values| {
            let material = find(Given(values).text(0)?)?;
            Ok(Value::of(material.density * KG_PER_M3, Dimension::DENSITY))
        },
    },
    Function {
        name: "yield",
        parameters: STRENGTH,
        says: "yield strength of a plate material; of its thinnest range unless the thickness is given",
        source: STRENGTHS.source,
        call: |values| strength(values, |strength| strength.yield_point),
    },
    Function {
        name: "tensile",
        parameters: STRENGTH,
        says: "tensile strength of a plate material; of its thinnest range unless the thickness is given",
        source: STRENGTHS.source,
        call: |values| strength(values, |strength| strength.tensile),
    },
    Function {
        name: "elasticity",
        parameters: &[MATERIAL],
        says: "modulus of elasticity of a plate material",
        source: STRENGTHS.source,
        call: |values| {
            let material = find(Given(values).text(0)?)?;
            Ok(Value::of(material.modulus * GIGAPASCAL, Dimension::STRESS))
        },
    },
    Function {
        name: "plate_mass",
        parameters: &[
            Parameter::Quantity("area", Dimension::AREA),
            Parameter::Quantity("thickness", Dimension::LENGTH),
            MATERIAL,
        ],
        says: "mass of a plate: area * thickness * density",
        source: DENSITIES.source,
        call: |values| {
            let given = Given(values);
            let area = given.not_negative(0, "area")?;
            let thickness = given.not_negative(1, "thickness")?;
            let density = find(given.text(2)?)?.density * KG_PER_M3;
            Ok(Value::of(area * thickness * density, Dimension::MASS))
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
        assert!(
            find("mild stel")
                .expect_err("mistyped")
                .contains("mild steel")
        );
        assert!(find("wood").expect_err("no such row").contains("S355"));
    }
}
