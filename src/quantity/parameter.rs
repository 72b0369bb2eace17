//! What a function takes in one place: the kind, the range, and what holds where it is left out.

use std::ops::{Bound, RangeBounds};

use super::value::Mismatch;
use super::{Dimension, Quantity, Value, format};

/// The most that a whole number may be.
const MOST: u32 = 1_000_000;

/// What a function is given in one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parameter {
    /// What it means, in one or two words.
    pub name: &'static str,
    /// What fits it.
    pub takes: Takes,
    /// Whether it may be left out or repeated.
    pub presence: Presence,
}

/// What fits a parameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Takes {
    /// A quantity of this dimension, in a range.
    Quantity(Dimension, Range),
    /// Any quantity: the function checks further (`min`, `max`, `hypot`, …).
    AnyQuantity,
    /// A whole number, at least this.
    Count(u32),
    /// Words in quotes. A length given here arrives as its text as typed, so that `clearance(1/2 in)`
    /// and `clearance("1/2 in")` mean the same; a computed length arrives in mm, `12.7 mm`.
    Words,
}

/// Whether a parameter may be left out or repeated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Presence {
    /// It must be there.
    Needed,
    /// It may be left out.
    Optional,
    /// It may be left out and is this amount then, in base units.
    Otherwise(f64),
    /// Any further number of values like it may follow.
    Repeated,
}

/// The amounts that fit, in base units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    low: Bound<f64>,
    high: Bound<f64>,
    /// What to know about the range, for who has left it.
    hint: &'static str,
}

impl Parameter {
    /// A quantity of a dimension.
    #[must_use]
    pub const fn quantity(name: &'static str, dimension: Dimension) -> Self {
        let range = Range {
            low: Bound::Unbounded,
            high: Bound::Unbounded,
            hint: "",
        };
        Self::new(name, Takes::Quantity(dimension, range))
    }

    /// A length.
    #[must_use]
    pub const fn length(name: &'static str) -> Self {
        Self::quantity(name, Dimension::LENGTH)
    }

    /// An angle.
    #[must_use]
    pub const fn angle(name: &'static str) -> Self {
        Self::quantity(name, Dimension::ANGLE)
    }

    /// A plain number.
    #[must_use]
    pub const fn number(name: &'static str) -> Self {
        Self::quantity(name, Dimension::NONE)
    }

    /// A whole number, at least `least`.
    #[must_use]
    pub const fn count(name: &'static str, least: u32) -> Self {
        Self::new(name, Takes::Count(least))
    }

    /// A quantity of any dimension.
    #[must_use]
    pub const fn any(name: &'static str) -> Self {
        Self::new(name, Takes::AnyQuantity)
    }

    /// Words in quotes.
    #[must_use]
    pub const fn words(name: &'static str) -> Self {
        Self::new(name, Takes::Words)
    }

    /// The same, above 0 only.
    #[must_use]
    pub const fn positive(self) -> Self {
        self.from(Bound::Excluded(0.0))
    }

    /// The same, from 0 up only.
    #[must_use]
    pub const fn not_negative(self) -> Self {
        self.from(Bound::Included(0.0))
    }

    /// The same, below an amount in base units only.
    #[must_use]
    pub const fn below(self, most: f64) -> Self {
        self.to(Bound::Excluded(most))
    }

    /// The same, up to an amount in base units only.
    #[must_use]
    pub const fn up_to(self, most: f64) -> Self {
        self.to(Bound::Included(most))
    }

    /// The same, with what to know about its range.
    #[must_use]
    pub const fn hint(mut self, hint: &'static str) -> Self {
        if let Takes::Quantity(_, range) = &mut self.takes {
            range.hint = hint;
        }
        self
    }

    /// The same, but it may be left out.
    #[must_use]
    pub const fn optional(mut self) -> Self {
        self.presence = Presence::Optional;
        self
    }

    /// The same, but it is this amount in base units where it is left out.
    #[must_use]
    pub const fn otherwise(mut self, amount: f64) -> Self {
        self.presence = Presence::Otherwise(amount);
        self
    }

    /// The same, any number of times.
    #[must_use]
    pub const fn repeated(mut self) -> Self {
        self.presence = Presence::Repeated;
        self
    }

    const fn new(name: &'static str, takes: Takes) -> Self {
        Self {
            name,
            takes,
            presence: Presence::Needed,
        }
    }

    const fn from(mut self, low: Bound<f64>) -> Self {
        if let Takes::Quantity(_, range) = &mut self.takes {
            range.low = low;
        }
        self
    }

    const fn to(mut self, high: Bound<f64>) -> Self {
        if let Takes::Quantity(_, range) = &mut self.takes {
            range.high = high;
        }
        self
    }

    pub(super) const fn is_needed(&self) -> bool {
        matches!(self.presence, Presence::Needed | Presence::Repeated)
    }

    /// The value as the function takes it. `literal` is the argument's text if it is a length written
    /// out.
    pub(super) fn fit(&self, value: Value, literal: Option<&str>) -> Result<Value, Mismatch> {
        match self.takes {
            Takes::Quantity(dimension, range) => {
                let amount = value.expect(dimension)?;
                range.check(Quantity { amount, dimension })?;
            }
            Takes::AnyQuantity => {
                value.expect_quantity()?;
            }
            Takes::Count(least) => {
                let count = value.expect_count()?;
                if !(least..=MOST).contains(&count) {
                    let needed = format!("a whole number from {least} to {MOST}");
                    return Err(Mismatch::new(needed, count.to_string()));
                }
            }
            Takes::Words => return as_words(value, literal),
        }
        Ok(value)
    }
}

impl Range {
    fn check(&self, quantity: Quantity) -> Result<(), Mismatch> {
        if (self.low, self.high).contains(&quantity.amount) && quantity.amount.is_finite() {
            return Ok(());
        }
        let mismatch = Mismatch::new(self.words(quantity.dimension), format::quantity(quantity));
        Err(match self.hint {
            "" => mismatch,
            hint => mismatch.remedy(hint),
        })
    }

    /// `more than 0`, `at least 0 and at most 1`.
    fn words(&self, dimension: Dimension) -> String {
        let end = |bound, with: &str, without: &str| {
            let (words, amount) = match bound {
                Bound::Unbounded => return None,
                Bound::Included(amount) => (with, amount),
                Bound::Excluded(amount) => (without, amount),
            };
            let shown = match amount {
                0.0 => "0".to_owned(),
                amount => format::quantity(Quantity { amount, dimension }),
            };
            Some(format!("{words} {shown}"))
        };
        let (low, high) = (
            end(self.low, "at least", "more than"),
            end(self.high, "at most", "less than"),
        );
        match (low, high) {
            (Some(low), Some(high)) => format!("{low} and {high}"),
            (low, high) => low.or(high).unwrap_or_else(|| "a finite number".to_owned()),
        }
    }
}

fn as_words(value: Value, literal: Option<&str>) -> Result<Value, Mismatch> {
    match (&value, value.expect(Dimension::LENGTH), literal) {
        (Value::Text(_), ..) => Ok(value),
        (_, Ok(_), Some(text)) => Ok(Value::text(text)),
        (_, Ok(mm), None) => Ok(Value::text(format!("{} mm", format::decimal(mm, 6)))),
        (_, Err(_), _) => value.expect_text().map(Value::text),
    }
}
