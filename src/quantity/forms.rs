//! What expressions ask of lists and lookup tables: `sum(opening, size)`, `look("tube", size, "wall")`.

use super::evaluate::Evaluation;
use super::rows::{Within, missing};
use super::tree::{Node, NodeKind};
use super::{Dimension, Mistake, Quantity, Rows, Value, format};
use crate::fault::Refusal;

/// What is asked of the rows of a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum OfRows {
    /// How many there are.
    Count,
    /// All added.
    Sum,
    /// The smallest.
    Least,
    /// The largest.
    Most,
}

/// The words that ask something of the rows of a list, and how they are written.
const OF_ROWS: [(&str, OfRows, &str); 4] = [
    ("count", OfRows::Count, "count(list)"),
    ("sum", OfRows::Sum, "sum(list, column)"),
    ("least", OfRows::Least, "least(list, column)"),
    ("most", OfRows::Most, "most(list, column)"),
];

/// The word that takes a value from a lookup table.
const LOOK: &str = "look";

/// The words that are called like functions and are none.
pub(super) fn words() -> impl Iterator<Item = &'static str> {
    let of_rows = OF_ROWS.iter().map(|(word, ..)| *word);
    of_rows.chain([LOOK, "if", "distance"])
}

/// What is asked of rows by a word.
pub(super) fn of_rows(word: &str) -> Option<OfRows> {
    let found = OF_ROWS.iter().find(|(known, ..)| *known == word);
    found.map(|(_, asked, _)| *asked)
}

/// Whether a word takes a value from a lookup table.
pub(super) fn is_look(word: &str) -> bool {
    word == LOOK
}

impl Evaluation<'_> {
    /// `sum(list, value)` and its like: the value is worked out for each row.
    pub(super) fn of_rows(
        &self,
        node: &Node,
        asked: OfRows,
        arguments: &[Node],
    ) -> Result<Value, Mistake> {
        let wrong = |cause: Refusal| Mistake::new(node.span.clone(), cause);
        let (word, _, signature) = OF_ROWS[asked as usize];
        let given = match (asked, arguments) {
            (OfRows::Count, [list]) => Some((list, None)),
            (OfRows::Count, _) => None,
            (_, [list, each]) => Some((list, Some(each))),
            _ => None,
        };
        let named = given.and_then(|(list, each)| match &list.kind {
            NodeKind::Name(name) => Some((list, name, each)),
            _ => None,
        });
        let Some((list, name, each)) = named else {
            let cause = Refusal::new(format!("`{word}` goes over the rows of a list"));
            return Err(wrong(cause.remedy(format!("write `{signature}`"))));
        };
        let Some(rows) = self.scope.list(name) else {
            let mistake = if self.scope.is_row() {
                Mistake::new(node.span.clone(), format!("`{word}` stands inside another"))
                    .remedy("give the inner one a name in [let]")
            } else {
                Mistake::new(list.span.clone(), format!("`{name}` is no list"))
                    .remedy("name a dimension with kind = \"list\"")
            };
            return Err(mistake);
        };
        let Some(each) = each else {
            return Ok(Value::number(rows.len() as f64));
        };
        if rows.is_empty() {
            let dimension = self.in_row(rows.stand_in(), each)?.dimension;
            return match asked {
                OfRows::Sum => Ok(Value::of(0.0, dimension)),
                _ => {
                    let cause = Refusal::new(format!("`{name}` is empty and has no {word}"));
                    let remedy = format!("write `if(count({name}) > 0, …, …)` around it");
                    Err(wrong(cause.remedy(remedy)))
                }
            };
        }
        let values = (0..rows.len()).map(|index| self.in_row(rows.row(index), each));
        let values = values.collect::<Result<Vec<_>, _>>()?;
        Self::together(each, asked, &values)
    }

    fn in_row(&self, row: Vec<(String, Value)>, each: &Node) -> Result<Quantity, Mistake> {
        let outer = self.scope;
        let scope = &Within { row, outer };
        let text = self.text;
        Evaluation { text, scope }.quantity(each)
    }

    fn together(node: &Node, asked: OfRows, values: &[Quantity]) -> Result<Value, Mistake> {
        let dimension = values.first().map_or(Dimension::NONE, |it| it.dimension);
        if values.iter().any(|it| it.dimension != dimension) {
            let message = "this is not of one kind in all rows";
            return Err(Mistake::new(node.span.clone(), message));
        }
        let amounts = values.iter().map(|it| it.amount);
        let amount = match asked {
            OfRows::Count | OfRows::Sum => amounts.sum(),
            OfRows::Least => amounts.fold(f64::INFINITY, f64::min),
            OfRows::Most => amounts.fold(f64::NEG_INFINITY, f64::max),
        };
        super::evaluate::finite(node, amount, dimension)
    }

    /// `look("table", row, "column")`.
    pub(super) fn look(&self, node: &Node, arguments: &[Node]) -> Result<Value, Mistake> {
        let [table, row, column] = arguments else {
            let cause = Refusal::new("`look` takes a table, a row and a column");
            let remedy = "write `look(\"table\", row, \"column\")`";
            return Err(Mistake::new(node.span.clone(), cause.remedy(remedy)));
        };
        let name = self.words(table)?;
        let rows = self.scope.table(&name);
        let rows: &Rows = rows.ok_or_else(|| {
            let known = self.scope.tables().into_iter();
            Mistake::new(table.span.clone(), missing("table", &name, known))
        })?;
        let (row, column) = (self.words(row)?, self.words(column)?);
        let found = rows.cell(&row, &column);
        found.map_err(|why| {
            let why = why.reworded(|why| format!("table \"{name}\": {why}"));
            Mistake::new(node.span.clone(), why)
        })
    }

    /// Words, or a whole number as its digits: rows are often called by one.
    fn words(&self, node: &Node) -> Result<String, Mistake> {
        let value = self.value(node)?;
        if let Value::Quantity(it) = &value
            && it.dimension == Dimension::NONE
        {
            return Ok(format::decimal(it.amount, 6));
        }
        value
            .expect_text()
            .map(ToOwned::to_owned)
            .map_err(|mismatch| self.mismatch(node, mismatch, "this"))
    }
}
