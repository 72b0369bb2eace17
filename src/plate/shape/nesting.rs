//! Contours that do not meet, one in another: metal, openings, and metal in openings.
//!
//! In: closed contours, either way round. Out: the region of the places that an odd number of them
//! surround, or a place where two meet.

use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::outline;
use crate::geometry::{Bounds, Contour, Face, Point, Region};

/// What an odd number of the contours surround; fails with a place where one meets itself or another.
pub(in crate::plate) fn nested(contours: &[Contour]) -> Result<Region, Point> {
    if let Some(place) = outline::crossing(contours) {
        return Err(place);
    }
    let around = Around::each(contours);
    let mut faces: Vec<Face> = Vec::new();
    let mut face_of = vec![None; contours.len()];
    for (place, contour) in contours.iter().enumerate() {
        if around[place].count.is_multiple_of(2) {
            face_of[place] = Some(faces.len());
            faces.push(Face {
                outside: wound(contour, 1.0),
                openings: Vec::new(),
            });
        }
    }
    for (place, contour) in contours.iter().enumerate() {
        let parent = around[place].nearest.and_then(|it| face_of[it]);
        if face_of[place].is_none()
            && let Some(face) = parent
        {
            faces[face].openings.push(wound(contour, -1.0));
        }
    }
    Ok(Region { faces })
}

/// What surrounds a contour.
#[derive(Debug, Clone, Copy, Default)]
struct Around {
    /// How many others.
    count: usize,
    /// The smallest of them.
    nearest: Option<usize>,
}

impl Around {
    /// Of each contour.
    fn each(contours: &[Contour]) -> Vec<Self> {
        let areas: Vec<f64> = contours.iter().map(|it| it.signed_area().abs()).collect();
        let boxes = contours.iter().enumerate().map(|(place, contour)| {
            let Bounds { min, max } = contour.bounds();
            let corners = Rectangle::from_corners([min.x, min.y], [max.x, max.y]);
            GeomWithData::new(corners, place)
        });
        let index = RTree::bulk_load(boxes.collect());
        // No two cross: the smallest that is around one is its own, and what is around that is around both.
        let mut order: Vec<usize> = (0..contours.len()).collect();
        order.sort_by(|a, b| areas[*b].total_cmp(&areas[*a]));
        let mut around = vec![Self::default(); contours.len()];
        for place in order {
            let p = contours[place].segments()[0].start();
            let near = index.locate_in_envelope_intersecting(AABB::from_point([p.x, p.y]));
            let larger = near.filter(|it| areas[it.data] > areas[place]);
            let larger = larger.map(|it| Reverse((Size(areas[it.data]), it.data)));
            let mut larger: BinaryHeap<Reverse<(Size, usize)>> = larger.collect();
            while let Some(Reverse((_, it))) = larger.pop() {
                if contours[it].encloses(p) {
                    around[place] = Self {
                        count: around[it].count + 1,
                        nearest: Some(it),
                    };
                    break;
                }
            }
        }
        around
    }
}

/// An area, in order of size.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Size(f64);

impl Eq for Size {}

impl PartialOrd for Size {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Size {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}

/// A contour with its area of this sign.
fn wound(contour: &Contour, sign: f64) -> Contour {
    if contour.signed_area() * sign < 0.0 {
        contour.reversed()
    } else {
        contour.clone()
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    fn circles(radii: &[(f64, f64)]) -> Vec<Contour> {
        let circle = |(x, radius): &(f64, f64)| Contour::circle(Point::new(*x, 0.0), *radius);
        radii.iter().map(circle).collect()
    }

    #[test]
    fn openings_go_to_the_metal_around_them() {
        let drawn = circles(&[
            (0.0, 2.0),
            (0.0, 30.0),
            (0.0, 8.0),
            (20.0, 3.0),
            (0.0, 5.0),
            (90.0, 4.0),
        ]);
        let region = nested(&drawn).expect("none meet");
        let openings: Vec<usize> = region.faces.iter().map(|it| it.openings.len()).collect();
        assert_eq!(openings, [2, 1, 0]);
        let area = PI * (900.0 - 64.0 - 9.0 + 25.0 - 4.0 + 16.0);
        assert!((region.area() - area).abs() < 1e-9, "{}", region.area());
        assert!(region.faces.iter().all(|it| it.outside.signed_area() > 0.0));
        assert!(
            region
                .contours()
                .filter(|it| it.signed_area() < 0.0)
                .count()
                == 3
        );
    }

    #[test]
    fn contours_that_cross_or_touch_are_refused_where_they_do() {
        let crossed = nested(&circles(&[(0.0, 5.0), (6.0, 5.0)])).expect_err("they cross");
        assert!((crossed.x - 3.0).abs() < 1e-9 && (crossed.y.abs() - 4.0).abs() < 1e-9);
        let touching = nested(&circles(&[(0.0, 5.0), (3.0, 2.0)])).expect_err("they touch");
        assert!(
            touching.distance(Point::new(5.0, 0.0)) < 1e-6,
            "{touching:?}"
        );
        assert_eq!(nested(&[]), Ok(Region::EMPTY));
    }
}
