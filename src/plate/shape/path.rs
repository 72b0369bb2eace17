//! Outlines written as path data of SVG: mm, y up.
//!
//! In: the text of a path. Out: the region that its closed loops bound.

use lyon::geom::Transform;

use super::Shaped;
use super::nesting::nested;
use super::outline;
use super::pen::subpaths;
use crate::fault::Refusal;

/// Pieces of one path.
const MOST_PIECES: usize = 5_000;

/// The region that the loops of a path bound; a loop inside another is an opening.
pub fn path(data: &str) -> Shaped {
    let (found, _) = subpaths(data, &Transform::identity(), MOST_PIECES)?;
    if found.is_empty() {
        return Err(Refusal::new("its path has no closed loop").remedy("end each loop with Z"));
    }
    if found.iter().any(|it| !it.is_closed) {
        return Err(Refusal::new("its path does not close").remedy("end each loop with Z"));
    }
    let loops = found
        .iter()
        .map(|it| outline::contour(outline::linked(&it.pieces)));
    let loops = loops.collect::<Result<Vec<_>, _>>()?;
    nested(&loops).map_err(|p| outline::crossed(&outline::place(p)))
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::super::fitting::STRAY;
    use super::*;
    use crate::geometry::Point;

    fn area(data: &str) -> f64 {
        path(data)
            .unwrap_or_else(|why| panic!("{data}: {why}"))
            .area()
    }

    #[test]
    fn lines_are_lines_absolute_or_not() {
        let square = "M 0 0 H 40 V 30 H 0 Z";
        let same = "m0,0 h40 v30 l-40,0z";
        assert_eq!(path(square), path(same));
        assert!((area(square) - 1200.0).abs() < 1e-9);
    }

    #[test]
    fn a_circle_of_two_arcs_is_a_circle() {
        let region = path("M 60 50 A 10 10 0 0 1 40 50 A 10 10 0 0 1 60 50 Z").expect("a disc");
        let circle = region.faces[0].outside.as_circle().expect("one circle");
        assert!((circle.radius - 10.0).abs() < 1e-9);
        assert!(circle.centre.distance(Point::new(50.0, 50.0)) < 1e-9);
    }

    #[test]
    fn y_runs_up_and_the_sweep_flag_turns_left() {
        // From (10, 0) to (0, 10) turning left about the origin: a quarter disc.
        assert!((area("M 0 0 L 10 0 A 10 10 0 0 1 0 10 Z") - 25.0 * PI).abs() < 1e-9);
        // Turning right: the square less a quarter disc about (10, 10).
        assert!((area("M 0 0 L 10 0 A 10 10 0 0 0 0 10 Z") - (100.0 - 25.0 * PI)).abs() < 1e-9);
    }

    /// An ellipse has the area π a b.
    #[test]
    fn an_ellipse_becomes_smooth_arcs_of_its_area() {
        let region = path("M 50 0 A 50 20 0 0 1 -50 0 A 50 20 0 0 1 50 0 Z").expect("an ellipse");
        let (found, true_area) = (region.area(), PI * 50.0 * 20.0);
        assert!((found - true_area).abs() < STRAY * 240.0, "{found}");
        let segments = region.faces[0].outside.segments();
        assert!(segments.len() < 100, "{}", segments.len());
        for (i, piece) in segments.iter().enumerate() {
            let next = &segments[(i + 1) % segments.len()];
            let kink = piece.direction_at(1.0).cross(next.direction_at(0.0));
            assert!(kink.abs() < 1e-3, "{kink}");
            let p = piece.point_at(0.3);
            let off = (p.x / 50.0).powi(2) + (p.y / 20.0).powi(2) - 1.0;
            assert!(off.abs() * 10.0 < 2.0 * STRAY, "{p:?} {off}");
        }
    }

    /// The cubic that is usual for a quarter circle keeps within 0.027 % of its radius (published by
    /// many, from memory).
    #[test]
    fn the_usual_cubic_of_a_quarter_circle_stays_near_it() {
        let k = 55.228_475;
        let data = format!("M 0 0 L 100 0 C 100 {k} {k} 100 0 100 Z");
        assert!((area(&data) - 2500.0 * PI).abs() < 160.0 * 0.027 + STRAY * 160.0);
    }

    /// A parabola cut off by its chord has two thirds of the area of the parallelogram about it
    /// (Archimedes).
    #[test]
    fn a_quadratic_has_the_area_of_a_parabola() {
        assert!((area("M 0 0 Q 30 60 60 0 Z") - 2.0 / 3.0 * 60.0 * 30.0).abs() < STRAY * 130.0);
        let smooth = area("M 0 0 Q 15 30 30 0 T 60 0 L 60 -40 L 0 -40 Z");
        assert!(
            (smooth - 60.0 * 40.0).abs() < 2.0 * STRAY * 130.0,
            "{smooth}"
        );
    }

    #[test]
    fn smooth_cubics_go_on_from_the_one_before() {
        let written = "M 0 0 C 0 20 30 20 30 0 C 30 -20 60 -20 60 0 L 60 50 L 0 50 Z";
        let smooth = "M 0 0 C 0 20 30 20 30 0 S 60 -20 60 0 L 60 50 L 0 50 Z";
        assert_eq!(path(written), path(smooth));
    }

    #[test]
    fn a_loop_in_a_loop_is_an_opening() {
        let region = path("M 0 0 H 40 V 40 H 0 Z M 10 10 h 20 v 20 h -20 z").expect("a frame");
        assert_eq!(region.faces[0].openings.len(), 1);
        assert!((region.area() - 1200.0).abs() < 1e-9);
    }

    #[test]
    fn mistakes_are_told() {
        for (data, words) in [
            ("M 0 0 L 10 0 L 10 10", "does not close"),
            ("M 0 0 L 10 0 L 10 10 M 3 3 Z", "does not close"),
            ("M 0 0 L 10", "cannot be read"),
            ("round", "cannot be read"),
            ("", "no closed loop"),
            ("M 0 0 L 10 10 L 10 0 L 0 10 Z", "crosses"),
            ("M 0 0 L 1e300 0 L 0 1 Z", "no more than"),
        ] {
            let said = path(data).expect_err(data).to_string();
            assert!(said.contains(words), "{data}: {said}");
        }
    }
}
