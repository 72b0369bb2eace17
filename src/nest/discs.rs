//! The discs of a shape, laid out for speed.
//!
//! In: inscribed discs of a shape at one turn. Out: whether two sets of discs meet, and how deep they reach
//! into one another. Single precision: the depth is a guide for the search; whether two shapes
//! overlap is told from it only where it is beyond doubt.

use super::inscribed_discs::{InscribedDisc, MOST};
use crate::geometry::Vector;

/// Discs worked on at once.
const LANES: usize = 4;
/// Lanes that hold up to [`MOST`] discs.
const ROWS: usize = MOST / LANES;
/// Discs that meet by less than this share of their radii are not counted as meeting.
const DOUBT: f32 = 1e-4;
/// Where unused discs lie; its square still fits single precision.
const FAR: f32 = 1e15;

/// Up to [`MOST`] discs, by coordinate, the largest first.
#[derive(Debug, Clone)]
pub(super) struct Discs {
    x: [[f32; LANES]; ROWS],
    y: [[f32; LANES]; ROWS],
    radius: [[f32; LANES]; ROWS],
    count: usize,
}

impl Default for Discs {
    fn default() -> Self {
        Self::new(std::iter::empty())
    }
}

impl Discs {
    pub(super) fn new(inscribed: impl Iterator<Item = InscribedDisc>) -> Self {
        // Unused places hold discs of no size far away, so that whole lanes can be worked on.
        let mut discs = Self {
            x: [[FAR; LANES]; ROWS],
            y: [[FAR; LANES]; ROWS],
            radius: [[0.0; LANES]; ROWS],
            count: 0,
        };
        for disc in inscribed.take(MOST) {
            let (row, lane) = (discs.count / LANES, discs.count % LANES);
            discs.x[row][lane] = disc.centre.x as f32;
            discs.y[row][lane] = disc.centre.y as f32;
            discs.radius[row][lane] = disc.radius as f32;
            discs.count += 1;
        }
        discs
    }

    fn rows(&self) -> usize {
        self.count.div_ceil(LANES)
    }

    /// Each disc, moved by `offset`.
    fn moved(&self, offset: Vector) -> impl Iterator<Item = (f32, f32, f32)> {
        let (dx, dy) = (offset.x as f32, offset.y as f32);
        (0..self.count).map(move |i| {
            let (row, lane) = (i / LANES, i % LANES);
            (
                self.x[row][lane] + dx,
                self.y[row][lane] + dy,
                self.radius[row][lane],
            )
        })
    }

    /// Whether one of the largest discs, moved by `offset`, meets one of the largest of the others
    /// beyond doubt: a quick yes for shapes that lie deep in one another.
    pub(super) fn largest_meet(&self, other: &Self, offset: Vector) -> bool {
        let (xs, ys, rs) = (&other.x[0], &other.y[0], &other.radius[0]);
        self.moved(offset).take(LANES).any(|(x, y, r)| {
            let mut nearest = f32::INFINITY;
            for lane in 0..LANES {
                let (u, v) = (xs[lane] - x, ys[lane] - y);
                let reach = (r + rs[lane]) * (1.0 - DOUBT);
                nearest = nearest.min(u * u + v * v - reach * reach);
            }
            nearest < 0.0
        })
    }

    /// How deep these, moved by `offset`, reach into the others: the sum over all pairs of how deep
    /// they meet times the smaller radius. Below a depth of `soft` a pair counts for less and less
    /// but never for nothing, so that the measure never loses its slope. Once the sum is beyond
    /// `limit`, anything beyond it.
    pub(super) fn depth(&self, other: &Self, offset: Vector, soft: f32, limit: f32) -> f32 {
        // One disc after the other against whole lanes: the fewer there are of the former the better.
        if self.count * other.rows() > other.count * self.rows() {
            return other.summed(self, -offset, soft, limit);
        }
        self.summed(other, offset, soft, limit)
    }

    fn summed(&self, other: &Self, offset: Vector, soft: f32, limit: f32) -> f32 {
        let mut sum = 0.0;
        for (x, y, r) in self.moved(offset) {
            let mut sums = [0.0_f32; LANES];
            for row in 0..other.rows() {
                let (xs, ys, rs) = (&other.x[row], &other.y[row], &other.radius[row]);
                for lane in 0..LANES {
                    let (u, v) = (xs[lane] - x, ys[lane] - y);
                    let depth = r + rs[lane] - (u * u + v * v).sqrt();
                    let faint = soft * soft / (2.0 * soft - depth.min(soft));
                    sums[lane] += depth.max(faint) * r.min(rs[lane]);
                }
            }
            sum += sums.iter().sum::<f32>();
            if sum > limit {
                return sum;
            }
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;

    fn disc(radius: f64) -> Discs {
        let disc = InscribedDisc {
            centre: Point::ORIGIN,
            radius,
        };
        Discs::new(std::iter::once(disc))
    }

    #[test]
    fn depth_grows_with_the_overlap_and_never_ends() {
        let (large, small) = (disc(10.0), disc(2.0));
        let depth = |x: f64| small.depth(&large, Vector::new(x, 0.0), 0.1, f32::INFINITY);
        assert!(
            (depth(5.0) - 14.0).abs() < 1e-4,
            "7 deep times a radius of 2"
        );
        assert!(depth(5.0) > depth(11.0) && depth(11.0) > depth(12.5));
        assert!(depth(12.5) > depth(100.0) && depth(100.0) > 0.0);
        assert!(small.largest_meet(&large, Vector::new(11.9, 0.0)));
        assert!(!small.largest_meet(&large, Vector::new(12.0, 0.0)));
    }
}
