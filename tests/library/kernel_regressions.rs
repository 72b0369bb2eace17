//! Faults that arrangement kernels have had, each with the smallest scene that shows it.

use std::f64::consts::PI;

use approx::assert_relative_eq;
use platewright::geometry::{Contour, Face, Point, Region};

fn solid(outside: Contour) -> Region {
    Region {
        faces: vec![Face {
            outside,
            openings: Vec::new(),
        }],
    }
}

fn disc(x: f64, y: f64, radius: f64) -> Region {
    solid(Contour::circle(Point::new(x, y), radius))
}

fn polygon(corners: &[(f64, f64)]) -> Region {
    let points: Vec<Point> = corners.iter().map(|&(x, y)| Point::new(x, y)).collect();
    solid(Contour::polygon(&points).expect("a polygon"))
}

fn rectangle(left: f64, low: f64, right: f64, high: f64) -> Region {
    polygon(&[(left, low), (right, low), (right, high), (left, high)])
}

fn shape(region: &Region) -> (usize, usize) {
    let openings = region.faces.iter().map(|face| face.openings.len()).sum();
    (region.faces.len(), openings)
}

#[test]
fn an_almost_full_circle_keeps_its_sweep() {
    let notch = rectangle(19.0, -0.01, 21.0, 0.01);
    let notched = disc(0.0, 0.0, 20.0).difference(&notch).unwrap();
    assert_eq!(shape(&notched), (1, 0));
    assert_relative_eq!(notched.area(), PI * 400.0 - 0.02, epsilon = 1e-4);
    assert!(notched.faces[0].outside.as_circle().is_none());
}

#[test]
fn a_cusp_grows_by_a_whole_disc() {
    // Two discs that touch from within leave a crescent with a cusp at (20, 0).
    let crescent = disc(0.0, 0.0, 20.0)
        .difference(&disc(5.0, 0.0, 15.0))
        .unwrap();
    assert_relative_eq!(crescent.area(), PI * 175.0, epsilon = 1e-6);
    let grown = crescent.offset(2.0).unwrap();
    assert_relative_eq!(grown.bounds().max.x, 22.0, epsilon = 1e-6);
    assert_relative_eq!(
        grown.area(),
        PI * (22.0 * 22.0 - 13.0 * 13.0),
        epsilon = 1e-3
    );
}

#[test]
fn slivers_are_dropped() {
    let rest = rectangle(0.0, 0.0, 80.0, 40.0)
        .difference(&rectangle(0.0005, -1.0, 81.0, 41.0))
        .unwrap();
    assert_eq!(rest, Region::EMPTY);
}

#[test]
fn rounding_by_exactly_half_the_width_leaves_no_slit() {
    // Two lobes joined by a bar of width 10.
    let lobes = disc(-30.0, 0.0, 15.0)
        .union(&disc(30.0, 0.0, 15.0))
        .unwrap();
    let dumbbell = lobes.union(&rectangle(-30.0, -5.0, 30.0, 5.0)).unwrap();
    let opened = dumbbell.round_outside(5.0).unwrap();
    assert!(opened.area() <= dumbbell.area() + 1e-6);
    assert!(opened.area() >= lobes.area() - 1e-6);
    for face in &opened.faces {
        assert!(face.openings.is_empty());
    }
    let length: f64 = opened.contours().map(Contour::length).sum();
    let given: f64 = dumbbell.contours().map(Contour::length).sum();
    assert!(length <= given + 15.0, "{length} around, {given} before");
}

#[test]
fn an_outline_whose_leftmost_edges_leave_side_by_side_is_kept() {
    // A rounded-off corner piece: a line and a tangent arc both go straight up from its leftmost
    // corner.
    let corner = rectangle(-10.0, 5.0, -5.0, 10.0)
        .difference(&disc(-5.0, 5.0, 5.0))
        .unwrap();
    let both = corner.union(&disc(0.0, 50.0, 12.5)).unwrap();
    assert_eq!(shape(&both), (2, 0));
    let expected = 25.0 - PI * 25.0 / 4.0 + PI * 12.5 * 12.5;
    assert_relative_eq!(both.area(), expected, epsilon = 1e-9);
}

#[test]
fn an_outline_beside_a_near_tangency_at_its_own_height_is_kept() {
    // The bar's top lies 3e-8 below the top of the left disc, at the height of the right disc's
    // centre.
    let left = disc(-30.0, -15.0, 25.0);
    let bar = rectangle(-40.0, -30.0, 0.0, 9.999_999_97);
    let apart = left.union(&disc(35.0, 9.999_999_985, 2.5)).unwrap();
    let rest = apart.difference(&bar).unwrap();
    assert!(rest.faces.iter().any(|face| {
        face.outside
            .as_circle()
            .is_some_and(|circle| (circle.radius - 2.5).abs() < 1e-9)
    }));
}
