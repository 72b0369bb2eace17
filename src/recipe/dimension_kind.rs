//! What a dimension takes, and what it is set to.
//!
//! In: the kind of a dimension and a value as a recipe or a part writes it. Out: a [`Setting`], and from it a
//! value of that kind, or a fault at the place.

use super::columns::{self, Column, RowSetting};
use super::template::Template;
use crate::fault::{Fault, Refusal};
use crate::quantity::{Dimension, Rows, Value};
use crate::toml_text::{Formula, Item, Names, Table, Text};
use crate::trade;

/// What a dimension takes.
#[derive(Debug, Clone, PartialEq)]
pub enum DimensionKind {
    /// A quantity with this dimension: a length, an angle, a plain number, a force.
    Quantity(Dimension),
    /// A whole number, 0 or more.
    Count,
    /// A thread or bolt size.
    Thread,
    /// One of these words.
    Choice(Vec<String>),
    /// Yes or no.
    YesNo,
    /// Any words.
    Text,
    /// Any number of rows with a value in each of these columns.
    List(Vec<Column>),
}

/// The words for kinds that are a quantity.
const QUANTITIES: [(&str, Dimension); 6] = [
    ("length", Dimension::LENGTH),
    ("angle", Dimension::ANGLE),
    ("number", Dimension::NONE),
    ("force", Dimension::FORCE),
    ("torque", Dimension::TORQUE),
    ("stress", Dimension::STRESS),
];

/// The words for the other kinds.
const OTHER_KINDS: [&str; 6] = ["count", "thread", "choice", "yes-no", "text", "list"];

/// What a dimension is set to, as written.
#[derive(Debug, Clone, PartialEq)]
pub enum Setting {
    /// An expression.
    Formula(Formula),
    /// Words as they stand.
    Words(Text),
    /// `true` or `false`.
    Truth(bool, Text),
    /// Words with values in braces: the default of a text.
    Filled(Template),
    /// The rows of a list, and how they are written.
    List(Vec<RowSetting>, Text),
}

impl DimensionKind {
    /// Its word in recipes.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Self::Quantity(dimension) => QUANTITIES
                .iter()
                .find(|(_, known)| known == dimension)
                .map_or("quantity", |(word, _)| word),
            Self::Count => "count",
            Self::Thread => "thread",
            Self::Choice(_) => "choice",
            Self::YesNo => "yes-no",
            Self::Text => "text",
            Self::List(_) => "list",
        }
    }

    /// The kind that a word alone names.
    pub(crate) fn of_word(word: &str) -> Option<Self> {
        let quantity = QUANTITIES.iter().find(|(known, _)| *known == word);
        Some(match (word, quantity) {
            (_, Some((_, dimension))) => Self::Quantity(*dimension),
            ("count", _) => Self::Count,
            ("thread", _) => Self::Thread,
            ("yes-no", _) => Self::YesNo,
            ("text", _) => Self::Text,
            _ => return None,
        })
    }

    /// The words of all kinds that a word alone names.
    pub(crate) fn words_of_values() -> impl Iterator<Item = &'static str> {
        let words = QUANTITIES.iter().map(|(word, _)| *word).chain(OTHER_KINDS);
        words.filter(|word| Self::of_word(word).is_some())
    }

    /// Some value of this kind.
    pub(crate) fn stand_in(&self) -> Value {
        match self {
            Self::Quantity(dimension) => Value::of(1.0, *dimension),
            Self::Count | Self::List(_) => Value::number(1.0),
            Self::Thread | Self::Choice(_) | Self::Text => Value::text(""),
            Self::YesNo => Value::Truth(true),
        }
    }

    /// A value as set, checked for kind; `title` names it in messages.
    pub(crate) fn value(
        &self,
        setting: &Setting,
        names: &Names,
        title: &str,
    ) -> Result<Value, Fault> {
        match (self, setting) {
            (Self::Quantity(dimension), Setting::Formula(formula)) => {
                let amount = formula.amount(names, *dimension, title)?;
                Ok(Value::of(amount, *dimension))
            }
            (Self::Count, Setting::Formula(formula)) => {
                let count = formula.count(names, u32::MAX, title)?;
                Ok(Value::number(f64::from(count)))
            }
            (Self::YesNo, Setting::Formula(formula)) => {
                formula.truth(names, title).map(Value::Truth)
            }
            (Self::Thread | Self::Choice(_), Setting::Words(text)) => {
                let Some(refused) = self.refusal(text, title) else {
                    return Ok(Value::text(text.as_str()));
                };
                // What is no such word may be an expression that comes to one.
                let is_call = text.as_str().contains('(');
                let found = Formula::parse(text.clone())
                    .and_then(|formula| formula.words(names, title))
                    .map_err(|fault| if is_call { fault } else { refused })?;
                let words = Text::new(text.source(), text.span(), found);
                self.refusal(&words, title)
                    .map_or_else(|| Ok(Value::text(words.as_str())), Err)
            }
            (_, Setting::Words(text)) => Ok(Value::text(text.as_str())),
            (_, Setting::Truth(truth, _)) => Ok(Value::Truth(*truth)),
            (_, Setting::Filled(template)) => template.filled(names).map(Value::text),
            (_, Setting::Formula(formula)) => formula.value(names),
            (_, Setting::List(rows, _)) => Ok(Value::number(rows.len() as f64)),
        }
    }

    /// Why words are no thread, or none of the choices.
    fn refusal(&self, text: &Text, title: &str) -> Option<Fault> {
        match self {
            Self::Thread => trade::thread::read(text.as_str())
                .err()
                .map(|refusal| text.fault(refusal.reworded(|it| format!("{title}: {it}")))),
            Self::Choice(words) => {
                let words: Vec<&str> = words.iter().map(String::as_str).collect();
                (!words.contains(&text.as_str())).then(|| text.not_among(&words))
            }
            _ => None,
        }
    }

    /// Reads a value of this kind, as a recipe or a part writes it.
    pub(crate) fn setting(&self, item: Item, faults: &mut Vec<Fault>) -> Option<Setting> {
        match self {
            Self::Quantity(_) | Self::Count => item.formula(faults).map(Setting::Formula),
            Self::Thread | Self::Choice(_) | Self::Text => item.text(faults).map(Setting::Words),
            Self::YesNo if item.as_words().is_some() => item.formula(faults).map(Setting::Formula),
            Self::YesNo => {
                let text = item.literal();
                let truth = item.truth(faults)?;
                Some(Setting::Truth(truth, text))
            }
            Self::List(columns) => {
                let text = item.literal();
                let rows = columns::row_settings(item, columns, faults)?;
                Some(Setting::List(rows, text))
            }
        }
    }

    /// Reads a value of this kind from words typed elsewhere than in a TOML file.
    pub(crate) fn typed(&self, text: Text) -> Result<Setting, Fault> {
        match self {
            Self::Quantity(_) | Self::Count => Formula::parse(text).map(Setting::Formula),
            Self::Thread | Self::Choice(_) | Self::Text => Ok(Setting::Words(text)),
            Self::YesNo => match text.as_str() {
                "true" | "yes" => Ok(Setting::Truth(true, text)),
                "false" | "no" => Ok(Setting::Truth(false, text)),
                _ => Err(text.not_among(&["true", "false"])),
            },
            // Only a TOML file, or what reads like one, has lists.
            Self::List(_) => Err(text
                .fault("a list is written in [ ]")
                .remedy("write it in the part file, a row in { } each")),
        }
    }
}

