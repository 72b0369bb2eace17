//! Shapes in a frame that may overlap, and how much they do.
//!
//! In: kinds, where each shape lies, and moves. Out: the overlap of every pair, kept up to date, and
//! what it would be if one shape lay elsewhere. Pairs have weights that grow while they overlap.

use super::super::clash;
use super::super::placed::{PlacedRef, PlacedShape};
use super::super::rigid_shape::RotatedShape;
use super::reach::{Reach, Reaches};
use super::shape::SearchShape;
use crate::geometry::{Bounds, Vector};

impl PlacedShape {
    /// Moves it into a frame; to the lower left where it is larger than that.
    pub(super) fn push_into(&mut self, frame: Bounds) {
        let low = frame.min - self.shape.bounds.min;
        let high = frame.max - self.shape.bounds.max;
        self.at = Vector::new(
            self.at.x.min(high.x).max(low.x),
            self.at.y.min(high.y).max(low.y),
        );
    }
}

/// The shapes and their overlaps. Those that may move come first, then what is fixed: the corners of
/// the room that are no metal, and spots to avoid.
#[derive(Debug, Clone)]
pub(in crate::nest) struct Pack<'a> {
    /// The kind of each shape.
    kinds: Vec<&'a SearchShape>,
    movable: usize,
    /// What all shapes that move must lie in.
    pub(in crate::nest) frame: Bounds,
    placements: Vec<PlacedShape>,
    reaches: Reaches,
    /// Square tables, row by row.
    weights: Vec<f32>,
    losses: Vec<f32>,
}

/// How much weights grow while a pair overlaps, at least and at most, and how fast they fade after.
const GROW: (f32, f32) = (1.2, 2.0);
const FADE: f32 = 0.95;

