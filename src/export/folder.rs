//! Putting a run's files in place, all together or not at all.
//!
//! In: file names and bytes ([`Outputs`]) and a folder. Out: the files in it. Guaranteed: no file is
//! ever half written under its final name; if anything fails, the folder is as it was; files that
//! somebody else put there stay. Files of an earlier run that this run no longer makes are removed,
//! but only if its `report.json` lists them and they are unchanged since. The report is taken away
//! first and put back last, so that a folder with a report holds the whole run that it lists, even if
//! the program is killed in between.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Component, Path};

use serde::{Deserialize, Serialize};

use super::staging::{self, Staging, Swap, fault};
use crate::fault::{Fault, Outcome};

/// The file that lists the files of a run.
pub const REPORT: &str = "report.json";

/// A run's files, not yet written.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Outputs {
    files: Vec<Output>,
}

#[derive(Debug, Clone, PartialEq)]
struct Output {
    path: String,
    bytes: Vec<u8>,
    /// Their checksum.
    fnv1a: String,
}

/// A file as `report.json` lists it under `files`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Listed {
    /// Path in the output folder, with `/` between folders.
    pub path: String,
    /// 64-bit FNV-1a checksum of its bytes, in hexadecimal.
    pub fnv1a: String,
}

impl Outputs {
    /// Adds a file. `path` is relative to the output folder, with `/` between folders.
    pub fn add(&mut self, path: impl Into<String>, bytes: Vec<u8>) {
        let path = path.into();
        self.files.push(Output {
            fnv1a: fnv1a(&bytes),
            path,
            bytes,
        });
    }

    /// Adds all files of another run, in their order.
    pub fn append(&mut self, other: Self) {
        self.files.extend(other.files);
    }

    /// How the files so far are to be listed in `report.json`, in the order added.
    #[must_use]
    pub fn listing(&self) -> Vec<Listed> {
        self.files
            .iter()
            .map(|file| Listed {
                path: file.path.clone(),
                fnv1a: file.fnv1a.clone(),
            })
            .collect()
    }

    /// Writes everything into a folder, which is made if need be, and removes what an earlier run
    /// left there that this one no longer makes.
    pub fn write(&self, folder: &Path) -> Outcome<()> {
        self.put_in(folder, &self.stale(folder))
    }

    fn put_in(&self, folder: &Path, stale: &[String]) -> Outcome<()> {
        self.check_names()?;
        fs::create_dir_all(folder).map_err(|error| fault(folder, &error))?;
        staging::clean_up(folder);
        let staged = Staging::new(folder)?;
        for (index, file) in self.files.iter().enumerate() {
            staged.add(index, &file.path, &file.bytes)?;
        }
        let mut swap = Swap::new(folder, &staged);
        match self.swap_in(&mut swap, stale) {
            Ok(()) => Ok(()),
            Err(failure) => {
                swap.undo();
                Err(failure.into())
            }
        }
    }

    /// Refuses names that lead out of the folder and names used twice.
    fn check_names(&self) -> Outcome<()> {
        let mut seen = BTreeSet::new();
        for file in &self.files {
            if !stays_inside(&file.path) {
                let message = format!("`{}` is not a file name inside the folder", file.path);
                return Err(Fault::refused(message)
                    .remedy("name parts with letters, digits and hyphens")
                    .into());
            }
            if !seen.insert(file.path.to_lowercase()) {
                let message = format!("two files would be called `{}`", file.path);
                return Err(Fault::refused(message)
                    .remedy("give each part a `name` of its own")
                    .into());
            }
        }
        Ok(())
    }

    fn swap_in(&self, swap: &mut Swap, stale: &[String]) -> Result<(), Fault> {
        if self.files.iter().any(|file| file.path == REPORT) {
            swap.withdraw(REPORT)?;
        }
        for (index, file) in self.files.iter().enumerate() {
            swap.put(&file.path, index)?;
        }
        for path in stale {
            swap.remove(path)?;
        }
        for path in stale {
            swap.remove_if_empty(path);
        }
        Ok(())
    }

    /// Files of an earlier run that this run no longer makes.
    fn stale(&self, folder: &Path) -> Vec<String> {
        if !self.files.iter().any(|file| file.path == REPORT) {
            return Vec::new();
        }
        let kept: BTreeSet<&str> = self.files.iter().map(|file| file.path.as_str()).collect();
        earlier_listing(folder)
            .into_iter()
            .filter(|listed| !kept.contains(listed.path.as_str()) && stays_inside(&listed.path))
            .filter(|listed| {
                fs::read(folder.join(&listed.path)).is_ok_and(|bytes| fnv1a(&bytes) == listed.fnv1a)
            })
            .map(|listed| listed.path)
            .collect()
    }
}

