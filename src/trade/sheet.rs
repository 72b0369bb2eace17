//! Sheet gauges: how thick a gauge number is.

use super::origin::Origin;
use super::scan;
use super::unit::INCH;
use crate::elementary;
use crate::fault::{Refusal, nearest};
use crate::quantity::{Argument, Function, Parameter, Value};

/// Uncoated sheet steel.
pub const STEEL: Origin = Origin {
    title: "Manufacturers' Standard Gauge for uncoated sheet steel",
    source: "Manufacturers' Standard Gauge for Sheet Steel (41.82 lb per ft² per inch)",
    verified: "4, 6 to 9, 12, 14 to 23, 25, 27, 28 looked up; the rest from memory",
};

/// Galvanised sheet, with its coating.
pub const GALVANISED: Origin = Origin {
    title: "galvanised sheet gauge, total thickness with coating",
    source: "Galvanized Sheet Gauge (trade standard)",
    verified: "11 to 20, 23 to 26, 28, 30 looked up; the rest from memory",
};

/// Stainless sheet.
pub const STAINLESS: Origin = Origin {
    title: "United States Standard Gauge as used for stainless sheet",
    source: "United States Standard Gauge",
    verified: "from memory",
};

/// Aluminium, copper and brass sheet.
pub const ALUMINIUM: Origin = Origin {
    title: "wire gauge of ASTM B258 as used for aluminium and other non-ferrous sheet",
    source: "ASTM B258: 0.005 in * 92^((36 - gauge) / 39)",
    verified: "formula from memory",
};

/// Thickness in inches from gauge 3 on.
const STEEL_INCHES: &[f64] = &[
    0.2391, 0.2242, 0.2092, 0.1943, 0.1793, 0.1644, 0.1495, 0.1345, // 3 to 10
    0.1196, 0.1046, 0.0897, 0.0747, 0.0673, 0.0598, 0.0538, 0.0478, 0.0418,
    0.0359, // 11 to 20
    0.0329, 0.0299, 0.0269, 0.0239, 0.0209, 0.0179, 0.0164, 0.0149, 0.0135,
    0.0120, // 21 to 30
    0.0105, 0.0097, 0.0090, 0.0082, 0.0075, 0.0067, 0.0064, 0.0060, // 31 to 38
];

/// Thickness in inches from gauge 8 on.
const GALVANISED_INCHES: &[f64] = &[
    0.1681, 0.1532, 0.1382, // 8 to 10
    0.1233, 0.1084, 0.0934, 0.0785, 0.0710, 0.0635, 0.0575, 0.0516, 0.0456,
    0.0396, // 11 to 20
    0.0366, 0.0336, 0.0306, 0.0276, 0.0247, 0.0217, 0.0202, 0.0187, 0.0172,
    0.0157, // 21 to 30
    0.0142, 0.0134, // 31, 32
];

/// Thickness in inches from gauge 7 on.
const STAINLESS_INCHES: &[f64] = &[
    0.1875, 0.1719, 0.1562, 0.1406, // 7 to 10
    0.1250, 0.1094, 0.0938, 0.0781, 0.0703, 0.0625, 0.0562, 0.0500, 0.0438,
    0.0375, // 11 to 20
    0.0344, 0.0312, 0.0281, 0.0250, 0.0219, 0.0188, 0.0172, 0.0156, 0.0141,
    0.0125, // 21 to 30
];

/// Which gauge a number is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Gauge {
    /// Uncoated steel.
    #[default]
    Steel,
    /// Galvanised steel.
    Galvanised,
    /// Stainless steel.
    Stainless,
    /// Aluminium and other non-ferrous sheet.
    Aluminium,
}

