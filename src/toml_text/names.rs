//! Where the expressions of recipes find their names.

use std::sync::Arc;

use super::text::Text;
use crate::fault::Fault;
use crate::quantity::format::printed_slack;
use crate::quantity::{Dimension, Function, Rows, Scope, Value};
use crate::trade;

/// Something with its name.
pub(crate) type Named<T> = (String, T);

/// Names with their values in the order they were given, and the trade functions.
///
/// A name may also be known to have failed: that matters only to expressions that need it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Names {
    values: Vec<(Arc<str>, Value)>,
    failures: Vec<Arc<(String, Fault)>>,
    lists: Vec<(String, Arc<Rows>)>,
    tables: Arc<Vec<(String, Rows)>>,
    /// Whether limits are compared with the precision they print.
    is_as_printed: bool,
    /// Whether branches that are not taken are worked out too.
    is_thorough: bool,
}

impl Names {
    /// No names, only the trade functions: for tables, stock and expressions typed by hand.
    #[must_use]
    pub fn none() -> Self {
        Self::default()
    }

    /// No names, but lookup tables.
    pub(crate) fn with_tables(tables: &Arc<Vec<(String, Rows)>>) -> Self {
        Self {
            tables: Arc::clone(tables),
            ..Self::default()
        }
    }

    /// The same names for a rule: `<=` and `>=` are kept by what misses them by less than is printed.
    pub(crate) fn as_printed(&self) -> Self {
        Self {
            is_as_printed: true,
            ..self.clone()
        }
    }

    /// The same names, for which branches that are not taken are worked out too.
    pub(crate) fn thorough(mut self) -> Self {
        self.is_thorough = true;
        self
    }

    /// Whether it is the name of a value or of a list.
    pub(crate) fn knows(&self, name: &str) -> bool {
        self.values.iter().any(|(known, _)| **known == *name)
    }

    /// Gives a name a value, in place of any it had.
    pub fn set(&mut self, name: impl AsRef<str>, value: Value) {
        let name = name.as_ref();
        match self.values.iter_mut().find(|(known, _)| **known == *name) {
            Some(entry) => entry.1 = value,
            None => self.values.push((name.into(), value)),
        }
    }

    /// Gives a list its rows.
    pub(crate) fn set_list(&mut self, name: impl Into<String>, rows: Arc<Rows>) {
        let name = name.into();
        self.lists.retain(|(known, _)| *known != name);
        self.lists.push((name, rows));
    }

    /// The rows of a list.
    pub(crate) fn rows(&self, name: &str) -> Option<Arc<Rows>> {
        let found = self.lists.iter().find(|(known, _)| known == name);
        found.map(|(_, rows)| Arc::clone(rows))
    }

    /// Sets the names of a row of a list: its columns, and its number.
    pub(crate) fn enter(&mut self, rows: &Rows, index: usize) {
        for (name, value) in rows.row(index) {
            self.set(name, value);
        }
    }

    /// Does something with the names of each row of a list, or once with these where there is none.
    pub(crate) fn for_each(
        &self,
        each: Option<&Text>,
        mut work: impl FnMut(&Self, Option<usize>) -> Result<(), Fault>,
    ) -> Result<(), Fault> {
        let Some(list) = each else {
            return work(self, None);
        };
        let Some(rows) = self.rows(list.as_str()) else {
            return self.failure(list.as_str()).cloned().map_or(Ok(()), Err);
        };
        let mut inner = self.clone();
        for index in 0..rows.len() {
            inner.enter(&rows, index);
            work(&inner, Some(index))?;
        }
        Ok(())
    }

    /// Records why a name has no value.
    pub(crate) fn fail(&mut self, name: impl Into<String>, fault: Fault) {
        self.failures.push(Arc::new((name.into(), fault)));
    }

    /// Records that a name has no value because of a fault, if there is one.
    pub(crate) fn fail_because(&mut self, name: String, fault: Option<&Fault>) {
        self.failures
            .extend(fault.map(|fault| Arc::new((name, fault.clone()))));
    }

    /// Why a name has no value, if it was tried.
    pub(crate) fn failure(&self, name: &str) -> Option<&Fault> {
        let found = self.failures.iter().find(|it| it.0 == name);
        found.map(|it| &it.1)
    }
}

impl Scope for Names {
    fn value(&self, name: &str) -> Option<Value> {
        let found = self.values.iter().find(|(known, _)| **known == *name);
        found.map(|(_, value)| value.clone())
    }

    fn names(&self) -> Vec<String> {
        self.values.iter().map(|it| it.0.to_string()).collect()
    }

    fn has_failed(&self, name: &str) -> bool {
        self.failure(name).is_some()
    }

    fn functions(&self) -> &[Function] {
        trade::functions()
    }

    fn list(&self, name: &str) -> Option<&Rows> {
        let found = self.lists.iter().find(|(known, _)| known == name);
        found.map(|(_, rows)| rows.as_ref())
    }

    fn table(&self, name: &str) -> Option<&Rows> {
        let found = self.tables.iter().find(|(known, _)| known == name);
        found.map(|(_, rows)| rows)
    }

    fn is_thorough(&self) -> bool {
        self.is_thorough
    }

    fn tables(&self) -> Vec<&str> {
        self.tables.iter().map(|(name, _)| name.as_str()).collect()
    }

    fn slack(&self, dimension: Dimension) -> f64 {
        if self.is_as_printed {
            printed_slack(dimension)
        } else {
            0.0
        }
    }
}
