//! Killed, short of room, or run twice at once: no file is ever half written under its name, and a
//! folder with a report holds the run that it lists.
//!
//! The short run kills the program a few times, the long one 200 times:
//! `cargo test --release --test program nothing_lost -- --ignored`

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use crate::support::bench::{Bench, Tree, tree};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use serde_json::Value;

/// Two parts of one name: whichever run wrote a file, its bytes tell.
const JOBS: [(&str, &str); 2] = [
    (
        "six.toml",
        "recipe = \"flange\"\nname = \"plate\"\nbolt_count = 6\n",
    ),
    (
        "five.toml",
        "recipe = \"flange\"\nname = \"plate\"\nbolt_count = 5\n",
    ),
];

/// Hidden folders with something in them: one that is empty was killed at its birth, and goes later.
fn unfinished(folder: &Path) -> usize {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let hidden = entries.filter(|it| it.file_name().to_string_lossy().starts_with(".unfinished-"));
    hidden
        .filter(|it| fs::read_dir(it.path()).is_ok_and(|mut inside| inside.next().is_some()))
        .count()
}

fn started(bench: &Bench, job: &str) -> Child {
    Command::new(env!("CARGO_BIN_EXE_platewright"))
        .args(["cut", job, "--out", "out"])
        .current_dir(bench.path(""))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program runs")
}

/// Both whole results, and how long a run takes.
fn whole(bench: &Bench) -> ([Tree; 2], Duration) {
    let mut took = Duration::ZERO;
    let trees = JOBS.map(|(name, text)| {
        bench.write(name, text);
        let start = Instant::now();
        bench.done(&["cut", name, "--out", "out"]);
        took = took.max(start.elapsed());
        tree(&bench.path("out"))
    });
    assert_eq!(trees[0].len(), trees[1].len());
    assert_ne!(trees[0], trees[1]);
    (trees, took)
}

/// Panics unless every file is whole, and all are of one run if there is a report.
fn assert_whole(now: &Tree, runs: &[Tree; 2]) {
    for (name, bytes) in now {
        let is_whole = runs.iter().any(|run| run.get(name) == Some(bytes));
        assert!(is_whole, "{name} is half written");
    }
    assert!(
        !now.contains_key("report.json") || runs.contains(now),
        "the report lists another run"
    );
}

fn killed(times: u32, seed: u64) {
    let bench = Bench::new();
    let (runs, took) = whole(&bench);
    let mut random = Pcg64Mcg::seed_from_u64(seed);
    let (mut with_report, mut without) = (0, 0);
    for time in 0..times {
        let (job, _) = JOBS[random.random_range(0..2)];
        let mut child = started(&bench, job);
        // Half of them near the end, where files are put in place.
        let share = if time % 2 == 0 {
            random.random_range(0.0..1.1)
        } else {
            random.random_range(0.7..1.1)
        };
        std::thread::sleep(took.mul_f64(share));
        // It may have finished by itself.
        let _ = child.kill();
        child.wait().expect("it ends");
        let now = tree(&bench.path("out"));
        assert_whole(&now, &runs);
        if now.contains_key("report.json") {
            with_report += 1;
        } else {
            without += 1;
        }
    }
    println!("killed {times} times: {with_report} whole runs, {without} between two, seed {seed}");
    // The next run clears up and is as if nothing had happened.
    bench.done(&["cut", JOBS[0].0, "--out", "out"]);
    assert_eq!(tree(&bench.path("out")), runs[0]);
    assert_eq!(unfinished(&bench.path("out")), 0);
}

#[test]
fn a_killed_program_leaves_whole_files() {
    killed(20, 1);
}

#[test]
#[ignore = "takes a minute: run by the outside checks"]
fn a_program_killed_two_hundred_times_leaves_whole_files() {
    killed(200, 2);
}

/// A limit on the size of a file stops writing as a full disk does, at any file of the run.
#[cfg(unix)]
#[test]
fn a_full_disk_leaves_everything_as_it_was() {
    let bench = Bench::new();
    let (runs, _) = whole(&bench);
    let mut stopped = 0;
    for kibibytes in [0, 1, 2, 4, 8, 16, 32, 64] {
        let limited = format!(
            "trap '' XFSZ; ulimit -f {kibibytes}; exec '{}' cut six.toml --out out",
            env!("CARGO_BIN_EXE_platewright")
        );
        let output = Command::new("bash")
            .args(["-c", &limited])
            .current_dir(bench.path(""))
            .output()
            .expect("a shell");
        let now = tree(&bench.path("out"));
        if output.status.success() {
            assert_eq!(now, runs[0]);
        } else {
            stopped += 1;
            let said = String::from_utf8_lossy(&output.stderr);
            assert_eq!(output.status.code(), Some(3), "{said}");
            assert!(
                said.contains("cannot write") || said.contains("no room"),
                "{said}"
            );
            assert_eq!(now, runs[1], "at {kibibytes} KiB");
        }
        assert_eq!(unfinished(&bench.path("out")), 0);
    }
    assert!(stopped >= 4, "only {stopped} runs met the limit");
}

/// The report lists each file with its checksum, the published 64-bit FNV-1a.
#[test]
fn the_report_lists_what_is_there() {
    let bench = Bench::new();
    let (runs, _) = whole(&bench);
    let report: Value = serde_json::from_slice(&runs[1]["report.json"]).expect("JSON");
    let listed = report["files"].as_array().expect("a list");
    assert_eq!(listed.len() + 1, runs[1].len());
    for file in listed {
        let bytes = &runs[1][file["path"].as_str().expect("a path")];
        let hash = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
            (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
        });
        assert_eq!(file["fnv1a"], format!("{hash:016x}"));
    }
}
