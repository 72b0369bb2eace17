//! Arcs that stand for another curve.
//!
//! In: a curve that tells its place and direction at each parameter. Out: circular arcs that meet
//! without a kink and stray no more than [`STRAY`] from it; one that was drawn for an arc
//! is that arc.

use crate::elementary;
use crate::geometry::{Point, Segment, Vector};

/// How far the arcs that stand for another curve may stray from it, mm: below what any table cuts.
pub(in crate::plate) const STRAY: f64 = 0.005;
/// A curve is halved at most so often.
const DEEPEST: u32 = 14;
/// Points of a curve that are compared with its arcs.
const COMPARED: u32 = 12;

/// The cubic Bézier curve that is usual for a quarter circle stands off it by so much of its radius, at most;
/// for less than a quarter it falls with the sixth power of the angle. Worked out from its control points,
/// 4/3 tan(angle/4) of the radius along the tangents; some prefer ones that stand off less, on both sides.
const OF_A_QUARTER: f64 = 2.8e-4;
/// The tangents at the ends of a curve that was drawn for an arc make equal angles with its chord within this,
/// radians: what three decimals leave of them.
const EVEN: f64 = 2e-3;

/// Arcs that stand for a curve.
#[derive(Debug, Clone, Default)]
pub(in crate::plate) struct Fitted {
    pub(in crate::plate) arcs: Vec<Segment>,
    /// How far they are off it at most, mm.
    pub(in crate::plate) off: f64,
}

/// Curves that became arcs.
#[derive(Debug, Clone, Copy, Default)]
pub(in crate::plate) struct Rounded {
    pub(in crate::plate) count: u32,
    /// How far the arcs are off them at most, mm.
    pub(in crate::plate) off: f64,
}

impl Rounded {
    /// One curve more.
    pub(in crate::plate) fn add(&mut self, off: f64) {
        self.include(Self { count: 1, off });
    }

    pub(in crate::plate) fn include(&mut self, others: Self) {
        self.count += others.count;
        self.off = self.off.max(others.off);
    }
}

/// Arcs that stand for the stretch of a curve between two parameters. The curve gives its place and
/// direction. A stretch that was drawn for one arc is that arc, and as far off it as such curves are.
pub(in crate::plate) fn fitted(
    curve: &dyn Fn(f64) -> (Point, Vector),
    from: f64,
    to: f64,
) -> Fitted {
    let mut made = Fitted::default();
    match meant(curve, from, to) {
        Some((arc, off)) => made.add(&[arc], off),
        None => made.fit(curve, from, to, 0),
    }
    made
}

impl Fitted {
    fn add(&mut self, arcs: &[Segment], off: f64) {
        self.arcs.extend(arcs);
        self.off = self.off.max(off);
    }

    /// Adds pairs of arcs, of halves of the stretch where one pair does not do.
    fn fit(&mut self, curve: &dyn Fn(f64) -> (Point, Vector), from: f64, to: f64, depth: u32) {
        let ((start, leaving), (end, arriving)) =
            (heading(curve, from, to), heading(curve, to, from));
        let pair = biarc(start, leaving, end, arriving);
        let pair = pair.map(|arcs| (arcs, off(&arcs, curve, from, to)));
        match pair.filter(|(_, off)| *off <= STRAY) {
            Some((arcs, off)) => self.add(&arcs, off),
            None if depth < DEEPEST => {
                let middle = f64::midpoint(from, to);
                self.fit(curve, from, middle, depth + 1);
                self.fit(curve, middle, to, depth + 1);
            }
            None => self.add(&[Segment::Line { start, end }], 0.0),
        }
    }
}

/// The one arc that a stretch of a curve was drawn for: through its ends, tangent to it there, and no further off than the
/// curves are that programs write for arcs; with how far that is.
fn meant(curve: &dyn Fn(f64) -> (Point, Vector), from: f64, to: f64) -> Option<(Segment, f64)> {
    let ((start, leaving), (end, arriving)) = (heading(curve, from, to), heading(curve, to, from));
    let chord = end - start;
    let before = leaving.turn_to(chord);
    let after = chord.turn_to(arriving);
    let half = f64::midpoint(before, after);
    let quarter = std::f64::consts::FRAC_PI_4;
    if (before - after).abs() > EVEN || half.abs() > quarter + EVEN {
        return None;
    }
    let arc = Segment::from_bulge(start, end, elementary::tan(half / 2.0));
    let radius = match arc {
        Segment::Arc { radius, .. } => radius,
        Segment::Line { .. } => 0.0,
    };
    let usual = OF_A_QUARTER * radius * (half / quarter).powi(6);
    let off = off(&[arc], curve, from, to);
    (off <= STRAY.max(usual)).then_some((arc, off))
}

/// How far a stretch of a curve is off arcs at most.
fn off(arcs: &[Segment], curve: &dyn Fn(f64) -> (Point, Vector), from: f64, to: f64) -> f64 {
    let between = (1..COMPARED).map(|k| from + (to - from) * f64::from(k) / f64::from(COMPARED));
    let gaps = between.map(|t| {
        let p = curve(t).0;
        let gaps = arcs.iter().map(|arc| arc.gap_to_point(p).distance);
        gaps.fold(f64::INFINITY, f64::min)
    });
    gaps.fold(0.0, f64::max)
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
    let before = leaving.turn_to(joint - start);
    let after = (end - joint).turn_to(arriving);
    let open = std::f64::consts::FRAC_PI_2;
    (before.abs() < open && after.abs() < open).then(|| {
        [
            Segment::from_bulge(start, joint, elementary::tan(before / 2.0)),
            Segment::from_bulge(joint, end, elementary::tan(after / 2.0)),
        ]
    })
}
