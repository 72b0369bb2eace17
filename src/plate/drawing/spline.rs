//! B-splines, as DXF has them: degree, knots, control points and their weights.
//!
//! In: the numbers of a SPLINE. Out: place and direction at a parameter, by de Boor's algorithm on weighted
//! points (de Boor, On calculating with B-splines, 1972, from memory). Affine images of a spline are the splines
//! of the images of its control points, so it is moved before it is followed.

use crate::geometry::{Point, Tolerance, Vector};

/// The largest degree that is followed.
const MOST_DEGREE: usize = 25;

/// A spline in a plane.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Spline {
    degree: usize,
    /// Never falling, `degree + 1` more than control points.
    knots: Vec<f64>,
    /// Control points times their weight, and the weight.
    points: Vec<(Vector, f64)>,
}

impl Spline {
    /// `None` if the numbers are none of a spline. Where no weights are given, all are 1.
    pub(super) fn new(
        degree: usize,
        knots: &[f64],
        points: &[Point],
        weights: &[f64],
    ) -> Option<Self> {
        let is_whole = (1..=MOST_DEGREE).contains(&degree)
            && points.len() > degree
            && knots.len() == points.len() + degree + 1
            && knots.is_sorted()
            && (weights.is_empty() || weights.len() == points.len())
            && weights.iter().all(|it| *it > 0.0);
        let weight = |at: usize| weights.get(at).copied().unwrap_or(1.0);
        let weighted = points.iter().enumerate();
        let weighted = weighted.map(|(at, p)| ((*p - Point::ORIGIN) * weight(at), weight(at)));
        let spline = Self {
            degree,
            knots: knots.to_vec(),
            points: weighted.collect(),
        };
        (is_whole && !spline.spans().is_empty()).then_some(spline)
    }

    /// Its stretches without a kink, each between two parameters, with whether it is straight.
    pub(super) fn spans(&self) -> Vec<(f64, f64, bool)> {
        let inner = &self.knots[self.degree..=self.points.len()];
        let spans = inner.windows(2).enumerate().filter(|(_, it)| it[0] < it[1]);
        let spans = spans.map(|(at, it)| (it[0], it[1], self.is_straight(at)));
        spans.collect()
    }

    /// Whether the control points of the stretch from a knot on lie on one line.
    fn is_straight(&self, from: usize) -> bool {
        let place = |(at, weight): &(Vector, f64)| *at * (1.0 / weight);
        let own: Vec<Vector> = self.points[from..=from + self.degree]
            .iter()
            .map(place)
            .collect();
        let (first, last) = (own[0], own[self.degree]);
        let Some(along) = (last - first).unit() else {
            return false;
        };
        own.iter()
            .all(|it| (*it - first).cross(along).abs() < Tolerance::ROUNDING)
    }

    /// Place and direction at a parameter of the stretch between two.
    pub(super) fn at(&self, t: f64, (from, to): (f64, f64)) -> (Point, Vector) {
        let p = self.degree;
        // The stretch is known: at a knot the one that is asked for counts.
        let middle = f64::midpoint(from, to);
        let span = self.knots.partition_point(|knot| *knot <= middle) - 1;
        let mut row: Vec<(Vector, f64)> = self.points[span - p..=span].to_vec();
        let mut change = (Vector::default(), 0.0);
        for level in 1..=p {
            for at in (level..=p).rev() {
                let low = self.knots[span - p + at];
                let high = self.knots[span + 1 + at - level];
                let share = (t - low) / (high - low);
                let ((a, wa), (b, wb)) = (row[at - 1], row[at]);
                if level == p {
                    let pace = p as f64 / (high - low);
                    change = ((b - a) * pace, (wb - wa) * pace);
                }
                row[at] = (
                    a * (1.0 - share) + b * share,
                    wa * (1.0 - share) + wb * share,
                );
            }
        }
        let (place, weight) = row[p];
        let place = place * (1.0 / weight);
        let along = (change.0 - place * change.1) * (1.0 / weight);
        (Point::ORIGIN + place, along)
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::FRAC_PI_2;

    use super::*;

    /// A quarter circle is a rational quadratic with the middle weight √½ (Piegl and Tiller, The NURBS Book,
    /// from memory).
    #[test]
    fn a_rational_quadratic_is_a_quarter_circle() {
        let points = [
            Point::new(10.0, 0.0),
            Point::new(10.0, 10.0),
            Point::new(0.0, 10.0),
        ];
        let knots = [0.0, 0.0, 0.0, 1.0, 1.0, 1.0];
        let spline = Spline::new(2, &knots, &points, &[1.0, 0.5_f64.sqrt(), 1.0]).expect("whole");
        assert_eq!(spline.spans(), [(0.0, 1.0, false)]);
        for k in 0..=10 {
            let (p, along) = spline.at(f64::from(k) / 10.0, (0.0, 1.0));
            assert!((p.distance(Point::ORIGIN) - 10.0).abs() < 1e-12);
            let square = (p - Point::ORIGIN).angle() + FRAC_PI_2;
            assert!((along.angle() - square).abs() < 1e-12);
        }
    }

    /// With its ends alone as knots a spline is the Bézier curve of its points: (3 p1 + p2) / 4 … by hand.
    #[test]
    fn a_cubic_is_its_bezier_curve_and_a_line_is_straight() {
        let points = [0.0, 1.0, 3.0, 4.0].map(|x| Point::new(x, if x == 1.0 { 4.0 } else { 0.0 }));
        let knots = [0.0, 0.0, 0.0, 0.0, 2.0, 2.0, 2.0, 2.0];
        let spline = Spline::new(3, &knots, &points, &[]).expect("whole");
        let (middle, _) = spline.at(1.0, (0.0, 2.0));
        assert!(middle.distance(Point::new(2.0, 1.5)) < 1e-12);
        let (start, leaving) = spline.at(0.0, (0.0, 2.0));
        assert!(start.distance(points[0]) < 1e-12);
        assert!((leaving - Vector::new(1.5, 6.0)).length() < 1e-12);
        let line = [0.0, 1.0, 2.0, 5.0].map(|x| Point::new(x, 2.0 * x));
        let line = Spline::new(3, &knots, &line, &[]).expect("whole");
        assert_eq!(line.spans(), [(0.0, 2.0, true)]);
    }

    #[test]
    fn numbers_that_are_none_of_a_spline_are_told() {
        let points = [Point::ORIGIN, Point::new(1.0, 0.0), Point::new(1.0, 1.0)];
        let knots = [0.0, 0.0, 0.0, 1.0, 1.0, 1.0];
        assert!(Spline::new(2, &knots, &points, &[]).is_some());
        assert!(Spline::new(2, &knots[1..], &points, &[]).is_none());
        assert!(Spline::new(2, &[0.0; 6], &points, &[]).is_none());
        assert!(Spline::new(2, &knots, &points, &[1.0, -1.0, 1.0]).is_none());
        assert!(Spline::new(0, &knots, &points, &[]).is_none());
    }
}
