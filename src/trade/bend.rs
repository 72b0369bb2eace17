//! Bends: how much flat plate a bend takes.
//!
//! Angles are bend (rotation) angles, not included angles: a flat strip has 0, a square corner 90°.
//! K is the share of the thickness, from the inside, at which the length does not change.

use std::f64::consts::{FRAC_PI_2, PI};

use super::given::Given;
use super::scan;
use crate::quantity::{Dimension, Function, Parameter, Value};

const SHOP: &str = "sheet-metal shop formulas; Machinery's Handbook, bending sheet metal";

/// Length of the neutral line through a bend, mm: angle · (R + K T).
#[must_use]
pub fn allowance(angle: f64, radius: f64, thickness: f64, k: f64) -> f64 {
    angle * (radius + k * thickness)
}

/// From the tangent line to the apex of the outer faces, mm: tan(angle / 2) · (R + T).
#[must_use]
pub fn setback(angle: f64, radius: f64, thickness: f64) -> f64 {
    (angle / 2.0).tan() * (radius + thickness)
}

/// What to take off the two outside legs for the flat length, mm: 2 · setback − allowance.
#[must_use]
pub fn deduction(angle: f64, radius: f64, thickness: f64, k: f64) -> f64 {
    2.0 * setback(angle, radius, thickness) - allowance(angle, radius, thickness, k)
}

/// Length of stock for a bend by the handbook, mm: (c T + 1.57 R) · angle / 90°.
fn stock(angle: f64, radius: f64, thickness: f64, c: f64) -> f64 {
    (c * thickness + 1.57 * radius) * angle / FRAC_PI_2
}

/// c of [`stock`] by how hard the material is; Machinery's Handbook 31st ed. p. 1421.
const STOCK: &[(&str, f64)] = &[
    ("soft brass", 0.55),
    ("soft copper", 0.55),
    ("half-hard copper", 0.64),
    ("half-hard brass", 0.64),
    ("soft steel", 0.64),
    ("mild steel", 0.64),
    ("aluminium", 0.64),
    ("bronze", 0.71),
    ("hard copper", 0.71),
    ("cold-rolled steel", 0.71),
    ("spring steel", 0.71),
];

fn stock_factor(material: &str) -> Result<f64, String> {
    let plain = scan::plain(material).replace("aluminum", "aluminium");
    let found = STOCK.iter().find(|(name, _)| *name == plain);
    found.map(|(_, c)| *c).ok_or_else(|| {
        let names: Vec<&str> = STOCK.iter().map(|(name, _)| *name).collect();
        format!(
            "no bending rule for \"{material}\"; there are {}",
            names.join(", ")
        )
    })
}

const ANGLE: Parameter = Parameter::Quantity("angle", Dimension::ANGLE);
const RADIUS: Parameter = Parameter::Quantity("radius", Dimension::LENGTH);
const THICKNESS: Parameter = Parameter::Quantity("thickness", Dimension::LENGTH);
const K: Parameter = Parameter::Quantity("k", Dimension::NONE);

/// Angle, radius and thickness as given, within their range.
fn bend(given: Given<'_>, most: f64) -> Result<(f64, f64, f64), String> {
    let angle = given.not_negative(0, "bend angle")?;
    if angle > most {
        return Err(
            "the bend angle is measured from flat and stays under 180 deg here: \
                    the outer faces of a full fold have no apex"
                .to_owned(),
        );
    }
    let radius = given.not_negative(1, "inside radius")?;
    let thickness = given.positive(2, "thickness")?;
    Ok((angle, radius, thickness))
}

fn given_k(given: Given<'_>) -> Result<f64, String> {
    let k = given.amount(3)?;
    if (0.0..=1.0).contains(&k) {
        Ok(k)
    } else {
        Err("the K factor lies between 0 and 1, usually 0.33 to 0.5".to_owned())
    }
}

/// Just under a half turn, where the apex runs away.
const UNDER_HALF_TURN: f64 = PI - 1e-6;

/// What recipes can ask about bends.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "bend_allowance",
        parameters: &[ANGLE, RADIUS, THICKNESS, K],
        says: "flat length that a bend takes: angle * (radius + k * thickness); angle from flat, inside radius",
        source: SHOP,
        call: |values| {
            let given = Given(values);
            let (angle, radius, thickness) = bend(given, f64::INFINITY)?;
            Ok(Value::length(allowance(
                angle,
                radius,
                thickness,
                given_k(given)?,
            )))
        },
    },
    Function {
        name: "bend_deduction",
        parameters: &[ANGLE, RADIUS, THICKNESS, K],
        says: "what to take off the sum of the outside legs: 2 * setback - bend_allowance",
        source: SHOP,
        call: |values| {
            let given = Given(values);
            let (angle, radius, thickness) = bend(given, UNDER_HALF_TURN)?;
            Ok(Value::length(deduction(
                angle,
                radius,
                thickness,
                given_k(given)?,
            )))
        },
    },
    Function {
        name: "setback",
        parameters: &[ANGLE, RADIUS, THICKNESS],
        says: "from the tangent line of a bend to the outside apex: tan(angle / 2) * (radius + thickness)",
        source: SHOP,
        call: |values| {
            let (angle, radius, thickness) = bend(Given(values), UNDER_HALF_TURN)?;
            Ok(Value::length(setback(angle, radius, thickness)))
        },
    },
    Function {
        name: "bend_stock",
        parameters: &[ANGLE, RADIUS, THICKNESS, Parameter::Text("material")],
        says: "flat length that a bend takes by the handbook's rule: (c thickness + 1.57 radius) * angle / 90 deg; c 0.55 soft brass, 0.64 soft steel and aluminium, 0.71 cold-rolled steel",
        source: "Machinery's Handbook 31st ed. p. 1421",
        call: |values| {
            let given = Given(values);
            let (angle, radius, thickness) = bend(given, f64::INFINITY)?;
            let c = stock_factor(given.text(3)?)?;
            Ok(Value::length(stock(angle, radius, thickness, c)))
        },
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_bend_of_no_radius_deducts_two_thicknesses_less_the_neutral_arc() {
        let d = deduction(FRAC_PI_2, 0.0, 3.0, 0.4);
        assert!((d - (6.0 - FRAC_PI_2 * 1.2)).abs() < 1e-12);
    }
}
