//! A short way round many stops, some of which must come before others.
//!
//! In: stops with the place where each is entered and left, and the stops that must come before it.
//! Out: an order that keeps to that and to the law of the order. Plate by plate it is a tour of the
//! plates, each gone through the shortest way. Where only short ways count, that tour is changed stop by
//! stop until nothing improves, then again and again from a tour perturbed in one place, keeping the shorter
//! (iterated local search). The same stops give the same order.

use super::perturb::perturb_and_improve;
use super::plates::{self, Effort};
use super::stop::{Stop, Wishes};
use super::tour::{Moves, Places, Tour};
use crate::geometry::Point;
use crate::recipe::CutOrder;

impl Wishes {
    /// A tour through all stops to begin with.
    pub(super) fn first(&self, stops: &[Stop]) -> Vec<usize> {
        let order = plates::one_by_one(stops, self, None, Effort::Thorough);
        match self.law {
            CutOrder::PlateByPlate | CutOrder::SpreadHeat => order,
            CutOrder::Shortest => self.mended(stops, order),
        }
    }

    /// The tour changed until nothing improves; for stops that have moved a little since.
    pub(super) fn mended(&self, stops: &[Stop], order: Vec<usize>) -> Vec<usize> {
        match self.law {
            CutOrder::PlateByPlate | CutOrder::SpreadHeat => {
                plates::one_by_one(stops, self, Some(&order), Effort::Light)
            }
            CutOrder::Shortest => improved(stops, &self.moves(stops), order, Effort::Light),
        }
    }

    /// The tour as short as perturbing and improving it makes it.
    pub(super) fn shortened(&self, stops: &[Stop], order: Vec<usize>) -> Vec<usize> {
        match self.law {
            CutOrder::PlateByPlate | CutOrder::SpreadHeat => {
                plates::one_by_one(stops, self, Some(&order), Effort::Thorough)
            }
            CutOrder::Shortest => improved(stops, &self.moves(stops), order, Effort::Thorough),
        }
    }

    /// What the moves between some stops cost.
    pub(super) fn moves<'a>(&self, stops: &'a [Stop]) -> Moves<'a> {
        let wishes = *self;
        let exits = stops.iter().map(|stop| stop.exit).chain([wishes.home]);
        let exits: Vec<Point> = exits.collect();
        let places = Places {
            exits: exits.clone(),
            entries: stops.iter().map(|stop| stop.entry).zip(0..).collect(),
            wishes,
        };
        Moves::new(stops, places, move |from, to| {
            wishes.cost(exits[from].distance(stops[to].entry))
        })
    }
}

/// An order of stops changed until nothing improves, and perturbed for as long as the effort says.
pub(super) fn improved(
    stops: &[Stop],
    moves: &Moves<'_>,
    order: Vec<usize>,
    effort: Effort,
) -> Vec<usize> {
    let mut tour = Tour::new(stops, moves, order);
    tour.improve();
    if effort == Effort::Thorough {
        perturb_and_improve(&mut tour);
    }
    tour.order
}

#[cfg(test)]
mod tests {
    use super::super::tour::Change;
    use super::*;
    use proptest::prelude::*;
    use rand::{RngExt, SeedableRng};
    use rand_pcg::Pcg64Mcg;

    fn length(stops: &[Stop], order: &[usize]) -> f64 {
        let from = order.iter().map(|stop| stops[*stop].exit);
        let from = std::iter::once(Point::ORIGIN).chain(from);
        let moves = order.iter().zip(from);
        moves
            .map(|(stop, from)| from.distance(stops[*stop].entry))
            .sum()
    }

    fn short_tour(stops: &[Stop], wishes: &Wishes) -> Vec<usize> {
        wishes.shortened(stops, wishes.first(stops))
    }

    const FROM_THE_CORNER: Wishes = Wishes {
        home: Point::ORIGIN,
        spread: 0.0,
        law: CutOrder::Shortest,
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
            // Whatever it starts from, no tour comes out longer.
            for before in [FROM_THE_CORNER.first(&stops), nearest] {
                let after = FROM_THE_CORNER.shortened(&stops, before.clone());
                prop_assert!(length(&stops, &after) <= length(&stops, &before) + 1e-6);
            }
            prop_assert_eq!(order, short_tour(&stops, &FROM_THE_CORNER));
        }

        /// What is known of a tour after changes is what is known of one that begins in that order.
        #[test]
        fn changes_leave_a_tour_as_if_it_had_begun_so(
            stops in any_stops(40),
            changes in prop::collection::vec((0usize..40, 0usize..40, 0usize..40, any::<bool>()), 1..30),
        ) {
            let moves = FROM_THE_CORNER.moves(&stops);
            let mut tour = Tour::new(&stops, &moves, moves.cheapest_next(&stops));
            for (a, b, c, reverse) in changes {
                let mut at = [a, b, c].map(|it| it % (stops.len() + 1));
                at.sort_unstable();
                let [first, second, end] = at;
                let change = if reverse {
                    Change::Reverse(first, second.min(stops.len() - 1))
                } else {
                    Change::Exchange(first, second, end)
                };
                if first < second && (reverse || second < end) && tour.allows(change) {
                    tour.apply(change);
                    let anew = Tour::new(&stops, &moves, tour.order.clone());
                    prop_assert_eq!(&tour, &anew);
                }
            }
        }

