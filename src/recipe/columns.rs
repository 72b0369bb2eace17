//! Columns of a lookup table or of a list, and the values under them.
//!
//! In: `columns = { size = "length", thread = "thread" }` and rows as lists or tables of values. Out:
//! [`Rows`], every value of its column's kind.

use std::sync::Arc;

use super::dimension_kind::{DimensionKind, Setting, choice_kind};
use super::{limits, name};
use crate::fault::Fault;
use crate::quantity::rows::{ROW, missing};
use crate::quantity::{Rows, Value, format};
use crate::toml_text::{Item, Names, Table, Text};

/// A column: its name, and what stands under it.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Its name in expressions.
    pub name: String,
    /// What it takes.
    pub kind: DimensionKind,
    /// What stands there in rows that do not say.
    pub default: Option<Setting>,
}

/// A row of a list as written: the cell of each column, if it says one.
#[derive(Debug, Clone, PartialEq)]
pub struct RowSetting {
    pub(super) cells: Vec<Option<Setting>>,
    /// How it is written.
    pub(super) text: Text,
}

/// Reads `columns`.
pub(crate) fn columns(item: Item, faults: &mut Vec<Fault>) -> Option<Vec<Column>> {
    let most = limits::COLUMNS;
    let few = item.fault("there are no columns");
    let many = item.fault(limits::beyond(most, "columns", "lists"));
    let table = item.table(faults)?;
    let source = Arc::clone(table.source());
    let mut columns = Vec::new();
    for (key, item) in table.rest() {
        let before = faults.len();
        faults.extend(name::check(&key, &source, name::Named::Column));
        if key.name == ROW {
            let fault = Fault::refused("`row` is the number of a row").at(&source, key.span);
            faults.push(fault.remedy("choose another name"));
        }
        let column = column(key.name, item, faults);
        columns.extend(column.filter(|_| faults.len() == before));
    }
    if columns.is_empty() {
        faults.push(few.remedy("write columns = { size = \"length\" }"));
        return None;
    }
    if columns.len() > most {
        faults.push(many);
        return None;
    }
    Some(columns)
}

/// A column: a word for its kind, its choices, or a table of both and of what it is unless a row says.
fn column(name: String, item: Item, faults: &mut Vec<Fault>) -> Option<Column> {
    if item.is_list() || item.as_words().is_some() {
        let kind = if item.is_list() {
            choice_kind(item, &[], faults)?
        } else {
            column_kind(&item.text(faults)?, faults)?
        };
        return Some(Column {
            name,
            kind,
            default: None,
        });
    }
    let mut table = item.table(faults)?;
    table.call(format!("column `{name}`"));
    let choices = table.take("choices");
    let kind = match choices {
        Some(item) => choice_kind(item, &[], faults),
        None => {
            let word = table.need("kind", "kind = \"length\"", faults);
            let word = word.and_then(|item| item.text(faults));
            word.and_then(|word| column_kind(&word, faults))
        }
    };
    let default = table.take("default");
    table.finish(faults);
    let kind = kind?;
    let default = match default {
        Some(item) => Some(kind.setting(item, faults)?),
        None => None,
    };
    Some(Column {
        name,
        kind,
        default,
    })
}

fn column_kind(word: &Text, faults: &mut Vec<Fault>) -> Option<DimensionKind> {
    let kind = DimensionKind::of_word(word.as_str());
    if kind.is_none() {
        faults.push(word.not_among(&DimensionKind::words_of_values().collect::<Vec<_>>()));
    }
    kind
}

/// Reads the rows of a list: each a table of its columns, or its values in their order.
pub(crate) fn row_settings(
    item: Item,
    columns: &[Column],
    faults: &mut Vec<Fault>,
) -> Option<Vec<RowSetting>> {
    let many = item.fault(limits::beyond(limits::ROWS, "rows", "parts"));
    let items = item.list(faults)?;
    if items.len() > limits::ROWS {
        faults.push(many);
        return None;
    }
    let rows: Vec<_> = items
        .into_iter()
        .map(|item| row(item, columns, faults))
        .collect();
    rows.into_iter().collect()
}