impl<'a> Pack<'a> {
    /// Shapes that may move, and fixed ones, each with its kind.
    pub(in crate::nest) fn new(
        moving: Vec<(&'a SearchShape, PlacedShape)>,
        fixed: Vec<(&'a SearchShape, PlacedShape)>,
        frame: Bounds,
    ) -> Self {
        let movable = moving.len();
        let n = movable + fixed.len();
        let (kinds, placements): (Vec<_>, Vec<_>) = moving.into_iter().chain(fixed).unzip();
        let mut pack = Self {
            kinds,
            movable,
            frame,
            reaches: Reaches::of_none(n),
            placements,
            weights: vec![1.0; n * n],
            losses: vec![0.0; n * n],
        };
        pack.measure_all();
        pack
    }

    fn len(&self) -> usize {
        self.placements.len()
    }

    /// How many shapes may move; the others come after them.
    pub(in crate::nest) fn movable(&self) -> usize {
        self.movable
    }

    /// No layout is shorter than this, mm: one of the shapes takes that much by itself.
    pub(super) fn least_length(&self) -> f64 {
        let mut known: Vec<*const SearchShape> = Vec::new();
        let mut least: f64 = 0.0;
        for kind in &self.kinds[..self.movable] {
            if !known.contains(&std::ptr::from_ref(*kind)) {
                known.push(*kind);
                least = least.max(kind.least_length());
            }
        }
        least
    }

    pub(in crate::nest) fn placements(&self) -> &[PlacedShape] {
        &self.placements
    }

    pub(in crate::nest) fn shape_of(&self, i: usize) -> &'a SearchShape {
        self.kinds[i]
    }

    /// Puts everything elsewhere, in another frame.
    pub(in crate::nest) fn restore(&mut self, placements: &[PlacedShape], frame: Bounds) {
        self.frame = frame;
        self.placements.clear();
        self.placements.extend_from_slice(placements);
        self.measure_all();
    }

    /// Puts shape `i` elsewhere.
    pub(in crate::nest) fn lay(&mut self, i: usize, placed: PlacedShape) {
        self.placements[i] = placed;
        let n = self.len();
        for j in 0..n {
            self.set_loss(i, j, 0.0);
        }
        self.measure_beside(i, |j| j != i);
    }

    fn measure_all(&mut self) {
        self.losses.fill(0.0);
        for i in 0..self.len() {
            let movable = self.movable;
            self.measure_beside(i, |j| j < i.min(movable));
        }
    }

    /// Measures shape `i` with those others that it may meet.
    fn measure_beside(&mut self, i: usize, others: impl Fn(usize) -> bool) {
        let placed = &self.placements[i];
        let reach = Reach::new(&placed.shape, placed.at);
        self.reaches.set(i, &reach);
        let near = self.reaches.meeting(&reach).filter(|j| others(*j));
        for j in near.collect::<Vec<_>>() {
            self.measure(i, j);
        }
    }

    fn set_loss(&mut self, i: usize, j: usize, loss: f32) {
        let n = self.len();
        self.losses[i * n + j] = loss;
        self.losses[j * n + i] = loss;
    }

    fn measure(&mut self, i: usize, j: usize) {
        let (a, b) = (&self.placements[i], &self.placements[j]);
        let loss = if clash::overlap(a.borrowed(), b.borrowed()) {
            let (p, q) = (self.shape_of(i), self.shape_of(j));
            let soft = p.soft.max(q.soft);
            let offset = a.at - b.at;
            let sum = a
                .shape
                .discs
                .depth(&b.shape.discs, offset, soft, f32::INFINITY);
            (sum + soft * soft).sqrt() * p.bulk * q.bulk
        } else {
            0.0
        };
        self.set_loss(i, j, loss);
    }

    /// Overlap of all pairs, unweighted; 0 only if nothing overlaps.
    pub(in crate::nest) fn total(&self) -> f32 {
        self.losses.iter().sum::<f32>() / 2.0
    }

    /// Overlap of one shape with all others, unweighted.
    pub(in crate::nest) fn loss(&self, i: usize) -> f32 {
        let n = self.len();
        self.losses[i * n..(i + 1) * n].iter().sum()
    }

    /// Weighted overlap that shape `i` would have elsewhere; once it is beyond `bound`, anything
    /// beyond.
    pub(in crate::nest) fn cost(
        &self,
        i: usize,
        rotated: &RotatedShape,
        at: Vector,
        bound: f32,
    ) -> f32 {
        let laid = PlacedRef { shape: rotated, at };
        self.summed(i, laid, bound, |other| {
            clash::overlap(laid, other.borrowed())
        })
    }

    /// Like [`Pack::cost`] for a shape without edges, and never more: only pairs that overlap beyond
    /// doubt count.
    pub(in crate::nest) fn sure_cost(
        &self,
        i: usize,
        rotated: &RotatedShape,
        at: Vector,
        bound: f32,
    ) -> f32 {
        let laid = PlacedRef { shape: rotated, at };
        self.summed(i, laid, bound, |other| {
            rotated
                .discs
                .largest_meet(&other.shape.discs, laid.at - other.at)
        })
    }

    fn summed(
        &self,
        i: usize,
        laid: PlacedRef,
        bound: f32,
        overlaps: impl Fn(&PlacedShape) -> bool,
    ) -> f32 {
        let n = self.len();
        let kind = self.shape_of(i);
        let here = Reach::new(laid.shape, laid.at);
        let weights = &self.weights[i * n..(i + 1) * n];
        let mut cost = 0.0;
        for j in self.reaches.meeting(&here).filter(|j| *j != i) {
            let other = &self.placements[j];
            if !overlaps(other) {
                continue;
            }
            let other_kind = self.shape_of(j);
            let soft = kind.soft.max(other_kind.soft);
            let scale = kind.bulk * other_kind.bulk * weights[j];
            let room = (bound - cost) / scale;
            let limit = room * room - soft * soft;
            let discs = &laid.shape.discs;
            let sum = discs.depth(&other.shape.discs, laid.at - other.at, soft, limit);
            cost += (sum + soft * soft).sqrt() * scale;
            if cost > bound {
                return cost;
            }
        }
        cost
    }

    /// Raises the weights of pairs that overlap, the more the deeper, and lets the others fade.
    pub(in crate::nest) fn reweigh(&mut self) {
        let worst = self.losses.iter().copied().fold(0.0, f32::max);
        if worst <= 0.0 {
            return;
        }
        for (weight, loss) in self.weights.iter_mut().zip(&self.losses) {
            *weight = if *loss > 0.0 {
                *weight * (GROW.0 + (GROW.1 - GROW.0) * loss / worst)
            } else {
                (*weight * FADE).max(1.0)
            };
        }
    }

    /// Makes all pairs count the same again.
    pub(in crate::nest) fn forget(&mut self) {
        self.weights.fill(1.0);
    }
}
