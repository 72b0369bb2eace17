//! Caliper readings turned into circles, outlines and kerfs.
//!
//! In: what a caliper, a ruler or a rise gauge says, and how far each reading may be off. Out: the
//! circle's diameter with its uncertainty ([`Round`]), and the wheel patterns that lie within it
//! ([`pattern`]). Lengths are mm.

pub mod arc;
pub mod kerf;
pub mod outline;
pub mod pattern;
pub mod studs;
pub mod words;

/// A measured circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Round {
    /// Its diameter, mm.
    pub diameter: f64,
    /// How far the diameter may be off, mm: every reading off by as much as it may be, all to the
    /// worse side.
    pub within: f64,
    /// Its standard deviation, mm, if a reading is within what it may be off nineteen times of twenty,
    /// which are two standard deviations of a normal error.
    pub deviation: f64,
}

impl Round {
    /// A circle worked out from readings, each off by at most `off` mm.
    ///
    /// Its uncertainty is the sum over the readings of how far the result moves when that one is off,
    /// the larger of up and down. `None` if the readings make no circle.
    pub fn worked_out(
        readings: &[f64],
        off: f64,
        diameter: impl Fn(&[f64]) -> Option<f64>,
    ) -> Option<Self> {
        let middle = sound(diameter(readings)?)?;
        let (mut within, mut squares) = (0.0, 0.0_f64);
        for index in 0..readings.len() {
            let moved = |by: f64| {
                let mut readings = readings.to_vec();
                readings[index] += by;
                let moved = sound(diameter(&readings)?)?;
                Some((moved - middle).abs())
            };
            let moved = moved(off)?.max(moved(-off)?);
            within += moved;
            squares += moved * moved;
        }
        Some(Self {
            diameter: middle,
            within,
            deviation: squares.sqrt() / 2.0,
        })
    }
}

/// A diameter that there can be.
fn sound(diameter: f64) -> Option<f64> {
    const LARGEST: f64 = 1e7;
    (diameter.is_finite() && diameter > 0.0 && diameter < LARGEST).then_some(diameter)
}
