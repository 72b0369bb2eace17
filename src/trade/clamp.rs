//! What a tightened joint bears: how far preload scatters, what slips it, opens it and bends the plate
//! between its two circles, and when a tapped thread strips. Everything is in base units.

use std::f64::consts::PI;

use super::bolt::{self, BOLT};
use super::thread::{System, THREAD, Thread};
use super::unit::INCH;
use crate::elementary;
use crate::fault::Refusal;
use crate::quantity::{Dimension, Function, Parameter, Value};

/// Least preload over the one that is meant: tightened by hand with a torque wrench it scatters by 30 %,
/// and paint and faces settle by 10 % (common practice, no source; ten lubricated bolts of Shigley's
/// Table 8-14 scatter by 18 % in a laboratory).
const LEAST: f64 = 0.7 * 0.9;
/// Greatest preload over the one that is meant: common practice, no source.
const GREATEST: f64 = 1.3;

/// Force that each bolt of a circle keeps from slipping, where torque and a direct load point the same
/// way: T / (n R) + V / n.
#[must_use]
pub fn slip_load(torque: f64, load: f64, bolts: u32, circle: f64) -> f64 {
    (2.0 * torque / circle + load) / f64::from(bolts)
}

/// Moment at which the edge of a clamped ring face opens: N (Ro² + Ri²) / (4 Ro).
#[must_use]
pub fn gaping_moment(clamp: f64, outside: f64, inside: f64) -> f64 {
    let (outer, inner) = (outside / 2.0, inside / 2.0);
    clamp * (outer.powi(2) + inner.powi(2)) / (4.0 * outer)
}

/// Greatest bending moment per length of a disc held on one circle and loaded by bolts on another, `n`
/// forces: the greater of the strip, (a − b) n / (2 π b), and of a point load by itself. Spread over
/// the circle alone it would be up to three times too low where the circles are close.
fn disc_moment(force: f64, bolts: u32, inner: f64, outer: f64) -> f64 {
    /// Ratio of the circles and what a point load alone makes of its force, by plate elements.
    const POINT: [(f64, f64); 4] = [(0.5, 0.8), (0.6, 0.65), (0.7, 0.56), (0.8, 0.51)];
    let ratio = inner / outer;
    let strip = (1.0 / ratio - 1.0) * f64::from(bolts) / (2.0 * PI);
    let point = POINT.windows(2).find(|pair| ratio < pair[1].0);
    let point = point.map_or(POINT[3].1, |pair| {
        let part = ((ratio - pair[0].0) / (pair[1].0 - pair[0].0)).max(0.0);
        pair[0].1 + part * (pair[1].1 - pair[0].1)
    });
    force * strip.max(point)
}

/// Shear area of a tapped thread per length of engagement, worst limits of 6g and 6H, 2A and 2B:
/// π n Ds (1 / (2 n) + 0.57735 (Ds − En)), Ds the least major diameter of the bolt, En the greatest
/// pitch diameter of the hole (FED-STD-H28/2; limits by the formulas of ISO 965-1 and ASME B1.1).
fn hole_shear_width(thread: &Thread) -> f64 {
    let (d, p) = (thread.diameter, thread.pitch);
    let pitch_diameter = d - 0.649_519 * p;
    let (major, pitch) = match thread.system {
        System::Metric => {
            const MICROMETRE: f64 = 0.001;
            let allowance = 15.0 + 11.0 * p;
            let major = 180.0 * elementary::powf(p, 2.0 / 3.0) - 3.15 / p.sqrt();
            let pitch = 1.32 * 90.0 * elementary::powf(p, 0.4) * elementary::powf(d, 0.1);
            ((allowance + major) * MICROMETRE, pitch * MICROMETRE)
        }
        System::Inch => {
            let (d, p) = (d / INCH, p / INCH);
            let pitch = 0.0015 * elementary::cbrt(d)
                + 0.0015 * d.sqrt()
                + 0.015 * elementary::powf(p, 2.0 / 3.0);
            let major = 0.3 * pitch + 0.06 * elementary::powf(p, 2.0 / 3.0);
            (major * INCH, 1.3 * pitch * INCH)
        }
    };
    let (least, greatest) = (d - major, pitch_diameter + pitch);
    PI * least / p * (p / 2.0 + 0.577_35 * (least - greatest))
}

const fn force(name: &'static str) -> Parameter {
    Parameter::quantity(name, Dimension::FORCE).not_negative()
}

const fn length(name: &'static str) -> Parameter {
    Parameter::length(name).positive()
}

const BOLTS: Parameter = Parameter::count("bolts", 1);

