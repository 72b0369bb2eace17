//! Will it hold: what bolts, clamped faces, edges, arms and rings carry.
//!
//! Static formulas of the textbooks, for a first judgement beside the cautions, never in the place
//! of a qualified person. Everything is in base units.

use std::f64::consts::{FRAC_PI_4, PI};

use super::bolt;
use super::scan;
use super::thread::{System, Thread};
use crate::elementary;
use crate::fault::Refusal;
use crate::quantity::{Dimension, Function, Parameter, Value};

/// Partial factor for bolts, EN 1993-1-8.
const GAMMA_M2: f64 = 1.25;

/// Torque carried by friction on a bolt circle: n F µ D / 2.
#[must_use]
pub fn friction_torque(mu: f64, clamp: f64, bolts: u32, circle: f64) -> f64 {
    f64::from(bolts) * clamp * mu * circle / 2.0
}

/// Torque carried by friction on a clamped ring: F µ (D³ − d³) / (3 (D² − d²)), Shigley eq. 16-28.
#[must_use]
pub fn face_torque(mu: f64, force: f64, outside: f64, inside: f64) -> f64 {
    force * mu * (outside.powi(3) - inside.powi(3)) / (3.0 * (outside.powi(2) - inside.powi(2)))
}

/// Torque carried by bolts in shear on a circle: n A τ D / 2, A of the plain shank.
#[must_use]
pub fn shear_torque(bolts: u32, diameter: f64, stress: f64, circle: f64) -> f64 {
    f64::from(bolts) * FRAC_PI_4 * diameter.powi(2) * stress * circle / 2.0
}

/// What an edge carries before a bolt tears out or the hole crushes, whichever is less:
/// min(1.2 lc t Fu, 2.4 d t Fu), lc from the hole's edge to the plate's edge (AISC 360 J3.10).
#[must_use]
pub fn bearing(diameter: f64, hole: f64, edge: f64, thickness: f64, tensile: f64) -> f64 {
    let clear = (edge - hole / 2.0).max(0.0);
    (1.2 * clear).min(2.4 * diameter) * thickness * tensile
}

/// Bending stress at the root of an arm: 6 F L / (b h²), h in the direction of the force.
#[must_use]
pub fn arm_stress(force: f64, length: f64, thickness: f64, height: f64) -> f64 {
    6.0 * force * length / (thickness * height.powi(2))
}

/// How far the end of an arm gives: F L³ / (3 E I), I = b h³ / 12.
#[must_use]
pub fn arm_deflection(force: f64, length: f64, thickness: f64, height: f64, modulus: f64) -> f64 {
    4.0 * force * length.powi(3) / (modulus * thickness * height.powi(3))
}

/// Bending stress of a thin ring under two opposite pulls, at the load: M = P R / π on b h² / 6.
#[must_use]
pub fn ring_stress(force: f64, radius: f64, thickness: f64, height: f64) -> f64 {
    6.0 * force * radius / (PI * thickness * height.powi(2))
}

/// Forces on the nearer and the farther two of four bolts at the corners of a rectangle, `across` in
/// the direction of the offset and `along` in that of the force, from a force at an offset from its
/// middle: F / 4 with the moment's F e / (4 r), square to r (Shigley, shear joints with eccentric
/// loading).
#[must_use]
pub fn bolt_group(force: f64, offset: f64, across: f64, along: f64) -> (f64, f64) {
    let radius = elementary::hypot(across, along) / 2.0;
    let (primary, secondary) = (force / 4.0, force * offset / (4.0 * radius));
    let (with, aside) = (
        secondary * across / 2.0 / radius,
        secondary * along / 2.0 / radius,
    );
    (
        elementary::hypot(primary + with, aside),
        elementary::hypot(primary - with, aside),
    )
}

/// Section modulus of a flat bar on edge with a hole on its middle: b (h³ − d³) / (6 h).
#[must_use]
pub fn section_modulus(thickness: f64, height: f64, hole: f64) -> f64 {
    thickness * (height.powi(3) - hole.powi(3)) / (6.0 * height)
}

/// Shear strength of one bolt with its thread in the shear plane: 0.45 Fu on the plain shank (AISC 360
/// Table J3.2). No safety factor.
fn shear_load(thread: &Thread, class: &str) -> Result<f64, Refusal> {
    /// 0.625 of the tensile strength, 0.9 for long joints, 0.8 for the thread.
    const OF_TENSILE: f64 = 0.45;
    let strength = bolt::strength(thread, class)?;
    Ok(OF_TENSILE * strength.tensile * FRAC_PI_4 * thread.diameter.powi(2))
}

