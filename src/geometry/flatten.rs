//! Arcs to chords, for computations that need polygons, with a stated chord tolerance.
//!
//! In: a contour or region and a tolerance in mm. Out: polygons no point of which is farther than
//! the tolerance from the edge, on the curve, outside or inside of it.

use super::measure::TOUCHING;
use super::{Contour, Point, Region, Segment, Turning};
use crate::elementary;

/// The most that one chord spans, radians, however coarse the tolerance: a circle is never less
/// than an octagon.
const WIDEST_CHORD: f64 = std::f64::consts::FRAC_PI_4;

/// On which side of an arc its chords lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Vertices on the arc: convex arcs lose up to the tolerance, concave ones gain it.
    OnCurve,
    /// The polygon holds the whole loop: chords of convex arcs are tangents, of concave arcs secants.
    Outward,
    /// The polygon lies within the loop.
    Inward,
}

impl Contour {
    /// The loop as a polygon in its own direction, not repeated at the end; no point of the polygon
    /// is farther than `tolerance` mm (taken as at least [`TOUCHING`]) from the loop.
    ///
    /// Tangents may cross a neighbouring stretch of the loop that is nearer than the tolerance.
    #[must_use]
    pub fn flattened(&self, tolerance: f64, side: Side) -> Vec<Point> {
        let convex = Turning::of(self.signed_area());
        let mut points = Vec::with_capacity(self.segments().len() * 4);
        for segment in self.segments() {
            points.push(segment.start());
            let Segment::Arc { turning, .. } = segment else {
                continue;
            };
            match (side, *turning == convex) {
                (Side::Outward, true) | (Side::Inward, false) => {
                    tangents(segment, tolerance, &mut points);
                }
                _ => secants(segment, tolerance, &mut points),
            }
        }
        points
    }
}

impl Segment {
    /// The piece as a chain of chords from its start to its end, both included, no farther than
    /// `tolerance` mm from it; vertices lie on the piece.
    #[must_use]
    pub fn flattened(&self, tolerance: f64) -> Vec<Point> {
        let mut points = vec![self.start()];
        secants(self, tolerance, &mut points);
        points.push(self.end());
        points
    }
}

impl Region {
    /// Every contour as a polygon with its vertices on the curve (see [`Contour::flattened`]), for
    /// the crates that take `geo` types.
    #[must_use]
    pub fn to_geo(&self, tolerance: f64) -> geo::MultiPolygon<f64> {
        let ring = |contour: &Contour| {
            contour
                .flattened(tolerance, Side::OnCurve)
                .into_iter()
                .map(|p| geo::coord! { x: p.x, y: p.y })
                .collect::<geo::LineString<f64>>()
        };
        self.faces
            .iter()
            .map(|face| {
                geo::Polygon::new(
                    ring(&face.outside),
                    face.openings.iter().map(ring).collect(),
                )
            })
            .collect()
    }
}

/// Adds the vertices of chords between points of an arc, without its ends. The sagitta of a chord
/// over the angle a is r (1 - cos(a / 2)).
fn secants(segment: &Segment, tolerance: f64, points: &mut Vec<Point>) {
    let Segment::Arc {
        start,
        centre,
        radius,
        ..
    } = *segment
    else {
        return;
    };
    let steepest = radius * (1.0 - elementary::cos(WIDEST_CHORD / 2.0));
    let (from, sweep) = ((start - centre).angle(), segment.sweep());
    let steps = chords(
        sweep,
        2.0 * elementary::acos(1.0 - tolerance.max(TOUCHING).min(steepest) / radius),
    );
    let angle = |i: u32| from + sweep * (f64::from(i) / f64::from(steps));
    points.extend((1..steps).map(|i| centre.polar(radius, angle(i))));
}

/// Adds the corners of a chain of tangents to an arc, which starts and ends on it. Tangents at
/// points an angle a apart meet r (1 / cos(a / 2) - 1) outside the arc.
fn tangents(segment: &Segment, tolerance: f64, points: &mut Vec<Point>) {
    let Segment::Arc {
        start,
        centre,
        radius,
        ..
    } = *segment
    else {
        return;
    };
    let sweep = segment.sweep();
    let step = 2.0 * elementary::acos(radius / (radius + tolerance.max(TOUCHING)));
    let steps = chords(sweep, step.min(WIDEST_CHORD));
    let each = sweep / f64::from(steps);
    let reach = radius / elementary::cos(each / 2.0);
    let from = (start - centre).angle();
    points.extend((0..steps).map(|i| centre.polar(reach, from + each * (f64::from(i) + 0.5))));
}

/// How many equal chords of at most `step` radians span a sweep.
fn chords(sweep: f64, step: f64) -> u32 {
    ((sweep.abs() / step).ceil() as u32).max(1)
}
