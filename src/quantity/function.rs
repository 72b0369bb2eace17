//! What a function that recipes can call looks like.

use super::format;
use super::{Dimension, Value};

/// What a parameter takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Parameter {
    /// A quantity of this dimension.
    Quantity(&'static str, Dimension),
    /// Any quantity: the function checks further (`min`, `max`, `hypot`, …).
    AnyQuantity(&'static str),
    /// Words in quotes. A length given here arrives as its text as typed, so that `clearance(1/2 in)`
    /// and `clearance("1/2 in")` mean the same; a computed length arrives in mm, `12.7 mm`.
    Text(&'static str),
    /// Words in quotes that may be left out.
    OptionalText(&'static str),
    /// A quantity that may be left out.
    OptionalQuantity(&'static str, Dimension),
    /// Any further number of values like the parameter before it.
    More,
}

/// One function: its name, what it takes, what it means and where its numbers come from.
///
/// `call` is given values that already fit `parameters`, those left out at the end missing; it
/// answers with a value or with one sentence that says what is wrong and what is possible instead.
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
    /// The computation.
    pub call: fn(&[Value]) -> Result<Value, String>,
}

impl Function {
    /// How it is called: `clearance(thread, [fit])`, `max(value, …)`.
    #[must_use]
    pub fn signature(&self) -> String {
        let parameters: Vec<_> = self
            .parameters
            .iter()
            .map(|parameter| match parameter {
                Parameter::OptionalText(name) | Parameter::OptionalQuantity(name, _) => {
                    format!("[{name}]")
                }
                Parameter::More => "…".to_owned(),
                other => other.name().to_owned(),
            })
            .collect();
        format!("{}({})", self.name, parameters.join(", "))
    }

    /// The parameter that takes argument `index`, counted from 0.
    pub(super) fn parameter(&self, index: usize) -> Option<Parameter> {
        match self.parameters.get(index) {
            Some(Parameter::More) => self.before_more(),
            None if self.parameters.last() == Some(&Parameter::More) => self.before_more(),
            other => other.copied(),
        }
    }

    fn before_more(&self) -> Option<Parameter> {
        let before = self.parameters.len().checked_sub(2)?;
        self.parameters.get(before).copied()
    }

    /// What is wrong with so many arguments, if anything.
    pub(super) fn refuse_count(&self, given: usize) -> Result<(), String> {
        let needed = self.parameters.iter().filter(|p| p.is_needed()).count();
        if given < needed {
            let missing = self.parameter(given).map_or("", |p| p.name());
            return Err(format!("`{}` needs a {missing} here", self.name));
        }
        if given > 0 && self.parameter(given - 1).is_none() {
            let most = self.parameters.len();
            return Err(format!(
                "`{}` takes {}, not {given}",
                self.name,
                match most {
                    0 => "nothing".to_owned(),
                    1 => "one value".to_owned(),
                    most => format!("at most {most} values"),
                }
            ));
        }
        Ok(())
    }
}

impl Parameter {
    /// What it means, in one or two words.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Quantity(name, _)
            | Self::AnyQuantity(name)
            | Self::Text(name)
            | Self::OptionalText(name)
            | Self::OptionalQuantity(name, _) => name,
            Self::More => "…",
        }
    }

    const fn is_needed(&self) -> bool {
        matches!(
            self,
            Self::Quantity(..) | Self::AnyQuantity(_) | Self::Text(_)
        )
    }

    /// The value as the function takes it, or what is wrong with it. `literal` is the argument's
    /// text if it is a length written out.
    pub(super) fn fit(&self, value: Value, literal: Option<&str>) -> Result<Value, String> {
        match self {
            Self::Quantity(_, dimension) | Self::OptionalQuantity(_, dimension) => {
                value.expect(*dimension).map(|_| value)
            }
            Self::AnyQuantity(_) | Self::More => value.expect_quantity().map(|_| value),
            Self::Text(_) | Self::OptionalText(_) => as_words(value, literal),
        }
    }
}

fn as_words(value: Value, literal: Option<&str>) -> Result<Value, String> {
    match (&value, value.expect(Dimension::LENGTH), literal) {
        (Value::Text(_), ..) => Ok(value),
        (_, Ok(_), Some(text)) => Ok(Value::text(text)),
        (_, Ok(mm), None) => Ok(Value::text(format!("{} mm", format::decimal(mm, 6)))),
        (_, Err(_), _) => value.expect_text().map(Value::text),
    }
}
