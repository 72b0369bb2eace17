//! The arrangement kernel against two engines for polygons (`i_overlay`, `geo`), on the same shapes made
//! into chords as fine as what the kernel promises, and as fine as a table can follow.
//!
//! Lines and arcs stay what they are in ours; the others give polygons of as many corners as are shown.

mod beside;

use std::f64::consts::TAU;

use beside::{median, time};
use geo::{Area, BooleanOps, MultiPolygon};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use platewright::geometry::{Contour, Face, Point, Region, Side, arrange};

/// Chord tolerances, mm: of a table, and of a file of ours.
const CHORDS: [f64; 2] = [0.01, 1e-5];

fn region(outside: Contour) -> Region {
    let openings = Vec::new();
    Region {
        faces: vec![Face { outside, openings }],
    }
}

fn disc(x: f64, y: f64, radius: f64) -> Region {
    region(Contour::circle(Point::new(x, y), radius))
}

fn on_circle(count: u32, circle: f64, radius: f64) -> Vec<Region> {
    (0..count)
        .map(|k| {
            let p = Point::ORIGIN.polar(circle / 2.0, TAU * f64::from(k) / f64::from(count));
            disc(p.x, p.y, radius)
        })
        .collect()
}

/// Named sets of shapes: a body, and what is taken from it.
fn scenes() -> Vec<(String, Region, Vec<Region>)> {
    let mut scenes = Vec::new();
    for count in [8, 64, 400] {
        let circle = 12.0 * f64::from(count) + 60.0;
        let body = disc(0.0, 0.0, circle / 2.0 + 20.0);
        scenes.push((
            format!("disc less {count} holes"),
            body,
            on_circle(count, circle, 4.5),
        ));
    }
    for count in [8, 64] {
        let circle = 12.0 * f64::from(count) + 60.0;
        let body = disc(0.0, 0.0, circle / 2.0);
        scenes.push((
            format!("disc less {count} scallops"),
            body,
            on_circle(count, circle, 5.5),
        ));
    }
    scenes
}

fn chords(shape: &Region, tolerance: f64) -> Vec<[f64; 2]> {
    let outside = &shape.faces[0].outside;
    let points = outside.flattened(tolerance, Side::OnCurve);
    points.iter().map(|p| [p.x, p.y]).collect()
}

fn main() {
    println!(
        "{:24}{:>9}{:>9}{:>11}{:>13}{:>8}{:>13}{:>8}",
        "", "chord mm", "corners", "ours", "i_overlay", "ratio", "geo", "ratio"
    );
    for (name, body, holes) in scenes() {
        let sources: Vec<Region> = std::iter::once(&body).chain(&holes).cloned().collect();
        let rule = |inside: &[bool]| inside[0] && !inside[1..].contains(&true);
        let exact = arrange(&sources, &rule).expect("a plate");
        let ours = median(|| arrange(&sources, &rule));
        for chord in CHORDS {
            let subject = vec![chords(&body, chord)];
            let clips: Vec<Vec<[f64; 2]>> = holes.iter().map(|it| chords(it, chord)).collect();
            let overlaid = || subject.overlay(&clips, OverlayRule::Difference, FillRule::NonZero);
            let corners = subject[0].len() + clips.iter().map(Vec::len).sum::<usize>();
            let theirs = median(overlaid);
            let area: f64 = overlaid().iter().flatten().map(|ring| surveyed(ring)).sum();
            assert!(
                (area - exact.area()).abs() < chord * 1e4,
                "{name}: {area} {}",
                exact.area()
            );
            let polygon = body.to_geo(chord);
            let all = MultiPolygon::new(holes.iter().flat_map(|it| it.to_geo(chord)).collect());
            let geo = || polygon.difference(&all);
            assert!(
                (geo().unsigned_area() - exact.area()).abs() < chord * 1e4,
                "{name}"
            );
            let with_geo = median(geo);
            println!(
                "{name:24}{chord:>9}{corners:>9}{:>11}{:>13}{:>8.2}{:>13}{:>8.2}",
                time(ours),
                time(theirs),
                theirs / ours,
                time(with_geo),
                with_geo / ours
            );
        }
    }
    println!("ratio: their time over ours, above 1 ours is faster");
}

/// Signed area by the surveyor's formula.
fn surveyed(ring: &[[f64; 2]]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    let doubled: f64 = ring
        .iter()
        .zip(next)
        .map(|(a, b)| a[0] * b[1] - b[0] * a[1])
        .sum();
    doubled / 2.0
}
