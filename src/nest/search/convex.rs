//! Convex parts of shapes, and the side along which two of them are parted.

use super::super::polygon;
use super::super::shape::Shape;
use crate::geometry::{Bounds, Point, Vector};

/// Parts that overlap by less than this, mm, are parted along the side they are farthest beyond,
/// even if it only cuts a shape in two.
const SHALLOW: f64 = 1e-3;

/// A convex part at its turn, about the shape's centre.
#[derive(Debug)]
pub(super) struct Convex {
    pub(super) corners: Vec<Point>,
    /// Outward unit normals of the sides.
    pub(super) normals: Vec<Vector>,
    /// Whether a side is one of the whole shape.
    outer: Vec<bool>,
    pub(super) bounds: Bounds,
}

impl Convex {
    /// The parts of a shape at a turn.
    pub(super) fn all(shape: &Shape, turn: f64) -> Vec<Self> {
        let (sin, cos) = turn.sin_cos();
        let turned = |p: &Point| Point::new(p.x * cos - p.y * sin, p.x * sin + p.y * cos);
        shape
            .parts
            .iter()
            .map(|part| {
                let corners: Vec<Point> = part.corners.iter().map(turned).collect();
                let n = corners.len();
                let normal = |k: usize| {
                    let along = corners[(k + 1) % n] - corners[k];
                    -along.left() * (1.0 / polygon::length(along).max(f64::MIN_POSITIVE))
                };
                Self {
                    normals: (0..n).map(normal).collect(),
                    bounds: Bounds::around(corners.iter().copied()),
                    outer: part.outer.clone(),
                    corners,
                }
            })
            .collect()
    }

    /// The sides that another part is farthest beyond: of all, and of those of the whole shape.
    fn widest(&self, other: &Self, offset: Vector) -> (Side, Option<Side>) {
        let mut any = Side {
            index: 0,
            gap: f64::NEG_INFINITY,
        };
        let mut outer: Option<Side> = None;
        for (index, n) in self.normals.iter().enumerate() {
            let base = n.dot(self.corners[index] - Point::ORIGIN) - n.dot(offset);
            let beyond = other.corners.iter().map(|v| n.x * v.x + n.y * v.y);
            let nearest = beyond.fold(f64::INFINITY, |least, b| if b < least { b } else { least });
            let side = Side {
                index,
                gap: nearest - base,
            };
            if side.gap > any.gap {
                any = side;
            }
            if self.outer[index] && outer.is_none_or(|best| side.gap > best.gap) {
                outer = Some(side);
            }
        }
        (any, outer)
    }
}

/// A side of a part, and how far another part lies beyond it, mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Side {
    pub(super) index: usize,
    pub(super) gap: f64,
}

/// The side along which two parts are parted, and whether it is one of the second.
///
/// Where they overlap, a side that only cuts its shape in two is no way out.
pub(super) fn parting_side(p: &Convex, q: &Convex, offset: Vector) -> (Side, bool) {
    let (any_p, outer_p) = p.widest(q, offset);
    let (any_q, outer_q) = q.widest(p, -offset);
    let wider = |one: Side, other: Side| {
        if one.gap >= other.gap {
            (one, false)
        } else {
            (other, true)
        }
    };
    match (outer_p, outer_q) {
        _ if any_p.gap.max(any_q.gap) > -SHALLOW => wider(any_p, any_q),
        (Some(one), Some(other)) => wider(one, other),
        (None, Some(other)) => (other, true),
        (Some(one), None) => (one, false),
        (None, None) => wider(any_p, any_q),
    }
}
