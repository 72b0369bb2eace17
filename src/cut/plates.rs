//! Which plate after which: a tour that finishes one plate before the next.
//!
//! In: stops, each with its plate. Out: an order that keeps to the precedence. A plate is left where its
//! outside ends, whatever its openings' order; so the shortest way through it depends on nothing but
//! where the torch comes from, and for each way of entering it is found once (Held and Karp 1962). What
//! is left is a tour of far fewer stops, with nothing to wait for but parts in windows. Plates of many
//! openings are gone through from one opening to the next, and that way improved in the end.

use std::collections::HashMap;

use super::near::Near;
use super::route::improved;
use super::stop::{Stop, Wishes};
use super::tour::{Moves, Places};
use crate::geometry::{Bounds, Point};
use crate::recipe::CutOrder;

/// Plates of more openings than this are gone through from one opening to the next nearest.
const MOST_EXACT: usize = 9;

/// Of plates of more openings than this only a few ways are tried, each found by an index.
const MANY: usize = 300;

/// How many ways through such a plate are tried.
const FEW: usize = 8;

/// How long a tour is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Effort {
    /// Until no single change gains.
    Light,
    /// Perturbed and improved again and again after that.
    Thorough,
}

/// A way through a plate, and what its moves cost.
#[derive(Debug, Clone)]
struct Through {
    cost: f64,
    stops: Vec<usize>,
}

/// An order that finishes one plate before the next; from one that does, if there is one.
pub(super) fn one_by_one(
    stops: &[Stop],
    wishes: &Wishes,
    from_order: Option<&[usize]>,
    effort: Effort,
) -> Vec<usize> {
    let plates = plates(stops);
    let ways: Vec<Vec<Through>> = plates
        .iter()
        .map(|plate| ways_through(plate, stops, wishes))
        .collect();
    let leaves = plates
        .iter()
        .map(|plate| stops[plate[plate.len() - 1]].exit);
    let enter = |from, ways: &[Through]| {
        let cost = |way: &Through| way.cost + wishes.cost(stops[way.stops[0]].entry.distance(from));
        let costs = ways.iter().map(cost).enumerate();
        costs.min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((0, 0.0))
    };
    let from: Vec<Point> = leaves.chain([wishes.home]).collect();
    let entries = ways.iter().enumerate().flat_map(|(plate, ways)| {
        let first = ways.iter().map(|way| stops[way.stops[0]].entry);
        first.map(move |entry| (entry, plate))
    });
    let places = Places {
        exits: from.clone(),
        entries: entries.collect(),
        wishes: *wishes,
    };
    let whole = whole(&plates, stops);
    let moves = Moves::new(&whole, places, |leaves, to| {
        enter(from[leaves], &ways[to]).1
    });
    let first = from_order.map_or_else(
        || moves.cheapest_next(&whole),
        |order| plates_in(order, &plates),
    );
    let mut here = wishes.home;
    let mut order = Vec::with_capacity(stops.len());
    let in_turn = match wishes.law {
        CutOrder::SpreadHeat => spread_out(&plates, &whole, stops),
        CutOrder::PlateByPlate | CutOrder::Shortest => improved(&whole, &moves, first, effort),
    };
    for plate in in_turn {
        let (way, _) = enter(here, &ways[plate]);
        let way = &ways[plate][way].stops;
        order.extend(if way.len() > MOST_EXACT + 1 {
            shortened_way(way, here, stops, wishes, effort)
        } else {
            way.clone()
        });
        here = from[plate];
    }
    order
}

/// How many plates before one count as still hot. Common practice, no source.
const HOT: usize = 4;

/// So much of the heat of a plate is left when the next one is cut. Common practice, no source.
const STAYS: f64 = 0.6;

/// An exchange that leaves so little less heat is none.
const LEAST_GAIN: f64 = 1e-9;

/// The plates in turn, each far from those that were cut just before: where their heat is least, which falls
/// with the distance and from plate to plate. Those that must come before another do.
fn spread_out(plates: &[Vec<usize>], whole: &[Stop], stops: &[Stop]) -> Vec<usize> {
    let middle = |plate: &Vec<usize>| {
        let places = plate
            .iter()
            .flat_map(|it| [stops[*it].entry, stops[*it].exit]);
        Bounds::around(places).centre()
    };
    let middles: Vec<Point> = plates.iter().map(middle).collect();
    let mut order: Vec<usize> = Vec::with_capacity(plates.len());
    let mut is_cut = vec![false; plates.len()];
    while order.len() < plates.len() {
        let heat = |plate: usize| heat(plate, &order, &middles);
        let is_ready =
            |plate: &usize| !is_cut[*plate] && whole[*plate].after.iter().all(|it| is_cut[*it]);
        let ready = (0..plates.len()).filter(is_ready);
        let coldest = ready.min_by(|a, b| heat(*a).total_cmp(&heat(*b)).then(a.cmp(b)));
        let Some(coldest) = coldest else { break };
        is_cut[coldest] = true;
        order.push(coldest);
    }
    cooler(&mut order, whole, &middles);
    order
}

