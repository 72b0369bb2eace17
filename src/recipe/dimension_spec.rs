//! One dimension of a family: what the builder measures and sets.
//!
//! In: a `[dimension.NAME]` block and what a part says. Out: a value that is of the right kind and
//! within the range, or a fault that quotes what the dimension is, its range and the remedy.

use std::ops::Range;

use std::sync::Arc;

use super::dimension_kind::{DimensionKind, Setting, declared_kind, inferred_kind};
use super::drawn_at::DrawnAt;
use super::limits;
use super::order;
use super::template::Template;
use crate::fault::Fault;
use crate::quantity::{Dimension, Expression, Rows, Value, format};
use crate::toml_text::{Formula, Key, Named, Names, Table, holds};

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
    /// It is asked and checked only if this holds.
    pub when: Option<Formula>,
    /// Where it is drawn, if the edges do not show it.
    pub(crate) drawn: Option<DrawnAt>,
    /// Where its name stands in the recipe.
    pub span: Range<usize>,
}

impl DimensionSpec {
    /// Reads a `[dimension.NAME]` block; `names` has the defaults of the dimensions above it.
    pub(crate) fn read(
        key: &Key,
        mut table: Table,
        (names, lets, tables): (&Names, &[Named<Formula>], &[Named<Rows>]),
        faults: &mut Vec<Fault>,
    ) -> Option<Self> {
        let says = table.need("says", "says = \"what is measured\"", faults);
        let says = says.and_then(|item| item.text(faults));
        let default = table.need("default", "default = \"12 mm\"", faults);
        let declared = declared_kind(&mut table, tables, faults);
        let (min, max) = limits_of(&mut table, faults);
        let when = table.take("when").and_then(|item| item.formula(faults));
        let drawn = table.take("drawn");
        let drawn = drawn.and_then(|item| DrawnAt::read(item, faults));
        table.finish(faults);
        let (says, default) = (says?, default?);
        let (kind, default) = match declared? {
            Some(kind) => {
                let default = kind.setting(default, faults)?;
                (kind, default)
            }
            None => {
                let mut names = names.clone();
                let needs = default.as_words().and_then(|it| Expression::parse(it).ok());
                let needs = needs.map(|it| it.names().into_iter().map(ToOwned::to_owned).collect());
                order::lend(lets, needs.unwrap_or_default(), &mut names);
                inferred_kind(default, &names, faults)?
            }
        };
        let default = match default {
            Setting::Words(text) if kind == DimensionKind::Text && text.as_str().contains('{') => {
                let read = Template::parse(text).map_err(|fault| faults.push(fault));
                Setting::Filled(read.ok()?)
            }
            other => other,
        };
        Some(Self {
            name: key.name.clone(),
            says: says.as_str().to_owned(),
            kind,
            default,
            min,
            max,
            when,
            drawn,
            span: key.span.clone(),
        })
    }

    /// The columns of a list.
    pub(crate) fn columns(&self) -> Option<Vec<String>> {
        match &self.kind {
            DimensionKind::List(columns) => {
                Some(columns.iter().map(|it| it.name.clone()).collect())
            }
            _ => None,
        }
    }

    /// The expressions of its range that are not worked out where it is not asked.
    pub(crate) fn unasked(&self) -> Vec<&Formula> {
        if self.when.is_none() {
            return Vec::new();
        }
        [&self.min, &self.max, &self.when]
            .into_iter()
            .flatten()
            .collect()
    }

    /// The names that a setting of it and its range use.
    pub(crate) fn needs(&self, setting: &Setting) -> Vec<String> {
        let limits = [&self.min, &self.max, &self.when];
        let limits = limits.into_iter().flatten();
        let of_limits = limits.flat_map(|it| it.names()).map(ToOwned::to_owned);
        setting
            .needs(&self.kind)
            .into_iter()
            .chain(of_limits)
            .collect()
    }

    /// Works it out as set and gives it to the names, which have the dimensions above it. What is said of
    /// it in words; `None` where it is not asked.
    pub(crate) fn settle(
        &self,
        setting: &Setting,
        names: &mut Names,
    ) -> Result<Option<String>, Fault> {
        let is_asked = holds(self.when.as_ref(), names)?;
        if let DimensionKind::List(columns) = &self.kind {
            let rows = setting.rows(columns, names)?;
            if is_asked {
                self.check_range(setting, rows.len() as f64, names)?;
            }
            let shown = super::columns::shown(&rows);
            names.set(&self.name, Value::number(rows.len() as f64));
            names.set_list(self.name.clone(), Arc::new(rows));
            return Ok(is_asked.then_some(shown));
        }
        let value = self.kind.value(setting, names, &self.title())?;
        if let (true, Value::Quantity(quantity)) = (is_asked, &value) {
            self.check_range(setting, quantity.amount, names)?;
        }
        let shown = format::value(&value);
        names.set(&self.name, value);
        Ok(is_asked.then_some(shown))
    }

    /// How it is called in messages: `` `outside` (outside diameter) ``.
    #[must_use]
    pub fn title(&self) -> String {
        format!("`{}` ({})", self.name, self.says)
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

    /// The least and the most that it may be, base units.
    pub(crate) fn limits(&self, names: &Names) -> Result<(Option<f64>, Option<f64>), Fault> {
        let dimension = match self.kind {
            DimensionKind::Quantity(dimension) => dimension,
            DimensionKind::Count | DimensionKind::List(_) => Dimension::NONE,
            _ => return Ok((None, None)),
        };
        let limit = |formula: &Option<Formula>, which: &str| {
            let what = format!("{which} of {}", self.title());
            let amount = formula.as_ref().map(|f| f.amount(names, dimension, &what));
            amount.transpose()
        };
        let (low, high) = (
            limit(&self.min, "the least")?,
            limit(&self.max, "the most")?,
        );
        // Loads have no sign.
        let least = [Dimension::FORCE, Dimension::TORQUE].contains(&dimension);
        let most = matches!(self.kind, DimensionKind::List(_)).then_some(limits::ROWS as f64);
        Ok((low.or(least.then_some(0.0)), high.or(most)))
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
        let rows = match self.kind {
            DimensionKind::List(_) => " rows",
            _ => "",
        };
        let shown = format!("{}{rows}", self.shown(amount));
        let has = if rows.is_empty() { "is" } else { "has" };
        let fault = setting.fault(format!("{} {has} {shown}, {missed}", self.title()));
        Err(match self.range(names)? {
            Some(range) => fault.remedy(format!("write {range}{rows}")),
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

/// The least and the most that a dimension may be: its `range`, or one of them alone.
fn limits_of(table: &mut Table, faults: &mut Vec<Fault>) -> (Option<Formula>, Option<Formula>) {
    let range = table.take("range");
    let [min, max] = ["min", "max"].map(|key| table.take(key));
    let Some(range) = range else {
        let [min, max] = [min, max].map(|it| it.and_then(|item| item.formula(faults)));
        return (min, max);
    };
    if let Some(one) = min.or(max) {
        let fault = one.fault("`range` has both ends, and this is one of them");
        faults.push(fault.remedy("write range = [\"least\", \"most\"] alone"));
    }
    let ends = range.pair(faults);
    let ends = ends.map(|ends| ends.map(|item| item.formula(faults)));
    ends.map_or((None, None), |[least, most]| (least, most))
}
