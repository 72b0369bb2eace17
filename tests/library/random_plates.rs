//! Random plates: what the checks let pass is cut, and all of them are written down for
//! `tests/outside/random_plates.py`, which builds them anew with shapely.
//!
//! The long runs: `cargo test --release --test library -- --ignored random_plates`

use std::io::Write as _;

use platewright::check::{self, Level, Limits};
use platewright::fault::Source;
use platewright::nest::{Budget, Control};
use platewright::pipeline::{draw, plan};
use platewright::plate::Plate;
use platewright::recipe::{Family, Job, Part, Shelf};
use platewright::trade::thermal::Process;
use rayon::prelude::*;
use serde_json::{Value, json};

use crate::support::random_plates::{plate, recipe};

/// A plasma table with a large bed.
const LIMITS: Limits = Limits {
    process: Process::Plasma,
    kerf: 1.5,
    bed: (1e4, 1e4),
};

/// What is wrong if a plate that the checks let pass is not cut, or one that they refuse is.
fn at_odds(seed: u64) -> Option<String> {
    let family = Family::read("random", &Source::inline("random.toml", recipe(seed))).ok()?;
    let job = Job::of_part(Part::plain(family));
    let drawn = draw(&job, &Shelf::built_in()).ok()?;
    let findings = drawn.findings.iter().flatten();
    let refused: Vec<String> = findings
        .filter(|finding| finding.level == Level::Refuse)
        .map(|finding| finding.message.clone())
        .collect();
    match plan(&job, drawn, &Budget::FIRST_LAYOUT, &mut |_| {
        Control::Continue
    }) {
        Ok(_) if refused.is_empty() => None,
        Ok(_) => Some(format!("seed {seed}: cut, and refused: {refused:?}")),
        Err(_) if !refused.is_empty() => None,
        Err(faults) => Some(format!("seed {seed}: passed, and not cut: {faults}")),
    }
}

fn none_at_odds(seeds: std::ops::Range<u64>) {
    let faults: Vec<String> = seeds.into_par_iter().filter_map(at_odds).collect();
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn what_the_checks_let_pass_is_cut() {
    none_at_odds(0..40);
}

#[test]
#[ignore = "long: 2,000 plates"]
fn what_the_checks_let_pass_is_cut_two_thousand_times() {
    none_at_odds(10_000..13_000);
}

fn is_refused_as_narrow(plate: &Plate) -> bool {
    let findings = check::run(plate, Some(&LIMITS), &[]);
    findings
        .iter()
        .any(|it| it.check == "thin web" && it.level == Level::Refuse)
}

/// A plate of a seed with what became of it, for those who build it anew.
fn described(seed: u64) -> Value {
    let text = recipe(seed);
    let made = match plate(&text) {
        Ok(made) => made,
        Err(faults) => {
            return json!({ "seed": seed, "recipe": text, "refused": faults.to_string() });
        }
    };
    let face = &made.face;
    let contours = std::iter::once(&face.outside).chain(&face.openings);
    let contours: Vec<Vec<[f64; 3]>> = contours
        .map(|contour| {
            let segments = contour.segments().iter();
            segments
                .map(|segment| [segment.start().x, segment.start().y, segment.bulge()])
                .collect()
        })
        .collect();
    let least = face.least_neck().map(|neck| {
        let at = neck.gap.from.lerp(neck.gap.to, 0.5);
        [neck.gap.distance, at.x, at.y]
    });
    json!({
        "seed": seed, "recipe": text, "contours": contours, "least": least,
        "kerf": LIMITS.kerf, "refused as narrow": is_refused_as_narrow(&made),
    })
}

#[test]
#[ignore = "writes 20,000 plates to the file that PLATES names"]
fn random_plates_are_written_for_the_outside() {
    let path = std::env::var_os("PLATES").expect("PLATES names a file");
    let file = std::fs::File::create(path).expect("the file can be written");
    let mut file = std::io::BufWriter::new(file);
    let count = std::env::var("COUNT").map_or(20_000, |it| it.parse().expect("COUNT is a number"));
    for first in (0..count).step_by(500) {
        let seeds: Vec<u64> = (first..count.min(first + 500)).collect();
        let lines: Vec<Value> = seeds.into_par_iter().map(described).collect();
        for line in lines {
            writeln!(file, "{line}").expect("the file can be written");
        }
    }
    file.flush().expect("the file can be written");
}
