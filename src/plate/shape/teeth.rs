//! The teeth of a wheel for roller chain.
//!
//! The gap is a seat for the roller, a concave arc about a point of the pitch circle, and on either
//! side a flank, a convex arc that goes on from it; the tip is the outside circle, or a point where
//! the flanks meet below it. ISO 606 gives the least and the greatest gap; this one lies midway
//! between them but for the seat, which takes the smaller radius so that the roller is guided.
//! Pitch circle, root and outside: looked up; radii and angles of the gap: from memory.

use std::f64::consts::{FRAC_PI_2, PI};

use super::Shaped;
use super::outline::{self, arc, linked};
use super::size::{positive, read};
use crate::elementary;
use crate::fault::Refusal;
use crate::geometry::{Point, Pose, Segment, Turning, Vector};

/// Teeth that the standard gives a gap for.
const TEETH: std::ops::RangeInclusive<u32> = 9..=150;

/// The gap between two teeth, mm and radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Radius of the roller's seat.
    pub seat: f64,
    /// Radius of the flanks.
    pub flank: f64,
    /// Angle of the seat about the roller's centre.
    pub angle: f64,
}

impl Gap {
    /// The least gap of ISO 606 for rollers of a diameter.
    #[must_use]
    pub fn least(roller: f64, teeth: u32) -> Self {
        let z = f64::from(teeth);
        Self {
            seat: 0.505 * roller,
            flank: 0.12 * roller * (z + 2.0),
            angle: (140.0 - 90.0 / z).to_radians(),
        }
    }

    /// The greatest gap of ISO 606 for rollers of a diameter.
    #[must_use]
    pub fn greatest(roller: f64, teeth: u32) -> Self {
        let z = f64::from(teeth);
        Self {
            seat: 0.505 * roller + 0.069 * elementary::cbrt(roller),
            flank: 0.008 * roller * (z * z + 180.0),
            angle: (120.0 - 90.0 / z).to_radians(),
        }
    }

    /// The gap that is made.
    #[must_use]
    pub fn made(roller: f64, teeth: u32) -> Self {
        let (least, greatest) = (Self::least(roller, teeth), Self::greatest(roller, teeth));
        Self {
            seat: least.seat,
            flank: f64::midpoint(least.flank, greatest.flank),
            angle: f64::midpoint(least.angle, greatest.angle),
        }
    }
}

/// Outside diameters that ISO 606 allows: least d + p (1 − 1.6 / z) − d1, greatest d + 1.25 p − d1.
#[must_use]
pub fn outsides(pitch: f64, roller: f64, teeth: u32) -> (f64, f64) {
    let z = f64::from(teeth);
    let circle = pitch / elementary::sin(PI / z);
    (
        circle + pitch * (1.0 - 1.6 / z) - roller,
        circle + 1.25 * pitch - roller,
    )
}

/// A full wheel about the origin, a gap in the direction of +x.
pub fn teeth(pitch: f64, roller: f64, count: u32) -> Shaped {
    positive("pitch", pitch)?;
    positive("roller", roller)?;
    if !TEETH.contains(&count) {
        let message = format!("a wheel of {count} teeth has no standard form");
        return Err(Refusal::new(message).remedy(format!(
            "{} to {} teeth are possible",
            TEETH.start(),
            TEETH.end()
        )));
    }
    if roller > 0.7 * pitch || roller < 0.3 * pitch {
        return Err(Refusal::new(format!(
            "rollers of {} do not belong to a chain of pitch {}",
            read(roller),
            read(pitch)
        ))
        .remedy(format!(
            "measure the roller, not the pin or the bushing (usually {} or so)",
            read(0.63 * pitch)
        )));
    }
    let gap = Gap::made(roller, count);
    let (least, greatest) = outsides(pitch, roller, count);
    let tip = f64::midpoint(least, greatest) / 2.0;
    let (seat, flank, land) = pieces(pitch, count, gap, tip)?;
    let step = 2.0 * PI / f64::from(count);
    let mut chain = Vec::with_capacity(count as usize * 4);
    for k in 0..count {
        let turn = Pose::new(step * f64::from(k), Vector::new(0.0, 0.0));
        let below = mirrored(&flank).reversed();
        chain.push(below.posed(&turn));
        chain.push(seat.posed(&turn));
        chain.push(flank.posed(&turn));
        chain.extend(land.map(|land| land.posed(&turn)));
    }
    outline::turned_face(linked(&chain), count as usize)
}

