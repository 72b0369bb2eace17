//! Which shapes come near a place: the first question at every place tried.
//!
//! In: how far each shape reaches, and how far one would elsewhere. Out: those that it may meet; all
//! others are clear of it. Laid out so that several are compared at once.

use super::super::placed::shifted;
use super::super::rigid_shape::{RotatedShape, slanted};
use crate::geometry::{Point, Vector};

/// Directions: along x, along y and along the two diagonals.
const WAYS: usize = 4;
/// Shapes compared at once.
const LANES: usize = 8;

/// How far a shape reaches along x, y and the two diagonals, in single precision, rounded outward.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reach {
    low: [f32; WAYS],
    high: [f32; WAYS],
}

impl Reach {
    pub(super) fn new(shape: &RotatedShape, at: Vector) -> Self {
        let along = shifted(&shape.bounds, at);
        let across = shifted(&shape.slanted, slanted(at) - Point::ORIGIN);
        let corner = |p: Point, q: Point| [p.x as f32, p.y as f32, q.x as f32, q.y as f32];
        Self {
            low: corner(along.min, across.min).map(f32::next_down),
            high: corner(along.max, across.max).map(f32::next_up),
        }
    }
}

/// The reaches of several shapes, by direction.
#[derive(Debug, Clone, Copy)]
struct Block {
    low: [[f32; LANES]; WAYS],
    high: [[f32; LANES]; WAYS],
}

impl Block {
    /// Reaches of nothing, which meet none.
    const EMPTY: Self = Self {
        low: [[f32::INFINITY; LANES]; WAYS],
        high: [[f32::NEG_INFINITY; LANES]; WAYS],
    };

    /// A bit for each shape that may meet this one.
    fn meeting(&self, here: &Reach) -> u32 {
        let mut gaps = [f32::NEG_INFINITY; LANES];
        for way in 0..WAYS {
            for (lane, gap) in gaps.iter_mut().enumerate() {
                let above = self.low[way][lane] - here.high[way];
                let below = here.low[way] - self.high[way][lane];
                // Not `max`, which minds what is no number and takes its time over it.
                let most = if above > below { above } else { below };
                *gap = if most > *gap { most } else { *gap };
            }
        }
        let bits = gaps.iter().enumerate();
        bits.fold(0, |bits, (lane, gap)| bits | u32::from(*gap <= 0.0) << lane)
    }
}

/// The reaches of all shapes.
#[derive(Debug, Clone)]
pub(super) struct Reaches(Vec<Block>);

impl Reaches {
    /// For so many shapes, none of which reaches anywhere yet.
    pub(super) fn of_none(count: usize) -> Self {
        Self(vec![Block::EMPTY; count.div_ceil(LANES)])
    }

    pub(super) fn set(&mut self, i: usize, reach: &Reach) {
        let (block, lane) = (&mut self.0[i / LANES], i % LANES);
        for way in 0..WAYS {
            block.low[way][lane] = reach.low[way];
            block.high[way][lane] = reach.high[way];
        }
    }

    /// The shapes that may meet this one, in order.
    pub(super) fn meeting(&self, here: &Reach) -> impl Iterator<Item = usize> {
        self.0.iter().enumerate().flat_map(move |(block, reaches)| {
            let mut bits = reaches.meeting(here);
            std::iter::from_fn(move || {
                let lane = bits.trailing_zeros() as usize;
                bits &= bits.wrapping_sub(1);
                (lane < LANES).then_some(block * LANES + lane)
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::rigid_shape::RigidShape;
    use super::*;

    #[test]
    fn those_that_meet_are_found_and_no_others() {
        let square = [(-5.0, -5.0), (5.0, -5.0), (5.0, 5.0), (-5.0, 5.0)];
        let shape = RigidShape::new(&square.map(|(x, y)| Point::new(x, y)), &[]).turned(0.0);
        let at = |x: f64, y: f64| Reach::new(&shape, Vector::new(x, y));
        let mut reaches = Reaches::of_none(19);
        for i in 0..19 {
            reaches.set(i, &at(12.0 * i as f64, 0.0));
        }
        let found = |x, y| reaches.meeting(&at(x, y)).collect::<Vec<_>>();
        assert_eq!(found(12.0 * 8.0, 0.0), [8]);
        assert_eq!(found(12.0 * 7.0 + 6.0, 9.0), [7, 8], "across two blocks");
        assert_eq!(found(12.0 * 18.0, 0.0), [18]);
        assert!(found(0.0, 10.1).is_empty());
        assert!(
            found(12.0 * 19.0, 0.0).is_empty(),
            "no shape beyond the last"
        );
    }
}
