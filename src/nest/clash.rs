//! Do two shapes overlap, does one lie within walls, and how far can one slide before it touches?
//!
//! In: shapes at their places ([`PlacedShape`](super::placed::PlacedShape)). Out: yes or no, or mm. A touch counts as an
//! overlap, with [`TOUCH`] to spare, so that a "no" survives the rounding of double precision.

use super::placed::{PlacedRef, shifted};
use super::polygon::square_to_stretch;
use super::rigid_shape::PolygonEdge;
use crate::geometry::{Bounds, Point, Vector};

/// Nearer than this (mm) counts as touching.
pub(super) const TOUCH: f64 = 1e-7;

/// Whether two shapes overlap or touch.
pub(super) fn overlap(a: PlacedRef, b: PlacedRef) -> bool {
    let offset = a.at - b.at;
    let reach = a.shape.reach + b.shape.reach + TOUCH;
    if offset.dot(offset) > reach * reach
        || !a.bounds().meets(b.bounds())
        || !a.slanted().grown(TOUCH).meets(b.slanted())
    {
        return false;
    }
    if a.shape.discs.largest_meet(&b.shape.discs, offset) {
        return true;
    }
    disc_meets(a, b)
        .or_else(|| disc_meets(b, a))
        .unwrap_or_else(|| edges_meet(a, b) || one_holds_the_other(a, b))
}

/// Whether a disc meets another shape, told by how near the edges of the other come to its centre. Its
/// own edges lie between two circles: `None` if the nearest edge comes in between these, and for what is
/// no disc.
fn disc_meets(disc: PlacedRef, other: PlacedRef) -> Option<bool> {
    let (inner, outer) = (disc.shape.round?, disc.shape.reach + TOUCH);
    let centre = Point::ORIGIN + (disc.at - other.at);
    let mut nearest = outer * outer;
    for (bounds, run) in other.shape.runs() {
        if square_of_distance(centre, bounds) < nearest {
            let squares = run
                .iter()
                .map(|edge| square_to_stretch(centre, edge.from, edge.to));
            nearest = squares.fold(nearest, |least, it| if it < least { it } else { least });
            if nearest < inner * inner {
                return Some(true);
            }
        }
    }
    (nearest >= outer * outer).then(|| other.shape.encloses(centre))
}

/// The square of how far a point lies from a box, mm²; 0 within.
fn square_of_distance(p: Point, bounds: &Bounds) -> f64 {
    let beyond = |p: f64, low: f64, high: f64| (low - p).max(p - high).max(0.0);
    let x = beyond(p.x, bounds.min.x, bounds.max.x);
    let y = beyond(p.y, bounds.min.y, bounds.max.y);
    x * x + y * y
}

/// Whether a shape lies within walls (loops of their own, counter-clockwise) without touching them.
pub(super) fn within(a: PlacedRef, walls: PlacedRef) -> bool {
    walls.bounds().holds(a.bounds()) && !edges_meet(a, walls) && walls.encloses(a.witness())
}

/// How far `a` can move along the unit vector `direction` before it meets an edge of `b`, at most
/// `limit` mm. The two must not overlap at the start.
pub(super) fn travel(a: PlacedRef, b: PlacedRef, direction: Vector, limit: f64) -> f64 {
    let swept = a.bounds().union(shifted(&a.bounds(), direction * limit));
    if !swept.meets(b.bounds()) {
        return limit;
    }
    let offset = a.at - b.at;
    let mut free = limit;
    for (reach, run) in a.shape.runs() {
        let reach = shifted(reach, offset);
        for (other, others) in b.shape.runs() {
            let ahead = reach.union(shifted(&reach, direction * free));
            if !ahead.meets(*other) {
                continue;
            }
            for edge in run {
                let edge = shifted_edge(edge, offset);
                for opposite in others {
                    free = free.min(meeting(edge.from, opposite, direction));
                    free = free.min(meeting(opposite.from, &edge, -direction));
                }
            }
        }
    }
    free
}

