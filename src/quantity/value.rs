//! What an expression can be worth.

use super::mixed::mixed_number;
use super::{Dimension, format};
use crate::fault::Refusal;

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

    /// The amount in base units of a dimension.
    pub fn expect(&self, dimension: Dimension) -> Result<f64, Mismatch> {
        let quantity = self
            .expect_quantity()
            .map_err(|mismatch| mismatch.needing(dimension.describe()))?;
        if quantity.dimension == dimension {
            return Ok(quantity.amount);
        }
        let mut mismatch = Mismatch::new(dimension.describe(), self.describe());
        match (quantity.dimension, dimension) {
            (Dimension::NONE, _) => mismatch.unit_of = Some(dimension),
            (_, Dimension::NONE) => {
                mismatch.remedy = Some("write a number without a unit".to_owned());
            }
            _ => {
                let unit = usual_units(dimension).first();
                mismatch.remedy =
                    unit.map(|unit| format!("write {}, such as `12 {unit}`", dimension.describe()));
            }
        }
        Err(mismatch)
    }

    /// The quantity of any dimension.
    pub fn expect_quantity(&self) -> Result<Quantity, Mismatch> {
        let mismatch = || Mismatch::new("a quantity", self.describe());
        match self {
            Self::Quantity(quantity) => Ok(*quantity),
            Self::Text(words) => {
                Err(mismatch().remedy(format!("leave out the quotes around `{words}`")))
            }
            Self::Truth(_) => Err(mismatch()),
        }
    }

    /// A whole number from 0 up.
    pub fn expect_count(&self) -> Result<u32, Mismatch> {
        let amount = self
            .expect(Dimension::NONE)
            .map_err(|mismatch| mismatch.needing("a whole number"))?;
        let rounded = amount.round();
        let mismatch = |needed: &str| Mismatch::new(needed, format::decimal(amount, 6));
        if !format::nearly_equal(amount, rounded) {
            let mismatch = mismatch("a whole number");
            return Err(mismatch.remedy("`round`, `floor` or `ceil` makes one"));
        }
        if rounded < 0.0 || rounded > f64::from(u32::MAX) {
            return Err(mismatch("a whole number from 0 up"));
        }
        Ok(rounded as u32)
    }

    /// The words.
    pub fn expect_text(&self) -> Result<&str, Mismatch> {
        match self {
            Self::Text(words) => Ok(words),
            other => Err(Mismatch::new("words in quotes", other.describe())),
        }
    }

    /// True or false.
    pub fn expect_truth(&self) -> Result<bool, Mismatch> {
        match self {
            Self::Truth(truth) => Ok(*truth),
            other => Err(Mismatch::new("true or false", other.describe())
                .remedy("write a test, for example `n > 3`")),
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

/// A value that is not what was asked for; who asked knows what it is called and how it is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mismatch {
    needed: String,
    found: String,
    remedy: Option<String>,
    /// What is needed, where only a unit is missing.
    unit_of: Option<Dimension>,
}

/// The refusal of a value that has no name and was not typed.
impl From<Mismatch> for Refusal {
    fn from(mismatch: Mismatch) -> Self {
        let unit_of = None;
        Mismatch {
            unit_of,
            ..mismatch
        }
        .of("this", "")
    }
}

impl Mismatch {
    pub(super) fn new(needed: impl Into<String>, found: impl Into<String>) -> Self {
        Self {
            needed: needed.into(),
            found: found.into(),
            remedy: None,
            unit_of: None,
        }
    }

    pub(super) fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = Some(remedy.into());
        self
    }

    /// The same where more than that is asked for.
    fn needing(mut self, needed: impl Into<String>) -> Self {
        self.needed = needed.into();
        self
    }

    /// The refusal of something called `what` that was written so: `` `gap` must be a length, but is a
    /// plain number; write `1-1/2 in` ``.
    #[must_use]
    pub fn of(self, what: &str, written: &str) -> Refusal {
        let unit = |dimension| with_unit(written, dimension);
        Refusal {
            remedy: self.remedy.or_else(|| self.unit_of.and_then(unit)),
            ..Refusal::new(format!(
                "{what} must be {}, but is {}",
                self.needed, self.found
            ))
        }
    }
}

