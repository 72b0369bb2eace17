//! Wheel and hub bolt patterns in use.

use super::origin::Origin;
use super::scan::{self, Scan};
use super::unit::INCH;
use crate::fault::Refusal;
use crate::quantity::{Function, Parameter, Value};

/// Wheel patterns.
pub const ORIGIN: Origin = Origin {
    title: "wheel and hub bolt patterns",
    source: "common practice",
    verified: "three to eight studs of cars and light trucks looked up; 3x112, 4x110, 4x115, 4x136, \
               4x137, 4x144, 4x156, trailer, truck and rarer patterns from memory",
};

/// Studs and pitch circle, mm. Inch patterns are exact: 101.6 is 4 in, 114.3 is 4-1/2, 120.65 is
/// 4-3/4, 127 is 5, 139.7 is 5-1/2, 165.1 is 6-1/2. 108 mm is not 4-1/4 in (107.95).
pub const PATTERNS: &[(u32, f64)] = &[
    (3, 112.0),
    (3, 160.0),
    (4, 95.25),
    (4, 98.0),
    (4, 100.0),
    (4, 101.6),
    (4, 108.0),
    (4, 110.0),
    (4, 114.3),
    (4, 115.0),
    (4, 130.0),
    (4, 136.0),
    (4, 137.0),
    (4, 140.0),
    (4, 144.0),
    (4, 156.0),
    (4, 160.0),
    (5, 98.0),
    (5, 100.0),
    (5, 101.6),
    (5, 105.0),
    (5, 108.0),
    (5, 110.0),
    (5, 112.0),
    (5, 114.3),
    (5, 115.0),
    (5, 118.0),
    (5, 120.0),
    (5, 120.65),
    (5, 127.0),
    (5, 130.0),
    (5, 135.0),
    (5, 139.7),
    (5, 140.0),
    (5, 150.0),
    (5, 155.0),
    (5, 160.0),
    (5, 165.1),
    (5, 205.0),
    (6, 114.3),
    (6, 115.0),
    (6, 120.0),
    (6, 125.0),
    (6, 127.0),
    (6, 130.0),
    (6, 132.0),
    (6, 135.0),
    (6, 139.7),
    (6, 170.0),
    (6, 180.0),
    (6, 205.0),
    (6, 222.25),
    (8, 165.1),
    (8, 170.0),
    (8, 180.0),
    (8, 200.0),
    (8, 210.0),
    (8, 225.0),
    (8, 275.0),
    (10, 225.0),
    (10, 285.75),
    (10, 335.0),
];

/// How far a circle written in mm may be from the pattern's: `120.7` is 120.65.
const SAME_MM: f64 = 0.06;
/// How far a circle written in inches may be from the pattern's, mm: 4-1/4 in is not 108 mm.
const SAME_INCH: f64 = 0.01;
/// A bare figure below this is inches, from it on millimetres: no wheel has a 20 mm circle.
const INCHES_BELOW: f64 = 20.0;

/// The patterns of a number of studs nearest to a circle in mm, nearest first.
#[must_use]
pub fn nearest(studs: u32, circle: f64) -> Vec<f64> {
    let mut circles: Vec<f64> = PATTERNS
        .iter()
        .filter(|(count, _)| *count == studs)
        .map(|(_, circle)| *circle)
        .collect();
    circles.sort_by(|a, b| (a - circle).abs().total_cmp(&(b - circle).abs()));
    circles
}

/// Studs and circle in mm of a pattern as written: `5x114.3`, `5 on 4-1/2`, `4x4 in`.
pub fn read(text: &str) -> Result<(u32, f64), Refusal> {
    let plain = scan::plain(text);
    let (studs, written, slack) = scan_pattern(&mut Scan(&plain)).ok_or_else(|| {
        Refusal::new(format!("no wheel pattern \"{text}\""))
            .remedy("write it as \"5x114.3\" or \"5 on 4-1/2 in\"")
    })?;
    let near = nearest(studs, written);
    match near.first() {
        Some(circle) if (circle - written).abs() <= slack => Ok((studs, *circle)),
        Some(_) => {
            let names: Vec<String> = near
                .iter()
                .take(2)
                .map(|circle| format!("{studs}x{circle}"))
                .collect();
            Err(
                Refusal::new(format!("no wheel pattern \"{text}\" in the table"))
                    .remedy(format!("the nearest are {}", names.join(" and "))),
            )
        }
        None => Err(no_pattern(studs)),
    }
}

