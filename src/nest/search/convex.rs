//! Convex parts of shapes, and the side along which two of them are parted.

use super::super::polygon;
use super::super::rigid_shape::RigidShape;
use crate::elementary;
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
    pub(super) fn all(shape: &RigidShape, turn: f64) -> Vec<Self> {
        let (sin, cos) = elementary::sin_cos(turn);
        let turned = |p: &Point| Point::new(p.x * cos - p.y * sin, p.x * sin + p.y * cos);
        shape
            .parts()
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
    fn widest(&self, other: &Self, offset: Vector) -> (PartingSide, Option<PartingSide>) {
        let mut any = PartingSide {
            index: 0,
            gap: f64::NEG_INFINITY,
        };
        let mut outer: Option<PartingSide> = None;
        // A side that faces the other comes first: the corner nearest to it rules most others out, for
        // the part is no farther beyond a side than any of its corners.
        let mut nearest = other.corners[0];
        let first = self.facing(other, offset);
        let n = self.normals.len();
        for index in (first..n).chain(0..first) {
            let normal = self.normals[index];
            let base = normal.dot(self.corners[index] - Point::ORIGIN) - normal.dot(offset);
            let is_outer = self.outer[index];
            let wider = |gap: f64| gap > any.gap;
            let wider_outer = |gap: f64| is_outer && outer.is_none_or(|best| gap > best.gap);
            let at_most = normal.dot(nearest - Point::ORIGIN) - base;
            if !wider(at_most) && !wider_outer(at_most) {
                continue;
            }
            let mut least = f64::INFINITY;
            for corner in &other.corners {
                let beyond = normal.dot(*corner - Point::ORIGIN);
                if beyond < least {
                    (least, nearest) = (beyond, *corner);
                }
            }
            let gap = least - base;
            let (wider, wider_outer) = (wider(gap), wider_outer(gap));
            if wider {
                any = PartingSide { index, gap };
            }
            if wider_outer {
                outer = Some(PartingSide { index, gap });
            }
        }
        (any, outer)
    }

    /// The side that faces another part most squarely.
    fn facing(&self, other: &Self, offset: Vector) -> usize {
        let towards = other.bounds.centre() + offset - self.bounds.centre();
        let squarely = |index: &usize| self.normals[*index].dot(towards);
        (0..self.normals.len())
            .max_by(|a, b| squarely(a).total_cmp(&squarely(b)))
            .unwrap_or(0)
    }
}

/// A side of a part, and how far another part lies beyond it, mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct PartingSide {
    pub(super) index: usize,
    pub(super) gap: f64,
}

/// The side along which two parts are parted, and whether it is one of the second.
///
/// Where they overlap, a side that only cuts its shape in two is no way out.
pub(super) fn parting_side(p: &Convex, q: &Convex, offset: Vector) -> (PartingSide, bool) {
    let (any_p, outer_p) = p.widest(q, offset);
    let (any_q, outer_q) = q.widest(p, -offset);
    let wider = |one: PartingSide, other: PartingSide| {
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

#[cfg(test)]
mod tests {
    use super::*;

    fn shape(corners: &[(f64, f64)]) -> RigidShape {
        let outline: Vec<Point> = corners.iter().map(|(x, y)| Point::new(*x, *y)).collect();
        RigidShape::new(&outline, &[])
    }

    /// The widest gap by looking at every corner from every side.
    fn plainly(p: &Convex, q: &Convex, offset: Vector, counts: impl Fn(usize) -> bool) -> f64 {
        let gap = |k: usize| {
            let beyond = |c: &Point| p.normals[k].dot(*c + offset - p.corners[k]);
            q.corners.iter().map(beyond).fold(f64::INFINITY, f64::min)
        };
        let sides = (0..p.normals.len()).filter(|k| counts(*k));
        sides.map(gap).fold(f64::NEG_INFINITY, f64::max)
    }

    #[test]
    fn no_side_is_wider_than_the_widest() {
        let angle = shape(&[
            (0.0, 0.0),
            (9.0, 0.0),
            (9.0, 2.0),
            (2.0, 2.0),
            (2.0, 7.0),
            (0.0, 7.0),
        ]);
        let wheel: Vec<(f64, f64)> = (0..40)
            .map(|k| (f64::from(k) * std::f64::consts::TAU / 40.0).sin_cos())
            .map(|(y, x)| (3.0 * x, 3.0 * y))
            .collect();
        let (angle, wheel) = (Convex::all(&angle, 0.4), Convex::all(&shape(&wheel), 0.0));
        assert_eq!(angle.len(), 2);
        for k in 0..21 * 21 {
            let offset = Vector::new(f64::from(k % 21) - 10.0, f64::from(k / 21) - 10.0);
            for (p, q) in [
                (&angle[0], &wheel[0]),
                (&angle[1], &wheel[0]),
                (&wheel[0], &angle[0]),
                (&angle[0], &angle[1]),
            ] {
                let (any, outer) = p.widest(q, offset);
                assert!((any.gap - plainly(p, q, offset, |_| true)).abs() < 1e-9);
                let outer = outer.map_or(f64::NEG_INFINITY, |side| side.gap);
                assert!((outer - plainly(p, q, offset, |k| p.outer[k])).abs() < 1e-9);
            }
        }
    }
}
