//! What an opening is to whoever measures it: a hole, a slot, a keyed bore, or a window.

use std::f64::consts::PI;

use crate::geometry::{Circle, Contour, Point, Segment, Vector};
use crate::recipe::words::Purpose;

/// Lengths, mm, and angles, radians, that agree within this are the same on a drawing.
const ALIKE: f64 = 0.005;

/// The form of an opening. Lengths are mm, angles radians.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Form {
    /// A hole of a diameter.
    Round(f64),
    /// Round ends with straight sides.
    Slot { width: f64, length: f64 },
    /// Round ends, bent along a circle.
    CurvedSlot { width: f64, circle: f64, sweep: f64 },
    /// A bore with a keyway: from the floor of the keyway to the far side of the bore.
    Keyed { bore: f64, width: f64, across: f64 },
    /// Sides along the axes, corners rounded or square.
    Rectangle {
        width: f64,
        height: f64,
        corner: f64,
    },
    /// Anything else: the box around it and the radii in it, smallest first.
    Free {
        width: f64,
        height: f64,
        radii: Vec<f64>,
    },
}

/// The form of an opening by its edge.
pub(crate) fn form(edge: &Contour, purpose: Purpose) -> Form {
    if let Some(circle) = edge.as_circle() {
        return Form::Round(circle.radius * 2.0);
    }
    slot(edge)
        .or_else(|| curved_slot(edge))
        .or_else(|| (purpose == Purpose::Bore).then(|| keyed(edge)).flatten())
        .or_else(|| rectangle(edge))
        .unwrap_or_else(|| free(edge))
}

/// Where an opening is ([`super::Plate::middle_of`]).
pub(super) fn middle(edge: &Contour, purpose: Purpose) -> Point {
    match form(edge, purpose) {
        Form::CurvedSlot { .. } => bent_middle(edge),
        Form::Keyed { .. } => bore_middle(edge),
        _ => None,
    }
    .unwrap_or_else(|| edge.middle())
}

/// What a bolt stands in: a round hole, or a slot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Seat {
    /// Its middle, mm.
    pub(crate) middle: Point,
    /// Its diameter, or a slot's width, mm.
    pub(crate) width: f64,
    /// From there to where a bolt at the end of a slot stands, mm, a bent one on its tangent; nothing of a round hole.
    pub(crate) along: Vector,
}

/// What a bolt stands in at an opening, by its edge; `None` of any other form.
pub(crate) fn seat(edge: &Contour) -> Option<Seat> {
    if let Some(circle) = edge.as_circle() {
        return Some(Seat {
            middle: circle.centre,
            width: 2.0 * circle.radius,
            along: Vector::new(0.0, 0.0),
        });
    }
    slot(edge).or_else(|| curved_slot(edge))?;
    let ([a, b], _) = round_ends(edge)?;
    Some(Seat {
        middle: bent_middle(edge).unwrap_or_else(|| a.centre.lerp(b.centre, 0.5)),
        width: 2.0 * a.radius,
        along: (b.centre - a.centre) * 0.5,
    })
}

fn bore_middle(edge: &Contour) -> Option<Point> {
    let arcs = arcs(edge);
    let largest = arcs.iter().max_by(|a, b| a.1.total_cmp(&b.1));
    largest.map(|(circle, _)| circle.centre)
}

fn bent_middle(edge: &Contour) -> Option<Point> {
    let ([a, b], rest) = round_ends(edge)?;
    let about = rest.first()?.centre;
    let towards = (a.centre.lerp(b.centre, 0.5) - about).unit()?;
    Some(about + towards * about.distance(a.centre))
}

/// The circles that the arcs of an edge lie on, each once, with the sweep on it.
pub(crate) fn arcs(edge: &Contour) -> Vec<(Circle, f64)> {
    let mut found: Vec<(Circle, f64)> = Vec::new();
    for segment in edge.segments() {
        let Segment::Arc { centre, radius, .. } = *segment else {
            continue;
        };
        let sweep = segment.sweep().abs();
        let same = |it: &&mut (Circle, f64)| {
            it.0.centre.distance(centre) < ALIKE && (it.0.radius - radius).abs() < ALIKE
        };
        match found.iter_mut().find(same) {
            Some(known) => known.1 += sweep,
            None => found.push((Circle { centre, radius }, sweep)),
        }
    }
    found
}

fn lines(edge: &Contour) -> Vec<(Point, Point)> {
    let lines = edge.segments().iter().filter_map(|segment| match *segment {
        Segment::Line { start, end } => Some((start, end)),
        Segment::Arc { .. } => None,
    });
    lines.collect()
}

/// Two half turns of one radius, and the rest of the arcs.
type Ends = ([Circle; 2], Vec<Circle>);

fn round_ends(edge: &Contour) -> Option<Ends> {
    let arcs = arcs(edge);
    let is_half = |sweep: f64| (sweep - PI).abs() < ALIKE;
    let ends: Vec<Circle> = arcs
        .iter()
        .filter(|it| is_half(it.1))
        .map(|it| it.0)
        .collect();
    let rest = arcs.iter().filter(|it| !is_half(it.1)).map(|it| it.0);
    match ends[..] {
        [a, b] if (a.radius - b.radius).abs() < ALIKE => Some(([a, b], rest.collect())),
        _ => None,
    }
}

