//! Distances and containment on true lines and arcs.

use super::{Contour, Point, Region};

/// The closest approach of two shapes: how far, and where on each.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Distance, mm; 0 where they touch or cross.
    pub distance: f64,
    /// The nearest point on the first.
    pub from: Point,
    /// The nearest point on the second.
    pub to: Point,
}

impl Region {
    /// Whether a point lies inside (on the edge counts as inside).
    #[must_use]
    pub fn contains(&self, _p: Point) -> bool {
        todo!("geometry kernel")
    }
}

impl Contour {
    /// Whether a point lies inside the loop, whichever way it runs.
    #[must_use]
    pub fn encloses(&self, _p: Point) -> bool {
        todo!("geometry kernel")
    }

    /// The closest approach of a point to the edge.
    #[must_use]
    pub fn gap_to_point(&self, _p: Point) -> Gap {
        todo!("geometry kernel")
    }

    /// The closest approach of two edges, exact on lines and arcs.
    #[must_use]
    pub fn gap_to(&self, _other: &Self) -> Gap {
        todo!("geometry kernel")
    }
}
