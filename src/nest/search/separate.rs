//! Parting shapes that overlap.
//!
//! In: a pack. Out: whether everything came apart; if not, the arrangement with the least overlap.
//! Guided local search: each shape that overlaps is put where it does less, and pairs that keep
//! overlapping weigh more and more, until one of the two goes elsewhere.

use rand::seq::SliceRandom;

use super::super::clock::Phase;
use super::super::placed::PlacedShape;
use super::pack::Pack;
use super::press;
use super::seek::Seeker;

/// An overlap this much smaller counts as progress.
const PROGRESS: f32 = 0.98;
/// Share of the work that may go into small moves of all shapes at once.
const PRESSED: f64 = 0.1;
/// An arrangement is pressed if it overlaps less than any before; that mark rises by this factor
/// with every pass.
const FORGIVING: f32 = 1.02;

/// How patient a separation is.
#[derive(Debug, Clone, Copy)]
pub(in crate::nest) struct Patience {
    /// Passes without progress until it starts over from the least overlap so far.
    pub(super) idle: usize,
    /// Starts without progress until it gives up.
    pub(super) strikes: usize,
}

/// Where a separation stands after a pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum State {
    /// Nothing overlaps.
    Apart,
    /// It goes on.
    Working,
    /// It has given up.
    Stuck,
}

/// A separation under way; it can be left and taken up again between two passes.
#[derive(Debug, Clone)]
pub(super) struct Separation {
    patience: Patience,
    least: Vec<PlacedShape>,
    least_loss: f32,
    /// Overlap at the last start.
    start: f32,
    idle: usize,
    strikes: usize,
    /// Places tried before it began.
    before: u64,
    pressed: u64,
    /// Overlap below which pressing is worth a try.
    mark: f32,
}

impl Separation {
    /// Begins with the pack as it is, all pairs counting the same.
    pub(super) fn begin(pack: &mut Pack, seeker: &Seeker, patience: Patience) -> Self {
        pack.forget();
        let loss = pack.total();
        Self {
            patience,
            least: pack.placements().to_vec(),
            least_loss: loss,
            start: loss,
            idle: 0,
            strikes: 0,
            before: seeker.evaluations,
            pressed: 0,
            mark: f32::INFINITY,
        }
    }

    /// The least overlap found, all pairs counting the same.
    pub(super) fn least_loss(&self) -> f32 {
        self.least_loss
    }

    /// The arrangement with the least overlap found.
    pub(super) fn least(&self) -> &[PlacedShape] {
        &self.least
    }

    /// One pass over all shapes; it ends early when the phase does.
    pub(super) fn step(&mut self, pack: &mut Pack, seeker: &mut Seeker, phase: &Phase) -> State {
        let total = pass(pack, seeker, phase);
        if total == 0.0 {
            return State::Apart;
        }
        if total < self.least_loss * PROGRESS {
            self.idle = 0;
        } else {
            self.idle += 1;
        }
        if total < self.least_loss {
            self.least_loss = total;
            self.least.clear();
            self.least.extend_from_slice(pack.placements());
        }
        if self.presses_apart(pack, seeker, phase, total) {
            return State::Apart;
        }
        pack.reweigh();
        if self.idle < self.patience.idle {
            return State::Working;
        }
        self.start_over(pack)
    }

    fn presses_apart(
        &mut self,
        pack: &mut Pack,
        seeker: &Seeker,
        phase: &Phase,
        total: f32,
    ) -> bool {
        let spare = (seeker.evaluations - self.before) as f64 * PRESSED;
        let worth = total < self.mark && (self.pressed as f64) < spare;
        if worth {
            self.mark = total;
            let unit = pack.frame.width().min(pack.frame.height());
            let mut moved = pack.placements().to_vec();
            let effort = press::Effort::light(unit);
            let pressed = &mut self.pressed;
            if press::press(pack, &mut moved, pack.frame, effort, phase, pressed) {
                pack.restore(&moved, pack.frame);
                return true;
            }
        }
        self.mark *= FORGIVING;
        false
    }

    fn start_over(&mut self, pack: &mut Pack) -> State {
        if self.least_loss < self.start * PROGRESS {
            self.strikes = 0;
        } else {
            self.strikes += 1;
        }
        pack.restore(&self.least, pack.frame);
        self.start = pack.total();
        self.idle = 0;
        if self.strikes < self.patience.strikes {
            State::Working
        } else {
            State::Stuck
        }
    }
}

/// Moves every shape that overlaps once, in random order; the overlap left.
fn pass(pack: &mut Pack, seeker: &mut Seeker, phase: &Phase) -> f32 {
    let mut order: Vec<usize> = (0..pack.movable())
        .filter(|i| pack.loss(*i) > 0.0)
        .collect();
    order.shuffle(&mut seeker.random);
    for i in order {
        if phase.is_late() {
            break;
        }
        if pack.loss(i) > 0.0 {
            seeker.improve(pack, i);
        }
    }
    pack.total()
}
