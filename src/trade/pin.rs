//! Pins and bolts that bend over a gap, bars that twist, the inside of folds, and stresses that act
//! together. Everything is in base units.

use std::f64::consts::PI;

use crate::elementary;
use crate::quantity::{Dimension, Function, Parameter, Value};

/// Bending moment of a pin through two outer plates and one between them, a gap on each side of it:
/// F (b + 4 c + 2 a) / 8, the pressure even over each plate (EN 1993-1-8 3.13).
#[must_use]
pub fn pin_moment(force: f64, outer: f64, middle: f64, gap: f64) -> f64 {
    force * (middle + 4.0 * gap + 2.0 * outer) / 8.0
}

/// Section modulus of a rod, or of a tube: π (D⁴ − d⁴) / (32 D).
#[must_use]
pub fn round_modulus(outside: f64, inside: f64) -> f64 {
    PI * (outside.powi(4) - inside.powi(4)) / (32.0 * outside)
}

/// Greatest shear stress of a twisted flat bar, in the middle of its wide side, by Saint-Venant's series
/// (Timoshenko, Theory of Elasticity); the short formula 3 + 1.8 c / b is up to 5 % too low.
#[must_use]
pub fn twist_stress(torque: f64, one: f64, other: f64) -> f64 {
    /// Odd terms; the series falls off like exp(-n).
    const TERMS: usize = 12;
    let (wide, thin) = (one.max(other), one.min(other));
    let odd = (0..TERMS).map(|k| 2.0 * k as f64 + 1.0);
    let half = |n: f64| n * PI * wide / (2.0 * thin);
    let (mut stiffness, mut shear) = (0.0, 0.0);
    for n in odd {
        stiffness += elementary::tanh(half(n)) / n.powi(5);
        shear += 1.0 / (n.powi(2) * elementary::cosh(half(n)));
    }
    let beta = (1.0 - 192.0 / PI.powi(5) * thin / wide * stiffness) / 3.0;
    let alpha = beta / (1.0 - 8.0 / PI.powi(2) * shear);
    torque / (alpha * wide * thin.powi(2))
}

/// Stress at the inside of a curved flat bar over that of a straight one, `radius` inside, `height` in
/// the direction of it (Winkler; Shigley, curved beams).
#[must_use]
pub fn curved_factor(radius: f64, height: f64) -> f64 {
    let outside = radius + height;
    let neutral = height / elementary::ln(outside / radius);
    let shift = radius + height / 2.0 - neutral;
    // M c / (A e r) over 6 M / (b h²).
    (neutral - radius) * height / (6.0 * shift * radius)
}

/// Notch factor of a flat bar at a shoulder twice as high, bent in its plane: Peterson's chart by the fit
/// in Norton, Machine Design, 0.93232 (r / h)^-0.30304, times 1.1, as finite elements find the fit too low
/// by up to 7 %.
fn fillet_factor(share: f64) -> f64 {
    (1.1 * 0.932_32 * elementary::powf(share, -0.303_04)).max(1.0)
}

/// Notch factor of an eye that its pin fills, on the section beside the hole: Peterson and Pilkey's fit for
/// a hole of 0.15 to 0.75 of the width.
fn eye_factor(share: f64) -> f64 {
    12.882 - 52.714 * share + 89.762 * share.powi(2) - 51.667 * share.powi(3)
}

const fn length(name: &'static str) -> Parameter {
    Parameter::length(name).positive()
}

/// What recipes can ask about pins and bars.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "pin_moment",
        parameters: &[
            Parameter::quantity("force", Dimension::FORCE).not_negative(),
            length("outer"),
            length("middle"),
            Parameter::length("gap").not_negative(),
        ],
        says: "bending moment of a pin in double shear, pressure even over each plate: force (middle + 4 gap + 2 outer) / 8; gap on each side of the middle plate",
        source: "EN 1993-1-8:2005 3.13",
        call: |given| {
            let (force, outer, middle, gap) = given.take()?;
            let moment = pin_moment(force, outer, middle, gap);
            Ok(Value::of(moment, Dimension::TORQUE))
        },
    },
    Function {
        name: "round_modulus",
        parameters: &[
            length("outside"),
            Parameter::length("inside").not_negative().otherwise(0.0),
        ],
        says: "section modulus of a rod, or of a tube if its inside is given: pi (D^4 - d^4) / (32 D)",
        source: "Machinery's Handbook; Shigley, section properties",
        call: |given| {
            let (outside, inside): (f64, f64) = given.take()?;
            if inside >= outside {
                return Err("the inside diameter must be smaller than the outside".into());
            }
            Ok(Value::of(round_modulus(outside, inside), Dimension::VOLUME))
        },
    },
    Function {
        name: "twist_stress",
        parameters: &[
            Parameter::quantity("torque", Dimension::TORQUE).not_negative(),
            length("width"),
            length("thickness"),
        ],
        says: "greatest shear stress of a twisted flat bar: torque / (alpha width thickness^2), alpha by the series",
        source: "Timoshenko, Theory of Elasticity; Shigley eq. 3-40",
        call: |given| {
            let (torque, width, thickness) = given.take()?;
            let stress = twist_stress(torque, width, thickness);
            Ok(Value::of(stress, Dimension::STRESS))
        },
    },
    Function {
        name: "von_mises",
        parameters: &[
            Parameter::quantity("normal", Dimension::STRESS),
            Parameter::quantity("shear", Dimension::STRESS),
        ],
        says: "one stress for a normal and a shear stress at one place: sqrt(normal^2 + 3 shear^2)",
        source: "distortion energy; Shigley ch. 5",
        call: |given| {
            let (normal, shear): (f64, f64) = given.take()?;
            let stress = elementary::hypot(normal, 3.0_f64.sqrt() * shear);
            Ok(Value::of(stress, Dimension::STRESS))
        },
    },
    Function {
        name: "fillet_factor",
        parameters: &[length("radius"), length("height")],
        says: "notch factor of a flat bar bent in its plane at a shoulder with fillets: 1.1 * 0.93232 (radius / height)^-0.30304",
        source: "Peterson's Stress Concentration Factors; fit of Norton, Machine Design, from memory, times 1.1",
        call: |given| {
            let (radius, height): (f64, f64) = given.take()?;
            Ok(Value::number(fillet_factor(radius / height)))
        },
    },
    Function {
        name: "eye_factor",
        parameters: &[length("hole"), length("width")],
        says: "notch factor of an eye filled by its pin, on the section beside the hole, which takes 0.15 to 0.75 of the width",
        source: "Peterson's Stress Concentration Factors; Pilkey's fit, from memory",
        call: |given| {
            let (hole, width): (f64, f64) = given.take()?;
            let share = hole / width;
            if !(0.15..=0.75).contains(&share) {
                return Err("the hole must take 0.15 to 0.75 of the width".into());
            }
            Ok(Value::number(eye_factor(share)))
        },
    },
    Function {
        name: "curved_factor",
        parameters: &[length("radius"), length("height")],
        says: "stress at the inside of a curved flat bar or of a fold over that of a straight one; inside radius, height across the bend",
        source: "Winkler; Shigley, curved beams in bending",
        call: |given| {
            let (radius, height) = given.take()?;
            Ok(Value::number(curved_factor(radius, height)))
        },
    },
];
