//! Rows of named columns: those of a lookup table, and those of a dimension that is a list.

use super::{Function, Scope, Value};
use crate::fault::{self, Refusal};

/// Rows of values under named columns.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rows {
    /// The name of each column, with a value of its kind.
    columns: Vec<(String, Value)>,
    rows: Vec<(String, Vec<Value>)>,
}

impl Rows {
    /// No rows yet, under columns that each have a name and some value of their kind.
    #[must_use]
    pub const fn under(columns: Vec<(String, Value)>) -> Self {
        let rows = Vec::new();
        Self { columns, rows }
    }

    /// Adds a row with a value for each column.
    pub fn push(&mut self, name: impl Into<String>, values: Vec<Value>) {
        self.rows.push((name.into(), values));
    }

    /// How many rows there are.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.rows.len()
    }

    /// Whether there are none.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The names of its columns.
    pub fn columns(&self) -> impl Iterator<Item = &str> + Clone {
        self.columns.iter().map(|(name, _)| name.as_str())
    }

    /// The names of its rows.
    pub fn names(&self) -> impl Iterator<Item = &str> + Clone {
        self.rows.iter().map(|(name, _)| name.as_str())
    }

    /// The values of a row under the names of their columns, and its number, from 1, as `row`.
    pub fn row(&self, index: usize) -> Vec<(String, Value)> {
        let values = self.rows.get(index).map(|(_, values)| values.iter());
        let values = values.into_iter().flatten().cloned();
        let columns = self.columns.iter().map(|(name, _)| name.clone());
        let mut row: Vec<_> = columns.zip(values).collect();
        row.push((ROW.to_owned(), Value::number(index as f64 + 1.0)));
        row
    }

    /// A row that stands for those of an empty list: some value of each column's kind.
    pub(super) fn stand_in(&self) -> Vec<(String, Value)> {
        let mut row = self.columns.clone();
        row.push((ROW.to_owned(), Value::number(1.0)));
        row
    }

    /// The value in a row and a column, both by name.
    pub fn cell(&self, row: &str, column: &str) -> Result<Value, Refusal> {
        let at = self.columns().position(|it| it == column);
        let at = at.ok_or_else(|| missing("column", column, self.columns()))?;
        let found = self.rows.iter().find(|(name, _)| name == row);
        let (_, values) = found.ok_or_else(|| missing("row", row, self.names()))?;
        let value = values.get(at).cloned();
        value.ok_or_else(|| Refusal::new(format!("row \"{row}\" has no `{column}`")))
    }
}

/// What the number of a row is called inside it.
pub const ROW: &str = "row";

/// The refusal of a row, column or table that is not there, with what there is.
#[must_use]
pub fn missing<'a>(
    what: &str,
    name: &str,
    known: impl Iterator<Item = &'a str> + Clone,
) -> Refusal {
    const MOST: usize = 24;
    let refusal = Refusal::new(format!("there is no {what} \"{name}\""));
    let near = fault::nearest(name, known.clone());
    let all: Vec<&str> = known.clone().take(MOST).collect();
    let more = if known.count() > MOST { ", …" } else { "" };
    let all = format!("{}{more}", all.join(", "));
    refusal.remedy(match near {
        Some(near) => format!("did you mean \"{near}\"? There are {all}"),
        None if all.is_empty() => format!("write the values into a {what} of that name"),
        None => format!("write one of {all}"),
    })
}

/// The names of a row, before those around it.
pub(super) struct Within<'a> {
    pub(super) row: Vec<(String, Value)>,
    pub(super) outer: &'a dyn Scope,
}

impl Scope for Within<'_> {
    fn value(&self, name: &str) -> Option<Value> {
        let found = self.row.iter().find(|(known, _)| known == name);
        found
            .map(|(_, value)| value.clone())
            .or_else(|| self.outer.value(name))
    }

    fn names(&self) -> Vec<String> {
        let own = self.row.iter().map(|(name, _)| name.clone());
        own.chain(self.outer.names()).collect()
    }

    fn has_failed(&self, name: &str) -> bool {
        self.outer.has_failed(name)
    }

    fn functions(&self) -> &[Function] {
        self.outer.functions()
    }

    fn slack(&self, dimension: super::Dimension) -> f64 {
        self.outer.slack(dimension)
    }

    // A list inside a list would take as long as all its rows times all its rows.
    fn list(&self, _name: &str) -> Option<&Rows> {
        None
    }

    fn table(&self, name: &str) -> Option<&Rows> {
        self.outer.table(name)
    }

    fn is_thorough(&self) -> bool {
        self.outer.is_thorough()
    }

    fn is_row(&self) -> bool {
        true
    }
}
