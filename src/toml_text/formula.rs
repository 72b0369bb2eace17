//! An expression together with its place in a file.
//!
//! In: [`Text`] from a recipe, part, job or table. Out: values of the kind asked for, or a fault that
//! underlines the stretch of the file that is wrong. Amounts are in base units (mm, rad, kg, s).

use std::ops::Range;

use crate::fault::{Fault, Refusal};
use crate::quantity::{Dimension, Expression, Mismatch, Mistake, Use, Value, format};

use super::each_word::SIGN;
use super::names::Names;
use super::text::Text;

/// The largest coordinate or size, mm: a hundred metres.
pub const COORDINATE: f64 = 100_000.0;

/// An expression that was read, and where.
///
/// Every reader below takes `what`, which names the value in messages: `` `diameter` ``.
#[derive(Debug, Clone, PartialEq)]
pub struct Formula {
    expression: Expression,
    text: Text,
}

impl Formula {
    /// Reads an expression.
    pub(crate) fn parse(text: Text) -> Result<Self, Fault> {
        match Expression::parse(text.as_str()) {
            Ok(expression) => Ok(Self { expression, text }),
            Err(mistake) => {
                let fault = fault(&text, mistake);
                let has_remedy = fault.remedy.is_some();
                Err(if has_remedy || !text.as_str().contains(SIGN) {
                    fault
                } else {
                    fault
                        .remedy("say which words `@` stands for, as in each = [\"hub\", \"wheel\"]")
                })
            }
        }
    }

    /// The words it was read from.
    #[must_use]
    pub const fn text(&self) -> &Text {
        &self.text
    }

    /// The names it uses.
    #[must_use]
    pub fn names(&self) -> Vec<&str> {
        self.expression.names()
    }

    /// The functions it calls.
    pub(crate) fn calls(&self) -> Vec<&str> {
        self.expression.calls()
    }

    /// All that it uses.
    pub(crate) fn uses(&self) -> Vec<Use<'_>> {
        self.expression.uses()
    }

    /// Its words with the values of its names put in their places, as far as `value` has them.
    pub(crate) fn with_numbers(&self, value: impl Fn(&str) -> Option<String>) -> String {
        let names = self.names();
        let part_of_name = |c: char| c.is_alphanumeric() || c == '_' || c == '.';
        let mut written = String::new();
        let mut rest = self.text.as_str();
        while let Some(first) = rest.chars().next() {
            let length = match first {
                '"' => rest[1..].find('"').map_or(rest.len(), |end| end + 2),
                _ if part_of_name(first) => rest.find(|c| !part_of_name(c)).unwrap_or(rest.len()),
                _ => first.len_utf8(),
            };
            let (piece, after) = rest.split_at(length);
            match names.contains(&piece).then(|| value(piece)).flatten() {
                // The power is that of the unit too.
                Some(number) if after.starts_with('^') => {
                    written.push_str(&format!("({number})"));
                }
                Some(number) => written.push_str(&number),
                None => written.push_str(piece),
            }
            rest = after;
        }
        written
    }

    /// Its value. Where it rests on a name that could not be worked out, the fault is that name's.
    pub fn value(&self, names: &Names) -> Result<Value, Fault> {
        self.expression.evaluate(names).map_err(|mistake| {
            let cause = self
                .names()
                .into_iter()
                .find_map(|name| names.failure(name));
            cause.cloned().unwrap_or_else(|| fault(&self.text, mistake))
        })
    }

    /// Its amount in base units; it must be a quantity of this dimension.
    pub fn amount(&self, names: &Names, wanted: Dimension, what: &str) -> Result<f64, Fault> {
        let value = self.value(names)?;
        value
            .expect(wanted)
            .map_err(|mismatch| self.mismatch(mismatch, what))
    }

    /// A length, mm, not beyond the largest coordinate there is.
    pub fn length(&self, names: &Names, what: &str) -> Result<f64, Fault> {
        let length = self.amount(names, Dimension::LENGTH, what)?;
        if length.abs() <= COORDINATE {
            return Ok(length);
        }
        let message = format!("{what} comes to {}", format::both_units(length));
        let most = format::both_units(COORDINATE);
        Err(self
            .fault(message)
            .remedy(format!("no more than {most} is possible")))
    }

    /// A length above 0, mm.
    pub fn size(&self, names: &Names, what: &str) -> Result<f64, Fault> {
        let length = self.length(names, what)?;
        if length > 0.0 {
            return Ok(length);
        }
        let message = format!("{what} comes to {}", format::both_units(length));
        Err(self.fault(message).remedy("it must be more than 0 mm"))
    }

    /// An angle, radians.
    pub fn angle(&self, names: &Names, what: &str) -> Result<f64, Fault> {
        self.amount(names, Dimension::ANGLE, what)
    }

    /// A whole number from 0 up to `most`.
    pub fn count(&self, names: &Names, most: u32, what: &str) -> Result<u32, Fault> {
        let value = self.value(names)?;
        let count = value
            .expect_count()
            .map_err(|mismatch| self.mismatch(mismatch, what))?;
        if count > most {
            let fault = self.fault(format!("{what} comes to {count}"));
            return Err(fault.remedy(format!("no more than {most} are possible")));
        }
        Ok(count)
    }

    /// Yes or no.
    pub fn truth(&self, names: &Names, what: &str) -> Result<bool, Fault> {
        let value = self.value(names)?;
        value
            .expect_truth()
            .map_err(|mismatch| self.mismatch(mismatch, what))
    }

    /// Words.
    pub fn words(&self, names: &Names, what: &str) -> Result<String, Fault> {
        let value = self.value(names)?;
        let words = value.expect_text();
        words
            .map(ToOwned::to_owned)
            .map_err(|mismatch| self.mismatch(mismatch, what))
    }

    /// A fault at the whole expression.
    pub(crate) fn fault(&self, cause: impl Into<Refusal>) -> Fault {
        self.text.fault(cause)
    }

    /// Where one of its names stands in the file.
    pub(crate) fn span_of_name(&self, name: &str) -> Range<usize> {
        let text = self.text.as_str();
        let part_of_name = |c: char| c.is_alphanumeric() || c == '_' || c == '.';
        let stretch = text.match_indices(name).map(|(at, _)| at..at + name.len());
        stretch
            .filter(|at| !text[..at.start].ends_with(part_of_name))
            .find(|at| !text[at.end..].starts_with(part_of_name))
            .map_or_else(|| self.text.span(), |at| self.text.span_of(at))
    }

    /// The fault of a value of the wrong kind.
    fn mismatch(&self, mismatch: Mismatch, what: &str) -> Fault {
        self.fault(mismatch.of(what, self.text.as_str()))
    }
}

fn fault(text: &Text, mistake: Mistake) -> Fault {
    let span = text.span_of(mistake.span.clone());
    Fault::refused(mistake).at(text.source(), span)
}

/// Whether a condition holds; no condition always does.
pub(crate) fn holds(when: Option<&Formula>, names: &Names) -> Result<bool, Fault> {
    when.map_or(Ok(true), |when| when.truth(names, "`when`"))
}