impl Gauge {
    const WORDS: [(&'static str, Self); 8] = [
        ("steel", Self::Steel),
        ("mild steel", Self::Steel),
        ("galvanised", Self::Galvanised),
        ("galvanized", Self::Galvanised),
        ("stainless", Self::Stainless),
        ("stainless steel", Self::Stainless),
        ("aluminium", Self::Aluminium),
        ("aluminum", Self::Aluminium),
    ];

    /// The gauge a word names.
    pub fn read(word: &str) -> Result<Self, Refusal> {
        let plain = scan::plain(word);
        let found = Self::WORDS.iter().find(|(name, _)| *name == plain);
        found.map(|(_, gauge)| *gauge).ok_or_else(|| {
            let near = nearest(&plain, Self::WORDS.map(|(name, _)| name));
            Refusal::new(format!("no gauge \"{word}\"")).remedy(match near {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => "there are steel, galvanised, stainless and aluminium".to_owned(),
            })
        })
    }

    /// Thickness of a gauge number, mm.
    pub fn thickness(self, number: u32) -> Result<f64, Refusal> {
        let (first, inches) = match self {
            Self::Steel => (3, STEEL_INCHES),
            Self::Galvanised => (8, GALVANISED_INCHES),
            Self::Stainless => (7, STAINLESS_INCHES),
            Self::Aluminium => return by_formula(number),
        };
        let last = first + inches.len() as u32 - 1;
        let row = number
            .checked_sub(first)
            .and_then(|row| inches.get(row as usize));
        row.map(|inches| inches * INCH)
            .ok_or_else(|| no_gauge(number, first, last))
    }
}

impl<'a> Argument<'a> for Gauge {
    fn take(value: Option<&'a Value>) -> Result<Self, Refusal> {
        Self::read(Argument::take(value)?)
    }
}

fn no_gauge(number: u32, first: u32, last: u32) -> Refusal {
    Refusal::new(format!("no gauge {number} here"))
        .remedy(format!("the table runs from {first} to {last}"))
}

/// Thickness by ASTM B258, mm.
fn by_formula(number: u32) -> Result<f64, Refusal> {
    if number > 40 {
        return Err(no_gauge(number, 0, 40));
    }
    Ok(INCH * 0.005 * elementary::powf(92.0, (36.0 - f64::from(number)) / 39.0))
}

/// What recipes can ask about sheet.
pub const FUNCTIONS: &[Function] = &[Function {
    name: "gauge",
    parameters: &[
        Parameter::count("number", 0),
        Parameter::words("kind").optional(),
    ],
    says: "thickness of a sheet gauge; kind is steel (unless given), galvanised, stainless or aluminium",
    source: "Manufacturers' Standard Gauge; Galvanized Sheet Gauge",
    call: |given| {
        let (number, kind): (u32, Option<Gauge>) = given.take()?;
        let thickness = kind.unwrap_or_default().thickness(number);
        thickness.map(Value::length)
    },
}];

#[cfg(test)]
mod tests {
    use super::super::amount;
    use super::*;
    use crate::quantity::{Dimension, Expression};

    #[test]
    fn gauges_end_where_the_tables_end() {
        let ends = |gauge: Gauge, first, last| {
            assert!(gauge.thickness(first).is_ok() && gauge.thickness(last).is_ok());
            assert!(gauge.thickness(first - 1).is_err() && gauge.thickness(last + 1).is_err());
        };
        ends(Gauge::Steel, 3, 38);
        ends(Gauge::Galvanised, 8, 32);
        ends(Gauge::Stainless, 7, 30);
    }

    fn mm(gauge: Gauge, number: u32) -> f64 {
        gauge.thickness(number).expect("a row of the table")
    }

    #[test]
    fn a_gauge_without_its_metal_is_told_which_tables_there_are() {
        let mistake = Expression::parse("7 ga").expect_err("no unit");
        assert_eq!(mistake.message, "`ga` is not a unit");
        let remedy = mistake.remedy.expect("there is one");
        let named: Vec<&str> = remedy.split('"').skip(1).step_by(2).collect();
        assert_eq!(
            named,
            ["steel", "galvanised", "stainless", "aluminium", "steel"]
        );
        assert!(named.iter().all(|word| Gauge::read(word).is_ok()));
        let followed = remedy.split('`').nth(1).expect("what to write");
        let thickness = amount(followed, Dimension::LENGTH);
        assert_eq!(thickness, Ok(mm(Gauge::Steel, 7)));
    }

    #[test]
    fn a_higher_gauge_is_thinner_and_zinc_adds_to_it() {
        for gauge in [
            Gauge::Steel,
            Gauge::Galvanised,
            Gauge::Stainless,
            Gauge::Aluminium,
        ] {
            for number in 8..30 {
                assert!(mm(gauge, number) > mm(gauge, number + 1));
            }
        }
        for number in 8..=32 {
            assert!(mm(Gauge::Galvanised, number) > mm(Gauge::Steel, number));
        }
    }
}
