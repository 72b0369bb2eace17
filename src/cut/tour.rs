//! An order of stops, and the changes that make it shorter.
//!
//! In: stops, what each move between two of them costs, and an order that keeps to their precedence.
//! Out: an order that no change of the kinds tried makes shorter, precedence kept. The changes: a
//! stretch is run the other way round (Croes 1958), or two neighbouring stretches change places (Or
//! 1976). Only changes that bring a stop next to one of its nearest are tried.

use std::collections::VecDeque;

use super::stop::Stop;

/// How many of the nearest stops each stop is brought next to.
const NEAREST: usize = 10;

/// An improvement of less than this, mm, is rounding.
const LEAST_GAIN: f64 = 1e-6;

/// What the moves from each stop to each stop cost. The index `count` is home where a move starts, and the
/// end of the tour where one ends: the tour does not come back.
pub(super) struct Moves {
    count: usize,
    cost: Vec<f64>,
    /// From each stop, and from home last: where to go on to, the cheapest first, the end of the tour last.
    nearest: Vec<Vec<usize>>,
}

impl Moves {
    /// From what a move costs from each stop, and from home last, to each stop.
    pub(super) fn new(stops: &[Stop], rows: Vec<Vec<f64>>) -> Self {
        let count = stops.len();
        let nearest = rows.iter().enumerate().map(|(from, row)| {
            let waits_for = |to: usize| from < count && stops[from].after.contains(&to);
            let mut near: Vec<usize> = (0..count)
                .filter(|to| *to != from && !waits_for(*to))
                .collect();
            let cheaper = |a: &usize, b: &usize| row[*a].total_cmp(&row[*b]).then(a.cmp(b));
            if near.len() > NEAREST {
                near.select_nth_unstable_by(NEAREST, cheaper);
                near.truncate(NEAREST);
            }
            near.sort_unstable_by(cheaper);
            near.push(count);
            near
        });
        Self {
            count,
            nearest: nearest.collect(),
            cost: rows
                .into_iter()
                .flat_map(|row| row.into_iter().chain([0.0]))
                .collect(),
        }
    }

    /// Always on to the stop that is cheapest to reach of those that may come next.
    pub(super) fn cheapest_next(&self, stops: &[Stop]) -> Vec<usize> {
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
            for (stop, waits) in waits_for.iter_mut().enumerate() {
                *waits -= usize::from(stops[stop].after.contains(&here));
            }
            order.push(here);
        }
        order
    }

    /// The cost of a move from a stop or home to a stop or the end of the tour.
    pub(super) fn between(&self, from: usize, to: usize) -> f64 {
        self.cost[from * (self.count + 1) + to]
    }
}

/// An order of the stops, and what decides where each may go.
#[derive(Clone)]
pub(super) struct Tour<'a> {
    stops: &'a [Stop],
    moves: &'a Moves,
    pub(super) order: Vec<usize>,
    /// Where each stop stands in the order.
    position: Vec<usize>,
    /// For each position, the position after the last stop that must come before it.
    earliest: Vec<usize>,
    /// For each position, the position of the first stop that must come after it.
    latest: Vec<usize>,
    /// For each position, the cost from the first stop to it, and of the same moves turned round.
    along: Vec<f64>,
    against: Vec<f64>,
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
    pub(super) fn new(stops: &'a [Stop], moves: &'a Moves, order: Vec<usize>) -> Self {
        let count = order.len();
        let mut tour = Self {
            stops,
            moves,
            order,
            position: vec![0; count],
            earliest: vec![0; count],
            latest: vec![count; count],
            along: vec![0.0; count],
            against: vec![0.0; count],
        };
        tour.take_stock();
        tour
    }

    /// What the whole tour costs.
    pub(super) fn cost(&self) -> f64 {
        let first = self.moves.between(self.moves.count, self.at(0));
        first + self.along.last().copied().unwrap_or(0.0)
    }

    /// Works out what depends on the order.
    fn take_stock(&mut self) {
        for (at, stop) in self.order.iter().enumerate() {
            self.position[*stop] = at;
        }
        self.earliest.fill(0);
        self.latest.fill(self.order.len());
        for (at, stop) in self.order.iter().enumerate() {
            for before in &self.stops[*stop].after {
                let p = self.position[*before];
                self.earliest[at] = self.earliest[at].max(p + 1);
                self.latest[p] = self.latest[p].min(at);
            }
        }
        for at in 1..self.order.len() {
            let (from, to) = (self.order[at - 1], self.order[at]);
            self.along[at] = self.along[at - 1] + self.moves.between(from, to);
            self.against[at] = self.against[at - 1] + self.moves.between(to, from);
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
            for end in place + 1..=most.unwrap_or(0) {
                self.try_exchange(next, place, end, best);
            }
        }
        if next > 0 {
            self.try_reversal(next - 1, place - 1, best);
        }
        for first in (0..next).rev() {
            if self.latest[first] < place {
                break;
            }
            self.try_exchange(first, next, place, best);
        }
    }

    /// Changes after which the stop before `next` is followed by the one at `place`, further back.
    fn go_back(&self, next: usize, place: usize, best: &mut Best) {
        for second in place + 1..next {
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
            Change::Reverse(from, to) => self.order[from..=to].reverse(),
            Change::Exchange(first, second, end) => {
                self.order[first..end].rotate_left(second - first);
            }
        }
        self.take_stock();
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
