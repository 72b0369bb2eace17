//! Where everything lies.

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

/// All sheets used, and what found no room.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Layout {
    /// Sheets in the order to cut.
    pub sheets: Vec<SheetLayout>,
    /// `(index of the piece, how many copies)` that fit nowhere.
    pub unplaced: Vec<(usize, u32)>,
}
