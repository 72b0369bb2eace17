//! The best place for one shape among the others.
//!
//! In: a pack and one of its shapes. Out: the shape put where it overlaps less, if such a place was
//! found. Places are tried at random, near and anywhere; from the best few the search walks downhill
//! by steps that shrink.

use std::sync::Arc;

use rand::RngExt;
use rand_pcg::Pcg64Mcg;

use super::super::placed::PlacedShape;
use super::super::rigid_shape::RotatedShape;
use super::pack::Pack;
use super::shape::{READY, SearchShape, Turns};
use crate::geometry::{Bounds, Vector};

/// Places tried anywhere in the room for each move.
const ANYWHERE: usize = 50;
/// Places tried near the present one for each move.
const NEAR: usize = 25;
/// Where the walk downhill starts from: this many of the best places.
const KEPT: usize = 3;
/// Places nearer than this share of a shape's size count as the same.
const SAME: f64 = 0.05;
/// How often a place nearby is tried without another step of the turn.
const UNTURNED: f32 = 0.7;
/// Turns square to the frame.
const SQUARE: usize = 4;
/// Spread of turns tried near the present one, radians.
const SPREAD: f64 = 0.3;
/// Steps of the two walks: first and last, as a share of the shape's size, and radians.
const COARSE: Stride = Stride {
    shift: (0.25, 0.02),
    turn: (0.09, 0.02),
};
const FINE: Stride = Stride {
    shift: (0.01, 0.001),
    turn: (0.01, 0.001),
};

/// First and last step of a walk, as a share of the shape's size and in radians.
struct Stride {
    shift: (f64, f64),
    turn: (f64, f64),
}

/// Where a shape at some turn comes from.
#[derive(Debug, Clone, Copy)]
enum Source {
    /// It lies like this now.
    Here,
    /// It is one of the turns made ready.
    Ready(usize),
    /// It is made when it is needed.
    Made,
}

/// A shape at a turn, radians.
#[derive(Debug, Clone, Copy)]
struct Turned {
    turn: f64,
    source: Source,
}

impl Turned {
    /// Turned further.
    fn by(self, turn: f64) -> Self {
        if turn == 0.0 {
            return self;
        }
        Self {
            turn: self.turn + turn,
            source: Source::Made,
        }
    }
}

/// A place for a shape: how it is turned, and where its centre lies.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    turned: Turned,
    at: Vector,
    cost: f32,
}

/// The forms of the shape being moved that were made last: trying another turn and going back is what
/// a walk does all the time.
#[derive(Debug, Clone, Default)]
struct Made {
    last: CachedShape,
    before: CachedShape,
}

/// The shape being moved at a turn; `None` before it is made.
#[derive(Debug, Clone, Default)]
struct CachedShape {
    turn: Option<f64>,
    rotated: RotatedShape,
    /// Whether it has its edges, or is only a sketch.
    complete: bool,
}

impl Made {
    /// Forgets the forms: another shape is moved.
    fn clear(&mut self) {
        self.last.turn = None;
        self.before.turn = None;
    }

    /// At least a sketch at a turn.
    fn at(&mut self, kind: &SearchShape, turn: f64) -> &mut CachedShape {
        if self.last.turn != Some(turn) {
            std::mem::swap(&mut self.last, &mut self.before);
        }
        if self.last.turn != Some(turn) {
            kind.shape.sketch_into(turn, &mut self.last.rotated);
            self.last.turn = Some(turn);
            self.last.complete = false;
        }
        &mut self.last
    }
}

/// The shape being moved: its place in the pack, and how it is turned.
struct Moving<'a> {
    index: usize,
    kind: &'a SearchShape,
    rotated: Arc<RotatedShape>,
}

impl Moving<'_> {
    /// The shape at a turn that needs not be made.
    fn ready(&self, source: Source) -> Option<&Arc<RotatedShape>> {
        match (source, &self.kind.turns) {
            (Source::Here, _) => Some(&self.rotated),
            (Source::Ready(k), Turns::Steps(steps)) => Some(&steps[k].rotated),
            (Source::Ready(k), Turns::Free(ready)) => Some(&ready[k]),
            (Source::Made, _) => None,
        }
    }
}

