//! Crowds: many regions that lie on one another, of which only the union counts.
//!
//! Each of a thousand discs about a circle crosses every other; their outline has a thousand arcs. So a
//! crowd is united by halves, neighbours first: what is covered is gone before it meets the rest. Fewer
//! go into one arrangement together with everything else, as they stand.

use super::arrangement::index_of;
use super::{Bounds, Point, Region, Unresolved, arrange};

/// From so many pairs of regions with overlapping boxes on it is a crowd.
const CROWDED: usize = 5_000;
/// So few are united in one arrangement.
const FEW: usize = 8;

/// Regions with the same union as those given: these themselves, unless they are a crowd.
pub fn thinned(regions: Vec<Region>) -> Result<Vec<Region>, Unresolved> {
    if is_crowd(&regions) {
        Ok(vec![united(regions)?])
    } else {
        Ok(regions)
    }
}

/// Whether more boxes of some regions overlap than one arrangement should take.
pub fn is_crowd<R: std::borrow::Borrow<Region>>(regions: &[R]) -> bool {
    if regions.len() * regions.len().saturating_sub(1) / 2 <= CROWDED {
        return false;
    }
    let boxes: Vec<_> = regions.iter().map(|it| it.borrow().bounds()).collect();
    let index = index_of(boxes.iter().copied());
    let mut pairs = 0;
    for bounds in boxes {
        // Each also finds itself, and each pair is found twice.
        pairs += index
            .locate_in_envelope_intersecting(bounds.envelope())
            .take(2 * CROWDED + 2)
            .count()
            - 1;
        if pairs > 2 * CROWDED {
            return true;
        }
    }
    false
}

fn united(regions: Vec<Region>) -> Result<Region, Unresolved> {
    let unite = |regions: &[Region]| arrange(regions, &|inside| inside.contains(&true));
    by_halves(regions, &|region| region.bounds().centre(), FEW, &unite)
}

/// Many to one: those near one another first, `few` at once, then what comes of them two by two.
pub fn by_halves<T, E>(
    mut items: Vec<T>,
    place: &dyn Fn(&T) -> Point,
    few: usize,
    unite: &dyn Fn(&[T]) -> Result<T, E>,
) -> Result<T, E> {
    if items.len() <= few {
        return unite(&items);
    }
    let extent = Bounds::around(items.iter().map(place));
    let is_wide = extent.width() >= extent.height();
    let along = |item: &T| {
        if is_wide {
            place(item).x
        } else {
            place(item).y
        }
    };
    items.sort_by(|a, b| along(a).total_cmp(&along(b)));
    let rest = items.split_off(items.len() / 2);
    let halves = [
        by_halves(items, place, few, unite)?,
        by_halves(rest, place, few, unite)?,
    ];
    unite(&halves)
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use approx::assert_relative_eq;

    use super::*;
    use crate::geometry::{Contour, Face};

    fn discs(count: u32, circle: f64, radius: f64) -> Vec<Region> {
        let place = |i: u32| Point::ORIGIN.polar(circle, TAU * f64::from(i) / f64::from(count));
        let disc = |i| Region {
            faces: vec![Face {
                outside: Contour::circle(place(i), radius),
                openings: Vec::new(),
            }],
        };
        (0..count).map(disc).collect()
    }

    #[test]
    fn few_regions_and_those_beside_one_another_stay_as_they_are() {
        for regions in [discs(90, 10.0, 50.0), discs(500, 1000.0, 5.0), Vec::new()] {
            assert_eq!(thinned(regions.clone()), Ok(regions));
        }
    }

    #[test]
    fn a_crowd_is_its_outline() {
        // All discs hold the middle, so the outline is one arc of each: triangles from the middle to
        // where neighbours cross, and a bow on each.
        let (count, circle, radius) = (400, 50.0, 150.0);
        let found = thinned(discs(count, circle, radius)).expect("it resolves");
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].faces.len(), 1);
        assert_eq!(found[0].faces[0].openings.len(), 0);
        assert_eq!(found[0].faces[0].outside.segments().len(), count as usize);
        let half = TAU / f64::from(count) / 2.0;
        let reach = circle * half.cos() + (radius * radius - (circle * half.sin()).powi(2)).sqrt();
        let turn = 2.0 * (reach * half.sin() / radius).asin();
        let corner = reach * reach * (2.0 * half).sin() / 2.0;
        let bow = radius * radius * (turn - turn.sin()) / 2.0;
        let area = f64::from(count) * (corner + bow);
        assert_relative_eq!(found[0].area(), area, max_relative = 1e-9);
    }
}
