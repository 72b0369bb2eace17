//! Openings that are alike, as a drawing calls them out: `5 × ⌀13 wheel bolt, on ⌀114.3`.

use std::f64::consts::TAU;

use crate::geometry::{Circle, Point};
use crate::plate::form::{self, Form};
use crate::plate::{Making, Opening, Plate, Purpose};
use crate::quantity::format::{decimal, degrees, millimetres};

/// Lengths and places that agree within this are the same on a drawing, mm.
const ALIKE: f64 = 0.005;

/// Places of a pitch circle of which some may be left out.
const MOST_PLACES: usize = 12;

/// Openings of one purpose, thread, name and size that are made alike.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct OpeningGroup<'a> {
    /// Its letter.
    pub(super) tag: String,
    /// Index of each in the plate, and the opening.
    pub(super) members: Vec<(usize, &'a Opening)>,
    /// Their middles, in the same order.
    pub(super) middles: Vec<Point>,
    /// The circle that three or more share.
    pub(super) pitch: Option<Circle>,
    /// The form of the one that is pointed at.
    pub(super) form: Form,
    /// Index in the plate of that one: the farthest to the right.
    pub(super) shown: usize,
}

/// The openings of a plate in groups, in the order of the first of each, lettered.
pub(super) fn groups(plate: &Plate) -> Vec<OpeningGroup<'_>> {
    let mut gathered: Vec<Vec<usize>> = Vec::new();
    for index in 0..plate.openings.len() {
        match gathered
            .iter_mut()
            .find(|them| alike(plate, them[0], index))
        {
            Some(them) => them.push(index),
            None => gathered.push(vec![index]),
        }
    }
    let numbered = gathered.into_iter().enumerate();
    numbered
        .map(|(number, them)| OpeningGroup::of(plate, letter(number), them))
        .collect()
}

/// A, B, … Z, AA, AB, …
fn letter(number: usize) -> String {
    let last = char::from(b'A' + (number % 26) as u8);
    match number / 26 {
        0 => last.to_string(),
        more => letter(more - 1) + &last.to_string(),
    }
}

fn alike(plate: &Plate, a: usize, b: usize) -> bool {
    let (one, other) = (&plate.openings[a], &plate.openings[b]);
    let (edge, edge_b) = (&plate.face.openings[a], &plate.face.openings[b]);
    let same = |a: f64, b: f64| (a - b).abs() < ALIKE * 4.0;
    let made = |it: &Opening| it.making.as_ref().map(Making::word);
    (one.purpose, &one.thread, base_name(&one.name), made(one))
        == (
            other.purpose,
            &other.thread,
            base_name(&other.name),
            made(other),
        )
        && same(edge.length(), edge_b.length())
        && same(
            edge.signed_area() / edge.length(),
            edge_b.signed_area() / edge_b.length(),
        )
}

