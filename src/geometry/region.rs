//! A piece of the plane bounded by contours: what a plate is made of.

use super::{Bounds, Contour, Pose};

/// One connected piece: an outside contour and the openings in it.
///
/// Guaranteed by the kernel: the outside runs counter-clockwise, openings clockwise; openings lie
/// inside the outside and apart from one another (they may touch in single points).
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// The outside contour, counter-clockwise.
    pub outside: Contour,
    /// The openings, clockwise, in no particular order.
    pub openings: Vec<Contour>,
}

/// Any number of separate faces.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Region {
    /// The pieces, in a fixed order (by lower left corner).
    pub faces: Vec<Face>,
}

impl Face {
    /// Every contour: the outside, then the openings.
    pub fn contours(&self) -> impl Iterator<Item = &Contour> {
        std::iter::once(&self.outside).chain(&self.openings)
    }

    /// Area of metal, mm².
    #[must_use]
    pub fn area(&self) -> f64 {
        self.outside.signed_area() + self.openings.iter().map(Contour::signed_area).sum::<f64>()
    }

    /// The face moved.
    #[must_use]
    pub fn posed(&self, pose: &Pose) -> Self {
        Self {
            outside: self.outside.posed(pose),
            openings: self
                .openings
                .iter()
                .map(|opening| opening.posed(pose))
                .collect(),
        }
    }
}

impl From<Contour> for Region {
    /// All that an outside contour encloses.
    fn from(outside: Contour) -> Self {
        Self {
            faces: vec![Face {
                outside,
                openings: Vec::new(),
            }],
        }
    }
}

impl Region {
    /// Nothing at all.
    pub const EMPTY: Self = Self { faces: Vec::new() };

    /// Every contour: each face's outside, then its openings.
    pub fn contours(&self) -> impl Iterator<Item = &Contour> {
        self.faces.iter().flat_map(Face::contours)
    }

    /// Area, mm².
    #[must_use]
    pub fn area(&self) -> f64 {
        self.faces.iter().map(Face::area).sum()
    }

    /// The smallest box around it.
    #[must_use]
    pub fn bounds(&self) -> Bounds {
        self.faces.iter().fold(Bounds::EMPTY, |bounds, face| {
            bounds.union(face.outside.bounds())
        })
    }

    /// The region moved.
    #[must_use]
    pub fn posed(&self, pose: &Pose) -> Self {
        Self {
            faces: self.faces.iter().map(|face| face.posed(pose)).collect(),
        }
    }
}
