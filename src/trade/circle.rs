//! Bolt circles: chords, positions, and the circle behind a caliper reading.

use std::f64::consts::{PI, TAU};

use super::given::Given;
use crate::quantity::{Dimension, Function, Parameter, Value};

const HANDBOOK: &str = "Machinery's Handbook, spacing holes on circles";

/// Straight distance between the centres of neighbouring holes, mm: D sin(π / n).
#[must_use]
pub fn chord(count: u32, circle: f64) -> f64 {
    circle * (PI / f64::from(count)).sin()
}

/// Pitch circle from the distance between two holes with `skipped` holes between them, mm:
/// chord / sin((skipped + 1) π / n).
#[must_use]
pub fn from_chord(count: u32, chord: f64, skipped: u32) -> f64 {
    chord / (f64::from(skipped + 1) * PI / f64::from(count)).sin()
}

/// Pitch circle from the distance of a hole to the midpoint of the two holes opposite, for an odd
/// count, mm: 2 distance / (1 + cos(π / n)).
#[must_use]
pub fn from_midpoint(count: u32, distance: f64) -> f64 {
    2.0 * distance / (1.0 + (PI / f64::from(count)).cos())
}

/// Angle of the `k`-th hole (from 1), radians from +x, counter-clockwise.
#[must_use]
pub fn hole_angle(count: u32, k: u32, start: f64) -> f64 {
    start + f64::from(k - 1) * TAU / f64::from(count)
}

const COUNT: Parameter = Parameter::Quantity("n", Dimension::NONE);
const CIRCLE: Parameter = Parameter::Quantity("circle", Dimension::LENGTH);
const HOLE: &[Parameter] = &[
    COUNT,
    CIRCLE,
    Parameter::Quantity("k", Dimension::NONE),
    Parameter::OptionalQuantity("start", Dimension::ANGLE),
];

/// Radius of the circle and angle of the hole asked for.
fn hole(values: &[Value]) -> Result<(f64, f64), String> {
    let given = Given(values);
    let count = given.count(0, 1, "number of holes")?;
    let circle = given.not_negative(1, "circle")?;
    let k = given.count(2, 1, "hole, counted from 1,")?;
    if k > count {
        return Err(format!("there is no hole {k} among {count}"));
    }
    let start = given.amount_if_any(3)?.unwrap_or(0.0);
    Ok((circle / 2.0, hole_angle(count, k, start)))
}

/// What recipes can ask about bolt circles.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "chord",
        parameters: &[COUNT, CIRCLE],
        says: "distance between neighbouring holes of a bolt circle: circle * sin(180 deg / n)",
        source: HANDBOOK,
        call: |values| {
            let given = Given(values);
            let count = given.count(0, 2, "number of holes")?;
            Ok(Value::length(chord(
                count,
                given.not_negative(1, "circle")?,
            )))
        },
    },
    Function {
        name: "circle_from_chord",
        parameters: &[
            COUNT,
            Parameter::Quantity("chord", Dimension::LENGTH),
            Parameter::OptionalQuantity("skipped", Dimension::NONE),
        ],
        says: "bolt circle from the distance between two studs; skipped counts the studs between them",
        source: HANDBOOK,
        call: |values| {
            let given = Given(values);
            let count = given.count(0, 2, "number of holes")?;
            let chord = given.not_negative(1, "chord")?;
            let skipped = given.count_or(2, 0, 0, "number of skipped studs")?;
            if skipped + 1 >= count {
                return Err(format!(
                    "between two of {count} studs at most {} are skipped",
                    count - 2
                ));
            }
            Ok(Value::length(from_chord(count, chord, skipped)))
        },
    },
    Function {
        name: "circle_from_midpoint",
        parameters: &[COUNT, Parameter::Quantity("distance", Dimension::LENGTH)],
        says: "bolt circle from the distance of a hole to the midpoint of the two opposite, for an odd number of holes",
        source: HANDBOOK,
        call: |values| {
            let given = Given(values);
            let count = given.count(0, 3, "number of holes")?;
            if count % 2 == 0 {
                return Err(format!(
                    "with {count} holes one lies straight opposite another: measure across the two"
                ));
            }
            Ok(Value::length(from_midpoint(
                count,
                given.not_negative(1, "distance")?,
            )))
        },
    },
    Function {
        name: "hole_x",
        parameters: HOLE,
        says: "x of the k-th hole (from 1) of a bolt circle about the origin, the first at start from +x, counter-clockwise",
        source: HANDBOOK,
        call: |values| hole(values).map(|(radius, angle)| Value::length(radius * angle.cos())),
    },
    Function {
        name: "hole_y",
        parameters: HOLE,
        says: "y (up) of the k-th hole (from 1) of a bolt circle about the origin, the first at start from +x, counter-clockwise",
        source: HANDBOOK,
        call: |values| hole(values).map(|(radius, angle)| Value::length(radius * angle.sin())),
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
