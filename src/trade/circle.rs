//! Bolt circles: chords, positions, and the circle behind a caliper reading.

use std::f64::consts::{PI, TAU};

use crate::elementary;
use crate::fault::Refusal;
use crate::quantity::{Function, Given, Parameter, Value};

const HANDBOOK: &str = "Machinery's Handbook, spacing holes on circles";

/// Straight distance between the centres of neighbouring holes, mm: D sin(π / n).
#[must_use]
pub fn chord(count: u32, circle: f64) -> f64 {
    circle * elementary::sin(PI / f64::from(count))
}

/// Pitch circle from the distance between two holes with `skipped` holes between them, mm:
/// chord / sin((skipped + 1) π / n).
#[must_use]
pub fn from_chord(count: u32, chord: f64, skipped: u32) -> f64 {
    chord / elementary::sin(f64::from(skipped + 1) * PI / f64::from(count))
}

/// Pitch circle from the distance of a hole to the midpoint of the two holes opposite, for an odd
/// count, mm: 2 distance / (1 + cos(π / n)).
#[must_use]
pub fn from_midpoint(count: u32, distance: f64) -> f64 {
    2.0 * distance / (1.0 + elementary::cos(PI / f64::from(count)))
}

/// Angle of the `k`-th hole (from 1), radians from +x, counter-clockwise.
#[must_use]
pub fn hole_angle(count: u32, k: u32, start: f64) -> f64 {
    start + f64::from(k - 1) * TAU / f64::from(count)
}

const CIRCLE: Parameter = Parameter::length("circle").not_negative();
const HOLE: &[Parameter] = &[
    Parameter::count("n", 1),
    CIRCLE,
    Parameter::count("k", 1),
    Parameter::angle("start").otherwise(0.0),
];

/// Radius of the circle and angle of the hole asked for.
fn hole(given: Given<'_>) -> Result<(f64, f64), Refusal> {
    let (count, circle, k, start): (u32, f64, u32, f64) = given.take()?;
    if k > count {
        let refusal = Refusal::new(format!("there is no hole {k} among {count}"));
        return Err(refusal.remedy(format!("they are numbered from 1 to {count}")));
    }
    Ok((circle / 2.0, hole_angle(count, k, start)))
}

/// What recipes can ask about bolt circles.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "chord",
        parameters: &[Parameter::count("n", 2), CIRCLE],
        says: "distance between neighbouring holes of a bolt circle: circle * sin(180 deg / n)",
        source: HANDBOOK,
        call: |given| {
            let (count, circle) = given.take()?;
            Ok(Value::length(chord(count, circle)))
        },
    },
    Function {
        name: "circle_from_chord",
        parameters: &[
            Parameter::count("n", 2),
            Parameter::length("chord").not_negative(),
            Parameter::count("skipped", 0).otherwise(0.0),
        ],
        says: "bolt circle from the distance between two studs; skipped counts the studs between them",
        source: HANDBOOK,
        call: |given| {
            let (count, chord, skipped) = given.take()?;
            if skipped + 1 >= count {
                return Err(Refusal::new(format!(
                    "between two of {count} studs at most {} are skipped",
                    count - 2
                )));
            }
            Ok(Value::length(from_chord(count, chord, skipped)))
        },
    },
    Function {
        name: "circle_from_midpoint",
        parameters: &[
            Parameter::count("n", 3),
            Parameter::length("distance").not_negative(),
        ],
        says: "bolt circle from the distance of a hole to the midpoint of the two opposite, for an odd number of holes",
        source: HANDBOOK,
        call: |given| {
            let (count, distance) = given.take()?;
            if count % 2 == 0 {
                let cause = format!("with {count} holes one lies straight opposite another");
                return Err(Refusal::new(cause).remedy("measure across the two"));
            }
            Ok(Value::length(from_midpoint(count, distance)))
        },
    },
    Function {
        name: "hole_x",
        parameters: HOLE,
        says: "x of the k-th hole (from 1) of a bolt circle about the origin, the first at start from +x, counter-clockwise",
        source: HANDBOOK,
        call: |given| {
            hole(given).map(|(radius, angle)| Value::length(radius * elementary::cos(angle)))
        },
    },
    Function {
        name: "hole_y",
        parameters: HOLE,
        says: "y (up) of the k-th hole (from 1) of a bolt circle about the origin, the first at start from +x, counter-clockwise",
        source: HANDBOOK,
        call: |given| {
            hole(given).map(|(radius, angle)| Value::length(radius * elementary::sin(angle)))
        },
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;

    #[test]
    fn a_chord_leads_back_to_its_circle_whatever_is_skipped() {
        for count in 3..=12 {
            for skipped in 0..count - 1 {
                let at = |k| Point::ORIGIN.polar(50.0, hole_angle(count, k, 0.3));
                let apart = at(1).distance(at(skipped + 2));
                assert!((from_chord(count, apart, skipped) - 100.0).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn the_midpoint_opposite_leads_back_to_the_circle() {
        for count in [3, 5, 7] {
            let half = f64::from(count / 2) * TAU / f64::from(count);
            let distance = 50.0 - 50.0 * half.cos();
            assert!((from_midpoint(count, distance) - 100.0).abs() < 1e-9);
        }
    }
}
