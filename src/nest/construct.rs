//! One piece after another into the first free place from the left: the start of every layout.
//!
//! In: a [`Room`] and an [`Item`]. Out: a turn and a place that is free and touches what lies to
//! its left, if one was found. Large pieces go first; small ones find the gaps between them, because
//! places are also tried at random and then slid until they touch.

use std::f64::consts::{FRAC_PI_2, TAU};

use rand::RngExt;
use rand_pcg::Pcg64;

use super::Rotation;
use super::clash::Laid;
use super::item::Item;
use super::room::Room;
use super::shape::Oriented;
use crate::geometry::Vector;

/// Heights from which a piece is slid in from the open end.
const LEVELS: usize = 6;
/// Random places tried for each turn.
const TRIES: usize = 24;
/// Weight of the height of a place against its length along the sheet.
const HEIGHT: f64 = 0.03;

/// A free place for a shape.
pub(super) struct Place {
    pub(super) shape: Oriented,
    pub(super) at: Vector,
    cost: f64,
}

/// The place furthest left that was found for one more copy.
pub(super) fn find(room: &Room, item: &Item, random: &mut Pcg64) -> Option<Place> {
    if item.shape.area > room.area() {
        return None;
    }
    let mut best: Option<Place> = None;
    for turn in turns(item) {
        let shape = item.shape.turned(turn);
        let mut search = Search {
            room,
            shape: &shape,
            best: best.as_ref().map(|place| place.cost),
            found: None,
        };
        search.try_open_end();
        search.try_at_random(random);
        if let Some((at, cost)) = search.found {
            best = Some(Place { shape, at, cost });
        }
    }
    best
}

/// Turns worth trying: those allowed, or for a free piece those that lay a long straight side along
/// an axis.
fn turns(item: &Item) -> Vec<f64> {
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
    room: &'a Room,
    shape: &'a Oriented,
    best: Option<f64>,
    found: Option<(Vector, f64)>,
}

impl Search<'_> {
    /// Slides the shape in from the right at several heights.
    fn try_open_end(&mut self) {
        let (walls, own) = (self.room.bounds(), self.shape.bounds);
        let slack = walls.height() - own.height();
        if slack < 0.0 || own.width() > walls.width() {
            return;
        }
        let frontier = self
            .room
            .boxes()
            .iter()
            .map(|reach| reach.max.x)
            .fold(walls.min.x, f64::max);
        let x = (frontier - own.min.x + 1e-3).min(walls.max.x - own.max.x);
        for level in 0..LEVELS {
            let y = walls.min.y - own.min.y + slack * level as f64 / (LEVELS - 1) as f64;
            self.settle(Vector::new(x, y));
        }
    }

    /// Tries random places that could beat the best so far.
    fn try_at_random(&mut self, random: &mut Pcg64) {
        let (walls, own) = (self.room.bounds(), self.shape.bounds);
        let low = walls.min - own.min;
        let high = walls.max - own.max;
        if high.x < low.x || high.y < low.y {
            return;
        }
        let frontier = if self.room.is_box() {
            let rightmost = self.room.boxes().iter().map(|reach| reach.max.x);
            rightmost.fold(walls.min.x, f64::max) - own.min.x
        } else {
            high.x
        };
        let frontier = frontier.clamp(low.x, high.x);
        for _ in 0..TRIES {
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
                rest = self.room.slid(self.laid(rest), direction);
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
        self.room.is_free(self.laid(at))
    }

    fn laid(&self, at: Vector) -> Laid<'_> {
        Laid {
            shape: self.shape,
            at,
        }
    }
}