impl Setting {
    /// The words it was read from.
    #[must_use]
    pub const fn text(&self) -> &Text {
        match self {
            Self::Formula(formula) => formula.text(),
            Self::Words(text) | Self::Truth(_, text) | Self::List(_, text) => text,
            Self::Filled(template) => template.text(),
        }
    }

    /// The names that it uses as a value of a kind.
    pub(crate) fn needs(&self, kind: &DimensionKind) -> Vec<String> {
        let owned = |formula: &Formula| -> Vec<String> {
            formula.names().into_iter().map(ToOwned::to_owned).collect()
        };
        match (self, kind) {
            (Self::Formula(formula), _) => owned(formula),
            (Self::Filled(template), _) => template.formulas().flat_map(owned).collect(),
            (Self::Words(text), DimensionKind::Thread | DimensionKind::Choice(_))
                if kind.refusal(text, "").is_some() =>
            {
                Formula::parse(text.clone()).map_or_else(|_| Vec::new(), |it| owned(&it))
            }
            (Self::List(rows, _), DimensionKind::List(columns)) => {
                let cells = rows.iter().flat_map(|row| row.cells.iter().zip(columns));
                let cells = cells.filter_map(|(cell, column)| Some((cell.as_ref()?, column)));
                cells
                    .flat_map(|(cell, column)| cell.needs(&column.kind))
                    .collect()
            }
            _ => Vec::new(),
        }
    }

    /// Whether it stands by itself, without other dimensions.
    pub(crate) fn needs_no_names(&self, kind: &DimensionKind) -> bool {
        self.needs(kind).is_empty()
    }

    /// How a row of a list is written.
    pub(crate) fn row(&self, index: usize) -> Option<&Text> {
        match self {
            Self::List(rows, _) => rows.get(index).map(|row| &row.text),
            _ => None,
        }
    }

    /// The expressions in it.
    pub(crate) fn formulas(&self) -> Vec<&Formula> {
        match self {
            Self::Formula(formula) => vec![formula],
            Self::Filled(template) => template.formulas().collect(),
            Self::List(rows, _) => {
                let cells = rows.iter().flat_map(|row| row.cells.iter().flatten());
                cells.flat_map(Self::formulas).collect()
            }
            Self::Words(_) | Self::Truth(..) => Vec::new(),
        }
    }

