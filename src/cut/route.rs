//! A short way round many stops, some of which must come before others.
//!
//! In: stops with the place where each is entered and left, and the stops that must come before it.
//! Out: an order that keeps to that, with rapid moves as short as a nearest-neighbour tour becomes by
//! moving and turning round stretches of it until nothing improves. The same stops give the same order.

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
}

/// The longest stretch that is moved elsewhere in one step.
const LONGEST_MOVE: usize = 4;

/// An improvement of less than this, mm, is rounding.
const LEAST_GAIN: f64 = 1e-6;

/// A short tour from `home` through all stops.
pub(super) fn short_tour(stops: &[Stop], home: Point) -> Vec<usize> {
    let distances = Distances::of(stops, home);
    let mut tour = Tour::new(stops, &distances, nearest_neighbours(stops, home));
    while tour.improve() {}
    tour.order
}

/// Length of the rapid moves of a tour, mm.
pub(super) fn rapid_moves<'a>(
    stops: &'a [Stop],
    order: &'a [usize],
    home: Point,
) -> impl Iterator<Item = f64> + 'a {
    let from = std::iter::once(home).chain(order.iter().map(|stop| stops[*stop].exit));
    order
        .iter()
        .zip(from)
        .map(|(stop, from)| from.distance(stops[*stop].entry))
}

/// Always on to the nearest stop that may come next.
fn nearest_neighbours(stops: &[Stop], home: Point) -> Vec<usize> {
    let mut open: Vec<usize> = (0..stops.len()).collect();
    let mut waits_for: Vec<usize> = stops.iter().map(|stop| stop.after.len()).collect();
    let mut order = Vec::with_capacity(stops.len());
    let mut here = home;
    while !open.is_empty() {
        let ready = open.iter().enumerate().filter(|(_, s)| waits_for[**s] == 0);
        let nearest = ready.min_by(|(_, a), (_, b)| {
            let far = |stop: usize| here.distance(stops[stop].entry);
            far(**a).total_cmp(&far(**b))
        });
        // A ring of stops that wait for one another cannot come up: windows do not lie in themselves.
        let at = nearest.map_or(0, |(at, _)| at);
        let next = open.remove(at);
        for (stop, waits) in waits_for.iter_mut().enumerate() {
            *waits -= usize::from(stops[stop].after.contains(&next));
        }
        here = stops[next].exit;
        order.push(next);
    }
    order
}

/// Rapid distances: from each stop, or from home in the last row, to each stop.
struct Distances {
    count: usize,
    mm: Vec<f64>,
}

impl Distances {
    fn of(stops: &[Stop], home: Point) -> Self {
        let exits = stops.iter().map(|stop| stop.exit).chain([home]);
        let mm = exits
            .flat_map(|exit| stops.iter().map(move |stop| exit.distance(stop.entry)))
            .collect();
        Self {
            count: stops.len(),
            mm,
        }
    }

    /// From a stop (`None` for home) to a stop (`None` for nowhere: the tour ends).
    fn between(&self, from: Option<usize>, to: Option<usize>) -> f64 {
        to.map_or(0.0, |to| {
            self.mm[from.unwrap_or(self.count) * self.count + to]
        })
    }
}

/// An order of the stops, and what decides where each may go.
struct Tour<'a> {
    stops: &'a [Stop],
    distances: &'a Distances,
    order: Vec<usize>,
    /// For each position, the position after the last stop that must come before it.
    earliest: Vec<usize>,
    /// For each position, the position of the first stop that must come after it.
    latest: Vec<usize>,
}

/// A change of the tour.
#[derive(Debug, Clone, Copy)]
enum Change {
    /// The stops from the first position to the second are run in the opposite order.
    Reverse(usize, usize),
    /// Two neighbouring stretches change places: the first begins at the first position, the second
    /// at the second and ends before the third.
    Exchange(usize, usize, usize),
}

impl<'a> Tour<'a> {
    fn new(stops: &'a [Stop], distances: &'a Distances, order: Vec<usize>) -> Self {
        let mut tour = Self {
            stops,
            distances,
            order,
            earliest: Vec::new(),
            latest: Vec::new(),
        };
        tour.find_limits();
        tour
    }

    fn find_limits(&mut self) {
        let count = self.order.len();
        let mut position = vec![0; count];
        for (at, stop) in self.order.iter().enumerate() {
            position[*stop] = at;
        }
        self.earliest = vec![0; count];
        self.latest = vec![count; count];
        for (at, stop) in self.order.iter().enumerate() {
            for before in &self.stops[*stop].after {
                let p = position[*before];
                self.earliest[at] = self.earliest[at].max(p + 1);
                self.latest[p] = self.latest[p].min(at);
            }
        }
    }

    /// Makes the best change for each position in turn; whether any was made.
    fn improve(&mut self) -> bool {
        let mut improved = false;
        for from in 0..self.order.len() {
            let changes = self.reversals(from).chain(self.exchanges(from));
            let best = changes
                .map(|change| (self.gain(change), change))
                .max_by(|a, b| a.0.total_cmp(&b.0));
            if let Some((gain, change)) = best
                && gain > LEAST_GAIN
            {
                self.apply(change);
                improved = true;
            }
        }
        improved
    }

