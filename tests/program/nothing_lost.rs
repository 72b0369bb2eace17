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

/// What the program keeps for itself in a folder, when nothing is on its way.
fn assert_settled(folder: &Path) {
    let entries = fs::read_dir(folder.join(".platewright")).expect("its hidden folder");
    let names = entries.map(|it| it.expect("readable").file_name());
    let mut names: Vec<String> = names.map(|it| it.to_string_lossy().into_owned()).collect();
    names.sort();
    assert_eq!(names, ["files.json", "lock"]);
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

/// What a run made; remnants of earlier ones lie beside it.
fn made(bench: &Bench) -> Tree {
    let mut now = tree(&bench.path("out"));
    now.retain(|path, _| !path.starts_with("remnants/"));
    now
}

/// Both whole results, and how long a run takes.
fn whole(bench: &Bench) -> ([Tree; 2], Duration) {
    let mut took = Duration::ZERO;
    let trees = JOBS.map(|(name, text)| {
        bench.write(name, text);
        let start = Instant::now();
        bench.done(&["cut", name, "--out", "out"]);
        took = took.max(start.elapsed());
        made(bench)
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
        let now = made(&bench);
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
    assert_eq!(made(&bench), runs[0]);
    assert_settled(&bench.path("out"));
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

/// A limit on the size of a file stops writing as a full disk does, at any file of the run; the signal
/// that comes with it does not end the program.
#[cfg(unix)]
#[test]
fn a_full_disk_leaves_everything_as_it_was() {
    let bench = Bench::new();
    let (runs, _) = whole(&bench);
    let mut stopped = 0;
    for kibibytes in [0, 1, 2, 4, 8, 16, 32, 64] {
        let limited = format!(
            "ulimit -f {kibibytes}; exec '{}' cut six.toml --out out",
            env!("CARGO_BIN_EXE_platewright")
        );
        let output = Command::new("bash")
            .args(["-c", &limited])
            .current_dir(bench.path(""))
            .output()
            .expect("a shell");
        let now = made(&bench);
        if output.status.success() {
            assert_eq!(now, runs[0]);
        } else {
            stopped += 1;
            let said = String::from_utf8_lossy(&output.stderr);
            assert_eq!(output.status.code(), Some(3), "{said}");
            assert!(
                said.contains("would be larger than a file may be here"),
                "{said}"
            );
            assert_eq!(now, runs[1], "at {kibibytes} KiB");
        }
        assert_settled(&bench.path("out"));
    }
    assert!(stopped >= 4, "only {stopped} runs met the limit");
}

/// The short way through the same as the tests of the folder itself: the program is killed at its changes
/// of the disk, which debug builds do on request.
#[cfg(debug_assertions)]
#[test]
fn killed_at_a_change_of_the_disk_the_next_run_leaves_nothing_stale() {
    let bench = Bench::new();
    let (runs, _) = whole(&bench);
    let smaller = "recipe = \"flange\"\nname = \"other\"\n";
    bench.write("other.toml", smaller);
    bench.done(&["paper", "other.toml", "--out", "alone"]);
    let alone = tree(&bench.path("alone"));
    let (mut at, mut mixed) = (1, 0);
    loop {
        let output = broken(
            &bench,
            &["cut", JOBS[0].0, "--out", "out"],
            &format!("kill {at}"),
        );
        if output.status.success() {
            break;
        }
        let now = made(&bench);
        assert_whole(&now, &runs);
        let list = fs::read_to_string(bench.path("out/.platewright/files.json")).expect("a list");
        let says_so = list.contains("unfinished");
        assert!(says_so || runs.contains(&now), "mixed, and nothing says so");
        let output = bench.run(&["paper", "other.toml", "--out", "out"]);
        assert!(output.status.success());
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(said.contains("was stopped half way"), says_so, "{said}");
        if says_so {
            mixed += 1;
            assert_eq!(made(&bench), alone, "killed at {at}");
        }
        bench.done(&["cut", JOBS[1].0, "--out", "out"]);
        assert_settled(&bench.path("out"));
        at += 6;
    }
    assert!(
        mixed >= 4,
        "{mixed} of the {at} changes left a mixed folder"
    );
}

/// The program as debug builds break it off.
#[cfg(debug_assertions)]
fn broken(bench: &Bench, words: &[&str], how: &str) -> std::process::Output {
    Command::new(env!("CARGO_BIN_EXE_platewright"))
        .args(words)
        .current_dir(bench.path(""))
        .env("PLATEWRIGHT_BREAK", how)
        .env("NO_COLOR", "1")
        .output()
        .expect("the program runs")
}

/// A mistake of the program ends with a message and a code of its own, and what it says is true.
#[cfg(debug_assertions)]
#[test]
fn a_panic_is_a_message_and_leaves_everything_as_it_was() {
    let bench = Bench::new();
    let (runs, _) = whole(&bench);
    let cut = ["cut", JOBS[0].0, "--out", "out"];
    let mut panics = 0;
    for at in (1..).step_by(6) {
        let output = broken(&bench, &cut, &format!("panic {at}"));
        let said = String::from_utf8_lossy(&output.stderr);
        if output.status.success() {
            break;
        }
        assert_eq!(output.status.code(), Some(5), "{said}");
        for words in [
            "a mistake in the program ended `platewright cut six.toml --out out`",
            "broken off at",
            "send these lines",
        ] {
            assert!(said.contains(words), "{said}");
        }
        assert!(!said.contains("thread 'main'"), "{said}");
        // The last place of all is after the writing.
        let nothing = said.contains("nothing was written");
        assert!(
            nothing || said.contains("all was written into out"),
            "{said}"
        );
        assert_eq!(made(&bench), runs[usize::from(nothing)], "at {at}");
        assert_settled(&bench.path("out"));
        panics += usize::from(nothing);
    }
    assert!(panics >= 5, "{panics} panics");
    let output = broken(&bench, &["check", JOBS[0].0, "--json"], "panic 1");
    assert_eq!(output.status.code(), Some(5));
    let object: Value = serde_json::from_slice(&output.stdout).expect("one JSON object");
    assert_eq!(object["exit_code"], 5);
    assert!(
        object["errors"][0]["message"]
            .as_str()
            .is_some_and(|it| it.contains("check"))
    );
}

/// After the files are in place it does not say that nothing was written.
#[cfg(debug_assertions)]
#[test]
fn a_panic_after_the_writing_says_that_all_was_written() {
    let bench = Bench::new();
    for at in 1.. {
        let output = broken(&bench, &["start", "flange"], &format!("panic {at}"));
        let said = String::from_utf8_lossy(&output.stderr);
        let is_there = bench.path("flange.toml").exists();
        assert_eq!(bench.path("flange.svg").exists(), is_there, "{said}");
        if output.status.success() {
            assert!(at > 4 && is_there);
            return;
        }
        assert_eq!(output.status.code(), Some(5), "{said}");
        assert_eq!(said.contains("nothing was written"), !is_there, "{said}");
        assert_eq!(
            said.contains("all was written into flange.toml"),
            is_there,
            "{said}"
        );
        if is_there {
            fs::remove_file(bench.path("flange.toml")).expect("removes");
            fs::remove_file(bench.path("flange.svg")).expect("removes");
        }
    }
}

/// One waits for the other, and none takes the other's files for its own.
#[test]
fn two_runs_at_once_end_as_one_after_the_other() {
    let bench = Bench::new();
    let (runs, _) = whole(&bench);
    for _ in 0..4 {
        let both = JOBS.map(|(job, _)| started(&bench, job));
        for mut child in both {
            assert!(child.wait().expect("it ends").success());
        }
        assert!(runs.contains(&made(&bench)), "a mixture of both");
        assert_settled(&bench.path("out"));
    }
}

/// The report lists each file with its checksum, the published 64-bit FNV-1a.
#[test]
fn the_report_lists_what_is_there() {
    let bench = Bench::new();
    bench.write(JOBS[0].0, JOBS[0].1);
    bench.done(&["cut", JOBS[0].0, "--out", "out"]);
    let there = tree(&bench.path("out"));
    let report: Value = serde_json::from_slice(&there["report.json"]).expect("JSON");
    let listed = report["files"].as_array().expect("a list");
    assert_eq!(listed.len() + 1, there.len());
    for file in listed {
        let bytes = &there[file["path"].as_str().expect("a path")];
        let hash = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
            (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
        });
        assert_eq!(file["fnv1a"], format!("{hash:016x}"));
    }
}
