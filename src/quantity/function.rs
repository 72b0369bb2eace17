//! What a function that recipes can call looks like.

use super::{Dimension, Value};

/// What a parameter takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Parameter {
    /// A quantity of this dimension.
    Quantity(&'static str, Dimension),
    /// Any quantity: the function checks further (`min`, `max`, `hypot`, …).
    AnyQuantity(&'static str),
    /// Words in quotes. A length given here arrives as its text as typed, so that `clearance(1/2 in)`
    /// and `clearance("1/2 in")` mean the same.
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
/// `call` is given values that already fit `parameters`; it answers with a value or with one
/// sentence that says what is wrong and what is possible instead.
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
