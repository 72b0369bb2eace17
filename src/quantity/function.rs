//! What a function that recipes can call looks like.
//!
//! A parameter says what fits it, so the body of a function is only its formula: [`Given::take`] hands
//! it numbers and words that fit.

use super::parameter::{Parameter, Presence, Takes};
use super::{Dimension, Quantity, Value};
use crate::fault::Refusal;

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
