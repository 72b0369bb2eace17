//! Where everything lies.

use super::{Piece, Stock};
use crate::geometry::{Point, Pose};

/// One copy of a piece on a sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Placement {
    /// Index of the piece.
    pub piece: usize,
    /// Which copy, from 0.
    pub copy: u32,
    /// Turn and move from the piece's own coordinates to the sheet's; never mirrored.
    pub pose: Pose,
    /// The placement (index on the same sheet) whose window it sits in.
    pub inside: Option<usize>,
}

/// One sheet used.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetLayout {
    /// Index of the stock line.
    pub stock: usize,
    /// What lies on it.
    pub placements: Vec<Placement>,
}

impl SheetLayout {
    /// How far along x the pieces reach from the left end of the usable area, mm.
    #[must_use]
    pub fn length(&self, pieces: &[Piece], stock: &[Stock]) -> f64 {
        let xs = |points: &[Point], pose: &Pose, pick: fn(f64, f64) -> f64, from| {
            points.iter().map(|p| pose.point(*p).x).fold(from, pick)
        };
        let left = xs(
            &stock[self.stock].usable,
            &Pose::IDENTITY,
            f64::min,
            f64::INFINITY,
        );
        self.placements.iter().fold(0.0, |length, placement| {
            let right = xs(
                &pieces[placement.piece].outline,
                &placement.pose,
                f64::max,
                f64::NEG_INFINITY,
            );
            f64::max(length, right - left)
        })
    }
}

/// All sheets used, and what found no room.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Layout {
    /// Sheets in the order to cut.
    pub sheets: Vec<SheetLayout>,
    /// `(index of the piece, how many copies)` that fit nowhere.
    pub unplaced: Vec<(usize, u32)>,
}
