//! Placing pieces on sheets.
//!
//! In: pieces with quantities ([`Piece`]) and stock ([`Stock`]). Out: a [`Layout`]: poses for every
//! copy that fits, the rest listed as unplaced. The search never sees plates or jobs; it works on
//! polygons that were flattened outward, so that nothing is under-estimated.

pub mod layout;
pub mod piece;
pub mod stock;

pub use layout::{Layout, Placement, SheetLayout};
pub use piece::{Piece, Polygon, Rotation};
pub use stock::Stock;

/// How long and how the search runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Budget {
    /// Same seed and iterations, same bytes.
    pub seed: u64,
    /// How many steps the search takes; the constructive start counts as none.
    pub iterations: u64,
    /// Stop after this many seconds even if iterations are left.
    pub seconds: Option<f64>,
}
