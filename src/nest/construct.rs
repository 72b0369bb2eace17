//! One piece after another into the first free place from the left: the start of every layout.
//!
//! In: a [`Container`] and an [`PreparedPiece`]. Out: a turn and a place that is free and touches what lies to
//! its left, if one was found. Large pieces go first; small ones find the gaps between them, because
//! places are also tried at random and then slid until they touch. The first copy of an item is tried
//! at every turn worth it, the others at those that served the copies before them best.

use std::f64::consts::{FRAC_PI_2, TAU};
use std::ops::Range;
use std::sync::Arc;

use rand::RngExt;
use rand_pcg::Pcg64;

use super::Rotation;
use super::clock::Phase;
use super::container::Container;
use super::placed::{PlacedRef, PlacedShape};
use super::prepared::PreparedPiece;
use super::rigid_shape::RotatedShape;
use crate::geometry::Vector;

/// Turns tried for another copy: the best so far, and one of the others.
const USUAL: usize = 3;
/// What is tried at each turn.
const CARE: Care = Care {
    levels: 6,
    tries: 24,
};
/// The same when there is no time left.
const HASTE: Care = Care {
    levels: 2,
    tries: 0,
};
/// Weight of the height of a place against its length along the sheet.
const HEIGHT: f64 = 0.03;

/// How much is tried at one turn.
#[derive(Clone, Copy)]
struct Care {
    /// Heights from which a piece is slid in from the open end.
    levels: usize,
    /// Random places.
    tries: usize,
}

/// Finds places for the copies of one item.
pub(super) struct Finder<'a> {
    item: &'a PreparedPiece,
    /// The turns worth trying, those that served best lately first.
    turned: Vec<Arc<RotatedShape>>,
    /// How many copies have found a place.
    found: usize,
}

impl<'a> Finder<'a> {
    pub(super) fn new(item: &'a PreparedPiece) -> Self {
        let turns = turns(item).into_iter();
        Self {
            turned: turns
                .map(|turn| Arc::new(item.shape.turned(turn)))
                .collect(),
            item,
            found: 0,
        }
    }

    /// The place furthest left that was found for one more copy. When the time is over the first
    /// place at the open end will do.
    pub(super) fn find(
        &mut self,
        container: &Container,
        time: &Phase,
        random: &mut Pcg64,
    ) -> Option<PlacedShape> {
        if self.item.shape.area > container.area() {
            return None;
        }
        let all = self.turned.len();
        let few = if self.found > 0 {
            all.min(USUAL + 1)
        } else {
            all
        };
        if few < all {
            self.turned[USUAL..].rotate_left(1);
        }
        let late = time.is_late();
        let care = if late { HASTE } else { CARE };
        let mut best = self.best_of(0..few, care, container, random);
        if best.is_none() && (few < all || late) {
            best = self.best_of(0..all, CARE, container, random);
        }
        let (k, placed, _) = best?;
        self.turned[..=k].rotate_right(1);
        self.found += 1;
        Some(placed)
    }

    /// The best place at these turns, and at which of them.
    fn best_of(
        &self,
        turns: Range<usize>,
        care: Care,
        container: &Container,
        random: &mut Pcg64,
    ) -> Option<(usize, PlacedShape, f64)> {
        let mut best: Option<(usize, PlacedShape, f64)> = None;
        for k in turns {
            let mut search = Search {
                container,
                shape: &self.turned[k],
                best: best.as_ref().map(|(_, _, cost)| *cost),
                found: None,
            };
            search.try_open_end(care.levels);
            search.try_at_random(care.tries, random);
            if let Some((at, cost)) = search.found {
                let shape = Arc::clone(&self.turned[k]);
                best = Some((k, PlacedShape { shape, at }, cost));
            }
        }
        best
    }
}

/// Turns worth trying: those allowed, or for a free piece those that lay a long straight side along
/// an axis.
pub(super) fn turns(item: &PreparedPiece) -> Vec<f64> {
    match &item.rotation {
        Rotation::Steps(steps) => steps.clone(),
        Rotation::Free if item.shape.is_disc() => vec![0.0],
        Rotation::Free => {
            let mut turns: Vec<f64> = Vec::new();
            for flat in item.shape.flats.iter().take(3) {
                for quarter in 0..4 {
                    let turn = (f64::from(quarter) * FRAC_PI_2 - flat).rem_euclid(TAU);
                    if turns.iter().all(|known| (known - turn).abs() > 1e-3) {
                        turns.push(turn);
                    }
                }
            }
            turns
        }
    }
}

/// The search for one turn.
struct Search<'a> {
    container: &'a Container,
    shape: &'a RotatedShape,
    best: Option<f64>,
    found: Option<(Vector, f64)>,
}

impl Search<'_> {
    /// Slides the shape in from the right at several heights.
    fn try_open_end(&mut self, levels: usize) {
        let (walls, own) = (self.container.bounds(), self.shape.bounds);
        let slack = walls.height() - own.height();
        if slack < 0.0 || own.width() > walls.width() {
            return;
        }
        let frontier = walls.min.x.max(self.container.rightmost());
        let x = (frontier - own.min.x + 1e-3).min(walls.max.x - own.max.x);
        for level in 0..levels {
            let y = walls.min.y - own.min.y + slack * level as f64 / (levels - 1) as f64;
            self.settle(Vector::new(x, y));
        }
    }

    /// Tries random places that could beat the best so far.
    fn try_at_random(&mut self, tries: usize, random: &mut Pcg64) {
        let (walls, own) = (self.container.bounds(), self.shape.bounds);
        let low = walls.min - own.min;
        let high = walls.max - own.max;
        if high.x < low.x || high.y < low.y {
            return;
        }
        let frontier = if self.container.is_box() {
            walls.min.x.max(self.container.rightmost()) - own.min.x
        } else {
            high.x
        };
        let frontier = frontier.clamp(low.x, high.x);
        for _ in 0..tries {
            let limit = self
                .best
                .map_or(frontier, |best| frontier.min(best - own.max.x));
            let x = low.x + (limit - low.x).max(0.0) * random.random::<f64>();
            let y = low.y + (high.y - low.y) * random.random::<f64>();
            self.settle(Vector::new(x, y));
        }
    }

    /// If the shape can lie there, slides it left and down and keeps the place if it is the best.
    fn settle(&mut self, at: Vector) {
        if !self.is_free(at) {
            return;
        }
        let mut rest = at;
        for _ in 0..4 {
            let before = rest;
            for direction in [Vector::new(-1.0, 0.0), Vector::new(0.0, -1.0)] {
                rest = self.container.slid(self.placed(rest), direction);
            }
            if (rest - before).length() < 1e-3 {
                break;
            }
        }
        let cost = rest.x + self.shape.bounds.max.x + HEIGHT * (rest.y + self.shape.bounds.max.y);
        if self.best.is_none_or(|best| cost < best) {
            self.best = Some(cost);
            self.found = Some((rest, cost));
        }
    }

    fn is_free(&self, at: Vector) -> bool {
        self.container.is_free(self.placed(at))
    }

    fn placed(&self, at: Vector) -> PlacedRef<'_> {
        PlacedRef {
            shape: self.shape,
            at,
        }
    }
}
