//! The exact clocking against a grid of hundredths of a degree, in one run.

use std::f64::consts::TAU;
use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use platewright::geometry::Point;
use platewright::redrill::{Pattern, Site, clockings};
use platewright::trade::Fit;

fn read(text: &str) -> Pattern {
    Pattern::read(text, Fit::Normal).expect("a pattern").0
}

/// The best of 0.01 degree steps, with nothing but distances between centres.
fn grid(old: &Pattern, new: &Pattern) -> (f64, f64) {
    let step = TAU / 36_000.0;
    let holes = |pattern: &Pattern, start: f64| -> Vec<Point> {
        (0..pattern.count)
            .map(|k| {
                Point::ORIGIN.polar(pattern.circle / 2.0, start + f64::from(k) * pattern.pace())
            })
            .collect()
    };
    let there = holes(old, 0.0);
    let radii = f64::midpoint(old.hole, new.hole);
    let points = (new.pace() / step).ceil() as u32;
    let webs = (0..points).map(|k| {
        let angle = f64::from(k) * step;
        let web = holes(new, angle)
            .iter()
            .flat_map(|p| there.iter().map(move |q| p.distance(*q)))
            .fold(f64::INFINITY, f64::min);
        (web - radii, angle)
    });
    webs.max_by(|a, b| a.0.total_cmp(&b.0)).expect("a grid")
}

fn clocking(c: &mut Criterion) {
    for (name, old, new) in [
        ("4 and 5", "4 x 100 mm, M12", "5 x 114.3 mm, M12"),
        ("8 and 6", "8 x 165.1 mm, M14", "6 x 139.7 mm, M12"),
    ] {
        let (old, new) = (read(old), read(new));
        let site = Site::typed(220.0, 60.0, 10.0, &[(old, 0.0)]);
        let mut group = c.benchmark_group(name);
        group.bench_function("exact", |b| {
            b.iter(|| clockings(black_box(&site), black_box(&new)));
        });
        group.bench_function("grid", |b| {
            b.iter(|| grid(black_box(&old), black_box(&new)));
        });
        group.finish();
    }
}

criterion_group!(benches, clocking);
criterion_main!(benches);
