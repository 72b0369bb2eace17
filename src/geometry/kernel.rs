//! The arrangement kernel: booleans and offsets of regions of lines and arcs.
//!
//! In: regions and a rule. Out: the region where the rule holds, in simple contours of lines and
//! arcs on the very curves they came from, or [`Unresolved`]; never a region that is known to be
//! wrong.
//!
//! A scene that does not resolve, or whose result the caller's proof does not bear out, is tried
//! again with other tolerances, and then turned by an odd angle.

use super::arrangement::Arrangement;
use super::offset::offset_scene;
use super::piece::Scene;
use super::planar::PlanarMap;
use super::stitching::stitch;
use super::tolerance::Tolerance;
use super::{Pose, Region, Vector};

/// The kernel gives no region rather than a wrong one.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unresolved {
    /// A scene could not be resolved with any of the tolerance sets, and why the last did not.
    #[error("the outline could not be resolved: {0}")]
    Unclear(String),
    /// The pieces of a scene meet in more places than are worked out.
    #[error("its shapes cross one another in too many places")]
    Crowded,
}

/// What a caller holds a result against before it is given out: `Err` says what is wrong with it.
pub type Proof<'a> = dyn Fn(&Region) -> Result<(), Unresolved> + 'a;

/// What lies where `rule` says so, given for each source whether a place is inside it.
///
/// One arrangement for the whole expression, so that errors do not pile up. Contours may be given
/// either way round; faces of one source may overlap (they are united).
pub fn arrange(sources: &[Region], rule: &dyn Fn(&[bool]) -> bool) -> Result<Region, Unresolved> {
    arrange_proved(sources, rule, &|_| Ok(()))
}

/// [`arrange`] with a proof: a result that it does not bear out is treated like one that does not
/// resolve.
pub fn arrange_proved(
    sources: &[Region],
    rule: &dyn Fn(&[bool]) -> bool,
    proof: &Proof<'_>,
) -> Result<Region, Unresolved> {
    resolve(&Scene::of_regions(sources), rule, proof)
}

impl Region {
    /// What lies in either.
    pub fn union(&self, other: &Self) -> Result<Self, Unresolved> {
        arrange(&[self.clone(), other.clone()], &|inside| {
            inside[0] || inside[1]
        })
    }

    /// What lies in this and not in the other.
    pub fn difference(&self, other: &Self) -> Result<Self, Unresolved> {
        arrange(&[self.clone(), other.clone()], &|inside| {
            inside[0] && !inside[1]
        })
    }

    /// What lies in both.
    pub fn intersection(&self, other: &Self) -> Result<Self, Unresolved> {
        arrange(&[self.clone(), other.clone()], &|inside| {
            inside[0] && inside[1]
        })
    }

    /// Grown by `distance` mm (shrunk if negative); convex corners become arcs when growing.
    pub fn offset(&self, distance: f64) -> Result<Self, Unresolved> {
        self.offset_proved(distance, &|_| Ok(()))
    }

    /// [`Region::offset`] with a proof: a result that it does not bear out is treated like one that
    /// does not resolve.
    pub fn offset_proved(&self, distance: f64, proof: &Proof<'_>) -> Result<Self, Unresolved> {
        if distance == 0.0 {
            return Ok(self.clone());
        }
        let tolerance = Tolerance::default();
        // Also false for what is not a number.
        let reachable = distance.abs() <= tolerance.reach;
        if !reachable {
            return Err(Unresolved::Unclear(format!(
                "cannot offset by {distance} mm"
            )));
        }
        let scene = offset_scene(self, distance, &tolerance);
        resolve(&scene, &|inside| inside[0], proof)
    }

    /// Every concave corner filled with an arc of `radius` mm: grow, then shrink.
    pub fn round_inside(&self, radius: f64) -> Result<Self, Unresolved> {
        self.offset(radius)?.offset(-radius)
    }

    /// Every convex corner cut back to an arc of `radius` mm: shrink, then grow.
    pub fn round_outside(&self, radius: f64) -> Result<Self, Unresolved> {
        self.offset(-radius)?.offset(radius)
    }
}

/// Odd angles, in radians, to turn a scene by that does not resolve as it stands.
const TURNS: [f64; 3] = [0.0, 0.618_033, 1.902_113];

fn resolve(
    scene: &Scene,
    rule: &dyn Fn(&[bool]) -> bool,
    proof: &Proof<'_>,
) -> Result<Region, Unresolved> {
    scene.validate(&Tolerance::default())?;
    let mut last = Unresolved::Unclear("nothing was tried".into());
    for turn in TURNS {
        let turned = scene.turned(turn);
        let back = Pose::new(-turn, Vector::new(0.0, 0.0));
        for tolerance in Tolerance::attempts() {
            let found = attempt(&turned, rule, &tolerance).and_then(|region| {
                let region = if turn == 0.0 {
                    region
                } else {
                    region.posed(&back)
                };
                proof(&region).map(|()| region)
            });
            match found {
                Ok(region) => return Ok(region),
                Err(Unresolved::Crowded) => return Err(Unresolved::Crowded),
                Err(why) => last = why,
            }
        }
    }
    Err(last)
}