impl<'a> OpeningGroup<'a> {
    /// The group of some openings of a plate, at least one.
    fn of(plate: &'a Plate, tag: String, them: Vec<usize>) -> Self {
        let middles: Vec<Point> = them.iter().map(|&i| plate.middle_of(i)).collect();
        let spots: Vec<Circle> = middles
            .iter()
            .map(|&centre| Circle {
                centre,
                radius: 0.0,
            })
            .collect();
        // The one farthest to the right, next to its words, stands for all; the upper of two.
        let place = |i: usize| plate.face.openings[i].middle();
        let shown = them.iter().copied().max_by(|&a, &b| {
            let (a, b) = (place(a), place(b));
            a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y))
        });
        let shown = shown.expect("a group has at least its first");
        let form = form::form(&plate.face.openings[shown], plate.openings[shown].purpose);
        let pitch = match form {
            // The middle of a box says nothing of where it stands on a circle.
            Form::Free { .. } => None,
            _ => pitch_circle(&spots),
        };
        OpeningGroup {
            tag,
            pitch,
            form,
            shown,
            members: them.into_iter().map(|i| (i, &plate.openings[i])).collect(),
            middles,
        }
    }

    /// The pitch circle, if something is fitted on it: windows have none to mark out.
    pub(super) fn bolt_circle(&self) -> Option<Circle> {
        let is_fitting = self.members[0].1.purpose != Purpose::Window;
        self.pitch.filter(|_| is_fitting)
    }

    /// Whether any of them may stand for all: turned copies of a free form have other boxes.
    pub(super) const fn all_alike(&self) -> bool {
        !matches!(self.form, Form::Free { .. })
    }

    /// What a picture says of it, in mm.
    pub(super) fn label(&self) -> String {
        let (_, first) = self.members[0];
        let count = match self.members.len() {
            1 => String::new(),
            count => format!("{count} × "),
        };
        let name = base_name(&first.name);
        let what = match self.form {
            Form::Round(diameter) => {
                // An opening of a drawing is called by its size already.
                let size = format!("{} ", millimetres(diameter));
                let name = name.strip_prefix(&size).unwrap_or(name);
                format!("⌀{} {name}", decimal(diameter, 2))
            }
            _ => format!("{name}, {}", self.form.in_mm()),
        };
        let thread = match (&first.thread, first.purpose) {
            (Some(thread), Purpose::Tapped) => format!(", tapped {thread}"),
            (Some(thread), _) => format!(", {thread}"),
            (None, _) => String::new(),
        };
        let on = match (&self.form, self.bolt_circle()) {
            // A bent slot has said it.
            (Form::CurvedSlot { .. }, _) | (_, None) => String::new(),
            (_, Some(circle)) => format!(", on ⌀{}", decimal(circle.radius * 2.0, 2)),
        };
        format!("{count}{what}{thread}{on}")
    }
}

impl Form {
    /// The size in a few words, mm.
    fn in_mm(&self) -> String {
        let mm = |length: f64| decimal(length, 2);
        match self {
            Self::Round(diameter) => format!("⌀{}", mm(*diameter)),
            Self::Slot { width, length } => format!("{} wide, {} long", mm(*width), mm(*length)),
            Self::CurvedSlot {
                width,
                circle,
                sweep,
            } => format!(
                "{} wide, {} along ⌀{}",
                mm(*width),
                degrees(round_angle(*sweep)),
                mm(*circle)
            ),
            Self::Keyed { bore, width, .. } => format!("⌀{}, key {} wide", mm(*bore), mm(*width)),
            Self::Rectangle { width, height, .. } => format!("{} × {}", mm(*width), mm(*height)),
            Self::Free { width, height, .. } => {
                format!("within {} × {}", mm(*width), mm(*height))
            }
        }
    }
}

/// To a hundredth of a degree.
pub(super) fn round_angle(radians: f64) -> f64 {
    ((radians.to_degrees() * 100.0).round() / 100.0).to_radians()
}

/// A name without the number at its end: `wheel bolt 3` is a `wheel bolt`.
pub(super) fn base_name(name: &str) -> &str {
    name.trim_end_matches(|c: char| c.is_ascii_digit())
        .trim_end()
}

/// The circle that the centres of three or more holes are spaced on, evenly or with some places left
/// out. Corners of a rectangle share a circle too, but nobody marks them out on one.
fn pitch_circle(holes: &[Circle]) -> Option<Circle> {
    let [a, b, c, ..] = holes else { return None };
    let circle = through(a.centre, b.centre, c.centre)?;
    let shared = holes
        .iter()
        .all(|hole| (hole.centre.distance(circle.centre) - circle.radius).abs() < ALIKE);
    let from_first = |hole: &Circle| {
        let (a, b) = (a.centre - circle.centre, hole.centre - circle.centre);
        a.turn_to(b)
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
    fn letters_go_on_after_z() {
        assert_eq!(letter(0), "A");
        assert_eq!(letter(25), "Z");
        assert_eq!(letter(26), "AA");
        assert_eq!(letter(53), "BB");
    }

    #[test]
    fn a_number_at_the_end_of_a_name_only_counts_copies() {
        assert_eq!(base_name("wheel bolt 3"), "wheel bolt");
        assert_eq!(base_name("M8 screw"), "M8 screw");
        assert_eq!(base_name("bore"), "bore");
    }
}
