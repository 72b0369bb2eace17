//! The clocking that leaves the most metal: the highest points of the lower envelope of all clearances.
//!
//! Between two neighbouring changes every clearance rises, falls or stays level, so the least of the
//! rising ones rises and the least of the falling ones falls: they meet once, and there, or at an
//! end, is the one highest point. Each is worked out from the pair of clearances that meet; nothing is
//! sampled.

use super::clearance::{Clearance, SAME_ANGLE, Stretch, Trend};

/// Distances that differ by less than this, mm, are the same.
const SAME_CLEARANCE: f64 = 1e-11;

/// Peaks whose heights agree to this, mm, are equally good.
const EQUAL_CLEARANCE: f64 = 1e-6;

/// A highest point between its neighbours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Peak {
    /// The clocking, radians from 0 up to the pace.
    pub(super) angle: f64,
    /// The least distance of a hole's centre from any edge there, mm.
    pub(super) clearance: f64,
    /// The least of those that the clocking changes, mm.
    pub(super) turning: f64,
}

/// A stretch wrapped to one pace of the pattern.
#[derive(Debug, Clone, Copy)]
pub(super) struct Branch {
    from: f64,
    to: f64,
    clearance: Clearance,
    trend: Trend,
}

/// Wraps a stretch of angles around the orbit to one pace: each hole of the pattern sees it in
/// turn.
pub(super) fn wrapped(stretch: &Stretch, pace: f64) -> impl Iterator<Item = Branch> {
    let first = (stretch.from / pace).floor() as i64;
    let last = (stretch.to / pace).ceil() as i64;
    let stretch = *stretch;
    (first..last).filter_map(move |turn| {
        let shift = turn as f64 * pace;
        let from = (stretch.from - shift).max(0.0);
        let to = (stretch.to - shift).min(pace);
        (to - from > SAME_ANGLE).then(|| Branch {
            from,
            to,
            clearance: stretch.clearance.shifted(shift),
            trend: stretch.trend,
        })
    })
}

/// Where in an interval its highest point is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Highest {
    Start,
    Inside,
    End,
}

/// Every peak over one pace, the highest first; none if nothing depends on the clocking. No peak lies
/// in `barred` stretches, where a hole's centre is off the metal.
pub(super) fn peaks(branches: &[Branch], barred: &[(f64, f64)], pace: f64) -> Vec<Peak> {
    let ends = branches.iter().flat_map(|it| [it.from, it.to]);
    let bars = barred.iter().flat_map(|(from, to)| [*from, *to]);
    let mut cuts: Vec<f64> = ends.chain(bars).chain([0.0, pace]).collect();
    cuts.sort_by(f64::total_cmp);
    cuts.dedup_by(|a, b| (*a - *b).abs() < SAME_ANGLE);
    let intervals: Vec<Option<(Highest, Peak)>> = cuts
        .windows(2)
        .map(|pair| {
            let middle = f64::midpoint(pair[0], pair[1]);
            if barred
                .iter()
                .any(|(from, to)| (*from..*to).contains(&middle))
            {
                return None;
            }
            highest(branches, pair[0], pair[1])
        })
        .collect();
    let mut peaks: Vec<Peak> = (0..intervals.len())
        .filter_map(|i| {
            let (spot, peak) = intervals[i]?;
            let next = intervals[(i + 1) % intervals.len()];
            let is_peak = match spot {
                Highest::Inside => true,
                // The same point seen from its other side.
                Highest::Start => false,
                Highest::End => next.is_some_and(|(spot, _)| spot == Highest::Start),
            };
            is_peak.then_some(Peak {
                angle: if pace - peak.angle < SAME_ANGLE {
                    0.0
                } else {
                    peak.angle
                },
                ..peak
            })
        })
        .collect();
    peaks.sort_by(|a, b| {
        // Rounding does not decide between equals: the smaller angle does.
        let plain = |clearance: f64| (clearance / EQUAL_CLEARANCE).round();
        let highest = plain(b.clearance).total_cmp(&plain(a.clearance));
        highest
            .then(plain(b.turning).total_cmp(&plain(a.turning)))
            .then(a.angle.total_cmp(&b.angle))
    });
    peaks
}

/// The highest point of the lower envelope over an interval without changes.
fn highest(branches: &[Branch], low: f64, high: f64) -> Option<(Highest, Peak)> {
    let middle = f64::midpoint(low, high);
    let here = |trend: Trend| -> Vec<&Clearance> {
        let active = branches
            .iter()
            .filter(move |it| it.from < middle && middle < it.to);
        active
            .filter(|it| it.trend == trend)
            .map(|it| &it.clearance)
            .collect()
    };
    let (rising, falling) = (here(Trend::Rising), here(Trend::Falling));
    let level = least(&here(Trend::Level), middle).map_or(f64::INFINITY, |(_, value)| value);
    let (spot, angle) = match (rising.is_empty(), falling.is_empty()) {
        (true, true) => return None,
        (false, true) => (Highest::End, high),
        (true, false) => (Highest::Start, low),
        (false, false) => meeting(&rising, &falling, low, high),
    };
    let lowest = |clearances: &[&Clearance]| {
        least(clearances, angle).map_or(f64::INFINITY, |(_, value)| value)
    };
    let turning = lowest(&rising).min(lowest(&falling));
    let peak = Peak {
        angle,
        turning,
        clearance: turning.min(level),
    };
    Some((spot, peak))
}

/// Where the least of the rising meets the least of the falling, or the end that is nearer to it.
fn meeting(
    rising: &[&Clearance],
    falling: &[&Clearance],
    mut low: f64,
    mut high: f64,
) -> (Highest, f64) {
    /// Each step rules out a clearance or halves the interval.
    const STEPS: usize = 200;
    let pair = |angle: f64| {
        let (up, up_value) = least(rising, angle)?;
        let (down, down_value) = least(falling, angle)?;
        Some((up, down, up_value - down_value))
    };
    let (Some(at_low), Some(at_high)) = (pair(low), pair(high)) else {
        return (Highest::Start, low);
    };
    if at_low.2 >= 0.0 {
        return (Highest::Start, low);
    }
    if at_high.2 <= 0.0 {
        return (Highest::End, high);
    }
    let (mut up, mut down) = (at_low.0, at_low.1);
    let mut angle = low;
    for _ in 0..STEPS {
        let apart = |angle: f64| up.at(angle) - down.at(angle);
        let crossing = (apart(low) < 0.0 && apart(high) > 0.0).then(|| up.meets(down, low, high));
        angle = crossing.unwrap_or_else(|| f64::midpoint(low, high));
        let Some((next_up, next_down, off)) = pair(angle) else {
            break;
        };
        let lower = (up.at(angle) - next_up.at(angle)).max(down.at(angle) - next_down.at(angle));
        let settled = crossing.is_some() && lower <= SAME_CLEARANCE;
        if settled || high - low <= SAME_ANGLE {
            break;
        }
        if off < 0.0 {
            low = angle;
        } else {
            high = angle;
        }
        (up, down) = (next_up, next_down);
    }
    (Highest::Inside, angle)
}

/// The lowest clearance at an angle, and its value.
fn least<'a>(clearances: &[&'a Clearance], angle: f64) -> Option<(&'a Clearance, f64)> {
    let valued = clearances
        .iter()
        .map(|clearance| (*clearance, clearance.at(angle)));
    valued.min_by(|a, b| a.1.total_cmp(&b.1))
}
