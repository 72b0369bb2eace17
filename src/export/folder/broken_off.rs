//! The program is broken off at every change of the disk that a run makes, one after the other.

use std::collections::BTreeMap;
use std::env;
use std::fs;
use std::path::Path;
use std::process::Command as Program;

use super::tests::{Tree, put, temporary, tree, with_report};
use super::*;
use crate::export::manifest::{Command, Manifest};

/// Runs that share some files, change some, and make some of their own.
fn outputs(which: &str) -> (Command, Outputs) {
    let mut outputs = Outputs::default();
    let (command, files, remnant): (_, &[(&str, &str)], _) = match which {
        "old" => (
            Command::Cut,
            &[
                ("drawings/a.pdf", "a, as it was"),
                ("drawings/old.pdf", "old"),
                ("paper/old.pdf", "old"),
                ("plates/a.dxf", "a, as it was"),
                ("plates/old.dxf", "old"),
                ("plates/same.dxf", "same"),
                ("sheets/01.dxf", "sheet, as it was"),
                ("sheets/02.dxf", "second sheet"),
            ],
            Some("what was left"),
        ),
        "new" => (
            Command::Cut,
            &[
                ("drawings/a.pdf", "a"),
                ("plates/a.dxf", "a"),
                ("plates/new.dxf", "new"),
                ("plates/same.dxf", "same"),
                ("programs/01.nc", "program"),
                ("sheets/01.dxf", "sheet"),
            ],
            Some("what is left"),
        ),
        "small" => (Command::Cut, &[("plates/small.dxf", "small")], None),
        "drawn" => (
            Command::Draw,
            &[("plates/a.dxf", "a"), ("drawings/b.pdf", "b")],
            None,
        ),
        "printed" => (
            Command::Paper,
            &[("paper/a.pdf", "a"), ("paper/old.pdf", "new")],
            None,
        ),
        other => panic!("no run is called {other}"),
    };
    for (path, text) in files {
        outputs.add(*path, text.as_bytes().to_vec());
    }
    if let Some(text) = remnant {
        outputs.hand_on("remnants/01", "dxf", text.as_bytes().to_vec());
    }
    match command {
        Command::Cut => (command, with_report(outputs)),
        _ => (command, outputs),
    }
}

fn put_run(folder: &Path, which: &str) -> Written {
    let (command, outputs) = outputs(which);
    put(folder, command, &outputs)
}

/// Files that the builder put there.
const FOREIGN: [(&str, &str); 3] = [
    ("notes.txt", "mine"),
    ("plates/mine.dxf", "mine"),
    ("remnants/rack.dxf", "mine"),
];

/// Copies of a folder in which runs were made: quicker than making them each time.
struct Used(tempfile::TempDir);

impl Used {
    fn copy(&self) -> tempfile::TempDir {
        let copy = temporary();
        let mut open = vec![self.0.path().to_owned()];
        while let Some(dir) = open.pop() {
            for entry in fs::read_dir(dir).expect("reads").flatten() {
                let inside = entry.path();
                let inside = inside.strip_prefix(self.0.path()).expect("below");
                if entry.path().is_dir() {
                    fs::create_dir(copy.path().join(inside)).expect("makes");
                    open.push(entry.path());
                } else {
                    fs::copy(entry.path(), copy.path().join(inside)).expect("copies");
                }
            }
        }
        copy
    }
}

/// A folder with the builder's files in which these runs were made.
fn used(runs: &[&str]) -> Used {
    let dir = temporary();
    for (path, text) in FOREIGN {
        let place = dir.path().join(path);
        fs::create_dir_all(place.parent().expect("a folder")).expect("makes");
        fs::write(place, text).expect("writes");
    }
    for which in runs {
        put_run(dir.path(), which);
    }
    Used(dir)
}

/// What the program runs that is to be broken off; nothing in a run of all tests.
#[test]
fn victim() {
    if let (Ok(folder), Ok(which)) = (env::var("VICTIM_FOLDER"), env::var("VICTIM_RUN")) {
        put_run(Path::new(&folder), &which);
    }
}

/// Whether a run ended before it was broken off at the change of that number.
fn ends(folder: &Path, which: &str, how: &str, at: usize) -> bool {
    let (_, path) = module_path!()
        .split_once("::")
        .expect("a module of the crate");
    let output = Program::new(env::current_exe().expect("this program"))
        .args(["--exact", &format!("{path}::victim")])
        .env("VICTIM_FOLDER", folder)
        .env("VICTIM_RUN", which)
        .env("PLATEWRIGHT_BREAK", format!("{how} {at}"))
        .output()
        .expect("it runs");
    let said = String::from_utf8_lossy(&output.stdout);
    let ended = output.status.success();
    assert!(!ended || said.contains("1 passed"), "{said}");
    ended
}

