//! The arrangement kernel: booleans and offsets of regions of lines and arcs.

use super::Region;

/// The kernel could not resolve a scene with any of its tolerance sets; no region is given rather
/// than a wrong one.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the outline could not be resolved: {0}")]
pub struct Unresolved(pub String);

/// What lies where `rule` says so, given for each source whether a place is inside it.
///
/// One arrangement for the whole expression, so that errors do not pile up.
pub fn arrange(_sources: &[Region], _rule: &dyn Fn(&[bool]) -> bool) -> Result<Region, Unresolved> {
    todo!("geometry kernel")
}

impl Region {
    /// What lies in either.
    pub fn union(&self, _other: &Self) -> Result<Self, Unresolved> {
        todo!("geometry kernel")
    }

    /// What lies in this and not in the other.
    pub fn difference(&self, _other: &Self) -> Result<Self, Unresolved> {
        todo!("geometry kernel")
    }

    /// What lies in both.
    pub fn intersection(&self, _other: &Self) -> Result<Self, Unresolved> {
        todo!("geometry kernel")
    }

    /// Grown by `distance` mm (shrunk if negative); convex corners become arcs when growing.
    pub fn offset(&self, _distance: f64) -> Result<Self, Unresolved> {
        todo!("geometry kernel")
    }

    /// Every concave corner filled with an arc of `radius` mm: grow, then shrink.
    pub fn round_inside(&self, _radius: f64) -> Result<Self, Unresolved> {
        todo!("geometry kernel")
    }

    /// Every convex corner cut back to an arc of `radius` mm: shrink, then grow.
    pub fn round_outside(&self, _radius: f64) -> Result<Self, Unresolved> {
        todo!("geometry kernel")
    }
}
