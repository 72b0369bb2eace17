//! What of a plate its places are measured from: always something that a builder finds on it.

use crate::support::cart;
use platewright::geometry::{Circle, Contour, Face, Point};
use platewright::plate::{Plate, Purpose};

/// A plate of an outline with round holes: centre, radius, purpose and name.
fn plate(outside: Contour, holes: &[((f64, f64), f64, Purpose, &str)]) -> Plate {
    let like = cart::hub_adapter().plate;
    let circle = |((x, y), radius, ..): &((f64, f64), f64, Purpose, &str)| Circle {
        centre: Point::new(*x, *y),
        radius: *radius,
    };
    let openings = holes.iter().map(|hole| {
        let mut opening = like.openings[0].clone();
        hole.3.clone_into(&mut opening.name);
        opening.purpose = hole.2;
        opening.circle = Some(circle(hole));
        opening
    });
    let edges = holes.iter().map(circle);
    Plate {
        openings: openings.collect(),
        face: Face {
            outside,
            openings: edges
                .map(|it| Contour::circle(it.centre, it.radius).reversed())
                .collect(),
        },
        marks: Vec::new(),
        ..like
    }
}

/// A bar between two half discs, 100 mm long over all and 20 wide, from (5, 7) on.
fn round_bar() -> Contour {
    let bar = [
        (15.0, 7.0, 0.0),
        (95.0, 7.0, 1.0),
        (95.0, 27.0, 0.0),
        (15.0, 27.0, 1.0),
    ];
    Contour::from_bulges(&bar).expect("closed")
}

fn rectangle() -> Contour {
    let corners = [(5.0, 7.0), (105.0, 7.0), (105.0, 67.0), (5.0, 67.0)];
    Contour::polygon(&corners.map(|(x, y)| Point::new(x, y))).expect("closed")
}

fn told(plate: &Plate) -> (f64, f64, String) {
    let datum = plate.datum();
    assert_eq!(datum.place(datum.at), Point::ORIGIN);
    (datum.at.x, datum.at.y, datum.says)
}

#[test]
fn a_bore_comes_before_edges_and_edges_before_holes() {
    let bolt = ((30.0, 20.0), 4.0, Purpose::Bolt, "bolt 1");
    let bore = ((60.0, 40.0), 15.0, Purpose::Bore, "hub");
    assert_eq!(
        told(&plate(rectangle(), &[bolt, bore])),
        (60.0, 40.0, "the middle of the bore".to_owned())
    );
    assert_eq!(
        told(&plate(rectangle(), &[bolt])),
        (5.0, 7.0, "the left and the lower edge".to_owned())
    );
    let disc = Contour::circle(Point::new(9.0, 8.0), 50.0);
    assert_eq!(
        told(&plate(disc, &[bolt])),
        (9.0, 8.0, "the middle of the outside".to_owned())
    );
}

#[test]
fn a_plate_without_a_corner_is_measured_from_its_largest_hole() {
    let eye = |x: f64, radius: f64, name: &'static str| ((x, 17.0), radius, Purpose::Pin, name);
    let arm = plate(
        round_bar(),
        &[eye(15.0, 4.0, "eye"), eye(95.0, 6.0, "pivot")],
    );
    assert_eq!(told(&arm), (95.0, 17.0, "the middle of pivot".to_owned()));
    // Of holes as large, the first by its number, in whatever order they come.
    let link = plate(
        round_bar(),
        &[eye(15.0, 4.0, "eye 2"), eye(95.0, 4.0, "eye 1")],
    );
    assert_eq!(told(&link), (95.0, 17.0, "the middle of eye 1".to_owned()));
    let window = ((50.0, 17.0), 5.0, Purpose::Window, "window");
    assert_eq!(
        told(&plate(round_bar(), &[window])),
        (
            5.0,
            7.0,
            "the lower left corner of the box around it".to_owned()
        )
    );
}
