//! Disturbances that lead out of a dead end.
//!
//! In: shapes as they lie. Out: some of them in one another's places, where they overlap and the search
//! begins again. Two large ones change a layout the most for the least; half of all of them, nearly
//! everything.

use rand::RngExt;
use rand::seq::SliceRandom;
use rand_pcg::Pcg64Mcg;

use super::super::placed::PlacedShape;
use super::pack::Pack;
use crate::geometry::{Bounds, Vector};

/// The part of the length that is thrown into disorder.
const DISORDER: f64 = 0.5;
/// The shapes that are swapped make up this share of all hulls.
const LARGE: f64 = 0.75;
/// Draws for two that differ.
const DRAWS: usize = 20;

/// The shapes of a stretch of a layout, `length` mm long, go to one another's places.
pub(super) fn disorder(
    pack: &Pack,
    placements: &mut [PlacedShape],
    length: f64,
    frame: Bounds,
    random: &mut Pcg64Mcg,
) {
    let start = random.random::<f64>() * (1.0 - DISORDER);
    let from = frame.min.x + length * start;
    let stretch = from..from + length * DISORDER;
    let there: Vec<usize> = (0..pack.movable())
        .filter(|i| stretch.contains(&placements[*i].at.x))
        .collect();
    let mut places: Vec<Vector> = there.iter().map(|i| placements[*i].at).collect();
    places.shuffle(random);
    for (i, at) in there.into_iter().zip(places) {
        placements[i].at = at;
        placements[i].push_into(frame);
    }
}

/// Two large shapes of different kinds change places.
pub(super) fn swap_two_large(
    pack: &Pack,
    placements: &mut [PlacedShape],
    frame: Bounds,
    random: &mut Pcg64Mcg,
) {
    let mut order: Vec<usize> = (0..pack.movable()).collect();
    let area = |i: usize| pack.shape_of(i).shape.hull_area;
    order.sort_by(|a, b| area(*b).total_cmp(&area(*a)));
    let enough = order.iter().map(|i| area(*i)).sum::<f64>() * LARGE;
    let mut sum = 0.0;
    let large = order
        .iter()
        .take_while(|i| {
            let below = sum <= enough;
            sum += area(**i);
            below
        })
        .count();
    for _ in 0..DRAWS {
        let a = order[random.random_range(0..large)];
        let b = order[random.random_range(0..large)];
        if !std::ptr::eq(pack.shape_of(a), pack.shape_of(b)) {
            let here = placements[a].at;
            placements[a].at = placements[b].at;
            placements[b].at = here;
            placements[a].push_into(frame);
            placements[b].push_into(frame);
            return;
        }
    }
}
