//! How near a torch run comes to finished edges, exactly.
//!
//! In: the nominal edges of a plate. Out: whether a lead stays clear of them by half the kerf, and
//! how far a pierce is from the nearest.

use crate::geometry::{Bounds, Contour, Point, Segment};

/// Finished edges, each piece with its box.
#[derive(Debug, Clone)]
pub(super) struct Edges {
    pieces: Vec<(Bounds, Segment)>,
}

impl Edges {
    /// The edges of some contours.
    pub(super) fn of<'a>(contours: impl IntoIterator<Item = &'a Contour>) -> Self {
        let pieces = contours
            .into_iter()
            .flat_map(Contour::segments)
            .map(|segment| (segment.bounds(), *segment))
            .collect();
        Self { pieces }
    }

    /// Whether a torch run stays at least `least` mm away.
    pub(super) fn are_clear_of(&self, run: &Segment, least: f64) -> bool {
        let near = run.bounds().grown(least);
        self.pieces
            .iter()
            .all(|(bounds, piece)| !bounds.meets(near) || piece.gap_to(run).distance >= least)
    }

    /// Distance of a point from the nearest edge, mm; infinite if there is none.
    pub(super) fn gap(&self, p: Point) -> f64 {
        self.pieces
            .iter()
            .map(|(_, piece)| piece.gap_to_point(p).distance)
            .fold(f64::INFINITY, f64::min)
    }
}
