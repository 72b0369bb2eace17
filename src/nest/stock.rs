//! What there is to cut from.

use super::{Along, Polygon};

/// A sheet or remnant, any number of times.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Name for messages and results.
    pub id: String,
    /// How many there are; `None` for as many as needed.
    pub quantity: Option<u32>,
    /// The usable area: inside the margin, counter-clockwise, sheet coordinates, mm.
    pub usable: Polygon,
    /// The side that it is used up along: the longer one of its metal, unless the other leaves more.
    pub along: Along,
    /// Spots to avoid: holes of a remnant, clamps.
    pub avoid: Vec<Polygon>,
    /// The edges of its metal, outside and holes, by which it is judged what a layout leaves of it; none where only
    /// the length that is used counts.
    pub metal: Vec<Polygon>,
    /// What one costs. Without a price it costs as much for its area as the lines that have one; if no
    /// line has, its area.
    pub price: Option<f64>,
    /// Whether it is used before the others, whatever it costs.
    pub first: bool,
}
