//! How near a bolt hole may come to an edge, and the standard holes of structural steelwork.

use super::origin::Origin;
use super::scan;
use super::thread::{System, THREAD, Thread};
use super::unit::INCH;
use crate::fault::{Refusal, nearest};
use crate::geometry::Tolerance;
use crate::quantity::{Argument, Function, Parameter, Value};

/// Edge distances.
pub const J3_4: Origin = Origin {
    title: "least distance from the centre of a standard hole to an edge",
    source: "AISC 360-16 Table J3.4 and J3.4M",
    verified: "1/2, 3/4, 7/8, 1-1/8, 1-1/4 in and M16, M22, M24, M27, M36 looked up; other rows from memory",
};

/// Standard, oversized and slotted holes.
pub const J3_3: Origin = Origin {
    title: "nominal hole dimensions: standard, oversized, short and long slots",
    source: "AISC 360-16 Table J3.3 and J3.3M",
    verified: "1/2 to 3/4 in and M16, M22, M24, M30 looked up; other rows from memory; the standard \
               hole of a 1 in bolt is 1-1/8 in since the 2016 edition, 1-1/16 in before",
};

/// Least edge distance over the last row of the table, in bolt diameters (note to the table).
const ABOVE_TABLE: f64 = 1.25;
/// Least edge distance below the first row, in bolt diameters: common practice, no source.
const BELOW_TABLE: f64 = 1.5;
/// Least edge distance where no thread is known, in hole diameters: common practice, no source.
pub const EDGE_OF_HOLE: f64 = 1.5;
/// Least distance between bolts of one joint, centre to centre, in diameters (AISC 360 J3.3).
pub const LEAST_SPACING: f64 = 8.0 / 3.0;
/// Where that stands.
const J3_3_SPACING: &str = "AISC 360-16 Section J3.3";

/// Bolt diameter and edge distance, inch.
const INCH_ROWS: &[(f64, f64)] = &[
    (0.5, 0.75),
    (0.625, 0.875),
    (0.75, 1.0),
    (0.875, 1.125),
    (1.0, 1.25),
    (1.125, 1.5),
    (1.25, 1.625),
];

/// Bolt diameter and edge distance, mm.
const METRIC_ROWS: &[(f64, f64)] = &[
    (16.0, 22.0),
    (20.0, 26.0),
    (22.0, 28.0),
    (24.0, 30.0),
    (27.0, 34.0),
    (30.0, 38.0),
    (36.0, 46.0),
];

/// Least distance from the centre of a bolt hole to an edge, mm.
///
/// AISC 360 Table J3.4 (J3.4M). A size between two rows takes the larger row. Over 1-1/4 in (M36)
/// it is 1.25 d, as the table's note says. Below 1/2 in (M16) the table has no row: 1.5 d, which is
/// common practice and not of the standard.
#[must_use]
pub fn edge_distance(thread: &Thread) -> f64 {
    let (rows, unit) = match thread.system {
        System::Inch => (INCH_ROWS, INCH),
        System::Metric => (METRIC_ROWS, 1.0),
    };
    let d = thread.diameter;
    if d + Tolerance::SAME < rows[0].0 * unit {
        return BELOW_TABLE * d;
    }
    rows.iter()
        .find(|(size, _)| size * unit + Tolerance::SAME >= d)
        .map_or(ABOVE_TABLE * d, |(_, edge)| edge * unit)
}

/// Where [`edge_distance`] has its figure from for this thread.
#[must_use]
pub fn edge_source(thread: &Thread) -> &'static str {
    let first = match thread.system {
        System::Inch => INCH_ROWS[0].0 * INCH,
        System::Metric => METRIC_ROWS[0].0,
    };
    if thread.diameter + Tolerance::SAME < first {
        "common practice, 1.5 d (AISC 360 Table J3.4 has no row below 1/2 in or M16)"
    } else {
        J3_4.source
    }
}

/// A kind of structural bolt hole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum BoltHole {
    #[default]
    Standard,
    Oversized,
    ShortSlot,
    LongSlot,
}