fn row(item: Item, columns: &[Column], faults: &mut Vec<Fault>) -> Option<RowSetting> {
    let text = item.literal();
    let wrong = |message: String| text.fault(message).remedy(example(columns));
    let before = faults.len();
    let cells = if item.is_list() {
        let items = item.list(faults)?;
        if items.len() != columns.len() {
            let s = if items.len() == 1 { "" } else { "s" };
            let message = format!(
                "this row has {} value{s}, not {}",
                items.len(),
                columns.len()
            );
            faults.push(wrong(message));
            return None;
        }
        let cells = items.into_iter().zip(columns);
        cells
            .map(|(item, column)| column.kind.setting(item, faults))
            .collect()
    } else {
        let mut table = item.table(faults)?;
        table.call("this row");
        let mut cells = Vec::with_capacity(columns.len());
        let mut missing = Vec::new();
        for column in columns {
            let item = table.take(&column.name);
            if item.is_none() && column.default.is_none() {
                missing.push(column.name.as_str());
            }
            cells.push(item.and_then(|item| column.kind.setting(item, faults)));
        }
        table.finish(faults);
        if let (false, true) = (missing.is_empty(), faults.len() == before) {
            faults.push(wrong(format!("this row lacks {}", missing.join(" and "))));
        }
        cells
    };
    (faults.len() == before).then_some(RowSetting { cells, text })
}

/// How a row is written.
fn example(columns: &[Column]) -> String {
    let cells = columns.iter().map(|it| format!("{} = …", it.name));
    format!("write {{ {} }}", cells.collect::<Vec<_>>().join(", "))
}

/// The rows of a list worked out.
pub(super) fn worked_out(
    rows: &[RowSetting],
    columns: &[Column],
    names: &Names,
) -> Result<Rows, Fault> {
    let mut made = under(columns);
    for (index, row) in rows.iter().enumerate() {
        let values = row.cells.iter().zip(columns).map(|(setting, column)| {
            let setting = setting.as_ref().or(column.default.as_ref());
            let lacks = || row.text.fault(format!("this row lacks {}", column.name));
            let title = format!("`{}` of row {}", column.name, index + 1);
            column.kind.value(setting.ok_or_else(lacks)?, names, &title)
        });
        made.push(
            (index + 1).to_string(),
            values.collect::<Result<_, Fault>>()?,
        );
    }
    Ok(made)
}

/// The rows of a list in words: `size 30 mm, x 10 mm; size …`.
pub(super) fn shown(rows: &Rows) -> String {
    if rows.is_empty() {
        return "none".to_owned();
    }
    let row = |index| {
        let row = rows.row(index).into_iter().filter(|(name, _)| name != ROW);
        let cells = row.map(|(name, value)| format!("{name} {}", format::value(&value)));
        cells.collect::<Vec<_>>().join(", ")
    };
    (0..rows.len()).map(row).collect::<Vec<_>>().join("; ")
}

/// The rows of a list as a part file writes them, in one line.
pub(super) fn written(rows: &[RowSetting], columns: &[Column]) -> String {
    let cell = |setting: &Setting, column: &Column| {
        let words = setting.text().as_str();
        match &column.kind {
            DimensionKind::YesNo => words.to_owned(),
            _ if words.contains('"') => format!("'{words}'"),
            _ => format!("\"{words}\""),
        }
    };
    let row = |row: &RowSetting| {
        let cells = row.cells.iter().zip(columns);
        let cells = cells.filter_map(|(setting, column)| {
            Some(format!(
                "{} = {}",
                column.name,
                cell(setting.as_ref()?, column)
            ))
        });
        format!("{{ {} }}", cells.collect::<Vec<_>>().join(", "))
    };
    format!("[{}]", rows.iter().map(row).collect::<Vec<_>>().join(", "))
}

/// Rows under columns, before any is there.
pub(crate) fn under(columns: &[Column]) -> Rows {
    let columns = columns.iter();
    Rows::under(
        columns
            .map(|it| (it.name.clone(), it.kind.stand_in()))
            .collect(),
    )
}

