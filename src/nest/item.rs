//! A piece as the placing code sees it: its shape made ready, its windows, its turns.

use super::shape::Shape;
use super::{Piece, Polygon, Rotation, polygon};
use crate::geometry::Vector;

/// A piece made ready.
#[derive(Debug, Clone)]
pub(super) struct Item {
    /// The outline without its windows: what lies in a window is placed there on its own.
    pub(super) shape: Shape,
    /// The windows, about the shape's centre.
    pub(super) windows: Vec<Polygon>,
    /// Which turns it may take.
    pub(super) rotation: Rotation,
    /// How many.
    pub(super) quantity: u32,
}

impl Item {
    /// `None` if the outline bounds no area, or if no turn is allowed.
    pub(super) fn new(piece: &Piece) -> Option<Self> {
        let outline = polygon::cleaned(&piece.outline)?;
        if matches!(&piece.rotation, Rotation::Steps(steps) if steps.is_empty()) {
            return None;
        }
        let shape = Shape::new(&outline, &[]);
        let windows = piece
            .windows
            .iter()
            .filter_map(|window| polygon::cleaned(window))
            .map(|window| window.iter().map(|p| *p - shape.centre).collect())
            .collect();
        Some(Self {
            shape,
            windows,
            rotation: piece.rotation.clone(),
            quantity: piece.quantity,
        })
    }

    /// How early it is placed: large and long pieces first.
    pub(super) fn rank(&self) -> f64 {
        self.shape.hull_area * self.shape.diameter
    }

    /// Where the piece's own origin goes when its shape's centre lies at `at`.
    pub(super) fn origin(&self, turn: f64, at: Vector) -> Vector {
        let (sin, cos) = turn.sin_cos();
        let centre = self.shape.centre;
        at - Vector::new(
            centre.x * cos - centre.y * sin,
            centre.x * sin + centre.y * cos,
        )
    }
}
