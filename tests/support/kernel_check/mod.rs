//! An independent reckoning of booleans and offsets: the same operation on finely flattened
//! outlines by integer polygon engines (`i_overlay` for booleans, Clipper for offsets), and a judge
//! that tells flattening error from a wrong result.
//!
//! Flattening is done here anew, so that a fault in the crate's own cannot hide one in the kernel.

pub mod scene;

use geo::{Coord, LineString, MultiPolygon, Polygon};
use geo_clipper::{ClipperInt, EndType, JoinType};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use platewright::geometry::{Contour, Face, Region, Segment};

/// Sagitta of the chords, mm.
pub const CHORD: f64 = 4e-4;
/// A difference of less area than this times its own outline is flattening error, mm.
pub const THIN: f64 = 1e-3;
/// Steps of the integer engine per mm.
const PER_MM: f64 = 1e6;

/// By how much the bounds of a rounding differ from the radius asked, mm.
const HAIR: f64 = 1e-3;

/// Outlines as polygons, wound as the region winds them.
pub type Polygons = Vec<Vec<[f64; 2]>>;

/// What a result is held against.
pub enum Reference {
    /// It must be this.
    Exact(Polygons),
    /// It must hold the first and lie in the second.
    Between(Polygons, Polygons),
}

/// One operation of a build.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Operation {
    Union,
    Difference,
    Intersection,
}

/// A contour with chords of at most [`CHORD`] sagitta.
pub fn flat_contour(contour: &Contour) -> Vec<[f64; 2]> {
    let mut points = Vec::new();
    for segment in contour.segments() {
        let steps = match segment {
            Segment::Line { .. } => 1,
            Segment::Arc { radius, .. } => {
                let widest = 2.0 * (1.0 - (CHORD / radius).min(0.2)).acos();
                (segment.sweep().abs() / widest).ceil().max(1.0) as usize
            }
        };
        for i in 0..steps {
            let p = segment.point_at(i as f64 / steps as f64);
            points.push([p.x, p.y]);
        }
    }
    points
}

/// Every contour of a region as a polygon.
pub fn flat(region: &Region) -> Polygons {
    region.contours().map(flat_contour).collect()
}

/// The same boolean on flattened outlines.
pub fn boolean(a: &Region, b: &Region, operation: Operation) -> Reference {
    let rule = match operation {
        Operation::Union => OverlayRule::Union,
        Operation::Difference => OverlayRule::Difference,
        Operation::Intersection => OverlayRule::Intersect,
    };
    let shapes = flat(a).overlay(&flat(b), rule, FillRule::NonZero);
    Reference::Exact(shapes.into_iter().flatten().collect())
}

/// Outlines as Clipper takes them.
type Scaled = MultiPolygon<i64>;

fn scaled(region: &Region) -> Scaled {
    let ring = |contour: &Contour| -> LineString<i64> {
        let mut points: Vec<Coord<i64>> = flat_contour(contour)
            .into_iter()
            .map(|[x, y]| Coord {
                x: (x * PER_MM).round() as i64,
                y: (y * PER_MM).round() as i64,
            })
            .collect();
        points.push(points[0]);
        LineString(points)
    };
    let polygon = |face: &Face| {
        let openings = face.openings.iter().map(ring).collect();
        Polygon::new(ring(&face.outside), openings)
    };
    MultiPolygon(region.faces.iter().map(polygon).collect())
}

fn grown(outlines: &Scaled, distance: f64) -> Scaled {
    outlines.offset(
        distance * PER_MM,
        JoinType::Round(CHORD * PER_MM),
        EndType::ClosedPolygon,
    )
}

fn unscaled(outlines: &Scaled) -> Polygons {
    let back = |line: &LineString<i64>| -> Vec<[f64; 2]> {
        let point = |c: &Coord<i64>| [c.x as f64 / PER_MM, c.y as f64 / PER_MM];
        line.0.iter().map(point).collect()
    };
    outlines
        .0
        .iter()
        .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
        .map(back)
        .collect()
}

/// The same offset on flattened outlines, by Clipper; the outlines must not overlap.
pub fn offset(region: &Region, distance: f64) -> Reference {
    Reference::Exact(unscaled(&grown(&scaled(region), distance)))
}

