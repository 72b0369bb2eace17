//! Where the expressions of recipes find their names.

use crate::fault::Fault;
use crate::quantity::format::printed_slack;
use crate::quantity::{Dimension, Function, Scope, Value};
use crate::trade;

/// Names with their values in the order they were given, and the trade functions.
///
/// A name may also be known to have failed: that matters only to expressions that need it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Names {
    values: Vec<(String, Value)>,
    failures: Vec<(String, Fault)>,
    /// Whether limits are compared with the precision they print.
    is_as_printed: bool,
}

impl Names {
    /// No names, only the trade functions: for tables, stock and expressions typed by hand.
    #[must_use]
    pub const fn none() -> Self {
        Self {
            values: Vec::new(),
            failures: Vec::new(),
            is_as_printed: false,
        }
    }

    /// The same names for a rule: `<=` and `>=` are kept by what misses them by less than is printed.
    pub(crate) fn as_printed(&self) -> Self {
        Self {
            is_as_printed: true,
            ..self.clone()
        }
    }

    /// Gives a name a value, in place of any it had.
    pub fn set(&mut self, name: impl Into<String>, value: Value) {
        let name = name.into();
        match self.values.iter_mut().find(|(known, _)| *known == name) {
            Some(entry) => entry.1 = value,
            None => self.values.push((name, value)),
        }
    }

    /// Records why a name has no value.
    pub(crate) fn fail(&mut self, name: impl Into<String>, fault: Fault) {
        self.failures.push((name.into(), fault));
    }

    /// Records that a name has no value because of a fault, if there is one.
    pub(crate) fn fail_because(&mut self, name: String, fault: Option<&Fault>) {
        self.failures
            .extend(fault.map(|fault| (name, fault.clone())));
    }

    /// Why a name has no value, if it was tried.
    pub(crate) fn failure(&self, name: &str) -> Option<&Fault> {
        let found = self.failures.iter().find(|(failed, _)| failed == name);
        found.map(|(_, fault)| fault)
    }
}

impl Scope for Names {
    fn value(&self, name: &str) -> Option<Value> {
        let found = self.values.iter().find(|(known, _)| known == name);
        found.map(|(_, value)| value.clone())
    }

    fn names(&self) -> Vec<String> {
        self.values.iter().map(|(name, _)| name.clone()).collect()
    }

    fn functions(&self) -> &[Function] {
        trade::functions()
    }

    fn slack(&self, dimension: Dimension) -> f64 {
        if self.is_as_printed {
            printed_slack(dimension)
        } else {
            0.0
        }
    }
}