fn no_pattern(studs: u32) -> Refusal {
    let mut counts: Vec<u32> = PATTERNS.iter().map(|(count, _)| *count).collect();
    counts.dedup();
    let counts: Vec<String> = counts.iter().map(u32::to_string).collect();
    Refusal::new(format!("no wheel pattern with {studs} studs in the table")).remedy(format!(
        "it has patterns of {} studs; give the circle itself for any other",
        counts.join(", ")
    ))
}

/// Studs, circle in mm, and how far that may be from the pattern's.
fn scan_pattern(scan: &mut Scan<'_>) -> Option<(u32, f64, f64)> {
    scan.blanks();
    let studs = scan.whole()?;
    scan.word(&["x", "on", "-", "/"])?;
    let size = scan.size()?;
    let metric = match scan.word(&["mm", "inches", "inch", "in", "\""]) {
        Some(unit) => unit == "mm",
        None => size >= INCHES_BELOW,
    };
    let (unit, slack) = if metric {
        (1.0, SAME_MM)
    } else {
        (INCH, SAME_INCH)
    };
    scan.is_done().then_some((studs, size * unit, slack))
}

/// A pitch circle written without a unit, mm: inches below 20, millimetres from there on.
#[must_use]
pub fn bare_circle(text: &str) -> Option<f64> {
    let plain = scan::plain(text);
    let mut scan = Scan(&plain);
    let size = scan.size().filter(|_| scan.is_done())?;
    Some(if size < INCHES_BELOW {
        size * INCH
    } else {
        size
    })
}

/// What recipes can ask about wheels.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "wheel_circle",
        parameters: &[Parameter::words("pattern")],
        says: "pitch circle of a wheel pattern: \"5x114.3\", \"5 on 4-1/2 in\"",
        source: ORIGIN.source,
        call: |given| read(given.one()?).map(|(_, circle)| Value::length(circle)),
    },
    Function {
        name: "wheel_studs",
        parameters: &[Parameter::words("pattern")],
        says: "number of studs of a wheel pattern",
        source: ORIGIN.source,
        call: |given| read(given.one()?).map(|(studs, _)| Value::number(f64::from(studs))),
    },
    Function {
        name: "nearest_wheel_circle",
        parameters: &[
            Parameter::count("n", 1),
            Parameter::length("circle").positive(),
        ],
        says: "pitch circle of the wheel pattern with n studs nearest to a measured one",
        source: ORIGIN.source,
        call: |given| {
            let (studs, circle) = given.take()?;
            let near = nearest(studs, circle).into_iter().next();
            near.map(Value::length).ok_or_else(|| no_pattern(studs))
        },
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pattern_may_be_written_in_mm_or_inches() {
        for text in [
            "5x114.3",
            "5 x 114.3 mm",
            "5×4.5",
            "5 on 4-1/2",
            "5x4.5\"",
            "5-114.3",
            "5 on 4-1/2 in",
        ] {
            assert_eq!(read(text), Ok((5, 114.3)), "{text}");
        }
        assert_eq!(read("5x120.7"), Ok((5, 120.65)));
    }

    #[test]
    fn near_patterns_are_not_mixed_up() {
        let message = read("5x4-1/4")
            .expect_err("107.95 is not 108 here")
            .to_string();
        assert!(message.contains("5x108"), "{message}");
    }

    #[test]
    fn a_caliper_reading_between_studs_finds_its_pattern() {
        let measured = super::super::circle::from_chord(5, 67.3, 0);
        assert_eq!(nearest(5, measured).first(), Some(&114.3));
    }
}
