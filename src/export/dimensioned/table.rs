//! The table of a drawing: where every opening and fold is, and how it is made.
//!
//! In: the groups of openings. Out: rows of words. Places are measured from the datum: the middle of
//! the bore, else of a round outside, else the lower left corner of the box around the plate.

use std::f64::consts::TAU;

use super::callout::{both, fold};
use crate::export::form;
use crate::export::opening_group::Group;
use crate::geometry::{Circle, Point};
use crate::plate::{Plate, Purpose};
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

/// Where places are measured from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Datum {
    /// The place.
    pub(super) at: Point,
    /// What it is.
    pub(super) says: &'static str,
}

impl Datum {
    /// The datum of a plate.
    pub(super) fn of(plate: &Plate) -> Self {
        let openings = plate.openings.iter().zip(&plate.face.openings);
        let bore = openings
            .filter(|(opening, _)| opening.purpose == Purpose::Bore)
            .map(|(opening, edge)| form::middle(edge, opening.purpose))
            .next();
        if let Some(at) = bore {
            return Self {
                at,
                says: "the middle of the bore",
            };
        }
        match plate.face.outside.as_circle() {
            Some(circle) => Self {
                at: circle.centre,
                says: "the middle of the outside",
            },
            None => Self {
                at: plate.face.outside.bounds().min,
                says: "the lower left corner of the box around the plate",
            },
        }
    }

    fn place(self, p: Point) -> String {
        let from = p - self.at;
        format!("x {}, y {}", both(from.x), both(from.y))
    }
}

/// Every row: openings in their groups, then folds.
pub(super) fn rows(plate: &Plate, groups: &[Group]) -> Vec<Row> {
    let datum = Datum::of(plate);
    let mut rows = Vec::new();
    for group in groups {
        let made = made(group);
        if let Some(place) = pattern(group, datum) {
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
                place: datum.place(*middle),
                made: made.clone(),
            });
        }
    }
    for (index, bend) in plate.bends.iter().enumerate() {
        rows.push(Row {
            tag: format!("F{}", index + 1),
            size: fold(bend),
            place: format!("from {}", datum.place(bend.from)),
            made: format!("to {}", datum.place(bend.to)),
        });
    }
    rows
}

/// Places evenly on a full circle, in a few words.
fn pattern(group: &Group, datum: Datum) -> Option<String> {
    let circle = group.pitch?;
    let first = first_of_even(&group.middles, circle)?;
    let about = if circle.centre.distance(datum.at) < 0.005 {
        String::new()
    } else {
        format!(" about {}", datum.place(circle.centre))
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

fn made(group: &Group) -> String {
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
