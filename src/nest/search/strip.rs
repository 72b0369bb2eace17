//! Shrinking the length that a set of shapes takes.
//!
//! In: a pack without overlap. Out: the same shapes on the shortest length found, the length being
//! along x from the left of the frame. First large steps: everything is pushed into a frame a little
//! shorter than the best and parted. If that fails, the step is halved, down to a least one; then two
//! large shapes of an earlier attempt swap places; and when that does not help either, half of the best
//! is thrown into disorder and all begins anew. Later small steps: a thin slice is taken out of the
//! best layout where chance has it.
//!
//! For the first half, shapes free to turn are only tried square to the frame: most lie best along its
//! sides or one another's, and with one thing less to try the search gets farther before they may turn.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

use super::super::clock::Phase;
use super::super::placed::PlacedShape;
use super::pack::Pack;
use super::perturb;
use super::press;
use super::seek::Seeker;
use super::separate::{Patience, Separation, State};
use crate::geometry::Bounds;

/// How much shorter than the best the next attempt is in the first part of the search: at the
/// beginning, and at least.
const SHRINK: (f64, f64) = (0.01, 0.001);
/// The part of the budget after which small slices are taken out.
const SLICING: f64 = 0.8;
/// Slices as a share of the length, at their beginning and at the end of the budget.
const SLICE: (f64, f64) = (0.000_5, 0.000_01);
/// The part of the budget in which shapes free to turn are only tried square to the frame.
const SQUARE: f64 = 0.5;
/// How much longer than the best the frame is in which all begins anew.
const LOOSE: f64 = 0.02;
/// Patience of attempts at a shorter frame, in a hurry at first, and with a slice taken out.
const SHRUNK: Patience = Patience {
    idle: 60,
    strikes: 3,
};
/// Patience while a failure only makes the next step shorter.
const HASTY: Patience = Patience {
    idle: 30,
    strikes: 2,
};
const SLICED: Patience = Patience {
    idle: 40,
    strikes: 5,
};
/// A layout within this share of the best is worth tightening.
const NEARLY: f64 = 0.01;
/// Work between two tightenings, as a multiple of what one takes.
const REST: u64 = 6;
/// Steps of tightening as a share of the length: the first, and the one to stop at.
const TIGHTENING: (f64, f64) = (0.002, 0.000_02);
/// What an attempt counts for beside the places it tries.
const ATTEMPT: u64 = 100;

/// A set of shapes on a length.
#[derive(Debug, Clone)]
pub(in crate::nest) struct Strip {
    pub(in crate::nest) placements: Vec<PlacedShape>,
    /// Length from the left of the frame, mm.
    pub(in crate::nest) length: f64,
}

/// The search of one worker.
#[derive(Debug, Clone)]
pub(in crate::nest) struct Shortening<'a> {
    pack: Pack<'a>,
    seeker: Seeker,
    /// Swaps it tries before it begins anew; with its seed, what tells it from the others.
    swaps: usize,
    /// The frame at full length.
    frame: Bounds,
    best: Strip,
    /// The shortest since it last began anew; `None` before the disorder is parted.
    current: Option<Strip>,
    /// Whether it has ever begun anew.
    astray: bool,
    attempt: Option<Attempt>,
    /// Arrangements that failed since the last success, least overlap first.
    failed: Vec<(f32, Vec<PlacedShape>)>,
    /// What the next attempt at a shorter frame starts from, and its length.
    next: Strip,
    /// Not to tighten before this many places were tried.
    tighten_after: u64,
    shrink: f64,
    slice: f64,
}

#[derive(Debug, Clone)]
struct Attempt {
    separation: Separation,
    length: f64,
    slicing: bool,
}

