//! Clearance holes for bolts: ISO 273 for metric, ASME B18.2.8 for inch sizes.

use super::drill::Drill;
use super::origin::Origin;
use super::scan;
use super::thread::{System, THREAD, Thread};
use crate::fault::{Refusal, nearest};
use crate::quantity::{Argument, Function, Parameter, Value};

/// Metric clearance holes.
pub const ISO_273: Origin = Origin {
    title: "clearance holes for metric bolts: fine H12, medium H13, coarse H14",
    source: "ISO 273",
    verified: "M3, M3.5, M5 to M24 looked up; M1 to M2.5, M4, M4.5, M8, M16 and over M24 from memory",
};

/// Inch clearance holes.
pub const ASME_B18_2_8: Origin = Origin {
    title: "clearance holes for inch bolts: close, normal, loose",
    source: "ASME B18.2.8-1999 (R2017) Table 1a",
    verified: "1/4 to 1 in: loose looked up, close and normal from memory, each consistent with the \
               metric drill looked up; number sizes and over 1 in from memory; #12 and 9/16 are not \
               in the standard and follow the allowances of their neighbours (common practice)",
};

/// How much room a bolt has in its hole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Fit {
    /// ISO 273 fine, B18.2.8 close.
    Close,
    /// ISO 273 medium, B18.2.8 normal.
    #[default]
    Normal,
    /// ISO 273 coarse, B18.2.8 loose.
    Loose,
}