/// What to write so that a number becomes a quantity: `` write `12 mm` or `12 in` ``; `None` for a
/// dimension that builders do not type.
pub(super) fn with_unit(number: &str, dimension: Dimension) -> Option<String> {
    let number = number.trim();
    let is_fraction = mixed_number(number).is_some_and(|(_, length)| length == number.len());
    let units = usual_units(dimension).iter();
    let written: Vec<_> = if number.parse::<f64>().is_ok() {
        units.map(|unit| format!("`{number} {unit}`")).collect()
    } else if is_fraction && dimension == Dimension::LENGTH {
        vec![format!("`{number} in`")]
    } else {
        units.map(|unit| format!("`({number}) {unit}`")).collect()
    };
    (!written.is_empty()).then(|| format!("write {}", written.join(" or ")))
}

/// The units that builders type a dimension in.
const fn usual_units(dimension: Dimension) -> &'static [&'static str] {
    match dimension {
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
        _ => &[],
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Expression, Nameless};
    use super::*;

    fn refusal<T: std::fmt::Debug>(found: Result<T, Mismatch>, written: &str) -> String {
        found.expect_err(written).of("`gap`", written).to_string()
    }

    #[test]
    fn a_wrong_kind_is_told_with_the_remedy() {
        let length = |value: Value, written| refusal(value.expect(Dimension::LENGTH), written);
        assert_eq!(
            length(Value::number(12.0), "12"),
            "`gap` must be a length, but is a plain number; write `12 mm` or `12 in`"
        );
        assert_eq!(
            length(Value::angle(1.0), "1 rad"),
            "`gap` must be a length, but is an angle; write a length, such as `12 mm`"
        );
        assert_eq!(
            length(Value::text("12 mm"), "'12 mm'"),
            "`gap` must be a length, but is text; leave out the quotes around `12 mm`"
        );
        assert_eq!(
            refusal(Value::length(1.0).expect(Dimension::NONE), "1 mm"),
            "`gap` must be a plain number, but is a length; write a number without a unit"
        );
        assert_eq!(Value::length(3.0).expect(Dimension::LENGTH), Ok(3.0));
    }

    #[test]
    fn what_to_write_reads_as_what_is_needed() {
        for (written, dimension, expected) in [
            ("1-1/2", Dimension::LENGTH, "write `1-1/2 in`"),
            ("3/4", Dimension::LENGTH, "write `3/4 in`"),
            ("1-1/2", Dimension::ANGLE, "write `(1-1/2) deg`"),
            ("-2.5", Dimension::LENGTH, "write `-2.5 mm` or `-2.5 in`"),
            (
                "2 * 3 + 1",
                Dimension::LENGTH,
                "write `(2 * 3 + 1) mm` or `(2 * 3 + 1) in`",
            ),
            ("40", Dimension::TORQUE, "write `40 N.m` or `40 lbf.ft`"),
        ] {
            let remedy = with_unit(written, dimension).expect(written);
            assert_eq!(remedy, expected);
            for followed in remedy.split('`').skip(1).step_by(2) {
                let value = Expression::parse(followed)
                    .and_then(|it| it.evaluate(&Nameless::default()))
                    .expect(followed);
                assert!(value.expect(dimension).is_ok(), "{followed}");
            }
        }
    }

    #[test]
    fn counts_are_whole_and_not_negative() {
        assert_eq!(Value::number(5.0).expect_count(), Ok(5));
        assert_eq!(Value::number(0.1 * 3.0 * 10.0).expect_count(), Ok(3));
        assert!(Value::number(2.5).expect_count().is_err());
        assert!(Value::number(-1.0).expect_count().is_err());
        assert!(Value::number(1e12).expect_count().is_err());
        assert_eq!(
            refusal(Value::length(1.0).expect_count(), "1 mm"),
            "`gap` must be a whole number, but is a length; write a number without a unit"
        );
    }
}
