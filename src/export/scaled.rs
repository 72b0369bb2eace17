//! Lines and arcs made larger or smaller, for pictures that are not in true size.

use super::picture::Chain;
use crate::geometry::{Circle, Contour, Point, Segment, Vector};

/// About the origin made so many times as large, then moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scaled {
    /// Times as large.
    pub(super) factor: f64,
    /// Moved by this, mm.
    pub(super) shift: Vector,
}

impl Scaled {
    /// In true size and place.
    pub(super) const TRUE: Self = Self {
        factor: 1.0,
        shift: Vector::new(0.0, 0.0),
    };

    /// Where a point comes to lie.
    pub(super) fn point(&self, p: Point) -> Point {
        Point::ORIGIN + (p - Point::ORIGIN) * self.factor + self.shift
    }

    /// What a circle becomes.
    pub(super) fn circle(&self, circle: Circle) -> Circle {
        Circle {
            centre: self.point(circle.centre),
            radius: circle.radius * self.factor,
        }
    }

    /// What a piece becomes.
    pub(super) fn segment(&self, segment: &Segment) -> Segment {
        match *segment {
            Segment::Line { start, end } => Segment::Line {
                start: self.point(start),
                end: self.point(end),
            },
            Segment::Arc {
                start,
                end,
                centre,
                radius,
                turning,
            } => Segment::Arc {
                start: self.point(start),
                end: self.point(end),
                centre: self.point(centre),
                radius: radius * self.factor,
                turning,
            },
        }
    }

    /// What a chain becomes.
    pub(super) fn chain(&self, chain: &Chain) -> Chain {
        Chain {
            segments: chain.segments.iter().map(|it| self.segment(it)).collect(),
            ends: chain.ends,
        }
    }

    /// What a contour becomes, as a closed chain.
    pub(super) fn contour(&self, contour: &Contour) -> Chain {
        self.chain(&Chain::around(contour))
    }
}
