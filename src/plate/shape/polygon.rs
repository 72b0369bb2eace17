//! Shapes with straight sides: rectangle, polygon with rounded corners, regular polygon.

use std::f64::consts::{PI, TAU};

use super::Shaped;
use super::outline::{self, TOUCHING, arc, linked, place};
use super::size::{not_negative, positive, read, within_reach};
use crate::elementary;
use crate::fault::Refusal;
use crate::geometry::{Point, Segment, Turning};
use crate::recipe::limits;

/// A corner of a polygon and the radius it is rounded with, mm; 0 leaves it sharp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// Where the sides meet, mm.
    pub at: Point,
    /// Its radius, mm.
    pub radius: f64,
}

/// A rectangle about the origin, `width` along x, with corners of radius `corner` (0: sharp).
pub fn rectangle(width: f64, height: f64, corner: f64) -> Shaped {
    let (x, y) = (
        positive("width", width)? / 2.0,
        positive("height", height)? / 2.0,
    );
    let radius = not_negative("corner radius", corner)?;
    let shorter = x.min(y);
    if radius > shorter + TOUCHING {
        return Err(Refusal::new(format!(
            "a corner radius of {} is more than half of {}, the shorter side",
            read(radius),
            read(2.0 * shorter)
        ))
        .remedy(format!("write at most {}", read(shorter))));
    }
    if radius == 0.0 {
        let corners = [(x, y), (-x, y), (-x, -y), (x, -y)].map(|(x, y)| Corner {
            at: Point::new(x, y),
            radius: 0.0,
        });
        return polygon(&corners);
    }
    let radius = radius.min(shorter);
    let (x, y) = (x - radius, y - radius);
    let quarter = PI / 2.0;
    outline::face(linked(&[
        arc(Point::new(x, y), radius, 0.0, quarter),
        arc(Point::new(-x, y), radius, quarter, PI),
        arc(Point::new(-x, -y), radius, PI, PI + quarter),
        arc(Point::new(x, -y), radius, PI + quarter, TAU),
    ]))
}

/// The polygon through some corners, in either direction, each rounded with its own radius.
pub fn polygon(corners: &[Corner]) -> Shaped {
    if corners.len() < 3 {
        let message = "a polygon of fewer than three corners bounds nothing";
        return Err(Refusal::new(message).remedy("give it at least three"));
    }
    if corners.len() > limits::CORNERS {
        let message = format!("the polygon has {} corners", corners.len());
        return Err(
            Refusal::new(message).remedy(format!("no more than {} are possible", limits::CORNERS))
        );
    }
    for corner in corners {
        within_reach("x of a corner", corner.at.x)?;
        within_reach("y of a corner", corner.at.y)?;
        not_negative("radius of a corner", corner.radius)?;
    }
    refuse_equal_neighbours(corners)?;
    let roundings: Vec<Rounding> = (0..corners.len())
        .map(|i| Rounding::at(corners, i))
        .collect::<Result<_, _>>()?;
    refuse_crowding(corners, &roundings)?;
    outline::face(chain(&roundings))
}

/// A polygon of equal sides about the origin, `across` from flat to flat; for an odd number of
/// sides, twice the distance of a flat from the centre. The middle of one flat lies towards +x.
pub fn regular_polygon(sides: u32, across: f64) -> Shaped {
    positive("size across flats", across)?;
    if !(3..=limits::TEETH).contains(&sides) {
        let message = format!("a regular polygon cannot have {sides} sides");
        return Err(
            Refusal::new(message).remedy(format!("write 3 to {} for its sides", limits::TEETH))
        );
    }
    let step = TAU / f64::from(sides);
    let reach = across / 2.0 / elementary::cos(step / 2.0);
    let corners: Vec<Corner> = (0..sides)
        .map(|i| Corner {
            at: Point::ORIGIN.polar(reach, step * (f64::from(i) + 0.5)),
            radius: 0.0,
        })
        .collect();
    polygon(&corners)
}

/// A corner as it is rounded: the arc between the two sides, or the sharp corner.
struct Rounding {
    /// How much of each side it takes, mm.
    takes: f64,
    start: Point,
    end: Point,
    arc: Option<Segment>,
}

impl Rounding {
    fn at(corners: &[Corner], i: usize) -> Result<Self, Refusal> {
        let Corner { at, radius } = corners[i];
        let before = corners[(i + corners.len() - 1) % corners.len()].at;
        let after = corners[(i + 1) % corners.len()].at;
        let sharp = Self {
            takes: 0.0,
            start: at,
            end: at,
            arc: None,
        };
        let (Some(arriving), Some(leaving)) = ((at - before).unit(), (after - at).unit()) else {
            return Ok(sharp);
        };
        let turn = arriving.turn_to(leaving);
        if radius == 0.0 || turn.abs() < TOUCHING {
            return Ok(sharp);
        }
        if PI - turn.abs() < TOUCHING {
            let message = format!("the corner at {} turns straight back", place(at));
            return Err(Refusal::new(message).remedy("leave out its radius, or move it"));
        }
        let takes = radius * elementary::tan(turn.abs() / 2.0);
        let (start, end) = (at + arriving * -takes, at + leaving * takes);
        let turning = Turning::of(turn);
        let inward = arriving.left() * turning.sign();
        Ok(Self {
            takes,
            start,
            end,
            arc: Some(Segment::Arc {
                start,
                end,
                centre: start + inward * radius,
                radius,
                turning,
            }),
        })
    }
}