/// Writes one file so that it is either whole under its name or not there at all.
pub fn write_file(path: &Path, bytes: Vec<u8>) -> Outcome<()> {
    let Some(name) = path.file_name().and_then(|name| name.to_str()) else {
        let message = format!("`{}` is not a file name", path.display());
        return Err(Fault::file(message)
            .remedy("give the name of a file to write")
            .into());
    };
    let folder = match path.parent() {
        Some(parent) if parent != Path::new("") => parent,
        _ => Path::new("."),
    };
    let mut outputs = Outputs::default();
    outputs.add(name, bytes);
    outputs.put_in(folder, &[])
}

/// The files that the report in a folder lists, none if there is no report of ours.
fn earlier_listing(folder: &Path) -> Vec<Listed> {
    #[derive(Deserialize)]
    struct Report {
        files: Vec<Listed>,
    }
    fs::read(folder.join(REPORT))
        .ok()
        .and_then(|bytes| serde_json::from_slice::<Report>(&bytes).ok())
        .map_or_else(Vec::new, |report| report.files)
}

/// Whether a path names something below the folder it is relative to.
fn stays_inside(path: &str) -> bool {
    !path.is_empty()
        && Path::new(path)
            .components()
            .all(|part| matches!(part, Component::Normal(_)))
}

/// 64-bit FNV-1a (Fowler, Noll and Vo): enough to see that a file was edited.
fn fnv1a(bytes: &[u8]) -> String {
    let hash = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("{hash:016x}")
}

#[cfg(test)]
mod tests {
    use tempfile::TempDir;

    use super::*;

    fn outputs(files: &[(&str, &str)]) -> Outputs {
        let mut outputs = Outputs::default();
        for (path, text) in files {
            outputs.add(*path, text.as_bytes().to_vec());
        }
        outputs
    }

    /// The files with the report that lists them.
    fn run(files: &[(&str, &str)]) -> Outputs {
        let mut outputs = outputs(files);
        let report = serde_json::json!({ "schema": 1, "files": outputs.listing() });
        outputs.add(REPORT, report.to_string().into_bytes());
        outputs
    }

    /// Every file below a folder with its text, in order.
    fn tree(folder: &Path) -> Vec<(String, String)> {
        let mut found = Vec::new();
        let mut open = vec![folder.to_owned()];
        while let Some(dir) = open.pop() {
            for entry in fs::read_dir(&dir).expect("readable") {
                let path = entry.expect("readable").path();
                if path.is_dir() {
                    open.push(path);
                } else {
                    let name = path.strip_prefix(folder).expect("below").to_string_lossy();
                    let text = fs::read_to_string(&path).expect("text");
                    found.push((name.replace('\\', "/"), text));
                }
            }
        }
        found.sort();
        found
    }

    fn names(folder: &Path) -> Vec<String> {
        tree(folder).into_iter().map(|(name, _)| name).collect()
    }

    fn temporary() -> TempDir {
        TempDir::new().expect("a temporary folder")
    }

    #[test]
    fn the_checksum_is_the_published_one() {
        // Test vectors of draft-eastlake-fnv: the empty text, "a" and "foobar".
        assert_eq!(fnv1a(b""), "cbf29ce484222325");
        assert_eq!(fnv1a(b"a"), "af63dc4c8601ec8c");
        assert_eq!(fnv1a(b"foobar"), "85944171f73967e8");
    }

    #[test]
    fn everything_arrives_and_nothing_else() {
        let dir = temporary();
        let out = dir.path().join("new/out");
        outputs(&[("a.txt", "A"), ("plates/b.dxf", "B")])
            .write(&out)
            .expect("writes");
        assert_eq!(
            tree(&out),
            [
                ("a.txt".to_owned(), "A".to_owned()),
                ("plates/b.dxf".to_owned(), "B".to_owned())
            ]
        );
    }

    #[test]
    fn a_second_run_leaves_the_same_bytes() {
        let dir = temporary();
        let files = [("a.txt", "A"), ("plates/b.dxf", "B")];
        run(&files).write(dir.path()).expect("writes");
        let first = tree(dir.path());
        run(&files).write(dir.path()).expect("writes again");
        assert_eq!(tree(dir.path()), first);
    }

    #[test]
    fn files_no_longer_made_go_and_foreign_files_stay() {
        let dir = temporary();
        run(&[
            ("plates/old.dxf", "OLD"),
            ("paper/old.pdf", "P"),
            ("plates/b.dxf", "B"),
        ])
        .write(dir.path())
        .expect("writes");
        fs::write(dir.path().join("notes.txt"), "mine").expect("writes");
        fs::write(dir.path().join("plates/mine.dxf"), "mine").expect("writes");
        run(&[("plates/b.dxf", "B2")])
            .write(dir.path())
            .expect("writes");
        assert_eq!(
            names(dir.path()),
            [
                "notes.txt",
                "plates/b.dxf",
                "plates/mine.dxf",
                "report.json"
            ]
        );
        assert!(
            !dir.path().join("paper").exists(),
            "an emptied folder goes too"
        );
    }

