//! How long the layout search looks unless told otherwise: the same for every way to ask for it.

use crate::nest::Budget;

/// Steps of the layout search unless told otherwise: a fixed number, so that the same job gives the
/// same files on any machine.
const ITERATIONS: u64 = 25_000;

/// Steps for all copies together unless told otherwise: of many copies each has fewer, so that no job takes
/// more than some seconds.
const ALL_ITERATIONS: u64 = 4_000_000;

/// Steps when a time is given: more than any machine takes in a day.
const UNTIL_TIME: u64 = u64::MAX / 2;

/// The budget of the layout search for so many copies of each plate; `seconds` ends it by the clock.
#[must_use]
pub fn budget(seed: u64, seconds: Option<f64>, copies: impl Iterator<Item = u32>) -> Budget {
    let copies = copies.map(u64::from).sum::<u64>().max(1);
    Budget {
        seed,
        iterations: match seconds {
            Some(_) => UNTIL_TIME,
            None => ITERATIONS.min(ALL_ITERATIONS / copies),
        },
        seconds,
    }
}