        #[test]
        fn small_tours_are_near_the_shortest(stops in any_stops(8)) {
            let found = length(&stops, &short_tour(&stops, &FROM_THE_CORNER));
            let best = shortest(&stops, &mut Vec::new());
            prop_assert!(found <= best * 1.05 + 1e-6, "{found} mm, but {best} mm is possible");
        }
    }

    /// Plates of some holes and an outside each, at random; a plate may sit in the first hole of the one
    /// before it.
    fn any_plates() -> impl Strategy<Value = Vec<Stop>> {
        let place = || (0.0f64..1000.0, 0.0f64..1000.0);
        let plate = (prop::collection::vec(place(), 1..4), any::<bool>());
        prop::collection::vec(plate, 1..4).prop_map(|plates| {
            let mut stops: Vec<Stop> = Vec::new();
            let mut host: Option<usize> = None;
            for (plate, (places, sits_in_the_one_before)) in plates.into_iter().enumerate() {
                let first = stops.len();
                let outside = first + places.len() - 1;
                for (at, (x, y)) in (first..).zip(places) {
                    stops.push(Stop {
                        entry: Point::new(x, y),
                        exit: Point::new(x + 5.0, y),
                        plate,
                        after: if at == outside {
                            (first..at).collect()
                        } else {
                            Vec::new()
                        },
                    });
                }
                if let Some(host) = host.filter(|_| sits_in_the_one_before) {
                    stops[host].after.extend(first..=outside);
                }
                // Its first run is a hole that another plate may lie in.
                host = (outside > first).then_some(first);
            }
            stops
        })
    }

    /// Whether nothing comes between the stops of a plate.
    fn plates_are_together(stops: &[Stop], order: &[usize]) -> bool {
        let blocks = order.chunk_by(|a, b| stops[*a].plate == stops[*b].plate);
        let mut plates: Vec<usize> = blocks.map(|block| stops[block[0]].plate).collect();
        let count = plates.len();
        plates.sort_unstable();
        plates.dedup();
        plates.len() == count
    }

    /// The shortest of all orders that keep plates together, by trying them.
    fn shortest_by_plates(stops: &[Stop], order: &mut Vec<usize>) -> f64 {
        if order.len() == stops.len() {
            return length(stops, order);
        }
        let mut best = f64::INFINITY;
        for stop in (0..stops.len())
            .filter(|stop| !order.contains(stop))
            .collect::<Vec<_>>()
        {
            let ready = stops[stop]
                .after
                .iter()
                .all(|before| order.contains(before));
            order.push(stop);
            if ready && plates_are_together(stops, order) {
                best = best.min(shortest_by_plates(stops, order));
            }
            order.pop();
        }
        best
    }

    const BY_PLATES: Wishes = Wishes {
        law: CutOrder::PlateByPlate,
        ..FROM_THE_CORNER
    };

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, cases: 48, ..ProptestConfig::default() })]

        #[test]
        fn plates_kept_together_are_cut_in_the_shortest_such_order(stops in any_plates()) {
            let order = short_tour(&stops, &BY_PLATES);
            prop_assert!(keeps_to(&stops, &order));
            prop_assert!(plates_are_together(&stops, &order));
            let (found, best) = (length(&stops, &order), shortest_by_plates(&stops, &mut Vec::new()));
            prop_assert!(found <= best * 1.02 + 1e-6, "{found} mm, but {best} mm is possible");
        }
    }

    #[test]
    fn a_plate_of_many_holes_is_gone_through_as_short_as_any_stops() {
        let mut random = Pcg64Mcg::seed_from_u64(3);
        let mut place = || Point::new(random.random::<f64>() * 1e3, random.random::<f64>() * 1e3);
        let stops: Vec<Stop> = (0..60)
            .map(|at| {
                let p = place();
                Stop {
                    entry: p,
                    exit: p,
                    plate: 0,
                    after: if at == 59 {
                        (0..59).collect()
                    } else {
                        Vec::new()
                    },
                }
            })
            .collect();
        let by_plates = length(&stops, &short_tour(&stops, &BY_PLATES));
        let any = length(&stops, &short_tour(&stops, &FROM_THE_CORNER));
        assert!(
            by_plates <= 1.02 * any,
            "{by_plates} mm, but {any} mm is possible"
        );
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

    /// The shortest tour through n places at random on an area A is near 0.7124 √(n A) long (Beardwood,
    /// Halton and Hammersley 1959; the constant after Johnson and `McGeoch` 1996, from memory).
    #[test]
    fn thousands_of_stops_keep_to_their_turn_on_a_short_way() {
        for (count, plates, spread) in [(2_500, 1, 0.0), (2_500, 1_250, 0.0), (1_200, 2, 20.0)] {
            let mut random = Pcg64Mcg::seed_from_u64(1);
            let mut place = || Point::new(random.random::<f64>(), random.random::<f64>());
            let each = count / plates;
            let stop = |i: usize| {
                let p = Point::ORIGIN + (place() - Point::ORIGIN) * 1000.0;
                let first = i - i % each;
                Stop {
                    entry: p,
                    exit: p,
                    plate: i / each,
                    after: if i % each == each - 1 {
                        (first..i).collect()
                    } else {
                        Vec::new()
                    },
                }
            };
            let stops: Vec<Stop> = (0..count).map(stop).collect();
            let wishes = Wishes {
                home: Point::ORIGIN,
                spread,
                law: CutOrder::Shortest,
            };
            let order = short_tour(&stops, &wishes);
            assert!(keeps_to(&stops, &order));
            if each == count {
                let shortest = 0.7124 * (count as f64 * 1e6).sqrt();
                let found = length(&stops, &order);
                assert!(found < 1.15 * shortest, "{found} {shortest}");
            }
        }
    }

    #[test]
    fn three_hundred_stops_keep_to_their_turn() {
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
        assert!(keeps_to(&stops, &short_tour(&stops, &FROM_THE_CORNER)));
    }
}
