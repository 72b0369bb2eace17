//! The tolerances of the arrangement kernel, in one place.

/// How near is the same, in mm unless said otherwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    /// A vertex this near an edge lies on it; edges that miss each other by no more are tangent.
    pub touch: f64,
    /// Vertices this near are one, and edges between the same two vertices that part by no more
    /// are one. Three times `touch`, so that two vertices on one edge never sit side by side.
    pub weld: f64,
    /// Neighbours whose lines, or whose centres and radii, differ by no more are re-joined.
    pub join: f64,
    /// Least mean width: a contour or face with less area than this times its length is a sliver
    /// and is dropped.
    pub sliver: f64,
    /// Directions at a vertex that differ by less (in quarter turns) are told apart by where the
    /// edges run, not by their tangents, which welding may have moved.
    pub near_direction: f64,
    /// A corner that turns back within this angle of a half turn, in radians, is a cusp.
    pub cusp: f64,
    /// Coordinates and radii beyond this are refused: `touch` would drown in rounding.
    pub reach: f64,
}

impl Default for Tolerance {
    fn default() -> Self {
        Self {
            touch: 1e-7,
            weld: Self::WELD,
            join: 1e-6,
            sliver: 5e-4,
            near_direction: 0.05,
            cusp: 0.02,
            reach: 1e6,
        }
    }
}

impl Tolerance {
    /// [`Tolerance::weld`] of the set that is tried first, mm.
    pub const WELD: f64 = 3e-7;
    /// Places, lengths and sizes nearer than this, mm (or angles, radians), are the same: what files and
    /// caliper readings can tell apart is a thousand times more.
    pub const SAME: f64 = 1e-6;
    /// Unit directions whose cross product is less run along one another.
    pub const TANGENT: f64 = 1e-4;
    /// A length, mm, or a bulge below this is none: it has no direction.
    pub const NOTHING: f64 = 1e-12;
    /// What rounding leaves of a number that was worked out two ways: mm, radians, shares and counts.
    pub const ROUNDING: f64 = 1e-9;

    /// These tolerances with the distances that decide contacts scaled.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self {
            touch: self.touch * factor,
            weld: self.weld * factor,
            join: self.join * factor.max(1.0),
            ..self
        }
    }

    /// The sets to try in turn when a scene does not resolve.
    pub fn attempts() -> impl Iterator<Item = Self> {
        [1.0, 10.0, 0.1, 100.0]
            .into_iter()
            .map(|factor| Self::default().scaled(factor))
    }
}
