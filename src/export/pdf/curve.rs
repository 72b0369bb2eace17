//! Lines and arcs as lines and cubic curves.

use pdf_writer::Content;

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
            Segment::Arc {
                start,
                end,
                centre,
                radius,
                ..
            } => {
                let sweep = segment.sweep();
                let count = curves(radius, sweep.abs(), self.tolerance);
                let step = sweep / f64::from(count);
                let handle = 4.0 / 3.0 * (step / 4.0).tan();
                let (sin, cos) = step.sin_cos();
                let mut from = start - centre;
                for i in 1..=count {
                    let turned = from * cos + from.left() * sin;
                    let to = if i == count { end - centre } else { turned };
                    let (x1, y1) = (self.place)(centre + from + from.left() * handle);
                    let (x2, y2) = (self.place)(centre + to - to.left() * handle);
                    let (x3, y3) = (self.place)(centre + to);
                    content.cubic_to(x1, y1, x2, y2, x3, y3);
                    from = to;
                }
            }
        }
    }
}

/// How many cubic curves an arc takes. One over `sweep` leaves its circle by at most
/// `2/27 sin^6(sweep/4) / cos^2(sweep/4)` radii (plane geometry: the cubic touches the circle at its
/// middle and its ends).
fn curves(radius: f64, sweep: f64, tolerance: f64) -> u32 {
    let leaves = |count: u32| {
        let (sin, cos) = (sweep / f64::from(count) / 4.0).sin_cos();
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
    use std::f64::consts::{FRAC_PI_2, PI};

    use super::*;

    #[test]
    fn a_quarter_turn_in_one_curve_leaves_its_circle_as_published() {
        // 2.7e-4 of the radius: the usual figure for four curves to a circle (from memory).
        let (sin, cos) = (FRAC_PI_2 / 4.0).sin_cos();
        let leaves = 2.0 / 27.0 * sin.powi(6) / (cos * cos);
        assert!((leaves - 2.73e-4).abs() < 1e-6, "{leaves}");
        assert_eq!(curves(1.0, FRAC_PI_2, 0.0005), 1);
        assert!(curves(450.0, PI, 0.0005) > 4);
    }
}
