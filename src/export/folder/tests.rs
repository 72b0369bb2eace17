//! Folders as they are before and after a run.

use std::collections::BTreeMap;
use std::fs;

use tempfile::TempDir;

use super::*;
use crate::export::manifest::{Command, Manifest};
use crate::export::staging;
use std::path::Path;

/// Files by their path, with their text.
pub(super) type Tree = BTreeMap<String, String>;

fn outputs(files: &[(&str, &str)]) -> Outputs {
    let mut outputs = Outputs::default();
    for (path, text) in files {
        outputs.add(*path, text.as_bytes().to_vec());
    }
    outputs
}

/// The files with a report that lists them.
pub(super) fn with_report(mut outputs: Outputs) -> Outputs {
    let report = serde_json::json!({ "schema": 1, "files": outputs.listing() });
    outputs.add(REPORT, report.to_string().into_bytes());
    outputs
}

fn run(files: &[(&str, &str)]) -> Outputs {
    with_report(outputs(files))
}

fn target(folder: &Path, command: Command) -> Target<'_> {
    Target {
        folder,
        command,
        replace: false,
        sources: &[],
    }
}

pub(super) fn put(folder: &Path, command: Command, outputs: &Outputs) -> Written {
    let target = target(folder, command);
    outputs
        .write(&target)
        .unwrap_or_else(|faults| panic!("{faults}"))
}

fn refused(folder: &Path, outputs: &Outputs) -> String {
    let faults = outputs.write(&target(folder, Command::Cut));
    let faults = faults.expect_err("something is in the way");
    assert_eq!(faults.exit_code(), 3);
    faults.to_string()
}

fn replace(folder: &Path, outputs: &Outputs) -> Outcome<Written> {
    let target = target(folder, Command::Cut);
    outputs.write(&Target {
        replace: true,
        ..target
    })
}

/// Every file below a folder but what the program keeps for itself.
pub(super) fn tree(folder: &Path) -> Tree {
    let mut found = Tree::new();
    let mut open = vec![folder.to_owned()];
    while let Some(dir) = open.pop() {
        for entry in fs::read_dir(&dir).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.ends_with(staging::HIDDEN) {
                continue;
            }
            if path.is_dir() && !path.is_symlink() {
                open.push(path);
            } else {
                let name = path.strip_prefix(folder).expect("below").to_string_lossy();
                let text = fs::read_to_string(&path).unwrap_or_default();
                found.insert(name.replace('\\', "/"), text);
            }
        }
    }
    found
}

fn names(folder: &Path) -> Vec<String> {
    tree(folder).into_keys().collect()
}

pub(super) fn texts(outputs: &Outputs) -> Tree {
    let text = |file: &Output| String::from_utf8_lossy(&file.bytes).into_owned();
    let files = outputs.files.iter();
    files.map(|it| (it.listed.path.clone(), text(it))).collect()
}

pub(super) fn temporary() -> TempDir {
    // In memory where there is such a place: waiting for a disk takes most of the time.
    let memory = Path::new("/dev/shm");
    let dir = if memory.is_dir() {
        TempDir::new_in(memory)
    } else {
        TempDir::new()
    };
    dir.expect("a temporary folder")
}

#[test]
fn everything_arrives_and_nothing_else() {
    let dir = temporary();
    let out = dir.path().join("new/out");
    let files = outputs(&[("a.txt", "A"), ("plates/b.dxf", "B")]);
    assert_eq!(put(&out, Command::Draw, &files), Written::default());
    assert_eq!(tree(&out), texts(&files));
}

#[test]
fn a_second_run_leaves_the_same_bytes() {
    let dir = temporary();
    let files = run(&[("a.txt", "A"), ("plates/b.dxf", "B")]);
    for _ in 0..3 {
        assert_eq!(put(dir.path(), Command::Cut, &files), Written::default());
        assert_eq!(tree(dir.path()), texts(&files));
    }
}

#[test]
fn files_no_longer_made_go_and_foreign_files_stay() {
    let dir = temporary();
    let old = [
        ("plates/old.dxf", "OLD"),
        ("paper/old.pdf", "P"),
        ("plates/b.dxf", "B"),
    ];
    put(dir.path(), Command::Cut, &run(&old));
    fs::write(dir.path().join("notes.txt"), "mine").expect("writes");
    fs::write(dir.path().join("plates/mine.dxf"), "mine").expect("writes");
    put(dir.path(), Command::Cut, &run(&[("plates/b.dxf", "B2")]));
    let left = [
        "notes.txt",
        "plates/b.dxf",
        "plates/mine.dxf",
        "report.json",
    ];
    assert_eq!(names(dir.path()), left);
    assert!(
        !dir.path().join("paper").exists(),
        "an emptied folder goes too"
    );
}

