//! An order of stops, and the changes that make it shorter.
//!
//! In: stops, what each move between two of them costs, and an order that keeps to their precedence.
//! Out: an order that no change of the kinds tried makes shorter, precedence kept. The changes: a
//! stretch is run the other way round (Croes 1958), or two neighbouring stretches change places (Or
//! 1976). Only changes that bring a stop next to one of its nearest are tried.

use std::collections::VecDeque;
use std::ops::RangeInclusive;

use super::near::Near;
use super::stop::{Stop, Wishes};
use crate::geometry::Point;

/// How many of the nearest stops each stop is brought next to.
const NEAREST: usize = 10;

/// An improvement of less than this, mm, is rounding.
const LEAST_GAIN: f64 = 1e-6;

/// Of more stops than this, what moves cost is worked out whenever it is asked for, near stops come
/// from an index, and only stretches of [`LONGEST`] stops are moved: time and memory for all pairs of
/// stops would be out of proportion.
const MANY: usize = 1_000;

/// The longest stretch of a long tour that changes places with a neighbour.
const LONGEST: usize = 50;

/// What the moves from each stop to each stop cost. The index `count` is home where a move starts, and the
/// end of the tour where one ends: the tour does not come back.
pub(super) struct Moves<'a> {
    count: usize,
    cost: Cost<'a>,
    places: Places,
    /// From each stop, and from home last: where to go on to, the cheapest first, the end of the tour last.
    nearest: Vec<Vec<usize>>,
    /// The stops that wait for each stop.
    followers: Vec<Vec<usize>>,
}

/// Where moves start and end.
#[derive(Debug)]
pub(super) struct Places {
    /// Where each stop is left, and home last.
    pub(super) exits: Vec<Point>,
    /// Where stops may be entered, each with its stop.
    pub(super) entries: Vec<(Point, usize)>,
    pub(super) wishes: Wishes,
}

/// What a move costs from a stop, or home, to a stop.
enum Cost<'a> {
    /// By both, the end of the tour after the stops.
    Table(Vec<f64>),
    Worked(Box<dyn Fn(usize, usize) -> f64 + 'a>),
}

impl std::fmt::Debug for Moves<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "moves between {} stops", self.count)
    }
}

impl<'a> Moves<'a> {
    /// From what a move costs from each stop, or home, to each stop.
    pub(super) fn new(
        stops: &[Stop],
        places: Places,
        cost: impl Fn(usize, usize) -> f64 + 'a,
    ) -> Self {
        let count = stops.len();
        let mut followers = vec![Vec::new(); count];
        for (stop, waits) in stops.iter().enumerate() {
            for before in &waits.after {
                followers[*before].push(stop);
            }
        }
        let may_follow =
            |from: usize, to: usize| to != from && !(from < count && stops[from].waits_for(to));
        let (cost, nearest) = if count > MANY {
            let near = Near::new(places.entries.iter().copied(), &places.wishes);
            let nearest = places.exits.iter().enumerate().map(|(from, exit)| {
                let mut nearest = near.cheapest(*exit, NEAREST, |to| may_follow(from, to));
                nearest.push(count);
                nearest
            });
            let nearest = nearest.collect();
            (Cost::Worked(Box::new(cost)), nearest)
        } else {
            let mut table = Vec::with_capacity((count + 1) * (count + 1));
            let nearest = (0..=count).map(|from| {
                let row: Vec<f64> = (0..count).map(|to| cost(from, to)).collect();
                let mut near: Vec<usize> = (0..count).filter(|to| may_follow(from, *to)).collect();
                let cheaper = |a: &usize, b: &usize| row[*a].total_cmp(&row[*b]).then(a.cmp(b));
                if near.len() > NEAREST {
                    near.select_nth_unstable_by(NEAREST, cheaper);
                    near.truncate(NEAREST);
                }
                near.sort_unstable_by(cheaper);
                near.push(count);
                table.extend(row.into_iter().chain([0.0]));
                near
            });
            let nearest = nearest.collect();
            (Cost::Table(table), nearest)
        };
        Self {
            count,
            cost,
            places,
            nearest,
            followers,
        }
    }