/// Shear resistance of a metric bolt with its thread in the plane: αv fub As / γM2, αv 0.6 for
/// 4.6, 5.6 and 8.8, 0.5 for 4.8, 5.8, 6.8 and 10.9 (EN 1993-1-8 Table 3.4); fub is the nominal
/// strength, a hundred times the first figure of the class.
fn bolt_shear(thread: &Thread, class: &str) -> Result<f64, Refusal> {
    bolt::strength(thread, class)?;
    let plain = scan::plain(class);
    let bare = plain.trim_start_matches("class").trim();
    let alpha = match bare {
        "4.6" | "5.6" | "8.8" => 0.6,
        "4.8" | "5.8" | "6.8" | "10.9" => 0.5,
        _ if thread.system == System::Inch => {
            return Err(Refusal::new("EN 1993-1-8 has no inch bolts")
                .remedy("use tensile_load and your code's factors"));
        }
        _ => {
            let cause = format!("EN 1993-1-8 has no shear factor for class {bare}");
            return Err(
                Refusal::new(cause).remedy("it covers 4.6, 4.8, 5.6, 5.8, 6.8, 8.8 and 10.9")
            );
        }
    };
    let hundreds: f64 = bare
        .split('.')
        .next()
        .and_then(|first| first.parse().ok())
        .unwrap_or(0.0);
    let nominal = hundreds * 100.0 * super::unit::MEGAPASCAL;
    Ok(alpha * nominal * thread.stress_area() / GAMMA_M2)
}

const fn force(name: &'static str) -> Parameter {
    Parameter::quantity(name, Dimension::FORCE).not_negative()
}

const fn stress(name: &'static str) -> Parameter {
    Parameter::quantity(name, Dimension::STRESS)
}

const MU: Parameter = Parameter::number("mu").not_negative();
const BOLTS: Parameter = Parameter::count("bolts", 1);
const CIRCLE: Parameter = Parameter::length("circle").not_negative();
const DIAMETER: Parameter = Parameter::length("diameter");
const THICKNESS: Parameter = Parameter::length("thickness").positive();
const HEIGHT: Parameter = Parameter::length("height").positive();
const REACH: Parameter = Parameter::length("length").not_negative();

