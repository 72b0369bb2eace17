//! Bars and slots: straight ones with round ends, curved ones with square ends.

use std::f64::consts::TAU;

use super::Shaped;
use super::outline::{self, arc, linked, place};
use super::size::{LARGEST_RADIUS, positive, read, within_reach};
use crate::elementary;
use crate::fault::Refusal;
use crate::geometry::{Contour, Point, Segment, Turning, Vector};

/// The hull of a disc of `from_width` about `from` and one of `to_width` about `to`: arcs about
/// both, joined by their common outer tangents. If one disc holds the other, it is the shape.
pub fn bar(from: Point, to: Point, from_width: f64, to_width: f64) -> Shaped {
    check_ends(from, to)?;
    let near = positive("width", from_width)? / 2.0;
    let far = positive("width", to_width)? / 2.0;
    let run = to - from;
    let distance = run.length();
    if distance <= (near - far).abs() + outline::TOUCHING {
        let (centre, radius) = if near >= far { (from, near) } else { (to, far) };
        let contour = Contour::circle(centre, radius);
        return Ok(contour.into());
    }
    // Both radii to one outer tangent make this angle with the run: cos = (near - far) / distance.
    let spread = elementary::acos((near - far) / distance);
    let along = run.angle();
    outline::face(linked(&[
        arc(to, far, along - spread, along + spread),
        arc(from, near, along + spread, along - spread + TAU),
    ]))
}

/// A straight slot with round ends, `from` and `to` their centres; a round hole if they are one.
pub fn slot(from: Point, to: Point, width: f64) -> Shaped {
    bar(from, to, width, width)
}

/// A curved bar with square ends: its centre line is the arc from `from` to `to` that rises `rise`
/// mm to the left of the straight run between them (to the right if negative, straight if 0).
///
/// Each edge is the arc through its two corners and its middle, half a width off the centre line at
/// right angles; with one width all along the edges are parallel.
pub fn bow(from: Point, to: Point, rise: f64, from_width: f64, to_width: f64) -> Shaped {
    check_ends(from, to)?;
    within_reach("rise", rise)?;
    positive("width", from_width)?;
    positive("width", to_width)?;
    let run = to - from;
    let Some(along) = run.unit() else {
        let message = format!("the bow starts and ends at {}", place(from));
        return Err(Refusal::new(message).remedy("move one of its ends"));
    };
    let chord = run.length();
    // Half the angle of the centre line's arc; the angle of a chord to its tangent.
    let lean = 2.0 * elementary::atan(2.0 * rise / chord);
    let turned = |angle: f64| Vector::from_angle(along.angle() + angle).left();
    let middle = from.lerp(to, 0.5) + along.left() * rise;
    let across = [
        (from, turned(lean), from_width / 2.0),
        (
            middle,
            turned(0.0),
            f64::midpoint(from_width, to_width) / 2.0,
        ),
        (to, turned(-lean), to_width / 2.0),
    ];
    let left = across.map(|(p, normal, half)| p + normal * half);
    let right = across.map(|(p, normal, half)| p + normal * -half);
    let refuse = |_| {
        Refusal::new(format!(
            "the edges of a bow {} wide with a rise of {} over {} run into each other",
            read(from_width.max(to_width)),
            read(rise),
            read(chord)
        ))
        .remedy("make it narrower, or its rise smaller")
    };
    let edges = [
        through(right[0], right[1], right[2])?,
        through(left[2], left[1], left[0])?,
    ];
    outline::face(linked(&edges)).map_err(refuse)
}

/// The arc from `start` over `middle` to `end`, a line if they lie straight.
fn through(start: Point, middle: Point, end: Point) -> Result<Segment, Refusal> {
    let (a, b) = (middle - start, end - start);
    let doubled = 2.0 * a.cross(b);
    if doubled.abs() <= 2.0 * outline::TOUCHING * b.length() {
        return Ok(Segment::Line { start, end });
    }
    let (aa, bb) = (a.dot(a), b.dot(b));
    let to_centre = Vector::new(b.y * aa - a.y * bb, a.x * bb - b.x * aa) * (1.0 / doubled);
    let radius = to_centre.length();
    if radius > LARGEST_RADIUS {
        return Err(Refusal::new(format!(
            "the bow is so flat that its radius is over {}",
            read(LARGEST_RADIUS)
        ))
        .remedy("make its rise larger, or 0"));
    }
    Ok(Segment::Arc {
        start,
        end,
        centre: start + to_centre,
        radius,
        turning: Turning::of(doubled),
    })
}

