//! One dimension of a family: what the builder measures and sets.
//!
//! In: a `[dimension.NAME]` block and what a part says. Out: a value that is of the right kind and
//! within the range, or a fault that quotes what the dimension is, its range and the remedy.

use std::ops::Range;

use crate::fault::{Fault, Refusal};
use crate::quantity::{Dimension, Value, format};
use crate::trade;

use super::drawn_at::DrawnAt;
use crate::toml_text::Formula;
use crate::toml_text::Names;
use crate::toml_text::Text;
use crate::toml_text::{Item, Key, Table};

/// A dimension of a family, as the recipe describes it.
#[derive(Debug, Clone, PartialEq)]
pub struct DimensionSpec {
    /// Its name in expressions and part files.
    pub name: String,
    /// What it is, in plain words.
    pub says: String,
    /// What it takes.
    pub kind: DimensionKind,
    /// Its value unless a part says otherwise.
    pub default: Setting,
    /// The least it may be.
    pub min: Option<Formula>,
    /// The most it may be.
    pub max: Option<Formula>,
    /// Where it is drawn, if the edges do not show it.
    pub(crate) drawn: Option<DrawnAt>,
    /// Where its name stands in the recipe.
    pub span: Range<usize>,
}

/// What a dimension takes.
#[derive(Debug, Clone, PartialEq, Eq)]
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
const OTHER_KINDS: [&str; 5] = ["count", "thread", "choice", "yes-no", "text"];

/// What a dimension is set to, as written.
#[derive(Debug, Clone, PartialEq)]
pub enum Setting {
    /// An expression.
    Formula(Formula),
    /// Words as they stand.
    Words(Text),
    /// `true` or `false`.
    Truth(bool, Text),
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
        }
    }

    /// Reads a value of this kind, as a recipe or a part writes it.
    pub(crate) fn setting(&self, item: Item, faults: &mut Vec<Fault>) -> Option<Setting> {
        match self {
            Self::Quantity(_) | Self::Count => item.formula(faults).map(Setting::Formula),
            Self::Thread | Self::Choice(_) | Self::Text => item.text(faults).map(Setting::Words),
            Self::YesNo => {
                let text = item.literal();
                let truth = item.truth(faults)?;
                Some(Setting::Truth(truth, text))
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
        }
    }
}

impl Setting {
    /// The words it was read from.
    #[must_use]
    pub const fn text(&self) -> &Text {
        match self {
            Self::Formula(formula) => formula.text(),
            Self::Words(text) | Self::Truth(_, text) => text,
        }
    }

    /// Whether it stands by itself, without other dimensions.
    pub(crate) fn needs_no_names(&self) -> bool {
        match self {
            Self::Formula(formula) => formula.names().is_empty(),
            Self::Words(_) | Self::Truth(..) => true,
        }
    }

    fn fault(&self, cause: impl Into<Refusal>) -> Fault {
        self.text().fault(cause)
    }
}

impl DimensionSpec {
    /// Reads a `[dimension.NAME]` block, and its default; `names` has the defaults of the dimensions
    /// above it.
    pub(crate) fn read(
        key: &Key,
        mut table: Table,
        names: &Names,
        faults: &mut Vec<Fault>,
    ) -> Option<(Self, Value)> {
        let says = table.need("says", "says = \"what is measured\"", faults);
        let says = says.and_then(|item| item.text(faults));
        let default = table.need("default", "default = \"12 mm\"", faults);
        let declared = declared_kind(&mut table, faults);
        let mut limit = |key: &str| table.take(key).and_then(|item| item.formula(faults));
        let (min, max) = (limit("min"), limit("max"));
        let drawn = table.take("drawn");
        let drawn = drawn.and_then(|item| DrawnAt::read(item, faults));
        table.finish(faults);
        let (says, default) = (says?, default?);
        let (kind, default) = match declared? {
            Some(kind) => {
                let default = kind.setting(default, faults)?;
                (kind, default)
            }
            None => inferred_kind(default, names, faults)?,
        };
        let measure = Self {
            name: key.name.clone(),
            says: says.as_str().to_owned(),
            kind,
            default,
            min,
            max,
            drawn,
            span: key.span.clone(),
        };
        match measure.value(&measure.default, names) {
            Ok(value) => Some((measure, value)),
            Err(fault) => {
                faults.push(fault);
                None
            }
        }
    }