    /// The stretches from a position that may be reversed: no stop in them waits for another.
    fn reversals(&self, from: usize) -> impl Iterator<Item = Change> + '_ {
        (from + 1..self.order.len())
            .take_while(move |to| self.earliest[*to] <= from)
            .map(move |to| Change::Reverse(from, to))
    }

    /// The exchanges of a short stretch from a position with what follows it, or with what goes
    /// before it.
    fn exchanges(&self, from: usize) -> impl Iterator<Item = Change> + '_ {
        let count = self.order.len();
        (from + 1..=(from + LONGEST_MOVE).min(count)).flat_map(move |middle| {
            let short = from..middle;
            let latest = short.clone().map(|p| self.latest[p]).min().unwrap_or(count);
            let later = (middle + 1..=latest).map(move |to| Change::Exchange(from, middle, to));
            let earliest = short.map(|p| self.earliest[p]).max().unwrap_or(0);
            let earlier = (earliest..from).map(move |to| Change::Exchange(to, from, middle));
            later.chain(earlier)
        })
    }

    fn at(&self, position: usize) -> Option<usize> {
        self.order.get(position).copied()
    }

    /// The stop before a position; `None` for home.
    fn before(&self, position: usize) -> Option<usize> {
        position.checked_sub(1).map(|p| self.order[p])
    }

    /// How much shorter a change makes the tour, mm.
    fn gain(&self, change: Change) -> f64 {
        let mm = |from, to| self.distances.between(from, to);
        match change {
            Change::Reverse(from, to) => {
                let stretch = &self.order[from..=to];
                let inner: f64 = stretch
                    .windows(2)
                    .map(|pair| mm(Some(pair[0]), Some(pair[1])) - mm(Some(pair[1]), Some(pair[0])))
                    .sum();
                inner + mm(self.before(from), self.at(from)) + mm(self.at(to), self.at(to + 1))
                    - mm(self.before(from), self.at(to))
                    - mm(self.at(from), self.at(to + 1))
            }
            Change::Exchange(first, second, end) => {
                mm(self.before(first), self.at(first))
                    + mm(self.before(second), self.at(second))
                    + mm(self.before(end), self.at(end))
                    - mm(self.before(first), self.at(second))
                    - mm(self.before(end), self.at(first))
                    - mm(self.before(second), self.at(end))
            }
        }
    }

    fn apply(&mut self, change: Change) {
        match change {
            Change::Reverse(from, to) => self.order[from..=to].reverse(),
            Change::Exchange(first, second, end) => {
                self.order[first..end].rotate_left(second - first);
            }
        }
        self.find_limits();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn length(stops: &[Stop], order: &[usize]) -> f64 {
        rapid_moves(stops, order, Point::ORIGIN).sum()
    }

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
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn every_stop_comes_once_and_in_its_turn(stops in any_stops(60)) {
            let order = short_tour(&stops, Point::ORIGIN);
            prop_assert!(keeps_to(&stops, &order));
            prop_assert!(length(&stops, &order) <= length(&stops, &nearest_neighbours(&stops, Point::ORIGIN)) + 1e-6);
            prop_assert_eq!(order, short_tour(&stops, Point::ORIGIN));
        }

        #[test]
        fn small_tours_are_near_the_shortest(stops in any_stops(8)) {
            let found = length(&stops, &short_tour(&stops, Point::ORIGIN));
            let best = shortest(&stops, &mut Vec::new());
            prop_assert!(found <= best * 1.35 + 1e-6, "{found} mm, but {best} mm is possible");
        }
    }

    #[test]
    fn a_row_is_run_from_one_end_to_the_other() {
        let stop = |i: usize| Stop {
            entry: Point::new(100.0 * i as f64, 0.0),
            exit: Point::new(100.0 * i as f64, 0.0),
            after: Vec::new(),
        };
        let stops: Vec<Stop> = [3, 0, 4, 1, 2].into_iter().map(stop).collect();
        assert_eq!(short_tour(&stops, Point::ORIGIN), [1, 3, 4, 0, 2]);
    }

    #[test]
    fn three_hundred_stops_take_less_than_a_second() {
        let stops: Vec<Stop> = (0..300usize)
            .map(|i| {
                let p = Point::new((i * 7919 % 1220) as f64, (i * 104_729 % 2440) as f64);
                Stop {
                    entry: p,
                    exit: p,
                    after: if i % 6 == 5 {
                        (i - 5..i).collect()
                    } else {
                        Vec::new()
                    },
                }
            })
            .collect();
        let start = std::time::Instant::now();
        let order = short_tour(&stops, Point::ORIGIN);
        assert!(keeps_to(&stops, &order));
        assert!(
            start.elapsed().as_secs_f64() < 5.0,
            "{:?} on this machine",
            start.elapsed()
        );
    }
}
