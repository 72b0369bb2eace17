//! Lines and arcs made larger or smaller, for pictures that are not in true size.

use super::picture::Chain;
use crate::geometry::{Bounds, Circle, Contour, Point, Segment, Vector};

/// About the origin made so many times as large, perhaps turned by a quarter, then moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scaled {
    /// Times as large.
    pub(super) factor: f64,
    /// Moved by this, mm.
    pub(super) shift: Vector,
    /// Turned a quarter counter-clockwise before it is moved.
    pub(super) is_turned: bool,
}

impl Scaled {
    /// In true size and place.
    pub(super) const TRUE: Self = Self::upright(1.0, Vector::new(0.0, 0.0));

    /// Not turned.
    pub(super) const fn upright(factor: f64, shift: Vector) -> Self {
        Self {
            factor,
            shift,
            is_turned: false,
        }
    }

    /// Where a point comes to lie.
    pub(super) fn point(&self, p: Point) -> Point {
        let from_origin = p - Point::ORIGIN;
        let from_origin = if self.is_turned {
            from_origin.left()
        } else {
            from_origin
        };
        Point::ORIGIN + from_origin * self.factor + self.shift
    }

    /// The point that comes to lie there.
    pub(super) fn back(&self, p: Point) -> Point {
        let from_origin = (p - Point::ORIGIN - self.shift) * (1.0 / self.factor);
        let from_origin = if self.is_turned {
            -from_origin.left()
        } else {
            from_origin
        };
        Point::ORIGIN + from_origin
    }

    /// What a box becomes.
    pub(super) fn bounds(&self, bounds: Bounds) -> Bounds {
        let (one, other) = (self.point(bounds.min), self.point(bounds.max));
        if self.is_turned {
            Bounds::around([one, other])
        } else {
            Bounds {
                min: one,
                max: other,
            }
        }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_turn_takes_x_up_and_y_to_the_left_and_back() {
        let turned = Scaled {
            is_turned: true,
            ..Scaled::upright(0.5, Vector::new(100.0, 7.0))
        };
        assert_eq!(turned.point(Point::new(40.0, 0.0)), Point::new(100.0, 27.0));
        assert_eq!(turned.point(Point::new(0.0, 40.0)), Point::new(80.0, 7.0));
        let around = turned.bounds(Bounds::around([Point::ORIGIN, Point::new(40.0, 10.0)]));
        assert_eq!(around.min, Point::new(95.0, 7.0));
        assert_eq!(around.max, Point::new(100.0, 27.0));
        for scaled in [turned, Scaled::upright(2.0, Vector::new(-3.0, 4.0))] {
            let p = Point::new(12.0, -8.0);
            assert_eq!(scaled.back(scaled.point(p)), p);
        }
    }
}
