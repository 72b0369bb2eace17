//! Plate materials: density, strength, stiffness, and the names builders use for them.

use super::given::Given;
use super::origin::Origin;
use super::scan;
use super::unit::{GIGAPASCAL, KG_PER_M3, MEGAPASCAL};
use crate::fault::nearest;
use crate::quantity::{Dimension, Function, Parameter, Value};

/// Densities.
pub const DENSITIES: Origin = Origin {
    title: "densities",
    source: "EN 10025 and ASM handbook values",
    verified: "steel 7850, stainless 304 8000, 6061 2700, 5052 2680 looked up; the rest from memory",
};

/// Strengths.
pub const STRENGTHS: Origin = Origin {
    title: "yield and tensile strength, modulus of elasticity",
    source: "ASTM A36, EN 10025-2, ASTM A240, Aluminum Association, ASM handbook",
    verified: "A36, S235, S275, S355 to 40 mm, 6061-T6 and 5052-H32 looked up; the rest from memory; \
               6061-T6 is typical, its plate minimum is 240 / 290 MPa",
};

/// Strength of a material up to a thickness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strength {
    /// Largest thickness, mm.
    pub upto: f64,
    /// Yield, N/mm².
    pub yield_point: f64,
    /// Tensile strength, N/mm².
    pub tensile: f64,
}

/// Whether a strength can be counted on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// The least the standard allows.
    Minimum,
    /// Usual, not promised.
    Typical,
}

/// Which kind of metal; decides which cautions apply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Metal {
    /// Plain and low-alloy steel.
    Steel,
    /// Steel with a zinc coat.
    Galvanised,
    /// Stainless steel.
    Stainless,
    /// Aluminium and its alloys.
    Aluminium,
    /// Copper and its alloys.
    Copper,
    /// Titanium and its alloys.
    Titanium,
}

impl Metal {
    /// Topic of the caution that goes with cutting it, if it has one of its own.
    #[must_use]
    pub const fn caution(self) -> Option<&'static str> {
        match self {
            Self::Galvanised => Some("zinc fume"),
            Self::Stainless => Some("stainless fume"),
            Self::Aluminium => Some("aluminium"),
            Self::Steel | Self::Copper | Self::Titanium => None,
        }
    }
}

/// A plate material.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Material {
    /// Its name in reports.
    pub name: &'static str,
    /// Other names it goes by, in plain lower case.
    pub aliases: &'static [&'static str],
    /// The kind of metal.
    pub metal: Metal,
    /// Density, kg/m³.
    pub density: f64,
    /// Modulus of elasticity, kN/mm².
    pub modulus: f64,
    /// Whether its strength is promised.
    pub basis: Basis,
    /// Strength by thickness, thinnest first; never empty.
    pub strength: &'static [Strength],
    /// Where its strength comes from.
    pub source: &'static str,
    /// Smallest inside bend radius in thicknesses, up to 6 mm and above: common practice, no source.
    pub bend_radius: (f64, f64),
}

impl Material {
    /// Strength at a thickness in mm; past the last row the last row's.
    #[must_use]
    pub fn strength_at(&self, thickness: f64) -> Strength {
        let row = self.strength.iter().find(|row| thickness <= row.upto);
        *row.unwrap_or(&self.strength[self.strength.len() - 1])
    }
}

/// Up to a thickness in mm: yield and tensile strength in N/mm².
const fn upto(thickness: f64, yield_point: f64, tensile: f64) -> Strength {
    Strength {
        upto: thickness,
        yield_point,
        tensile,
    }
}

const fn any(yield_point: f64, tensile: f64) -> Strength {
    upto(f64::INFINITY, yield_point, tensile)
}

const S235: &[Strength] = &[
    upto(16.0, 235.0, 360.0),
    upto(40.0, 225.0, 360.0),
    upto(100.0, 215.0, 360.0),
];
const S275: &[Strength] = &[
    upto(16.0, 275.0, 410.0),
    upto(40.0, 265.0, 410.0),
    upto(63.0, 255.0, 410.0),
    upto(80.0, 245.0, 410.0),
    upto(100.0, 235.0, 410.0),
];
const S355: &[Strength] = &[
    upto(16.0, 355.0, 470.0),
    upto(40.0, 345.0, 470.0),
    upto(63.0, 335.0, 470.0),
    upto(80.0, 325.0, 470.0),
    upto(100.0, 315.0, 470.0),
];

/// What most rows of one metal share; rows write down what differs.
const STEEL: Material = Material {
    name: "mild steel",
    aliases: &[
        "steel",
        "ms",
        "plain steel",
        "low carbon steel",
        "carbon steel",
        "hot rolled",
        "st37",
    ],
    metal: Metal::Steel,
    density: 7850.0,
    modulus: 210.0,
    basis: Basis::Minimum,
    strength: S235,
    source: "EN 10025-2 (S235, the weakest of the usual plate steels)",
    bend_radius: (1.0, 1.5),
};

const STAINLESS: Material = Material {
    name: "stainless 304",
    aliases: &[
        "stainless",
        "304",
        "304l",
        "a2",
        "1.4301",
        "inox",
        "304 annealed",
    ],
    metal: Metal::Stainless,
    density: 8000.0,
    modulus: 193.0,
    strength: &[any(205.0, 515.0)],
    source: "ASTM A240",
    bend_radius: (1.0, 1.0),
    ..STEEL
};

const ALUMINIUM: Material = Material {
    name: "aluminium 5052",
    aliases: &["aluminium", "5052", "5052-h32", "almg2.5"],
    metal: Metal::Aluminium,
    density: 2680.0,
    modulus: 70.3,
    basis: Basis::Typical,
    strength: &[any(193.0, 228.0)],
    source: "Aluminum Association, 5052-H32",
    bend_radius: (1.0, 1.0),
};

