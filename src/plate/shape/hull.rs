//! The hull of discs: what a string tight around them bounds.

use std::f64::consts::{FRAC_PI_2, TAU};

use super::outline::{self, arc, linked};
use super::size::within_reach;
use super::{Shaped, bar::check_ends};
use crate::elementary;
use crate::fault::Refusal;
use crate::geometry::{Circle, Contour, Point, Segment, Tolerance};
use crate::quantity::format::both_units;

/// The hull of some discs; one of no diameter is a sharp corner.
pub fn hull(discs: &[Circle]) -> Shaped {
    for disc in discs {
        check_ends(disc.centre, disc.centre)?;
        within_reach("diameter", disc.radius)?;
        if disc.radius < 0.0 {
            let message = format!("a diameter is {}", both_units(2.0 * disc.radius));
            return Err(Refusal::new(message).remedy("write 0 mm or more"));
        }
    }
    let outer = outer(discs);
    let [first, rest @ ..] = outer.as_slice() else {
        return Err(Refusal::new("a hull needs discs"));
    };
    if rest.is_empty() {
        if first.radius <= outline::TOUCHING {
            let cause = Refusal::new("all its discs are one point");
            return Err(cause.remedy("give one of them a diameter"));
        }
        let contour = Contour::circle(first.centre, first.radius);
        return Ok(contour.into());
    }
    outline::face(linked(&wrapped(&outer)))
}

/// The discs that none of the others holds.
fn outer(discs: &[Circle]) -> Vec<Circle> {
    let mut by_size = discs.to_vec();
    by_size.sort_by(|a, b| b.radius.total_cmp(&a.radius));
    let mut outer: Vec<Circle> = Vec::new();
    for disc in by_size {
        let holds = |other: &Circle| {
            other.centre.distance(disc.centre) + disc.radius <= other.radius + outline::TOUCHING
        };
        if !outer.iter().any(holds) {
            outer.push(disc);
        }
    }
    outer
}

/// The arcs of the hull, counter-clockwise from its lowest point: at each disc the string goes on to the
/// one whose common tangent comes first as it turns.
fn wrapped(discs: &[Circle]) -> Vec<Segment> {
    let lowest = |disc: &Circle| disc.centre.y - disc.radius;
    // Of discs that are as low, the string comes to the rightmost last.
    let order = |a: &&Circle, b: &&Circle| {
        lowest(a)
            .total_cmp(&lowest(b))
            .then(b.centre.x.total_cmp(&a.centre.x))
    };
    let Some(start) = discs.iter().min_by(order) else {
        return Vec::new();
    };
    let mut arcs = Vec::new();
    let (mut here, mut facing) = (*start, -FRAC_PI_2);
    let end = facing + TAU;
    // Each disc of n has at most two arcs of the hull of all.
    for _ in 0..2 * discs.len() + 2 {
        let ways = discs
            .iter()
            .filter_map(|next| Some((next, tangent(&here, next)?)));
        let turns = ways.map(|(next, way)| {
            let turn = (way - facing).rem_euclid(TAU);
            (
                next,
                if turn > TAU - Tolerance::ROUNDING {
                    0.0
                } else {
                    turn
                },
            )
        });
        let first = turns.min_by(|(a, turn), (b, other)| {
            if (turn - other).abs() > Tolerance::ROUNDING {
                return turn.total_cmp(other);
            }
            let far = |disc: &Circle| disc.centre.distance(here.centre);
            far(b).total_cmp(&far(a))
        });
        let Some((next, turn)) = first else {
            break;
        };
        let until = (facing + turn).min(end);
        if here.radius > outline::TOUCHING {
            arcs.push(arc(here.centre, here.radius, facing, until));
        } else {
            arcs.push(stop(here.centre));
        }
        if facing + turn >= end - Tolerance::ROUNDING {
            break;
        }
        (here, facing) = (*next, until);
    }
    arcs
}

