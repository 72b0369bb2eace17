//! Which places are the cheapest to go on to, of thousands.
//!
//! In: the places where stops are entered, and what is asked of the way. Out: from a point, the stops
//! that are cheapest to reach, without a look at all of them.

use rstar::RTree;
use rstar::primitives::GeomWithData;

use super::stop::Wishes;
use crate::geometry::Point;

/// Places, each with the number of its stop.
#[derive(Debug, Clone)]
pub(super) struct Near {
    places: RTree<GeomWithData<[f64; 2], usize>>,
    wishes: Wishes,
}

impl Near {
    pub(super) fn new(places: impl IntoIterator<Item = (Point, usize)>, wishes: &Wishes) -> Self {
        let places = places.into_iter().map(|(at, stop)| entry(at, stop));
        Self {
            places: RTree::bulk_load(places.collect()),
            wishes: *wishes,
        }
    }

    pub(super) fn add(&mut self, at: Point, stop: usize) {
        self.places.insert(entry(at, stop));
    }

    pub(super) fn remove(&mut self, at: Point, stop: usize) {
        self.places.remove(&entry(at, stop));
    }

    /// So many of the wanted stops that are cheapest to reach from a point, the cheapest first.
    pub(super) fn cheapest(
        &self,
        from: Point,
        count: usize,
        wanted: impl Fn(usize) -> bool,
    ) -> Vec<usize> {
        let mut found: Vec<(f64, usize)> = Vec::new();
        // Beyond the reach of the heat the nearest is the cheapest.
        let mut beyond: Vec<usize> = Vec::new();
        for place in self.places.nearest_neighbor_iter([from.x, from.y]) {
            if !wanted(place.data) {
                continue;
            }
            let [x, y] = *place.geom();
            let mm = from.distance(Point::new(x, y));
            found.push((self.wishes.cost(mm), place.data));
            if mm >= self.wishes.spread && !beyond.contains(&place.data) {
                beyond.push(place.data);
                if beyond.len() == count {
                    break;
                }
            }
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut cheapest = Vec::with_capacity(count);
        for (_, stop) in found {
            if cheapest.len() == count {
                break;
            }
            if !cheapest.contains(&stop) {
                cheapest.push(stop);
            }
        }
        cheapest
    }
}

fn entry(at: Point, stop: usize) -> GeomWithData<[f64; 2], usize> {
    GeomWithData::new([at.x, at.y], stop)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, cases: 64, ..ProptestConfig::default() })]

        /// The index finds what sorting all of them finds, with and without a wish for distance.
        #[test]
        fn the_cheapest_are_those_of_all(
            places in prop::collection::vec((0.0f64..100.0, 0.0f64..100.0), 1..80),
            spread in prop::sample::select(vec![0.0, 15.0, 500.0]),
            count in 1usize..12,
        ) {
            let wishes = Wishes { spread, ..Wishes::default() };
            let places: Vec<Point> = places.iter().map(|(x, y)| Point::new(*x, *y)).collect();
            let near = Near::new(places.iter().copied().zip(0..), &wishes);
            let from = Point::new(50.0, 50.0);
            let is_wanted = |stop: usize| !stop.is_multiple_of(3);
            let mut all: Vec<usize> = (0..places.len()).filter(|it| is_wanted(*it)).collect();
            let cost = |stop: &usize| wishes.cost(from.distance(places[*stop]));
            all.sort_by(|a, b| cost(a).total_cmp(&cost(b)));
            all.truncate(count);
            prop_assert_eq!(near.cheapest(from, count, is_wanted), all);
        }
    }
}
