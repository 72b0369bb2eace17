//! The commands of the README, run as it gives them: it cannot go stale.

use std::collections::BTreeSet;
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
    // A friend's drawing, as the README speaks of one.
    let drawing = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n\
                   0\nCIRCLE\n10\n0\n20\n0\n40\n60\n0\nENDSEC\n0\nEOF\n";
    fs::write(folder.path().join("friend.dxf"), drawing).expect("a drawing");
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

/// What a text has in backticks.
fn quoted(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

/// The first cells of the table that follows a head, each with all that is in backticks in it.
fn first_cells<'a>(text: &'a str, head: &str) -> Vec<&'a str> {
    let table = text.split(head).nth(1).expect("the table is there");
    let rows = table.lines().skip(2).take_while(|row| row.starts_with('|'));
    rows.flat_map(|row| quoted(row.split('|').nth(1).unwrap_or_default()))
        .collect()
}

#[test]
fn the_guide_for_contributors_tells_of_the_house_as_it_is() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let guide = fs::read_to_string(root.join("DEVELOPERS.md")).expect("the guide");
    // Every room is in the table, and nothing else is.
    let mut rooms: Vec<String> = fs::read_dir(root.join("src"))
        .expect("the source")
        .flatten()
        .map(|entry| {
            let name = entry.file_name().to_string_lossy().into_owned();
            let end = if entry.path().is_dir() { "/" } else { "" };
            format!("src/{name}{end}")
        })
        .filter(|room| !["src/lib.rs", "src/main.rs"].contains(&room.as_str()))
        .collect();
    let mut told: Vec<&str> = first_cells(&guide, "| room | what it does |");
    rooms.sort();
    told.sort_unstable();
    assert_eq!(told, rooms);
    // Every file it names is there.
    for words in quoted(&guide) {
        let path = words.split(' ').next().unwrap_or_default();
        let is_path = ["src/", "tests/", "benches/", "part-recipes/", ".ci/"]
            .iter()
            .any(|start| path.starts_with(start));
        assert!(!is_path || root.join(path).exists(), "{path}");
    }
}

#[test]
fn the_guide_for_contributors_names_every_dependency_and_bench() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let guide = fs::read_to_string(root.join("DEVELOPERS.md")).expect("the guide");
    let manifest = fs::read_to_string(root.join("Cargo.toml")).expect("the manifest");
    let manifest: toml::Table = manifest.parse().expect("a manifest");
    // Those for one kind of system stand under `target`.
    let systems = manifest.get("target").and_then(toml::Value::as_table);
    let systems = systems.into_iter().flat_map(toml::Table::values);
    let systems = systems.filter_map(toml::Value::as_table);
    let mut needed: Vec<&str> = systems
        .chain([&manifest])
        .flat_map(|it| ["dependencies", "dev-dependencies"].map(|kind| it.get(kind)))
        .filter_map(|table| table?.as_table())
        .flat_map(|table| table.keys().map(String::as_str))
        .collect();
    let mut told = first_cells(&guide, "| crate | for |");
    needed.sort_unstable();
    told.sort_unstable();
    assert_eq!(told, needed);
    let benches = manifest["bench"].as_array().expect("the benches");
    let benches: Vec<&str> = benches
        .iter()
        .filter_map(|bench| bench.get("name")?.as_str())
        .collect();
    let commands = quoted(&guide).filter_map(|words| words.strip_prefix("cargo bench --bench "));
    let mut told: Vec<&str> = commands
        .filter_map(|words| words.split(' ').next())
        .collect();
    told.sort_unstable();
    told.dedup();
    let mut benches = benches;
    benches.sort_unstable();
    assert_eq!(told, benches);
}

#[test]
fn the_readme_has_a_row_for_each_family() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let readme = fs::read_to_string(root.join("README.md")).expect("the README");
    let rows = readme.lines().filter_map(|line| line.strip_prefix("| `"));
    let told: BTreeSet<&str> = rows
        .filter_map(|row| row.split_once("` |"))
        .map(|(name, _)| name)
        .filter(|name| !name.contains(['.', '/']))
        .collect();
    let families = fs::read_dir(root.join("part-recipes/families")).expect("families");
    let families: Vec<String> = families
        .map(|entry| entry.expect("a file").path())
        .map(|path| {
            path.file_stem()
                .expect("a name")
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    assert_eq!(told, families.iter().map(String::as_str).collect());
}