/// A corner, as an arc of no length.
fn stop(at: Point) -> Segment {
    Segment::Line { start: at, end: at }
}

/// The direction that the outer tangent from one disc on to another faces, where the way is
/// counter-clockwise about both: at that angle both reach equally far.
fn tangent(from: &Circle, to: &Circle) -> Option<f64> {
    let run = to.centre - from.centre;
    let distance = run.length();
    let ratio = (from.radius - to.radius) / distance;
    (distance > outline::TOUCHING && ratio.abs() <= 1.0)
        .then(|| run.angle() - elementary::acos(ratio))
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;
    use crate::plate::shape::bar;

    fn disc(x: f64, y: f64, diameter: f64) -> Circle {
        Circle {
            centre: Point::new(x, y),
            radius: diameter / 2.0,
        }
    }

    #[test]
    fn the_hull_of_two_discs_is_a_bar() {
        let made = hull(&[disc(0.0, 0.0, 40.0), disc(70.0, 20.0, 24.0)]).expect("a hull");
        let bar = bar(Point::ORIGIN, Point::new(70.0, 20.0), 40.0, 24.0).expect("a bar");
        assert_relative_eq!(made.area(), bar.area(), max_relative = 1e-12);
    }

    #[test]
    fn sharp_corners_and_rounded_ones_go_together() {
        // A square of 100 with three sharp corners and one of radius 10.
        let made = hull(&[
            disc(0.0, 0.0, 0.0),
            disc(100.0, 0.0, 0.0),
            disc(90.0, 90.0, 20.0),
            disc(0.0, 100.0, 0.0),
            disc(50.0, 50.0, 30.0),
        ]);
        let lost = (4.0 - std::f64::consts::PI) * 100.0 / 4.0;
        let made = made.expect("a hull");
        assert_relative_eq!(made.area(), 10_000.0 - lost, max_relative = 1e-12);
        assert!(made.faces[0].outside.segments().len() == 5);
    }

    #[test]
    fn what_another_disc_holds_changes_nothing() {
        let made = hull(&[disc(3.0, 0.0, 4.0), disc(0.0, 0.0, 40.0)]).expect("a disc");
        assert!(made.faces[0].outside.as_circle().is_some());
        assert!(hull(&[disc(1.0, 1.0, 0.0)]).is_err());
        assert!(hull(&[]).is_err());
        assert!(hull(&[disc(0.0, 0.0, 0.0), disc(5.0, 0.0, 0.0)]).is_err());
    }

    #[test]
    fn it_reaches_as_far_as_its_discs_in_every_direction() {
        // A hull is where its support function is the most of its parts': convexity, any textbook.
        let mut seed = 7_u64;
        let mut next = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (seed >> 33) as f64 / f64::from(u32::MAX >> 1)
        };
        for _ in 0..200 {
            let count = 2 + (next() * 9.0) as usize;
            let discs: Vec<Circle> = (0..count)
                .map(|_| disc(next() * 200.0, next() * 200.0, next() * 60.0))
                .collect();
            let made = hull(&discs).expect("a hull");
            let edge = &made.faces[0].outside;
            for k in 0..48 {
                let way = crate::geometry::Vector::from_angle(f64::from(k) * TAU / 48.0);
                let wanted = discs
                    .iter()
                    .map(|it| (it.centre - Point::ORIGIN).dot(way) + it.radius)
                    .fold(f64::NEG_INFINITY, f64::max);
                let reach = edge.segments().iter().flat_map(|piece| {
                    (0..=64).map(|k| (piece.point_at(f64::from(k) / 64.0) - Point::ORIGIN).dot(way))
                });
                let reach = reach.fold(f64::NEG_INFINITY, f64::max);
                assert!(
                    reach <= wanted + 1e-9 && reach > wanted - 0.1,
                    "{reach} {wanted}"
                );
            }
        }
    }
}
