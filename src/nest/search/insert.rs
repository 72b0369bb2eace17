//! Room for one more.
//!
//! In: shapes that lie free in a room, and others that wait. Out: the shapes with as many of the
//! others among them as could be parted from the rest, each tried until it has found no room once, as
//! long as there is time.

use std::sync::Arc;

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

use super::super::clock::Phase;
use super::super::placed::PlacedShape;
use super::pack::Pack;
use super::seek::Seeker;
use super::separate::{Patience, Separation, State};
use super::shape::{SearchShape, Turns};
use crate::geometry::Bounds;

/// Patience with each one more in a window.
pub(in crate::nest) const IN_WINDOW: Patience = Patience {
    idle: 12,
    strikes: 1,
};
/// Patience with each one more on a sheet.
pub(in crate::nest) const ON_SHEET: Patience = Patience {
    idle: 25,
    strikes: 2,
};
/// Turns tried for one that fits into the box around the room.
const TURNS: usize = 8;

/// What waits for room.
pub(in crate::nest) struct Waiting<'a> {
    pub(in crate::nest) kind: &'a SearchShape,
    pub(in crate::nest) copies: u32,
}

/// Adds what fits, in the order given, to what lies there; each is named by its place in `waiting`.
/// `free` is the area that is left, mm²; `beat` is called before each try. How many places were tried
/// comes back too.
pub(in crate::nest) fn as_many<'a>(
    waiting: &[Waiting<'a>],
    mut lying: Vec<(usize, PlacedShape)>,
    (fixed, frame): (&[(&'a SearchShape, PlacedShape)], Bounds),
    mut free: f64,
    (patience, seed): (Patience, u64),
    phase: &Phase,
    beat: &mut dyn FnMut(),
) -> (Vec<(usize, PlacedShape)>, u64) {
    let mut seeker = Seeker::new(Pcg64Mcg::seed_from_u64(seed));
    for (index, next) in waiting.iter().enumerate() {
        let there = lying.iter().filter(|(known, _)| *known == index).count() as u32;
        for _ in there..next.copies {
            beat();
            if next.kind.shape.area > free || phase.spent(seeker.evaluations) >= 1.0 {
                break;
            }
            let Some(start) = start(next.kind, frame, &mut seeker) else {
                break;
            };
            let others = lying
                .iter()
                .map(|(i, placed)| (waiting[*i].kind, placed.clone()));
            let moving = others.chain([(next.kind, start)]).collect();
            let mut pack = Pack::new(moving, fixed.to_vec(), frame);
            if !parted(&mut pack, &mut seeker, patience, phase) {
                break;
            }
            free -= next.kind.shape.area;
            lying.push((index, pack.placements()[lying.len()].clone()));
            for ((_, placed), moved) in lying.iter_mut().zip(pack.placements()) {
                *placed = moved.clone();
            }
        }
    }
    (lying, seeker.evaluations)
}

/// The middle of the room, at a turn that fits its box.
fn start(kind: &SearchShape, frame: Bounds, seeker: &mut Seeker) -> Option<PlacedShape> {
    (0..TURNS).find_map(|_| {
        let shape = match &kind.turns {
            Turns::Free(ready) => Arc::clone(&ready[seeker.random.random_range(0..ready.len())]),
            Turns::Steps(steps) => {
                Arc::clone(&steps[seeker.random.random_range(0..steps.len())].rotated)
            }
        };
        let fits = shape.bounds.width() <= frame.width() && shape.bounds.height() <= frame.height();
        fits.then(|| PlacedShape {
            at: frame.centre() - shape.bounds.centre(),
            shape,
        })
    })
}

fn parted(pack: &mut Pack, seeker: &mut Seeker, patience: Patience, phase: &Phase) -> bool {
    let mut separation = Separation::begin(pack, seeker, patience);
    loop {
        match separation.step(pack, seeker, phase) {
            State::Apart => return true,
            State::Stuck => return false,
            State::Working if phase.spent(seeker.evaluations) >= 1.0 => return false,
            State::Working => {}
        }
    }
}