fn slot(edge: &Contour) -> Option<Form> {
    let ([a, b], rest) = round_ends(edge)?;
    (rest.is_empty() && lines(edge).len() == 2).then(|| Form::Slot {
        width: 2.0 * a.radius,
        length: a.centre.distance(b.centre) + 2.0 * a.radius,
    })
}

fn curved_slot(edge: &Contour) -> Option<Form> {
    let ([a, b], rest) = round_ends(edge)?;
    let [inner, outer] = rest[..] else {
        return None;
    };
    let about = inner.centre;
    let is_one = about.distance(outer.centre) < ALIKE && lines(edge).is_empty();
    is_one.then(|| {
        let (to_a, to_b) = (a.centre - about, b.centre - about);
        Form::CurvedSlot {
            width: 2.0 * a.radius,
            circle: 2.0 * to_a.length(),
            sweep: to_a.turn_to(to_b).abs(),
        }
    })
}

fn keyed(edge: &Contour) -> Option<Form> {
    let (bore, sweep) = arcs(edge).into_iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    if sweep < PI {
        return None;
    }
    let out = |p: Point| (p - bore.centre).length();
    let floor = lines(edge).into_iter().find_map(|(a, b)| {
        let middle = a.lerp(b, 0.5);
        let along = (b - a).unit()?;
        let is_across = (middle - bore.centre).dot(along).abs() < ALIKE;
        (is_across && out(middle) > bore.radius).then_some((middle, along))
    })?;
    let (middle, along) = floor;
    let beside = edge
        .segments()
        .iter()
        .map(Segment::start)
        .filter(|p| out(*p) > bore.radius + ALIKE);
    let half = beside
        .map(|p| (p - middle).dot(along).abs())
        .fold(0.0, f64::max);
    Some(Form::Keyed {
        bore: 2.0 * bore.radius,
        width: 2.0 * half,
        across: bore.radius + out(middle),
    })
}

fn rectangle(edge: &Contour) -> Option<Form> {
    let along_an_axis =
        |&(a, b): &(Point, Point)| (a.x - b.x).abs() < ALIKE || (a.y - b.y).abs() < ALIKE;
    let arcs = arcs(edge);
    let corner = arcs.first().map_or(0.0, |it| it.0.radius);
    let corners_are_alike = arcs.iter().all(|it| (it.0.radius - corner).abs() < ALIKE);
    let (width, height) = (edge.bounds().width(), edge.bounds().height());
    let area = width * height - (4.0 - PI) * corner * corner;
    let is_one = lines(edge).len() == 4
        && lines(edge).iter().all(along_an_axis)
        && corners_are_alike
        && matches!(arcs.len(), 0 | 4)
        && (edge.signed_area().abs() - area).abs() < ALIKE * (width + height);
    is_one.then_some(Form::Rectangle {
        width,
        height,
        corner,
    })
}

fn free(edge: &Contour) -> Form {
    let mut radii: Vec<f64> = arcs(edge).iter().map(|it| it.0.radius).collect();
    radii.sort_by(f64::total_cmp);
    radii.dedup_by(|a, b| (*a - *b).abs() < ALIKE);
    let around = edge.bounds();
    Form::Free {
        width: around.width(),
        height: around.height(),
        radii,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn contour(vertices: &[(f64, f64, f64)]) -> Contour {
        Contour::from_bulges(vertices).expect("closed")
    }

    #[test]
    fn slots_are_measured_over_their_ends() {
        let slot = [
            (-10.0, -5.0, 0.0),
            (10.0, -5.0, 1.0),
            (10.0, 5.0, 0.0),
            (-10.0, 5.0, 1.0),
        ];
        let found = form(&contour(&slot), Purpose::Slot);
        assert_eq!(
            found,
            Form::Slot {
                width: 10.0,
                length: 30.0
            }
        );
    }

    #[test]
    fn a_slot_bent_along_a_circle_has_its_sweep() {
        // A quarter turn on a radius of 50, 10 wide.
        let quarter = (PI / 8.0).tan();
        let slot = [
            (45.0, 0.0, -1.0),
            (55.0, 0.0, quarter),
            (0.0, 55.0, 1.0),
            (0.0, 45.0, -quarter),
        ];
        let slot = [(slot[0].0, slot[0].1, 1.0), slot[1], slot[2], slot[3]];
        let Form::CurvedSlot {
            width,
            circle,
            sweep,
        } = form(&contour(&slot), Purpose::Slot)
        else {
            panic!("a curved slot");
        };
        assert!((width - 10.0).abs() < 1e-9 && (circle - 100.0).abs() < 1e-9);
        assert!((sweep - PI / 2.0).abs() < 1e-9);
    }

    #[test]
    fn rectangles_may_have_round_corners() {
        let corner = (PI / 8.0).tan();
        let window = [
            (5.0, 0.0, 0.0),
            (35.0, 0.0, corner),
            (40.0, 5.0, 0.0),
            (40.0, 15.0, corner),
            (35.0, 20.0, 0.0),
            (5.0, 20.0, corner),
            (0.0, 15.0, 0.0),
            (0.0, 5.0, corner),
        ];
        let found = form(&contour(&window), Purpose::Window);
        let Form::Rectangle {
            width,
            height,
            corner,
        } = found
        else {
            panic!("{found:?}");
        };
        assert!((width - 40.0).abs() < 1e-9 && (height - 20.0).abs() < 1e-9);
        assert!((corner - 5.0).abs() < 1e-9);
    }
}
