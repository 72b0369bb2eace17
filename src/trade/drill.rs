//! Twist drills: number, letter, fractional inch and metric, by the name on the shank.

use std::fmt;

use super::origin::Origin;
use super::scan;
use super::unit::INCH;
use crate::fault::Refusal;
use crate::quantity::{Function, Parameter, Value};

/// Number and letter drills.
pub const ORIGIN: Origin = Origin {
    title: "number drills 1 to 80 and letter drills A to Z",
    source: "ASME B94.11M, twist drill sizes",
    verified: "the sizes named in the thread charts were looked up; the rest from memory",
};

/// Diameters of number drills 1 to 80, inch.
const NUMBERS: [f64; 80] = [
    0.2280, 0.2210, 0.2130, 0.2090, 0.2055, 0.2040, 0.2010, 0.1990, 0.1960, 0.1935, // 1 to 10
    0.1910, 0.1890, 0.1850, 0.1820, 0.1800, 0.1770, 0.1730, 0.1695, 0.1660,
    0.1610, // 11 to 20
    0.1590, 0.1570, 0.1540, 0.1520, 0.1495, 0.1470, 0.1440, 0.1405, 0.1360,
    0.1285, // 21 to 30
    0.1200, 0.1160, 0.1130, 0.1110, 0.1100, 0.1065, 0.1040, 0.1015, 0.0995,
    0.0980, // 31 to 40
    0.0960, 0.0935, 0.0890, 0.0860, 0.0820, 0.0810, 0.0785, 0.0760, 0.0730,
    0.0700, // 41 to 50
    0.0670, 0.0635, 0.0595, 0.0550, 0.0520, 0.0465, 0.0430, 0.0420, 0.0410,
    0.0400, // 51 to 60
    0.0390, 0.0380, 0.0370, 0.0360, 0.0350, 0.0330, 0.0320, 0.0310, 0.0292,
    0.0280, // 61 to 70
    0.0260, 0.0250, 0.0240, 0.0225, 0.0210, 0.0200, 0.0180, 0.0160, 0.0145,
    0.0135, // 71 to 80
];

/// Diameters of letter drills A to Z, inch.
const LETTERS: [f64; 26] = [
    0.234, 0.238, 0.242, 0.246, 0.250, 0.257, 0.261, 0.266, 0.272, // A to I
    0.277, 0.281, 0.290, 0.295, 0.302, 0.316, 0.323, 0.332, 0.339, // J to R
    0.348, 0.358, 0.368, 0.377, 0.386, 0.397, 0.404, 0.413, // S to Z
];

/// A twist drill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Drill {
    /// A metric drill by its diameter, mm.
    Metric(f64),
    /// An inch drill by its name: `#7`, `F`, `27/64`.
    Inch(&'static str),
}

impl Drill {
    /// Its diameter, mm.
    #[must_use]
    pub fn diameter(self) -> f64 {
        match self {
            Self::Metric(mm) => mm,
            Self::Inch(name) => {
                inches(name).expect("a test resolves every name in the tables") * INCH
            }
        }
    }
}

impl fmt::Display for Drill {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Metric(mm) => write!(f, "{mm} mm"),
            Self::Inch(name) if name.contains('/') => write!(f, "{name} in"),
            Self::Inch(name) => f.write_str(name),
        }
    }
}

/// The diameter in inches of a drill by number (`#7`), letter (`F`) or fraction (`27/64`).
#[must_use]
pub fn inches(name: &str) -> Option<f64> {
    let name = name.trim();
    if let Some(number) = name.strip_prefix('#') {
        let index: usize = number.trim().parse().ok()?;
        return NUMBERS.get(index.checked_sub(1)?).copied();
    }
    if let [letter] = name.as_bytes()
        && letter.is_ascii_alphabetic()
    {
        return LETTERS
            .get(usize::from(letter.to_ascii_uppercase() - b'A'))
            .copied();
    }
    scan::size(name)
}

/// What recipes can ask about drills.
pub const FUNCTIONS: &[Function] = &[Function {
    name: "drill",
    parameters: &[Parameter::words("name")],
    says: "diameter of a number, letter or fractional inch drill: \"#7\", \"F\", \"27/64\"",
    source: ORIGIN.source,
    call: |given| {
        let name: &str = given.one()?;
        let text = scan::plain(name);
        inches(text.trim_end_matches(['"', ' ']).trim_end_matches("in"))
            .map(|inches| Value::length(inches * INCH))
            .ok_or_else(|| {
                Refusal::new(format!("no drill \"{name}\""))
                    .remedy("write #1 to #80, A to Z, or a fraction of an inch such as 27/64")
            })
    },
}];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drills_grow_finer_with_their_number_and_coarser_with_their_letter() {
        assert!(NUMBERS.windows(2).all(|pair| pair[0] > pair[1]));
        assert!(LETTERS.windows(2).all(|pair| pair[0] < pair[1]));
    }

    #[test]
    fn names_resolve_in_any_case_and_nonsense_does_not() {
        assert_eq!(inches("#7"), Some(0.201));
        assert_eq!(inches("f"), Some(0.257));
        assert_eq!(inches("27/64"), Some(0.421_875));
        assert_eq!(inches("#0"), None);
        assert_eq!(inches("#81"), None);
        assert_eq!(inches("FF"), None);
    }
}