    #[test]
    fn a_file_edited_since_stays() {
        let dir = temporary();
        run(&[("plates/old.dxf", "OLD")])
            .write(dir.path())
            .expect("writes");
        fs::write(dir.path().join("plates/old.dxf"), "edited by hand").expect("writes");
        run(&[]).write(dir.path()).expect("writes");
        assert_eq!(names(dir.path()), ["plates/old.dxf", "report.json"]);
    }

    #[test]
    fn a_listing_cannot_reach_out_of_the_folder() {
        let dir = temporary();
        let out = dir.path().join("out");
        fs::create_dir(&out).expect("makes");
        fs::write(dir.path().join("precious.txt"), "keep").expect("writes");
        let forged = serde_json::json!({ "files": [
            { "path": "../precious.txt", "fnv1a": fnv1a(b"keep") }
        ]});
        fs::write(out.join(REPORT), forged.to_string()).expect("writes");
        run(&[]).write(&out).expect("writes");
        assert!(dir.path().join("precious.txt").exists());
    }

    #[test]
    fn a_failure_half_way_leaves_the_folder_as_it_was() {
        let dir = temporary();
        run(&[("a.txt", "A"), ("plates/b.dxf", "B")])
            .write(dir.path())
            .expect("writes");
        // A folder where a file is to go: the last of the three cannot be put in place.
        fs::create_dir(dir.path().join("c.txt")).expect("makes");
        fs::write(dir.path().join("c.txt/mine"), "mine").expect("writes");
        let before = tree(dir.path());
        let faults = run(&[("a.txt", "A2"), ("sheets/new.dxf", "N"), ("c.txt", "C")])
            .write(dir.path())
            .expect_err("a folder is in the way");
        assert_eq!(faults.exit_code(), 3);
        assert!(faults.to_string().contains("is a folder"));
        assert_eq!(tree(dir.path()), before);
        assert!(!dir.path().join("sheets").exists());
    }

    #[test]
    fn a_folder_below_a_file_is_a_fault_that_names_it() {
        let dir = temporary();
        let file = dir.path().join("taken");
        fs::write(&file, "a file").expect("writes");
        for folder in [file.clone(), file.join("out")] {
            let faults = outputs(&[("a.txt", "A")])
                .write(&folder)
                .expect_err("a file is in the way");
            assert_eq!(faults.exit_code(), 3);
            assert!(
                faults.to_string().contains("a file is in the way"),
                "{faults}"
            );
        }
        assert_eq!(fs::read_to_string(&file).expect("reads"), "a file");
    }

    #[cfg(unix)]
    #[test]
    fn a_folder_that_may_not_be_written_is_a_fault_that_names_it() {
        use std::os::unix::fs::PermissionsExt;
        let dir = temporary();
        fs::set_permissions(dir.path(), fs::Permissions::from_mode(0o555)).expect("sets");
        if fs::write(dir.path().join("probe"), "").is_ok() {
            // The administrator may write anywhere; nothing to see then.
            return;
        }
        let faults = outputs(&[("a.txt", "A")])
            .write(dir.path())
            .expect_err("read-only");
        assert!(faults.to_string().starts_with("not allowed to write"));
        assert_eq!(faults.exit_code(), 3);
    }

    #[test]
    fn names_that_clash_or_lead_outside_are_refused() {
        let dir = temporary();
        for files in [
            [("a.txt", "1"), ("A.txt", "2")],
            [("../b.txt", "1"), ("c.txt", "2")],
        ] {
            let faults = outputs(&files).write(dir.path()).expect_err("refused");
            assert_eq!(faults.exit_code(), 1);
        }
        assert!(tree(dir.path()).is_empty());
    }

    #[test]
    fn one_file_is_written_whole() {
        let dir = temporary();
        let path = dir.path().join("plate.svg");
        write_file(&path, b"<svg/>".to_vec()).expect("writes");
        assert_eq!(names(dir.path()), ["plate.svg"]);
        run(&[("a.txt", "A")]).write(dir.path()).expect("writes");
        write_file(&dir.path().join(REPORT), b"{}".to_vec()).expect("writes");
        assert_eq!(names(dir.path()), ["a.txt", "plate.svg", "report.json"]);
        assert_eq!(
            write_file(Path::new("/"), Vec::new())
                .expect_err("no name")
                .exit_code(),
            3
        );
    }
}
