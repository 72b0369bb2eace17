//! A second opinion on every step of a plate, by engines that know nothing of arcs.
//!
//! In: what a step starts from, what it does, and the region that the arrangement kernel made of it.
//! Out: nothing if the same step on finely flattened outlines, by a polygon engine of whole numbers,
//! comes to the same metal, the same number of pieces and of openings within what flattening can
//! explain; else one sentence that says where they differ.

use std::convert::Infallible;

use geo::{Coord, LineString, MultiPolygon, Polygon};
use geo_clipper::{ClipperInt, EndType, JoinType};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;

use crate::geometry::{Bounds, Contour, Face, Point, Region, Segment, Side, Unresolved, crowd};
use crate::recipe::words::Operation;

/// Chords part from their arcs by no more than this, mm.
const CHORD: f64 = 1e-3;
/// The same as a share of the largest radius, where that is more, from a quarter of a metre on: circles of tens of
/// metres that nearly coincide cross in every one of tens of thousands of chords.
const CHORD_ROUND: f64 = 4e-6;
/// What is narrower in the mean (area by length around it) than so many chords, flattening can explain: an
/// edge may lie a chord off on either side.
const CHORDS: f64 = 2.5;
/// Chords of what is offset, mm: that engine is the slower one.
const CHORD_OFFSET: f64 = 5e-3;
/// The same as a share of the offset, where that is more, from a quarter of a metre on: of a circle of
/// metres drawn in by most of its radius every chord crosses every other.
const CHORD_FAR: f64 = 2e-5;
/// What flattening can explain after an offset, in chords: the joints of arcs add their own.
const CHORDS_OFFSET: f64 = 5.0;
/// Contacts narrower than twice this, mm, are opened or closed before pieces and openings are
/// counted again: whether outlines that only touch are one is a matter of rounding.
const HAIR: f64 = 1e-2;
/// Steps of the integer engine per mm.
const PER_MM: f64 = 1e6;

/// A closed polygon, as the overlay engine takes it.
type Ring = Vec<[f64; 2]>;

/// What a step should come to.
pub(super) struct Expected {
    rings: Vec<Ring>,
    /// By how much the chords of what is compared with it may part from their arcs, mm.
    chord: f64,
    /// What is narrower in the mean (area by length around it), mm, flattening can explain.
    thin: f64,
}

/// What adding, cutting and keeping shapes in this order should make of a region.
pub(super) fn of_shapes(region: &Region, steps: &[(Operation, Vec<Region>)]) -> Expected {
    let shapes = steps.iter().flat_map(|(_, shapes)| shapes);
    let chord = chord_of(shapes.chain([region]));
    let mut rings = flat([region], chord);
    for run in steps.chunk_by(|(before, _), (next, _)| before.joins(*next)) {
        let rule = match run[0].0 {
            Operation::Add => OverlayRule::Union,
            Operation::Cut => OverlayRule::Difference,
            Operation::Keep => OverlayRule::Intersect,
        };
        let shapes: Vec<&Region> = run.iter().flat_map(|(_, shapes)| shapes).collect();
        rings = match (rule, shapes.as_slice()) {
            // The first shape is there as it is.
            (OverlayRule::Union, [shape]) if rings.is_empty() => flat([*shape], chord),
            _ => overlaid(&rings, &thinned(&shapes, chord), rule),
        };
    }
    Expected {
        rings,
        chord,
        thin: CHORDS * chord,
    }
}

/// Shapes as rings with the same union: a crowd by halves, so that what is covered goes early.
fn thinned(shapes: &[&Region], chord: f64) -> Vec<Ring> {
    if !crowd::is_crowd(shapes) {
        return flat(shapes.iter().copied(), chord);
    }
    let each: Vec<Vec<Ring>> = shapes.iter().map(|shape| flat([*shape], chord)).collect();
    let place = |rings: &Vec<Ring>| {
        let points = rings.iter().flatten().map(|[x, y]| Point::new(*x, *y));
        Bounds::around(points).centre()
    };
    let unite = |rings: &[Vec<Ring>]| {
        let (first, rest) = rings.split_at(rings.len().min(1));
        let rest: Vec<Ring> = rest.concat();
        Ok::<_, Infallible>(overlaid(&first.concat(), &rest, OverlayRule::Union))
    };
    let Ok(united) = crowd::by_halves(each, &place, 2, &unite);
    united
}

