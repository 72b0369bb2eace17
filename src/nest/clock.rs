//! How much of the budget is spent.
//!
//! In: a [`Budget`]. Out: [`Phase`]s, each with its share of what is left, in places tried and in
//! time. Places tried are counted for each worker; the clock of the wall only ever ends a phase early,
//! and so does a caller who has had enough.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use super::Budget;

/// A budget being spent.
#[derive(Debug, Clone)]
pub(super) struct Clock {
    started: Instant,
    seconds: Option<f64>,
    left: u64,
    stopped: Stopped,
}

/// Whether the caller has had enough; known to every phase at once.
#[derive(Debug, Clone, Default)]
struct Stopped(Arc<AtomicBool>);

impl Stopped {
    fn is_set(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

impl Clock {
    /// Starts now; the budget counts steps for each of `copies`.
    pub(super) fn start(budget: &Budget, copies: u64) -> Self {
        Self {
            started: Instant::now(),
            seconds: budget.seconds,
            left: budget.iterations.saturating_mul(copies),
            stopped: Stopped::default(),
        }
    }

    /// A phase with this share of what is left.
    pub(super) fn phase(&self, share: f64) -> Phase {
        let elapsed = self.started.elapsed().as_secs_f64();
        Phase {
            started: Instant::now(),
            seconds: self
                .seconds
                .map(|seconds| (seconds - elapsed).max(0.0) * share),
            places: (self.left as f64 * share) as u64,
            stopped: self.stopped.clone(),
        }
    }

    /// Ends every phase, those under way too.
    pub(super) fn stop(&self) {
        self.stopped.0.store(true, Ordering::Relaxed);
    }

    /// Takes places that were tried off what is left.
    pub(super) fn charge(&mut self, places: u64) {
        self.left = self.left.saturating_sub(places);
    }

    /// Whether nothing is left.
    pub(super) fn is_over(&self) -> bool {
        let late = |seconds| self.started.elapsed().as_secs_f64() >= seconds;
        self.left == 0 || self.stopped.is_set() || self.seconds.is_some_and(late)
    }
}

/// A part of the budget.
#[derive(Debug, Clone)]
pub(super) struct Phase {
    started: Instant,
    seconds: Option<f64>,
    places: u64,
    stopped: Stopped,
}

impl Phase {
    /// Whether its time is over or the caller has had enough, however many places are left: asked
    /// within long steps, which then end with what they have.
    pub(super) fn is_late(&self) -> bool {
        let late = |seconds| self.started.elapsed().as_secs_f64() >= seconds;
        self.stopped.is_set() || self.seconds.is_some_and(late)
    }

    /// The share of it that is spent after so many places, 0 to 1 and beyond.
    pub(super) fn spent(&self, places: u64) -> f64 {
        if self.stopped.is_set() {
            return 1.0;
        }
        let tried = if self.places == 0 {
            1.0
        } else {
            places as f64 / self.places as f64
        };
        let waited = self.seconds.map_or(0.0, |seconds| {
            self.started.elapsed().as_secs_f64() / seconds
        });
        tried.max(if waited.is_nan() { 1.0 } else { waited })
    }
}
