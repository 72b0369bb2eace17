//! Circles that a drawing has in pieces: many programs write them as curves or short lines.

use super::recovery::chord_of_circle;
use super::telling::Recovered;
use crate::geometry::{Contour, Point, Segment};

/// Smaller ones, mm in radius, are left as they are: there everything is near a circle.
const LEAST: f64 = 0.5;

/// The contour, as a true circle if it is one in pieces that keep within this of it, mm.
pub(super) fn recovered(contour: Contour, fit: f64, told: &mut Recovered) -> Contour {
    match circle(&contour, fit) {
        Some((centre, radius, off, beside)) => {
            told.add_circle(off, beside);
            Contour::circle(centre, radius)
        }
        None => contour,
    }
}

/// The circle that a contour of several pieces keeps near to: centre, radius, how far an end or the middle of
/// an arc is off it, and how far the middle of a chord.
fn circle(contour: &Contour, fit: f64) -> Option<(Point, f64, f64, f64)> {
    let pieces = contour.segments();
    if fit <= 0.0 || contour.as_circle().is_some() || pieces.len() < 3 {
        return None;
    }
    let ends: Vec<Point> = pieces.iter().map(Segment::start).collect();
    let (centre, radius) = nearest_circle(&ends)?;
    let from_it = |p: Point| (p.distance(centre) - radius).abs();
    // Once round it, and not several times: the area tells.
    let area = contour.signed_area().abs() / (std::f64::consts::PI * radius * radius);
    if radius <= LEAST || !(0.8..1.02).contains(&area) {
        return None;
    }
    let (mut off, mut beside) = (0.0_f64, 0.0_f64);
    for piece in pieces {
        off = off.max(from_it(piece.start()));
        match piece {
            Segment::Line { .. } => beside = beside.max(chord_of_circle(piece.length(), radius)?),
            Segment::Arc { .. } => off = off.max(from_it(piece.point_at(0.5))),
        }
    }
    (off <= fit).then_some((centre, radius, off, beside))
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

    /// A side of a hexagon is of 60°, one of a heptagon of 51.4°. Chords of 1/24 of a circle of 20 mm radius
    /// stand 20 (1 - cos(π/24)) = 0.171 mm off it, those of 1/9 1.2 mm.
    #[test]
    fn short_chords_are_a_circle_and_long_ones_a_polygon() {
        let made = |count: u32, radius: f64, fit: f64| {
            let mut told = Recovered::default();
            let found = recovered(chords(count, radius), fit, &mut told);
            (found.as_circle(), told)
        };
        let (circle, told) = made(24, 20.0, 0.01);
        let circle = circle.expect("a circle");
        assert!((circle.radius - 20.0).abs() < 1e-9);
        assert!(circle.centre.distance(Point::new(7.0, -3.0)) < 1e-9);
        assert_eq!(told.circles, 1);
        assert!(told.off < 1e-9 && (told.beside - 0.171).abs() < 5e-4);
        assert!(made(7, 4.0, 0.01).0.is_some());
        assert!(made(6, 4.0, 0.01).0.is_none());
        assert!(made(9, 20.0, 0.01).0.is_none());
        assert!(made(24, 20.0, 0.0).0.is_none());
    }
}
