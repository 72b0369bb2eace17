//! What is placed: a polygon with windows, a quantity and the turns allowed.

use crate::geometry::Point;

/// A simple polygon, counter-clockwise, not closed by repeating the first point; mm.
pub type Polygon = Vec<Point>;

/// Which turns a piece may take.
#[derive(Debug, Clone, PartialEq)]
pub enum Rotation {
    /// Any angle.
    Free,
    /// Only these, radians.
    Steps(Vec<f64>),
}

/// Something to place a number of times.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// What the caller knows it by: placements name it so.
    pub index: usize,
    /// Name for messages and results.
    pub id: String,
    /// How many.
    pub quantity: u32,
    /// The outline, already grown by half the web to its neighbours, about the piece's own origin.
    pub outline: Polygon,
    /// Windows that other pieces may use, already shrunk by half the web.
    pub windows: Vec<Polygon>,
    /// Which turns it may take.
    pub rotation: Rotation,
}