/// How far a point moves along `direction` before it meets an edge; infinite if it never does or
/// has passed it.
fn meeting(p: Point, edge: &PolygonEdge, direction: Vector) -> f64 {
    let (from, to) = (edge.from - p, edge.to - p);
    let (across_from, across_to) = (direction.cross(from), direction.cross(to));
    if (across_from > 0.0) == (across_to > 0.0) {
        return f64::INFINITY;
    }
    let share = across_from / (across_from - across_to);
    let ahead = direction.dot(from) * (1.0 - share) + direction.dot(to) * share;
    if ahead < -TOUCH {
        f64::INFINITY
    } else {
        ahead.max(0.0)
    }
}

/// Whether an edge of one touches or crosses an edge of the other.
pub(super) fn edges_meet(a: PlacedRef, b: PlacedRef) -> bool {
    let offset = a.at - b.at;
    let common = shifted(&a.shape.bounds, offset).grown(TOUCH);
    for (reach, run) in a.shape.runs() {
        let reach = shifted(reach, offset).grown(TOUCH);
        if !reach.meets(b.shape.bounds) {
            continue;
        }
        for (other, others) in b.shape.runs() {
            if !other.meets(reach) || !other.meets(common) {
                continue;
            }
            for edge in run {
                let edge = shifted_edge(edge, offset);
                let box_of_edge = edge.bounds().grown(TOUCH);
                if !box_of_edge.meets(*other) {
                    continue;
                }
                if others
                    .iter()
                    .any(|opposite| meets(&edge, &box_of_edge, opposite))
                {
                    return true;
                }
            }
        }
    }
    false
}

/// Whether two edges touch or cross; the box is that of the first, grown by [`TOUCH`].
fn meets(a: &PolygonEdge, box_of_a: &Bounds, b: &PolygonEdge) -> bool {
    box_of_a.meets(b.bounds()) && !on_one_side(a, b) && !on_one_side(b, a)
}

/// Whether both ends of `b` lie clear of the line through `a`, on the same side.
#[inline]
fn on_one_side(a: &PolygonEdge, b: &PolygonEdge) -> bool {
    let along = a.to - a.from;
    let spare = TOUCH * (along.x.abs() + along.y.abs());
    let (s, t) = (along.cross(b.from - a.from), along.cross(b.to - a.from));
    (s > spare && t > spare) || (s < -spare && t < -spare)
}

/// Whether one lies wholly in the metal of the other; their edges must not meet.
fn one_holds_the_other(a: PlacedRef, b: PlacedRef) -> bool {
    let (bounds_a, bounds_b) = (a.bounds(), b.bounds());
    (bounds_a.holds(bounds_b) && a.encloses(b.witness()))
        || (bounds_b.holds(bounds_a) && b.encloses(a.witness()))
}

fn shifted_edge(edge: &PolygonEdge, by: Vector) -> PolygonEdge {
    PolygonEdge {
        from: edge.from + by,
        to: edge.to + by,
    }
}

#[cfg(test)]
mod tests {
    use super::super::rigid_shape::{RigidShape, RotatedShape};
    use super::*;

    fn square(side: f64) -> RotatedShape {
        let half = side / 2.0;
        let corners = [(-half, -half), (half, -half), (half, half), (-half, half)];
        RigidShape::new(&corners.map(|(x, y)| Point::new(x, y)), &[]).turned(0.0)
    }

    #[test]
    fn squares_that_touch_overlap_and_a_hair_apart_do_not() {
        let (large, small) = (square(10.0), square(2.0));
        let fixed = PlacedRef {
            shape: &large,
            at: Vector::default(),
        };
        let moved = |x: f64, y: f64| PlacedRef {
            shape: &small,
            at: Vector::new(x, y),
        };
        assert!(overlap(fixed, moved(6.0, 0.0)));
        assert!(overlap(moved(5.9, 5.9), fixed));
        assert!(overlap(fixed, moved(1.0, 1.0)), "one holds the other");
        assert!(!overlap(fixed, moved(6.000_01, 0.0)));
        assert!(within(moved(3.0, 0.0), fixed));
        assert!(!within(moved(4.0, 0.0), fixed));
    }

