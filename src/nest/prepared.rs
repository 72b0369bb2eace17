//! A piece as the placing code sees it: its shape made ready, and its turns as seen along the sheet.

use std::sync::Arc;

use super::rigid_shape::RigidShape;
use super::{Piece, Rotation, polygon};
use crate::elementary;
use crate::geometry::Vector;

/// How much of its area an outline may gain when it is made simpler.
const GROWTH: f64 = 0.001;

/// A piece made ready.
#[derive(Debug, Clone)]
pub(super) struct PreparedPiece {
    /// The outline without its windows: what lies in a window is placed there on its own.
    pub(super) shape: Arc<RigidShape>,
    /// Which turns it may take.
    pub(super) rotation: Rotation,
}

impl PreparedPiece {
    /// `None` if the outline bounds no area, or if no turn is allowed.
    pub(super) fn new(piece: &Piece) -> Option<Self> {
        let outline = polygon::cleaned(&piece.outline)?;
        if matches!(&piece.rotation, Rotation::Steps(steps) if steps.is_empty()) {
            return None;
        }
        let shape = RigidShape::new(&polygon::simplified_outward(&outline, GROWTH), &[]);
        Some(Self {
            shape: Arc::new(shape),
            rotation: piece.rotation.clone(),
        })
    }

    /// The same shape with other turns, each lessened by `by` radians.
    pub(super) fn with_turns(&self, rotation: &Rotation, by: f64) -> Self {
        Self {
            shape: Arc::clone(&self.shape),
            rotation: match rotation {
                Rotation::Free => Rotation::Free,
                Rotation::Steps(steps) => {
                    Rotation::Steps(steps.iter().map(|step| step - by).collect())
                }
            },
        }
    }

    /// How early it is placed: large and long pieces first.
    pub(super) fn rank(&self) -> f64 {
        self.shape.hull_area * self.shape.diameter
    }

    /// Where the piece's own origin goes when its shape's centre lies at `at`.
    pub(super) fn origin(&self, turn: f64, at: Vector) -> Vector {
        let (sin, cos) = elementary::sin_cos(turn);
        let centre = self.shape.centre;
        at - Vector::new(
            centre.x * cos - centre.y * sin,
            centre.x * sin + centre.y * cos,
        )
    }
}
