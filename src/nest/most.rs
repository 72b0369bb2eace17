//! As many as fit: how many sets of pieces the stock takes.
//!
//! In: the pieces of one set, each with its quantity in it, and stock. Out: the most whole sets that
//! were found to fit at once ([`Most`]), and how many there could be by area. First the start of the
//! search alone, by halving; then one set more at a time, for as long as the budget finds room for it.

use std::time::Instant;

use super::{Budget, Control, Layout, Piece, Progress, Stock, place_many, polygon};
use crate::elementary;

/// Copies that are counted: beyond it nobody counts, and the search takes its time.
const COPIES: u32 = 5_000;

/// Places that each worker may try in one go where no time is given: some seconds of it. The last go of a
/// count always fails and takes all of it; who wants the very last one gives a time.
const PLACES: u64 = 400_000;

/// The most sets found.
#[derive(Debug, Clone, PartialEq)]
pub struct Most {
    /// How many whole sets.
    pub sets: u32,
    /// More than this many cannot fit, whatever the search, since their area is too large.
    pub bound: u32,
    /// Whether more may well fit: so many copies are not counted.
    pub uncounted: bool,
    /// Where they lie.
    pub layout: Layout,
}

/// Counts whole sets on the stock; of a line without a quantity, on one sheet.
///
/// `progress` is called as by [`super::place`]; [`Control::Stop`] keeps the most found so far.
pub fn as_many_as_fit(
    set: &[Piece],
    stock: &[Stock],
    budget: &Budget,
    progress: &mut dyn FnMut(Progress) -> Control,
) -> Most {
    let mut count = Count {
        set,
        stock: stock.iter().map(limited).collect(),
        budget,
        started: Instant::now(),
        stopped: false,
        goes: 0,
        progress,
    };
    let bound = bound(set, &count.stock);
    let copies: u32 = set.iter().map(|piece| piece.quantity).sum();
    let most = bound.min((COPIES / copies.max(1)).max(1));
    let (mut sets, mut layout) = if set.len() == 1 {
        count.at_once(most)
    } else {
        count.by_halving(most)
    };
    while sets < most && !count.is_over() {
        let found = count.searched(sets + 1, most);
        count.goes += 1;
        match found {
            Some((more, better)) => (sets, layout) = (more, better),
            // Another seed may find what this one did not, as long as there is time.
            None if budget.seconds.is_some() => {}
            None => break,
        }
        // Of one kind as many as there could be were offered: the same search would end the same.
        if set.len() == 1 && budget.seconds.is_none() {
            break;
        }
    }
    Most {
        sets,
        bound,
        uncounted: sets == most && most < bound,
        layout,
    }
}

fn limited(line: &Stock) -> Stock {
    Stock {
        quantity: line.quantity.or(Some(1)),
        // Who asks how many fit wants all of it filled.
        metal: Vec::new(),
        ..line.clone()
    }
}

/// How many sets there could be by area: windows count as room where a piece of the set is small
/// enough for one.
fn bound(set: &[Piece], stock: &[Stock]) -> u32 {
    let area = |outline: &[_]| polygon::signed_area(outline).abs();
    let room: f64 = stock
        .iter()
        .map(|line| {
            let avoided: f64 = line.avoid.iter().map(|spot| area(spot)).sum();
            f64::from(line.quantity.unwrap_or(1)) * (area(&line.usable) - avoided)
        })
        .sum();
    let needed: f64 = set
        .iter()
        .enumerate()
        .map(|(index, piece)| {
            let others = set.iter().enumerate().filter(|(other, _)| *other != index);
            let least = others
                .map(|(_, other)| area(&other.outline))
                .fold(f64::INFINITY, f64::min);
            let windows = piece.windows.iter().map(|window| area(window));
            let open: f64 = windows.filter(|window| *window > least).sum();
            f64::from(piece.quantity) * (area(&piece.outline) - open)
        })
        .sum();
    if needed > 0.0 {
        (room / needed) as u32
    } else {
        0
    }
}

