//! A tour perturbed in one place and improved, again and again, the shorter one kept (iterated local
//! search).
//!
//! In: a tour that no single change makes shorter. Out: one that is no longer; the same for the same.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

use super::tour::{Change, Tour};

/// Tours perturbed and improved, for a stop; fewer in all for many stops, as each takes longer: what a
/// round takes grows with the stops.
const ROUNDS_PER_STOP: usize = 40;
const MOST_ROUNDS: usize = 3000;
const MOST_IN_ALL: usize = MOST_ROUNDS * MOST_ROUNDS;

/// The longest stretch that is moved to perturb a tour.
const LONGEST: usize = 10;

/// How often a stretch that may be moved is looked for.
const TRIES: usize = 10;

/// Seed of the perturbations.
const SEED: u64 = 6;

/// Perturbs the tour here and there, improves it, and keeps what comes out shorter.
pub(super) fn perturb_and_improve(tour: &mut Tour<'_>) {
    let mut random = Pcg64Mcg::seed_from_u64(SEED);
    let count = tour.order.len();
    let mut best = tour.clone();
    let most = MOST_ROUNDS.min(MOST_IN_ALL / count.max(1));
    for _ in 0..(ROUNDS_PER_STOP * count).min(most) {
        let near = random.random_range(0..count);
        let mut touched = Vec::new();
        for _ in 0..2 {
            touched.extend(perturb(tour, near, &mut random));
        }
        tour.improve_around(touched);
        if tour.cost() <= best.cost() {
            best.clone_from(tour);
        } else {
            tour.clone_from(&best);
        }
    }
    tour.clone_from(&best);
}

/// Lets two neighbouring stretches near a position change places, if some are allowed to; gives the
/// stops that are followed by another now.
fn perturb(tour: &mut Tour<'_>, near: usize, random: &mut Pcg64Mcg) -> Vec<usize> {
    let longest = LONGEST.min(tour.order.len() / 2 + 1);
    for _ in 0..TRIES {
        let first = (near + random.random_range(0..2 * longest)).saturating_sub(longest);
        let second = first + random.random_range(1..=longest);
        let end = second + random.random_range(1..=longest);
        let change = Change::Exchange(first, second, end);
        if end <= tour.order.len() && tour.allows(change) {
            let touched = tour.ends(change);
            tour.apply(change);
            return touched;
        }
    }
    Vec::new()
}
