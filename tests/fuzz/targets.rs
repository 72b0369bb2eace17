//! What is fuzzed: each target takes any bytes and must come back with a result or a message.
//!
//! Shared by the instrumented build and by the ordinary test that replays what was found.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, LazyLock};

use platewright::cut::Table;
use platewright::export::{Dxf, Exporter, Release, plate_drawing};
use platewright::fault::{FaultKind, Faults, Source};
use platewright::geometry::Point;
use platewright::measure::{arc, pattern};
use platewright::nest::{Budget, Control};
use platewright::pipeline::{self, Wanted};
use platewright::quantity::expression::{Expression, Nameless};
use platewright::recipe::{Family, Job, Part, Shelf};
use platewright::strip;
use platewright::{page, plate, trade};

use super::wild;

/// A target.
pub(crate) type Target = fn(&[u8]);

/// Every target by its name.
pub(crate) const TARGETS: [(&str, Target); 10] = [
    ("expression", expression),
    ("recipe", recipe),
    ("job", job),
    ("table", table),
    ("drawing", drawing),
    ("svg", svg),
    ("outlines", outlines),
    ("measure", measure),
    ("build", build),
    ("request", request),
];

/// The target of a name.
pub(crate) fn find(name: &str) -> Option<Target> {
    let found = TARGETS.iter().find(|(called, _)| *called == name);
    found.map(|(_, target)| *target)
}

static SHELF: LazyLock<Shelf> = LazyLock::new(Shelf::built_in);

fn text(bytes: &[u8]) -> Option<&str> {
    std::str::from_utf8(bytes).ok()
}

fn source(name: &str, text: &str) -> Arc<Source> {
    Source::inline(name, text)
}

/// Every message must print, with its place.
fn said(faults: &Faults) {
    for fault in faults.as_slice() {
        assert!(!fault.message.is_empty());
        // A part that fails its own proofs is a mistake of ours, not of the builder.
        assert_ne!(fault.kind, FaultKind::Program, "{fault}");
        let _ = (
            fault.to_string(),
            fault.place.as_ref().map(ToString::to_string),
        );
    }
}

/// One expression, as `reckon` takes it.
fn expression(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    let Ok(expression) = Expression::parse(text) else {
        return;
    };
    let _ = expression.evaluate(&Nameless(trade::functions()));
}

/// A recipe with its own defaults, to the net drawing of each plate.
fn recipe(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    match Family::read("fuzz", &source("fuzz.toml", text)) {
        Ok(family) => expand(&Job::of_part(Part::plain(family))),
        Err(faults) => said(&faults),
    }
}

/// A job or bare part file.
fn job(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    match Job::from_source(&source("fuzz.toml", text), &SHELF) {
        Ok(job) => expand(&job),
        Err(faults) => said(&faults),
    }
}

/// A job of more parts takes its time, and shows no more.
const PARTS: usize = 4;

fn expand(job: &Job) {
    if job.parts.len() > PARTS {
        return;
    }
    match pipeline::draw(job, &SHELF) {
        Ok(drawn) => {
            for plate in &drawn.plates {
                let release = Release::R2000;
                Dxf { release }
                    .export(&plate_drawing(plate))
                    .expect("a drawing of a sound plate");
            }
        }
        Err(faults) => said(&faults),
    }
}

fn table(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    match Table::read(&source("fuzz.toml", text)) {
        Ok(table) => {
            let _ = table.settings("mild steel", 6.0);
        }
        Err(faults) => said(&faults),
    }
}

/// What the page may be asked, and below that line the file that it is asked of.
fn request(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    let (asked, file) = text.split_once('\n').unwrap_or((text, ""));
    let Ok(asked) = serde_json::from_str::<page::Request>(asked) else {
        return;
    };
    if file.matches("[[part]]").count() > PARTS {
        return;
    }
    let texts = BTreeMap::from([("a.toml".to_owned(), Arc::from(file))]);
    let bench = page::Bench {
        shelf: &SHELF,
        folder: Path::new("no/such/folder"),
        texts: &texts,
        report: Some(file),
        ticks: Some(file),
    };
    match page::answer(&asked, &bench) {
        Ok(page::Answer::Change(page::Change::Text { text, .. })) => {
            assert_ne!(text, "", "an edit leaves something");
        }
        Ok(_) => {}
        Err(faults) => said(&faults),
    }
}

/// A drawing of somebody else's.
fn drawing(bytes: &[u8]) {
    let _ = plate::drawing::outlines_in(bytes, &plate::drawing::ReadingRules::default());
}

/// The same, of SVG alone: a format that mutations of a DXF file never find.
fn svg(bytes: &[u8]) {
    if bytes.windows(4).any(|it| it == b"<svg") {
        drawing(bytes);
    }
}

/// Outlines for `nest`, placed without a search.
fn outlines(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    let Ok(instance) = strip::read(&source("fuzz.json", text)) else {
        return;
    };
    // A real instance may take its time; this one is to show that nothing breaks.
    let copies: u64 = instance.items.iter().map(|it| u64::from(it.quantity)).sum();
    let corners: usize = instance.items.iter().map(|it| it.polygon.len()).sum();
    if copies <= 20 && corners <= 200 {
        let _ = strip::shortest(&instance, &Budget::FIRST_LAYOUT, &mut |_| Control::Continue);
    }
}

/// Caliper readings of any size and sign.
fn measure(bytes: &[u8]) {
    let mut wild = wild::Wild::new(bytes);
    let (a, b, c) = (wild.number(), wild.number(), wild.number());
    let off = wild.number();
    let points = [(a, b), (b, c), (c, a)].map(|(x, y)| Point::new(x, y));
    let rounds = [
        arc::through(points, off).map(|(round, _)| round),
        arc::from_rise(a, b, off),
    ];
    for round in rounds.into_iter().flatten() {
        let _ = pattern::likely(wild.below(12), &round);
    }
    let _ = pattern::kin(a);
}

/// A recipe of valid steps with wild numbers, the whole way to its files.
fn build(bytes: &[u8]) {
    let text = wild::recipe(bytes);
    let family = match Family::read("fuzz", &source("fuzz.toml", &text)) {
        Ok(family) => family,
        Err(faults) => return said(&faults),
    };
    let job = Job::of_part(Part::plain(family));
    let planned = pipeline::draw(&job, &SHELF).and_then(|drawn| {
        pipeline::plan(&job, drawn, &Budget::FIRST_LAYOUT, &mut |_| {
            Control::Continue
        })
    });
    match planned {
        Ok(planned) => {
            planned
                .outputs(Wanted::default())
                .expect("the files of a plan");
        }
        Err(faults) => said(&faults),
    }
}
