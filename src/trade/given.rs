//! What a trade function was given, unpacked.
//!
//! In: the values that the evaluator has matched with the function's parameters. Out: plain text
//! and numbers in base units, or one sentence that says what is wrong with them.

use crate::quantity::Value;

/// Tolerance for a plain number that must be whole.
const WHOLE: f64 = 1e-9;

/// The values given to one call.
#[derive(Clone, Copy)]
pub(super) struct Given<'a>(pub(super) &'a [Value]);

impl<'a> Given<'a> {
    /// The words at a place, or `None` if they were left out.
    pub(super) fn text_if_any(self, index: usize) -> Result<Option<&'a str>, String> {
        match self.0.get(index) {
            None => Ok(None),
            Some(Value::Text(text)) => Ok(Some(text)),
            Some(_) => Err(format!("value {} should be words in quotes", index + 1)),
        }
    }

    /// The words at a place.
    pub(super) fn text(self, index: usize) -> Result<&'a str, String> {
        self.text_if_any(index)?
            .ok_or_else(|| format!("value {} is missing", index + 1))
    }

    /// The number at a place in base units, or `None` if it was left out.
    pub(super) fn amount_if_any(self, index: usize) -> Result<Option<f64>, String> {
        match self.0.get(index) {
            None => Ok(None),
            Some(Value::Quantity(quantity)) if quantity.amount.is_finite() => {
                Ok(Some(quantity.amount))
            }
            Some(_) => Err(format!("value {} should be a finite number", index + 1)),
        }
    }

    /// The number at a place, in base units.
    pub(super) fn amount(self, index: usize) -> Result<f64, String> {
        self.amount_if_any(index)?
            .ok_or_else(|| format!("value {} is missing", index + 1))
    }

    /// A number that must be above zero; `what` names it in the message.
    pub(super) fn positive(self, index: usize, what: &str) -> Result<f64, String> {
        let amount = self.amount(index)?;
        if amount > 0.0 {
            Ok(amount)
        } else {
            Err(format!("the {what} must be more than 0"))
        }
    }

    /// A number that must not be below zero; `what` names it in the message.
    pub(super) fn not_negative(self, index: usize, what: &str) -> Result<f64, String> {
        let amount = self.amount(index)?;
        if amount >= 0.0 {
            Ok(amount)
        } else {
            Err(format!("the {what} must not be negative"))
        }
    }

    /// A whole number of at least `least`; `what` names it in the message.
    pub(super) fn count(self, index: usize, least: u32, what: &str) -> Result<u32, String> {
        whole(self.amount(index)?, least, what)
    }

    /// A whole number of at least `least`, or `otherwise` if it was left out.
    pub(super) fn count_or(
        self,
        index: usize,
        otherwise: u32,
        least: u32,
        what: &str,
    ) -> Result<u32, String> {
        self.amount_if_any(index)?
            .map_or(Ok(otherwise), |amount| whole(amount, least, what))
    }
}

fn whole(amount: f64, least: u32, what: &str) -> Result<u32, String> {
    let rounded = amount.round();
    if (amount - rounded).abs() > WHOLE || rounded < f64::from(least) || rounded > 1e6 {
        return Err(format!(
            "the {what} must be a whole number of at least {least}"
        ));
    }
    Ok(rounded as u32)
}