impl Fit {
    const WORDS: [(&'static str, Self); 6] = [
        ("fine", Self::Close),
        ("close", Self::Close),
        ("medium", Self::Normal),
        ("normal", Self::Normal),
        ("coarse", Self::Loose),
        ("loose", Self::Loose),
    ];

    /// The fit a word names; the metric and the inch words serve both kinds.
    pub fn read(word: &str) -> Result<Self, Refusal> {
        let plain = scan::plain(word);
        if let Some((_, fit)) = Self::WORDS.iter().find(|(name, _)| *name == plain) {
            return Ok(*fit);
        }
        let near = nearest(&plain, Self::WORDS.map(|(name, _)| name));
        Err(
            Refusal::new(format!("no fit \"{word}\"")).remedy(match near {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => "write fine, medium or coarse (inch: close, normal or loose)".to_owned(),
            }),
        )
    }
}

impl<'a> Argument<'a> for Fit {
    fn take(value: Option<&'a Value>) -> Result<Self, Refusal> {
        Self::read(Argument::take(value)?)
    }
}

/// The clearance hole of a thread, mm.
pub fn hole(thread: &Thread, fit: Fit) -> Result<f64, Refusal> {
    Ok(drill(thread, fit)?.diameter())
}

/// The drill that makes the clearance hole of a thread.
pub fn drill(thread: &Thread, fit: Fit) -> Result<Drill, Refusal> {
    let column = match fit {
        Fit::Close => 0,
        Fit::Normal => 1,
        Fit::Loose => 2,
    };
    match thread.system {
        System::Metric => METRIC
            .iter()
            .find(|(size, ..)| *size == thread.size)
            .map(|row| Drill::Metric([row.2, row.3, row.4][column]))
            .ok_or_else(|| no_row(thread)),
        System::Inch => INCH_SIZES
            .iter()
            .find(|(size, _)| *size == thread.size)
            .map(|(_, drills)| Drill::Inch(drills[column]))
            .ok_or_else(|| no_row(thread)),
    }
}

fn no_row(thread: &Thread) -> Refusal {
    let (size, standard) = (thread.size, ISO_273.source);
    let near = scan::neighbours(METRIC.iter().map(|row| (row.0, row.1)), thread.diameter);
    Refusal::new(format!("no clearance hole for {size} in {standard}"))
        .remedy(format!("the nearest rows are {near}"))
}

/// Size, diameter, fine, medium, coarse; mm.
const METRIC: &[(&str, f64, f64, f64, f64)] = &[
    ("M1", 1.0, 1.1, 1.2, 1.3),
    ("M1.2", 1.2, 1.3, 1.4, 1.5),
    ("M1.4", 1.4, 1.5, 1.6, 1.8),
    ("M1.6", 1.6, 1.7, 1.8, 2.0),
    ("M1.8", 1.8, 2.0, 2.1, 2.2),
    ("M2", 2.0, 2.2, 2.4, 2.6),
    ("M2.5", 2.5, 2.7, 2.9, 3.1),
    ("M3", 3.0, 3.2, 3.4, 3.6),
    ("M3.5", 3.5, 3.7, 3.9, 4.2),
    ("M4", 4.0, 4.3, 4.5, 4.8),
    ("M4.5", 4.5, 4.8, 5.0, 5.3),
    ("M5", 5.0, 5.3, 5.5, 5.8),
    ("M6", 6.0, 6.4, 6.6, 7.0),
    ("M7", 7.0, 7.4, 7.6, 8.0),
    ("M8", 8.0, 8.4, 9.0, 10.0),
    ("M10", 10.0, 10.5, 11.0, 12.0),
    ("M12", 12.0, 13.0, 13.5, 14.5),
    ("M14", 14.0, 15.0, 15.5, 16.5),
    ("M16", 16.0, 17.0, 17.5, 18.5),
    ("M18", 18.0, 19.0, 20.0, 21.0),
    ("M20", 20.0, 21.0, 22.0, 24.0),
    ("M22", 22.0, 23.0, 24.0, 26.0),
    ("M24", 24.0, 25.0, 26.0, 28.0),
    ("M27", 27.0, 28.0, 30.0, 32.0),
    ("M30", 30.0, 31.0, 33.0, 35.0),
    ("M33", 33.0, 34.0, 36.0, 38.0),
    ("M36", 36.0, 37.0, 39.0, 42.0),
    ("M39", 39.0, 40.0, 42.0, 45.0),
    ("M42", 42.0, 43.0, 45.0, 48.0),
    ("M45", 45.0, 46.0, 48.0, 52.0),
    ("M48", 48.0, 50.0, 52.0, 56.0),
    ("M52", 52.0, 54.0, 56.0, 62.0),
    ("M56", 56.0, 58.0, 62.0, 66.0),
    ("M60", 60.0, 62.0, 66.0, 70.0),
    ("M64", 64.0, 66.0, 70.0, 74.0),
];

/// Size, and the drills for close, normal and loose.
const INCH_SIZES: &[(&str, [&str; 3])] = &[
    ("#0", ["#51", "#48", "3/32"]),
    ("#1", ["#46", "#43", "#37"]),
    ("#2", ["3/32", "#38", "#32"]),
    ("#3", ["#36", "#32", "#30"]),
    ("#4", ["#31", "#30", "#27"]),
    ("#5", ["9/64", "5/32", "11/64"]),
    ("#6", ["#23", "#18", "#13"]),
    ("#8", ["#15", "#9", "#3"]),
    ("#10", ["#5", "#2", "B"]),
    ("#12", ["15/64", "1/4", "17/64"]),
    ("1/4", ["17/64", "9/32", "19/64"]),
    ("5/16", ["21/64", "11/32", "23/64"]),
    ("3/8", ["25/64", "13/32", "27/64"]),
    ("7/16", ["29/64", "15/32", "31/64"]),
    ("1/2", ["17/32", "9/16", "39/64"]),
    ("9/16", ["19/32", "5/8", "43/64"]),
    ("5/8", ["21/32", "11/16", "47/64"]),
    ("3/4", ["25/32", "13/16", "29/32"]),
    ("7/8", ["29/32", "15/16", "1-1/32"]),
    ("1", ["1-1/32", "1-3/32", "1-5/32"]),
    ("1-1/8", ["1-5/32", "1-7/32", "1-5/16"]),
    ("1-1/4", ["1-9/32", "1-11/32", "1-7/16"]),
    ("1-3/8", ["1-7/16", "1-1/2", "1-39/64"]),
    ("1-1/2", ["1-9/16", "1-5/8", "1-47/64"]),
];

/// What recipes can ask about clearance holes.
pub const FUNCTIONS: &[Function] = &[Function {
    name: "clearance",
    parameters: &[THREAD, Parameter::words("fit").optional()],
    says: "clearance hole of a bolt; fit is fine (close), medium (normal, unless given) or coarse (loose)",
    source: "ISO 273; ASME B18.2.8",
    call: |given| {
        let (thread, fit): (Thread, Option<Fit>) = given.take()?;
        hole(&thread, fit.unwrap_or_default()).map(Value::length)
    },
}];

#[cfg(test)]
mod tests {
    use super::super::thread::{Series, read};
    use super::super::thread_table::THREADS;
    use super::*;

    #[test]
    fn holes_grow_with_the_fit_and_clear_the_bolt() {
        for thread in THREADS.iter().filter(|t| t.series == Series::Coarse) {
            let Ok(close) = hole(thread, Fit::Close) else {
                assert!(
                    ["M9", "M11"].contains(&thread.size),
                    "{} has no row",
                    thread.size
                );
                continue;
            };
            let normal = hole(thread, Fit::Normal).expect("the row is there");
            let loose = hole(thread, Fit::Loose).expect("the row is there");
            assert!(
                thread.diameter < close && close < normal && normal < loose,
                "{}",
                thread.size
            );
        }
    }

    #[test]
    fn a_size_without_a_row_names_the_rows_beside_it() {
        let thread = read("M9").expect("M9 is a thread");
        let refusal = hole(&thread, Fit::Normal).expect_err("ISO 273 has no M9");
        let message = refusal.to_string();
        assert!(message.contains("M8 and M10"), "{message}");
    }
}
