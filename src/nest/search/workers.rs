//! Two searches at once that learn from each other.
//!
//! In: searches and a [`Phase`] of the budget. Out: the best of what they found. They run apart for a
//! fixed number of places tried, then take over the better layout; without a limit of time what comes
//! out is the same on any machine, whether the two run side by side or one after the other.

use super::super::clock::Phase;
use super::pack::Pack;
use super::strip::{Shortening, Strip};

/// The searches that run, by the swaps each tries before it begins anew: one stays near the best
/// layout, one goes far from it and comes back.
const SWAPS: [usize; 2] = [1, 0];
/// Places each tries between two looks at the others.
const STRETCH: u64 = 30_000;

/// Shortens the pack until the phase ends; `tell` is called now and then with the best so far and the
/// share spent. The places tried by each worker come back beside the best.
pub(in crate::nest) fn shorten(
    pack: &Pack,
    seed: u64,
    phase: &Phase,
    tell: &mut dyn FnMut(&Strip, f64),
) -> (Strip, u64) {
    let mut workers = SWAPS.map(|swaps| Shortening::new(pack.clone(), seed, swaps));
    let mut until = STRETCH;
    loop {
        let (first, rest) = workers.split_at_mut(1);
        rayon::join(
            || run(&mut first[0], until, phase),
            || run(&mut rest[0], until, phase),
        );
        let best = workers
            .iter()
            .min_by(|a, b| a.best().length.total_cmp(&b.best().length))
            .map(|worker| worker.best().clone())
            .expect("there are two workers");
        for worker in &mut workers {
            worker.take_over(&best);
        }
        tell(&best, phase.spent(until));
        if phase.spent(until) >= 1.0 {
            return (best, until);
        }
        until += STRETCH;
    }
}

fn run(worker: &mut Shortening, until: u64, phase: &Phase) {
    while worker.evaluations() < until {
        if phase.spent(worker.evaluations()) >= 1.0 {
            return;
        }
        worker.advance(phase);
    }
}