impl<'a> Shortening<'a> {
    /// A search that starts from the pack as it lies, which must be free of overlap.
    pub(in crate::nest) fn new(pack: Pack<'a>, seed: u64, swaps: usize) -> Self {
        let placements = pack.placements().to_vec();
        let best = Strip {
            length: length(&placements[..pack.movable()], pack.frame.min.x),
            placements,
        };
        Self {
            frame: pack.frame,
            seeker: Seeker::new(Pcg64Mcg::seed_from_u64(seed ^ ((swaps as u64) << 32))),
            swaps,
            next: shorter(&best, SHRINK.0),
            current: Some(best.clone()),
            astray: false,
            best,
            attempt: None,
            failed: Vec::new(),
            tighten_after: 0,
            shrink: SHRINK.0,
            slice: SLICE.0,
            pack,
        }
    }

    /// The shortest found.
    pub(in crate::nest) fn best(&self) -> &Strip {
        &self.best
    }

    /// How many places were tried.
    pub(in crate::nest) fn evaluations(&self) -> u64 {
        self.seeker.evaluations
    }

    /// Takes over a layout that another worker found, if it is shorter.
    pub(in crate::nest) fn take_over(&mut self, other: &Strip) {
        if other.length >= self.best.length {
            return;
        }
        self.best = other.clone();
        if self.astray {
            return;
        }
        self.current = Some(other.clone());
        let overtaken =
            |attempt: &Attempt| attempt.length > other.length * (1.0 - self.shrink / 2.0);
        if self.attempt.as_ref().is_none_or(overtaken) {
            self.attempt = None;
            self.failed.clear();
            self.next = shorter(other, self.shrink);
        }
    }

    /// Goes on for one pass over all shapes, as far as that goes in time.
    pub(in crate::nest) fn advance(&mut self, phase: &Phase) {
        let spent = phase.spent(self.seeker.evaluations);
        let slicing = spent >= SLICING;
        self.seeker.square = spent < SQUARE;
        let mut attempt = match self.attempt.take() {
            Some(attempt) if attempt.slicing == slicing => attempt,
            _ if slicing => self.slice((spent - SLICING) / (1.0 - SLICING)),
            _ => self.shrink(),
        };
        let state = attempt
            .separation
            .step(&mut self.pack, &mut self.seeker, phase);
        match state {
            State::Working => self.attempt = Some(attempt),
            State::Apart => self.succeed(phase),
            State::Stuck if slicing => {}
            State::Stuck => match &self.current {
                Some(current) if self.shrink > SHRINK.1 => {
                    self.shrink = (self.shrink / 2.0).max(SHRINK.1);
                    self.failed.clear();
                    self.next = shorter(current, self.shrink);
                }
                Some(_) if self.failed.len() < self.swaps => self.disrupt(&attempt.separation),
                _ => self.begin_anew(),
            },
        }
    }

    fn shrink(&mut self) -> Attempt {
        let frame = with_length(self.frame, self.next.length);
        let placements = self.next.placements.clone();
        let patience = if self.shrink > SHRINK.1 {
            HASTY
        } else {
            SHRUNK
        };
        self.attempt(placements, frame, patience, false)
    }

    /// Takes a slice out of the best; `progress` goes from 0 to 1.
    fn slice(&mut self, progress: f64) -> Attempt {
        let progress = progress.clamp(0.0, 1.0);
        self.slice = self
            .slice
            .min(SLICE.0 * (1.0 - progress) + SLICE.1 * progress);
        let by = self.best.length * self.slice;
        let frame = with_length(self.frame, self.best.length - by);
        let from = self.frame.min.x + self.best.length * self.seeker.random.random::<f64>();
        let mut placements = self.best.placements.clone();
        for placed in &mut placements[..self.pack.movable()] {
            if placed.at.x > from {
                placed.at.x -= by;
            }
        }
        self.attempt(placements, frame, SLICED, true)
    }

    fn attempt(
        &mut self,
        mut placements: Vec<PlacedShape>,
        frame: Bounds,
        patience: Patience,
        slicing: bool,
    ) -> Attempt {
        for placed in &mut placements[..self.pack.movable()] {
            placed.push_into(frame);
        }
        // Where nothing overlaps no place is tried; so that the budget ends, an attempt counts too.
        self.seeker.evaluations += ATTEMPT;
        self.pack.restore(&placements, frame);
        Attempt {
            separation: Separation::begin(&mut self.pack, &self.seeker, patience),
            length: frame.width(),
            slicing,
        }
    }