fn overlaid(rings: &[Ring], others: &[Ring], rule: OverlayRule) -> Vec<Ring> {
    let made = rings.overlay(&others, rule, FillRule::NonZero);
    made.into_iter().flatten().collect()
}

/// What growing a region by `distance` mm (shrinking if negative) should come to.
///
/// Shrunk by half its shorter side a face is gone; the engine would get there too, but by way of
/// every crossing of every chord with every other.
pub(super) fn of_offset(region: &Region, distance: f64) -> Expected {
    let stays = |face: &&Face| {
        let around = face.outside.bounds();
        around.width().min(around.height()) + 2.0 * distance > 0.0
    };
    let left = Region {
        faces: region.faces.iter().filter(stays).cloned().collect(),
    };
    let chord = CHORD_OFFSET.max(CHORD_FAR * distance.abs());
    Expected {
        rings: grown(&flat_faces(&left, chord), distance, chord),
        chord: chord_of([region]),
        thin: CHORDS_OFFSET * chord,
    }
}

impl Expected {
    /// Fails unless `found` is this, within what flattening can explain.
    pub(super) fn confirms(&self, found: &Region) -> Result<(), Unresolved> {
        let unlike = |what: String| {
            Err(Unresolved::Unclear(format!(
                "a second reckoning differs, {what}"
            )))
        };
        let rings = flat([found], self.chord);
        let (expected, area) = (total(&self.rings), found.area());
        let around = |rings: &[Ring]| rings.iter().map(|ring| length(ring)).sum::<f64>();
        if (area - expected).abs() > self.thin * around(&self.rings).max(around(&rings)) {
            return unlike(format!("{area:.3} mm² against {expected:.3} mm²"));
        }
        if self.matches(&rings) {
            return Ok(());
        }
        let apart = rings.overlay(&self.rings, OverlayRule::Xor, FillRule::NonZero);
        let thick = apart.iter().find(|shape| self.is_thick(shape));
        if let Some([x, y]) = thick.and_then(|shape| shape.first()?.first()) {
            return unlike(format!("near x {x:.2} mm, y {y:.2} mm"));
        }
        if self.counts_agree(found, &rings) {
            return Ok(());
        }
        unlike("in its number of pieces or openings".to_owned())
    }

    /// Whether every ring has its like, specks apart: area and extents. It is so unless outlines
    /// touch.
    fn matches(&self, rings: &[Ring]) -> bool {
        let real = |rings: &[Ring]| -> Vec<Extent> {
            let real = rings.iter().filter(|ring| !is_speck(ring, self.thin));
            let mut real: Vec<Extent> = real.map(|ring| Extent::of(ring)).collect();
            real.sort_by(|a, b| a.left().total_cmp(&b.left()));
            real
        };
        let (expected, found) = (real(&self.rings), real(rings));
        if found.len() != expected.len() {
            return false;
        }
        let mut taken = vec![false; expected.len()];
        // Likes lie side by side in both lists, by their left ends.
        let mut first = 0;
        found.iter().all(|ring| {
            let apart = 2.0 * self.thin;
            while first < expected.len() && expected[first].left() < ring.left() - apart {
                first += 1;
            }
            let near =
                (first..expected.len()).take_while(|&i| expected[i].left() <= ring.left() + apart);
            let mut likes = near.filter(|&i| !taken[i] && ring.is_like(&expected[i], self.thin));
            let like = likes.next();
            drop(likes);
            like.map(|like| taken[like] = true).is_some()
        })
    }

