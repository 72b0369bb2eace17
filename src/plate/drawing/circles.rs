//! Circles that a drawing has in pieces: many programs write them as curves or short lines.

use crate::geometry::{Contour, Point, Segment};

/// A contour that keeps within this of a circle, mm, is one: far less than a table tells apart.
pub(super) const NEAR: f64 = 0.01;
/// Smaller ones, mm in radius, are left as they are: there everything is near a circle.
const LEAST: f64 = 0.5;

/// The contours, those that are circles in pieces as true circles; and how many that were.
pub(super) fn recovered(contours: Vec<Contour>) -> (Vec<Contour>, u32) {
    let mut count = 0;
    let each = contours.into_iter().map(|contour| match circle(&contour) {
        Some((centre, radius)) => {
            count += 1;
            Contour::circle(centre, radius)
        }
        None => contour,
    });
    let contours = each.collect();
    (contours, count)
}

/// The circle that a contour of several pieces keeps near to.
fn circle(contour: &Contour) -> Option<(Point, f64)> {
    let pieces = contour.segments();
    if contour.as_circle().is_some() || pieces.len() < 3 {
        return None;
    }
    let ends: Vec<Point> = pieces.iter().map(Segment::start).collect();
    let (centre, radius) = nearest_circle(&ends)?;
    let off = |p: Point| (p.distance(centre) - radius).abs();
    let mut places = pieces.iter().flat_map(|it| [it.start(), it.point_at(0.5)]);
    // Once round it, and not several times: the area tells.
    let area = contour.signed_area().abs() / (std::f64::consts::PI * radius * radius);
    let is_near = radius > LEAST && (0.98..1.02).contains(&area);
    (is_near && places.all(|p| off(p) <= NEAR)).then_some((centre, radius))
}

/// The circle with the least sum of squares of (distance² − radius²) over the points (Kåsa 1976, from
/// memory): linear in centre and radius² − centre².
fn nearest_circle(points: &[Point]) -> Option<(Point, f64)> {
    let count = points.len() as f64;
    let mean = |of: &dyn Fn(Point) -> f64| points.iter().map(|p| of(*p)).sum::<f64>() / count;
    let (x, y) = (mean(&|p| p.x), mean(&|p| p.y));
    let square = |p: Point| (p.x - x).powi(2) + (p.y - y).powi(2);
    let xx = mean(&|p| (p.x - x).powi(2));
    let yy = mean(&|p| (p.y - y).powi(2));
    let xy = mean(&|p| (p.x - x) * (p.y - y));
    let xs = mean(&|p| (p.x - x) * square(p)) / 2.0;
    let ys = mean(&|p| (p.y - y) * square(p)) / 2.0;
    let det = xx * yy - xy * xy;
    if det <= f64::EPSILON * (xx + yy).powi(2) {
        return None;
    }
    let (dx, dy) = ((xs * yy - ys * xy) / det, (ys * xx - xs * xy) / det);
    let radius = (xx + yy + dx * dx + dy * dy).sqrt();
    Some((Point::new(x + dx, y + dy), radius))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    fn chords(count: u32, radius: f64) -> Contour {
        let at = |k: u32| {
            Point::new(7.0, -3.0).polar(radius, TAU * f64::from(k % count) / f64::from(count))
        };
        let pieces = (0..count).map(|k| Segment::Line {
            start: at(k),
            end: at(k + 1),
        });
        Contour::new(pieces.collect()).expect("closed")
    }

    /// A chord of 1/n of a circle of radius r stands r (1 - cos(π/n)) off it.
    #[test]
    fn short_chords_are_a_circle_and_long_ones_a_polygon() {
        let fine = 20.0 * (1.0 - (std::f64::consts::PI / 100.0).cos());
        assert!((0.0098..NEAR).contains(&fine), "{fine}");
        let (found, count) = recovered(vec![chords(100, 20.0), chords(6, 20.0), chords(98, 20.0)]);
        assert_eq!(count, 1);
        let circle = found[0].as_circle().expect("a circle");
        assert!((circle.radius - 20.0).abs() < NEAR);
        assert!(circle.centre.distance(Point::new(7.0, -3.0)) < 1e-9);
        assert!(found[1].as_circle().is_none() && found[2].as_circle().is_none());
    }
}
