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

/// The names of all materials, each once.
pub fn names() -> impl Iterator<Item = &'static str> {
    MATERIALS.iter().map(|material| material.name)
}

fn unknown(name: &str, plain: &str) -> Refusal {
    let names = MATERIALS.iter().flat_map(|material| {
        std::iter::once(&material.name)
            .chain(material.aliases)
            .copied()
    });
    Refusal::new(format!("no material \"{name}\"")).remedy(match nearest(plain, names) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None => format!("there are {}", self::names().collect::<Vec<_>>().join(", ")),
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
    let stress = figure(material.strength_at(thickness)?) * MEGAPASCAL;
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
        says: "guaranteed yield strength of a plate material, typical where none is guaranteed; of its thinnest range unless the thickness is given",
        source: STRENGTHS.source,
        call: |given| strength(given, |strength| strength.yield_point),
    },
    Function {
        name: "tensile",
        parameters: STRENGTH,
        says: "guaranteed tensile strength of a plate material, typical where none is guaranteed; of its thinnest range unless the thickness is given",
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

    /// Standards have their yield fall with thickness, and their ranges follow one another; EN 485-2 has
    /// 7075 go up and down.
    #[test]
    fn ranges_of_thickness_follow_one_another() {
        for material in MATERIALS {
            let name = material.name;
            for pair in material.strength.windows(2) {
                assert_eq!(pair[0].upto, pair[1].over, "{name}");
                let falls = pair[0].yield_point >= pair[1].yield_point;
                assert!(falls || name == "aluminium 7075", "{name}");
            }
            for row in material.strength {
                assert!(row.over < row.upto, "{name}");
                assert!(row.yield_point < row.tensile, "{name}");
            }
        }
    }

    /// The ends of ranges of EN 10025-2 and EN 485-2: the next row begins above them; beyond the last, and
    /// under the first, nothing is guessed.
    #[test]
    fn outside_its_standard_no_strength_is_guessed() {
        let at = |name: &str, thickness: f64| {
            let found = find(name).expect(name).strength_at(thickness);
            found.map(|row| (row.yield_point, row.tensile))
        };
        assert_eq!(at("S355", 16.0), Ok((355.0, 470.0)));
        assert_eq!(at("S355", 16.1), Ok((345.0, 470.0)));
        assert_eq!(at("S235", 250.0), Ok((175.0, 340.0)));
        assert!(at("S235", 251.0).is_err());
        assert_eq!(at("6061", 10.0), Ok((240.0, 290.0)));
        assert_eq!(at("6082-T6", 20.0), Ok((240.0, 295.0)));
        assert_eq!(at("5083", 8.0), Ok((115.0, 270.0)));
        assert_eq!(at("316L", 6.0), Ok((170.0, 485.0)));
        let refused = at("4130", 12.0).expect_err("over 9.53 mm").to_string();
        assert!(refused.contains("9.53 mm"), "{refused}");
        assert!(at("6061", 0.3).is_err());
    }

    #[test]
    fn a_mistyped_material_gets_the_near_one() {
        let refusal = |name: &str| find(name).expect_err(name).to_string();
        assert!(refusal("mild stel").contains("mild steel"));
        assert!(refusal("wood").contains("S355"));
    }
}