    fn succeed(&mut self, phase: &Phase) {
        let placements = self.pack.placements().to_vec();
        let mut found = Strip {
            length: self.length(&placements),
            placements,
        };
        self.failed.clear();
        self.next = shorter(&found, self.shrink);
        let near = found.length < self.best.length * (1.0 + NEARLY);
        if near && self.seeker.evaluations > self.tighten_after {
            let work = self.tighten(&mut found, phase);
            self.tighten_after = self.seeker.evaluations + work * REST;
        }
        if found.length < self.best.length {
            self.best = found.clone();
        }
        if self
            .current
            .as_ref()
            .is_none_or(|current| found.length < current.length)
        {
            self.current = Some(found);
        }
    }

    /// Starts anew from the best, a stretch of it in disorder.
    fn begin_anew(&mut self) {
        self.astray = true;
        self.shrink = SHRINK.0;
        self.failed.clear();
        self.current = None;
        let length = self.best.length * (1.0 + LOOSE);
        let frame = with_length(self.frame, length);
        let mut placements = self.best.placements.clone();
        let random = &mut self.seeker.random;
        perturb::disorder(&self.pack, &mut placements, self.best.length, frame, random);
        self.next = Strip { placements, length };
    }

    /// Starts anew from one of the arrangements that failed, two large shapes swapped.
    fn disrupt(&mut self, separation: &Separation) {
        let length = self.pack.frame.width();
        let loss = separation.least_loss();
        let rank = self.failed.partition_point(|(known, _)| *known <= loss);
        self.failed
            .insert(rank, (loss, separation.least().to_vec()));
        // Near the front more often: the middle of three even draws, folded at its peak.
        let draw: f64 = (0..3).map(|_| self.seeker.random.random::<f64>()).sum();
        let share = ((draw - 1.5) / 2.0).abs();
        let pick = ((share * self.failed.len() as f64) as usize).min(self.failed.len() - 1);
        let mut placements = self.failed[pick].1.clone();
        let frame = with_length(self.frame, length);
        perturb::swap_two_large(&self.pack, &mut placements, frame, &mut self.seeker.random);
        self.next = Strip { placements, length };
    }

    /// Shortens a layout by small moves of everything, as far as that goes; the work it took.
    fn tighten(&self, strip: &mut Strip, phase: &Phase) -> u64 {
        let mut work = 0;
        let mut step = TIGHTENING.0;
        let unit = self.frame.height();
        while step > TIGHTENING.1 && !phase.is_late() {
            let by = strip.length * step;
            let frame = with_length(self.frame, strip.length - by);
            let mut moved = strip.placements.clone();
            let effort = press::Effort::thorough(unit, by);
            if press::press(&self.pack, &mut moved, frame, effort, phase, &mut work) {
                strip.placements = moved;
                strip.length = self.length(&strip.placements);
                step *= 1.5;
            } else {
                step *= 0.4;
            }
        }
        work
    }

    fn length(&self, placements: &[PlacedShape]) -> f64 {
        length(&placements[..self.pack.movable()], self.frame.min.x)
    }
}

/// Where the next attempt at a strip shorter by this share starts.
fn shorter(strip: &Strip, by: f64) -> Strip {
    Strip {
        placements: strip.placements.clone(),
        length: strip.length * (1.0 - by),
    }
}

fn length(placements: &[PlacedShape], left: f64) -> f64 {
    placements
        .iter()
        .map(|placed| placed.bounds().max.x - left)
        .fold(0.0, f64::max)
}

fn with_length(frame: Bounds, length: f64) -> Bounds {
    let mut frame = frame;
    frame.max.x = frame.min.x + length;
    frame
}