/// The seat from below to above the x axis, the flank above it going outward, and the tip circle from
/// there to the next gap's flank, if the flanks do not meet in a point before.
fn pieces(
    pitch: f64,
    count: u32,
    gap: Gap,
    tip: f64,
) -> Result<(Segment, Segment, Option<Segment>), Refusal> {
    let half_step = PI / f64::from(count);
    let roller_at = Point::new(pitch / (2.0 * elementary::sin(half_step)), 0.0);
    let half_seat = gap.angle / 2.0;
    let seat = arc(roller_at, gap.seat, PI + half_seat, PI - half_seat);
    let outward = Vector::from_angle(PI - half_seat);
    let centre = roller_at + outward * (gap.seat + gap.flank);
    let start = seat.end();
    let no_form = || Refusal::new("the flanks of the teeth do not reach the outside");
    // Where the flank meets the tip circle, or the middle of its tooth before that.
    let on_tip = on_circle(centre, gap.flank, tip).ok_or_else(no_form)?;
    let is_pointed = (on_tip - Point::ORIGIN).angle() > half_step;
    let end = if is_pointed {
        on_ray(centre, gap.flank, half_step).ok_or_else(no_form)?
    } else {
        on_tip
    };
    let flank = Segment::Arc {
        start,
        end,
        centre,
        radius: gap.flank,
        turning: Turning::Left,
    };
    if flank.sweep().abs() > FRAC_PI_2 {
        return Err(no_form());
    }
    let from = (end - Point::ORIGIN).angle();
    let land = (!is_pointed).then(|| arc(Point::ORIGIN, tip, from, 2.0 * half_step - from));
    Ok((seat, flank, land))
}

/// Of the two points where a circle about `centre` meets the circle of radius `tip` about the
/// origin, the one nearer to the x axis.
fn on_circle(centre: Point, radius: f64, tip: f64) -> Option<Point> {
    let away = centre - Point::ORIGIN;
    let distance = away.length();
    let along = (tip * tip + distance * distance - radius * radius) / (2.0 * distance);
    let off = (tip * tip - along * along).max(-1.0);
    (off >= 0.0).then(|| {
        let unit = away * (1.0 / distance);
        let side = Vector::new(unit.y, -unit.x);
        Point::ORIGIN + unit * along + side * off.sqrt()
    })
}

/// Where a circle meets the ray from the origin at an angle, the outer of the two points.
fn on_ray(centre: Point, radius: f64, angle: f64) -> Option<Point> {
    let ray = Vector::from_angle(angle);
    let away = centre - Point::ORIGIN;
    let along = away.dot(ray);
    let off = radius * radius - (away.length().powi(2) - along * along);
    (off >= 0.0).then(|| Point::ORIGIN + ray * (along + off.sqrt()))
}

