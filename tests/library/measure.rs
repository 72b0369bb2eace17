//! Measuring and flattening against closed forms, dense sampling and an independent library.

use std::f64::consts::{FRAC_PI_2, PI, SQRT_2, TAU};

use approx::assert_relative_eq;
use geo::{Area, Contains};
use platewright::geometry::{Contour, Face, Point, Region, Segment, Side, Turning};
use proptest::prelude::*;

/// What rounding may cost, mm.
const EXACT: f64 = 1e-9;

fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Segment {
    Segment::Line {
        start: Point::new(x0, y0),
        end: Point::new(x1, y1),
    }
}

fn arc(centre: Point, radius: f64, from: f64, sweep: f64) -> Segment {
    Segment::Arc {
        start: centre.polar(radius, from),
        end: centre.polar(radius, from + sweep),
        centre,
        radius,
        turning: if sweep > 0.0 {
            Turning::Left
        } else {
            Turning::Right
        },
    }
}

fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Contour {
    Contour::polygon(&[
        Point::new(x0, y0),
        Point::new(x1, y0),
        Point::new(x1, y1),
        Point::new(x0, y1),
    ])
    .expect("a rectangle")
}

/// The gap between two pieces, after checking that its points lie on them and that it is the same
/// seen from either.
fn distance(a: &Segment, b: &Segment) -> f64 {
    let gap = a.gap_to(b);
    assert_relative_eq!(gap.from.distance(gap.to), gap.distance, epsilon = EXACT);
    assert!(
        a.gap_to_point(gap.from).distance < EXACT,
        "{gap:?} leaves {a:?}"
    );
    assert!(
        b.gap_to_point(gap.to).distance < EXACT,
        "{gap:?} leaves {b:?}"
    );
    assert_relative_eq!(b.gap_to(a).distance, gap.distance, epsilon = EXACT);
    gap.distance
}

fn assert_mm(found: f64, expected: f64) {
    assert_relative_eq!(found, expected, epsilon = EXACT);
}

#[test]
fn lines_side_by_side_crossing_and_end_to_end() {
    let base = line(0.0, 0.0, 10.0, 0.0);
    assert_mm(distance(&base, &line(2.0, 3.0, 8.0, 3.0)), 3.0);
    assert_mm(distance(&base, &line(13.0, 4.0, 20.0, 9.0)), 5.0);
    assert_mm(distance(&base, &line(5.0, -1.0, 5.0, 1.0)), 0.0);
    assert_mm(distance(&base, &line(4.0, 0.0, 30.0, 0.0)), 0.0);
    assert_mm(distance(&base, &line(12.5, 0.0, 30.0, 0.0)), 2.5);
    let crossing = base.gap_to(&line(3.0, -1.0, 5.0, 1.0));
    assert_mm(crossing.from.x, 4.0);
    assert_mm(crossing.from.y, 0.0);
}

#[test]
fn a_line_and_an_arc() {
    let top = arc(Point::ORIGIN, 5.0, 0.0, PI);
    assert_mm(distance(&top, &line(-9.0, 7.0, 9.0, 7.0)), 2.0);
    assert_mm(distance(&top, &line(-9.0, 5.0, 9.0, 5.0)), 0.0);
    assert_mm(distance(&top, &line(-9.0, 3.0, 9.0, 3.0)), 0.0);
    // Below the half turn only its ends are near.
    assert_mm(distance(&top, &line(-9.0, -6.0, 9.0, -6.0)), 6.0);
    // Wholly inside the circle.
    assert_mm(distance(&top, &line(0.0, 1.0, 1.0, 1.0)), 5.0 - SQRT_2);
}

#[test]
fn two_arcs() {
    let half = |x: f64, r: f64, from: f64| arc(Point::new(x, 0.0), r, from, PI);
    let right = half(0.0, 5.0, -FRAC_PI_2);
    assert_mm(distance(&right, &half(20.0, 5.0, FRAC_PI_2)), 10.0); // facing
    assert_mm(distance(&right, &half(10.0, 5.0, FRAC_PI_2)), 0.0); // touching
    assert_mm(distance(&right, &half(1.0, 2.0, -FRAC_PI_2)), 2.0); // nested
    assert_mm(distance(&right, &half(0.0, 3.0, -FRAC_PI_2)), 2.0); // concentric
    assert_mm(distance(&right, &half(8.0, 5.0, FRAC_PI_2)), 0.0); // crossing
    assert_mm(distance(&right, &half(-20.0, 5.0, FRAC_PI_2)), 20.0); // back to back
}

