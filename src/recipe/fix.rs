//! A remedy that can be followed: the dimension to set, and what to set it to.
//!
//! In: `{outside = …}` in the remedy of a rule. Out: the value to write, rounded away from the value that
//! is wrong, so that what is printed mends what it is printed for.

use crate::quantity::format::{decimal, degrees, enough, rounded, usual_unit};
use crate::quantity::{Dimension, Quantity};

/// A dimension, and the value of it that mends what was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Fix {
    /// The dimension's name.
    pub dimension: String,
    /// What to set it to.
    pub value: Quantity,
    /// Whether that is more than it is now.
    pub is_more: bool,
}

/// Lengths are told to a hundredth of a millimetre, as a caliper reads.
const LENGTH_STEP: f64 = 0.01;
/// Angles are told to a hundredth of a degree.
const ANGLE_STEP: f64 = 0.01;
/// Anything else to a thousandth of its usual unit.
const OTHER_STEP: f64 = 0.001;
impl Fix {
    /// The value rounded to what is printed of it, away from what the dimension is now.
    pub(crate) fn new(dimension: &str, wanted: Quantity, now: Option<f64>) -> Self {
        let is_more = now.is_none_or(|now| wanted.amount >= now);
        let (step, unit) = match wanted.dimension {
            Dimension::LENGTH => (LENGTH_STEP, 1.0),
            Dimension::ANGLE => (ANGLE_STEP, 1_f64.to_radians()),
            other => (OTHER_STEP, usual_unit(other).map_or(1.0, |(_, one)| one)),
        };
        let amount = rounded(wanted.amount / unit, step, is_more) * unit;
        Self {
            dimension: dimension.to_owned(),
            value: Quantity { amount, ..wanted },
            is_more,
        }
    }

    /// The value as a builder reads it: lengths in mm and inch, either of which will do.
    #[must_use]
    pub fn words(&self) -> String {
        let Quantity { amount, dimension } = self.value;
        match dimension {
            Dimension::LENGTH => enough(amount, self.is_more),
            Dimension::ANGLE => degrees(amount),
            _ => self.typed(),
        }
    }

    /// The value as it is written into a part file.
    #[must_use]
    pub fn typed(&self) -> String {
        let Quantity { amount, dimension } = self.value;
        match usual_unit(dimension) {
            Some((unit, one)) => format!("{} {unit}", decimal(amount / one, 3)),
            None => decimal(amount, 3),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn length(wanted: f64, now: f64) -> Fix {
        let wanted = Quantity {
            amount: wanted,
            dimension: Dimension::LENGTH,
        };
        Fix::new("outside", wanted, Some(now))
    }

    #[test]
    fn what_is_printed_is_never_short_of_what_is_needed() {
        assert_eq!(length(38.1, 34.0).words(), "38.1 mm (1.500 in)");
        // 200 mm are 7.8740 in: 7.874 would fall short.
        assert_eq!(length(200.0, 34.0).words(), "200 mm (7.875 in)");
        assert_eq!(length(200.0, 300.0).words(), "200 mm (7.874 in)");
        assert_eq!(length(11.3491, 10.0).typed(), "11.35 mm");
        assert_eq!(length(11.3491, 12.0).typed(), "11.34 mm");
    }

    #[test]
    fn angles_and_numbers_have_their_units() {
        let angle = Quantity {
            amount: 14.1712_f64.to_radians(),
            dimension: Dimension::ANGLE,
        };
        let fix = Fix::new("turn", angle, Some(0.0));
        assert_eq!(
            (fix.words().as_str(), fix.typed().as_str()),
            ("14.18°", "14.18 deg")
        );
        let number = Quantity {
            amount: 0.333_33,
            dimension: Dimension::NONE,
        };
        assert_eq!(Fix::new("share", number, Some(1.0)).typed(), "0.333");
    }
}