#[test]
fn a_file_edited_or_protected_since_stays() {
    let dir = temporary();
    let files = [
        ("plates/edited.dxf", "E"),
        ("plates/kept.dxf", "K"),
        ("plates/gone.dxf", "G"),
    ];
    put(dir.path(), Command::Cut, &run(&files));
    fs::write(dir.path().join("plates/edited.dxf"), "edited by hand").expect("writes");
    protect(&dir.path().join("plates/kept.dxf"));
    put(dir.path(), Command::Cut, &run(&[]));
    let left = ["plates/edited.dxf", "plates/kept.dxf", "report.json"];
    assert_eq!(names(dir.path()), left);
}

fn protect(file: &Path) {
    let mut permissions = fs::metadata(file).expect("is there").permissions();
    permissions.set_readonly(true);
    fs::set_permissions(file, permissions).expect("sets");
}

#[test]
fn what_is_not_ours_is_named_and_stays_unless_the_builder_says_so() {
    let dir = temporary();
    let out = dir.path();
    put(
        out,
        Command::Cut,
        &run(&[("plates/a.dxf", "A"), ("plates/p.dxf", "P")]),
    );
    fs::write(out.join("plates/a.dxf"), "by hand").expect("writes");
    fs::write(out.join("report.html"), "by hand").expect("writes");
    protect(&out.join("plates/p.dxf"));
    let before = tree(out);
    let next = run(&[
        ("plates/a.dxf", "A2"),
        ("plates/p.dxf", "P2"),
        ("report.html", "R"),
    ]);
    let said = refused(out, &next);
    for words in [
        "plates/a.dxf` was changed since this program wrote it",
        "plates/p.dxf` is write-protected",
        "report.html` was not written by this program",
        "add --replace to write over them",
    ] {
        assert!(said.contains(words), "{said}");
    }
    assert_eq!(tree(out), before);
    replace(out, &next).expect("writes");
    assert_eq!(tree(out), texts(&next));
}

/// Many are told by a few names and a number.
#[test]
fn many_files_in_the_way_make_a_short_message() {
    let dir = temporary();
    let paths: Vec<String> = (0..20).map(|it| format!("{it:02}.txt")).collect();
    let mut next = Outputs::default();
    for path in &paths {
        fs::write(dir.path().join(path), "mine").expect("writes");
        next.add(path, b"ours".to_vec());
    }
    let said = refused(dir.path(), &next);
    assert!(
        said.contains("00.txt") && said.contains("and 15 more"),
        "{said}"
    );
    assert!(!said.contains("05.txt"), "{said}");
}

/// The very bytes that are to be there are in nobody's way, whoever put them there.
#[test]
fn a_file_that_is_as_it_is_to_be_is_left_alone() {
    let dir = temporary();
    fs::write(dir.path().join("a.txt"), "A").expect("writes");
    protect(&dir.path().join("a.txt"));
    put(dir.path(), Command::Cut, &run(&[("a.txt", "A")]));
}

#[cfg(unix)]
#[test]
fn links_are_not_followed() {
    use std::os::unix::fs::symlink;
    let dir = temporary();
    let (out, elsewhere) = (dir.path().join("out"), dir.path().join("elsewhere"));
    fs::create_dir_all(out.join("plates")).expect("makes");
    fs::create_dir(&elsewhere).expect("makes");
    fs::write(elsewhere.join("a.dxf"), "mine").expect("writes");
    symlink(elsewhere.join("a.dxf"), out.join("plates/a.dxf")).expect("links");
    symlink(&elsewhere, out.join("paper")).expect("links");
    let said = refused(&out, &run(&[("plates/a.dxf", "A")]));
    assert!(said.contains("is a link to another place"), "{said}");
    let said = refused(&out, &run(&[("paper/a.pdf", "A")]));
    assert!(
        said.contains("lies behind a link") && !said.contains("--replace"),
        "{said}"
    );
    replace(&out, &run(&[("paper/a.pdf", "A")])).expect_err("refused all the same");
    replace(&out, &run(&[("plates/a.dxf", "A")])).expect("replaces the link, not the file");
    assert_eq!(
        fs::read_to_string(elsewhere.join("a.dxf")).expect("reads"),
        "mine"
    );
    assert_eq!(names(&elsewhere), ["a.dxf"]);
    symlink(&elsewhere, dir.path().join("linked")).expect("links");
    put(
        &dir.path().join("linked"),
        Command::Draw,
        &outputs(&[("b.dxf", "B")]),
    );
    assert_eq!(
        names(&elsewhere),
        ["a.dxf", "b.dxf"],
        "a folder named as a link is one"
    );
}

#[test]
fn a_list_cannot_reach_out_of_the_folder() {
    let dir = temporary();
    let out = dir.path().join("out");
    put(&out, Command::Cut, &run(&[("a.txt", "A")]));
    fs::write(dir.path().join("precious.txt"), "A").expect("writes");
    let list = out.join(Manifest::path());
    let text = fs::read_to_string(&list).expect("reads");
    assert!(text.contains("\"a.txt\""));
    fs::write(&list, text.replace("a.txt", "../precious.txt")).expect("writes");
    put(&out, Command::Cut, &run(&[]));
    assert!(dir.path().join("precious.txt").exists() && out.join("a.txt").exists());
}

