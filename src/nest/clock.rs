//! How much of the budget is spent.
//!
//! In: a [`Budget`]. Out: [`Phase`]s, each with its share of what is left, in places tried and in
//! time. Places tried are counted for each worker; the clock of the wall only ever ends a phase early,
//! and so does a caller who has had enough.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use super::Budget;

/// Seconds since the start, from whatever tells them.
#[derive(Clone)]
pub(super) struct Time(Arc<dyn Fn() -> f64 + Send + Sync>);

impl Time {
    /// By the clock on the wall, from now on.
    pub(super) fn on_the_wall() -> Self {
        let started = Instant::now();
        Self::told_by(move || started.elapsed().as_secs_f64())
    }

    /// By any other clock.
    pub(super) fn told_by(seconds: impl Fn() -> f64 + Send + Sync + 'static) -> Self {
        Self(Arc::new(seconds))
    }

    fn now(&self) -> f64 {
        (self.0)()
    }
}

/// A budget being spent.
#[derive(Clone)]
pub(super) struct Clock {
    time: Time,
    seconds: Option<f64>,
    places: u64,
    left: u64,
    stopped: Stopped,
}

/// Whether the caller has had enough; known to every phase at once.
#[derive(Clone, Default)]
struct Stopped(Arc<AtomicBool>);

impl Stopped {
    fn is_set(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

impl Clock {
    /// Starts as the time does; the budget counts steps for each of `copies`.
    pub(super) fn start(budget: &Budget, copies: u64, time: Time) -> Self {
        Self {
            time,
            seconds: budget.seconds,
            places: budget.iterations.saturating_mul(copies),
            left: budget.iterations.saturating_mul(copies),
            stopped: Stopped::default(),
        }
    }

    /// A budget by itself with these shares of what is left, in time and in places, which are counted anew; the same
    /// caller stops both.
    pub(super) fn part(&self, time: f64, places: f64) -> Self {
        let now = self.time.now();
        let left = (self.left as f64 * places) as u64;
        Self {
            seconds: self
                .seconds
                .map(|seconds| now + (seconds - now).max(0.0) * time),
            places: left,
            left,
            ..self.clone()
        }
    }

    /// A phase with this share of what is left.
    pub(super) fn phase(&self, share: f64) -> Phase {
        let now = self.time.now();
        Phase {
            time: self.time.clone(),
            began: now,
            seconds: self.seconds.map(|seconds| (seconds - now).max(0.0) * share),
            places: (self.left as f64 * share) as u64,
            stopped: self.stopped.clone(),
        }
    }

    /// The share of the whole budget that is spent with this share of a phase, 0 to 1.
    pub(super) fn spent_with(&self, phase: &Phase, share: f64) -> f64 {
        let tried = (self.places - self.left) as f64 + phase.places as f64 * share.min(1.0);
        (tried / self.places as f64).max(self.waited()).min(1.0)
    }

    /// The share of its time that is over, 0 to 1; 0 where no time is given.
    pub(super) fn waited(&self) -> f64 {
        let waited = self.seconds.map_or(0.0, |it| self.time.now() / it);
        waited.min(1.0)
    }

    /// How often what is left can be halved before it is less than so many places.
    pub(super) fn halvings(&self, least: u64) -> u32 {
        (self.left / least.max(1)).checked_ilog2().unwrap_or(0)
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
        self.left == 0 || self.is_late()
    }

    /// Whether the time is over or the caller has had enough, however many places are left.
    pub(super) fn is_late(&self) -> bool {
        self.stopped.is_set()
            || self
                .seconds
                .is_some_and(|seconds| self.time.now() >= seconds)
    }
}

/// A part of the budget.
#[derive(Clone)]
pub(super) struct Phase {
    time: Time,
    began: f64,
    seconds: Option<f64>,
    places: u64,
    stopped: Stopped,
}

impl Phase {
    /// Whether its time is over or the caller has had enough, however many places are left: asked
    /// within long steps, which then end with what they have.
    pub(super) fn is_late(&self) -> bool {
        self.stopped.is_set() || self.seconds.is_some_and(|seconds| self.waited() >= seconds)
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
        let waited = self.seconds.map_or(0.0, |seconds| self.waited() / seconds);
        tried.max(if waited.is_nan() { 1.0 } else { waited })
    }

    fn waited(&self) -> f64 {
        self.time.now() - self.began
    }
}
