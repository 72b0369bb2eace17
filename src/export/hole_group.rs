//! Round openings that are alike, as a drawing calls them out: `5 × ⌀13 wheel bolt on ⌀114.3`.

use std::f64::consts::TAU;

use crate::geometry::{Circle, Point};
use crate::plate::{Opening, Plate, Purpose};
use crate::quantity::format::decimal;

/// Diameters and places that agree within this are the same on a drawing, mm.
const ALIKE: f64 = 0.005;

/// Places of a pitch circle of which some may be left out.
const MOST_PLACES: usize = 12;

/// Round openings of one purpose, thread and diameter.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct HoleGroup {
    /// The openings.
    pub(super) holes: Vec<Circle>,
    /// The pitch circle that three or more of them share, if they do.
    pub(super) pitch: Option<Circle>,
    /// What a drawing says of them.
    pub(super) label: String,
}

/// The round openings of a plate in groups, in the order of the first of each.
pub(super) fn hole_groups(plate: &Plate) -> Vec<HoleGroup> {
    let mut gathered: Vec<(&Opening, Vec<Circle>)> = Vec::new();
    for opening in &plate.openings {
        let Some(hole) = opening.circle else { continue };
        match gathered.iter_mut().find(|(first, _)| alike(first, opening)) {
            Some((_, holes)) => holes.push(hole),
            None => gathered.push((opening, vec![hole])),
        }
    }
    gathered
        .into_iter()
        .map(|(first, holes)| {
            let pitch = pitch_circle(&holes);
            let label = label(first, &holes, pitch);
            HoleGroup {
                holes,
                pitch,
                label,
            }
        })
        .collect()
}

fn alike(a: &Opening, b: &Opening) -> bool {
    let same_size = match (a.circle, b.circle) {
        (Some(a), Some(b)) => (a.radius - b.radius).abs() < ALIKE / 2.0,
        _ => false,
    };
    same_size
        && (a.purpose, &a.thread, base_name(&a.name)) == (b.purpose, &b.thread, base_name(&b.name))
}

fn label(first: &Opening, holes: &[Circle], pitch: Option<Circle>) -> String {
    let count = match holes.len() {
        1 => String::new(),
        count => format!("{count} × "),
    };
    let diameter = holes.first().map_or(0.0, |hole| hole.radius * 2.0);
    let name = base_name(&first.name);
    let thread = match (&first.thread, first.purpose) {
        (Some(thread), Purpose::Tapped) => format!(", tapped {thread}"),
        (Some(thread), _) => format!(", {thread}"),
        (None, _) => String::new(),
    };
    let on = pitch.map_or_else(String::new, |circle| {
        format!(", on ⌀{}", decimal(circle.radius * 2.0, 2))
    });
    format!("{count}⌀{} {name}{thread}{on}", decimal(diameter, 2))
}

/// A name without the number at its end: `wheel bolt 3` is a `wheel bolt`.
pub(super) fn base_name(name: &str) -> &str {
    name.trim_end_matches(|c: char| c.is_ascii_digit())
        .trim_end()
}

/// The circle that the centres of three or more holes are spaced on, evenly or with some places left
/// out. Corners of a rectangle share a circle too, but nobody marks them out on one.
pub(super) fn pitch_circle(holes: &[Circle]) -> Option<Circle> {
    let [a, b, c, ..] = holes else { return None };
    let circle = through(a.centre, b.centre, c.centre)?;
    let shared = holes
        .iter()
        .all(|hole| (hole.centre.distance(circle.centre) - circle.radius).abs() < ALIKE);
    let from_first = |hole: &Circle| {
        let (a, b) = (a.centre - circle.centre, hole.centre - circle.centre);
        a.cross(b).atan2(a.dot(b))
    };
    let is_spaced = |places: usize| {
        let step = TAU / places as f64;
        let off = |angle: f64| (angle - (angle / step).round() * step).abs() * circle.radius;
        holes.iter().map(from_first).all(|angle| off(angle) < ALIKE)
    };
    let most = holes.len().max(MOST_PLACES);
    (shared && (holes.len()..=most).any(is_spaced)).then_some(circle)
}

/// The circle through three points; `None` if they are on one line or nearly so.
fn through(a: Point, b: Point, c: Point) -> Option<Circle> {
    let (u, v) = (b - a, c - a);
    let twice_area = u.cross(v);
    if twice_area.abs() <= ALIKE * u.length().max(v.length()) {
        return None;
    }
    let offset = (u.left() * v.dot(v) - v.left() * u.dot(u)) * (1.0 / (2.0 * twice_area));
    let centre = a + offset;
    Some(Circle {
        centre,
        radius: centre.distance(a),
    })
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    fn hole(x: f64, y: f64) -> Circle {
        Circle {
            centre: Point::new(x, y),
            radius: 5.0,
        }
    }

    #[test]
    fn three_holes_share_their_circumcircle() {
        // A right triangle: its circumcircle has the hypotenuse, 5, as diameter.
        let corner = |x, y| Point::new(x, y);
        let circle = through(corner(0.0, 0.0), corner(4.0, 0.0), corner(0.0, 3.0));
        let circle = circle.expect("not in a row");
        assert_relative_eq!(circle.radius, 2.5, epsilon = 1e-12);
        assert_relative_eq!(circle.centre.x, 2.0, epsilon = 1e-12);
        assert_relative_eq!(circle.centre.y, 1.5, epsilon = 1e-12);
    }

    #[test]
    fn places_may_be_left_out_but_a_rectangle_is_no_bolt_circle() {
        let at = |degrees: f64| {
            let place = Point::new(7.0, 3.0).polar(50.0, degrees.to_radians());
            hole(place.x, place.y)
        };
        let circle = pitch_circle(&[at(10.0), at(100.0), at(190.0)]).expect("four, one left out");
        assert_relative_eq!(circle.radius, 50.0, epsilon = 1e-9);
        assert!(pitch_circle(&[18.0, 90.0, 162.0, 234.0, 306.0].map(at)).is_some());
        let corners = [(0.0, 0.0), (50.0, 0.0), (50.0, 134.0), (0.0, 134.0)];
        assert_eq!(pitch_circle(&corners.map(|(x, y)| hole(x, y))), None);
    }

    #[test]
    fn holes_in_a_row_or_off_the_circle_share_none() {
        let row = [hole(0.0, 0.0), hole(10.0, 0.0), hole(20.0, 0.0)];
        assert_eq!(pitch_circle(&row), None);
        let off = [
            hole(0.0, 0.0),
            hole(4.0, 0.0),
            hole(0.0, 3.0),
            hole(9.0, 9.0),
        ];
        assert_eq!(pitch_circle(&off), None);
        assert_eq!(pitch_circle(&row[..2]), None);
    }

    #[test]
    fn a_number_at_the_end_of_a_name_only_counts_copies() {
        assert_eq!(base_name("wheel bolt 3"), "wheel bolt");
        assert_eq!(base_name("M8 screw"), "M8 screw");
        assert_eq!(base_name("bore"), "bore");
    }
}