    /// Always on to the stop that is cheapest to reach of those that may come next; of many stops, to
    /// the one nearest to reach.
    pub(super) fn cheapest_next(&self, stops: &[Stop]) -> Vec<usize> {
        if self.count > MANY {
            return self.nearest_next(stops);
        }
        let mut open: Vec<usize> = (0..self.count).collect();
        let mut waits_for: Vec<usize> = stops.iter().map(|stop| stop.after.len()).collect();
        let mut order = Vec::with_capacity(self.count);
        let mut here = self.count;
        while !open.is_empty() {
            let ready = open.iter().enumerate().filter(|(_, s)| waits_for[**s] == 0);
            let cheapest = ready.min_by(|(_, a), (_, b)| {
                self.between(here, **a).total_cmp(&self.between(here, **b))
            });
            // A ring of stops that wait for one another cannot come up: windows do not lie in themselves.
            here = open.remove(cheapest.map_or(0, |(at, _)| at));
            for follower in &self.followers[here] {
                waits_for[*follower] -= 1;
            }
            order.push(here);
        }
        order
    }

    fn nearest_next(&self, stops: &[Stop]) -> Vec<usize> {
        let mut waits_for: Vec<usize> = stops.iter().map(|stop| stop.after.len()).collect();
        let mut ways_in: Vec<Vec<Point>> = vec![Vec::new(); self.count];
        for (at, stop) in &self.places.entries {
            ways_in[*stop].push(*at);
        }
        let ready = self.places.entries.iter().copied();
        let ready = ready.filter(|(_, stop)| waits_for[*stop] == 0);
        let mut near = Near::new(ready, &self.places.wishes);
        let mut order = Vec::with_capacity(self.count);
        let mut here = self.count;
        while let Some(next) = near.cheapest(self.places.exits[here], 1, |_| true).first() {
            here = *next;
            for at in &ways_in[here] {
                near.remove(*at, here);
            }
            for follower in &self.followers[here] {
                waits_for[*follower] -= 1;
                if waits_for[*follower] == 0 {
                    for at in &ways_in[*follower] {
                        near.add(*at, *follower);
                    }
                }
            }
            order.push(here);
        }
        order
    }

    /// The cost of a move from a stop or home to a stop or the end of the tour.
    #[inline]
    pub(super) fn between(&self, from: usize, to: usize) -> f64 {
        match &self.cost {
            Cost::Table(table) => table[from * (self.count + 1) + to],
            Cost::Worked(_) if to == self.count => 0.0,
            Cost::Worked(cost) => cost(from, to),
        }
    }

    /// The longest stretch that changes places with a neighbour.
    fn longest(&self) -> usize {
        if self.count > MANY {
            LONGEST
        } else {
            self.count
        }
    }
}

/// An order of the stops, and what decides where each may go.
#[derive(Debug, Clone)]
pub(super) struct Tour<'a> {
    stops: &'a [Stop],
    moves: &'a Moves<'a>,
    pub(super) order: Vec<usize>,
    /// Where each stop stands in the order.
    position: Vec<usize>,
    /// For each position, the position after the last stop that must come before it.
    earliest: Vec<usize>,
    /// For each position, the position of the first stop that must come after it.
    latest: Vec<usize>,
    /// For each position, the cost of the move to it, and of the same move turned round.
    forth: Vec<f64>,
    back: Vec<f64>,
    /// For each position, the cost from the first stop to it, and of the same moves turned round.
    along: Vec<f64>,
    against: Vec<f64>,
}

impl PartialEq for Tour<'_> {
    /// Whether all that is known of the two is the same.
    fn eq(&self, other: &Self) -> bool {
        self.order == other.order
            && self.position == other.position
            && (&self.earliest, &self.latest) == (&other.earliest, &other.latest)
            && (&self.forth, &self.back) == (&other.forth, &other.back)
            && (&self.along, &self.against) == (&other.along, &other.against)
    }
}

/// A change of the tour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Change {
    /// The stops from the first position to the second are run in the opposite order.
    Reverse(usize, usize),
    /// Two neighbouring stretches change places: the first begins at the first position, the second
    /// at the second and ends before the third.
    Exchange(usize, usize, usize),
}

