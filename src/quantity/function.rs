//! What a function that recipes can call looks like.
//!
//! A parameter says what it takes: the kind, the range, and what holds where it is left out. So the
//! body of a function is only its formula: [`Given::take`] hands it numbers and words that fit.

use super::value::Mismatch;
use super::{Dimension, Quantity, Value, format};
use crate::fault::Refusal;

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
    low: End,
    high: End,
    /// What to know about the range, for who has left it.
    hint: &'static str,
}

/// An end of a range.
#[derive(Debug, Clone, Copy, PartialEq)]
enum End {
    Open,
    /// The amount itself fits.
    With(f64),
    /// The amount itself does not fit.
    Without(f64),
}

impl Parameter {
    /// A quantity of a dimension.
    #[must_use]
    pub const fn quantity(name: &'static str, dimension: Dimension) -> Self {
        let range = Range {
            low: End::Open,
            high: End::Open,
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
        self.within(Some(End::Without(0.0)), None)
    }

    /// The same, from 0 up only.
    #[must_use]
    pub const fn not_negative(self) -> Self {
        self.within(Some(End::With(0.0)), None)
    }

    /// The same, below an amount in base units only.
    #[must_use]
    pub const fn below(self, most: f64) -> Self {
        self.within(None, Some(End::Without(most)))
    }

    /// The same, up to an amount in base units only.
    #[must_use]
    pub const fn up_to(self, most: f64) -> Self {
        self.within(None, Some(End::With(most)))
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

    const fn within(mut self, low: Option<End>, high: Option<End>) -> Self {
        if let Takes::Quantity(_, range) = &mut self.takes {
            if let Some(low) = low {
                range.low = low;
            }
            if let Some(high) = high {
                range.high = high;
            }
        }
        self
    }

    const fn is_needed(&self) -> bool {
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
        let it = quantity.amount;
        let (low, high) = (
            match self.low {
                End::Open => true,
                End::With(least) => it >= least,
                End::Without(least) => it > least,
            },
            match self.high {
                End::Open => true,
                End::With(most) => it <= most,
                End::Without(most) => it < most,
            },
        );
        if low && high && it.is_finite() {
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
        let shown = |amount: f64| match amount {
            0.0 => "0".to_owned(),
            amount => format::quantity(Quantity { amount, dimension }),
        };
        let low = match self.low {
            End::Open => None,
            End::With(least) => Some(format!("at least {}", shown(least))),
            End::Without(least) => Some(format!("more than {}", shown(least))),
        };
        let high = match self.high {
            End::Open => None,
            End::With(most) => Some(format!("at most {}", shown(most))),
            End::Without(most) => Some(format!("less than {}", shown(most))),
        };
        match (low, high) {
            (Some(low), Some(high)) => format!("{low} and {high}"),
            (Some(one), None) | (None, Some(one)) => one,
            (None, None) => "a finite number".to_owned(),
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

/// One function: its name, what it takes, what it means and where its numbers come from.
#[derive(Debug, Clone, Copy)]
pub struct Function {
    /// The name recipes call it by.
    pub name: &'static str,
    /// What it takes, in order.
    pub parameters: &'static [Parameter],
    /// What it gives, one line.
    pub says: &'static str,
    /// The standard, handbook or rule its numbers come from; empty for plain mathematics.
    pub source: &'static str,
    /// The computation, on values that fit the parameters.
    pub call: fn(Given<'_>) -> Result<Value, Refusal>,
}

impl Function {
    /// How it is called: `clearance(thread, [fit])`, `max(value, …)`.
    #[must_use]
    pub fn signature(&self) -> String {
        let shown = |parameter: &Parameter| match parameter.presence {
            Presence::Needed => parameter.name.to_owned(),
            Presence::Optional | Presence::Otherwise(_) => format!("[{}]", parameter.name),
            Presence::Repeated => format!("{}, …", parameter.name),
        };
        let parameters: Vec<_> = self.parameters.iter().map(shown).collect();
        format!("{}({})", self.name, parameters.join(", "))
    }

    /// The parameter that takes argument `index`, counted from 0.
    pub(super) fn parameter(&self, index: usize) -> Option<&Parameter> {
        let last = self.parameters.last();
        let repeated = last.filter(|last| last.presence == Presence::Repeated);
        self.parameters.get(index).or(repeated)
    }

    /// What is wrong with so many arguments, if anything.
    pub(super) fn refuse_count(&self, given: usize) -> Result<(), Refusal> {
        let needed = self.parameters.iter().filter(|p| p.is_needed()).count();
        let wrong = if given < needed {
            let missing = self.parameters[given].name;
            format!("`{}` needs a {missing} here", self.name)
        } else if given > 0 && self.parameter(given - 1).is_none() {
            let most = match self.parameters.len() {
                0 => "nothing".to_owned(),
                1 => "one value".to_owned(),
                most => format!("at most {most} values"),
            };
            format!("`{}` takes {most}, not {given}", self.name)
        } else {
            return Ok(());
        };
        Err(Refusal::new(wrong).remedy(format!("write `{}`: {}", self.signature(), self.says)))
    }

    /// The answer to values that fit, those left out at the end missing.
    pub(super) fn answer(&self, mut values: Vec<Value>) -> Result<Value, Refusal> {
        for parameter in self.parameters.iter().skip(values.len()) {
            if let Presence::Otherwise(amount) = parameter.presence {
                let dimension = match parameter.takes {
                    Takes::Quantity(dimension, _) => dimension,
                    _ => Dimension::NONE,
                };
                values.push(Value::of(amount, dimension));
            }
        }
        (self.call)(Given(&values))
    }
}

/// The values of one call, each fitting its parameter.
#[derive(Debug, Clone, Copy)]
pub struct Given<'a>(pub(super) &'a [Value]);

impl<'a> Given<'a> {
    /// The values as the formula wants them: `let (thread, force) = given.take()?`.
    pub fn take<T: Arguments<'a>>(self) -> Result<T, Refusal> {
        T::take(self.0)
    }

    /// The first value as the formula wants it.
    pub fn one<T: Argument<'a>>(self) -> Result<T, Refusal> {
        T::take(self.0.first())
    }
}

/// What a value can be taken as.
pub trait Argument<'a>: Sized {
    /// The value, or `None` where it was left out, as this type.
    fn take(value: Option<&'a Value>) -> Result<Self, Refusal>;
}

/// What the values of a call can be taken as: a tuple of arguments.
pub trait Arguments<'a>: Sized {
    /// The values as this type.
    fn take(values: &'a [Value]) -> Result<Self, Refusal>;
}

macro_rules! tuples {
    ($($($index:tt $type:ident),+;)+) => {$(
        impl<'a, $($type: Argument<'a>),+> Arguments<'a> for ($($type,)+) {
            fn take(values: &'a [Value]) -> Result<Self, Refusal> {
                Ok(($($type::take(values.get($index))?,)+))
            }
        }
    )+};
}

tuples! {
    0 A, 1 B;
    0 A, 1 B, 2 C;
    0 A, 1 B, 2 C, 3 D;
    0 A, 1 B, 2 C, 3 D, 4 E;
}

fn present(value: Option<&Value>) -> Result<&Value, Refusal> {
    value.ok_or_else(|| Refusal::new("a value is missing"))
}

impl<'a> Argument<'a> for Quantity {
    fn take(value: Option<&'a Value>) -> Result<Self, Refusal> {
        Ok(present(value)?.expect_quantity()?)
    }
}

/// The amount in base units.
impl<'a> Argument<'a> for f64 {
    fn take(value: Option<&'a Value>) -> Result<Self, Refusal> {
        Quantity::take(value).map(|quantity| quantity.amount)
    }
}

impl<'a> Argument<'a> for u32 {
    fn take(value: Option<&'a Value>) -> Result<Self, Refusal> {
        Ok(present(value)?.expect_count()?)
    }
}

impl<'a> Argument<'a> for &'a str {
    fn take(value: Option<&'a Value>) -> Result<Self, Refusal> {
        Ok(present(value)?.expect_text()?)
    }
}

/// What may be left out.
impl<'a, T: Argument<'a>> Argument<'a> for Option<T> {
    fn take(value: Option<&'a Value>) -> Result<Self, Refusal> {
        value.map(|value| T::take(Some(value))).transpose()
    }
}