    /// A polygon of so many corners on a circle.
    fn round(radius: f64, corners: usize) -> RotatedShape {
        let corner = |k| {
            Point::ORIGIN.polar(
                radius,
                std::f64::consts::TAU * f64::from(k) / corners as f64,
            )
        };
        let outline: Vec<Point> = (0..corners as u32).map(corner).collect();
        RigidShape::new(&outline, &[]).turned(0.0)
    }

    #[test]
    fn a_disc_meets_what_its_edges_meet() {
        let disc = round(10.0, 48);
        let slotted = {
            let corners = [(-30.0, -4.0), (30.0, -4.0), (30.0, 4.0), (-30.0, 4.0)];
            RigidShape::new(&corners.map(|(x, y)| Point::new(x, y)), &[]).turned(0.3)
        };
        let ring = RigidShape::new(
            &[(-40.0, -40.0), (40.0, -40.0), (40.0, 40.0), (-40.0, 40.0)]
                .map(|(x, y)| Point::new(x, y)),
            &[[(-15.0, -15.0), (15.0, -15.0), (15.0, 15.0), (-15.0, 15.0)]
                .map(|(x, y)| Point::new(x, y))
                .to_vec()],
        )
        .turned(0.0);
        let (small, large) = (round(2.0, 40), round(60.0, 300));
        let mut told = [0; 2];
        for other in [&slotted, &ring, &small, &large, &disc] {
            let fixed = PlacedRef {
                shape: other,
                at: Vector::new(3.0, -2.0),
            };
            for k in 0..40 * 40 {
                let at = Vector::new(
                    f64::from(k % 40) * 4.01 - 80.0,
                    f64::from(k / 40) * 4.01 - 80.0,
                );
                let moved = PlacedRef { shape: &disc, at };
                let Some(meets) = disc_meets(moved, fixed) else {
                    continue;
                };
                told[usize::from(meets)] += 1;
                let by_edges = edges_meet(moved, fixed) || one_holds_the_other(moved, fixed);
                assert_eq!(meets, by_edges, "{at:?}");
            }
        }
        assert!(told[0] > 5_000 && told[1] > 1_000, "{told:?}");
    }

    /// The discs of a shape tell some overlaps sooner, and none that there is not.
    #[test]
    fn overlaps_are_the_same_with_one_disc_and_with_all() {
        let angle = [
            (0.0, 0.0),
            (90.0, 0.0),
            (90.0, 20.0),
            (20.0, 20.0),
            (20.0, 70.0),
            (0.0, 70.0),
        ];
        let angle = RigidShape::new(&angle.map(|(x, y)| Point::new(x, y)), &[]);
        for k in 0..30 * 30 {
            let at = Vector::new(
                f64::from(k % 30) * 6.1 - 90.0,
                f64::from(k / 30) * 5.3 - 80.0,
            );
            let turn = f64::from(k) * 0.37;
            let meet = |one: &RotatedShape, other: &RotatedShape| {
                let fixed = PlacedRef {
                    shape: one,
                    at: Vector::default(),
                };
                overlap(fixed, PlacedRef { shape: other, at })
            };
            let light = meet(&angle.turned(0.2), &angle.turned(turn));
            let full = meet(
                &angle.turned_with_discs(0.2),
                &angle.turned_with_discs(turn),
            );
            assert_eq!(light, full, "{at:?} {turn}");
        }
    }

    #[test]
    fn a_slide_ends_at_the_first_touch() {
        let (large, small) = (square(10.0), square(2.0));
        let fixed = PlacedRef {
            shape: &large,
            at: Vector::default(),
        };
        let moved = PlacedRef {
            shape: &small,
            at: Vector::new(20.0, 5.5),
        };
        let left = Vector::new(-1.0, 0.0);
        assert!((travel(moved, fixed, left, 100.0) - 14.0).abs() < 1e-9);
        assert!((travel(moved, fixed, -left, 100.0) - 100.0).abs() < 1e-9);
    }
}