/// Looks for places; keeps its own random numbers and room for work.
#[derive(Debug, Clone)]
pub(super) struct Seeker {
    pub(super) random: Pcg64Mcg,
    /// How many places were tried.
    pub(super) evaluations: u64,
    /// Whether shapes free to turn are only tried square to the frame.
    pub(super) square: bool,
    made: Made,
}

impl Seeker {
    pub(super) fn new(random: Pcg64Mcg) -> Self {
        Self {
            random,
            evaluations: 0,
            square: false,
            made: Made::default(),
        }
    }

    /// Looks for a better place for shape `i` and puts it there.
    pub(super) fn improve(&mut self, pack: &mut Pack, i: usize) {
        self.made.clear();
        let placed = &pack.placements()[i];
        let moving = Moving {
            index: i,
            kind: pack.shape_of(i),
            rotated: Arc::clone(&placed.shape),
        };
        let here = Candidate {
            turned: Turned {
                turn: placed.shape.turn,
                source: Source::Here,
            },
            at: placed.at,
            cost: pack.cost(i, &placed.shape, placed.at, f32::INFINITY),
        };
        let mut best = vec![here];
        self.sample(pack, &moving, here, &mut best);
        let mut winner = here;
        for mut place in best {
            self.walk(pack, &moving, &mut place, &COARSE);
            if place.cost < winner.cost {
                winner = place;
            }
        }
        self.walk(pack, &moving, &mut winner, &FINE);
        if winner.cost < here.cost {
            let shape = match moving.ready(winner.turned.source) {
                Some(shape) => Arc::clone(shape),
                None => moving.kind.rotated(winner.turned.turn),
            };
            let at = winner.at;
            pack.lay(i, PlacedShape { shape, at });
        }
    }

    /// Tries places near and anywhere and keeps the best few.
    fn sample(&mut self, pack: &Pack, moving: &Moving, here: Candidate, best: &mut Vec<Candidate>) {
        let box_now = moving.rotated.bounds;
        for k in 0..ANYWHERE + NEAR {
            let close = k < NEAR;
            let turned = self.pick_turn(moving.kind, here.turned, close);
            let bounds = self.bounds(moving, turned);
            let mut low = pack.frame.min - bounds.min;
            let mut high = pack.frame.max - bounds.max;
            if close {
                let half = Vector::new(box_now.width() / 2.0, box_now.height() / 2.0);
                low = Vector::new(low.x.max(here.at.x - half.x), low.y.max(here.at.y - half.y));
                high = Vector::new(
                    high.x.min(here.at.x + half.x),
                    high.y.min(here.at.y + half.y),
                );
            }
            if high.x < low.x || high.y < low.y {
                continue;
            }
            let at = Vector::new(
                low.x + (high.x - low.x) * self.random.random::<f64>(),
                low.y + (high.y - low.y) * self.random.random::<f64>(),
            );
            let bound = if best.len() == KEPT {
                best[KEPT - 1].cost
            } else {
                f32::INFINITY
            };
            let cost = self.cost(pack, moving, turned, at, bound);
            if cost < bound {
                let place = Candidate { turned, at, cost };
                keep(best, place, moving.kind.size * SAME);
            }
        }
    }

    fn pick_turn(&mut self, kind: &SearchShape, here: Turned, close: bool) -> Turned {
        let (ready, apart) = match &kind.turns {
            _ if close && self.random.random::<f32>() < UNTURNED => return here,
            Turns::Free(_) if self.square => (SQUARE, READY / SQUARE),
            Turns::Free(_) if close => {
                let spread = self.random.random::<f64>() + self.random.random::<f64>() - 1.0;
                return Turned {
                    turn: here.turn + spread * SPREAD,
                    source: Source::Made,
                };
            }
            Turns::Steps(steps) => (steps.len(), 1),
            Turns::Free(ready) => (ready.len(), 1),
        };
        let k = self.random.random_range(0..ready) * apart;
        Turned {
            turn: kind.ready_turn(k),
            source: Source::Ready(k),
        }
    }