/// How hot it is where a plate lies, of those cut before it: falling with the distance and from plate to plate.
fn heat(plate: usize, before: &[usize], middles: &[Point]) -> f64 {
    let hot = before.iter().rev().take(HOT).zip(0..);
    hot.map(|(other, age)| STAYS.powi(age) / (1.0 + middles[plate].distance(middles[*other])))
        .sum()
}

/// Plates are exchanged so often at most.
const ROUNDS: usize = 20;

/// Of more plates than this each is exchanged with those so many places behind it only.
const FAR: usize = 200;

/// Exchanges any two plates, of those that wait for none and that none waits for, as long as that leaves less heat where
/// they are cut: the last few, that were left over, go where there is room between others.
fn cooler(order: &mut [usize], whole: &[Stop], middles: &[Point]) {
    let mut is_free: Vec<bool> = whole.iter().map(|it| it.after.is_empty()).collect();
    for before in whole.iter().flat_map(|it| &it.after) {
        is_free[*before] = false;
    }
    // Of the places where an exchange changes it.
    let around = |order: &[usize], first: usize, second: usize| {
        let end = |at: usize| (at + HOT + 1).min(order.len());
        let places = (first..end(first)).chain(second.max(end(first))..end(second));
        places
            .map(|at| heat(order[at], &order[..at], middles))
            .sum::<f64>()
    };
    for _ in 0..ROUNDS {
        let mut changed = false;
        for first in 0..order.len() {
            for second in first + 1..order.len().min(first + 1 + FAR) {
                if !is_free[order[first]] || !is_free[order[second]] {
                    continue;
                }
                let before = around(order, first, second);
                order.swap(first, second);
                if around(order, first, second) < before - LEAST_GAIN {
                    changed = true;
                } else {
                    order.swap(first, second);
                }
            }
        }
        if !changed {
            break;
        }
    }
}

/// The plates as an order of stops has them.
fn plates_in(order: &[usize], plates: &[Vec<usize>]) -> Vec<usize> {
    let ends = plates.iter().enumerate();
    let plate_that_ends: HashMap<usize, usize> = ends
        .map(|(plate, stops)| (stops[stops.len() - 1], plate))
        .collect();
    let ends = order.iter().filter_map(|stop| plate_that_ends.get(stop));
    ends.copied().collect()
}

/// A way through one plate made shorter, from where the torch comes from.
fn shortened_way(
    way: &[usize],
    here: Point,
    stops: &[Stop],
    wishes: &Wishes,
    effort: Effort,
) -> Vec<usize> {
    let last = way.len() - 1;
    let own = way.iter().enumerate().map(|(at, stop)| Stop {
        after: if at == last {
            (0..last).collect()
        } else {
            Vec::new()
        },
        ..stops[*stop].clone()
    });
    let own: Vec<Stop> = own.collect();
    let from_here = Wishes {
        home: here,
        ..*wishes
    };
    let order = improved(&own, &from_here.moves(&own), (0..=last).collect(), effort);
    order.into_iter().map(|at| way[at]).collect()
}

/// The stops of each plate, the one that waits for the others last.
fn plates(stops: &[Stop]) -> Vec<Vec<usize>> {
    let count = stops.iter().map(|stop| stop.plate + 1).max().unwrap_or(0);
    let mut plates = vec![Vec::new(); count];
    for (at, stop) in stops.iter().enumerate() {
        plates[stop.plate].push(at);
    }
    plates.retain(|plate| !plate.is_empty());
    for plate in &mut plates {
        let own = plate.clone();
        let waits = |at: &usize| {
            let waits_for = own.iter().filter(|other| stops[*at].waits_for(**other));
            waits_for.count()
        };
        plate.sort_by_cached_key(waits);
    }
    plates
}

