//! Lines and arcs as lines and cubic curves.

use pdf_writer::Content;

use crate::elementary;
use crate::export::Ends;
use crate::export::picture::Chain;
use crate::geometry::{Point, Segment};

/// Where a point of the plane lies on the page, and how far a curve may leave its arc in the plane.
pub(super) struct Trace<F> {
    pub(super) place: F,
    pub(super) tolerance: f64,
}

impl<F: Fn(Point) -> (f32, f32)> Trace<F> {
    /// Adds a chain to the path under way.
    pub(super) fn chain(&self, content: &mut Content, chain: &Chain) {
        let Some(first) = chain.segments.first() else {
            return;
        };
        let (x, y) = (self.place)(first.start());
        content.move_to(x, y);
        for segment in &chain.segments {
            self.segment(content, segment);
        }
        if chain.ends == Ends::Closed {
            content.close_path();
        }
    }

    /// Adds a piece. The handles of a curve are tangents of `4/3 tan(sweep / 4)` radii.
    fn segment(&self, content: &mut Content, segment: &Segment) {
        match *segment {
            Segment::Line { end, .. } => {
                let (x, y) = (self.place)(end);
                content.line_to(x, y);
            }
            Segment::Arc { .. } => {
                for [first, second, end] in cubics(segment, self.tolerance) {
                    let (x1, y1) = (self.place)(first);
                    let (x2, y2) = (self.place)(second);
                    let (x3, y3) = (self.place)(end);
                    content.cubic_to(x1, y1, x2, y2, x3, y3);
                }
            }
        }
    }
}

/// An arc as cubic curves: the two handles and the end of each. Handles are tangents of
/// `4/3 tan(sweep / 4)` radii. None for a line.
fn cubics(segment: &Segment, tolerance: f64) -> Vec<[Point; 3]> {
    let Segment::Arc {
        start,
        end,
        centre,
        radius,
        ..
    } = *segment
    else {
        return Vec::new();
    };
    let sweep = segment.sweep();
    let count = curves(radius, sweep.abs(), tolerance);
    let step = sweep / f64::from(count);
    let handle = 4.0 / 3.0 * elementary::tan(step / 4.0);
    let (sin, cos) = elementary::sin_cos(step);
    let mut from = start - centre;
    let mut found = Vec::new();
    for i in 1..=count {
        let turned = from * cos + from.left() * sin;
        let to = if i == count { end - centre } else { turned };
        let handles = (from + from.left() * handle, to - to.left() * handle);
        found.push([centre + handles.0, centre + handles.1, centre + to]);
        from = to;
    }
    found
}

/// How many cubic curves an arc takes. One over `sweep` leaves its circle by at most
/// `2/27 sin^6(sweep/4) / cos^2(sweep/4)` radii (plane geometry: the cubic touches the circle at its
/// middle and its ends).
fn curves(radius: f64, sweep: f64, tolerance: f64) -> u32 {
    let leaves = |count: u32| {
        let (sin, cos) = elementary::sin_cos(sweep / f64::from(count) / 4.0);
        2.0 / 27.0 * sin.powi(6) / (cos * cos) * radius
    };
    let quarters = (sweep / std::f64::consts::FRAC_PI_2).ceil().max(1.0) as u32;
    let mut count = quarters;
    while leaves(count) > tolerance {
        count += 1;
    }
    count
}

#[cfg(test)]
mod tests {
    use std::f64::consts::FRAC_PI_2;

    use lyon::geom::{CubicBezierSegment, point};

    use super::*;
    use crate::geometry::Turning;

    /// The arc of a radius about (3, -4) over a sweep from 0.7 radians on.
    fn arc(radius: f64, sweep: f64) -> Segment {
        let centre = Point::new(3.0, -4.0);
        Segment::Arc {
            start: centre.polar(radius, 0.7),
            end: centre.polar(radius, 0.7 + sweep),
            centre,
            radius,
            turning: Turning::of(sweep),
        }
    }

    /// How far the curves of an arc leave its circle at most, by a general geometry library's evaluation
    /// of cubics, and how many curves there are.
    fn leaves(arc: &Segment, radius: f64, tolerance: f64) -> (f64, usize) {
        let lyon = |p: Point| point(p.x, p.y);
        let curves = cubics(arc, tolerance);
        let mut from = arc.start();
        let mut worst: f64 = 0.0;
        for [first, second, end] in &curves {
            let curve = CubicBezierSegment {
                from: lyon(from),
                ctrl1: lyon(*first),
                ctrl2: lyon(*second),
                to: lyon(*end),
            };
            for k in 0..=200 {
                let at = curve.sample(f64::from(k) / 200.0);
                let off = (at - point(3.0, -4.0)).length() - radius;
                worst = worst.max(off.abs());
            }
            from = *end;
        }
        assert!(from.distance(arc.end()) < 1e-12);
        (worst, curves.len())
    }

    #[test]
    fn a_quarter_turn_in_one_curve_leaves_its_circle_as_published() {
        // 2.7e-4 of the radius: the usual figure for four curves to a circle (from memory).
        // A hair less than a quarter turn, which rounding may make more than one.
        let (worst, count) = leaves(&arc(1.0, FRAC_PI_2 - 1e-9), 1.0, 0.0005);
        assert_eq!(count, 1);
        assert!((worst - 2.73e-4).abs() < 1e-6, "{worst}");
    }

    #[test]
    fn curves_stay_within_the_tolerance_and_are_not_more_than_it_takes() {
        for (radius, sweep) in [
            (450.0, 3.1),
            (450.0, -3.1),
            (2.0, 6.2),
            (80.0, 0.01),
            (3.0, 1.6),
        ] {
            for tolerance in [0.01, 0.0005] {
                let arc = arc(radius, sweep);
                let (worst, count) = leaves(&arc, radius, tolerance);
                assert!(worst <= tolerance * 1.000_001, "{radius} {sweep}: {worst}");
                let fewest = (sweep.abs() / FRAC_PI_2).ceil();
                if count as f64 > fewest {
                    // One less would not do: the error goes with the sixth power of the sweep.
                    let fewer = worst * (count as f64 / (count as f64 - 1.0)).powi(6);
                    assert!(fewer * 1.001 > tolerance, "{radius} {sweep}: {fewer}");
                }
            }
        }
    }
}