/// A `[table.NAME]` block.
fn table(mut block: Table, faults: &mut Vec<Fault>) -> Option<Rows> {
    let source = Arc::clone(block.source());
    let columns_item = block.need("columns", "columns = { pitch = \"length\" }", faults);
    let columns = columns_item.and_then(|item| columns(item, faults));
    // Figures of the trade say where they come from.
    let from = block.need("source", "source = \"where its figures come from\"", faults);
    from.and_then(|item| item.text(faults));
    let rows = block.need("rows", "[table.….rows] with a list of values a row", faults);
    let many = rows
        .as_ref()
        .map(|item| item.fault(limits::beyond(limits::ROWS, "rows", "tables")));
    let none = rows
        .as_ref()
        .map(|item| item.fault("this table has no rows"));
    let rows = rows.and_then(|item| item.table(faults));
    block.finish(faults);
    let (columns, entries) = (columns?, rows?.rest());
    if entries.len() > limits::ROWS {
        faults.extend(many);
        return None;
    }
    if entries.is_empty() {
        let row = columns.iter().map(|_| "\"…\"").collect::<Vec<_>>();
        let remedy = format!("write a row, such as `\"204\" = [{}]`", row.join(", "));
        faults.extend(none.map(|it| it.remedy(remedy)));
        return None;
    }
    let mut rows = under(&columns);
    for (key, item) in entries {
        let place = Fault::refused(format!(
            "row \"{}\" takes a value for each column",
            key.name
        ));
        let place = place.at(&source, item.span());
        let Some(cells) = item.list(faults) else {
            continue;
        };
        if cells.len() != columns.len() {
            let names: Vec<&str> = columns.iter().map(|it| it.name.as_str()).collect();
            faults.push(place.remedy(format!(
                "write {} values: {}",
                names.len(),
                names.join(", ")
            )));
            continue;
        }
        let cells = cells.into_iter().zip(&columns);
        let values: Vec<Option<Value>> = cells
            .map(|(item, column)| {
                let setting = column.kind.setting(item, faults)?;
                cell(column, &setting, &Names::none())
                    .map_err(|fault| faults.push(fault))
                    .ok()
            })
            .collect();
        if let Some(values) = values.into_iter().collect() {
            rows.push(key.name, values);
        }
    }
    Some(rows)
}

/// The value of a cell.
pub(crate) fn cell(column: &Column, setting: &Setting, names: &Names) -> Result<Value, Fault> {
    column
        .kind
        .value(setting, names, &format!("`{}`", column.name))
}

/// Reads every `[table.NAME]` of a recipe.
pub(crate) fn tables(recipe: &mut Table, faults: &mut Vec<Fault>) -> Arc<Vec<(String, Rows)>> {
    let Some(item) = recipe.take("table") else {
        return Arc::default();
    };
    let many = item.fault(limits::beyond(limits::TABLES, "tables", "recipes"));
    let Some(blocks) = item.table(faults) else {
        return Arc::default();
    };
    let entries = blocks.rest();
    if entries.len() > limits::TABLES {
        faults.push(many);
        return Arc::default();
    }
    let mut tables = Vec::new();
    for (key, item) in entries {
        let Some(mut block) = item.table(faults) else {
            continue;
        };
        block.call(format!("[table.{}]", key.name));
        tables.extend(table(block, faults).map(|rows| (key.name, rows)));
    }
    Arc::new(tables)
}

/// The names of a table's rows, as choices.
pub(crate) fn choices(
    name: &Text,
    tables: &[(String, Rows)],
    faults: &mut Vec<Fault>,
) -> Option<Vec<String>> {
    let found = tables.iter().find(|(known, _)| known == name.as_str());
    let Some((_, rows)) = found else {
        let known = tables.iter().map(|(known, _)| known.as_str());
        faults.push(name.fault(missing("table", name.as_str(), known)));
        return None;
    };
    Some(rows.names().map(ToOwned::to_owned).collect())
}