    fn is_thick(&self, shape: &[Ring]) -> bool {
        let around: f64 = shape.iter().map(|ring| length(ring)).sum();
        total(shape).abs() > self.thin * around
    }

    /// Whether pieces and openings agree as they stand, or once mere contacts are settled.
    fn counts_agree(&self, found: &Region, rings: &[Ring]) -> bool {
        if counts(rings, self.thin) == counts(&self.rings, self.thin) {
            return true;
        }
        let expected = outlines(&self.rings);
        let found = flat_faces(found, self.chord);
        let count = |outlines, hair| counts(&grown(outlines, hair, CHORD_OFFSET), self.thin);
        [-HAIR, HAIR]
            .into_iter()
            .any(|hair| count(&found, hair) == count(&expected, hair))
    }
}

/// What tells one ring from another, mm and mm².
struct Extent {
    area: f64,
    length: f64,
    bounds: Bounds,
}

impl Extent {
    fn of(ring: &[[f64; 2]]) -> Self {
        Self {
            area: area(ring),
            length: length(ring),
            bounds: Bounds::around(ring.iter().map(|[x, y]| Point::new(*x, *y))),
        }
    }

    fn left(&self) -> f64 {
        self.bounds.min.x
    }

    fn is_like(&self, other: &Self, thin: f64) -> bool {
        (self.area - other.area).abs() <= thin * self.length
            && self.bounds.min.distance(other.bounds.min) <= 2.0 * thin
            && self.bounds.max.distance(other.bounds.max) <= 2.0 * thin
    }
}

/// How many pieces and how many openings there are, specks apart: rings one way and the other.
fn counts(rings: &[Ring], thin: f64) -> (usize, usize) {
    let real = rings.iter().filter(|ring| !is_speck(ring, thin));
    let (pieces, openings): (Vec<_>, Vec<_>) = real.partition(|ring| area(ring) > 0.0);
    (pieces.len(), openings.len())
}

fn is_speck(ring: &[[f64; 2]], thin: f64) -> bool {
    area(ring).abs() <= thin * length(ring)
}

/// Every contour of some regions: outsides counter-clockwise, openings clockwise.
fn flat<'a>(regions: impl IntoIterator<Item = &'a Region>, chord: f64) -> Vec<Ring> {
    let contours = regions.into_iter().flat_map(Region::contours);
    contours.map(|contour| flat_ring(contour, chord)).collect()
}

/// By how much chords may part from the arcs of some regions, mm.
fn chord_of<'a>(regions: impl IntoIterator<Item = &'a Region>) -> f64 {
    let contours = regions.into_iter().flat_map(Region::contours);
    let radii = contours
        .flat_map(Contour::segments)
        .filter_map(|segment| match segment {
            Segment::Arc { radius, .. } => Some(CHORD_ROUND * radius),
            Segment::Line { .. } => None,
        });
    radii.fold(CHORD, f64::max)
}

fn flat_ring(contour: &Contour, chord: f64) -> Ring {
    let points = contour.flattened(chord, Side::OnCurve);
    points.into_iter().map(|p| [p.x, p.y]).collect()
}

/// A region as the offset engine takes it: whole steps, openings within their faces.
fn flat_faces(region: &Region, chord: f64) -> MultiPolygon<i64> {
    let face = |face: &Face| {
        let openings = face.openings.iter().map(|it| line(&flat_ring(it, chord)));
        Polygon::new(line(&flat_ring(&face.outside, chord)), openings.collect())
    };
    MultiPolygon(region.faces.iter().map(face).collect())
}

/// Rings of the overlay engine as the offset engine takes them.
fn outlines(rings: &[Ring]) -> MultiPolygon<i64> {
    let nothing: Vec<Ring> = Vec::new();
    let shapes = rings.overlay(&nothing, OverlayRule::Union, FillRule::NonZero);
    let polygons = shapes.iter().filter_map(|shape| {
        let (outside, openings) = shape.split_first()?;
        Some(Polygon::new(
            line(outside),
            openings.iter().map(|it| line(it)).collect(),
        ))
    });
    MultiPolygon(polygons.collect())
}

