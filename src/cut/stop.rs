//! What a tour goes through: torch runs as stops, and what is asked of the way between them.

use crate::geometry::Point;
use crate::recipe::CutOrder;

/// How much dearer a move too short for the heat to spread is, for each mm that it lacks.
const HEAT: f64 = 10.0;

/// One torch run as a stop of the tour.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Stop {
    /// Where it is entered: the pierce.
    pub(super) entry: Point,
    /// Where it is left.
    pub(super) exit: Point,
    /// The stops that must come before it, in rising order.
    pub(super) after: Vec<usize>,
    /// The plate it belongs to; all but one of a plate's stops come before that one.
    pub(super) plate: usize,
}

impl Stop {
    /// Whether another stop must come before it.
    pub(super) fn waits_for(&self, other: usize) -> bool {
        self.after.binary_search(&other).is_ok()
    }
}

/// What is asked of a tour beside being short.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Wishes {
    /// Where it starts.
    pub(super) home: Point,
    /// The least distance between the end of a run and the next pierce that is wished for, mm, so that
    /// the heat of one does not add to that of the other.
    pub(super) spread: f64,
    /// Whether the stops of a plate are to be together.
    pub(super) law: CutOrder,
}

impl Wishes {
    /// What a rapid move of some mm costs.
    pub(super) fn cost(&self, mm: f64) -> f64 {
        mm + HEAT * (self.spread - mm).max(0.0)
    }
}
