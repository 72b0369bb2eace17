//! What an expression can be worth.

use super::Dimension;

/// A number in base units (mm, kg, s, rad) and what kind of quantity it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantity {
    /// The number, in base units of the dimension.
    pub amount: f64,
    /// The kind.
    pub dimension: Dimension,
}

/// What an expression can be worth.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A number, with or without a unit.
    Quantity(Quantity),
    /// Words in quotes: a thread, a fit, a material.
    Text(String),
    /// Yes or no.
    Truth(bool),
}

impl Value {
    /// A length from mm.
    #[must_use]
    pub const fn length(mm: f64) -> Self {
        Self::of(mm, Dimension::LENGTH)
    }

    /// An angle from radians.
    #[must_use]
    pub const fn angle(radians: f64) -> Self {
        Self::of(radians, Dimension::ANGLE)
    }

    /// A plain number.
    #[must_use]
    pub const fn number(n: f64) -> Self {
        Self::of(n, Dimension::NONE)
    }

    /// An amount in base units of a dimension.
    #[must_use]
    pub const fn of(amount: f64, dimension: Dimension) -> Self {
        Self::Quantity(Quantity { amount, dimension })
    }
}
