//! Words with expressions in braces: `make the plate at least {hub_circle + hub_hole}`.
//!
//! `{outside = hub_circle + hub_hole}` prints the value and says which dimension to set to it.

use crate::fault::Fault;
use crate::quantity::{Scope, Value, format};

use super::fix::Fix;
use crate::toml_text::Formula;
use crate::toml_text::Names;
use crate::toml_text::Text;

/// Words with expressions in braces; `{{` and `}}` stand for the braces themselves.
#[derive(Debug, Clone, PartialEq)]
pub struct Template {
    text: Text,
    pieces: Vec<Fragment>,
}

#[derive(Debug, Clone, PartialEq)]
enum Fragment {
    Words(String),
    Value(Formula),
    /// A dimension, and what to set it to.
    Set(Text, Formula),
}

impl Template {
    /// Words in which braces are just braces.
    pub(crate) fn literal(text: Text) -> Self {
        let pieces = vec![Fragment::Words(text.as_str().to_owned())];
        Self { text, pieces }
    }

    /// Reads words with expressions in braces.
    pub(crate) fn parse(text: Text) -> Result<Self, Fault> {
        let mut pieces = Vec::new();
        let mut words = String::new();
        let mut rest = text.as_str();
        while let Some(at) = rest.find(['{', '}']) {
            words.push_str(&rest[..at]);
            let brace = &rest[at..=at];
            let after = &rest[at + 1..];
            if let Some(next) = after.strip_prefix(brace) {
                words.push_str(brace);
                rest = next;
                continue;
            }
            let start = text.as_str().len() - after.len();
            let end = after.find('}').filter(|_| brace == "{");
            let end = end.ok_or_else(|| unpaired(&text, start - 1, brace))?;
            pieces.push(Fragment::Words(std::mem::take(&mut words)));
            pieces.push(fragment(&text.slice(start..start + end))?);
            rest = &after[end + 1..];
        }
        words.push_str(rest);
        pieces.push(Fragment::Words(words));
        Ok(Self { text, pieces })
    }

    /// The expressions in it.
    pub(crate) fn formulas(&self) -> impl Iterator<Item = &Formula> {
        self.pieces.iter().filter_map(|piece| match piece {
            Fragment::Value(formula) | Fragment::Set(_, formula) => Some(formula),
            Fragment::Words(_) => None,
        })
    }

    /// The names of the dimensions that it says to set.
    pub(crate) fn dimensions(&self) -> impl Iterator<Item = &Text> {
        self.pieces.iter().filter_map(|piece| match piece {
            Fragment::Set(name, _) => Some(name),
            Fragment::Words(_) | Fragment::Value(_) => None,
        })
    }

    /// What it says to set, worked out.
    pub(crate) fn fixes(&self, names: &Names) -> Result<Vec<Fix>, Fault> {
        let fixes = self.pieces.iter().filter_map(|piece| match piece {
            Fragment::Set(name, formula) => Some(fix(name, formula, names)),
            Fragment::Words(_) | Fragment::Value(_) => None,
        });
        fixes.collect()
    }

    /// The words with every expression worked out; lengths in mm and inch.
    pub fn filled(&self, names: &Names) -> Result<String, Fault> {
        self.pieces
            .iter()
            .map(|piece| match piece {
                Fragment::Words(words) => Ok(words.clone()),
                Fragment::Value(formula) => Ok(format::value(&formula.value(names)?)),
                Fragment::Set(name, formula) => Ok(fix(name, formula, names)?.words()),
            })
            .collect()
    }

    /// As it was written.
    #[must_use]
    pub const fn text(&self) -> &Text {
        &self.text
    }
}

/// An expression, or a dimension with the value to set it to.
fn fragment(text: &Text) -> Result<Fragment, Fault> {
    let words = text.as_str();
    let set = words.find('=').filter(|at| {
        let name = words[..*at].trim();
        let is_name = |c: char| c.is_alphanumeric() || c == '_';
        !name.is_empty() && name.chars().all(is_name) && !words[at + 1..].starts_with('=')
    });
    let Some(at) = set else {
        return Ok(Fragment::Value(Formula::parse(text.clone())?));
    };
    let start = words.len() - words.trim_start().len();
    let name = text.slice(start..words[..at].trim_end().len());
    let value = text.slice(at + 1..words.len());
    Ok(Fragment::Set(name, Formula::parse(value)?))
}

fn fix(name: &Text, formula: &Formula, names: &Names) -> Result<Fix, Fault> {
    let amount = |value: &Value| match value {
        Value::Quantity(quantity) => Some(*quantity),
        Value::Text(_) | Value::Truth(_) => None,
    };
    let wanted = formula.value(names)?;
    let wanted = amount(&wanted).ok_or_else(|| {
        let fault = formula.text().fault("this is no quantity");
        fault.remedy("write a number with its unit, such as \"12 mm\"")
    })?;
    let now = names.value(name.as_str());
    let now = now.as_ref().and_then(amount).map(|now| now.amount);
    Ok(Fix::new(name.as_str(), wanted, now))
}

fn unpaired(text: &Text, at: usize, brace: &str) -> Fault {
    let message = format!("the `{brace}` has no partner");
    Fault::refused(message)
        .at(text.source(), text.span_of(at..at + 1))
        .remedy(format!(
            "write `{brace}{brace}` for a brace that is meant as one"
        ))
}