fn chain(roundings: &[Rounding]) -> Vec<Segment> {
    let mut segments = Vec::with_capacity(roundings.len() * 2);
    for (i, rounding) in roundings.iter().enumerate() {
        segments.extend(rounding.arc);
        let next = &roundings[(i + 1) % roundings.len()];
        if rounding.end.distance(next.start) > TOUCHING {
            segments.push(Segment::Line {
                start: rounding.end,
                end: next.start,
            });
        }
    }
    segments
}

fn refuse_equal_neighbours(corners: &[Corner]) -> Result<(), Refusal> {
    for (i, corner) in corners.iter().enumerate() {
        let next = corners[(i + 1) % corners.len()].at;
        if corner.at.distance(next) <= TOUCHING {
            let message = format!("two corners of the polygon lie at {}", place(next));
            return Err(Refusal::new(message).remedy("leave one out"));
        }
    }
    Ok(())
}

/// Two roundings that need more than the side between them.
fn refuse_crowding(corners: &[Corner], roundings: &[Rounding]) -> Result<(), Refusal> {
    for i in 0..corners.len() {
        let j = (i + 1) % corners.len();
        let side = corners[i].at.distance(corners[j].at);
        let taken = roundings[i].takes + roundings[j].takes;
        if taken > side + TOUCHING {
            return Err(Refusal::new(format!(
                "the side from {} to {} is {} long, but rounding its corners takes {}",
                place(corners[i].at),
                place(corners[j].at),
                read(side),
                read(taken)
            ))
            .remedy("make a radius smaller"));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plate::shape::testing::{assert_sound, assert_tangent, corners};
    use approx::assert_relative_eq;

    fn corner(x: f64, y: f64, radius: f64) -> Corner {
        Corner {
            at: Point::new(x, y),
            radius,
        }
    }

    #[test]
    fn a_rounded_rectangle_loses_four_corners() {
        let sharp = rectangle(60.0, 40.0, 0.0).expect("a sane rectangle");
        assert_eq!(sharp.area(), 2400.0);
        assert_eq!(corners(&sharp), 4);
        for radius in [0.5, 5.0, 20.0] {
            let region = rectangle(60.0, 40.0, radius).expect("a sane rectangle");
            assert_sound(&region);
            assert_tangent(&region);
            let lost = (4.0 - PI) * radius * radius;
            assert_relative_eq!(region.area(), 2400.0 - lost, max_relative = 1e-12);
            assert_eq!(
                (region.bounds().width(), region.bounds().height()),
                (60.0, 40.0)
            );
        }
        assert!(rectangle(60.0, 40.0, 20.1).is_err());
        assert!(rectangle(60.0, -1.0, 0.0).is_err());
    }

    #[test]
    fn each_corner_has_its_own_radius() {
        let region = polygon(&[
            corner(0.0, 0.0, 0.0),
            corner(0.0, 50.0, 4.0),
            corner(30.0, 50.0, 6.0),
            corner(30.0, 20.0, 5.0),
            corner(80.0, 20.0, 0.0),
            corner(80.0, 0.0, 10.0),
        ])
        .expect("a sane polygon");
        assert_sound(&region);
        assert_eq!(corners(&region), 2);
        // A right-angled corner takes or, if concave, gives (1 - pi/4) r².
        let share = 1.0 - PI / 4.0;
        let expected = 30.0 * 50.0 + 50.0 * 20.0 - share * (16.0 + 36.0 - 25.0 + 100.0);
        assert_relative_eq!(region.area(), expected, max_relative = 1e-12);
    }

    #[test]
    fn roundings_may_meet_but_not_overlap() {
        let square = |radius: f64| {
            polygon(&[
                corner(0.0, 0.0, radius),
                corner(20.0, 0.0, radius),
                corner(20.0, 20.0, radius),
                corner(0.0, 20.0, radius),
            ])
        };
        let disc = square(10.0).expect("roundings that meet");
        assert_relative_eq!(disc.area(), 100.0 * PI, max_relative = 1e-12);
        assert!(
            square(10.1)
                .expect_err("too round")
                .message
                .contains("20 mm")
        );
    }

    #[test]
    fn a_regular_polygon_measures_as_asked_across_its_flats() {
        for sides in [3, 4, 5, 6, 8, 30] {
            let region = regular_polygon(sides, 24.0).expect("a sane polygon");
            assert_sound(&region);
            let n = f64::from(sides);
            let expected = n * 144.0 * (PI / n).tan();
            assert_relative_eq!(region.area(), expected, max_relative = 1e-12);
            assert_relative_eq!(region.bounds().max.x, 12.0, max_relative = 1e-12);
        }
        assert!(regular_polygon(2, 24.0).is_err());
    }

    #[test]
    fn bad_corners_are_told() {
        let told = |corners: &[Corner]| polygon(corners).expect_err("a bad polygon").to_string();
        let (a, b, c) = (
            corner(0.0, 0.0, 0.0),
            corner(9.0, 0.0, 0.0),
            corner(0.0, 9.0, 0.0),
        );
        assert!(told(&[a, b]).contains("three"));
        assert!(told(&[a, b, b, c]).contains("x 9 mm, y 0 mm"));
        assert!(told(&[a, b, corner(f64::NAN, 0.0, 0.0)]).contains("not a number"));
        assert!(
            told(&[a, corner(9.0, 0.0, 1.0), corner(4.0, 0.0, 0.0), c]).contains("straight back")
        );
    }
}
