//! Bends: how much flat plate a bend takes.
//!
//! Angles are bend (rotation) angles, not included angles: a flat strip has 0, a square corner 90°.
//! K is the share of the thickness, from the inside, at which the length does not change.

use std::f64::consts::{FRAC_PI_2, PI};

use super::scan;
use crate::elementary;
use crate::fault::Refusal;
use crate::quantity::{Function, Parameter, Value};

const SHOP: &str = "sheet-metal shop formulas; Machinery's Handbook, bending sheet metal";

/// Length of the neutral line through a bend, mm: angle · (R + K T).
#[must_use]
pub fn allowance(angle: f64, radius: f64, thickness: f64, k: f64) -> f64 {
    angle * (radius + k * thickness)
}

/// From the tangent line to the apex of the outer faces, mm: tan(angle / 2) · (R + T).
#[must_use]
pub fn setback(angle: f64, radius: f64, thickness: f64) -> f64 {
    elementary::tan(angle / 2.0) * (radius + thickness)
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

fn stock_factor(material: &str) -> Result<f64, Refusal> {
    let plain = scan::plain(material).replace("aluminum", "aluminium");
    let found = STOCK.iter().find(|(name, _)| *name == plain);
    found.map(|(_, c)| *c).ok_or_else(|| {
        let names: Vec<&str> = STOCK.iter().map(|(name, _)| *name).collect();
        Refusal::new(format!("no bending rule for \"{material}\""))
            .remedy(format!("there are {}", names.join(", ")))
    })
}

/// Just under a half turn, where the apex of the outer faces runs away, radians.
const UNDER_HALF_TURN: f64 = PI - 1e-6;

const ANGLE: Parameter = Parameter::angle("angle").not_negative();
const ANGLE_WITH_APEX: Parameter = ANGLE
    .below(UNDER_HALF_TURN)
    .hint("the angle is measured from flat, and the outer faces of a full fold have no apex");
const RADIUS: Parameter = Parameter::length("radius").not_negative();
const THICKNESS: Parameter = Parameter::length("thickness").positive();
const K: Parameter = Parameter::number("k")
    .not_negative()
    .up_to(1.0)
    .hint("a K factor is usually 0.33 to 0.5");

/// What recipes can ask about bends.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "bend_allowance",
        parameters: &[ANGLE, RADIUS, THICKNESS, K],
        says: "flat length that a bend takes: angle * (radius + k * thickness); angle from flat, inside radius",
        source: SHOP,
        call: |given| {
            let (angle, radius, thickness, k) = given.take()?;
            Ok(Value::length(allowance(angle, radius, thickness, k)))
        },
    },
    Function {
        name: "bend_deduction",
        parameters: &[ANGLE_WITH_APEX, RADIUS, THICKNESS, K],
        says: "what to take off the sum of the outside legs: 2 * setback - bend_allowance",
        source: SHOP,
        call: |given| {
            let (angle, radius, thickness, k) = given.take()?;
            Ok(Value::length(deduction(angle, radius, thickness, k)))
        },
    },
    Function {
        name: "setback",
        parameters: &[ANGLE_WITH_APEX, RADIUS, THICKNESS],
        says: "from the tangent line of a bend to the outside apex: tan(angle / 2) * (radius + thickness)",
        source: SHOP,
        call: |given| {
            let (angle, radius, thickness) = given.take()?;
            Ok(Value::length(setback(angle, radius, thickness)))
        },
    },
    Function {
        name: "bend_stock",
        parameters: &[ANGLE, RADIUS, THICKNESS, Parameter::words("material")],
        says: "flat length that a bend takes by the handbook's rule: (c thickness + 1.57 radius) * angle / 90 deg; c 0.55 soft brass, 0.64 soft steel and aluminium, 0.71 cold-rolled steel",
        source: "Machinery's Handbook 31st ed. p. 1421",
        call: |given| {
            let (angle, radius, thickness, material) = given.take()?;
            let c = stock_factor(material)?;
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
