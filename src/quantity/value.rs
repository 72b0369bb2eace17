//! What an expression can be worth.

use super::{Dimension, format};

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

    /// Words.
    #[must_use]
    pub fn text(words: impl Into<String>) -> Self {
        Self::Text(words.into())
    }

    /// An amount in base units of a dimension.
    #[must_use]
    pub const fn of(amount: f64, dimension: Dimension) -> Self {
        Self::Quantity(Quantity { amount, dimension })
    }

    /// The amount in base units of a dimension, or one sentence that says what this is instead and
    /// what to write.
    pub fn expect(&self, dimension: Dimension) -> Result<f64, String> {
        let quantity = self.expect_quantity()?;
        if quantity.dimension == dimension {
            return Ok(quantity.amount);
        }
        let needed = dimension.describe();
        if quantity.dimension == Dimension::NONE {
            return Err(format!(
                "this is a plain number, {needed} is needed{}",
                with_unit(&format::decimal(quantity.amount, 6), dimension)
            ));
        }
        Err(format!("this is {}, {needed} is needed", self.describe()))
    }

    /// The quantity of any dimension, or one sentence that says what this is instead.
    pub fn expect_quantity(&self) -> Result<Quantity, String> {
        match self {
            Self::Quantity(quantity) => Ok(*quantity),
            Self::Text(words) => Err(format!(
                "this is text, a quantity is needed: leave out the quotes around `{words}`"
            )),
            Self::Truth(_) => Err("this is true or false, a quantity is needed".to_owned()),
        }
    }

    /// A whole number from 0 up, or one sentence that says what this is instead.
    pub fn expect_count(&self) -> Result<u32, String> {
        let amount = self
            .expect(Dimension::NONE)
            .map_err(|sentence| sentence.replace(&Dimension::NONE.describe(), "a whole number"))?;
        let rounded = amount.round();
        if !format::nearly_equal(amount, rounded) {
            return Err(format!(
                "this is {}, a whole number is needed: `round`, `floor` or `ceil` makes one",
                format::decimal(amount, 6)
            ));
        }
        if rounded < 0.0 || rounded > f64::from(u32::MAX) {
            return Err(format!(
                "this is {}, a whole number from 0 up is needed",
                format::decimal(amount, 6)
            ));
        }
        Ok(rounded as u32)
    }

    /// The words, or one sentence that says what this is instead.
    pub fn expect_text(&self) -> Result<&str, String> {
        match self {
            Self::Text(words) => Ok(words),
            other => Err(format!(
                "this is {}, words in quotes are needed",
                other.describe()
            )),
        }
    }

    /// True or false, or one sentence that says what this is instead.
    pub fn expect_truth(&self) -> Result<bool, String> {
        match self {
            Self::Truth(truth) => Ok(*truth),
            other => Err(format!(
                "this is {}, a test is needed: for example `n > 3`",
                other.describe()
            )),
        }
    }

    /// What it is, for a sentence: `a length`, `text`, `true or false`.
    #[must_use]
    pub fn describe(&self) -> String {
        match self {
            Self::Quantity(quantity) => quantity.dimension.describe(),
            Self::Text(_) => "text".to_owned(),
            Self::Truth(_) => "true or false".to_owned(),
        }
    }
}

/// `: write 12 mm or 12 in`, for the dimensions that builders type.
pub(super) fn with_unit(number: &str, dimension: Dimension) -> String {
    let units: &[&str] = match dimension {
        Dimension::LENGTH => &["mm", "in"],
        Dimension::ANGLE => &["deg"],
        Dimension::AREA => &["mm2"],
        Dimension::FORCE => &["N", "lbf"],
        Dimension::TORQUE => &["N.m", "lbf.ft"],
        Dimension::STRESS => &["MPa", "ksi"],
        Dimension::MASS => &["kg", "lb"],
        Dimension::TIME => &["s"],
        Dimension::SPEED => &["mm/min", "in/min"],
        Dimension::DENSITY => &["kg/m3"],
        Dimension::ACCELERATION => &["mm/s2"],
        _ => return String::new(),
    };
    let written: Vec<_> = units
        .iter()
        .map(|unit| format!("`{number} {unit}`"))
        .collect();
    format!(": write {}", written.join(" or "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wrong_kind_is_told_with_the_remedy() {
        assert_eq!(
            Value::number(12.0).expect(Dimension::LENGTH),
            Err("this is a plain number, a length is needed: write `12 mm` or `12 in`".to_owned())
        );
        assert_eq!(
            Value::angle(1.0).expect(Dimension::LENGTH),
            Err("this is an angle, a length is needed".to_owned())
        );
        assert_eq!(Value::length(3.0).expect(Dimension::LENGTH), Ok(3.0));
    }

    #[test]
    fn counts_are_whole_and_not_negative() {
        assert_eq!(Value::number(5.0).expect_count(), Ok(5));
        assert_eq!(Value::number(0.1 * 3.0 * 10.0).expect_count(), Ok(3));
        assert!(Value::number(2.5).expect_count().is_err());
        assert!(Value::number(-1.0).expect_count().is_err());
        assert!(Value::number(1e12).expect_count().is_err());
        assert_eq!(
            Value::length(1.0).expect_count(),
            Err("this is a length, a whole number is needed".to_owned())
        );
    }
}
