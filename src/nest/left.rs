//! What a layout leaves of a sheet, so that the one of several that leaves most can be kept.
//!
//! In: the edges of the metal, and how far from its lower left corner it is used. Out: [`Left`]. Plates in a strip
//! over the whole sheet and plates in a corner are judged alike: first by the largest rectangle that is left, which
//! any later job and a single straight cut can use, then by all that is worth keeping. By the first a corner is never
//! worth more than the better strip; but of two layouts as short, the one that is also narrower leaves more.

use super::{Along, Polygon, beyond, polygon};
use crate::geometry::{Bounds, Point, largest_rectangle};

/// What is left is not worth keeping where it is narrower than this, mm. Common practice, no source.
pub const LEAST_KEPT: f64 = 100.0;

/// Rectangles that differ by less than this share are as good as one another: some tenths of a millimetre of a strip.
const ALIKE: f64 = 1e-4;

/// What is left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Left {
    /// The side that it lies beyond the plates along.
    pub(super) along: Along,
    /// Area of the largest rectangle, mm².
    largest: f64,
    /// Area of that and of what lies beside the plates, if it is long enough to be kept, mm².
    area: f64,
}

impl Left {
    /// What is left of metal that is used as far as a point; of sides that leave as much `preferred`.
    pub(super) fn of(metal: &[Polygon], used: Point, preferred: Along) -> Self {
        let past = |rings: &[Polygon], along: Along| -> Vec<Polygon> {
            let parts = rings.iter().map(|it| beyond(it, along, along.of(used)));
            parts.filter(|it| !it.is_empty()).collect()
        };
        let area = |rings: &[Polygon]| -> f64 {
            let areas = rings.iter().map(|it| polygon::signed_area(it));
            areas.sum()
        };
        let whole = Bounds::around(metal.iter().flatten().copied());
        let beyond = |along: Along| {
            let strip = past(metal, along);
            // A rectangle that keeps off a corner lies beyond it along one side or the other.
            let largest = largest_rectangle(&strip);
            let beside = past(metal, along.other());
            let both = past(&beside, along);
            let is_long = along.other().of(whole.max) - along.other().of(used) >= LEAST_KEPT;
            let beside = if is_long {
                area(&beside) - area(&both)
            } else {
                0.0
            };
            Self {
                along,
                largest: largest.map_or(0.0, |it| it.width() * it.height()),
                area: area(&strip) + beside,
            }
        };
        let (usual, other) = (beyond(preferred), beyond(preferred.other()));
        if other.is_more_than(usual) {
            other
        } else {
            usual
        }
    }

    /// Whether it is more.
    pub(super) fn is_more_than(self, other: Self) -> bool {
        if (self.largest - other.largest).abs() > ALIKE * self.largest.max(other.largest) {
            self.largest > other.largest
        } else {
            self.area > other.area * (1.0 + ALIKE)
        }
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    #[test]
    fn a_corner_leaves_the_longer_of_two_strips_and_an_l() {
        let sheet = [(0.0, 0.0), (2500.0, 0.0), (2500.0, 1250.0), (0.0, 1250.0)];
        let sheet = vec![sheet.map(|(x, y)| Point::new(x, y)).to_vec()];
        let of = |x, y| Left::of(&sheet, Point::new(x, y), Along::X);
        let corner = of(115.0, 380.0);
        // 2385 by 1250 beyond, 115 by 870 beside.
        assert_eq!(corner.along, Along::X);
        assert_relative_eq!(corner.largest, 2385.0 * 1250.0);
        assert_relative_eq!(corner.area, 3_125_000.0 - 115.0 * 380.0);
        let strip = of(115.0, 1250.0);
        assert!(corner.is_more_than(strip) && !strip.is_more_than(corner));
        // What lies beside it is too short to be kept.
        let wide = of(115.0, 1160.0);
        assert!(!wide.is_more_than(strip) && !strip.is_more_than(wide));
        // Plates as long as the sheet leave more above than beyond.
        let low = of(2490.0, 166.0);
        assert_eq!(low.along, Along::Y);
        assert_relative_eq!(low.largest, 2500.0 * 1084.0);
        assert!(corner.is_more_than(low));
        // What leaves a larger rectangle is better, whatever else is left; a hair is not larger.
        assert!(of(114.0, 1250.0).is_more_than(corner));
        assert!(corner.is_more_than(of(114.9, 1250.0)));
    }
}
