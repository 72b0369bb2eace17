//! What a layout leaves of a sheet, so that the one of several that leaves most can be kept.
//!
//! In: the edges of the metal, and how far from its lower left corner it is used. Out: [`Left`]. Plates in a strip
//! over the whole sheet and plates in a corner are judged alike: first by the largest rectangle that is left, which
//! any later job and a single straight cut can use, then by all that is left beside what is used. By the first a corner
//! is never worth more than the better strip; but of two layouts as short, the one that is also narrower leaves more.

use super::{Along, Polygon, beyond, polygon};
use crate::geometry::{Point, largest_rectangle};

/// What is left, to be compared: more is greater.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub(super) struct Left {
    /// Area of the largest rectangle, whole mm².
    pub(super) largest: f64,
    /// Area of everything, whole mm².
    area: f64,
}

impl Left {
    /// What is left of metal that is used as far as a point, and the side along which the largest rectangle lies
    /// beyond that; of equal ones `preferred`.
    pub(super) fn of(metal: &[Polygon], used: Point, preferred: Along) -> (Self, Along) {
        let past = |rings: &[Polygon], along: Along| -> Vec<Polygon> {
            let parts = rings.iter().map(|it| beyond(it, along, along.of(used)));
            parts.filter(|it| !it.is_empty()).collect()
        };
        let area = |rings: &[Polygon]| -> f64 {
            let areas = rings.iter().map(|it| polygon::signed_area(it));
            areas.sum()
        };
        let strips = [preferred, preferred.other()].map(|along| past(metal, along));
        let largest = [0, 1].map(|k| {
            let found = largest_rectangle(&strips[k]);
            found.map_or(0.0, |it| (it.width() * it.height()).round())
        });
        let both = past(&strips[0], preferred.other());
        let left = Self {
            // Below a square millimetre is the rounding of moves. A rectangle that keeps off a corner lies beyond it along one side or the other.
            largest: largest[0].max(largest[1]),
            area: (area(&strips[0]) + area(&strips[1]) - area(&both)).round(),
        };
        let along = if largest[1] > largest[0] {
            preferred.other()
        } else {
            preferred
        };
        (left, along)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_corner_leaves_the_longer_of_two_strips_and_an_l() {
        let sheet = [(0.0, 0.0), (2500.0, 0.0), (2500.0, 1250.0), (0.0, 1250.0)];
        let sheet = vec![sheet.map(|(x, y)| Point::new(x, y)).to_vec()];
        let of = |x, y| Left::of(&sheet, Point::new(x, y), Along::X);
        let (corner, along) = of(115.0, 380.0);
        // 2385 by 1250 beyond, 115 by 870 beside.
        assert_eq!((corner.largest, along), (2_981_250.0, Along::X));
        assert_eq!(corner.area, 3_125_000.0 - 115.0 * 380.0);
        let (strip, _) = of(115.0, 1250.0);
        assert!(strip < corner && strip.largest == corner.largest);
        // Plates as long as the sheet leave more above than beyond.
        let (low, along) = of(2490.0, 166.0);
        assert_eq!((low.largest, along), (2500.0 * 1084.0, Along::Y));
        assert!(low < corner);
        // What leaves a larger rectangle is better, whatever else is left.
        assert!(of(114.0, 1250.0).0 > corner);
    }
}
