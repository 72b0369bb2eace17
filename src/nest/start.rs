//! The first layout: windows filled, then one sheet after another.
//!
//! In: pieces, stock and how much trouble the windows are worth. Out: sheets as the constructive start
//! filled them ([`Started`]).

use super::clock::Clock;
use super::prepared::PreparedPiece;
use super::sheet::{OrientedPieces, Queue, Sheet};
use super::windows::Effort;
use super::{Piece, Stock, allot, assembly, windows};

/// What a layout is begun with.
pub(super) struct Start<'a> {
    pub(super) pieces: &'a [Piece],
    pub(super) items: &'a [Option<PreparedPiece>],
    pub(super) stock: &'a [Stock],
    pub(super) seed: u64,
    pub(super) clock: &'a Clock,
    /// Whether copies of one piece may be laid in rows.
    pub(super) in_rows: bool,
}

/// Sheets as the constructive start filled them, and copies of each assembly that have no place.
pub(super) struct Started {
    pub(super) oriented: OrientedPieces,
    pub(super) sheets: Vec<Sheet>,
    pub(super) queue: Queue,
}

impl Start<'_> {
    /// Fills the windows and then the sheets; what would find no place because of what is in its
    /// windows goes without.
    pub(super) fn with(&self, effort: &Effort, beat: &mut dyn FnMut()) -> Started {
        let mut assemblies = windows::loaded(self.pieces, self.items, self.seed, effort, beat);
        let time = self.clock.phase(1.0);
        loop {
            let oriented = OrientedPieces::new(assemblies, self.items);
            let (mut sheets, mut queue) = allot::first(&oriented, self.stock, self.seed, &time);
            if self.in_rows && oriented.assemblies.len() == 1 && !time.is_late() {
                let rows = allot::in_rows(&oriented, self.stock, self.seed, &time);
                if rows.1 < queue {
                    (sheets, queue) = rows;
                }
            }
            match assembly::taken_apart(&oriented.assemblies, &queue, self.pieces) {
                Some(unloaded) => assemblies = unloaded,
                None => {
                    return Started {
                        oriented,
                        sheets,
                        queue,
                    };
                }
            }
        }
    }
}