fn attempt(
    scene: &Scene,
    rule: &dyn Fn(&[bool]) -> bool,
    tolerance: &Tolerance,
) -> Result<Region, Unresolved> {
    let arrangement = Arrangement::of(scene, tolerance)?;
    let map = PlanarMap::of(&arrangement, tolerance)?;
    let metal = map.kept(&arrangement, rule);
    stitch(&arrangement, &map, &metal, tolerance)
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use approx::assert_relative_eq;

    use super::*;
    use crate::geometry::{Contour, Face, Point, Segment};

    fn solid(outside: Contour) -> Region {
        Region {
            faces: vec![Face {
                outside,
                openings: Vec::new(),
            }],
        }
    }

    fn disc(x: f64, y: f64, radius: f64) -> Region {
        solid(Contour::circle(Point::new(x, y), radius))
    }

    fn rectangle(left: f64, low: f64, right: f64, high: f64) -> Region {
        let corners = [(left, low), (right, low), (right, high), (left, high)];
        let points = corners.map(|(x, y)| Point::new(x, y));
        solid(Contour::polygon(&points).expect("a rectangle"))
    }

    fn shape(region: &Region) -> (usize, usize) {
        let openings = region.faces.iter().map(|face| face.openings.len()).sum();
        (region.faces.len(), openings)
    }

    #[test]
    fn a_drilled_hole_is_exactly_its_circle() {
        let plate = rectangle(-50.0, -30.0, 50.0, 30.0);
        let drilled = plate.difference(&disc(10.0, 5.0, 6.25)).unwrap();
        assert_eq!(shape(&drilled), (1, 1));
        let hole = drilled.faces[0].openings[0].as_circle().expect("a circle");
        assert_eq!((hole.centre, hole.radius), (Point::new(10.0, 5.0), 6.25));
        assert!(drilled.faces[0].openings[0].signed_area() < 0.0);
        assert_eq!(drilled.faces[0].outside.segments().len(), 4);
    }

    #[test]
    fn the_offset_of_a_hole_is_one_circle() {
        let ring = disc(0.0, 0.0, 40.0)
            .difference(&disc(5.0, 0.0, 12.5))
            .unwrap();
        let grown = ring.offset(2.5).unwrap();
        assert_eq!(grown.faces[0].outside.as_circle().unwrap().radius, 42.5);
        assert_eq!(grown.faces[0].openings[0].as_circle().unwrap().radius, 10.0);
        let filled = ring.offset(12.5).unwrap();
        assert_eq!(shape(&filled), (1, 0));
    }

    #[test]
    fn growing_a_square_rounds_its_corners() {
        let grown = rectangle(0.0, 0.0, 10.0, 10.0).offset(3.0).unwrap();
        assert_relative_eq!(grown.area(), 100.0 + 4.0 * 30.0 + PI * 9.0, epsilon = 1e-9);
        assert_eq!(grown.faces[0].outside.segments().len(), 8);
        let shrunk = grown.offset(-3.0).unwrap();
        assert_relative_eq!(shrunk.area(), 100.0, epsilon = 1e-9);
        assert_eq!(shrunk.faces[0].outside.segments().len(), 4);
    }

    #[test]
    fn a_fillet_is_one_arc_of_the_radius_asked() {
        let cross = rectangle(-30.0, -5.0, 30.0, 5.0)
            .union(&rectangle(-5.0, -30.0, 5.0, 30.0))
            .unwrap();
        let filleted = cross.round_inside(6.0).unwrap();
        let segments = filleted.faces[0].outside.segments();
        let radii: Vec<f64> = segments
            .iter()
            .filter_map(|segment| match segment {
                Segment::Arc { radius, .. } => Some(*radius),
                Segment::Line { .. } => None,
            })
            .collect();
        assert_eq!(radii, vec![6.0; 4]);
        assert_eq!(segments.len(), 12 + 4);
        let corner = 36.0 - PI * 9.0;
        assert_relative_eq!(filleted.area(), cross.area() + 4.0 * corner, epsilon = 1e-9);
    }

    #[test]
    fn rounding_outside_keeps_the_straights() {
        let plate = rectangle(0.0, 0.0, 60.0, 40.0).round_outside(8.0).unwrap();
        assert_eq!(plate.faces[0].outside.segments().len(), 8);
        let corner = 64.0 - PI * 16.0;
        assert_relative_eq!(plate.area(), 2400.0 - 4.0 * corner, epsilon = 1e-9);
    }

    #[test]
    fn a_result_that_is_not_borne_out_is_tried_again() {
        let (a, b) = (disc(0.0, 0.0, 10.0), disc(7.0, 0.0, 10.0));
        let rule = |inside: &[bool]| inside[0] || inside[1];
        for refused in [1, 3, 5, 11] {
            let tries = std::cell::Cell::new(0);
            let proof = |_: &Region| {
                tries.set(tries.get() + 1);
                if tries.get() > refused {
                    Ok(())
                } else {
                    Err(Unresolved::Unclear("spoiled".into()))
                }
            };
            let found = arrange_proved(&[a.clone(), b.clone()], &rule, &proof).unwrap();
            assert_eq!(tries.get(), refused + 1);
            assert_relative_eq!(
                found.area(),
                a.union(&b).unwrap().area(),
                max_relative = 1e-9
            );
        }
        let never = |_: &Region| Err(Unresolved::Unclear("spoiled".into()));
        assert_eq!(
            a.offset_proved(1.0, &never),
            Err(Unresolved::Unclear("spoiled".into()))
        );
    }

    #[test]
    fn no_number_is_no_region() {
        let bad = disc(f64::NAN, 0.0, 3.0);
        assert!(bad.union(&disc(0.0, 0.0, 1.0)).is_err());
        assert!(disc(1e12, 0.0, 3.0).offset(1.0).is_err());
        assert!(disc(0.0, 0.0, 3.0).offset(f64::NAN).is_err());
    }
}