impl<'a> Tour<'a> {
    pub(super) fn new(stops: &'a [Stop], moves: &'a Moves<'a>, order: Vec<usize>) -> Self {
        let count = order.len();
        let mut tour = Self {
            stops,
            moves,
            order,
            position: vec![0; count],
            earliest: vec![0; count],
            latest: vec![count; count],
            forth: vec![0.0; count],
            back: vec![0.0; count],
            along: vec![0.0; count],
            against: vec![0.0; count],
        };
        if count > 0 {
            tour.take_stock(0..=count - 1);
        }
        tour
    }

    /// What the whole tour costs.
    pub(super) fn cost(&self) -> f64 {
        let first = self.moves.between(self.moves.count, self.at(0));
        first + self.along.last().copied().unwrap_or(0.0)
    }

    /// Works out what depends on the order, after the stops at some positions have changed places.
    fn take_stock(&mut self, changed: RangeInclusive<usize>) {
        let (first, last) = (*changed.start(), *changed.end());
        for at in changed.clone() {
            self.position[self.order[at]] = at;
        }
        let count = self.order.len();
        for at in first.max(1)..(last + 2).min(count) {
            let (from, to) = (self.order[at - 1], self.order[at]);
            self.forth[at] = self.moves.between(from, to);
            self.back[at] = self.moves.between(to, from);
        }
        for at in first.max(1)..count {
            self.along[at] = self.along[at - 1] + self.forth[at];
            self.against[at] = self.against[at - 1] + self.back[at];
        }
        for at in changed.clone() {
            let stop = self.order[at];
            let followers = &self.moves.followers[stop];
            let before = self.stops[stop].after.iter().map(|it| self.position[*it]);
            self.earliest[at] = before.map(|p| p + 1).max().unwrap_or(0);
            let after = followers.iter().map(|it| self.position[*it]);
            self.latest[at] = after.min().unwrap_or(count);
        }
        // Of those before and after the changed positions, what bounded them there still does, from
        // another position there.
        for pass in [true, false] {
            for at in changed.clone() {
                let stop = self.order[at];
                for follower in &self.moves.followers[stop] {
                    let p = self.position[*follower];
                    if p > last {
                        let earliest = &mut self.earliest[p];
                        if pass && (first..=last).contains(&(earliest.wrapping_sub(1))) {
                            *earliest = first;
                        }
                        *earliest = (*earliest).max(at + 1);
                    }
                }
                for before in &self.stops[stop].after {
                    let p = self.position[*before];
                    if p < first {
                        let latest = &mut self.latest[p];
                        if pass && (first..=last).contains(latest) {
                            *latest = last;
                        }
                        *latest = (*latest).min(at);
                    }
                }
            }
        }
    }

    /// Makes the best change around each stop until none is left that gains.
    pub(super) fn improve(&mut self) {
        let all = (0..=self.order.len()).collect();
        self.improve_around(all);
    }

    /// The same, starting around some stops only; the number of stops stands for home.
    pub(super) fn improve_around(&mut self, around: Vec<usize>) {
        let mut waiting = vec![false; self.order.len() + 1];
        let mut queue = VecDeque::new();
        let wake = |stops: Vec<usize>, queue: &mut VecDeque<usize>, waiting: &mut Vec<bool>| {
            for stop in stops {
                if !std::mem::replace(&mut waiting[stop], true) {
                    queue.push_back(stop);
                }
            }
        };
        wake(around, &mut queue, &mut waiting);
        while let Some(stop) = queue.pop_front() {
            waiting[stop] = false;
            if let Some(change) = self.best_change(stop) {
                let touched = self.ends(change);
                self.apply(change);
                wake(touched, &mut queue, &mut waiting);
                wake(vec![stop], &mut queue, &mut waiting);
            }
        }
    }

    /// The stop at a position, or nowhere.
    fn at(&self, position: usize) -> usize {
        self.order
            .get(position)
            .copied()
            .unwrap_or(self.moves.count)
    }

    /// The stop before a position, or home.
    fn before(&self, position: usize) -> usize {
        match position {
            0 => self.moves.count,
            _ => self.order[position - 1],
        }
    }