    /// The rows of a list worked out.
    pub(crate) fn rows(&self, columns: &[Column], names: &Names) -> Result<Rows, Fault> {
        match self {
            Self::List(rows, _) => columns::worked_out(rows, columns, names),
            _ => Err(self
                .fault("this is no list")
                .remedy("write rows in [ ], each in { }")),
        }
    }

    pub(crate) fn fault(&self, cause: impl Into<Refusal>) -> Fault {
        self.text().fault(cause)
    }
}

/// The kind that is written out; the inner `None` if it is not.
#[expect(
    clippy::option_option,
    reason = "left out, wrong and given are three things"
)]
pub(super) fn declared_kind(
    table: &mut Table,
    tables: &[(String, Rows)],
    faults: &mut Vec<Fault>,
) -> Option<Option<DimensionKind>> {
    let choices = table.take("choices");
    let listed = table.take("columns");
    let Some(item) = table.take("kind") else {
        return match (choices, listed) {
            (Some(choices), _) => choice_kind(choices, tables, faults).map(Some),
            (None, Some(listed)) => {
                columns::columns(listed, faults).map(|it| Some(DimensionKind::List(it)))
            }
            (None, None) => Some(None),
        };
    };
    let word = item.text(faults)?;
    if let Some(choices) = &choices
        && word.as_str() != "choice"
    {
        let fault = choices.fault(format!("a {} has no `choices`", word.as_str()));
        faults.push(fault.remedy("write kind = \"choice\""));
    }
    if let Some(columns) = &listed
        && word.as_str() != "list"
    {
        let fault = columns.fault(format!("a {} has no `columns`", word.as_str()));
        faults.push(fault.remedy("write kind = \"list\""));
    }
    match word.as_str() {
        "list" => {
            let Some(listed) = listed else {
                let fault = word.fault("a list needs its `columns`");
                let remedy = "add columns = { size = \"length\", x = \"length\" }";
                faults.push(fault.remedy(remedy));
                return None;
            };
            columns::columns(listed, faults).map(|it| Some(DimensionKind::List(it)))
        }
        "choice" => {
            let Some(choices) = choices else {
                let fault = word.fault("a choice needs its `choices`");
                faults.push(fault.remedy("add choices = [\"round\", \"square\"]"));
                return None;
            };
            choice_kind(choices, tables, faults).map(Some)
        }
        other => {
            let known = DimensionKind::of_word(other);
            if known.is_some() {
                return Some(known);
            }
            let words = QUANTITIES.iter().map(|(word, _)| *word).chain(OTHER_KINDS);
            faults.push(word.not_among(&words.collect::<Vec<_>>()));
            None
        }
    }
}

pub(super) fn choice_kind(
    item: Item,
    tables: &[(String, Rows)],
    faults: &mut Vec<Fault>,
) -> Option<DimensionKind> {
    if item.as_words().is_some() {
        let name = item.text(faults)?;
        return columns::choices(&name, tables, faults).map(DimensionKind::Choice);
    }
    let empty = item.fault("there is nothing to choose from");
    let words = item.texts(faults);
    if words.is_empty() {
        faults.push(empty.remedy("write choices = [\"round\", \"square\"]"));
        return None;
    }
    let words = words.iter().map(|text| text.as_str().to_owned());
    Some(DimensionKind::Choice(words.collect()))
}

/// The kind that the default shows, and the default.
pub(super) fn inferred_kind(
    item: Item,
    names: &Names,
    faults: &mut Vec<Fault>,
) -> Option<(DimensionKind, Setting)> {
    if item.is_truth() {
        let setting = DimensionKind::YesNo.setting(item, faults)?;
        return Some((DimensionKind::YesNo, setting));
    }
    if item.is_whole() {
        let setting = DimensionKind::Count.setting(item, faults)?;
        return Some((DimensionKind::Count, setting));
    }
    let words = item.fault("this default is not a quantity");
    let written = item.clone();
    let is_thread = item
        .as_words()
        .is_some_and(|text| trade::thread::read(text).is_ok());
    let mut mistakes = Vec::new();
    let read = item.formula(&mut mistakes).and_then(|formula| {
        let value = formula.value(names);
        let value = value.map_err(|fault| mistakes.push(fault)).ok()?;
        Some((formula, value))
    });
    match read {
        Some((formula, Value::Quantity(quantity))) => Some((
            DimensionKind::Quantity(quantity.dimension),
            Setting::Formula(formula),
        )),
        Some((formula, Value::Truth(_))) => Some((DimensionKind::YesNo, Setting::Formula(formula))),
        None if is_thread => {
            let setting = DimensionKind::Thread.setting(written, faults)?;
            Some((DimensionKind::Thread, setting))
        }
        None => {
            faults.append(&mut mistakes);
            None
        }
        _ => {
            faults.push(words.remedy("add kind = \"text\""));
            None
        }
    }
}