/// The engine cuts off what is left of a step, so coordinates are rounded first. They are within
/// the reach of the kernel, far within that of whole numbers.
fn line(ring: &[[f64; 2]]) -> LineString<i64> {
    let steps = ring.iter().chain(ring.first());
    let steps = steps.map(|[x, y]| Coord {
        x: (x * PER_MM).round() as i64,
        y: (y * PER_MM).round() as i64,
    });
    LineString(steps.collect())
}

fn grown(outlines: &MultiPolygon<i64>, distance: f64, chord: f64) -> Vec<Ring> {
    let joint = JoinType::Round(chord * PER_MM);
    let grown = outlines.offset(distance * PER_MM, joint, EndType::ClosedPolygon);
    let mut rings = Vec::new();
    for polygon in &grown {
        rings.push(wound(polygon.exterior(), 1.0));
        rings.extend(polygon.interiors().iter().map(|it| wound(it, -1.0)));
    }
    rings
}

/// A line of the offset engine in mm, its area of this sign.
fn wound(line: &LineString<i64>, sign: f64) -> Ring {
    let points = line.0.iter();
    let mut ring: Ring = points
        .map(|it| [it.x as f64 / PER_MM, it.y as f64 / PER_MM])
        .collect();
    if area(&ring) * sign < 0.0 {
        ring.reverse();
    }
    ring
}

fn total(rings: &[Ring]) -> f64 {
    rings.iter().map(|ring| area(ring)).sum()
}

/// Signed area, mm²: positive counter-clockwise.
fn area(ring: &[[f64; 2]]) -> f64 {
    let origin = ring.first().copied().unwrap_or_default();
    let doubled = edges(ring).map(|(p, q)| {
        (p[0] - origin[0]) * (q[1] - origin[1]) - (q[0] - origin[0]) * (p[1] - origin[1])
    });
    doubled.sum::<f64>() / 2.0
}

fn length(ring: &[[f64; 2]]) -> f64 {
    edges(ring)
        .map(|(p, q)| Point::new(p[0], p[1]).distance(Point::new(q[0], q[1])))
        .sum()
}