/// Grown then shrunk (shrunk then grown if negative) by Clipper, by a little less and a little
/// more: a channel of exactly twice the radius may close or stay.
pub fn there_and_back(region: &Region, distance: f64) -> Reference {
    let outlines = scaled(region);
    let [less, more] = [-HAIR, HAIR].map(|hair| {
        let distance = distance + hair * distance.signum();
        unscaled(&grown(&grown(&outlines, distance), -distance))
    });
    if distance > 0.0 {
        Reference::Between(less, more)
    } else {
        Reference::Between(more, less)
    }
}

/// Signed area of a polygon.
pub fn area(polygon: &[[f64; 2]]) -> f64 {
    let origin = polygon[0];
    let next = |i: usize| polygon[(i + 1) % polygon.len()];
    (0..polygon.len())
        .map(|i| {
            let (p, q) = (polygon[i], next(i));
            (p[0] - origin[0]) * (q[1] - origin[1]) - (q[0] - origin[0]) * (p[1] - origin[1])
        })
        .sum::<f64>()
        / 2.0
}

fn length(polygon: &[[f64; 2]]) -> f64 {
    (0..polygon.len())
        .map(|i| {
            let (p, q) = (polygon[i], polygon[(i + 1) % polygon.len()]);
            (p[0] - q[0]).hypot(p[1] - q[1])
        })
        .sum()
}

/// What is wrong with a result, given the reference: a difference that flattening cannot explain,
/// or a region that breaks its own invariants. `thin` widens the allowance.
pub fn fault(result: &Region, reference: &Reference, thin: f64) -> Option<String> {
    if let Some(why) = broken(result) {
        return Some(why);
    }
    let found = flat(result);
    let flat_area: f64 = found.iter().map(|polygon| area(polygon)).sum();
    let slack = found.iter().map(|polygon| length(polygon)).sum::<f64>() * CHORD + 1e-6;
    if (flat_area - result.area()).abs() > slack {
        return Some(format!(
            "contours overlap: {flat_area} or {}",
            result.area()
        ));
    }
    match reference {
        Reference::Exact(all) => thick(&found, all, OverlayRule::Xor, thin),
        Reference::Between(least, most) => thick(least, &found, OverlayRule::Difference, thin)
            .or_else(|| thick(&found, most, OverlayRule::Difference, thin)),
    }
}

/// The first thick part of a difference.
fn thick(a: &Polygons, b: &Polygons, rule: OverlayRule, thin: f64) -> Option<String> {
    let differences = a.overlay(b, rule, FillRule::NonZero);
    differences.into_iter().find_map(|shape| {
        let size: f64 = shape.iter().map(|polygon| area(polygon)).sum::<f64>().abs();
        let around: f64 = shape.iter().map(|polygon| length(polygon)).sum();
        let at = shape[0][0];
        (size > thin * around).then(|| format!("differs by {size:.6} mm2 near {at:?}"))
    })
}

/// Which invariant of a region is broken, if any.
pub fn broken(region: &Region) -> Option<String> {
    for face in &region.faces {
        if face.outside.signed_area() <= 0.0 {
            return Some("an outside runs clockwise".into());
        }
        for opening in &face.openings {
            if opening.signed_area() >= 0.0 {
                return Some("an opening runs counter-clockwise".into());
            }
            if !face.outside.bounds().grown(1e-3).holds(opening.bounds()) {
                return Some("an opening lies beside its face".into());
            }
        }
        let inner: f64 = face.openings.iter().map(Contour::signed_area).sum();
        if face.outside.signed_area() + inner <= 0.0 {
            return Some("openings larger than their face".into());
        }
    }
    region.contours().find_map(broken_contour)
}

fn broken_contour(contour: &Contour) -> Option<String> {
    let segments = contour.segments();
    for (i, segment) in segments.iter().enumerate() {
        let next = &segments[(i + 1) % segments.len()];
        if segment.end() != next.start() {
            return Some(format!("a gap at {:?}", segment.end()));
        }
        if let Segment::Arc {
            start,
            end,
            centre,
            radius,
            ..
        } = segment
        {
            let miss = (start.distance(*centre) - radius)
                .abs()
                .max((end.distance(*centre) - radius).abs());
            if miss > 1e-4 {
                return Some(format!("an arc misses its end by {miss}"));
            }
            if segment.sweep().abs() > std::f64::consts::PI + 1e-6 {
                return Some("an arc of more than a half turn".into());
            }
        }
    }
    None
}
