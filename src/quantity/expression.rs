//! Reading and evaluating expressions with units.

use std::ops::Range;

use super::{Function, Value};

/// What is wrong with an expression, where, and what to write instead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mistake {
    /// The stretch at fault, in bytes of the expression's text.
    pub span: Range<usize>,
    /// What is wrong.
    pub message: String,
    /// What to write instead, if known.
    pub remedy: Option<String>,
}

/// Where an expression finds the names and functions it uses.
pub trait Scope {
    /// The value of a name, if it has one. Names may have one dot (`boss.x`).
    fn value(&self, name: &str) -> Option<Value>;
    /// Every name there is, for suggestions.
    fn names(&self) -> Vec<String>;
    /// Functions beyond the built-in mathematics.
    fn functions(&self) -> &[Function];
}

/// An expression that was read, ready to be evaluated any number of times.
#[derive(Debug, Clone, PartialEq)]
pub struct Expression {
    text: String,
}

impl Expression {
    /// Reads an expression.
    pub fn parse(_text: &str) -> Result<Self, Mistake> {
        todo!("expressions")
    }

    /// Its value in a scope.
    pub fn evaluate(&self, _scope: &dyn Scope) -> Result<Value, Mistake> {
        todo!("expressions")
    }

    /// The names it uses, each once, in order of appearance.
    #[must_use]
    pub fn names(&self) -> Vec<&str> {
        todo!("expressions")
    }

    /// The text it was read from.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }
}
