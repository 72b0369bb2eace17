//! The best place for one shape among the others.
//!
//! In: a pack and one of its shapes. Out: the shape put where it overlaps less, if such a place was
//! found. Places are tried at random, near and anywhere; from the best few the search walks downhill
//! by steps that shrink.

use rand::RngExt;
use rand_pcg::Pcg64Mcg;

use super::super::shape::Oriented;
use super::kind::{Kind, Turns};
use super::pack::{Lie, Pack};
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

/// A place for a shape: one of its steps or a turn, and where its centre lies.
#[derive(Debug, Clone, Copy)]
struct Place {
    step: usize,
    turn: f64,
    at: Vector,
    cost: f32,
}

/// Looks for places; keeps its own random numbers and room for work.
#[derive(Debug, Clone)]
pub(super) struct Seeker {
    pub(super) random: Pcg64Mcg,
    /// How many places were tried.
    pub(super) evaluations: u64,
    form: Oriented,
    /// The turn that `form` is at; for the shape being moved only.
    form_at: Option<f64>,
    /// Whether `form` has its edges, or is only a sketch.
    complete: bool,
}

impl Seeker {
    pub(super) fn new(random: Pcg64Mcg) -> Self {
        Self {
            random,
            evaluations: 0,
            form: Oriented::default(),
            form_at: None,
            complete: false,
        }
    }

    /// Looks for a better place for shape `i` and puts it there.
    pub(super) fn improve(&mut self, pack: &mut Pack, i: usize) {
        self.form_at = None;
        let lie = pack.lies()[i].clone();
        let kind = pack.kind_of(i);
        let mut here = Place {
            step: kind.step_of(&lie.form).unwrap_or(0),
            turn: lie.form.turn,
            at: lie.at,
            cost: f32::INFINITY,
        };
        here.cost = pack.cost(i, &lie.form, lie.at, f32::INFINITY);
        let mut best = vec![here];
        self.sample(pack, i, here, lie.form.bounds, &mut best);
        let mut winner = here;
        for mut place in best {
            self.walk(pack, i, &mut place, &COARSE);
            if place.cost < winner.cost {
                winner = place;
            }
        }
        self.walk(pack, i, &mut winner, &FINE);
        if winner.cost < here.cost {
            let form = match &kind.turns {
                Turns::Steps(steps) => std::sync::Arc::clone(&steps[winner.step].form),
                Turns::Free => kind.form(winner.turn),
            };
            pack.lay(
                i,
                Lie {
                    form,
                    at: winner.at,
                },
            );
        }
    }

    /// Tries places near and anywhere and keeps the best few.
    fn sample(
        &mut self,
        pack: &Pack,
        i: usize,
        here: Place,
        box_now: Bounds,
        best: &mut Vec<Place>,
    ) {
        let size = pack.kind_of(i).size;
        for k in 0..ANYWHERE + NEAR {
            let close = k < NEAR;
            let (step, turn) = self.pick_turn(pack, i, here, close);
            let bounds = self.bounds(pack.kind_of(i), step, turn);
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
            let cost = self.cost(pack, i, step, turn, at, bound);
            if cost < bound {
                let place = Place {
                    step,
                    turn,
                    at,
                    cost,
                };
                keep(best, place, size * SAME);
            }
        }
    }

    fn pick_turn(&mut self, pack: &Pack, i: usize, here: Place, close: bool) -> (usize, f64) {
        match &pack.kind_of(i).turns {
            Turns::Steps(_) if close && self.random.random::<f32>() < UNTURNED => {
                (here.step, here.turn)
            }
            Turns::Steps(steps) => {
                let step = self.random.random_range(0..steps.len());
                (step, steps[step].form.turn)
            }
            Turns::Free if close => {
                let spread = self.random.random::<f64>() + self.random.random::<f64>() - 1.0;
                (0, here.turn + spread * SPREAD)
            }
            Turns::Free => (0, self.random.random::<f64>() * std::f64::consts::TAU),
        }
    }

    /// The box around the shape at a step or turn.
    fn bounds(&mut self, kind: &Kind, step: usize, turn: f64) -> Bounds {
        match &kind.turns {
            Turns::Steps(steps) => steps[step].form.bounds,
            Turns::Free => {
                self.sketch(kind, turn);
                self.form.bounds
            }
        }
    }

    fn sketch(&mut self, kind: &Kind, turn: f64) {
        if self.form_at != Some(turn) {
            kind.shape.sketch_into(turn, &mut self.form);
            self.form_at = Some(turn);
            self.complete = false;
        }
    }

    fn cost(
        &mut self,
        pack: &Pack,
        i: usize,
        step: usize,
        turn: f64,
        at: Vector,
        bound: f32,
    ) -> f32 {
        self.evaluations += 1;
        let kind = pack.kind_of(i);
        if let Turns::Steps(steps) = &kind.turns {
            let form = &steps[step].form;
            return if lies_in(form, at, pack.frame) {
                pack.cost(i, form, at, bound)
            } else {
                f32::INFINITY
            };
        }
        self.sketch(kind, turn);
        if !lies_in(&self.form, at, pack.frame) {
            return f32::INFINITY;
        }
        if !self.complete {
            let sure = pack.sure_cost(i, &self.form, at, bound);
            if sure > bound {
                return sure;
            }
            kind.shape.complete(&mut self.form);
            self.complete = true;
        }
        pack.cost(i, &self.form, at, bound)
    }

    /// Steps along the axes, the diagonals and the turn, as long as that is better.
    fn walk(&mut self, pack: &Pack, i: usize, place: &mut Place, stride: &Stride) {
        let kind = pack.kind_of(i);
        let axes = if matches!(kind.turns, Turns::Free) {
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
                let turn = from.turn + turn * sign;
                let cost = self.cost(pack, i, from.step, turn, at, place.cost);
                if cost < place.cost {
                    *place = Place {
                        step: from.step,
                        turn,
                        at,
                        cost,
                    };
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

fn lies_in(form: &Oriented, at: Vector, frame: Bounds) -> bool {
    at.x + form.bounds.min.x >= frame.min.x
        && at.x + form.bounds.max.x <= frame.max.x
        && at.y + form.bounds.min.y >= frame.min.y
        && at.y + form.bounds.max.y <= frame.max.y
}

/// Puts a place among the best few, the best first, each of them once.
fn keep(best: &mut Vec<Place>, place: Place, near: f64) {
    let same = |other: &Place| {
        let apart = other.at - place.at;
        other.step == place.step
            && apart.dot(apart) < near * near
            && (other.turn - place.turn).abs() < SAME
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
