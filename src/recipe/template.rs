//! Words with expressions in braces: `make the plate at least {hub_circle + hub_hole}`.

use crate::fault::Fault;
use crate::quantity::format;

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
}

impl Template {
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
            pieces.push(Fragment::Value(Formula::parse(
                text.slice(start..start + end),
            )?));
            rest = &after[end + 1..];
        }
        words.push_str(rest);
        pieces.push(Fragment::Words(words));
        Ok(Self { text, pieces })
    }

    /// The expressions in it.
    pub(crate) fn formulas(&self) -> impl Iterator<Item = &Formula> {
        self.pieces.iter().filter_map(|piece| match piece {
            Fragment::Value(formula) => Some(formula),
            Fragment::Words(_) => None,
        })
    }

    /// The words with every expression worked out; lengths in mm and inch.
    pub fn filled(&self, names: &Names) -> Result<String, Fault> {
        self.pieces
            .iter()
            .map(|piece| match piece {
                Fragment::Words(words) => Ok(words.clone()),
                Fragment::Value(formula) => Ok(format::value(&formula.value(names)?)),
            })
            .collect()
    }

    /// As it was written.
    #[must_use]
    pub const fn text(&self) -> &Text {
        &self.text
    }
}

fn unpaired(text: &Text, at: usize, brace: &str) -> Fault {
    let message = format!("the `{brace}` has no partner");
    Fault::refused(message)
        .at(text.source(), text.span_of(at..at + 1))
        .remedy(format!(
            "write `{brace}{brace}` for a brace that is meant as one"
        ))
}
