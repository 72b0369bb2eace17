//! Timing two ways of doing the same side by side, in one run.

#![allow(dead_code, unreachable_pub, reason = "each bench uses its own share")]

use std::hint::black_box;
use std::time::{Duration, Instant};

/// How long one call is watched for, in all.
const WATCH: Duration = Duration::from_millis(600);
/// Calls at least.
const LEAST: usize = 5;

/// The median time of a call, s.
pub fn median<T>(mut call: impl FnMut() -> T) -> f64 {
    let started = Instant::now();
    let mut times = Vec::new();
    while times.len() < LEAST || started.elapsed() < WATCH {
        let one = Instant::now();
        black_box(call());
        times.push(one.elapsed().as_secs_f64());
    }
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// A time in the unit that suits it.
pub fn time(seconds: f64) -> String {
    match seconds {
        s if s < 1e-3 => format!("{:.1} µs", s * 1e6),
        s if s < 1.0 => format!("{:.2} ms", s * 1e3),
        s => format!("{s:.2} s"),
    }
}
