//! Where everything lies.

use super::sheet::{Cast, Sheet};
use super::view::View;
use super::{Piece, Stock, polygon};
use crate::geometry::Pose;

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
    /// How far the pieces reach along the longer side of the usable area, from the left or from
    /// below, mm.
    #[must_use]
    pub fn length(&self, pieces: &[Piece], stock: &[Stock]) -> f64 {
        let usable = &stock[self.stock].usable;
        let view = View::of(usable);
        let left = polygon::bounds(&view.polygon(usable)).min.x;
        self.placements.iter().fold(0.0, |length, placement| {
            let outline = pieces[placement.piece].outline.iter();
            let lying: Vec<_> = outline.map(|p| placement.pose.point(*p)).collect();
            let right = polygon::bounds(&view.polygon(&lying)).max.x;
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

/// The layout of sheets that were filled; what is not on them is unplaced.
pub(super) fn of(sheets: &[Sheet], cast: &Cast, pieces: &[Piece]) -> Layout {
    let mut next = vec![0; pieces.len()];
    let mut number = |mut placement: Placement| {
        placement.copy = next[placement.piece];
        next[placement.piece] += 1;
        placement
    };
    let sheets = sheets
        .iter()
        .map(|sheet| SheetLayout {
            stock: sheet.stock,
            placements: sheet
                .placements(cast, pieces)
                .into_iter()
                .map(&mut number)
                .collect(),
        })
        .collect();
    let waiting = pieces.iter().zip(next).enumerate();
    Layout {
        sheets,
        unplaced: waiting
            .map(|(index, (piece, placed))| (index, piece.quantity - placed))
            .filter(|(_, copies)| *copies > 0)
            .collect(),
    }
}