#[test]
fn what_is_handed_on_stays_and_is_never_changed() {
    let dir = temporary();
    let with = |text: &str| {
        let mut files = Outputs::default();
        let path = files.hand_on("remnants/01", "dxf", text.as_bytes().to_vec());
        (with_report(files), path)
    };
    let ((first, one), (second, two)) = (with("disc"), with("strip"));
    assert_ne!(one, two);
    for files in [&first, &second, &first, &run(&[]), &first] {
        put(dir.path(), Command::Cut, files);
    }
    let left = tree(dir.path());
    assert_eq!(
        (left[&one].as_str(), left[&two].as_str()),
        ("disc", "strip")
    );
    assert_eq!(left.len(), 3, "the same content makes no second file");
}

#[test]
fn what_a_run_was_made_from_is_neither_changed_nor_removed() {
    let dir = temporary();
    let out = dir.path();
    put(out, Command::Cut, &run(&[("plates/a.dxf", "A")]));
    let sources = [out.join("plates/../plates/a.dxf")];
    let next = Target {
        sources: &sources,
        replace: true,
        ..target(out, Command::Cut)
    };
    let said = run(&[("plates/a.dxf", "A2")]).write(&next);
    let said = said.expect_err("it is in the way").to_string();
    assert!(
        said.contains("is what this very run was made from"),
        "{said}"
    );
    run(&[("b.txt", "B")]).write(&next).expect("writes");
    assert_eq!(names(out), ["b.txt", "plates/a.dxf", "report.json"]);
}

#[test]
fn commands_keep_their_own_files_and_end_what_no_longer_holds() {
    let dir = temporary();
    let out = dir.path();
    let plate = ("plates/a.dxf", "A");
    put(out, Command::Redrill, &outputs(&[("redrill/t.dxf", "T")]));
    put(
        out,
        Command::Draw,
        &outputs(&[plate, ("plates/other.dxf", "O")]),
    );
    put(out, Command::Cut, &run(&[plate, ("sheets/1.dxf", "S")]));
    let cut = [
        "plates/a.dxf",
        "redrill/t.dxf",
        "report.json",
        "sheets/1.dxf",
    ];
    assert_eq!(names(out), cut, "a cut takes the place of what was drawn");
    put(out, Command::Draw, &outputs(&[plate]));
    assert_eq!(
        names(out),
        cut,
        "the same plate drawn again changes nothing"
    );
    let written = put(out, Command::Draw, &outputs(&[("plates/a.dxf", "A2")]));
    assert_eq!(written.outdated, [Command::Cut]);
    assert_eq!(names(out), ["plates/a.dxf", "redrill/t.dxf"]);
}

#[test]
fn a_file_of_two_runs_stays_as_long_as_one_of_them_has_it() {
    let dir = temporary();
    let out = dir.path();
    put(out, Command::Cut, &run(&[("paper/a.pdf", "A")]));
    let printed = put(out, Command::Paper, &outputs(&[("paper/a.pdf", "other")]));
    assert_eq!(printed, Written::default());
    assert_eq!(tree(out)["paper/a.pdf"], "other");
    put(out, Command::Paper, &outputs(&[("paper/b.pdf", "B")]));
    assert_eq!(names(out), ["paper/a.pdf", "paper/b.pdf", "report.json"]);
    put(out, Command::Cut, &run(&[]));
    assert_eq!(names(out), ["report.json"]);
}

#[test]
fn a_folder_below_a_file_is_a_fault_that_names_it() {
    let dir = temporary();
    let file = dir.path().join("taken");
    fs::write(&file, "a file").expect("writes");
    for folder in [file.clone(), file.join("out")] {
        let said = refused(&folder, &outputs(&[("a.txt", "A")]));
        assert!(said.contains("a file is in the way"), "{said}");
    }
    assert_eq!(fs::read_to_string(&file).expect("reads"), "a file");
}

/// The kernel's own folder takes no files from anybody, not even from the administrator.
#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_may_not_be_written_is_a_fault_that_names_it() {
    for folder in ["/sys/kernel", "/sys/kernel/out"] {
        let said = refused(Path::new(folder), &outputs(&[("a.txt", "A")]));
        assert!(
            said.starts_with("not allowed to write `/sys/kernel/"),
            "{said}"
        );
    }
}

#[test]
fn a_refusal_leaves_no_trace() {
    let dir = temporary();
    fs::write(dir.path().join("a.txt"), "mine").expect("writes");
    refused(dir.path(), &run(&[("a.txt", "A")]));
    let left = fs::read_dir(dir.path()).expect("reads").count();
    assert_eq!(
        left, 1,
        "no hidden folder is left where nothing was written"
    );
}

#[test]
fn names_that_clash_or_lead_outside_are_refused() {
    let dir = temporary();
    for files in [
        [("a.txt", "1"), ("A.txt", "2")],
        [("../b.txt", "1"), ("c.txt", "2")],
    ] {
        let faults = outputs(&files).write(&target(dir.path(), Command::Cut));
        assert_eq!(faults.expect_err("refused").exit_code(), 1);
    }
    assert!(tree(dir.path()).is_empty());
}
