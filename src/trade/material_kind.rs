//! What a plate material is: its metal, density, strength and stiffness.

use crate::fault::Refusal;
use crate::quantity::format::millimetres;

/// Strength of a material over a range of thickness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strength {
    /// Thickness over which it holds, mm.
    pub over: f64,
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
    /// Usual: no standard guarantees it, and a margin that rests on it is a warning at best.
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
    /// Strength by thickness, thinnest first, without gaps; never empty.
    pub strength: &'static [Strength],
    /// Where its strength comes from.
    pub source: &'static str,
    /// Smallest inside bend radius in thicknesses, up to 6 mm and above: common practice, no source.
    pub bend_radius: (f64, f64),
}

impl Material {
    /// Strength at a thickness in mm; at 0 that of the thinnest range. Outside its standard's ranges nothing
    /// is guessed.
    pub fn strength_at(&self, thickness: f64) -> Result<Strength, Refusal> {
        /// Slack at the ends of ranges, mm: an inch size is no exact millimetre.
        const SAME: f64 = 0.005;
        let holds = |row: &&Strength| row.over < thickness && thickness <= row.upto + SAME;
        let found = match self.strength {
            [first, ..] if thickness == 0.0 => Some(first),
            rows => rows.iter().find(holds),
        };
        found.copied().ok_or_else(|| {
            let least = self.strength.first().map_or(0.0, |row| row.over);
            let most = self.strength.last().map_or(0.0, |row| row.upto);
            let cause = format!(
                "{} has no strength for {} in {}: its ranges go from {} to {}",
                self.name,
                millimetres(thickness),
                self.source,
                millimetres(least),
                millimetres(most),
            );
            Refusal::new(cause).remedy("name a material whose standard covers the thickness")
        })
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
