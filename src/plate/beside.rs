//! What a plate says of itself beside its metal, for those who draw it.

use super::Datum;
use crate::geometry::{Point, Region};

/// What drawings and pictures of a plate show beside its edges.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Beside {
    /// Where its places are measured from, if its recipe says.
    pub datum: Option<Datum>,
    /// Sizes that its drawing must show.
    pub sizes: Vec<WantedSize>,
    /// What stands near the plate and is no part of it: shown, never cut.
    pub shown: Vec<Shown>,
}

/// A size that the drawing must show.
#[derive(Debug, Clone, PartialEq)]
pub struct WantedSize {
    /// One end, mm.
    pub from: Point,
    /// The other, mm.
    pub to: Point,
    /// What it is.
    pub says: String,
}

/// Something that is shown beside a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// What it is.
    pub says: String,
    /// Its outline, in the plate's own coordinates.
    pub region: Region,
}