#[test]
fn contours_and_regions() {
    let plate = rectangle(0.0, 0.0, 100.0, 60.0);
    let hole = Contour::circle(Point::new(30.0, 30.0), 10.0);
    assert_mm(plate.gap_to(&hole).distance, 20.0);
    assert_mm(hole.gap_to_point(Point::new(30.0, 30.0)).distance, 10.0);
    let drilled = Region {
        faces: vec![Face {
            outside: plate,
            openings: vec![hole.reversed()],
        }],
    };
    assert!(drilled.contains(Point::new(10.0, 10.0)));
    assert!(drilled.contains(Point::new(0.0, 10.0)), "the edge counts");
    assert!(
        drilled.contains(Point::new(40.0, 30.0)),
        "so does a hole's edge"
    );
    assert!(!drilled.contains(Point::new(30.0, 35.0)));
    assert!(!drilled.contains(Point::new(101.0, 10.0)));

    let plug = |r: f64| Region {
        faces: vec![Face {
            outside: Contour::circle(Point::new(30.0, 30.0), r),
            openings: vec![],
        }],
    };
    let gap = |r: f64| drilled.gap_to(&plug(r)).expect("neither is empty").distance;
    assert_mm(gap(8.0), 2.0);
    assert_mm(gap(12.0), 0.0);
    assert_mm(gap(300.0), 0.0);
    assert!(drilled.gap_to(&Region::EMPTY).is_none());
}

/// The chords of a circle's two halves run through its middle: a point on them is inside once, not
/// twice or never.
#[test]
fn a_circle_encloses_the_points_on_its_own_chords() {
    let level = Contour::circle(Point::ORIGIN, 10.0);
    let upright = Contour::new(vec![
        arc(Point::ORIGIN, 10.0, FRAC_PI_2, PI),
        arc(Point::ORIGIN, 10.0, -FRAC_PI_2, PI),
    ])
    .expect("a circle");
    for circle in [level, upright] {
        for way in [circle.reversed(), circle] {
            for t in [-0.9, -0.5, 0.0, 0.25, 0.9] {
                assert!(way.encloses(Point::new(10.0 * t, 0.0)));
                assert!(way.encloses(Point::new(0.0, 10.0 * t)));
                assert!(!way.encloses(Point::new(10.0 + t.abs(), 10.0 * t)));
            }
        }
    }
}

#[test]
fn the_widest_circle_of_plain_shapes() {
    let square = rectangle(-10.0, -10.0, 10.0, 10.0);
    assert_relative_eq!(square.widest_circle(0.01).radius, 10.0, epsilon = 0.01);
    // A 3-4-5 triangle has an inscribed circle of radius 1 about (1, 1).
    let triangle = Contour::polygon(&[
        Point::new(0.0, 0.0),
        Point::new(4.0, 0.0),
        Point::new(0.0, 3.0),
    ])
    .expect("a triangle");
    let circle = triangle.widest_circle(0.001);
    assert_relative_eq!(circle.radius, 1.0, epsilon = 0.001);
    assert_relative_eq!(circle.centre.x, 1.0, epsilon = 0.01);
    assert_relative_eq!(circle.centre.y, 1.0, epsilon = 0.01);
    // A ring of 30 to 100 mm radius has room for 35 mm.
    let ring = Face {
        outside: Contour::circle(Point::ORIGIN, 100.0),
        openings: vec![Contour::circle(Point::ORIGIN, 30.0).reversed()],
    };
    assert_relative_eq!(ring.widest_circle(0.01).radius, 35.0, epsilon = 0.01);
}

/// A piece drawn from round numbers, so that touching, concentric and parallel pairs come up often.
fn any_segment() -> impl Strategy<Value = Segment> {
    let coordinate = || (-8i32..=8).prop_map(f64::from);
    let straight = (coordinate(), coordinate(), coordinate(), coordinate())
        .prop_filter("zero length", |(a, b, c, d)| a != c || b != d)
        .prop_map(|(a, b, c, d)| line(a, b, c, d));
    let curved = (
        coordinate(),
        coordinate(),
        1i32..=8,
        0i32..12,
        1i32..=6,
        any::<bool>(),
    )
        .prop_map(|(x, y, r, from, sweep, left)| {
            let sweep = f64::from(sweep) * PI / 6.0 * if left { 1.0 } else { -1.0 };
            arc(
                Point::new(x, y),
                f64::from(r),
                f64::from(from) * PI / 6.0,
                sweep,
            )
        });
    prop_oneof![straight, curved]
}

/// The closest of many points along each.
fn sampled(a: &Segment, b: &Segment, steps: u32) -> f64 {
    let along = |segment: &Segment| -> Vec<Point> {
        (0..=steps)
            .map(|i| segment.point_at(f64::from(i) / f64::from(steps)))
            .collect()
    };
    let theirs = along(b);
    along(a)
        .iter()
        .flat_map(|p| theirs.iter().map(move |q| p.distance(*q)))
        .fold(f64::INFINITY, f64::min)
}

/// A loop with straight and curved edges around the origin: a star of vertices with bulges too
/// shallow to make it cross itself.
fn any_loop() -> impl Strategy<Value = Contour> {
    prop::collection::vec((20.0f64..60.0, -0.3f64..0.3), 5..12).prop_map(|spokes| {
        let n = spokes.len() as f64;
        let vertices: Vec<(f64, f64, f64)> = spokes
            .iter()
            .enumerate()
            .map(|(i, (r, bulge))| {
                let p = Point::ORIGIN.polar(*r, i as f64 / n * TAU);
                (p.x, p.y, *bulge * 0.3)
            })
            .collect();
        Contour::from_bulges(&vertices).expect("a closed chain")
    })
}

