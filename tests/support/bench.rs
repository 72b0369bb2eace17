//! A folder of its own for one test, and the program run in it.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;
use tempfile::TempDir;

/// A folder of its own for one test.
pub struct Bench(TempDir);

impl Bench {
    pub fn new() -> Self {
        Self(tempfile::tempdir().expect("a temporary folder"))
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    pub fn write(&self, name: &str, text: &str) -> PathBuf {
        let path = self.path(name);
        fs::write(&path, text).expect("a file in a temporary folder");
        path
    }

    pub fn run(&self, words: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_platewright"))
            .args(words)
            .current_dir(self.0.path())
            .env("NO_COLOR", "1")
            .env_remove("COLUMNS")
            .output()
            .expect("the program runs")
    }

    /// What a command prints on a terminal of so many letters a line.
    #[allow(dead_code, reason = "not every test program asks for it")]
    pub fn on_width(&self, words: &[&str], columns: usize) -> String {
        let output = Command::new(env!("CARGO_BIN_EXE_platewright"))
            .args(words)
            .current_dir(self.0.path())
            .env("NO_COLOR", "1")
            .env("COLUMNS", columns.to_string())
            .output()
            .expect("the program runs");
        String::from_utf8_lossy(&output.stdout).into_owned()
    }

    /// What a command prints, whatever its code.
    pub fn text(&self, words: &[&str]) -> String {
        let output = self.run(words);
        String::from_utf8_lossy(&output.stdout).into_owned()
    }

    /// Runs a command that must fail with a code, and gives what it says.
    pub fn refused(&self, words: &[&str], code: i32) -> String {
        let output = self.run(words);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(code), "{words:?}\n{said}");
        said
    }

    /// Runs a command that must succeed, and gives its result.
    pub fn done(&self, words: &[&str]) -> String {
        let output = self.run(words);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(0), "{words:?}\n{said}");
        String::from_utf8_lossy(&output.stdout).into_owned()
    }

    /// The one JSON object of a command that ends with a code.
    pub fn object(&self, words: &[&str], code: i32) -> Value {
        let output = self.run(&[words, &["--json"]].concat());
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(code), "{words:?}\n{said}");
        serde_json::from_slice(&output.stdout).expect("one JSON object")
    }

    pub fn json(&self, words: &[&str]) -> Value {
        serde_json::from_str(&self.done(words)).expect("one JSON object")
    }
}

/// Files by their path, with their bytes.
pub type Tree = BTreeMap<String, Vec<u8>>;

/// Every file below a folder but what the program keeps there for itself.
pub fn tree(folder: &Path) -> Tree {
    let mut found = Tree::new();
    let mut open = vec![folder.to_owned()];
    while let Some(dir) = open.pop() {
        for entry in fs::read_dir(&dir).into_iter().flatten().flatten() {
            let path = entry.path();
            let name = path.strip_prefix(folder).expect("below");
            let name = name.to_string_lossy().into_owned();
            if name.starts_with(".platewright") {
                continue;
            }
            if path.is_dir() {
                open.push(path);
            } else {
                found.insert(name, fs::read(&path).expect("readable"));
            }
        }
    }
    found
}
