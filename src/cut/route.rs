//! A short way round many stops, some of which must come before others.
//!
//! In: stops with the place where each is entered and left, and the stops that must come before it.
//! Out: an order that keeps to that, with rapid moves as short as a tour plate by plate becomes by
//! changing it until nothing improves, then again and again from a tour upset in one place, keeping the
//! shorter (iterated local search). The same stops give the same order.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

use super::plates;
use super::tour::{Change, Moves, Tour};
use crate::geometry::Point;

/// One torch run as a stop of the tour.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Stop {
    /// Where it is entered: the pierce.
    pub(super) entry: Point,
    /// Where it is left.
    pub(super) exit: Point,
    /// The stops that must come before it.
    pub(super) after: Vec<usize>,
    /// The plate it belongs to; all but one of a plate's stops come before that one.
    pub(super) plate: usize,
}

/// Tours upset and mended, for a stop; fewer in all for many stops, as each takes longer.
const UPSETS_PER_STOP: usize = 40;
const MOST_UPSETS: usize = 3000;

/// The longest stretch that is moved to upset a tour.
const LONGEST_UPSET: usize = 10;

/// How often a stretch that may be moved is looked for.
const TRIES: usize = 10;

/// Seed of the upsets.
const SEED: u64 = 6;

/// How much dearer a move too short for the heat to spread is, for each mm that it lacks.
const HEAT: f64 = 10.0;

/// What is asked of a tour beside being short.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Wishes {
    /// Where it starts.
    pub(super) home: Point,
    /// The least distance between the end of a run and the next pierce that is wished for, mm, so that
    /// the heat of one does not add to that of the other.
    pub(super) spread: f64,
}

impl Wishes {
    /// What a rapid move of some mm costs.
    pub(super) fn cost(&self, mm: f64) -> f64 {
        mm + HEAT * (self.spread - mm).max(0.0)
    }

    /// What the moves between some stops cost.
    fn moves(&self, stops: &[Stop]) -> Moves {
        let exits = stops.iter().map(|stop| stop.exit).chain([self.home]);
        let row = |exit: Point| {
            let entries = stops.iter().map(|stop| exit.distance(stop.entry));
            entries.map(|mm| self.cost(mm)).collect()
        };
        Moves::new(stops, exits.map(row).collect())
    }
}

/// A tour through all stops to begin with.
pub(super) fn first_tour(stops: &[Stop], wishes: &Wishes) -> Vec<usize> {
    let order = plates::one_by_one(stops, wishes);
    mended(stops, wishes, order)
}

/// The tour as short as upsetting and mending it makes it.
pub(super) fn shortened(stops: &[Stop], wishes: &Wishes, order: Vec<usize>) -> Vec<usize> {
    let moves = wishes.moves(stops);
    let mut tour = Tour::new(stops, &moves, order);
    tour.improve();
    upset_and_mend(&mut tour);
    tour.order
}

/// The tour changed until nothing improves; for stops that have moved a little since.
pub(super) fn mended(stops: &[Stop], wishes: &Wishes, order: Vec<usize>) -> Vec<usize> {
    let moves = wishes.moves(stops);
    let mut tour = Tour::new(stops, &moves, order);
    tour.improve();
    tour.order
}

