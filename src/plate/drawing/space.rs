//! Where things of a drawing lie in space: planes of entities, and places of blocks.

use crate::elementary;
use crate::geometry::Tolerance;

/// A place or a direction in space.
pub(super) type Triple = [f64; 3];

/// The direction out of the plane of the drawing.
pub(super) const UP: Triple = [0.0, 0.0, 1.0];
/// A direction whose x and y are less than this leans on the y axis of the drawing instead of its z
/// axis: the arbitrary axis algorithm of the published DXF reference.
const NEAR_UP: f64 = 1.0 / 64.0;

/// An affine map: three axes and an origin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Space {
    axes: [Triple; 3],
    origin: Triple,
}

impl Space {
    /// Everything as large as so many of it, about the origin.
    pub(super) const fn scaled(by: Triple) -> Self {
        Self {
            axes: [[by[0], 0.0, 0.0], [0.0, by[1], 0.0], [0.0, 0.0, by[2]]],
            origin: [0.0; 3],
        }
    }

    /// Everything moved.
    pub(super) const fn moved(by: Triple) -> Self {
        let mut space = Self::scaled([1.0; 3]);
        space.origin = by;
        space
    }

    /// Everything turned about the z axis, counter-clockwise; quarter turns are exact.
    pub(super) fn turned(degrees: f64) -> Self {
        let quarters = degrees / 90.0;
        let (sin, cos) = if quarters.fract() == 0.0 {
            [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)]
                [quarters.rem_euclid(4.0) as usize % 4]
        } else {
            elementary::sin_cos(degrees.to_radians())
        };
        Self {
            axes: [[cos, sin, 0.0], [-sin, cos, 0.0], UP],
            origin: [0.0; 3],
        }
    }

    /// The space of an entity whose plane has this direction; `None` if it is no direction.
    pub(super) fn facing(direction: Triple) -> Option<Self> {
        if direction == UP {
            return Some(Self::scaled([1.0; 3]));
        }
        let z = unit(direction)?;
        let leans = z[0].abs() < NEAR_UP && z[1].abs() < NEAR_UP;
        let x = unit(cross(if leans { [0.0, 1.0, 0.0] } else { UP }, z))?;
        Some(Self {
            axes: [x, cross(z, x), z],
            origin: [0.0; 3],
        })
    }

    /// What first does `inner` and then this.
    pub(super) fn after(&self, inner: &Self) -> Self {
        Self {
            axes: inner.axes.map(|axis| self.vector(axis)),
            origin: self.point(inner.origin),
        }
    }

    pub(super) fn point(&self, p: Triple) -> Triple {
        let v = self.vector(p);
        [0, 1, 2].map(|i| self.origin[i] + v[i])
    }

    pub(super) fn vector(&self, v: Triple) -> Triple {
        let [x, y, z] = self.axes;
        [0, 1, 2].map(|i| x[i] * v[0] + y[i] * v[1] + z[i] * v[2])
    }
}

pub(super) fn length(v: Triple) -> f64 {
    dot(v, v).sqrt()
}

pub(super) fn dot(a: Triple, b: Triple) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(super) fn cross(a: Triple, b: Triple) -> Triple {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

fn unit(v: Triple) -> Option<Triple> {
    let length = length(v);
    (length > Tolerance::NOTHING && length.is_finite()).then(|| v.map(|c| c / length))
}
