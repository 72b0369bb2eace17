//! The chance that all bolts of a pattern go in, with holes as true as they are made.
//!
//! In: plies whose patterns lie on each other, and how true their holes are. Out: what is to spare where every hole is off
//! to the worst side, and the share of draws in which all bolts go in. In a draw the middle of each hole is anywhere
//! within its tolerance, each place as likely as any other, and so is its diameter; the plies may then be
//! shifted and turned against each other as the fitter does. The seed is fixed, so a job is told the same each time.

use std::f64::consts::TAU;

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use super::fit::{Holes, all_go_in, miss};
use crate::geometry::Vector;
use crate::trade::hole::Trueness;

/// How many draws.
pub const DRAWS: u32 = 10_000;
/// Their seed.
const SEED: u64 = 9013;

/// The holes of a ply as they are meant, and how true they are.
#[derive(Debug, Clone, PartialEq)]
pub struct Drilled {
    /// As they are meant.
    pub holes: Holes,
    /// How true each is.
    pub true_to: Vec<Trueness>,
}

/// How surely bolts go in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chance {
    /// What is to spare where every hole is off to the worst side, mm; below 0 what is wanting.
    pub spare: f64,
    /// The share of draws in which all bolts go in.
    pub share: f64,
}

/// How surely the bolts of these plies go in.
#[must_use]
pub fn chance(plies: &[Drilled]) -> Chance {
    let spare = spare(plies);
    let share = if spare >= 0.0 { 1.0 } else { share(plies) };
    Chance { spare, share }
}

/// What is to spare at the worst. Holes off to opposite sides cannot be helped by a shift or a turn, unless there is
/// but one. A bolt stands within the free room of one ply, less what its hole is off; where that is below 0 the
/// others must make up for it, so the two plies with the least decide.
fn spare(plies: &[Drilled]) -> f64 {
    let holes = plies.first().map_or(0, |it| it.holes.at.len());
    let tight = plies.iter().map(|it| Holes {
        free: vec![0.0; holes],
        ..it.holes.clone()
    });
    let apart = miss(&tight.collect::<Vec<_>>());
    let of = |hole: usize| {
        let mut least: Vec<f64> = plies
            .iter()
            .map(|it| {
                let off = if holes == 1 {
                    0.0
                } else {
                    it.true_to[hole].off
                };
                it.holes.free[hole] - it.true_to[hole].diameter.0 / 2.0 - off
            })
            .collect();
        least.sort_by(f64::total_cmp);
        least.iter().take(2).sum::<f64>()
    };
    let narrowest = plies.iter().flat_map(|it| {
        let each = it.holes.free.iter().zip(&it.true_to);
        each.map(|(free, it)| free - it.diameter.0 / 2.0)
    });
    let narrowest = narrowest.fold(f64::INFINITY, f64::min);
    let worst = (0..holes).map(of).fold(f64::INFINITY, f64::min) - apart;
    // A bolt that its hole does not pass goes in nowhere.
    if narrowest < 0.0 {
        worst.min(2.0 * narrowest)
    } else {
        worst
    }
}

fn share(plies: &[Drilled]) -> f64 {
    let mut random = Pcg64::seed_from_u64(SEED);
    let mut drawn: Vec<Holes> = plies.iter().map(|it| it.holes.clone()).collect();
    let mut good = 0_u32;
    for _ in 0..DRAWS {
        for (ply, it) in plies.iter().enumerate() {
            for (hole, its) in it.true_to.iter().enumerate() {
                let angle = TAU * random.random::<f64>();
                let off = its.off * random.random::<f64>().sqrt();
                drawn[ply].at[hole] = it.holes.at[hole] + Vector::from_angle(angle) * off;
                let (narrower, wider) = its.diameter;
                let change = random.random::<f64>() * (narrower + wider) - narrower;
                drawn[ply].free[hole] = it.holes.free[hole] + change / 2.0;
            }
        }
        good += u32::from(all_go_in(&drawn));
    }
    f64::from(good) / f64::from(DRAWS)
}
