//! Reading and evaluating expressions with units.

use std::fmt;
use std::ops::Range;

use super::tree::Node;
use super::{Dimension, Function, Rows, Value, evaluate, parser};
use crate::fault::Refusal;

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

impl Mistake {
    /// Something wrong at a place.
    pub fn new(span: Range<usize>, cause: impl Into<Refusal>) -> Self {
        let Refusal {
            message, remedy, ..
        } = cause.into();
        Self {
            span,
            message,
            remedy,
        }
    }

    /// Adds what to write instead.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = Some(remedy.into());
        self
    }
}

impl From<Mistake> for Refusal {
    fn from(mistake: Mistake) -> Self {
        Self {
            remedy: mistake.remedy,
            ..Self::new(mistake.message)
        }
    }
}

impl fmt::Display for Mistake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        Refusal::from(self.clone()).fmt(f)
    }
}

impl std::error::Error for Mistake {}

/// Where an expression finds the names and functions it uses.
pub trait Scope {
    /// The value of a name, if it has one. Names may have one dot (`boss.x`).
    fn value(&self, name: &str) -> Option<Value>;
    /// Every name there is, for suggestions.
    fn names(&self) -> Vec<String>;
    /// Whether a name has no value for a reason that is told elsewhere: none is suggested in its place.
    fn has_failed(&self, _name: &str) -> bool {
        false
    }
    /// Functions beyond the built-in mathematics.
    fn functions(&self) -> &[Function];
    /// How far a quantity of this dimension may miss what `<=` or `>=` asks and still keep it, base
    /// units.
    fn slack(&self, _dimension: Dimension) -> f64 {
        0.0
    }
    /// The rows of the list that has a name.
    fn list(&self, _name: &str) -> Option<&Rows> {
        None
    }
    /// The rows of the lookup table that has a name.
    fn table(&self, _name: &str) -> Option<&Rows> {
        None
    }
    /// The names of all lookup tables.
    fn tables(&self) -> Vec<&str> {
        Vec::new()
    }
    /// Whether branches that are not taken are worked out too, to see whether they can be.
    fn is_thorough(&self) -> bool {
        false
    }
    /// Whether these are the names within a row of a list.
    fn is_row(&self) -> bool {
        false
    }
}

/// What an expression uses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Use<'a> {
    /// A name; inside the list whose rows it is worked out for, if it stands there.
    Name(&'a str, Option<&'a str>),
    /// The rows of a list.
    List(&'a str),
    /// A lookup table, its row and its column, as far as they are written out.
    Look([Option<&'a str>; 3]),
}

/// A scope with functions and no names of its own.
#[derive(Debug, Clone, Copy, Default)]
pub struct Nameless<'a>(pub &'a [Function]);

impl Scope for Nameless<'_> {
    fn value(&self, _name: &str) -> Option<Value> {
        None
    }

    fn names(&self) -> Vec<String> {
        Vec::new()
    }

    fn functions(&self) -> &[Function] {
        self.0
    }
}

/// Words that cannot be names, because expressions give them a meaning.
pub const RESERVED: [&str; 7] = ["and", "or", "not", "true", "false", "pi", "if"];

/// An expression that was read, ready to be evaluated any number of times.
///
/// Two expressions are equal if they read the same, however they are spaced; `Display` prints one
/// in the usual spacing, and reading that gives an equal one.
#[derive(Debug, Clone)]
pub struct Expression {
    text: String,
    tree: Node,
}

impl PartialEq for Expression {
    fn eq(&self, other: &Self) -> bool {
        self.tree == other.tree
    }
}

impl fmt::Display for Expression {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.tree.fmt(f)
    }
}

impl Expression {
    /// Reads an expression.
    pub fn parse(text: &str) -> Result<Self, Mistake> {
        Ok(Self {
            text: text.to_owned(),
            tree: parser::parse(text)?,
        })
    }

    /// Its value in a scope.
    pub fn evaluate(&self, scope: &dyn Scope) -> Result<Value, Mistake> {
        evaluate::evaluate(&self.text, &self.tree, scope)
    }

    /// The names it uses, those of lists and their columns as well, each once, in order of appearance.
    #[must_use]
    pub fn names(&self) -> Vec<&str> {
        let mut names = Vec::new();
        for used in self.uses() {
            let (Use::Name(name, _) | Use::List(name)) = used else {
                continue;
            };
            if !names.contains(&name) {
                names.push(name);
            }
        }
        names
    }

    /// The functions it calls, in order of appearance.
    #[must_use]
    pub fn calls(&self) -> Vec<&str> {
        let mut calls = Vec::new();
        self.tree.each_call(&mut |name| calls.push(name));
        calls
    }

    /// All that it uses, in order of appearance.
    #[must_use]
    pub fn uses(&self) -> Vec<Use<'_>> {
        let mut uses = Vec::new();
        self.tree.each_use(None, &mut |used| {
            let is_word = matches!(used, Use::Name(name, _) if RESERVED.contains(&name));
            if !is_word {
                uses.push(used);
            }
        });
        uses
    }
}
