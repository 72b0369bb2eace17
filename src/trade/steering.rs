//! Steering: the angles of rolling without scrub, and what a steering trapezoid really gives.
//!
//! Angles are the turn of each front wheel from straight ahead, radians; track is between kingpins.

use std::f64::consts::FRAC_PI_2;

use crate::elementary;
use crate::fault::Refusal;
use crate::geometry::{Point, Vector};
use crate::quantity::{Function, Parameter, Value};

const ACKERMANN: &str =
    "Jazar, Vehicle Dynamics, ch. 7; Gillespie, Fundamentals of Vehicle Dynamics, ch. 6";

/// Angle of the outer wheel that rolls without scrub: acot(cot(inner) + track / wheelbase).
#[must_use]
pub fn outer_angle(inner: f64, track: f64, wheelbase: f64) -> f64 {
    let (sin, cos) = elementary::sin_cos(inner);
    // acot(cos / sin + t / w), written so that straight ahead stays straight ahead.
    elementary::atan2(sin, cos + sin * track / wheelbase)
}

/// Radius of the turn at the middle of the rear axle: wheelbase · cot(inner) + track / 2.
#[must_use]
pub fn turning_radius(inner: f64, track: f64, wheelbase: f64) -> f64 {
    wheelbase / elementary::tan(inner) + track / 2.0
}

/// Radius of the outer front wheel's turn, at its kingpin: hypot(wheelbase, wheelbase · cot(inner) + track).
/// A wheel that stands outside its kingpin runs on a circle larger by as much.
#[must_use]
pub fn outer_radius(inner: f64, track: f64, wheelbase: f64) -> f64 {
    elementary::hypot(wheelbase, wheelbase / elementary::tan(inner) + track)
}

/// The old rule: arms whose lines meet at the middle of the rear axle; their angle from straight
/// back is atan(track / 2 / wheelbase).
#[must_use]
pub fn arm_angle(track: f64, wheelbase: f64) -> f64 {
    elementary::atan2(track / 2.0, wheelbase)
}

/// A steering trapezoid seen from above, wheels straight ahead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trapezoid {
    /// Between the kingpins, mm.
    pub track: f64,
    /// Length of each arm, mm; negative for arms ahead of the kingpins.
    pub arm: f64,
    /// Angle of each arm from straight back, leaning inward, radians.
    pub set: f64,
}

impl Trapezoid {
    /// Length of the tie rod, mm.
    #[must_use]
    pub fn tie_rod(&self) -> f64 {
        self.track - 2.0 * self.arm * elementary::sin(self.set)
    }

    /// Angle of the outer wheel when the inner one stands at `inner`, solved exactly as a four-bar;
    /// `None` if the linkage cannot reach it.
    #[must_use]
    pub fn outer_angle(&self, inner: f64) -> Option<f64> {
        let right = Point::new(self.track / 2.0, 0.0);
        let straight = Vector::new(
            -self.arm * elementary::sin(self.set),
            -self.arm * elementary::cos(self.set),
        );
        let now = self.rod_ends(inner)?.1 - right;
        Some(straight.turn_to(now))
    }

    /// The smaller of the angles between the tie rod and the line of each arm, radians; `None` where
    /// the linkage cannot reach or has gone over centre.
    #[must_use]
    pub fn rod_angle(&self, inner: f64) -> Option<f64> {
        let sides = |inner: f64| {
            let (left, right) = self.rod_ends(inner)?;
            let rod = right - left;
            let arm = |end: Point, kingpin: f64| end - Point::new(kingpin, 0.0);
            let arms = [arm(left, -self.track / 2.0), arm(right, self.track / 2.0)];
            Some(arms.map(|arm| rod.cross(arm) / (rod.length() * arm.length())))
        };
        let (ahead, now) = (sides(0.0)?, sides(inner)?);
        let is_over = ahead.iter().zip(&now).any(|(a, b)| a * b <= 0.0);
        let least = now
            .iter()
            .fold(1.0, |least: f64, sine| least.min(sine.abs()));
        (!is_over).then(|| elementary::asin(least))
    }

    /// Both ends of the tie rod, the inner wheel's first, the inner wheel being the left one.
    fn rod_ends(&self, inner: f64) -> Option<(Point, Point)> {
        let (left, right) = (
            Point::new(-self.track / 2.0, 0.0),
            Point::new(self.track / 2.0, 0.0),
        );
        let lean = Vector::new(
            self.arm * elementary::sin(self.set),
            -self.arm * elementary::cos(self.set),
        );
        let mirrored = Vector::new(-lean.x, lean.y);
        let driven = left + lean.turned(inner);
        let ahead = left + lean;
        let side = (right - ahead).cross(right + mirrored - ahead).signum();
        let end = meet(driven, self.tie_rod(), right, self.arm.abs(), side)?;
        Some((driven, end))
    }
}