const COPPER: Material = Material {
    name: "copper",
    aliases: &["cu", "c110", "cu-etp"],
    metal: Metal::Copper,
    density: 8940.0,
    modulus: 117.0,
    basis: Basis::Typical,
    strength: &[any(69.0, 220.0)],
    source: "ASM handbook, annealed C110",
    bend_radius: (1.0, 1.0),
};

/// Every material, the usual one of a metal first.
pub const MATERIALS: &[Material] = &[
    STEEL,
    Material {
        name: "S235",
        aliases: &["s235jr", "s235j2", "1.0038"],
        source: "EN 10025-2 Table 7",
        ..STEEL
    },
    Material {
        name: "S275",
        aliases: &["s275jr", "s275j2", "1.0044", "st44"],
        strength: S275,
        source: "EN 10025-2 Table 7",
        ..STEEL
    },
    Material {
        name: "S355",
        aliases: &["s355jr", "s355j2", "s355j2+n", "1.0577", "st52"],
        strength: S355,
        source: "EN 10025-2 Table 7",
        ..STEEL
    },
    Material {
        name: "A36",
        aliases: &["astm a36", "a-36"],
        modulus: 200.0,
        strength: &[any(250.0, 400.0)],
        source: "ASTM A36",
        ..STEEL
    },
    Material {
        name: "A572 grade 50",
        aliases: &["a572", "a572 gr 50", "a572-50", "grade 50"],
        modulus: 200.0,
        strength: &[any(345.0, 450.0)],
        source: "ASTM A572",
        ..STEEL
    },
    Material {
        name: "1018 hot rolled",
        aliases: &["1018", "1018 hr"],
        modulus: 205.0,
        basis: Basis::Typical,
        strength: &[any(220.0, 400.0)],
        source: "ASM handbook",
        ..STEEL
    },
    Material {
        name: "1018 cold drawn",
        aliases: &["1018 cd", "1018 cold rolled"],
        modulus: 205.0,
        basis: Basis::Typical,
        strength: &[any(370.0, 440.0)],
        source: "ASM handbook",
        ..STEEL
    },
    Material {
        name: "4130 normalised",
        aliases: &["4130", "chromoly", "chrome-moly", "25crmo4"],
        modulus: 205.0,
        basis: Basis::Typical,
        strength: &[any(435.0, 670.0)],
        source: "ASM handbook",
        bend_radius: (2.0, 3.0),
        ..STEEL
    },
    Material {
        name: "galvanised steel",
        aliases: &[
            "galvanised",
            "galvanized",
            "galvanized steel",
            "galv",
            "zinc-coated steel",
        ],
        metal: Metal::Galvanised,
        source: "EN 10025-2 (S235), coating left out",
        ..STEEL
    },
    STAINLESS,
    Material {
        name: "stainless 316",
        aliases: &["316", "316l", "a4", "1.4401", "1.4404", "316 annealed"],
        ..STAINLESS
    },
    ALUMINIUM,
    Material {
        name: "aluminium 6061",
        aliases: &["6061", "6061-t6", "aluminium 6061-t6"],
        density: 2700.0,
        modulus: 68.9,
        strength: &[any(276.0, 310.0)],
        source: "Aluminum Association, 6061-T6",
        bend_radius: (3.0, 3.0),
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 6082",
        aliases: &["6082", "6082-t6", "aluminium 6082-t6"],
        density: 2700.0,
        modulus: 70.0,
        basis: Basis::Minimum,
        strength: &[upto(6.0, 260.0, 310.0), any(255.0, 300.0)],
        source: "EN 485-2, 6082-T6",
        bend_radius: (3.0, 3.0),
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 5083",
        aliases: &["5083", "5083-h111", "5083-o", "almg4.5mn"],
        density: 2660.0,
        modulus: 71.0,
        basis: Basis::Minimum,
        strength: &[any(125.0, 275.0)],
        source: "EN 485-2, 5083-O and H111",
        bend_radius: (1.5, 2.0),
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 5754",
        aliases: &["5754", "5754-h22", "almg3"],
        density: 2670.0,
        modulus: 70.0,
        basis: Basis::Minimum,
        strength: &[any(130.0, 220.0)],
        source: "EN 485-2, 5754-H22",
        bend_radius: (1.0, 1.5),
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 3003",
        aliases: &["3003", "3003-h14"],
        density: 2730.0,
        modulus: 68.9,
        strength: &[any(145.0, 152.0)],
        source: "Aluminum Association, 3003-H14",
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 1100",
        aliases: &["1100", "1100-h14", "pure aluminium"],
        density: 2710.0,
        modulus: 68.9,
        strength: &[any(117.0, 124.0)],
        source: "Aluminum Association, 1100-H14",
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 7075",
        aliases: &["7075", "7075-t6"],
        density: 2810.0,
        modulus: 71.7,
        strength: &[any(503.0, 572.0)],
        source: "Aluminum Association, 7075-T6",
        bend_radius: (6.0, 9.0),
        ..ALUMINIUM
    },
    COPPER,
    Material {
        name: "brass C260",
        aliases: &["brass", "c260", "cartridge brass", "cuzn30"],
        density: 8530.0,
        modulus: 110.0,
        strength: &[any(75.0, 300.0)],
        source: "ASM handbook, annealed C260",
        ..COPPER
    },
    Material {
        name: "titanium grade 2",
        aliases: &["titanium", "ti grade 2", "ti2"],
        metal: Metal::Titanium,
        density: 4510.0,
        modulus: 103.0,
        basis: Basis::Minimum,
        strength: &[any(275.0, 345.0)],
        source: "ASTM B265",
        bend_radius: (2.5, 3.0),
    },
];

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
