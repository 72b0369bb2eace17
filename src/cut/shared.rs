//! Straight edges of two plates of one kind that lie a kerf apart: cut once, for both.
//!
//! In: where plates lie that may share cuts. Out: for each that lies beside one that is cut before it, the run of
//! those of its edges that are left. It begins and ends in the slot of its neighbours, so it needs no pierce. A plate
//! comes loose with its own run, after its openings: until then an edge at least holds it. Only rectangles with
//! sharp corners share.

use rstar::RTree;
use rstar::primitives::GeomWithData;

use super::path::{CutPath, Placed, PreparedPlate, Reach, RunStart};
use crate::geometry::{Contour, Point, Segment, Turning, Vector};

/// A run begins so far before its first edge, in the slot of its neighbour, as a share of the kerf.
const BEFORE: f64 = 1.5;

/// A run goes on so far behind its last edge, as a share of the kerf, so that the corner is sharp.
const BEHIND: f64 = 1.0;

/// Edges whose middles lie so near to a kerf apart, mm, are one cut.
const NEAR: f64 = 1e-4;

/// Sides of a corner that are so nearly square, as a share, are square.
const SQUARE: f64 = 1e-9;

/// What a plate is cut with whose neighbours were cut before.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct SharedRun {
    /// The placements whose cuts are its edges too.
    pub(super) after: Vec<usize>,
    /// The run of the edges that are left, in plate coordinates.
    pub(super) path: CutPath,
}

/// The corners of a rectangle as the torch goes round it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corners([Point; 4]);

impl Corners {
    /// Of the outside of a plate, if it is a rectangle with sharp corners, cut in one run without loops.
    #[must_use]
    pub fn of(prepared: &PreparedPlate) -> Option<Self> {
        let path = prepared.paths.last()?;
        if path.opening.is_some() || path.reach != Reach::Whole || !path.loops.is_empty() {
            return None;
        }
        let along = Contour::new(path.around().to_vec())?;
        let nominal = path.nominal.with_sense(along.signed_area());
        let lines = nominal.segments().iter().map(|it| match it {
            Segment::Line { start, .. } => Some(*start),
            Segment::Arc { .. } => None,
        });
        let corners: Vec<Point> = lines.collect::<Option<_>>()?;
        let corners = Self(corners.try_into().ok()?);
        let is_square = |at: usize| {
            let (a, b) = (corners.side(at), corners.side(at + 1));
            a.dot(b).abs() <= SQUARE * a.length() * b.length()
        };
        (0..4).all(is_square).then_some(corners)
    }

    /// Where a side begins.
    #[must_use]
    pub fn corner(&self, at: usize) -> Point {
        self.0[at % 4]
    }

    /// From one end of a side to the other.
    #[must_use]
    pub fn side(&self, at: usize) -> Vector {
        self.corner(at + 1) - self.corner(at)
    }

    /// The unit vector from a side away from the plate.
    #[must_use]
    pub fn outward(&self, at: usize) -> Vector {
        -self.side(at + 1).unit().unwrap_or_default()
    }

    fn middle(&self, at: usize) -> Point {
        self.corner(at).lerp(self.corner(at + 1), 0.5)
    }

    /// The run along the sides that are left, if they follow one another.
    fn run(&self, is_cut: [bool; 4], kerf: f64, whole: &CutPath) -> Option<CutPath> {
        let first = (0..4).find(|at| !is_cut[*at] && is_cut[(at + 3) % 4])?;
        let count = (0..4).take_while(|by| !is_cut[(first + by) % 4]).count();
        if count + is_cut.iter().filter(|it| **it).count() != 4 {
            return None;
        }
        let half = kerf / 2.0;
        let beside = |at: usize, side: usize| self.corner(at) + self.outward(side) * half;
        let line = |start, end| Segment::Line { start, end };
        let ahead = |side: usize| self.side(side).unit().unwrap_or_default();
        let turning = Turning::of(self.side(0).cross(self.side(1)));
        let begin = beside(first, first);
        let mut segments = vec![line(begin - ahead(first) * (BEFORE * kerf), begin)];
        for side in first..first + count {
            let start = beside(side, side);
            if side > first {
                segments.push(Segment::Arc {
                    start: segments[segments.len() - 1].end(),
                    end: start,
                    centre: self.corner(side),
                    radius: half,
                    turning,
                });
            }
            segments.push(line(start, beside(side + 1, side)));
        }
        let last = first + count - 1;
        let end = segments[segments.len() - 1].end();
        segments.push(line(end, end + ahead(last) * (BEHIND * kerf)));
        Some(CutPath {
            segments,
            start: RunStart::Edge,
            lead_in: 1,
            tail: 1,
            reach: Reach::BesideCut,
            pierce_time: 0.0,
            ..whole.clone()
        })
    }
}

/// For each placement that lies beside one before it, what is left to cut of its outside.
pub(super) fn runs(
    placed: &[Placed],
    prepared: &[&PreparedPlate],
    kerf: f64,
) -> Vec<Option<SharedRun>> {
    let corners_of = |spot: &Placed| {
        let plate = prepared[spot.plate];
        plate.shares.then(|| Corners::of(plate)).flatten()
    };
    let corners: Vec<Option<Corners>> = placed.iter().map(corners_of).collect();
    let numbered = || {
        let all = placed.iter().zip(&corners).enumerate();
        all.filter_map(|(index, (spot, corners))| Some((index, spot, (*corners)?)))
    };
    let middles = numbered().flat_map(|(index, spot, corners)| {
        (0..4).map(move |side| {
            let at = spot.pose.point(corners.middle(side));
            GeomWithData::new([at.x, at.y], index)
        })
    });
    let middles = RTree::bulk_load(middles.collect());
    let mut runs = vec![None; placed.len()];
    for (index, spot, corners) in numbered() {
        let mut is_cut = [false; 4];
        let mut after = Vec::new();
        for (side, is_cut) in is_cut.iter_mut().enumerate() {
            let opposite = corners.middle(side) + corners.outward(side) * kerf;
            let at = spot.pose.point(opposite);
            let near = middles.locate_within_distance([at.x, at.y], NEAR * NEAR);
            let mut before = near
                .map(|it| it.data)
                .filter(|other| *other < index && placed[*other].plate == spot.plate);
            if let Some(other) = before.next() {
                *is_cut = true;
                after.push(other);
            }
        }
        let whole = prepared[spot.plate].paths.last();
        let path = whole.and_then(|whole| corners.run(is_cut, kerf, whole));
        runs[index] = path.map(|path| SharedRun { after, path });
    }
    runs
}
