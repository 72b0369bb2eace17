//! Shapes at their places.

use std::ops::Deref;
use std::sync::Arc;

use super::polygon;
use super::rigid_shape::{RigidShape, RotatedShape, slanted};
use crate::geometry::{Bounds, Point, Vector};

/// A shape at its turn, and where its centre lies: shared where it stays, borrowed ([`PlacedRef`]) where
/// a place is only tried.
#[derive(Debug, Clone, Copy)]
pub(super) struct PlacedShape<S = Arc<RotatedShape>> {
    pub(super) shape: S,
    pub(super) at: Vector,
}

/// A shape at a place that is tried.
pub(super) type PlacedRef<'a> = PlacedShape<&'a RotatedShape>;

impl PlacedShape {
    /// Walls: edges only, since nothing is asked of what lies beyond them; in the coordinates they are
    /// given in.
    pub(super) fn walls(outline: &[Point]) -> Self {
        let middle = polygon::bounds(outline).centre() - Point::ORIGIN;
        Self {
            shape: Arc::new(RotatedShape::of_edges(outline, middle)),
            at: middle,
        }
    }

    /// A spot to avoid, in the coordinates it is given in.
    pub(super) fn fixed(outline: &[Point]) -> Self {
        let shape = RigidShape::new(outline, &[]);
        Self {
            shape: Arc::new(shape.turned(0.0)),
            at: shape.centre,
        }
    }

    pub(super) fn borrowed(&self) -> PlacedRef<'_> {
        PlacedRef {
            shape: &self.shape,
            at: self.at,
        }
    }
}

impl<S: Deref<Target = RotatedShape>> PlacedShape<S> {
    /// The box around it.
    pub(super) fn bounds(&self) -> Bounds {
        shifted(&self.shape.bounds, self.at)
    }

    /// The box around it along the diagonals.
    pub(super) fn slanted(&self) -> Bounds {
        shifted(&self.shape.slanted, slanted(self.at) - Point::ORIGIN)
    }

    /// Whether a place lies in its metal.
    pub(super) fn encloses(&self, p: Point) -> bool {
        self.shape.encloses(p - self.at)
    }

    /// A place well within its metal.
    pub(super) fn witness(&self) -> Point {
        self.shape.witness + self.at
    }
}

/// The box moved.
pub(super) fn shifted(bounds: &Bounds, by: Vector) -> Bounds {
    Bounds {
        min: bounds.min + by,
        max: bounds.max + by,
    }
}
