//! A family explained: its dimensions, and a part file to start from.

use std::fmt::Write as _;

use super::columns;
use super::evaluate::evaluate;
use super::family::Family;
use super::part::Part;
use super::{DimensionKind, DimensionSpec, Setting};
use crate::fault::Outcome;
use crate::toml_text::{Formula, Names};

/// One dimension of a family, ready to be shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Explained {
    /// Its name in part files.
    pub name: String,
    /// What it is, in plain words.
    pub says: String,
    /// What it takes: `length`, `choice`, …
    pub kind: String,
    /// Its default as a part file would write it.
    pub default: String,
    /// Its default in both units.
    pub shown: String,
    /// Its range or its choices, if it has them.
    pub range: Option<String>,
    /// Where it is asked, if not always, as its recipe writes it.
    pub when: Option<String>,
}

/// The dimensions of a family with their defaults and ranges.
pub fn explained(family: &Family) -> Outcome<Vec<Explained>> {
    let names = defaults(family)?;
    let explain = |measure: &DimensionSpec| {
        let shown = measure.settle(&measure.default, &mut names.clone())?;
        let range = match &measure.kind {
            DimensionKind::Choice(words) => Some(words.join(", ")),
            DimensionKind::List(columns) => {
                let columns: Vec<&str> = columns.iter().map(|it| it.name.as_str()).collect();
                let rows = measure.range(&names)?.unwrap_or_default();
                Some(format!("{rows} rows of {}", columns.join(", ")))
            }
            _ if shown.is_none() => None,
            _ => measure.range(&names)?,
        };
        let when = measure
            .when
            .as_ref()
            .map(|it| it.text().as_str().to_owned());
        Ok(Explained {
            name: measure.name.clone(),
            says: measure.says.clone(),
            kind: measure.kind.word().to_owned(),
            default: written(measure),
            shown: shown.unwrap_or_else(|| "not asked".to_owned()),
            range,
            when,
        })
    };
    family.measures.iter().map(explain).collect()
}

/// A rule of a family, as its recipe writes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleExplained {
    /// `refuse`, `warn` or `note`.
    pub level: String,
    /// What must hold.
    pub need: String,
    /// Where it counts, if not always.
    pub when: Option<String>,
    /// What is wrong otherwise, values in braces.
    pub otherwise: String,
    /// Where it comes from; empty if it says nothing.
    pub source: String,
}

/// The rules of a family.
#[must_use]
pub fn explained_rules(family: &Family) -> Vec<RuleExplained> {
    let written = |formula: &Formula| formula.text().as_str().to_owned();
    let rules = family.rules.iter().map(|rule| RuleExplained {
        level: rule.level.word().to_owned(),
        need: written(&rule.need),
        when: rule.when.as_ref().map(written),
        otherwise: rule.wrong.text().as_str().to_owned(),
        source: rule.source.clone(),
    });
    rules.collect()
}

/// A part file with every dimension of a family as a comment: take the `#` off those that differ. The part is
/// called `name` if it is given and another than the family's.
pub fn start_text(family: &Family, name: Option<&str>) -> Outcome<String> {
    let mut text = format!("# {}: {}\n", family.title, family.about);
    text.push_str(
        "# Take the # off the dimensions that differ and write what you measured; mm and inch mix\n\
         # freely, fractions too: \"4-1/2 in\". Everything else keeps the value shown.\n\n",
    );
    let _ = writeln!(text, "recipe = \"{}\"", family.name);
    let _ = match name.filter(|it| *it != family.name) {
        Some(name) => writeln!(text, "name = {}", toml_edit::Value::from(name)),
        None => writeln!(text, "# name = \"{}\"", family.name),
    };
    text.push_str("# quantity = 1\n# material = \"mild steel\"\n");
    for line in explained(family)? {
        let range = line
            .range
            .map_or_else(String::new, |range| format!("; {range}"));
        let when = line.when;
        let when = when.map_or_else(String::new, |when| format!("\n# only where {when}"));
        let _ = write!(
            text,
            "\n# {}{range}{when}\n# {} = {}\n",
            line.says, line.name, line.default
        );
    }
    Ok(text)
}

fn defaults(family: &Family) -> Outcome<Names> {
    evaluate(&Part::plain(family.clone())).map(|it| it.names)
}

/// A default as it stands in TOML.
fn written(measure: &DimensionSpec) -> String {
    let words = measure.default.text().as_str();
    if let (DimensionKind::List(columns), Setting::List(rows, _)) =
        (&measure.kind, &measure.default)
    {
        return columns::written(rows, columns);
    }
    match measure.kind {
        DimensionKind::YesNo => words.to_owned(),
        DimensionKind::Count if words.chars().all(|c| c.is_ascii_digit()) => words.to_owned(),
        _ if words.contains('"') => format!("'{words}'"),
        _ => format!("\"{words}\""),
    }
}