fn edges(ring: &[[f64; 2]]) -> impl Iterator<Item = (&[f64; 2], &[f64; 2])> {
    ring.iter().zip(ring.iter().cycle().skip(1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Pose, Vector};
    use crate::plate::shape::{disc, rectangle};

    fn at(region: &Region, x: f64, y: f64) -> Region {
        region.posed(&Pose::shifted(Vector::new(x, y)))
    }

    fn hole(x: f64, y: f64, diameter: f64) -> Region {
        at(&disc(diameter).expect("a sane disc"), x, y)
    }

    /// A plate, the holes cut into it, and what the kernel makes of them.
    fn drilled() -> (Region, Vec<Region>, Region) {
        let plate = rectangle(120.0, 80.0, 10.0).expect("a sane rectangle");
        let holes = vec![
            hole(-40.0, 20.0, 8.5),
            hole(40.0, 20.0, 8.5),
            hole(0.0, 0.0, 50.0),
        ];
        let made = holes.iter().fold(plate.clone(), |region, hole| {
            region.difference(hole).expect("a simple scene")
        });
        (plate, holes, made)
    }

    #[test]
    fn a_plate_that_is_right_is_confirmed() {
        let (plate, holes, made) = drilled();
        let expected = of_shapes(&plate, &[(Operation::Cut, holes.clone())]);
        assert_eq!(expected.confirms(&made), Ok(()));
        for distance in [-6.0, -0.7, 0.7, 4.25, 6.0] {
            let found = made.offset(distance).expect("a simple scene");
            assert_eq!(of_offset(&made, distance).confirms(&found), Ok(()));
        }
    }

    #[test]
    fn a_far_offset_is_reckoned_on_few_chords() {
        let small = disc(2.5).expect("a sane disc");
        let wide = small.offset(76_000.0).expect("a simple scene");
        assert_eq!(of_offset(&small, 76_000.0).confirms(&wide), Ok(()));
        let back = of_offset(&wide, -76_000.0);
        assert_eq!(back.confirms(&small), Ok(()));
        let chords: usize = flat_faces(&wide, 5e-3)
            .0
            .iter()
            .map(|it| it.exterior().0.len())
            .sum();
        let fewer: usize = of_offset(&wide, 76_000.0).rings.iter().map(Vec::len).sum();
        assert!(chords > 5_000 && fewer < 1_500, "{chords}, {fewer}");
        let another = disc(2.5 + 40.0).expect("a sane disc");
        assert!(back.confirms(&another).is_err());
    }

    #[test]
    fn of_a_face_shrunk_past_its_middle_nothing_is_reckoned() {
        // A ring of 40 m hollowed by 3 km: every chord would cross every other.
        let wide = disc(40_000.0).expect("a sane disc");
        let expected = of_offset(&wide, -3e6);
        assert!(expected.rings.is_empty());
        assert_eq!(expected.confirms(&Region::EMPTY), Ok(()));
        let narrow = rectangle(120.0, 80.0, 10.0).expect("a sane rectangle");
        assert!(!of_offset(&narrow, -39.0).rings.is_empty());
        assert!(of_offset(&narrow, -40.0).rings.is_empty());
        let both = Region {
            faces: [&narrow, &at(&hole(0.0, 0.0, 90.0), 200.0, 0.0)]
                .into_iter()
                .flat_map(|region| region.faces.clone())
                .collect(),
        };
        assert_eq!(of_offset(&both, -42.0).rings.len(), 1, "the disc stays");
    }

    #[test]
    fn a_spoiled_plate_is_caught() {
        let (plate, holes, made) = drilled();
        let expected = of_shapes(&plate, &[(Operation::Cut, holes.clone())]);
        let spoil = |change: &dyn Fn(&mut Region)| {
            let mut spoiled = made.clone();
            change(&mut spoiled);
            expected.confirms(&spoiled)
        };
        let lost = spoil(&|region| drop(region.faces[0].openings.pop()));
        assert!(lost.is_err_and(|why| why.to_string().contains("mm² against")));
        let moved = spoil(&|region| {
            let opening = &mut region.faces[0].openings[0];
            *opening = opening.posed(&Pose::shifted(Vector::new(0.02, 0.0)));
        });
        assert!(moved.is_err_and(|why| why.to_string().contains("near x")));
        let doubled = spoil(&|region| {
            let face = Face {
                outside: Contour::circle(Point::new(0.0, 0.0), 3.0),
                openings: Vec::new(),
            };
            region.faces.push(face);
        });
        assert!(doubled.is_err());
        assert!(expected.confirms(&Region::EMPTY).is_err());
        assert!(of_offset(&made, 1.0).confirms(&made).is_err());
        let reversed = spoil(&|region| {
            let face = &mut region.faces[0];
            face.outside = face.outside.reversed();
        });
        assert!(reversed.is_err());
    }

    #[test]
    fn outlines_that_only_touch_may_count_either_way() {
        let (left, right) = (hole(-10.0, 0.0, 20.0), hole(10.0, 0.0, 20.0));
        let expected = of_shapes(&left, &[(Operation::Add, vec![right.clone()])]);
        let found = left.union(&right).expect("a simple scene");
        assert_eq!(expected.confirms(&found), Ok(()));
        let plate = rectangle(80.0, 20.0, 0.0).expect("a sane rectangle");
        let expected = of_shapes(
            &plate,
            &[(Operation::Cut, vec![left.clone(), right.clone()])],
        );
        let rule = |inside: &[bool]| inside[0] && !inside[1] && !inside[2];
        let found = crate::geometry::arrange(&[plate, left, right], &rule);
        let found = found.expect("a simple scene");
        assert_eq!(expected.confirms(&found), Ok(()));
    }
}