/// A piece reflected in the x axis.
fn mirrored(piece: &Segment) -> Segment {
    let flip = Pose {
        mirrored: true,
        turn: PI,
        shift: Vector::new(0.0, 0.0),
    };
    piece.posed(&flip)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `(pitch, roller, teeth, greatest outside, least outside, flank and seat and angle of the least
    /// gap, of the greatest)`. Source: ISO 606 / DIN 8196; pitch circle, root and greatest outside
    /// looked up, the rest from memory. Chains 08B, 40, 06B and 41.
    type Published = (f64, f64, u32, f64, f64, [f64; 3], [f64; 3]);

    #[rustfmt::skip]
    const PUBLISHED: [Published; 5] = [
        (12.7, 8.51, 11, 52.4432, 47.4209, [13.2756, 4.2976, 131.8182], [20.4921, 4.4384, 111.8182]),
        (12.7, 8.51, 34, 145.007, 141.2343, [36.7632, 4.2976, 137.3529], [90.9549, 4.4384, 117.3529]),
        (12.7, 7.92, 45, 190.017, 186.3904, [44.6688, 3.9996, 138.0], [139.7088, 4.1371, 118.0]),
        (9.525, 6.35, 11, 39.3649, 35.5982, [9.906, 3.2067, 131.8182], [15.2908, 3.3345, 111.8182]),
        (12.7, 7.77, 11, 53.1832, 48.1609, [12.1212, 3.9238, 131.8182], [18.7102, 4.0605, 111.8182]),
    ];

    #[test]
    fn gaps_and_outsides_are_as_published() {
        for (pitch, roller, count, largest, smallest, least, greatest) in PUBLISHED {
            let (found_least, found_greatest) = outsides(pitch, roller, count);
            assert!((found_least - smallest).abs() < 0.01, "{count}");
            assert!((found_greatest - largest).abs() < 0.01, "{count}");
            for (gap, published) in [
                (Gap::least(roller, count), least),
                (Gap::greatest(roller, count), greatest),
            ] {
                let found = [gap.flank, gap.seat, gap.angle.to_degrees()];
                for (found, published) in found.iter().zip(published) {
                    assert!((found - published).abs() < 0.01, "{found} {published}");
                }
            }
        }
    }

    #[test]
    fn rollers_sit_on_the_pitch_circle_and_touch_nothing_else() {
        for (pitch, roller, count, largest, smallest, ..) in PUBLISHED {
            let region = teeth(pitch, roller, count).expect("a wheel");
            let face = &region.faces[0];
            let circle = pitch / (PI / f64::from(count)).sin();
            for k in 0..count {
                let at =
                    Point::ORIGIN.polar(circle / 2.0, 2.0 * PI * f64::from(k) / f64::from(count));
                assert!(!face.outside.encloses(at));
                let gap = face.outside.gap_to_point(at).distance;
                assert!((gap - 0.505 * roller).abs() < 1e-9, "{gap}");
            }
            let bounds = region.bounds();
            assert!(bounds.width() <= largest + 1e-9 && bounds.height() >= smallest * 0.95);
            assert!(
                face.outside
                    .segments()
                    .iter()
                    .all(|it| matches!(it, Segment::Arc { .. }))
            );
        }
    }

    #[test]
    fn seat_and_flank_meet_without_a_kink() {
        let region = teeth(12.7, 7.92, 18).expect("a wheel");
        let segments = region.faces[0].outside.segments();
        let radius = |it: &Segment| match it {
            Segment::Arc { radius, .. } => *radius,
            Segment::Line { .. } => 0.0,
        };
        let seat = Gap::made(7.92, 18).seat;
        let mut seen = 0;
        for (i, piece) in segments.iter().enumerate() {
            if (radius(piece) - seat).abs() < 1e-9 {
                let before = &segments[(i + segments.len() - 1) % segments.len()];
                let after = &segments[(i + 1) % segments.len()];
                assert!(
                    before
                        .direction_at(1.0)
                        .cross(piece.direction_at(0.0))
                        .abs()
                        < 1e-9
                );
                assert!(piece.direction_at(1.0).cross(after.direction_at(0.0)).abs() < 1e-9);
                seen += 1;
            }
        }
        assert_eq!(seen, 18);
    }

    #[test]
    fn every_standard_count_has_a_form() {
        for (pitch, roller) in [
            (6.35, 3.3),
            (9.525, 5.08),
            (12.7, 7.77),
            (12.7, 8.51),
            (25.4, 15.88),
        ] {
            for count in [9, 10, 12, 17, 25, 60, 114, 150] {
                let region = teeth(pitch, roller, count)
                    .unwrap_or_else(|why| panic!("{pitch} {count}: {why}"));
                assert_eq!(region.faces.len(), 1);
            }
        }
    }

    #[test]
    fn what_cannot_be_made_is_told() {
        assert!(
            teeth(12.7, 7.92, 8)
                .expect_err("few")
                .to_string()
                .contains("9 to 150")
        );
        assert!(
            teeth(12.7, 12.0, 20)
                .expect_err("roller")
                .to_string()
                .contains("measure the roller")
        );
        assert!(teeth(0.0, 7.92, 20).is_err());
    }
}
