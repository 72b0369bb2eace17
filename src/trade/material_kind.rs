//! What a plate material is: its metal, density, strength and stiffness.

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
    /// Topics of the cautions that go with cutting it.
    #[must_use]
    pub const fn cautions(self) -> &'static [&'static str] {
        match self {
            Self::Galvanised => &["zinc fume"],
            Self::Stainless => &["stainless fume"],
            Self::Aluminium => &["aluminium", "water tables"],
            Self::Steel | Self::Copper | Self::Titanium => &[],
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

/// mm³ of a density in kg/m³.
const CUBIC_METRE: f64 = 1e9;

impl Material {
    /// Mass, kg, of a plate: area in mm², thickness in mm.
    #[must_use]
    pub fn mass(&self, area: f64, thickness: f64) -> f64 {
        area * thickness * self.density / CUBIC_METRE
    }
}