    /// The stops, and home, whose next stop a change changes.
    pub(super) fn ends(&self, change: Change) -> Vec<usize> {
        match change {
            Change::Reverse(from, to) => vec![self.before(from), self.at(from), self.at(to)],
            Change::Exchange(first, second, end) => {
                [first, second, end].map(|at| self.before(at)).to_vec()
            }
        }
    }

    /// The change that gains most of those that lead from a stop, or home, on to one of its nearest.
    fn best_change(&self, from: usize) -> Option<Change> {
        let mut best = Best {
            gain: LEAST_GAIN,
            change: None,
        };
        // The position after the stop.
        let next = if from == self.moves.count {
            0
        } else {
            self.position[from] + 1
        };
        let now = self.moves.between(from, self.at(next));
        for to in &self.moves.nearest[from] {
            // A change that gains has a place where the new move on is shorter than the old one.
            if *to < self.moves.count && now - self.moves.between(from, *to) <= 0.0 {
                continue;
            }
            let place = self.position.get(*to).copied().unwrap_or(self.order.len());
            if place > next {
                self.go_on_later(next, place, &mut best);
            } else if place < next {
                self.go_back(next, place, &mut best);
            }
        }
        best.change
    }

    /// Changes after which the stop before `next` is followed by the one at `place`, further on.
    fn go_on_later(&self, next: usize, place: usize, best: &mut Best) {
        if place < self.order.len() {
            self.try_reversal(next, place, best);
            let most = (next..place).map(|p| self.latest[p]).min();
            let most = most.unwrap_or(0).min(place + self.moves.longest());
            for end in place + 1..=most {
                self.try_exchange(next, place, end, best);
            }
        }
        if next > 0 {
            self.try_reversal(next - 1, place - 1, best);
        }
        for first in (next.saturating_sub(self.moves.longest())..next).rev() {
            if self.latest[first] < place {
                break;
            }
            self.try_exchange(first, next, place, best);
        }
    }

    /// Changes after which the stop before `next` is followed by the one at `place`, further back.
    fn go_back(&self, next: usize, place: usize, best: &mut Best) {
        for second in place + 1..next.min(place + 1 + self.moves.longest()) {
            if self.latest[second - 1] < next {
                break;
            }
            self.try_exchange(place, second, next, best);
        }
    }

    fn try_exchange(&self, first: usize, second: usize, end: usize, best: &mut Best) {
        let cost = |from, to| self.moves.between(from, to);
        let gain = cost(self.before(first), self.at(first))
            + cost(self.before(second), self.at(second))
            + cost(self.before(end), self.at(end))
            - cost(self.before(first), self.at(second))
            - cost(self.before(end), self.at(first))
            - cost(self.before(second), self.at(end));
        best.offer(gain, Change::Exchange(first, second, end));
    }

    fn try_reversal(&self, from: usize, to: usize, best: &mut Best) {
        if from >= to {
            return;
        }
        let cost = |from, to| self.moves.between(from, to);
        let inner = (self.along[to] - self.along[from]) - (self.against[to] - self.against[from]);
        let gain =
            inner + cost(self.before(from), self.at(from)) + cost(self.at(to), self.at(to + 1))
                - cost(self.before(from), self.at(to))
                - cost(self.at(from), self.at(to + 1));
        if gain > best.gain && (from..=to).all(|p| self.earliest[p] <= from) {
            best.offer(gain, Change::Reverse(from, to));
        }
    }

    /// Whether a change keeps to the precedence.
    pub(super) fn allows(&self, change: Change) -> bool {
        match change {
            Change::Reverse(from, to) => (from..=to).all(|p| self.earliest[p] <= from),
            Change::Exchange(first, second, end) => (first..second).all(|p| self.latest[p] >= end),
        }
    }

    pub(super) fn apply(&mut self, change: Change) {
        match change {
            Change::Reverse(from, to) => {
                self.order[from..=to].reverse();
                self.take_stock(from..=to);
            }
            Change::Exchange(first, second, end) => {
                self.order[first..end].rotate_left(second - first);
                self.take_stock(first..=end - 1);
            }
        }
    }
}

/// The best change found so far.
struct Best {
    gain: f64,
    change: Option<Change>,
}

impl Best {
    fn offer(&mut self, gain: f64, change: Change) {
        if gain > self.gain {
            *self = Self {
                gain,
                change: Some(change),
            };
        }
    }
}
