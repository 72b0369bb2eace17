//! The layout search in figures, beside `compare.py`, which sets it beside a reference library.
//!
//! `cargo bench --bench nesting` prints three tables about jobs: how soon the first layout is there,
//! how near two seconds come to a minute, and what five hundred parts take. With files of outlines
//! (`cargo bench --bench nesting -- FILE.json ... [--places N] [--seeds N]`) it prints the length of
//! each strip after so many places tried for each copy, and the processor time: the same on any
//! machine, so that two ways of searching can be compared on a busy one.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::time::Instant;

use platewright::fault::Source;
use platewright::nest::{Budget, Control, Progress};
use platewright::pipeline::{self, Planned};
use platewright::recipe::{Job, Shelf};
use platewright::strip;

/// More places than anybody waits for.
const UNTIL_TIME: u64 = u64::MAX / 2;

fn main() {
    let mut files = Vec::new();
    let (mut places, mut seeds) = (2_000, 3);
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let mut number = |usual: u64| words.next().and_then(|it| it.parse().ok()).unwrap_or(usual);
        match word.as_str() {
            "--bench" => {}
            "--places" => places = number(places),
            "--seeds" => seeds = number(seeds),
            _ => files.push(PathBuf::from(word)),
        }
    }
    if files.is_empty() {
        jobs();
    } else {
        strips(&files, places, seeds);
    }
}

fn strips(files: &[PathBuf], places: u64, seeds: u64) {
    println!(
        "{:24}{:>12}{:>12}{:>12}{:>10}",
        "strip", "mean", "least", "most", "cpu s"
    );
    let mut logs = 0.0;
    for file in files {
        let text = std::fs::read_to_string(file).expect("a file that can be read");
        let name = file.display().to_string();
        let instance = strip::read(&Source::inline(name, text)).expect("outlines");
        let spent = processor_seconds();
        let lengths: Vec<f64> = (0..seeds)
            .map(|seed| {
                let budget = Budget {
                    seed,
                    iterations: places,
                    seconds: None,
                };
                let go_on = &mut |_: Progress<'_>| Control::Continue;
                strip::shortest(&instance, &budget, go_on)
                    .expect("a layout")
                    .length
            })
            .collect();
        let mean = lengths.iter().sum::<f64>() / seeds as f64;
        let least = lengths.iter().copied().fold(f64::INFINITY, f64::min);
        let most = lengths.iter().copied().fold(0.0, f64::max);
        let spent = (processor_seconds() - spent) / seeds as f64;
        let name = &instance.name;
        println!("{name:24}{mean:>12.3}{least:>12.3}{most:>12.3}{spent:>10.2}");
        logs += mean.ln();
    }
    println!(
        "geometric mean of the means {:.3}",
        (logs / files.len() as f64).exp()
    );
}

fn jobs() {
    let shelf = Shelf::built_in();
    println!(
        "first layout\n{:28}{:>8}{:>12}{:>12}{:>10}",
        "job", "copies", "told s", "planned s", "cpu s"
    );
    for (name, job) in [
        ("orchard cart", demo(&shelf)),
        ("a hundred parts", many(&shelf, 14, "")),
    ] {
        let run = run(&job, &shelf, 0, None);
        println!(
            "{name:28}{:>8}{:>12.3}{:>12.3}{:>10.2}",
            run.copies, run.first, run.took, run.cpu
        );
    }
    println!("\nthe demo after a time, and by the usual number of places");
    println!(
        "{:28}{:>12}{:>12}{:>10}",
        "asked", "length mm", "took s", "cpu s"
    );
    let demo = demo(&shelf);
    let mut lengths = Vec::new();
    for seconds in [2.0, 5.0, 60.0] {
        let run = run(&demo, &shelf, UNTIL_TIME, Some(seconds));
        let asked = format!("{seconds} s");
        tell(&asked, &run);
        lengths.push(run.length);
    }
    for places in [10_000, 25_000, 60_000] {
        let run = run(&demo, &shelf, places, None);
        tell(&format!("{places} places a copy"), &run);
    }
    println!(
        "2 s are {:.2} % longer than 60 s",
        100.0 * (lengths[0] / lengths[2] - 1.0)
    );
    println!("\nfive hundred parts on sheets and remnants, 60 s");
    let job = many(&shelf, 72, REMNANTS);
    let run = run(&job, &shelf, UNTIL_TIME, Some(60.0));
    println!(
        "{} copies, {} sheets, {} without room, first layout after {:.2} s, took {:.2} s and {:.2} s of processor time, at most {} MB",
        run.copies,
        run.sheets,
        run.unplaced,
        run.first,
        run.took,
        run.cpu,
        peak_memory().map_or("?".to_owned(), |bytes| (bytes >> 20).to_string()),
    );
}