/// Plates as stops: each comes after those that one of its runs waits for.
fn whole(plates: &[Vec<usize>], stops: &[Stop]) -> Vec<Stop> {
    let mut plate_of = vec![0; stops.len()];
    for (index, plate) in plates.iter().enumerate() {
        for stop in plate {
            plate_of[*stop] = index;
        }
    }
    let as_stop = |(index, plate): (usize, &Vec<usize>)| {
        let waits = plate.iter().flat_map(|stop| &stops[*stop].after);
        let mut after: Vec<usize> = waits
            .map(|stop| plate_of[*stop])
            .filter(|it| *it != index)
            .collect();
        after.sort_unstable();
        after.dedup();
        Stop {
            after,
            plate: index,
            ..stops[plate[0]].clone()
        }
    };
    plates.iter().enumerate().map(as_stop).collect()
}

/// For each opening of a plate, the shortest way that begins with it, goes through all others and ends
/// with the outside; the outside alone if there are none.
fn ways_through(plate: &[usize], stops: &[Stop], wishes: &Wishes) -> Vec<Through> {
    let (outside, openings) = plate.split_last().expect("a plate has an outside");
    if openings.is_empty() {
        return vec![Through {
            cost: 0.0,
            stops: vec![*outside],
        }];
    }
    if openings.len() > MANY {
        let firsts = openings.iter().step_by(openings.len().div_ceil(FEW));
        let way = |first: &usize| nearest_of_many(*first, openings, *outside, stops, wishes);
        return firsts.map(way).collect();
    }
    let cost = |from: usize, to: usize| wishes.cost(stops[from].exit.distance(stops[to].entry));
    if openings.len() > MOST_EXACT {
        return openings
            .iter()
            .map(|first| nearest_next(*first, openings, *outside, cost))
            .collect();
    }
    // For each set of openings and each of them to begin with, the cost of the rest of the way, and what
    // comes next.
    let count = openings.len();
    let mut rest = vec![(f64::INFINITY, count); count << count];
    for set in 1..1_usize << count {
        for first in (0..count).filter(|it| set >> it & 1 == 1) {
            let others = set & !(1 << first);
            let least = (0..count).filter(|it| others >> it & 1 == 1).map(|next| {
                let (on, _) = rest[others * count + next];
                (cost(openings[first], openings[next]) + on, next)
            });
            let least = least.min_by(|a, b| a.0.total_cmp(&b.0));
            rest[set * count + first] = least.unwrap_or((cost(openings[first], *outside), count));
        }
    }
    let all = (1 << count) - 1;
    let way = |first: usize| {
        let (mut set, mut at) = (all, first);
        let mut way = Vec::with_capacity(plate.len());
        while at < count {
            way.push(openings[at]);
            let next = rest[set * count + at].1;
            set &= !(1 << at);
            at = next;
        }
        way.push(*outside);
        Through {
            cost: rest[all * count + first].0,
            stops: way,
        }
    };
    (0..count).map(way).collect()
}

/// The way from an opening always on to the nearest of those left, found by an index.
fn nearest_of_many(
    first: usize,
    openings: &[usize],
    outside: usize,
    stops: &[Stop],
    wishes: &Wishes,
) -> Through {
    let others = openings.iter().filter(|it| **it != first);
    let mut left = Near::new(others.map(|it| (stops[*it].entry, *it)), wishes);
    let mut way = vec![first];
    let mut total = 0.0;
    let mut here = first;
    let mut go = |from: usize, to: usize| {
        total += wishes.cost(stops[from].exit.distance(stops[to].entry));
        way.push(to);
    };
    while let Some(&next) = left.cheapest(stops[here].exit, 1, |_| true).first() {
        left.remove(stops[next].entry, next);
        go(here, next);
        here = next;
    }
    go(here, outside);
    Through {
        cost: total,
        stops: way,
    }
}

/// The way from an opening always on to the nearest of those left.
fn nearest_next(
    first: usize,
    openings: &[usize],
    outside: usize,
    cost: impl Fn(usize, usize) -> f64,
) -> Through {
    let mut left: Vec<usize> = openings.iter().copied().filter(|it| *it != first).collect();
    let mut way = vec![first];
    let mut total = 0.0;
    let mut here = first;
    while let Some((at, mm)) = left
        .iter()
        .map(|next| cost(here, *next))
        .enumerate()
        .min_by(|a, b| a.1.total_cmp(&b.1))
    {
        here = left.swap_remove(at);
        total += mm;
        way.push(here);
    }
    way.push(outside);
    Through {
        cost: total + cost(here, outside),
        stops: way,
    }
}
