//! Arcs that stand for another curve.
//!
//! In: a curve that tells its place and direction at each parameter. Out: circular arcs that meet
//! without a kink and stray no more than [`STRAY`] from it.

use crate::elementary;
use crate::geometry::{Point, Segment, Vector};

/// How far the arcs that stand for another curve may stray from it, mm: below what any table cuts.
pub(in crate::plate) const STRAY: f64 = 0.005;
/// A curve is halved at most so often.
const DEEPEST: u32 = 14;
/// Points of a curve that are compared with its arcs.
const COMPARED: u32 = 12;

/// Pairs of arcs that stand for the stretch of a curve between two parameters. The curve gives its
/// place and direction.
pub(in crate::plate) fn fitted(
    curve: &dyn Fn(f64) -> (Point, Vector),
    from: f64,
    to: f64,
    depth: u32,
    arcs: &mut Vec<Segment>,
) {
    let ((start, leaving), (end, arriving)) = (heading(curve, from, to), heading(curve, to, from));
    let pair = biarc(start, leaving, end, arriving);
    let between = (1..COMPARED).map(|k| from + (to - from) * f64::from(k) / f64::from(COMPARED));
    let stays = |pair: &[Segment; 2]| {
        between.clone().all(|t| {
            let p = curve(t).0;
            let gap = |arc: &Segment| arc.gap_to_point(p).distance;
            gap(&pair[0]).min(gap(&pair[1])) <= STRAY
        })
    };
    match pair.filter(stays) {
        Some(pair) => arcs.extend(pair),
        None if depth < DEEPEST => {
            let middle = f64::midpoint(from, to);
            fitted(curve, from, middle, depth + 1, arcs);
            fitted(curve, middle, to, depth + 1, arcs);
        }
        None => arcs.push(Segment::Line { start, end }),
    }
}

/// Place and direction at a parameter; where the curve stands still, the direction of the chord a
/// little further towards the other end.
fn heading(curve: &dyn Fn(f64) -> (Point, Vector), t: f64, other: f64) -> (Point, Vector) {
    const LITTLE: f64 = 1e-4;
    let (place, along) = curve(t);
    let unit = along.unit().unwrap_or_else(|| {
        let near = curve(t + (other - t) * LITTLE).0;
        let chord = if other > t {
            near - place
        } else {
            place - near
        };
        chord.unit().unwrap_or(Vector::new(1.0, 0.0))
    });
    (place, unit)
}

/// Two arcs from one point and direction to another that meet without a kink, both tangent lengths
/// equal. Textbook construction, from memory. None where it would need a half circle or more.
fn biarc(start: Point, leaving: Vector, end: Point, arriving: Vector) -> Option<[Segment; 2]> {
    const PARALLEL: f64 = 1e-9;
    let across = end - start;
    let sum = leaving + arriving;
    let twist = 2.0 * (1.0 - leaving.dot(arriving));
    let reach = across.dot(sum);
    let length = if twist > PARALLEL {
        ((reach * reach + twist * across.dot(across)).sqrt() - reach) / twist
    } else {
        across.dot(across) / (2.0 * reach)
    };
    if !(length > 0.0 && length < across.length() * 10.0) {
        return None;
    }
    let (first, second) = (start + leaving * length, end + -(arriving * length));
    let joint = first.lerp(second, 0.5);
    let half = |direction: Vector, chord: Vector| {
        elementary::atan2(direction.cross(chord), direction.dot(chord))
    };
    let before = half(leaving, joint - start);
    let after = half(end - joint, arriving);
    let open = std::f64::consts::FRAC_PI_2;
    (before.abs() < open && after.abs() < open).then(|| {
        [
            Segment::from_bulge(start, joint, elementary::tan(before / 2.0)),
            Segment::from_bulge(joint, end, elementary::tan(after / 2.0)),
        ]
    })
}
