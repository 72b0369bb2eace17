//! What the search knows of each different shape.

use std::f64::consts::TAU;
use std::sync::Arc;

use super::super::Rotation;
use super::super::polygon;
use super::super::prepared::PreparedPiece;
use super::super::rigid_shape::{RigidShape, RotatedShape};
use super::convex::Convex;
use crate::elementary;

/// Turns of a shape free to turn that are made ready: a quarter of them on, a shape lies square again.
pub(super) const READY: usize = 72;
/// Below this share of the larger diameter the depth measure goes soft.
const SOFT: f64 = 0.01;

/// A shape and the turns it may take.
#[derive(Debug)]
pub(in crate::nest) struct SearchShape {
    pub(in crate::nest) shape: Arc<RigidShape>,
    pub(in crate::nest) turns: Turns,
    /// Fourth root of the hull's area: overlaps of large shapes count more.
    pub(in crate::nest) bulk: f32,
    /// Depth, mm, below which an overlap counts softly.
    pub(in crate::nest) soft: f32,
    /// The shorter side of the box around it, mm.
    pub(in crate::nest) size: f64,
}

/// Turns of a shape.
#[derive(Debug)]
pub(in crate::nest) enum Turns {
    /// Any angle; [`READY`] are made ready, evenly spread and the first with its longest side along x.
    Free(Vec<Arc<RotatedShape>>),
    /// These, made ready.
    Steps(Vec<Step>),
}

/// A shape at one of its turns.
#[derive(Debug)]
pub(in crate::nest) struct Step {
    pub(in crate::nest) rotated: Arc<RotatedShape>,
    pub(super) parts: Arc<Vec<Convex>>,
}

impl Turns {
    fn free(shape: &RigidShape) -> Self {
        let flat = shape.flats.first().copied().unwrap_or(0.0);
        let turn = |k: usize| k as f64 / READY as f64 * TAU - flat;
        let ready = (0..READY).map(|k| Arc::new(shape.turned_with_discs(turn(k))));
        Self::Free(ready.collect())
    }

    fn of(shape: &RigidShape, steps: &[f64]) -> Self {
        let step = |turn: &f64| Step {
            rotated: Arc::new(shape.turned_with_discs(*turn)),
            parts: Arc::new(Convex::all(shape, *turn)),
        };
        Self::Steps(steps.iter().map(step).collect())
    }
}

impl SearchShape {
    pub(in crate::nest) fn new(item: &PreparedPiece) -> Self {
        let shape = Arc::clone(&item.shape);
        let upright = shape.turned(0.0);
        Self {
            bulk: elementary::powf(shape.hull_area, 0.25) as f32,
            soft: (shape.diameter * SOFT) as f32,
            size: upright.bounds.width().min(upright.bounds.height()),
            turns: match &item.rotation {
                Rotation::Free if shape.is_disc() => Turns::of(&shape, &[0.0]),
                Rotation::Free => Turns::free(&shape),
                Rotation::Steps(steps) => Turns::of(&shape, steps),
            },
            shape,
        }
    }

    /// The shortest length that a copy takes, mm, at whichever of its turns.
    pub(super) fn least_length(&self) -> f64 {
        match &self.turns {
            Turns::Free(_) => polygon::least_width(self.shape.hull()),
            Turns::Steps(steps) => {
                let widths = steps.iter().map(|step| step.rotated.bounds.width());
                widths.fold(f64::INFINITY, f64::min)
            }
        }
    }

    /// The shape at a turn; one of the steps if it has steps.
    pub(in crate::nest) fn rotated(&self, turn: f64) -> Arc<RotatedShape> {
        match &self.turns {
            Turns::Free(_) => Arc::new(self.shape.turned_with_discs(turn)),
            Turns::Steps(steps) => steps
                .iter()
                .map(|step| &step.rotated)
                .min_by(|a, b| (a.turn - turn).abs().total_cmp(&(b.turn - turn).abs()))
                .map_or_else(|| Arc::new(self.shape.turned_with_discs(turn)), Arc::clone),
        }
    }

    /// The turn of one of the forms made ready, radians.
    pub(in crate::nest) fn ready_turn(&self, k: usize) -> f64 {
        match &self.turns {
            Turns::Free(ready) => ready[k].turn,
            Turns::Steps(steps) => steps[k].rotated.turn,
        }
    }

    /// Which of the steps a rotated shape is.
    pub(in crate::nest) fn step_of(&self, rotated: &Arc<RotatedShape>) -> Option<usize> {
        match &self.turns {
            Turns::Free(_) => None,
            Turns::Steps(steps) => steps
                .iter()
                .position(|step| Arc::ptr_eq(&step.rotated, rotated)),
        }
    }
}
