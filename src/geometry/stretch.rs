//! Which stretches of a straight line lie within a region.

use super::tolerance::Tolerance;
use super::{Bounds, Contour, Point, Region, Segment};

impl Region {
    /// The stretches of the line from one point to another that lie within the region, in the order of the
    /// line, each from its start to its end.
    #[must_use]
    pub fn stretches(&self, from: Point, to: Point) -> Vec<(Point, Point)> {
        let line = Segment::Line {
            start: from,
            end: to,
        };
        let length = line.length();
        let box_of_line = Bounds::around([from, to]).grown(Tolerance::SAME);
        let pieces = self.contours().flat_map(Contour::segments);
        let near = pieces.filter(|it| it.bounds().meets(box_of_line));
        let mut cuts: Vec<f64> = near
            .flat_map(|it| it.meeting_points(&line))
            .map(|p| from.distance(p).min(length))
            .chain([0.0, length])
            .collect();
        cuts.sort_by(f64::total_cmp);
        let mut found: Vec<(f64, f64)> = Vec::new();
        for ends in cuts.windows(2) {
            let (a, b) = (ends[0], ends[1]);
            if b - a <= Tolerance::SAME
                || !self.contains(from.lerp(to, f64::midpoint(a, b) / length))
            {
                continue;
            }
            match found.last_mut() {
                Some(last) if a - last.1 <= Tolerance::SAME => last.1 = b,
                _ => found.push((a, b)),
            }
        }
        let at = |along: f64| from.lerp(to, along / length);
        found.into_iter().map(|(a, b)| (at(a), at(b))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Contour, Face};

    #[test]
    fn a_line_through_a_ring_lies_in_it_twice() {
        let ring = Region {
            faces: vec![Face {
                outside: Contour::circle(Point::ORIGIN, 5.0),
                openings: vec![Contour::circle(Point::ORIGIN, 3.0).reversed()],
            }],
        };
        let found = ring.stretches(Point::new(-9.0, 0.0), Point::new(9.0, 0.0));
        let xs: Vec<f64> = found.iter().flat_map(|(a, b)| [a.x, b.x]).collect();
        for (x, wanted) in xs.iter().zip([-5.0, -3.0, 3.0, 5.0]) {
            assert!((x - wanted).abs() < 1e-9, "{xs:?}");
        }
        assert_eq!(xs.len(), 4);
        // A chord 4 mm off the middle of a circle of 5 mm is 6 mm long: 3, 4, 5.
        let beside = ring.stretches(Point::new(-9.0, 4.0), Point::new(9.0, 4.0));
        assert_eq!(beside.len(), 1);
        assert!((beside[0].0.distance(beside[0].1) - 6.0).abs() < 1e-9);
        assert!(
            ring.stretches(Point::new(-9.0, 6.0), Point::new(9.0, 6.0))
                .is_empty()
        );
    }
}