fn polygon(points: &[Point]) -> geo::Polygon<f64> {
    geo::Polygon::new(points.iter().map(|p| (p.x, p.y)).collect(), vec![])
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_gap_is_what_dense_sampling_finds(a in any_segment(), b in any_segment()) {
        let steps = 300;
        let exact = distance(&a, &b);
        let coarse = sampled(&a, &b, steps);
        let spacing = (a.length() + b.length()) / f64::from(steps);
        prop_assert!(exact <= coarse + EXACT, "exact {exact}, but samples are {coarse} apart");
        prop_assert!(coarse <= exact + spacing, "exact {exact}, samples only reach {coarse}");
    }

    #[test]
    fn enclosing_agrees_with_a_fine_polygon(outline in any_loop(), x in -70.0f64..70.0, y in -70.0f64..70.0) {
        let p = Point::new(x, y);
        let tolerance = 0.001;
        prop_assume!(outline.gap_to_point(p).distance > tolerance);
        let fine = polygon(&outline.flattened(tolerance, Side::OnCurve));
        prop_assert_eq!(outline.encloses(p), fine.contains(&geo::point!(x: x, y: y)));
        prop_assert_eq!(outline.reversed().encloses(p), outline.encloses(p));
    }

    #[test]
    fn enclosing_is_right_level_with_every_vertex(outline in any_loop(), nudge in -5i32..=5) {
        for segment in outline.segments() {
            let p = Point::new(f64::from(nudge) * 7.0, segment.start().y);
            if outline.gap_to_point(p).distance > 0.001 {
                let fine = polygon(&outline.flattened(0.001, Side::OnCurve));
                prop_assert_eq!(outline.encloses(p), fine.contains(&geo::point!(x: p.x, y: p.y)));
            }
        }
    }

    #[test]
    fn enclosing_is_right_on_every_chord(outline in any_loop(), t in 0.1f64..0.9) {
        for segment in outline.segments() {
            let p = segment.start().lerp(segment.end(), t);
            if outline.gap_to_point(p).distance > 0.001 {
                let fine = polygon(&outline.flattened(0.001, Side::OnCurve));
                prop_assert_eq!(outline.encloses(p), fine.contains(&geo::point!(x: p.x, y: p.y)));
            }
        }
    }

    #[test]
    fn flattening_keeps_its_tolerance_and_its_side(outline in any_loop(), tolerance in 0.001f64..0.5) {
        for (side, sign) in [(Side::OnCurve, 0.0), (Side::Outward, 1.0), (Side::Inward, -1.0)] {
            let points = outline.flattened(tolerance, side);
            for (i, a) in points.iter().enumerate() {
                let b = points[(i + 1) % points.len()];
                for k in 0..8 {
                    let p = a.lerp(b, f64::from(k) / 8.0);
                    let off = outline.gap_to_point(p).distance;
                    prop_assert!(off <= tolerance + EXACT, "{off} mm off at a tolerance of {tolerance}");
                    let outside = !outline.encloses(p);
                    prop_assert!(off < EXACT || sign == 0.0 || outside == (sign > 0.0), "{side:?} but {off} mm on the other side");
                }
            }
            let more = polygon(&points).unsigned_area() - outline.signed_area();
            prop_assert!(sign == 0.0 || more * sign >= -EXACT);
        }
    }
}

#[test]
fn a_coarse_tolerance_still_gives_a_polygon() {
    for side in [Side::OnCurve, Side::Outward, Side::Inward] {
        let points = Contour::circle(Point::ORIGIN, 1.0).flattened(1000.0, side);
        assert!(points.len() >= 8, "{side:?}: {} points", points.len());
    }
}

#[test]
fn geo_sees_the_same_area() {
    let region = Region {
        faces: vec![Face {
            outside: rectangle(0.0, 0.0, 100.0, 60.0),
            openings: vec![Contour::circle(Point::new(30.0, 30.0), 10.0).reversed()],
        }],
    };
    // Chords cut off at most two thirds of tolerance times length.
    assert_relative_eq!(
        region.to_geo(0.001).unsigned_area(),
        6000.0 - 100.0 * PI,
        epsilon = 0.001 * 20.0 * PI
    );
}

#[test]
fn a_circle_fits_if_it_is_no_wider_than_the_widest() {
    let square = rectangle(-10.0, -10.0, 10.0, 10.0);
    let ring = Face {
        outside: Contour::circle(Point::ORIGIN, 100.0),
        openings: vec![Contour::circle(Point::ORIGIN, 30.0).reversed()],
    };
    for share in [0.2, 0.9, 0.99, 1.01, 1.5] {
        assert_eq!(
            square.holds_circle(10.0 * share, 0.01),
            share < 1.0,
            "{share}"
        );
        assert_eq!(
            ring.holds_circle(35.0 * share, 0.01),
            share < 1.0,
            "{share}"
        );
    }
}
