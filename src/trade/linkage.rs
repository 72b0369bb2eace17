//! A steering linkage over its lock: where it is furthest from rolling without scrub, the set of the
//! arms that makes that least, and where it goes over centre.
//!
//! Angles are radians; a plane four-bar solved exactly, so bump and caster are left out.

use super::steering::{ARM, TRACK, Trapezoid, WHEELBASE, outer_angle};
use crate::fault::Refusal;
use crate::quantity::{Function, Parameter, Value};

/// Steps in which the worst error is looked for, radians: half a degree.
pub(crate) const FINE: f64 = std::f64::consts::PI / 360.0;
/// Arms are tried from this set, radians, to [`STEEPEST`].
const SHALLOWEST: f64 = -0.1;
/// About 60 degrees.
const STEEPEST: f64 = 1.05;
/// Steps in which the set is tried before it is closed in on, radians: a degree.
const TRIAL: f64 = std::f64::consts::PI / 180.0;

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

/// The linkage with the arms set so that the worst error over the lock is least; `None` if no set turns
/// that far.
#[must_use]
pub fn best(linkage: &Trapezoid, wheelbase: f64, lock: f64) -> Option<Trapezoid> {
    let with = |set: f64| Trapezoid { set, ..*linkage };
    let cost = |set: f64| {
        let linkage = with(set);
        let reaches = linkage.tie_rod() > 0.0 && linkage.rod_angle(lock).is_some();
        let worst = reaches.then(|| worst(&linkage, wheelbase, lock)).flatten();
        worst.map_or(f64::INFINITY, |row| row.error().abs())
    };
    let steps = ((STEEPEST - SHALLOWEST) / TRIAL) as u32;
    let at = |k: u32| SHALLOWEST + (STEEPEST - SHALLOWEST) * f64::from(k) / f64::from(steps);
    let nearest = (0..=steps).min_by(|a, b| cost(at(*a)).total_cmp(&cost(at(*b))))?;
    let (low, high) = (at(nearest.saturating_sub(1)), at((nearest + 1).min(steps)));
    let set = golden(cost, low, high);
    cost(set).is_finite().then(|| with(set))
}

/// The linkage at one angle of the inner wheel; `None` if it cannot reach it.
#[must_use]
pub fn row(linkage: &Trapezoid, wheelbase: f64, inner: f64) -> Option<Row> {
    Some(Row {
        inner,
        outer: linkage.outer_angle(inner)?,
        ideal: outer_angle(inner, linkage.track, wheelbase),
    })
}

/// The row with the largest error up to the lock.
#[must_use]
pub fn worst(linkage: &Trapezoid, wheelbase: f64, lock: f64) -> Option<Row> {
    let rows = places(FINE, lock).filter_map(|inner| row(linkage, wheelbase, inner));
    rows.max_by(|a, b| a.error().abs().total_cmp(&b.error().abs()))
}

/// Every step up to the lock, and the lock itself.
pub(crate) fn places(step: f64, lock: f64) -> impl Iterator<Item = f64> {
    /// Shares of a step that are none.
    const SAME: f64 = 1e-9;
    let count = (lock / step - SAME).floor().max(0.0) as u32;
    (1..=count).map(move |k| f64::from(k) * step).chain([lock])
}

/// The angle of the inner wheel at which the tie rod first comes into line with an arm; `None` if not
/// before 90 degrees.
#[must_use]
pub fn over_centre(linkage: &Trapezoid) -> Option<f64> {
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

/// What recipes can ask about linkages.
pub const FUNCTIONS: &[Function] = &[Function {
    name: "best_arm_angle",
    parameters: &[
        TRACK,
        WHEELBASE,
        ARM,
        Parameter::angle("lock")
            .positive()
            .below(std::f64::consts::FRAC_PI_2),
    ],
    says: "angle of a steering arm from straight back whose worst error from rolling without scrub, up to this lock of the inner wheel, is least; a negative arm points ahead",
    source: "plane four-bar geometry",
    call: |given| {
        let (track, wheelbase, arm, lock) = given.take()?;
        let set = 0.0;
        if arm == 0.0 {
            return Err("the arm must have a length".into());
        }
        let best = best(&Trapezoid { track, arm, set }, wheelbase, lock).ok_or_else(|| {
            Refusal::new("no set of these arms turns that far").remedy("use shorter arms")
        })?;
        Ok(Value::angle(best.set))
    },
}];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_lock_forgives_more_and_arms_ahead_lean_outward_too() {
        let linkage = |arm| Trapezoid {
            track: 1200.0,
            arm,
            set: 0.0,
        };
        for arm in [120.0, -120.0] {
            let off = |degrees: f64| {
                let lock = degrees.to_radians();
                let best = best(&linkage(arm), 1800.0, lock).expect("it turns");
                assert!(best.set > 0.2, "{arm}: {}", best.set);
                worst(&best, 1800.0, lock).expect("it turns").error().abs()
            };
            assert!(off(20.0) < off(30.0) && off(30.0) < off(40.0), "{arm}");
        }
    }
}
