//! How near a torch run comes to finished edges, exactly.
//!
//! In: the nominal edges of a plate, or of all plates on a sheet, each with its owner. Out: whether a
//! lead stays clear of them by half the kerf, and how far a pierce is from the nearest. An index of
//! boxes finds what is near, so that a plate of thousands of holes takes hardly longer a hole.

use rstar::{AABB, PointDistance, RTree, RTreeObject};

use crate::geometry::{Bounds, Contour, Point, Segment};

/// Finished edges.
#[derive(Debug)]
pub(super) struct Edges {
    pieces: RTree<Piece>,
}

/// A piece of a finished edge.
#[derive(Debug)]
struct Piece {
    /// The contour or plate it belongs to.
    owner: usize,
    segment: Segment,
    /// The box around it: a search asks for those of all that it passes.
    envelope: AABB<[f64; 2]>,
}

/// What rounding may take of the half kerf between a run and a finished edge, mm: a tenth of what a
/// finished edge may be off.
pub(super) const SLACK: f64 = 1e-3;

impl Edges {
    /// The edges of some contours, which own them by their number.
    pub(super) fn of<'a>(contours: impl IntoIterator<Item = &'a Contour>) -> Self {
        Self::owned(contours.into_iter().enumerate())
    }

    /// The edges of some contours, each with its owner.
    pub(super) fn owned<'a>(contours: impl IntoIterator<Item = (usize, &'a Contour)>) -> Self {
        let pieces = contours.into_iter().flat_map(|(owner, contour)| {
            let segments = contour.segments().iter().copied();
            segments.map(move |segment| Piece {
                owner,
                segment,
                envelope: segment.bounds().envelope(),
            })
        });
        Self {
            pieces: RTree::bulk_load(pieces.collect()),
        }
    }

    /// Whether a torch run stays at least `least` mm away from all but what one owns.
    pub(super) fn are_clear_of(&self, run: &Segment, least: f64, but: Option<usize>) -> bool {
        let near = run.bounds().grown(least).envelope();
        self.pieces
            .locate_in_envelope_intersecting(near)
            .all(|it| Some(it.owner) == but || it.segment.gap_to(run).distance >= least)
    }

    /// Whether a torch run keeps half a kerf off all of them.
    pub(super) fn are_whole_beside(&self, run: &Segment, kerf: f64) -> bool {
        self.are_clear_of(run, kerf / 2.0 - SLACK, None)
    }

    /// Distance of a point from the nearest edge, mm; infinite if there is none.
    pub(super) fn gap(&self, p: Point) -> f64 {
        let nearest = self.pieces.nearest_neighbor([p.x, p.y]);
        nearest.map_or(f64::INFINITY, |it| it.gap(p))
    }

    /// Distance of a point from the nearest edge but what one owns, mm; infinite if none is within
    /// `most` mm.
    pub(super) fn gap_within(&self, p: Point, most: f64, but: Option<usize>) -> f64 {
        let near = Bounds::around([p]).grown(most).envelope();
        let near = self.pieces.locate_in_envelope_intersecting(near);
        near.filter(|it| Some(it.owner) != but)
            .map(|it| it.gap(p))
            .filter(|gap| *gap <= most)
            .fold(f64::INFINITY, f64::min)
    }
}

impl Piece {
    fn gap(&self, p: Point) -> f64 {
        self.segment.gap_to_point(p).distance
    }
}

impl RTreeObject for Piece {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        self.envelope
    }
}

impl PointDistance for Piece {
    fn distance_2(&self, p: &[f64; 2]) -> f64 {
        self.gap(Point::new(p[0], p[1])).powi(2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, cases: 64, ..ProptestConfig::default() })]

        /// What the index finds is what looking at every piece finds.
        #[test]
        fn gaps_are_those_of_all_pieces_one_by_one(
            circles in prop::collection::vec((0.0f64..100.0, 0.0f64..100.0, 0.5f64..20.0), 1..60),
            (x, y) in (0.0f64..100.0, 0.0f64..100.0),
            (run_x, run_y) in (0.0f64..100.0, 0.0f64..100.0),
            most in 0.0f64..30.0,
        ) {
            let circle = |(x, y, r): &(f64, f64, f64)| Contour::circle(Point::new(*x, *y), *r);
            let contours: Vec<Contour> = circles.iter().map(circle).collect();
            let edges = Edges::of(&contours);
            let p = Point::new(x, y);
            let gaps = || contours.iter().map(|it| it.gap_to_point(p).distance);
            prop_assert_eq!(edges.gap(p), gaps().fold(f64::INFINITY, f64::min));
            let others = gaps().skip(1).filter(|gap| *gap <= most).fold(f64::INFINITY, f64::min);
            prop_assert_eq!(edges.gap_within(p, most, Some(0)), others);
            let run = Segment::Line { start: p, end: Point::new(run_x, run_y) };
            let is_clear = |it: &Contour| it.segments().iter().all(|s| s.gap_to(&run).distance >= most);
            prop_assert_eq!(edges.are_clear_of(&run, most, None), contours.iter().all(is_clear));
            prop_assert_eq!(edges.are_clear_of(&run, most, Some(0)), contours[1..].iter().all(is_clear));
        }
    }
}
