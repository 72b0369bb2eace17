//! The commands of the README, run as it gives them: it cannot go stale.

use std::fs;
use std::path::Path;
use std::process::Command;

/// The `platewright` commands in the console blocks of the README, comments left out.
fn commands(readme: &str) -> Vec<String> {
    let mut inside = false;
    let mut found = Vec::new();
    for line in readme.lines() {
        if line.starts_with("```") {
            inside = line == "```console";
        } else if inside && line.starts_with("platewright ") {
            let command = line.split(" #").next().unwrap_or(line).trim();
            found.push(command.to_owned());
        }
    }
    found
}

#[test]
fn every_command_of_the_readme_works_in_an_empty_folder() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let readme = fs::read_to_string(root.join("README.md")).expect("the README");
    let folder = tempfile::tempdir().expect("a temporary folder");
    let jobs = folder.path().join("part-recipes/jobs");
    fs::create_dir_all(&jobs).expect("a folder");
    for entry in fs::read_dir(root.join("part-recipes/jobs"))
        .expect("jobs")
        .flatten()
    {
        fs::copy(entry.path(), jobs.join(entry.file_name())).expect("a copy");
    }
    let commands = commands(&readme);
    assert!(commands.len() >= 8, "{commands:?}");
    for command in commands {
        let program = env!("CARGO_BIN_EXE_platewright");
        let line = command.replacen("platewright", &format!("'{program}'"), 1);
        let output = Command::new("sh")
            .args(["-c", &line])
            .current_dir(folder.path())
            .output()
            .expect("a shell");
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{command}\n{said}");
    }
}

#[test]
fn the_readme_opens_with_the_job_and_names_the_two_commands() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let readme = fs::read_to_string(root.join("README.md")).expect("the README");
    assert!(readme.starts_with("# Platewright\n\nPlatewright takes caliper measurements"));
    assert!(
        readme.contains("cargo run --release --locked -- cut part-recipes/jobs/orchard-cart.toml")
    );
    assert!(readme.contains("cargo test --locked"));
    let ci = fs::read_to_string(root.join(".ci/run")).expect("the CI script");
    assert!(ci.lines().any(|line| line == "cargo test --locked"));
}