/// A count under way.
struct Count<'a> {
    set: &'a [Piece],
    stock: Vec<Stock>,
    budget: &'a Budget,
    started: Instant,
    stopped: bool,
    /// Searches so far.
    goes: u64,
    progress: &'a mut dyn FnMut(Progress) -> Control,
}

impl Count<'_> {
    fn is_over(&self) -> bool {
        self.stopped || self.budget.iterations == 0 || self.left().is_some_and(|left| left <= 0.0)
    }

    /// Seconds left, if they count.
    fn left(&self) -> Option<f64> {
        let spent = self.started.elapsed().as_secs_f64();
        self.budget.seconds.map(|seconds| seconds - spent)
    }

    /// So many sets as pieces to place.
    fn sets(&self, sets: u32) -> Vec<Piece> {
        self.set
            .iter()
            .map(|piece| Piece {
                quantity: piece.quantity * sets,
                ..piece.clone()
            })
            .collect()
    }

    /// Whole sets in a layout for so many of them.
    fn whole(&self, layout: &Layout, sets: u32) -> u32 {
        let whole = layout.unplaced.iter().map(|(index, copies)| {
            let piece = self.set.iter().find(|it| it.index == *index);
            let each = piece.map_or(1, |it| it.quantity);
            (each * sets - copies) / each
        });
        whole.min().unwrap_or(sets)
    }

    /// The start of the search with so many sets.
    fn start(&mut self, sets: u32) -> Layout {
        let budget = Budget {
            iterations: 0,
            ..self.budget.clone()
        };
        let pieces = self.sets(sets);
        let told = &mut |now: Progress| {
            self.stopped |= (self.progress)(now.between(0.0, 0.0)) == Control::Stop;
            Control::Continue
        };
        place_many(&pieces, &self.stock, &budget, told)
    }

    /// One kind of piece: what the start finds room for.
    fn at_once(&mut self, most: u32) -> (u32, Layout) {
        let layout = self.start(most);
        (self.whole(&layout, most), layout)
    }

    /// Several kinds: the most sets that the start places whole.
    fn by_halving(&mut self, most: u32) -> (u32, Layout) {
        let mut best = (0, Layout::default());
        let mut high = most;
        while best.0 < high {
            let middle = best.0 + (high - best.0).div_ceil(2);
            let layout = self.start(middle);
            if layout.unplaced.is_empty() {
                best = (middle, layout);
            } else {
                high = middle - 1;
            }
        }
        best
    }

    /// The search with at least so many sets; of one kind as many as there could be are offered at
    /// once. `None` if it found no room for them.
    fn searched(&mut self, sets: u32, most: u32) -> Option<(u32, Layout)> {
        let offered = if self.set.len() == 1 { most } else { sets };
        let pieces = self.sets(offered);
        let copies: u64 = pieces.iter().map(|piece| u64::from(piece.quantity)).sum();
        let budget = Budget {
            seconds: self.left(),
            iterations: match self.budget.seconds {
                Some(_) => self.budget.iterations,
                None => PLACES / copies.max(1),
            },
            seed: self.budget.seed.wrapping_add(self.goes),
        };
        // How many searches there will be nobody knows: each is half of what is left, or its share of the
        // time.
        let begins = match self.budget.seconds {
            Some(seconds) => 1.0 - (self.left().unwrap_or(0.0) / seconds).clamp(0.0, 1.0),
            None => 1.0 - elementary::powf(0.5, self.goes as f64),
        };
        let ends = match self.budget.seconds {
            Some(_) => 1.0,
            None => f64::midpoint(begins, 1.0),
        };
        let told = &mut |now: Progress| {
            self.stopped |= (self.progress)(now.between(begins, ends)) == Control::Stop;
            if self.stopped || now.unplaced == 0 {
                Control::Stop
            } else {
                Control::Continue
            }
        };
        let layout = place_many(&pieces, &self.stock, &budget, told);
        let whole = self.whole(&layout, offered);
        (whole >= sets).then_some((whole, layout))
    }
}
