//! The kerf test piece, cut with one kerf and burnt with another: what is measured on it tells the
//! kerf that burnt it.

use super::burn as torch;
use super::shapes::{self, prepare};

use platewright::geometry::Point;
use platewright::measure::kerf::{Feature, Reading, kerf};
use platewright::plate::plates;
use platewright::recipe::{Part, Shelf};

/// How far a ring reaches from a point along +x and -x together, at that height.
fn width(ring: &[Point], at: Point) -> f64 {
    let crossings: Vec<f64> = (0..ring.len())
        .filter_map(|i| {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            ((a.y > at.y) != (b.y > at.y)).then(|| a.x + (at.y - a.y) / (b.y - a.y) * (b.x - a.x))
        })
        .collect();
    let right = crossings
        .iter()
        .filter(|x| **x > at.x)
        .fold(f64::MAX, |a, b| a.min(*b));
    let left = crossings
        .iter()
        .filter(|x| **x < at.x)
        .fold(f64::MIN, |a, b| a.max(*b));
    right - left
}

#[test]
fn what_is_measured_on_the_piece_is_the_kerf_that_burnt_it() {
    let part = Part::plain(Shelf::built_in().family("kerf-test").expect("a recipe"));
    let plate = plates(&part).expect("a plate").plates.swap_remove(0);
    let (settings, table) = (shapes::settings(), shapes::table());
    let prepared = prepare(&plate, &settings, &table).expect("prepared");
    let bounds = prepared.outline.bounds().grown(20.0);
    let sheet = [
        bounds.min,
        Point::new(bounds.max.x, bounds.min.y),
        bounds.max,
        Point::new(bounds.min.x, bounds.max.y),
    ];
    let middle = |name: &str| {
        let at = plate
            .openings
            .iter()
            .position(|it| it.name == name)
            .expect("an opening");
        plate.face.openings[at].bounds().centre()
    };
    for burnt in [1.3, 1.6, 2.05] {
        let runs = prepared.paths.iter().map(|path| path.segments.as_slice());
        let left = torch::burn(&sheet, runs, burnt);
        let metal = Point::new(plate.face.outside.bounds().min.x + 5.0, 0.0);
        let piece = left
            .iter()
            .find(|piece| torch::holds(piece, metal))
            .expect("a piece");
        let across = |at: Point| {
            let ring = piece[1..].iter().min_by(|a, b| {
                let near =
                    |ring: &[Point]| ring.iter().map(|p| p.distance(at)).fold(f64::MAX, f64::min);
                near(a).total_cmp(&near(b))
            });
            width(ring.expect("openings"), at)
        };
        let readings = [
            (Feature::Outer, 70.0, width(&piece[0], Point::new(0.0, 7.0))),
            (Feature::Inner, 30.0, across(middle("inner square"))),
            (Feature::Slot, 10.0, across(middle("slot"))),
        ]
        .map(|(feature, nominal, measured)| Reading {
            feature,
            nominal,
            readings: vec![measured],
        });
        let found = kerf(settings.kerf, &readings, 0.01).expect("a kerf");
        assert!((found.kerf - burnt).abs() < 0.01, "{burnt}: {found:?}");
        assert!(found.spread < 0.01, "{burnt}: {found:?}");
    }
}