/// What a folder holds that a killed run leaves.
#[derive(Debug, PartialEq)]
enum Left {
    Old,
    New,
    Mixed,
}

/// What is left, by what the folder says of itself.
fn left(folder: &Path, old: &Tree, new: &Tree) -> Left {
    // A run that leaves the one before it as it is leaves its report.
    let keeps_report = new.contains_key("sheets/02.dxf");
    let now = tree(folder);
    let is_whole = now == *old || now == *new;
    assert!(
        is_whole || keeps_report || !now.contains_key(REPORT),
        "a report without its run"
    );
    for (path, text) in &now {
        let known = [old.get(path), new.get(path)].contains(&Some(text));
        assert!(known, "{path} is neither old nor new");
    }
    for (path, text) in FOREIGN {
        assert_eq!(now.get(path).map(String::as_str), Some(text));
    }
    if !Manifest::read(folder).unfinished.is_empty() {
        return Left::Mixed;
    }
    assert!(is_whole, "mixed, and nothing says so: {now:?}");
    if now == *old { Left::Old } else { Left::New }
}

#[test]
fn a_run_killed_at_any_change_leaves_old_new_or_what_the_next_run_puts_right() {
    let trees = |runs: &[&str]| tree(used(runs).0.path());
    let remnants = |it: &Tree| -> Tree {
        let remnants = it.iter().filter(|(path, _)| path.starts_with("remnants/"));
        remnants
            .map(|(path, text)| (path.clone(), text.clone()))
            .collect()
    };
    let before = used(&["old"]);
    let mut counts = BTreeMap::new();
    for (victim, follower) in [
        ("new", "small"),
        ("new", "new"),
        ("new", "drawn"),
        ("small", "new"),
        ("small", "printed"),
        ("drawn", "small"),
        ("drawn", "printed"),
        ("printed", "new"),
        ("printed", "small"),
    ] {
        let (old, new) = (trees(&["old"]), trees(&["old", victim]));
        let after_old = trees(&["old", follower]);
        let after_new = trees(&["old", victim, follower]);
        // As if the killed run and the one that it took the place of had never been, but for what that
        // one had handed on.
        let mut after_mixed = trees(&[follower]);
        after_mixed.extend(remnants(&old));
        let mut points = 0;
        loop {
            let dir = before.copy();
            if ends(dir.path(), victim, "kill", points + 1) {
                assert_eq!(tree(dir.path()), new);
                break;
            }
            points += 1;
            let left = left(dir.path(), &old, &new);
            let written = put_run(dir.path(), follower);
            let now = tree(dir.path());
            let wanted = match left {
                Left::Old => &after_old,
                Left::New => &after_new,
                Left::Mixed => &after_mixed,
            };
            assert_eq!(now, *wanted, "{victim} killed at {points}, then {follower}");
            assert_eq!(written.mended, left == Left::Mixed);
            assert!(Manifest::read(dir.path()).unfinished.is_empty());
            *counts.entry(format!("{left:?}")).or_insert(0) += 1;
        }
        assert!(points >= 8, "only {points} places in {victim}");
        println!("{victim}, then {follower}: killed at each of {points} changes");
    }
    println!("left: {counts:?}");
    assert!(counts["Mixed"] > 50 && counts["Old"] > 50, "{counts:?}");
}

#[test]
fn two_kills_in_a_row_are_put_right_as_well() {
    let before = used(&["old"]);
    let mut wanted = tree(used(&["small"]).0.path());
    wanted.retain(|path, _| !path.starts_with("remnants/"));
    for (first, second) in [("new", "small"), ("small", "new"), ("drawn", "new")] {
        for at in (6..40).step_by(2) {
            for then in (6..40).step_by(3) {
                let dir = before.copy();
                ends(dir.path(), first, "kill", at);
                ends(dir.path(), second, "kill", then);
                put_run(dir.path(), "small");
                let mut now = tree(dir.path());
                now.retain(|path, _| !path.starts_with("remnants/"));
                assert_eq!(now, wanted, "{first} at {at}, {second} at {then}");
            }
        }
    }
}

#[test]
fn a_panic_at_any_change_leaves_the_folder_as_it_was() {
    let used = used(&["old"]);
    for victim in ["new", "small", "printed"] {
        let mut at = 1;
        loop {
            let dir = used.copy();
            let list = fs::read(dir.path().join(Manifest::path())).expect("a list");
            let before = tree(dir.path());
            if ends(dir.path(), victim, "panic", at) {
                break;
            }
            assert_eq!(tree(dir.path()), before, "{victim} at {at}");
            let after = fs::read(dir.path().join(Manifest::path())).expect("a list");
            assert_eq!(after, list);
            at += 1;
        }
        assert!(at > 8, "only {at} places");
    }
}
