//! Where everything lies.

use std::collections::HashMap;

use super::sheet::{OrientedPieces, Sheet};
use super::{Along, Piece, Stock, polygon};
use crate::cut::Placed;
use crate::geometry::Pose;

/// One copy of a piece on a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// The piece, by [`Piece::index`].
    pub piece: usize,
    /// Which copy, from 0.
    pub copy: u32,
    /// Turn and move from the piece's own coordinates to the sheet's; never mirrored.
    pub pose: Pose,
    /// The placement (index on the same sheet) whose window it sits in.
    pub inside: Option<usize>,
}

impl Placement {
    /// It as the torch knows it.
    #[must_use]
    pub const fn placed(&self) -> Placed {
        Placed {
            plate: self.piece,
            pose: self.pose,
            inside: self.inside,
        }
    }
}

/// One sheet used.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetLayout {
    /// Index of the stock line.
    pub stock: usize,
    /// The side that it is used up along: most is left beyond.
    pub along: Along,
    /// What lies on it.
    pub placements: Vec<Placement>,
}

impl SheetLayout {
    /// How far the pieces reach along the side that the sheet is used up along, from the left or from
    /// below, mm.
    #[must_use]
    pub fn length(&self, pieces: &[Piece], stock: &[Stock]) -> f64 {
        let (along, usable) = (self.along, &stock[self.stock].usable);
        let begin = along.of(polygon::bounds(usable).min);
        let pieces = by_index(pieces);
        self.placements.iter().fold(0.0, |length, placement| {
            let outline = pieces[&placement.piece].outline.iter();
            let reach = outline.map(|p| along.of(placement.pose.point(*p)) - begin);
            reach.fold(length, f64::max)
        })
    }
}

/// The pieces by what their caller knows them by.
pub(super) fn by_index(pieces: &[Piece]) -> HashMap<usize, &Piece> {
    pieces.iter().map(|it| (it.index, it)).collect()
}

/// All sheets used, and what found no room.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Layout {
    /// Sheets in the order to cut.
    pub sheets: Vec<SheetLayout>,
    /// `(the piece by its index, how many copies)` that fit nowhere.
    pub unplaced: Vec<(usize, u32)>,
}

/// The layout of sheets that were filled; what is not on them is unplaced.
pub(super) fn of(sheets: &[Sheet], oriented: &OrientedPieces, pieces: &[Piece]) -> Layout {
    let mut next = vec![0; pieces.len()];
    let mut number = |mut placement: Placement| {
        placement.copy = next[placement.piece];
        next[placement.piece] += 1;
        placement.piece = pieces[placement.piece].index;
        placement
    };
    let sheets = sheets
        .iter()
        .map(|sheet| SheetLayout {
            stock: sheet.stock,
            along: sheet.along,
            placements: sheet
                .placements(oriented, pieces)
                .into_iter()
                .map(&mut number)
                .collect(),
        })
        .collect();
    let waiting = pieces.iter().zip(next);
    Layout {
        sheets,
        unplaced: waiting
            .map(|(piece, placed)| (piece.index, piece.quantity - placed))
            .filter(|(_, copies)| *copies > 0)
            .collect(),
    }
}
