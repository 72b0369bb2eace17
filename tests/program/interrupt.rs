//! Ctrl-C during the layout search, sent to the program itself: once to keep the best so far, again to
//! stop at once.

#![cfg(unix)]

use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use crate::support::bench::Bench;

/// The search would take this long if nobody stopped it, s.
const ASKED: &str = "120";
/// Far more than the program takes to end, far less than the search was asked for.
const SOON: Duration = Duration::from_secs(60);

/// A job with so many flanges and steering arms.
fn job(quantity: u32) -> String {
    format!(
        "[job]\nname = \"flanges\"\n\
         [[stock]]\nthickness = \"8 mm\"\nsize = [\"1220 mm\", \"2440 mm\"]\n\
         [[part]]\nrecipe = \"flange\"\nthickness = \"8 mm\"\nquantity = {quantity}\n\
         [[part]]\nrecipe = \"steering-arm\"\nthickness = \"8 mm\"\nquantity = {quantity}\n"
    )
}

fn started(bench: &Bench, words: &[&str]) -> Child {
    Command::new(env!("CARGO_BIN_EXE_platewright"))
        .args(words)
        .current_dir(bench.path("."))
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts")
}

fn signal(child: &Child, name: &str) {
    let sent = Command::new("kill")
        .args([name, &child.id().to_string()])
        .status();
    assert!(sent.expect("kill is there").success());
}

/// Its exit code and what it said.
fn ended(child: Child, since: Instant) -> (Option<i32>, String, String) {
    let output = child.wait_with_output().expect("it ends");
    assert!(
        since.elapsed() < SOON,
        "it went on for {:?}",
        since.elapsed()
    );
    let words = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (
        output.status.code(),
        words(&output.stdout),
        words(&output.stderr),
    )
}

#[test]
fn the_first_keeps_the_best_layout_so_far() {
    let bench = Bench::new();
    bench.write("job.toml", &job(12));
    for (command, name) in [("cut", "-INT"), ("estimate", "-INT"), ("estimate", "-TERM")] {
        let mut words = vec![command, "job.toml", "--seconds", ASKED, "--json"];
        if command == "cut" {
            words.extend(["--out", "here"]);
        }
        let child = started(&bench, &words);
        thread::sleep(Duration::from_secs(4));
        let since = Instant::now();
        signal(&child, name);
        let (code, result, said) = ended(child, since);
        assert_eq!(code, Some(4), "{command} {name}\n{said}");
        assert!(said.contains("stopped early"), "{said}");
        let report: serde_json::Value = serde_json::from_str(&result).expect("one JSON object");
        let placed = report["sheets"].as_array().expect("sheets").iter();
        let placed: usize = placed
            .map(|sheet| sheet["placements"].as_array().map_or(0, Vec::len))
            .sum();
        let plates = report["plates"].as_array().expect("plates").iter();
        let asked: u64 = plates.filter_map(|plate| plate["quantity"].as_u64()).sum();
        assert_eq!(placed as u64, asked);
        if command == "cut" {
            let written = std::fs::read_to_string(bench.path("here/report.json"));
            let written = written.expect("the report is written");
            assert_eq!(
                serde_json::from_str::<serde_json::Value>(&written).expect("JSON"),
                report
            );
        }
    }
}

#[test]
fn the_second_stops_at_once_and_leaves_nothing() {
    let bench = Bench::new();
    bench.write("job.toml", &job(330));
    let words = ["cut", "job.toml", "--seconds", ASKED, "--out", "here"];
    let child = started(&bench, &words);
    // The first layout of so many takes longer than this.
    thread::sleep(Duration::from_secs(2));
    let since = Instant::now();
    signal(&child, "-INT");
    thread::sleep(Duration::from_millis(100));
    signal(&child, "-INT");
    let (code, _, said) = ended(child, since);
    assert_eq!(code, Some(130), "{said}");
    assert!(said.contains("again stops at once"), "{said}");
    assert!(!bench.path("here").exists());
}