    /// The box around the shape at a turn.
    fn bounds(&mut self, moving: &Moving, turned: Turned) -> Bounds {
        match moving.ready(turned.source) {
            Some(shape) => shape.bounds,
            None => self.made.at(moving.kind, turned.turn).rotated.bounds,
        }
    }

    fn cost(
        &mut self,
        pack: &Pack,
        moving: &Moving,
        turned: Turned,
        at: Vector,
        bound: f32,
    ) -> f32 {
        self.evaluations += 1;
        let i = moving.index;
        if let Some(shape) = moving.ready(turned.source) {
            return if lies_in(shape, at, pack.frame) {
                pack.cost(i, shape, at, bound)
            } else {
                f32::INFINITY
            };
        }
        let cached = self.made.at(moving.kind, turned.turn);
        if !lies_in(&cached.rotated, at, pack.frame) {
            return f32::INFINITY;
        }
        if !cached.complete {
            let sure = pack.sure_cost(i, &cached.rotated, at, bound);
            if sure > bound {
                return sure;
            }
            moving.kind.shape.complete(&mut cached.rotated);
            cached.complete = true;
        }
        pack.cost(i, &cached.rotated, at, bound)
    }

    /// Steps along the axes, the diagonals and the turn, as long as that is better.
    fn walk(&mut self, pack: &Pack, moving: &Moving, place: &mut Candidate, stride: &Stride) {
        let kind = moving.kind;
        let axes = if matches!(kind.turns, Turns::Free(_)) && !self.square {
            5
        } else {
            4
        };
        let (mut dx, mut dy) = (kind.size * stride.shift.0, kind.size * stride.shift.0);
        let mut dt = stride.turn.0;
        let shortest = kind.size * stride.shift.1;
        while place.cost > 0.0
            && (dx > shortest || dy > shortest || (axes == 5 && dt > stride.turn.1))
        {
            let axis = self.random.random_range(0..axes);
            let diagonal = Vector::new(dx, dy) * std::f64::consts::FRAC_1_SQRT_2;
            let (step, turn) = match axis {
                0 => (Vector::new(dx, 0.0), 0.0),
                1 => (Vector::new(0.0, dy), 0.0),
                2 => (diagonal, 0.0),
                3 => (Vector::new(diagonal.x, -diagonal.y), 0.0),
                _ => (Vector::default(), dt),
            };
            let from = *place;
            for sign in [1.0, -1.0] {
                let at = from.at + step * sign;
                let turned = from.turned.by(turn * sign);
                let cost = self.cost(pack, moving, turned, at, place.cost);
                if cost < place.cost {
                    *place = Candidate { turned, at, cost };
                }
            }
            let factor: f64 = if place.cost < from.cost { 1.1 } else { 0.5 };
            match axis {
                0 => dx *= factor,
                1 => dy *= factor,
                2 | 3 => {
                    dx *= factor.sqrt();
                    dy *= factor.sqrt();
                }
                _ => dt *= factor,
            }
        }
    }
}

fn lies_in(shape: &RotatedShape, at: Vector, frame: Bounds) -> bool {
    at.x + shape.bounds.min.x >= frame.min.x
        && at.x + shape.bounds.max.x <= frame.max.x
        && at.y + shape.bounds.min.y >= frame.min.y
        && at.y + shape.bounds.max.y <= frame.max.y
}

/// Puts a place among the best few, the best first, each of them once.
fn keep(best: &mut Vec<Candidate>, place: Candidate, near: f64) {
    let same = |other: &Candidate| {
        let apart = other.at - place.at;
        apart.dot(apart) < near * near && (other.turned.turn - place.turned.turn).abs() < SAME
    };
    if let Some(known) = best.iter().position(same) {
        if place.cost >= best[known].cost {
            return;
        }
        best.remove(known);
    }
    let rank = best.partition_point(|other| other.cost <= place.cost);
    best.insert(rank, place);
    best.truncate(KEPT);
}