pub(super) fn check_ends(from: Point, to: Point) -> Result<(), Refusal> {
    for p in [from, to] {
        within_reach("x of an end", p.x)?;
        within_reach("y of an end", p.y)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::plate::shape::testing::{assert_sound, assert_tangent};
    use approx::assert_relative_eq;

    fn bar_area(near: f64, far: f64, distance: f64) -> f64 {
        let spread = ((near - far) / distance).acos();
        let tangent = (distance * distance - (near - far) * (near - far)).sqrt();
        near * near * (PI - spread) + far * far * spread + (near + far) * tangent
    }

    #[test]
    fn a_tapered_bar_is_the_hull_of_two_discs() {
        let (from, to) = (Point::new(-10.0, 4.0), Point::new(70.0, -30.0));
        let region = bar(from, to, 40.0, 24.0).expect("a sane bar");
        assert_sound(&region);
        assert_tangent(&region);
        assert_relative_eq!(
            region.area(),
            bar_area(20.0, 12.0, from.distance(to)),
            max_relative = 1e-12
        );
        let turned_round = bar(to, from, 24.0, 40.0).expect("a sane bar");
        assert_relative_eq!(turned_round.area(), region.area(), max_relative = 1e-12);
    }

    #[test]
    fn a_disc_that_holds_the_other_is_the_bar() {
        let region = bar(Point::ORIGIN, Point::new(3.0, 0.0), 20.0, 8.0).expect("a sane bar");
        let circle = region.faces[0].outside.as_circle().expect("a circle");
        assert_eq!((circle.centre, circle.radius), (Point::ORIGIN, 10.0));
    }

    #[test]
    fn a_slot_is_its_rectangle_and_two_half_discs() {
        let region = slot(Point::new(-10.0, 0.0), Point::new(10.0, 0.0), 9.0).expect("a sane slot");
        assert_tangent(&region);
        assert_relative_eq!(region.area(), 180.0 + PI * 4.5 * 4.5, max_relative = 1e-12);
        let bounds = region.bounds();
        assert_relative_eq!(bounds.width(), 29.0, max_relative = 1e-12);
        assert_relative_eq!(bounds.height(), 9.0, max_relative = 1e-12);
        assert!(
            slot(Point::ORIGIN, Point::ORIGIN, 9.0)
                .is_ok_and(|it| it.faces[0].outside.as_circle().is_some())
        );
    }

    #[test]
    fn an_even_bow_has_parallel_edges() {
        let (from, to) = (Point::new(0.0, 0.0), Point::new(100.0, 0.0));
        // Rise 20 over 100: radius (50² + 20²) / 40 = 72.5 (chord and sagitta of a circle).
        let region = bow(from, to, 20.0, 16.0, 16.0).expect("a sane bow");
        assert_sound(&region);
        let radii: Vec<f64> = region.faces[0]
            .outside
            .segments()
            .iter()
            .filter_map(|segment| match segment {
                Segment::Arc { radius, .. } => Some(*radius),
                Segment::Line { .. } => None,
            })
            .collect();
        assert_relative_eq!(radii[0], 64.5, max_relative = 1e-12);
        assert_relative_eq!(radii[1], 80.5, max_relative = 1e-12);
        let sweep = 4.0 * (0.4_f64).atan();
        assert_relative_eq!(region.area(), sweep * 72.5 * 16.0, max_relative = 1e-12);
        let mirrored = bow(from, to, -20.0, 16.0, 16.0).expect("a sane bow");
        assert_relative_eq!(mirrored.area(), region.area(), max_relative = 1e-12);
        assert!(mirrored.bounds().min.y < -20.0);
    }

    #[test]
    fn a_bow_without_rise_is_a_trapezium_and_too_tight_a_bow_is_refused() {
        let (from, to) = (Point::new(0.0, 0.0), Point::new(0.0, 80.0));
        let region = bow(from, to, 0.0, 20.0, 10.0).expect("a sane bow");
        assert_eq!(region.faces[0].outside.segments().len(), 4);
        assert_relative_eq!(region.area(), 1200.0, max_relative = 1e-12);
        let tight = bow(from, to, 40.0, 90.0, 90.0).expect_err("edges cross");
        assert!(tight.message.contains("run into each other"), "{tight}");
        assert!(bow(from, from, 1.0, 5.0, 5.0).is_err());
        assert!(bow(from, to, 0.000_1, 5.0, 5.0).is_err());
    }
}
