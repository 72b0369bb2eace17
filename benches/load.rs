//! What grows, and what must not: a recipe to its net drawing, jobs of 10, 100 and 1000 plates without a
//! search, starting up, and the size of files beside flattened ones.

mod beside;

use std::path::Path;
use std::process::Command;

use beside::{median, time};
use platewright::export::{Dxf, Exporter, Release, plate_drawing};
use platewright::fault::Source;
use platewright::geometry::Side;
use platewright::nest::{Budget, Control};
use platewright::pipeline::{self, Wanted};
use platewright::plate;
use platewright::recipe::{Job, Part, Shelf};

/// Chord tolerance of the flattened files, mm: what a table follows.
const CHORD: f64 = 0.01;
/// A file of as many bytes a corner is as short as DXF can write it: two coordinates of a polyline.
const CORNER_BYTES: f64 = 2.0 * 14.0;

fn main() {
    families();
    plates();
    start_up();
}

/// Recipe to net DXF, family by family, with the bytes beside those of its chords.
fn families() {
    let shelf = Shelf::built_in();
    println!(
        "{:18}{:>14}{:>12}{:>14}{:>8}",
        "recipe to DXF", "time", "bytes", "as chords", "ratio"
    );
    for family in shelf.families().expect("families") {
        let part = Part::plain(family);
        let drawn = || -> usize {
            let plates = plate::plates(&part).expect("plates").plates;
            let dxf = Dxf {
                release: Release::R2000,
            };
            plates
                .iter()
                .map(|it| dxf.export(&plate_drawing(it)).expect("a drawing").len())
                .sum()
        };
        let bytes = drawn();
        let plates = plate::plates(&part).expect("plates").plates;
        let contours = plates
            .iter()
            .flat_map(|it| std::iter::once(&it.face.outside).chain(&it.face.openings));
        let corners: usize = contours
            .map(|it| it.flattened(CHORD, Side::OnCurve).len())
            .sum();
        let chords = corners as f64 * CORNER_BYTES;
        println!(
            "{:18}{:>14}{bytes:>12}{chords:>14.0}{:>8.2}",
            part.family.name,
            time(median(drawn)),
            chords / bytes as f64
        );
    }
}

/// A job of many different flanges, the whole way without a search.
fn plates() {
    println!(
        "\n{:18}{:>14}{:>14}{:>14}{:>18}",
        "plates", "to layout", "files", "all", "all, per plate"
    );
    let shelf = Shelf::built_in();
    for count in [10_u32, 100, 1000] {
        let part = |k: u32| {
            format!(
                "[[part]]\nrecipe = \"flange\"\nname = \"flange {k}\"\noutside = \"{} mm\"\n",
                140.0 + f64::from(k % 97) / 2.0
            )
        };
        let parts: String = (0..count).map(part).collect();
        let text = format!("[job]\nname = \"many\"\ntable = \"shop-plasma\"\n{parts}");
        let job = Job::from_source(&Source::inline("many.toml", text), &shelf).expect("a job");
        let plan = || {
            let drawn = pipeline::draw(&job, &shelf).expect("plates");
            pipeline::plan(&job, drawn, &Budget::FIRST_LAYOUT, &mut |_| {
                Control::Continue
            })
            .expect("a plan")
        };
        let planned = plan();
        let (layout, files) = if count == 1000 {
            (
                once(plan),
                once(|| planned.outputs(Wanted::default()).expect("files")),
            )
        } else {
            (
                median(plan),
                median(|| planned.outputs(Wanted::default()).expect("files")),
            )
        };
        println!(
            "{count:<18}{:>14}{:>14}{:>14}{:>18}",
            time(layout),
            time(files),
            time(layout + files),
            time((layout + files) / f64::from(count))
        );
    }
}

fn once<T>(call: impl FnOnce() -> T) -> f64 {
    let started = std::time::Instant::now();
    std::hint::black_box(call());
    started.elapsed().as_secs_f64()
}

/// The program itself: how large, and how soon it answers, beside a program that does nothing.
fn start_up() {
    let program = Path::new(env!("CARGO_BIN_EXE_platewright"));
    let bytes = program.metadata().expect("the program").len();
    let runs = |command: &str, words: &[&str]| {
        median(|| {
            Command::new(command)
                .args(words)
                .output()
                .expect("it runs")
                .stdout
                .len()
        })
    };
    let help = runs(&program.to_string_lossy(), &["--help"]);
    let nothing = runs("true", &[]);
    println!(
        "\nprogram: {:.2} MB; --help {}, a program that does nothing {}",
        bytes as f64 / 1e6,
        time(help),
        time(nothing)
    );
}