impl BoltHole {
    const WORDS: [(&'static str, Self); 4] = [
        ("standard", Self::Standard),
        ("oversized", Self::Oversized),
        ("short slot", Self::ShortSlot),
        ("long slot", Self::LongSlot),
    ];

    fn read(word: &str) -> Result<Self, Refusal> {
        let plain = scan::plain(word);
        let found = Self::WORDS.iter().find(|(name, _)| *name == plain);
        found.map(|(_, hole)| *hole).ok_or_else(|| {
            let near = nearest(&plain, Self::WORDS.map(|(name, _)| name));
            Refusal::new(format!("no hole \"{word}\"")).remedy(match near {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => "there are standard, oversized, short slot and long slot".to_owned(),
            })
        })
    }
}

impl<'a> Argument<'a> for BoltHole {
    fn take(value: Option<&'a Value>) -> Result<Self, Refusal> {
        Self::read(Argument::take(value)?)
    }
}

/// Bolt diameter; standard, oversized, short slot length, long slot length; inch.
const INCH_HOLES: &[(f64, [f64; 4])] = &[
    (0.5, [0.5625, 0.625, 0.6875, 1.25]),
    (0.625, [0.6875, 0.8125, 0.875, 1.5625]),
    (0.75, [0.8125, 0.9375, 1.0, 1.875]),
    (0.875, [0.9375, 1.0625, 1.125, 2.1875]),
    (1.0, [1.125, 1.25, 1.3125, 2.5]),
];

/// Bolt diameter; standard, oversized, short slot length, long slot length; mm.
const METRIC_HOLES: &[(f64, [f64; 4])] = &[
    (16.0, [18.0, 20.0, 22.0, 40.0]),
    (20.0, [22.0, 24.0, 26.0, 50.0]),
    (22.0, [24.0, 28.0, 30.0, 55.0]),
    (24.0, [27.0, 30.0, 32.0, 60.0]),
    (27.0, [30.0, 35.0, 37.0, 67.0]),
    (30.0, [33.0, 38.0, 40.0, 75.0]),
];

/// From 1-1/8 in on: what is added to the diameter, inch; a long slot is 2.5 d.
const INCH_LARGE: (f64, [f64; 3]) = (1.125, [0.125, 0.3125, 0.375]);
/// From M36 on: what is added to the diameter, mm; a long slot is 2.5 d.
const METRIC_LARGE: (f64, [f64; 3]) = (36.0, [3.0, 8.0, 10.0]);

fn structural_hole(thread: &Thread, hole: BoltHole) -> Result<f64, Refusal> {
    let (rows, (large, add), unit) = match thread.system {
        System::Inch => (INCH_HOLES, INCH_LARGE, INCH),
        System::Metric => (METRIC_HOLES, METRIC_LARGE, 1.0),
    };
    let d = thread.diameter / unit;
    if d + Tolerance::SAME >= large {
        return Ok(unit
            * match hole {
                BoltHole::Standard => d + add[0],
                BoltHole::Oversized => d + add[1],
                BoltHole::ShortSlot => d + add[2],
                BoltHole::LongSlot => 2.5 * d,
            });
    }
    let row = rows
        .iter()
        .find(|(size, _)| (size - d).abs() < Tolerance::SAME);
    row.map(|(_, holes)| holes[hole as usize] * unit)
        .ok_or_else(|| {
            Refusal::new(format!("{} has no row for {}", J3_3.source, thread.size)).remedy(
            "it has 1/2, 5/8, 3/4, 7/8, 1 in and over, M16, M20, M22, M24, M27, M30, M36 and over",
        )
        })
}

/// Where the limit stands that a function gives; `None` for one that gives something else.
#[must_use]
pub fn source_of_limit(function: &str) -> Option<&'static str> {
    const LIMITS: [&str; 2] = ["edge", "spacing"];
    let mut limits = FUNCTIONS.iter().filter(|it| LIMITS.contains(&it.name));
    limits.find(|it| it.name == function).map(|it| it.source)
}

/// What recipes can ask about edges and structural holes.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "edge",
        parameters: &[THREAD],
        says: "least distance from the centre of a bolt hole to an edge; below 1/2 in or M16 1.5 d, which is common practice and not the table",
        source: J3_4.source,
        call: |given| Ok(Value::length(edge_distance(&given.one()?))),
    },
    Function {
        name: "spacing",
        parameters: &[THREAD],
        says: "least distance between two bolts of one joint, centre to centre: 2-2/3 diameters",
        source: J3_3_SPACING,
        call: |given| {
            let thread: Thread = given.one()?;
            Ok(Value::length(LEAST_SPACING * thread.diameter))
        },
    },
    Function {
        name: "structural_hole",
        parameters: &[THREAD, Parameter::words("kind").optional()],
        says: "hole diameter (\"standard\", \"oversized\") or slot length (\"short slot\", \"long slot\"; as wide as the standard hole)",
        source: J3_3.source,
        call: |given| {
            let (thread, hole): (Thread, Option<BoltHole>) = given.take()?;
            structural_hole(&thread, hole.unwrap_or_default()).map(Value::length)
        },
    },
];

#[cfg(test)]
mod tests {
    use super::super::thread::read;
    use super::*;

    fn edge(text: &str) -> f64 {
        edge_distance(&read(text).expect("a thread"))
    }

    #[test]
    fn between_rows_the_larger_row_holds_and_beyond_them_the_factors() {
        for (size, expected) in [
            ("9/16 in", 0.875 * INCH),
            ("M18", 26.0),
            ("M10", 15.0),
            ("3/8 in", 1.5 * 0.375 * INCH),
            ("M39", 48.75),
            ("1-1/2 in", 1.875 * INCH),
        ] {
            assert!(
                (edge(size) - expected).abs() < Tolerance::SAME,
                "{size}: {}",
                edge(size)
            );
        }
    }

    #[test]
    fn a_factor_from_practice_is_not_passed_off_as_the_standard() {
        let small = read("M10").expect("a thread");
        assert!(edge_source(&small).starts_with("common practice"));
        let large = read("M20").expect("a thread");
        assert_eq!(edge_source(&large), J3_4.source);
    }
}
