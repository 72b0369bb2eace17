//! Names that lead outside, mean something to a system, or cannot be typed: each ends as a safe file
//! name or as a message.

use std::fs;

use crate::support::bench::Bench;

/// What builders and mischief call their parts.
const NAMES: [&str; 16] = [
    "../outside",
    "..",
    "/etc/passwd",
    "C:\\\\Windows\\\\x",
    "CON",
    "nul.dxf",
    "aux",
    "LPT1",
    "-rf",
    "~",
    "name\\twith\\ttabs",
    "two\\nlines",
    "\\u202Egnp.exe",
    "\u{30cf}\u{30d6}",
    "$(reboot)",
    "Größe ½ \u{1f6e0}",
];

fn is_safe(name: &str) -> bool {
    let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    let devices = ["con", "prn", "aux", "nul", "com1", "lpt1"];
    stem.starts_with(|c: char| c.is_ascii_alphanumeric())
        && stem.len() <= 80
        && stem
            .chars()
            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
        && !devices.contains(&stem)
}

#[test]
fn every_name_becomes_a_safe_file() {
    let bench = Bench::new();
    let long = "long ".repeat(400);
    for name in NAMES.iter().copied().chain([long.as_str()]) {
        let part = format!("recipe = \"flange\"\nname = \"{name}\"\n");
        bench.write("part.toml", &part);
        let folder = bench.path("inner");
        fs::create_dir_all(&folder).expect("a folder");
        bench.done(&["draw", "part.toml", "--out", "inner/out"]);
        let plates = fs::read_dir(bench.path("inner/out/plates")).expect("plates");
        let names = plates.map(|it| {
            it.expect("readable")
                .file_name()
                .to_string_lossy()
                .into_owned()
        });
        let names: Vec<String> = names.collect();
        assert!(
            names.len() >= 2 && names.iter().all(|it| is_safe(it)),
            "{name}: {names:?}"
        );
        // Nothing beside the folder asked for.
        let beside = fs::read_dir(&folder).expect("readable").count();
        assert_eq!(beside, 1, "{name}");
        fs::remove_dir_all(&folder).expect("removes");
    }
}

#[test]
fn parts_of_one_name_keep_apart() {
    let bench = Bench::new();
    let part = |name: &str| format!("[[part]]\nrecipe = \"flange\"\nname = \"{name}\"\n");
    let job = ["Arm", "arm", "ARM!", "../arm"].map(part).concat();
    bench.write(
        "job.toml",
        &format!("[job]\nname = \"names\"\ntable = \"shop-plasma\"\n{job}"),
    );
    bench.done(&["draw", "job.toml", "--out", "out"]);
    let drawings = fs::read_dir(bench.path("out/plates")).expect("plates");
    let drawings = drawings.filter(|it| {
        it.as_ref()
            .is_ok_and(|it| it.path().extension().is_some_and(|it| it == "dxf"))
    });
    assert_eq!(drawings.count(), 4);
}

#[test]
fn drawings_and_remnants_elsewhere_are_read_and_never_written() {
    let bench = Bench::new();
    let remnant = |file: &str| {
        format!(
            "[job]\nname = \"elsewhere\"\ntable = \"shop-plasma\"\n[[stock]]\nmaterial = \"mild steel\"\n\
             thickness = \"8 mm\"\noutline = \"{file}\"\n[[part]]\nrecipe = \"flange\"\n"
        )
    };
    for file in [
        "../../nowhere.dxf",
        "/dev/zero",
        "/proc/self/mem",
        ".",
        "",
        "CON",
        "a\\u0000b",
    ] {
        bench.write("job.toml", &remnant(file));
        let output = bench.run(&["cut", "job.toml", "--out", "out"]);
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(
            matches!(output.status.code(), Some(1 | 3)),
            "{file}: {said}"
        );
        assert!(said.contains("job.toml:"), "{file}: {said}");
        assert!(!bench.path("out").exists(), "{file}");
    }
}
