//! A steering linkage over its whole lock, against rolling without scrub.
//!
//! In: a [`Trapezoid`] (track, arms, their set), the wheelbase and the lock of the inner wheel. Out: a
//! [`Study`]: the outer wheel's true angle and its error at steps of the lock, the worst error, the
//! set of the arms that makes the worst error least, and how far the linkage is from going over
//! centre. Angles are radians; solved exactly as a plane four-bar, so bump and caster are left out.

pub mod picture;

pub use crate::trade::linkage::{Row, best};

use crate::trade::linkage::{FINE, over_centre, places, row, worst};
use crate::trade::steering::{Trapezoid, arm_angle};

/// Steps of a table, radians: 5 degrees.
const STEP: f64 = std::f64::consts::PI / 36.0;
/// A tie rod nearer than this to the line of an arm, radians, is close to going over centre: 20
/// degrees, common practice, no source.
pub const NEAR_CENTRE: f64 = std::f64::consts::PI / 9.0;

/// What a linkage does over its lock.
#[derive(Debug, Clone, PartialEq)]
pub struct Study {
    /// The linkage.
    pub linkage: Trapezoid,
    /// From front to rear axle, mm.
    pub wheelbase: f64,
    /// The largest angle of the inner wheel asked for.
    pub lock: f64,
    /// At every 5 degrees and at the lock, as far as the linkage reaches.
    pub rows: Vec<Row>,
    /// The row with the largest error.
    pub worst: Row,
    /// The inner angle at which the linkage goes over centre; `None` if not before 90 degrees.
    pub over_centre: Option<f64>,
    /// The smallest angle between the tie rod and the line of an arm within the lock.
    pub closest: f64,
}

impl Study {
    /// Rows close enough to draw a curve through.
    #[must_use]
    pub fn finely(&self) -> Vec<Row> {
        let row = |inner: f64| row(&self.linkage, self.wheelbase, inner);
        places(FINE, self.lock).filter_map(row).collect()
    }
}

/// Looks at a linkage over a lock; `None` if it cannot turn at all.
#[must_use]
pub fn study(linkage: Trapezoid, wheelbase: f64, lock: f64) -> Option<Study> {
    let row = |inner: f64| row(&linkage, wheelbase, inner);
    let rows: Vec<Row> = places(STEP, lock).filter_map(row).collect();
    let worst = worst(&linkage, wheelbase, lock)?;
    let closest = places(FINE, lock).map_while(|inner| linkage.rod_angle(inner));
    Some(Study {
        linkage,
        wheelbase,
        lock,
        rows,
        worst,
        over_centre: over_centre(&linkage),
        closest: closest.fold(std::f64::consts::FRAC_PI_2, f64::min),
    })
}

/// The arm-line rule for a vehicle: arms that point at the middle of the rear axle.
#[must_use]
pub fn by_rule(track: f64, wheelbase: f64, arm: f64) -> Trapezoid {
    Trapezoid {
        track,
        arm,
        set: arm_angle(track, wheelbase),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rule() -> Trapezoid {
        by_rule(1200.0, 1800.0, 120.0)
    }

    /// Track 1200, wheelbase 1800, arms of 120 by the arm-line rule: 0.44° over at 10° inner, 2.27° at
    /// 35° (plane four-bar geometry, computed with an independent bisection solver).
    #[test]
    fn the_rule_is_as_far_off_as_an_independent_solver_says() {
        let study = study(rule(), 1800.0, 35_f64.to_radians()).expect("it turns");
        let at = |degrees: f64| {
            let mut rows = study.rows.iter();
            rows.find(|row| (row.inner.to_degrees() - degrees).abs() < 1e-6)
                .expect("a row")
        };
        assert!((at(10.0).error().to_degrees() - 0.44).abs() < 0.005);
        assert!((at(35.0).error().to_degrees() - 2.2723).abs() < 0.001);
        assert!((at(5.0).error().to_degrees() - 0.1231).abs() < 0.001);
        assert!((study.worst.inner - study.lock).abs() < 1e-9);
        // (20 - 17) / (20 - 16.3253), common practice.
        let row = Row {
            inner: 20_f64.to_radians(),
            outer: 17_f64.to_radians(),
            ideal: 16.3253_f64.to_radians(),
        };
        assert!((row.percent() - 81.64).abs() < 0.02);
    }

    #[test]
    fn the_best_set_beats_the_rule_and_every_set_around_it() {
        let lock = 35_f64.to_radians();
        let off = |linkage: Trapezoid| {
            study(linkage, 1800.0, lock)
                .expect("it turns")
                .worst
                .error()
                .abs()
        };
        let best = best(&rule(), 1800.0, lock).expect("there is one");
        assert!(off(best) < off(rule()) / 2.0);
        for turn in [-0.05, -0.01, -0.001, 0.001, 0.01, 0.05] {
            let other = Trapezoid {
                set: best.set + turn,
                ..best
            };
            assert!(off(other) >= off(best) - 1e-9, "{turn}");
        }
    }

    #[test]
    fn over_centre_comes_where_rod_and_arm_line_up() {
        let short = Trapezoid {
            track: 500.0,
            arm: 120.0,
            set: 0.6,
        };
        let limit = over_centre(&short).expect("before 90 degrees");
        let before = short.rod_angle(limit - 1e-4).expect("still short of it");
        assert!(before < 0.03, "{before}");
        let spare = study(short, 1800.0, limit - 0.05).expect("it turns");
        assert!(spare.closest < NEAR_CENTRE);
        let parallel = Trapezoid {
            track: 1000.0,
            arm: 120.0,
            set: 0.0,
        };
        let limit = over_centre(&parallel).map_or(90.0, f64::to_degrees);
        assert!(limit > 89.0, "{limit}");
    }
}
