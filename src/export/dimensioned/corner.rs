//! What a drawing says of the corners of an outline: chamfers, and angles that are not square.

use std::f64::consts::{FRAC_PI_2, PI};

use super::callout::{both, times};
use crate::export::column::{Callout, Target};
use crate::geometry::{Point, Segment, Vector};
use crate::plate::Plate;
use crate::quantity::format::degrees;

/// Directions that agree within this are the same on a drawing, radians.
const SAME: f64 = 1e-3;
/// What turns by less than this is no corner, radians.
const LEAST: f64 = 0.01;
/// What turns by more, radians, is an end and no corner.
const MOST: f64 = 2.4;
/// A chamfer is shorter than this share of the edges beside it.
const SHORT: f64 = 0.6;

/// Chamfers, and then angles between straight edges that are not square: one call-out for all alike.
pub(super) fn corners(plate: &Plate) -> Vec<Callout> {
    let segments = plate.face.outside.segments();
    let count = segments.len();
    let at = |index: usize| &segments[index % count];
    let mut said: Vec<(String, Vec<Point>)> = Vec::new();
    let mut say = |words: String, spot: Point| match said.iter_mut().find(|it| it.0 == words) {
        Some((_, spots)) => spots.push(spot),
        None => said.push((words, vec![spot])),
    };
    let is_chamfer =
        |index: usize| chamfer(at(index + count - 1), at(index), at(index + 1)).is_some();
    for index in 0..count {
        if let Some([one, other]) = chamfer(at(index + count - 1), at(index), at(index + 1)) {
            let words = if (one - other).abs() < 0.005 {
                format!("chamfer {} × 45°", both(one))
            } else {
                format!("chamfer {} × {}", both(one), both(other))
            };
            say(words, at(index).point_at(0.5));
        }
    }
    for index in 0..count {
        let (before, rounding, after) = match (at(index), at(index + 1), at(index + 2)) {
            (before @ Segment::Line { .. }, after @ Segment::Line { .. }, _) => {
                if is_chamfer(index % count) || is_chamfer((index + 1) % count) {
                    continue;
                }
                (before, None, after)
            }
            (before @ Segment::Line { .. }, arc, after @ Segment::Line { .. }) => {
                (before, Some(arc), after)
            }
            _ => continue,
        };
        let turn = before.direction_at(1.0).turn_to(after.direction_at(0.0));
        let is_small = rounding.is_none_or(|it| {
            it.length() < before.length().min(after.length())
                && direction_is(before.direction_at(1.0), it.direction_at(0.0))
                && direction_is(it.direction_at(1.0), after.direction_at(0.0))
        });
        let is_square = (turn.abs() - FRAC_PI_2).abs() < SAME;
        if is_small && !is_square && (LEAST..MOST).contains(&turn.abs()) {
            let spot = rounding.map_or(before.end(), |it| it.point_at(0.5));
            say(format!("angle {}", degrees(PI - turn.abs())), spot);
        }
    }
    let said = said.into_iter().map(|(words, spots)| Callout {
        lines: vec![format!("{}{words}", times(spots.len()))],
        targets: spots.into_iter().map(Target::Spot).collect(),
    });
    said.collect()
}

/// The legs of a chamfer: a short edge between two that are square to each other.
fn chamfer(before: &Segment, edge: &Segment, after: &Segment) -> Option<[f64; 2]> {
    let all_straight = [before, edge, after]
        .iter()
        .all(|it| matches!(it, Segment::Line { .. }));
    let (one, other) = (before.direction_at(1.0), after.direction_at(0.0));
    let is_short = edge.length() < SHORT * before.length().min(after.length());
    let is_corner = (one.turn_to(other).abs() - FRAC_PI_2).abs() < SAME;
    let along = edge.end() - edge.start();
    let legs = [along.dot(one), along.dot(other)];
    (all_straight && is_short && is_corner && legs.iter().all(|it| *it > 0.0)).then_some(legs)
}

fn direction_is(one: Vector, other: Vector) -> bool {
    one.turn_to(other).abs() < 10.0 * SAME
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plate::plates;
    use crate::recipe::{Part, Shelf};

    fn said(family: &str, settings: &[&str]) -> Vec<String> {
        let mut part = Part::plain(Shelf::built_in().family(family).expect("built in"));
        for setting in settings {
            part.set(setting).expect("it can be set");
        }
        let plates = plates(&part).expect("plates").plates;
        let said = plates.iter().flat_map(corners);
        said.flat_map(|it| it.lines).collect()
    }

    /// The corner of a gusset for 70 degrees is cut off evenly, so each of the two angles there is half of what
    /// is left of three straight ones: (180 + 70) / 2. At a square corner they are 135 degrees.
    #[test]
    fn an_angle_that_is_not_square_is_told() {
        let told = said("gusset", &["angle=70 deg"]);
        assert_eq!(told, ["2X angle 125°"]);
    }

    #[test]
    fn a_chamfer_is_told_by_its_legs() {
        let corner = |x: f64, y: f64| Point::new(x, y);
        let line = |start, end| Segment::Line { start, end };
        let before = line(corner(0.0, 0.0), corner(50.0, 0.0));
        let edge = line(corner(50.0, 0.0), corner(56.0, 4.0));
        let after = line(corner(56.0, 4.0), corner(56.0, 40.0));
        assert_eq!(chamfer(&before, &edge, &after), Some([6.0, 4.0]));
        let aslant = line(corner(56.0, 4.0), corner(70.0, 40.0));
        assert_eq!(chamfer(&before, &edge, &aslant), None);
    }
}
