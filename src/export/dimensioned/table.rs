//! The table of a drawing: where every opening and fold is, and how it is made.
//!
//! In: the groups of openings. Out: rows of words. Places are measured from the plate's datum.

use std::f64::consts::TAU;

use super::callout::both;
use crate::export::opening_group::OpeningGroup;
use crate::geometry::{Circle, Point};
use crate::plate::form;
use crate::plate::{Datum, Plate};
use crate::quantity::format::degrees;

/// Angles that agree within this, radians, are the same on a drawing.
const SAME_ANGLE: f64 = 1e-4;

/// One row.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    /// Letter of the group, and number where its places stand one by one.
    pub(super) tag: String,
    /// Size.
    pub(super) size: String,
    /// Where it is.
    pub(super) place: String,
    /// How it is made.
    pub(super) made: String,
}

/// A place as the table tells it.
fn place(datum: &Datum, p: Point) -> String {
    let from = datum.place(p);
    format!("x {}, y {}", both(from.x), both(from.y))
}

/// Every row: openings in their groups, then folds.
pub(super) fn rows(plate: &Plate, groups: &[OpeningGroup]) -> Vec<Row> {
    let datum = plate.datum();
    let mut rows = Vec::new();
    for group in groups {
        let made = made(group);
        if let Some(place) = pattern(group, &datum) {
            rows.push(Row {
                tag: group.tag.clone(),
                size: group.form.size(),
                place,
                made,
            });
            continue;
        }
        let single = group.middles.len() == 1;
        for (index, middle) in group.middles.iter().enumerate() {
            let number = if single {
                String::new()
            } else {
                (index + 1).to_string()
            };
            rows.push(Row {
                tag: format!("{}{number}", group.tag),
                size: form::form(
                    &plate.face.openings[group.members[index].0],
                    group.members[index].1.purpose,
                )
                .size(),
                place: place(&datum, *middle),
                made: made.clone(),
            });
        }
    }
    for (index, bend) in plate.bends.iter().enumerate() {
        rows.push(Row {
            tag: format!("F{}", index + 1),
            size: bend.says(),
            place: format!("from {}", place(&datum, bend.from)),
            made: format!("to {}", place(&datum, bend.to)),
        });
    }
    rows
}

/// Places evenly on a full circle, in a few words.
fn pattern(group: &OpeningGroup, datum: &Datum) -> Option<String> {
    let circle = group.pitch?;
    let first = first_of_even(&group.middles, circle)?;
    let about = if circle.centre.distance(datum.at) < 0.005 {
        String::new()
    } else {
        format!(" about {}", place(datum, circle.centre))
    };
    Some(format!(
        "{} evenly on ⌀{}{about}, the first at {}",
        group.middles.len(),
        both(circle.radius * 2.0),
        degrees(first)
    ))
}

/// The least angle of places that stand evenly on a full circle, radians from 0.
fn first_of_even(middles: &[Point], circle: Circle) -> Option<f64> {
    let step = TAU / middles.len() as f64;
    let angle = |p: &Point| (*p - circle.centre).angle().rem_euclid(TAU);
    let mut angles: Vec<f64> = middles.iter().map(angle).collect();
    angles.sort_by(f64::total_cmp);
    let even = angles
        .windows(2)
        .all(|two| (two[1] - two[0] - step).abs() < SAME_ANGLE);
    // An angle just short of a full turn is 0 but for rounding.
    let first = angles.first().map(|first| {
        if step - first < SAME_ANGLE {
            0.0
        } else {
            *first
        }
    });
    first
        .filter(|_| even)
        .map(|first| (first.to_degrees() * 100.0).round().to_radians() / 100.0)
}

fn made(group: &OpeningGroup) -> String {
    let (_, opening) = group.members[0];
    match (&opening.making, opening.hand_work()) {
        (None, _) => "the table has no settings for it".to_owned(),
        (Some(_), Some(work)) => work,
        (Some(making), None) => making.word().to_owned(),
    }
}

/// A row for what there was no room for.
pub(super) fn left_out(count: usize) -> Row {
    Row {
        tag: String::new(),
        size: format!("{count} more"),
        place: "in the DXF and in report.json".to_owned(),
        made: String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on_circle(degrees: &[f64]) -> Option<f64> {
        let circle = Circle {
            centre: Point::new(1.0, 2.0),
            radius: 50.0,
        };
        let middles: Vec<Point> = degrees
            .iter()
            .map(|it| circle.centre.polar(50.0, it.to_radians()))
            .collect();
        first_of_even(&middles, circle).map(f64::to_degrees)
    }

    #[test]
    fn a_pattern_begins_at_its_least_angle() {
        let close = |found: Option<f64>, wanted: f64| (found.unwrap() - wanted).abs() < 1e-6;
        assert!(close(on_circle(&[90.0, 210.0, 330.0]), 90.0));
        assert!(close(on_circle(&[0.0, 120.0, 240.0]), 0.0));
        assert!(close(on_circle(&[-0.000_001, 120.0, 240.0]), 0.0));
        assert!(close(on_circle(&[45.0, 135.0, -45.0, -135.0]), 45.0));
        assert_eq!(on_circle(&[0.0, 90.0, 180.0]), None);
    }
}
