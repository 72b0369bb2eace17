//! A steering linkage over its whole lock, against rolling without scrub.
//!
//! In: a [`Trapezoid`] (track, arms, their set), the wheelbase and the lock of the inner wheel. Out: a
//! [`Study`]: the outer wheel's true angle and its error at steps of the lock, the worst error, the
//! set of the arms that makes the worst error least, and how far the linkage is from going over
//! centre. Angles are radians; solved exactly as a plane four-bar, so bump and caster are left out.

pub mod picture;

use crate::trade::steering::{Trapezoid, arm_angle, outer_angle};

/// Steps of a table, radians: 5 degrees.
const STEP: f64 = std::f64::consts::PI / 36.0;
/// Steps in which the worst error is looked for, radians: a quarter of a degree.
const FINE: f64 = std::f64::consts::PI / 720.0;
/// Arms are tried from this set, radians, to [`STEEPEST`].
const SHALLOWEST: f64 = -0.1;
/// About 60 degrees.
const STEEPEST: f64 = 1.05;
/// A tie rod nearer than this to the line of an arm, radians, is close to going over centre: 20
/// degrees, common practice, no source.
pub const NEAR_CENTRE: f64 = std::f64::consts::PI / 9.0;

/// A linkage at one angle of the inner wheel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// The inner wheel.
    pub inner: f64,
    /// The outer wheel as the linkage turns it.
    pub outer: f64,
    /// The outer wheel that rolls without scrub.
    pub ideal: f64,
}

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

impl Row {
    /// How far the outer wheel is over the ideal.
    #[must_use]
    pub fn error(&self) -> f64 {
        self.outer - self.ideal
    }

    /// (inner − outer) / (inner − ideal), percent: 100 rolls without scrub, 0 is parallel.
    #[must_use]
    pub fn percent(&self) -> f64 {
        100.0 * (self.inner - self.outer) / (self.inner - self.ideal)
    }
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

/// The set of the arms whose worst error over the lock is least, and that linkage.
#[must_use]
pub fn best(linkage: &Trapezoid, wheelbase: f64, lock: f64) -> Option<Trapezoid> {
    let with = |set: f64| Trapezoid { set, ..*linkage };
    let cost = |set: f64| {
        let linkage = with(set);
        let reaches = linkage.tie_rod() > 0.0 && linkage.outer_angle(lock).is_some();
        let worst = reaches.then(|| worst(&linkage, wheelbase, lock)).flatten();
        worst.map_or(f64::INFINITY, |row| row.error().abs())
    };
    let steps = ((STEEPEST - SHALLOWEST) / STEP * 5.0) as u32;
    let at = |k: u32| SHALLOWEST + (STEEPEST - SHALLOWEST) * f64::from(k) / f64::from(steps);
    let nearest = (0..=steps).min_by(|a, b| cost(at(*a)).total_cmp(&cost(at(*b))))?;
    let (low, high) = (at(nearest.saturating_sub(1)), at((nearest + 1).min(steps)));
    let set = golden(cost, low, high);
    cost(set).is_finite().then(|| with(set))
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

fn row(linkage: &Trapezoid, wheelbase: f64, inner: f64) -> Option<Row> {
    Some(Row {
        inner,
        outer: linkage.outer_angle(inner)?,
        ideal: outer_angle(inner, linkage.track, wheelbase),
    })
}

fn worst(linkage: &Trapezoid, wheelbase: f64, lock: f64) -> Option<Row> {
    let rows = places(FINE, lock).filter_map(|inner| row(linkage, wheelbase, inner));
    rows.max_by(|a, b| a.error().abs().total_cmp(&b.error().abs()))
}

/// Every step up to the lock, and the lock itself.
fn places(step: f64, lock: f64) -> impl Iterator<Item = f64> {
    /// Shares of a step that are none.
    const SAME: f64 = 1e-9;
    let count = (lock / step - SAME).floor().max(0.0) as u32;
    (1..=count).map(move |k| f64::from(k) * step).chain([lock])
}

/// Where the tie rod first comes into line with an arm.
fn over_centre(linkage: &Trapezoid) -> Option<f64> {
    const HALVINGS: usize = 50;
    let is_short = |inner: f64| linkage.rod_angle(inner).is_some();
    let quarter = std::f64::consts::FRAC_PI_2;
    let beyond = places(FINE, quarter).find(|inner| !is_short(*inner))?;
    let (mut low, mut high) = (beyond - FINE, beyond);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if is_short(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(low)
}

/// The lowest point of a curve with one valley (golden section).
fn golden(cost: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    const STEPS: usize = 60;
    const SHARE: f64 = 0.618_033_988_749_894_9;
    for _ in 0..STEPS {
        let (a, b) = (high - SHARE * (high - low), low + SHARE * (high - low));
        if cost(a) <= cost(b) {
            high = b;
        } else {
            low = a;
        }
    }
    f64::midpoint(low, high)
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