/// Upsets the tour here and there, mends it, and keeps what comes out shorter.
pub(super) fn upset_and_mend(tour: &mut Tour<'_>) {
    let mut random = Pcg64Mcg::seed_from_u64(SEED);
    let count = tour.order.len();
    let mut best = tour.clone();
    for _ in 0..(UPSETS_PER_STOP * count).min(MOST_UPSETS) {
        let near = random.random_range(0..count);
        let mut touched = Vec::new();
        for _ in 0..2 {
            touched.extend(upset(tour, near, &mut random));
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
fn upset(tour: &mut Tour<'_>, near: usize, random: &mut Pcg64Mcg) -> Vec<usize> {
    let longest = LONGEST_UPSET.min(tour.order.len() / 2 + 1);
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn length(stops: &[Stop], order: &[usize]) -> f64 {
        let from = order.iter().map(|stop| stops[*stop].exit);
        let from = std::iter::once(Point::ORIGIN).chain(from);
        let moves = order.iter().zip(from);
        moves
            .map(|(stop, from)| from.distance(stops[*stop].entry))
            .sum()
    }

    fn short_tour(stops: &[Stop], wishes: &Wishes) -> Vec<usize> {
        shortened(stops, wishes, first_tour(stops, wishes))
    }

    const FROM_THE_CORNER: Wishes = Wishes {
        home: Point::ORIGIN,
        spread: 0.0,
    };

    fn keeps_to(stops: &[Stop], order: &[usize]) -> bool {
        let position = |stop: usize| order.iter().position(|s| *s == stop);
        let complete = (0..stops.len()).all(|stop| position(stop).is_some());
        let in_turn = |(at, stop): (usize, &usize)| {
            stops[*stop]
                .after
                .iter()
                .all(|before| position(*before) < Some(at))
        };
        complete && order.len() == stops.len() && order.iter().enumerate().all(in_turn)
    }

    /// The shortest of all orders, by trying them.
    fn shortest(stops: &[Stop], order: &mut Vec<usize>) -> f64 {
        if order.len() == stops.len() {
            return length(stops, order);
        }
        let mut best = f64::INFINITY;
        for stop in 0..stops.len() {
            let ready = stops[stop]
                .after
                .iter()
                .all(|before| order.contains(before));
            if ready && !order.contains(&stop) {
                order.push(stop);
                best = best.min(shortest(stops, order));
                order.pop();
            }
        }
        best
    }

    /// Stops at random; each waits for at most one before it.
    fn any_stops(most: usize) -> impl Strategy<Value = Vec<Stop>> {
        let stop = (
            0.0f64..1000.0,
            0.0f64..1000.0,
            any::<prop::sample::Index>(),
            0..3,
        );
        prop::collection::vec(stop, 1..most).prop_map(|stops| {
            let stop =
                |(i, (x, y, other, waits)): (usize, &(f64, f64, prop::sample::Index, i32))| Stop {
                    entry: Point::new(*x, *y),
                    exit: Point::new(x + 5.0, *y),
                    plate: i,
                    after: if i > 0 && *waits == 0 {
                        vec![other.index(i)]
                    } else {
                        Vec::new()
                    },
                };
            stops.iter().enumerate().map(stop).collect()
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, cases: 48, ..ProptestConfig::default() })]

        #[test]
        fn every_stop_comes_once_and_in_its_turn(stops in any_stops(60)) {
            let order = short_tour(&stops, &FROM_THE_CORNER);
            prop_assert!(keeps_to(&stops, &order));
            let nearest = FROM_THE_CORNER.moves(&stops).cheapest_next(&stops);
            prop_assert!(keeps_to(&stops, &nearest));
            prop_assert!(length(&stops, &order) <= 1.1 * length(&stops, &nearest) + 1e-6);
            prop_assert_eq!(order, short_tour(&stops, &FROM_THE_CORNER));
        }

        #[test]
        fn small_tours_are_near_the_shortest(stops in any_stops(8)) {
            let found = length(&stops, &short_tour(&stops, &FROM_THE_CORNER));
            let best = shortest(&stops, &mut Vec::new());
            prop_assert!(found <= best * 1.05 + 1e-6, "{found} mm, but {best} mm is possible");
        }
    }

    #[test]
    fn a_row_is_run_from_one_end_to_the_other() {
        let stop = |i: usize| Stop {
            entry: Point::new(100.0 * i as f64, 0.0),
            exit: Point::new(100.0 * i as f64, 0.0),
            plate: i,
            after: Vec::new(),
        };
        let stops: Vec<Stop> = [3, 0, 4, 1, 2].into_iter().map(stop).collect();
        assert_eq!(short_tour(&stops, &FROM_THE_CORNER), [1, 3, 4, 0, 2]);
    }

    #[test]
    fn three_hundred_stops_take_less_than_a_second() {
        let stops: Vec<Stop> = (0..300usize)
            .map(|i| {
                let p = Point::new((i * 7919 % 1220) as f64, (i * 104_729 % 2440) as f64);
                Stop {
                    entry: p,
                    exit: p,
                    plate: i / 6,
                    after: if i % 6 == 5 {
                        (i - 5..i).collect()
                    } else {
                        Vec::new()
                    },
                }
            })
            .collect();
        let start = std::time::Instant::now();
        let order = short_tour(&stops, &FROM_THE_CORNER);
        assert!(keeps_to(&stops, &order));
        assert!(
            start.elapsed().as_secs_f64() < 5.0,
            "{:?} on this machine",
            start.elapsed()
        );
    }
}