/// What recipes can ask about strength.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "friction_torque",
        parameters: &[MU, force("clamp"), BOLTS, CIRCLE],
        says: "torque a bolt circle carries by friction: bolts * clamp * mu * circle / 2; clamp is of one bolt; mu 0.15 clean steel, 0.1 painted or oily",
        source: "flange-coupling practice; Shigley's Mechanical Engineering Design",
        call: |given| {
            let (mu, clamp, bolts, circle) = given.take()?;
            let torque = friction_torque(mu, clamp, bolts, circle);
            Ok(Value::of(torque, Dimension::TORQUE))
        },
    },
    Function {
        name: "face_torque",
        parameters: &[
            MU,
            force("force"),
            Parameter::length("outside").positive(),
            Parameter::length("inside").not_negative(),
        ],
        says: "torque a clamped ring face carries by friction: force * mu * (D^3 - d^3) / (3 (D^2 - d^2))",
        source: "Shigley's Mechanical Engineering Design, eq. 16-28",
        call: |given| {
            let (mu, force, outside, inside) = given.take()?;
            if inside >= outside {
                return Err("the inside diameter must be smaller than the outside".into());
            }
            let torque = face_torque(mu, force, outside, inside);
            Ok(Value::of(torque, Dimension::TORQUE))
        },
    },
    Function {
        name: "shear_torque",
        parameters: &[
            BOLTS,
            DIAMETER.not_negative(),
            stress("stress").not_negative(),
            CIRCLE,
        ],
        says: "torque a bolt circle carries by shear of the shanks: bolts * pi/4 diameter^2 * stress * circle / 2",
        source: "strength-of-materials texts, flanged bolt couplings",
        call: |given| {
            let (bolts, diameter, stress, circle) = given.take()?;
            let torque = shear_torque(bolts, diameter, stress, circle);
            Ok(Value::of(torque, Dimension::TORQUE))
        },
    },
    Function {
        name: "bolt_shear",
        parameters: bolt::BOLT,
        says: "design shear of one metric bolt, thread in the shear plane: alpha_v * f_ub * stress area / 1.25",
        source: "EN 1993-1-8 Table 3.4",
        call: |given| {
            let (thread, class): (Thread, _) = given.take()?;
            Ok(Value::of(bolt_shear(&thread, class)?, Dimension::FORCE))
        },
    },
    Function {
        name: "shear_load",
        parameters: bolt::BOLT,
        says: "shear strength of one bolt, thread in the shear plane: 0.45 * tensile strength * pi/4 diameter^2; no safety factor",
        source: "AISC 360-16 Table J3.2",
        call: |given| {
            let (thread, class): (Thread, _) = given.take()?;
            Ok(Value::of(shear_load(&thread, class)?, Dimension::FORCE))
        },
    },
    Function {
        name: "section_modulus",
        parameters: &[
            THICKNESS,
            HEIGHT,
            Parameter::length("hole").not_negative().otherwise(0.0),
        ],
        says: "section modulus of a flat bar on edge, with a hole on its middle if given: thickness (height^3 - hole^3) / (6 height)",
        source: "Machinery's Handbook; Shigley, beam tables",
        call: |given| {
            let (thickness, height, hole) = given.take()?;
            if hole >= height {
                return Err("the hole must be smaller than the bar is high".into());
            }
            let volume = section_modulus(thickness, height, hole);
            Ok(Value::of(volume, Dimension::VOLUME))
        },
    },
    Function {
        name: "bearing",
        parameters: &[
            DIAMETER.positive(),
            Parameter::length("hole").positive(),
            Parameter::length("edge").positive(),
            THICKNESS,
            stress("tensile").positive(),
        ],
        says: "what a hole's edge carries before tear-out or crushing: min(1.2 (edge - hole / 2), 2.4 diameter) * thickness * tensile; no safety factor",
        source: "AISC 360-16 J3.10",
        call: |given| {
            let (diameter, hole, edge, thickness, tensile) = given.take()?;
            let load = bearing(diameter, hole, edge, thickness, tensile);
            Ok(Value::of(load, Dimension::FORCE))
        },
    },
    Function {
        name: "bolt_group",
        parameters: &[
            force("force"),
            Parameter::length("offset").not_negative(),
            Parameter::length("across").positive(),
            Parameter::length("along").positive(),
            Parameter::words("which").optional(),
        ],
        says: "force on one of four bolts at the corners of a rectangle, across in the direction of the offset, along in that of the force; \"near\" unless \"far\" is asked: F / 4 with F offset / (4 r) square to r",
        source: "Shigley's Mechanical Engineering Design, shear joints with eccentric loading",
        call: |given| {
            let (force, offset, across, along, which) = given.take()?;
            let (near, far) = bolt_group(force, offset, across, along);
            let asked = match which {
                None | Some("near") => near,
                Some("far") => far,
                Some(other) => {
                    let cause = format!("no bolts \"{other}\"");
                    return Err(Refusal::new(cause).remedy("write near or far"));
                }
            };
            Ok(Value::of(asked, Dimension::FORCE))
        },
    },
    Function {
        name: "arm_stress",
        parameters: &[force("force"), REACH, THICKNESS, HEIGHT],
        says: "bending stress at the root of an end-loaded flat arm: 6 force length / (thickness height^2), height along the force",
        source: "Shigley's Mechanical Engineering Design, beam tables",
        call: |given| {
            let (force, length, thickness, height) = given.take()?;
            let stress = arm_stress(force, length, thickness, height);
            Ok(Value::of(stress, Dimension::STRESS))
        },
    },
    Function {
        name: "arm_deflection",
        parameters: &[
            force("force"),
            REACH,
            THICKNESS,
            HEIGHT,
            stress("elasticity").positive(),
        ],
        says: "how far the end of a flat arm gives: 4 force length^3 / (elasticity thickness height^3)",
        source: "Shigley's Mechanical Engineering Design, beam tables",
        call: |given| {
            let (force, length, thickness, height, modulus) = given.take()?;
            let gives = arm_deflection(force, length, thickness, height, modulus);
            Ok(Value::length(gives))
        },
    },
    Function {
        name: "ring_stress",
        parameters: &[
            force("force"),
            Parameter::length("radius").not_negative(),
            THICKNESS,
            HEIGHT,
        ],
        says: "bending stress of a thin ring pulled at two opposite points: 6 force radius / (pi thickness height^2), height radial, radius of the middle line",
        source: "Timoshenko, Strength of Materials; Roark, ring cases",
        call: |given| {
            let (force, radius, thickness, height) = given.take()?;
            let stress = ring_stress(force, radius, thickness, height);
            Ok(Value::of(stress, Dimension::STRESS))
        },
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ring_face_carries_between_its_inner_and_its_outer_radius() {
        let torque = face_torque(0.1, 1000.0, 150.0, 72.0);
        assert!((36.0..75.0).contains(&(torque / 100.0)));
    }

    #[test]
    fn a_hole_open_to_the_edge_carries_nothing() {
        assert_eq!(bearing(10.0, 11.0, 5.0, 6.0, 400.0), 0.0);
    }
}
