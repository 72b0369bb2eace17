//! Paper sizes for true-scale templates.

use super::origin::Origin;
use super::scan;
use super::unit::INCH;
use crate::fault::{Refusal, nearest};
use crate::quantity::{Function, Parameter, Value};

/// Paper sizes.
pub const ORIGIN: Origin = Origin {
    title: "paper sizes",
    source: "ISO 216; ANSI/ASME Y14.1",
    verified: "A0 to A2, A5, ANSI A to D and Legal looked up; the rest from memory",
};

/// A sheet of paper, upright, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paper {
    /// Its name.
    pub name: &'static str,
    /// Short side.
    pub width: f64,
    /// Long side.
    pub height: f64,
}

const fn iso(name: &'static str, width: f64, height: f64) -> Paper {
    Paper {
        name,
        width,
        height,
    }
}

const fn ansi(name: &'static str, width: f64, height: f64) -> Paper {
    iso(name, width * INCH, height * INCH)
}

/// The paper of most printers outside North America.
const A4: Paper = iso("A4", 210.0, 297.0);

impl Default for Paper {
    fn default() -> Self {
        A4
    }
}

/// Every paper: name, width and height in mm (ISO) or inches (ANSI).
pub const SIZES: &[Paper] = &[
    iso("A0", 841.0, 1189.0),
    iso("A1", 594.0, 841.0),
    iso("A2", 420.0, 594.0),
    iso("A3", 297.0, 420.0),
    A4,
    iso("A5", 148.0, 210.0),
    iso("A6", 105.0, 148.0),
    iso("B0", 1000.0, 1414.0),
    iso("B1", 707.0, 1000.0),
    iso("B2", 500.0, 707.0),
    iso("B3", 353.0, 500.0),
    iso("B4", 250.0, 353.0),
    iso("B5", 176.0, 250.0),
    ansi("Letter", 8.5, 11.0),
    ansi("Legal", 8.5, 14.0),
    ansi("Tabloid", 11.0, 17.0),
    ansi("ANSI A", 8.5, 11.0),
    ansi("ANSI B", 11.0, 17.0),
    ansi("ANSI C", 17.0, 22.0),
    ansi("ANSI D", 22.0, 34.0),
    ansi("ANSI E", 34.0, 44.0),
];

/// The paper of a name.
pub fn find(name: &str) -> Result<&'static Paper, Refusal> {
    let plain = scan::plain(name);
    let found = SIZES
        .iter()
        .find(|paper| paper.name.to_lowercase() == plain);
    found.ok_or_else(|| {
        let near = nearest(&plain, SIZES.iter().map(|paper| paper.name));
        let all: Vec<&str> = SIZES.iter().map(|paper| paper.name).collect();
        Refusal::new(format!("no paper \"{name}\"")).remedy(match near {
            Some(near) => format!("did you mean {near}?"),
            None => format!("there are {}", all.join(", ")),
        })
    })
}

const PAPER: Parameter = Parameter::words("paper");

/// What recipes can ask about paper.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "paper_width",
        parameters: &[PAPER],
        says: "short side of a paper size: \"A4\", \"Letter\"",
        source: ORIGIN.source,
        call: |given| Ok(Value::length(find(given.one()?)?.width)),
    },
    Function {
        name: "paper_height",
        parameters: &[PAPER],
        says: "long side of a paper size",
        source: ORIGIN.source,
        call: |given| Ok(Value::length(find(given.one()?)?.height)),
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn iso_sizes_halve_their_long_side() {
        let series = |letter: &str| -> Vec<&Paper> {
            SIZES
                .iter()
                .filter(|p| p.name.len() == 2 && p.name.starts_with(letter))
                .collect()
        };
        for letter in ["A", "B"] {
            for pair in series(letter).windows(2) {
                assert_eq!(pair[1].height, pair[0].width);
                assert!((pair[0].height / 2.0 - pair[1].width).abs() < 1.0);
            }
        }
    }
}
