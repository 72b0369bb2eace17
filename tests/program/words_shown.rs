//! All that the shipped jobs show to people, read for what nobody would write: numbers with more decimals
//! than anybody measures, and "1 plates".

use std::fs;
use std::path::Path;

use crate::support::bench::{Bench, tree};
use serde_json::Value;

/// What is counted somewhere.
const COUNTED: [&str; 24] = [
    "plates", "sheets", "runs", "pierces", "holes", "copies", "pages", "tiles", "tabs", "warnings",
    "notes", "bolts", "openings", "places", "sets", "pieces", "corners", "parts", "studs", "files",
    "findings", "folds", "teeth", "lines",
];

/// Numbers with more than four decimals.
fn long_numbers(text: &str) -> Vec<&str> {
    let is_number = |c: char| c.is_ascii_digit() || c == '.';
    let numbers = text.split(|c: char| !is_number(c));
    let numbers = numbers.map(|it| it.trim_end_matches('.'));
    let long = |it: &&str| {
        let parts: Vec<&str> = it.split('.').collect();
        matches!(parts[..], [whole, decimals] if !whole.is_empty() && decimals.len() > 4)
    };
    numbers.filter(long).collect()
}

/// A one before several: `1 plates`, `1 holding tabs`.
fn wrong_counts(text: &str) -> Vec<String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let bare = |word: &str| {
        word.trim_matches(|c: char| !c.is_ascii_alphabetic())
            .to_owned()
    };
    let is_one = |at: usize| words[at].trim_start_matches(['(', '"']) == "1";
    let ones = (0..words.len()).filter(|at| is_one(*at));
    ones.filter_map(|at| {
        let next = words.get(at + 1..(at + 3).min(words.len()))?;
        // Up to the end of a clause.
        let end = next
            .iter()
            .position(|it| it.ends_with([',', '.', ';', ':']));
        let next = &next[..end.map_or(next.len(), |end| end + 1)];
        let found = next
            .iter()
            .find(|it| COUNTED.contains(&bare(it).as_str()))?;
        Some(format!("1 … {found}"))
    })
    .collect()
}

fn strings(value: &Value, found: &mut Vec<String>) {
    match value {
        Value::String(text) => found.push(text.clone()),
        Value::Array(items) => items.iter().for_each(|it| strings(it, found)),
        Value::Object(fields) => fields.values().for_each(|it| strings(it, found)),
        _ => {}
    }
}

/// What stands between the tags of a page or a picture, without its script and style.
fn between_tags(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for part in text.split('<').skip(1) {
        let (tag, words) = part.split_once('>').unwrap_or((part, ""));
        if !tag.starts_with("script") && !tag.starts_with("style") && !words.trim().is_empty() {
            found.push(words.to_owned());
        }
    }
    found
}

fn told(name: &str, text: &str) -> Vec<String> {
    let suffix = name.rsplit('.').next();
    match suffix {
        Some("json") => {
            let mut found = Vec::new();
            strings(&serde_json::from_str(text).expect("JSON"), &mut found);
            found
        }
        Some("html" | "svg") => between_tags(text),
        _ => text.lines().map(str::to_owned).collect(),
    }
}

#[test]
fn the_readers_see_what_they_look_for() {
    assert_eq!(
        long_numbers("5.333333333333333 mm, 1.2345, 2.34567."),
        ["5.333333333333333", "2.34567"]
    );
    assert_eq!(
        wrong_counts("1 plates, 1 runs, 11 plates, 1 holding tabs").len(),
        3
    );
    assert!(wrong_counts("1 plate, 2 runs; 1.1 plates; 1 off, runs").is_empty());
    assert_eq!(
        between_tags("<p>1 <b>plates</b></p><style>x</style>"),
        ["1 ", "plates"]
    );
}

#[test]
fn every_number_and_count_that_a_shipped_job_shows_reads_well() {
    let jobs = Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/jobs");
    let bench = Bench::new();
    let mut wrong = Vec::new();
    let mut read = 0;
    let mut look = |what: &str, name: &str, text: &str| {
        for words in told(name, text) {
            read += 1;
            let long = long_numbers(&words).into_iter().map(str::to_owned);
            for it in long.chain(wrong_counts(&words)) {
                wrong.push(format!("{what}: {it} in {words}"));
            }
        }
    };
    for job in ["bracket-tonight", "how-much-sheet", "orchard-cart"] {
        let path = jobs.join(format!("{job}.toml")).display().to_string();
        for command in [&["check"][..], &["estimate", "--seconds", "0"], &["paper"]] {
            for (json, name) in [(&[][..], "text.txt"), (&["--json"][..], "one.json")] {
                let output = bench.run(&[command, &[path.as_str()], json].concat());
                let what = format!("{} {job}", command[0]);
                look(&what, name, &String::from_utf8_lossy(&output.stdout));
                look(&what, "text.txt", &String::from_utf8_lossy(&output.stderr));
            }
        }
        let cut = bench.run(&["cut", &path, "--seconds", "0", "--out", job]);
        look(
            &format!("cut {job}"),
            "text.txt",
            &String::from_utf8_lossy(&cut.stdout),
        );
        for (name, bytes) in tree(&bench.path(job)) {
            if name.ends_with("json") || name.ends_with("html") || name.ends_with("svg") {
                look(
                    &format!("{job}/{name}"),
                    &name,
                    &String::from_utf8_lossy(&bytes),
                );
            }
        }
        assert!(fs::exists(bench.path(&format!("{job}/report.html"))).expect("readable"));
    }
    assert!(read > 5_000, "{read}");
    wrong.dedup();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