    /// How it is called in messages: `` `outside` (outside diameter) ``.
    #[must_use]
    pub fn title(&self) -> String {
        format!("`{}` ({})", self.name, self.says)
    }

    /// Its value as set, checked for kind and range; `names` has the dimensions above it.
    pub fn value(&self, setting: &Setting, names: &Names) -> Result<Value, Fault> {
        let value = self.unchecked(setting, names)?;
        if let Value::Quantity(quantity) = value {
            self.check_range(setting, quantity.amount, names)?;
        }
        Ok(value)
    }

    /// Whether an amount, base units, lies within its range; `names` has the dimensions above it.
    pub(crate) fn takes(&self, amount: f64, names: &Names) -> bool {
        let (low, high) = self.limits(names).unwrap_or_default();
        let slack = self.slack();
        low.is_none_or(|low| amount >= low - slack)
            && high.is_none_or(|high| amount <= high + slack)
    }

    /// Its range in words, `40 mm (1.575 in) to 600 mm (23.622 in)`, if it has one.
    pub fn range(&self, names: &Names) -> Result<Option<String>, Fault> {
        let (low, high) = self.limits(names)?;
        Ok(match (low, high) {
            (Some(low), Some(high)) => Some(format!("{} to {}", self.shown(low), self.shown(high))),
            (Some(low), None) => Some(format!("{} or more", self.shown(low))),
            (None, Some(high)) => Some(format!("up to {}", self.shown(high))),
            (None, None) => None,
        })
    }

    /// The value as set, checked for kind only.
    fn unchecked(&self, setting: &Setting, names: &Names) -> Result<Value, Fault> {
        let title = self.title();
        match (&self.kind, setting) {
            (DimensionKind::Quantity(dimension), Setting::Formula(formula)) => {
                let amount = formula.amount(names, *dimension, &title)?;
                Ok(Value::of(amount, *dimension))
            }
            (DimensionKind::Count, Setting::Formula(formula)) => {
                let count = formula.count(names, u32::MAX, &title)?;
                Ok(Value::number(f64::from(count)))
            }
            (DimensionKind::Thread, Setting::Words(text)) => {
                match trade::thread::read(text.as_str()) {
                    Ok(_) => Ok(Value::Text(text.as_str().to_owned())),
                    Err(refusal) => {
                        Err(setting.fault(refusal.reworded(|it| format!("{title}: {it}"))))
                    }
                }
            }
            (DimensionKind::Choice(words), Setting::Words(text)) => {
                let words: Vec<&str> = words.iter().map(String::as_str).collect();
                if words.contains(&text.as_str()) {
                    return Ok(Value::Text(text.as_str().to_owned()));
                }
                Err(text.not_among(&words))
            }
            (_, Setting::Words(text)) => Ok(Value::Text(text.as_str().to_owned())),
            (_, Setting::Truth(truth, _)) => Ok(Value::Truth(*truth)),
            (_, Setting::Formula(formula)) => formula.value(names),
        }
    }

    fn limits(&self, names: &Names) -> Result<(Option<f64>, Option<f64>), Fault> {
        let dimension = match self.kind {
            DimensionKind::Quantity(dimension) => dimension,
            DimensionKind::Count => Dimension::NONE,
            _ => return Ok((None, None)),
        };
        let limit = |formula: &Option<Formula>, which: &str| {
            let what = format!("{which} of {}", self.title());
            let amount = formula.as_ref().map(|f| f.amount(names, dimension, &what));
            amount.transpose()
        };
        Ok((limit(&self.min, "`min`")?, limit(&self.max, "`max`")?))
    }