/// What recipes can ask about clamped joints.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "preload",
        parameters: &[
            BOLT[0],
            BOLT[1],
            Parameter::number("share").positive(),
            Parameter::words("which").optional(),
        ],
        says: "clamping force of a bolt tightened to a share of its proof load; \"least\" of it is left after scatter and settling (0.63 times), \"greatest\" may come (1.3 times)",
        source: "ISO 898-1:2013 Table 3; SAE J429; scatter by hand wrench common practice, no source",
        call: |given| {
            let (thread, class, share, which): (Thread, &str, f64, Option<&str>) = given.take()?;
            let scatter = match which {
                None => 1.0,
                Some("least") => LEAST,
                Some("greatest") => GREATEST,
                Some(other) => {
                    let cause = format!("no preload \"{other}\"");
                    return Err(Refusal::new(cause).remedy("write least or greatest"));
                }
            };
            let proof = thread.stress_area() * bolt::strength(&thread, class)?.proof;
            Ok(Value::of(share * scatter * proof, Dimension::FORCE))
        },
    },
    Function {
        name: "slip_load",
        parameters: &[
            Parameter::quantity("torque", Dimension::TORQUE).not_negative(),
            force("load"),
            BOLTS,
            length("circle"),
        ],
        says: "what each bolt of a circle keeps from slipping, torque and direct load pointing the same way: 2 torque / (bolts circle) + load / bolts",
        source: "statics; Shigley, shear joints with eccentric loading",
        call: |given| {
            let (torque, load, bolts, circle) = given.take()?;
            let slips = slip_load(torque, load, bolts, circle);
            Ok(Value::of(slips, Dimension::FORCE))
        },
    },
    Function {
        name: "overturning_load",
        parameters: &[
            Parameter::quantity("moment", Dimension::TORQUE).not_negative(),
            Parameter::count("bolts", 3),
            length("circle"),
        ],
        says: "greatest tension of a bolt of a circle from a moment across it, while the joint stays closed: 4 moment / (bolts circle); three bolts at least",
        source: "strength of materials: F = M y / sum y^2",
        call: |given| {
            let (moment, bolts, circle): (f64, u32, f64) = given.take()?;
            let load = 4.0 * moment / (f64::from(bolts) * circle);
            Ok(Value::of(load, Dimension::FORCE))
        },
    },
    Function {
        name: "gaping_moment",
        parameters: &[
            force("clamp"),
            length("outside"),
            Parameter::length("inside").not_negative(),
        ],
        says: "moment at which the edge of a clamped ring face opens: clamp (Ro^2 + Ri^2) / (4 Ro); clamp of all bolts together",
        source: "beam theory, p = N / A - M c / I of a ring",
        call: |given| {
            let (clamp, outside, inside): (f64, f64, f64) = given.take()?;
            if inside >= outside {
                return Err("the inside diameter must be smaller than the outside".into());
            }
            let moment = gaping_moment(clamp, outside, inside);
            Ok(Value::of(moment, Dimension::TORQUE))
        },
    },
    Function {
        name: "disc_stress",
        parameters: &[
            force("force"),
            BOLTS,
            length("circle"),
            length("held"),
            length("thickness"),
        ],
        says: "greatest bending stress of a disc held on one circle and loaded across its plane by bolts on another, force of one bolt: 6 K force / thickness^2, K of the strip or of a point load, whichever is greater",
        source: "plate theory; K of point loads by plate elements, for metal of 0.15 of the circle's radius beyond it",
        call: |given| {
            let (force, bolts, circle, held, thickness): (f64, u32, f64, f64, f64) =
                given.take()?;
            if circle == held {
                return Err("the two circles must differ".into());
            }
            let moment = disc_moment(force, bolts, circle.min(held), circle.max(held));
            let stress = 6.0 * moment / thickness.powi(2);
            Ok(Value::of(stress, Dimension::STRESS))
        },
    },
    Function {
        name: "strip_load",
        parameters: &[
            THREAD,
            length("engagement"),
            Parameter::quantity("tensile", Dimension::STRESS).positive(),
        ],
        says: "load that strips a tapped thread: 0.6 tensile over the shear area of the hole's thread, worst limits; uneven load of its turns is not in it",
        source: "FED-STD-H28/2; ISO 965-1; ASME B1.1; 0.6 from memory",
        call: |given| {
            let (thread, engagement, tensile): (Thread, f64, f64) = given.take()?;
            let load = 0.6 * tensile * hole_shear_width(&thread) * engagement;
            Ok(Value::of(load, Dimension::FORCE))
        },
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    /// Peak moments of plate elements (Morley, converged to 0.2 %) over the force of one bolt, a disc
    /// held on circle b and loaded by n bolts on circle a, metal up to 1.15 or 1.3 a: the rule may not
    /// lie under them, nor far over.
    #[test]
    fn a_disc_bends_no_more_than_the_rule_for_its_circles_says() {
        for (ratio, bolts, peak) in [
            (0.4, 4, 0.8009),
            (0.4, 5, 0.8779),
            (0.5, 4, 0.7064),
            (0.5, 5, 0.7284),
            (0.5, 6, 0.7965),
            (0.6, 4, 0.5774),
            (0.6, 5, 0.6264),
            (0.7, 4, 0.5598),
            (0.7, 5, 0.5505),
            (0.7, 6, 0.5504),
            (0.8, 5, 0.4774),
            (0.8, 6, 0.4742),
        ] {
            let rule = disc_moment(1.0, bolts, ratio * 100.0, 100.0);
            assert!(
                (1.0..1.4).contains(&(rule / peak)),
                "{ratio}, {bolts} bolts: {rule} for {peak}"
            );
        }
    }
}
