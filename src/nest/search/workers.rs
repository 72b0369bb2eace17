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

/// A layout no longer than this share over what one shape takes by itself is as good as any.
const SETTLED: f64 = 1e-4;

/// Shortens the pack until the phase ends or nothing is left to gain; `tell` is called now and then with
/// the best so far and the share spent. The places tried by each worker come back beside the best.
pub(in crate::nest) fn shorten(
    pack: &Pack,
    seed: u64,
    phase: &Phase,
    tell: &mut dyn FnMut(&Strip, f64),
) -> (Strip, u64) {
    let mut workers = SWAPS.map(|swaps| Shortening::new(pack.clone(), seed, swaps));
    let enough = pack.least_length() * (1.0 + SETTLED);
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
        if phase.spent(until) >= 1.0 || best.length <= enough {
            let tried = workers.iter().map(Shortening::evaluations).max();
            return (best, tried.unwrap_or(until));
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

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::super::super::clock::{Clock, Time};
    use super::super::super::placed::PlacedShape;
    use super::super::super::prepared::PreparedPiece;
    use super::super::super::rigid_shape::RigidShape;
    use super::super::super::{Budget, Rotation};
    use super::super::shape::SearchShape;
    use super::*;
    use crate::geometry::{Bounds, Point, Vector};

    fn rectangle(width: f64, height: f64) -> SearchShape {
        let corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)];
        let shape = RigidShape::new(&corners.map(|(x, y)| Point::new(x, y)), &[]);
        SearchShape::new(&PreparedPiece {
            shape: Arc::new(shape),
            rotation: Rotation::Free,
        })
    }

    #[test]
    fn the_search_ends_where_one_shape_takes_all_the_length_by_itself() {
        let (wheel, pad) = (rectangle(200.0, 230.0), rectangle(40.0, 30.0));
        let placed = |kind: &SearchShape, turn: f64, x: f64, y: f64| PlacedShape {
            shape: kind.rotated(turn),
            at: Vector::new(x, y),
        };
        let mut moving = vec![(&wheel, placed(&wheel, 0.4, 160.0, 160.0))];
        moving.extend((0..5_u32).map(|k| {
            let y = 40.0 + 60.0 * f64::from(k);
            (&pad, placed(&pad, 0.2, 400.0, y))
        }));
        let frame = Bounds::around([Point::new(0.0, 0.0), Point::new(600.0, 400.0)]);
        let pack = Pack::new(moving, Vec::new(), frame);
        let budget = Budget {
            seed: 3,
            iterations: 10_000_000,
            seconds: None,
        };
        let phase = Clock::start(&budget, 1, Time::told_by(|| 0.0)).phase(1.0);
        let (best, places) = shorten(&pack, 3, &phase, &mut |_, _| {});
        assert!((200.0..200.021).contains(&best.length), "{}", best.length);
        assert!(places < budget.iterations / 4, "{places}");
    }
}