    fn check_range(&self, setting: &Setting, amount: f64, names: &Names) -> Result<(), Fault> {
        let (low, high) = self.limits(names)?;
        let slack = self.slack();
        let missed = match (low, high) {
            (Some(low), _) if amount < low - slack => {
                format!("less than the least possible, {}", self.shown(low))
            }
            (_, Some(high)) if amount > high + slack => {
                format!("more than the most possible, {}", self.shown(high))
            }
            _ => return Ok(()),
        };
        let fault = setting.fault(format!(
            "{} is {}, {missed}",
            self.title(),
            self.shown(amount)
        ));
        Err(match self.range(names)? {
            Some(range) => fault.remedy(format!("write {range}")),
            None => fault,
        })
    }

    /// An amount of this dimension as a person reads it.
    fn shown(&self, amount: f64) -> String {
        format::value(&Value::of(amount, self.dimension()))
    }

    /// How far past its range an amount may lie, base units: the range as it is printed and what a remedy
    /// says to write may each be rounded.
    fn slack(&self) -> f64 {
        2.0 * format::printed_slack(self.dimension())
    }

    /// Of a quantity its dimension, else that of a plain number.
    const fn dimension(&self) -> Dimension {
        match self.kind {
            DimensionKind::Quantity(dimension) => dimension,
            _ => Dimension::NONE,
        }
    }
}

/// The kind that is written out; the inner `None` if it is not.
#[expect(
    clippy::option_option,
    reason = "left out, wrong and given are three things"
)]
fn declared_kind(table: &mut Table, faults: &mut Vec<Fault>) -> Option<Option<DimensionKind>> {
    let choices = table.take("choices");
    let Some(item) = table.take("kind") else {
        return match choices {
            Some(choices) => choice_kind(choices, faults).map(Some),
            None => Some(None),
        };
    };
    let word = item.text(faults)?;
    let quantity = QUANTITIES.iter().find(|(known, _)| *known == word.as_str());
    if let Some(choices) = &choices
        && word.as_str() != "choice"
    {
        let fault = choices.fault(format!("a {} has no `choices`", word.as_str()));
        faults.push(fault.remedy("write kind = \"choice\""));
    }
    match (word.as_str(), quantity) {
        (_, Some((_, dimension))) => Some(Some(DimensionKind::Quantity(*dimension))),
        ("count", _) => Some(Some(DimensionKind::Count)),
        ("thread", _) => Some(Some(DimensionKind::Thread)),
        ("yes-no", _) => Some(Some(DimensionKind::YesNo)),
        ("text", _) => Some(Some(DimensionKind::Text)),
        ("choice", _) => {
            let Some(choices) = choices else {
                let fault = word.fault("a choice needs its `choices`");
                faults.push(fault.remedy("add choices = [\"round\", \"square\"]"));
                return None;
            };
            choice_kind(choices, faults).map(Some)
        }
        _ => {
            let words = QUANTITIES.iter().map(|(word, _)| *word).chain(OTHER_KINDS);
            faults.push(word.not_among(&words.collect::<Vec<_>>()));
            None
        }
    }
}

fn choice_kind(item: Item, faults: &mut Vec<Fault>) -> Option<DimensionKind> {
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
fn inferred_kind(
    item: Item,
    names: &Names,
    faults: &mut Vec<Fault>,
) -> Option<(DimensionKind, Setting)> {
    if item.is_truth() {
        let setting = DimensionKind::YesNo.setting(item, faults)?;
        return Some((DimensionKind::YesNo, setting));
    }
    let words = item.fault("this default is not a quantity");
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
        None if !is_thread => {
            faults.append(&mut mistakes);
            None
        }
        _ => {
            let kind = if is_thread { "thread" } else { "text" };
            faults.push(words.remedy(format!("add kind = \"{kind}\"")));
            None
        }
    }
}