fn tell(asked: &str, run: &Run) {
    println!(
        "{asked:28}{:>12.1}{:>12.2}{:>10.2}",
        run.length, run.took, run.cpu
    );
}

/// A run of a job as far as its cut paths.
struct Run {
    copies: u32,
    /// Seconds from reading the job to the first layout told, and to the end.
    first: f64,
    took: f64,
    /// Processor time of all threads, s.
    cpu: f64,
    sheets: usize,
    unplaced: u32,
    /// Used lengths of all sheets, mm.
    length: f64,
}

fn run(job: &Job, shelf: &Shelf, iterations: u64, seconds: Option<f64>) -> Run {
    let started = Instant::now();
    let cpu = processor_seconds();
    let mut first = None;
    let drawn = pipeline::draw(job, shelf).expect("plates");
    let copies = drawn.plates.iter().map(|plate| plate.quantity).sum();
    let budget = Budget {
        seed: 0,
        iterations,
        seconds,
    };
    let told = &mut |_: &pipeline::Searching<'_>| {
        first.get_or_insert_with(|| started.elapsed().as_secs_f64());
        Control::Continue
    };
    let planned: Planned = pipeline::plan(job, drawn, &budget, told).expect("a plan");
    let took = started.elapsed().as_secs_f64();
    let report = planned.report();
    Run {
        copies,
        first: first.unwrap_or(took),
        took,
        cpu: processor_seconds() - cpu,
        sheets: planned.sheets.len(),
        unplaced: planned.unplaced.iter().map(|(_, copies)| copies).sum(),
        length: report.sheets.iter().map(|sheet| sheet.used_length_mm).sum(),
    }
}

fn demo(shelf: &Shelf) -> Job {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/jobs/orchard-cart.toml");
    Job::read(&path, shelf).expect("the demo job")
}

/// Offcuts that come before the sheets.
const REMNANTS: &str = "[[stock]]\nthickness = \"6 mm\"\nsize = [\"700 mm\", \"500 mm\"]\n\
    quantity = 2\nfirst = true\n\
    [[stock]]\nthickness = \"6 mm\"\nsize = [\"1100 mm\", \"300 mm\"]\nquantity = 1\nfirst = true\n";

/// Seven families of one thickness, each so many times.
fn many(shelf: &Shelf, each: u32, stock: &str) -> Job {
    let mut text = format!(
        "[job]\nname = \"many\"\n{stock}\
         [[stock]]\nthickness = \"6 mm\"\nsize = [\"1220 mm\", \"2440 mm\"]\nprice = 100\n"
    );
    for (family, more) in [
        ("flange", "outside = \"150 mm\""),
        ("flange", "name = \"large flange\"\noutside = \"170 mm\""),
        ("steering-arm", ""),
        ("hub-adapter", ""),
        (
            "flange",
            "name = \"small flange\"\noutside = \"100 mm\"\nbolt_circle = \"64 mm\"",
        ),
        (
            "steering-arm",
            "name = \"short arm\"\narm_length = \"110 mm\"",
        ),
        (
            "hub-adapter",
            "name = \"large hub plate\"\noutside = \"190 mm\"",
        ),
    ] {
        let _ = write!(
            text,
            "[[part]]\nrecipe = \"{family}\"\nthickness = \"6 mm\"\nquantity = {each}\n{more}\n"
        );
    }
    Job::from_source(&Source::inline("many.toml", text), shelf).expect("a job")
}

/// Processor time of this process so far, all threads, s; 0 where it is not told.
fn processor_seconds() -> f64 {
    let told = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields = told
        .rsplit(')')
        .next()
        .unwrap_or_default()
        .split_whitespace();
    // The 14th and 15th field count from the name, the second, which may hold spaces; in hundredths.
    fields
        .skip(11)
        .take(2)
        .filter_map(|it| it.parse::<f64>().ok())
        .sum::<f64>()
        / 100.0
}

/// The most memory that this process has held, bytes, where the system tells.
fn peak_memory() -> Option<u64> {
    let told = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = told.lines().find(|line| line.starts_with("VmHWM"))?;
    let kilobytes: u64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes << 10)
}
