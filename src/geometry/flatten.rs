//! Arcs to chords, for computations that need polygons, with a stated chord tolerance.

use super::{Contour, Point, Region};

/// On which side of an arc its chords lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Vertices on the arc: convex arcs lose up to the tolerance, concave ones gain it.
    OnCurve,
    /// The polygon holds the whole loop: chords of convex arcs are tangents, of concave arcs secants.
    Outward,
    /// The polygon lies within the loop.
    Inward,
}

impl Contour {
    /// The loop as a polygon in its own direction, not repeated at the end; no point of the polygon
    /// is farther than `tolerance` mm from the loop.
    #[must_use]
    pub fn flattened(&self, _tolerance: f64, _side: Side) -> Vec<Point> {
        todo!("geometry kernel")
    }
}

impl Region {
    /// Every contour as a polygon (see [`Contour::flattened`]) for the crates that take `geo` types.
    #[must_use]
    pub fn to_geo(&self, _tolerance: f64) -> geo::MultiPolygon<f64> {
        todo!("geometry kernel")
    }
}
