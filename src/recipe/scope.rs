//! Where the expressions of recipes find their names.

use crate::quantity::{Function, Scope, Value};
use crate::trade;

/// Names in the order they were given, and the trade functions.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Names(Vec<(String, Value)>);

impl Names {
    /// No names, only the trade functions: for tables, stock and expressions typed by hand.
    #[must_use]
    pub const fn none() -> Self {
        Self(Vec::new())
    }

    /// Gives a name a value, in place of any it had.
    pub fn set(&mut self, name: impl Into<String>, value: Value) {
        let name = name.into();
        match self.0.iter_mut().find(|(known, _)| *known == name) {
            Some(entry) => entry.1 = value,
            None => self.0.push((name, value)),
        }
    }

    /// Every name and its value, in the order given.
    #[must_use]
    pub fn entries(&self) -> &[(String, Value)] {
        &self.0
    }
}

impl Scope for Names {
    fn value(&self, name: &str) -> Option<Value> {
        let found = self.0.iter().find(|(known, _)| known == name);
        found.map(|(_, value)| value.clone())
    }

    fn names(&self) -> Vec<String> {
        self.0.iter().map(|(name, _)| name.clone()).collect()
    }

    fn functions(&self) -> &[Function] {
        trade::functions()
    }
}