/// Where two circles meet, on the left (`side` 1) or right (-1) of the way from `a` to `b`.
fn meet(a: Point, of_a: f64, b: Point, of_b: f64, side: f64) -> Option<Point> {
    let apart = a.distance(b);
    let along = (of_a * of_a - of_b * of_b + apart * apart) / (2.0 * apart);
    let off = of_a * of_a - along * along;
    let way = (b - a).unit()?;
    (off >= 0.0).then(|| a + way * along + way.left() * (side * off.sqrt()))
}

/// The turn of the inner wheel from straight ahead.
const INNER: Parameter = Parameter::angle("inner").not_negative().below(FRAC_PI_2);
pub(super) const TRACK: Parameter = Parameter::length("track").positive();
pub(super) const WHEELBASE: Parameter = Parameter::length("wheelbase").positive();
pub(super) const ARM: Parameter = Parameter::length("arm");
const SET: Parameter = Parameter::angle("set");

fn trapezoid(track: f64, arm: f64, set: f64) -> Result<Trapezoid, Refusal> {
    let trapezoid = Trapezoid { track, arm, set };
    if arm == 0.0 || trapezoid.tie_rod() <= 0.0 {
        return Err("the arms must have a length and leave room for the tie rod".into());
    }
    Ok(trapezoid)
}

/// What recipes can ask about steering.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "ackermann_outer",
        parameters: &[INNER, TRACK, WHEELBASE],
        says: "outer wheel angle that rolls without scrub: acot(cot(inner) + track / wheelbase)",
        source: ACKERMANN,
        call: |given| {
            let (inner, track, wheelbase) = given.take()?;
            Ok(Value::angle(outer_angle(inner, track, wheelbase)))
        },
    },
    Function {
        name: "turning_radius",
        parameters: &[
            INNER
                .positive()
                .hint("straight ahead there is no turning radius"),
            TRACK,
            WHEELBASE,
        ],
        says: "radius of the turn at the middle of the rear axle: wheelbase / tan(inner) + track / 2",
        source: ACKERMANN,
        call: |given| {
            let (inner, track, wheelbase) = given.take()?;
            Ok(Value::length(turning_radius(inner, track, wheelbase)))
        },
    },
    Function {
        name: "arm_angle",
        parameters: &[TRACK, WHEELBASE],
        says: "angle of a steering arm from straight back whose line meets the middle of the rear axle: atan(track / 2 / wheelbase)",
        source: "first-approximation rule of vehicle texts; Davis gear tan(a) = c / (2 b)",
        call: |given| {
            let (track, wheelbase) = given.take()?;
            Ok(Value::angle(arm_angle(track, wheelbase)))
        },
    },
    Function {
        name: "tie_rod",
        parameters: &[TRACK, ARM, SET],
        says: "tie rod between ball joints: track - 2 * arm * sin(set); a negative arm points ahead",
        source: "plane geometry",
        call: |given| {
            let (track, arm, set) = given.take()?;
            Ok(Value::length(trapezoid(track, arm, set)?.tie_rod()))
        },
    },
    Function {
        name: "trapezoid_outer",
        parameters: &[INNER, TRACK, ARM, SET],
        says: "outer wheel angle that a steering trapezoid really gives, solved exactly; set is the arm's lean inward from straight back",
        source: "plane four-bar geometry",
        call: |given| {
            let (inner, track, arm, set) = given.take()?;
            let outer = trapezoid(track, arm, set)?.outer_angle(inner);
            outer.map(Value::angle).ok_or_else(|| {
                Refusal::new("the linkage locks over centre before it turns that far")
            })
        },
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_inner_wheel_always_turns_more() {
        for inner in 1..89 {
            let inner = f64::from(inner).to_radians();
            assert!(outer_angle(inner, 900.0, 1050.0) < inner);
        }
        assert_eq!(outer_angle(0.0, 900.0, 1050.0), 0.0);
    }

    #[test]
    fn a_parallel_linkage_turns_both_wheels_alike_and_straight_stays_straight() {
        let parallel = Trapezoid {
            track: 1000.0,
            arm: 120.0,
            set: 0.0,
        };
        let outer = parallel.outer_angle(0.5).expect("in reach");
        assert!((outer - 0.5).abs() < 1e-12);
        let leaning = Trapezoid {
            set: 0.3,
            ..parallel
        };
        assert!(leaning.outer_angle(0.0).expect("in reach").abs() < 1e-12);
    }

    #[test]
    fn arms_ahead_that_lean_outward_also_turn_the_inner_wheel_more() {
        let ahead = Trapezoid {
            track: 1200.0,
            arm: -120.0,
            set: 0.32,
        };
        assert!(ahead.tie_rod() > 1200.0);
        let outer = ahead.outer_angle(0.4).expect("in reach");
        assert!(outer < 0.4, "{outer}");
    }

    #[test]
    fn past_its_reach_the_linkage_says_so() {
        let short = Trapezoid {
            track: 300.0,
            arm: 140.0,
            set: 1.2,
        };
        assert_eq!(short.outer_angle(1.5), None);
    }
}
