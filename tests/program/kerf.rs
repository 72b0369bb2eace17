//! `measure kerf` as a builder runs it: from caliper readings into a settings file.

use std::fs;

use crate::support::bench::Bench;
use platewright::cut::Table;
use platewright::fault::Source;

fn settings(text: &str, thickness: f64) -> platewright::cut::CutSettings {
    let table =
        Table::read(&Source::inline("table", text)).unwrap_or_else(|faults| panic!("{faults}"));
    table.settings("mild steel", thickness).expect("settings")
}

/// The shipped plasma table cuts 6 mm with 1.8 mm; the piece is 70 mm, its inner square 30, its slot 10.
const READINGS: [&str; 8] = [
    "measure", "kerf", "--outer", "69.8mm", "--inner", "30.2mm", "--slot", "10.2mm",
];

#[test]
fn readings_of_the_plain_piece_make_a_kerf() {
    let bench = Bench::new();
    let object = bench.json(&[&READINGS[..], &["--json"]].concat());
    let number = |key: &str| object[key].as_f64().expect("a number");
    assert!((number("kerf_mm") - 2.0).abs() < 1e-9, "{object}");
    assert!((number("within_mm") - 0.05).abs() < 1e-9);
    assert!((number("cut_with_mm") - 1.8).abs() < 1e-9);
    // Net lines: the whole kerf shows. Outside 2 mm small, in inches.
    let net = bench.json(&[
        "measure",
        "kerf",
        "--outer",
        "2.677in",
        "--cut-with",
        "0mm",
        "--json",
    ]);
    let kerf = net["kerf_mm"].as_f64().expect("a number");
    assert!((kerf - (70.0 - 2.677 * 25.4)).abs() < 1e-9, "{net}");
}

#[test]
fn the_kerf_goes_into_a_settings_file_and_nothing_else_changes() {
    let bench = Bench::new();
    bench.done(&[&READINGS[..], &["--write", "shop-plasma.toml"]].concat());
    let written = fs::read_to_string(bench.path("shop-plasma.toml")).expect("a file");
    let shipped = include_str!("../../part-recipes/tables/shop-plasma.toml");
    assert_eq!(settings(&written, 6.0).kerf, 2.0);
    let changed: Vec<(&str, &str)> = shipped
        .lines()
        .zip(written.lines())
        .filter(|(a, b)| a != b)
        .collect();
    assert_eq!(changed.len(), 1, "{changed:?}");
    assert_eq!(changed[0].0, "kerf = \"1.8 mm\"");
    assert!(changed[0].1.starts_with("kerf = \"2 mm\""), "{changed:?}");
    assert!(
        changed[0]
            .1
            .ends_with("# measured on a test piece, within 0.05 mm")
    );
    assert_eq!(shipped.lines().count(), written.lines().count());
    // The file is the table from now on: the same readings now say 2.2.
    let again = bench.json(&[&READINGS[..], &["--json", "--write", "shop-plasma.toml"]].concat());
    assert!((again["kerf_mm"].as_f64().expect("a number") - 2.2).abs() < 1e-9);
    let written = fs::read_to_string(bench.path("shop-plasma.toml")).expect("a file");
    assert_eq!(settings(&written, 6.0).kerf, 2.2);
    assert_eq!(written.matches("measured on a test piece").count(), 1);
}

#[test]
fn a_thickness_between_two_rows_gets_a_row_of_its_own() {
    let bench = Bench::new();
    bench.write(
        "piece.toml",
        "recipe = \"kerf-test\"\nthickness = \"7 mm\"\n",
    );
    let shipped = include_str!("../../part-recipes/tables/shop-plasma.toml");
    let before = settings(shipped, 7.0);
    bench.done(&[
        "measure",
        "kerf",
        "piece.toml",
        "--slot",
        "10.6mm",
        "--write",
        "own.toml",
    ]);
    let written = fs::read_to_string(bench.path("own.toml")).expect("a file");
    assert!(
        written.starts_with(shipped.trim_end()),
        "the rest stays as it was"
    );
    let after = settings(&written, 7.0);
    // The slot of 7 mm plate is 10.5 mm wide.
    assert!(
        (after.kerf - (before.kerf + 0.1)).abs() < 0.006,
        "{}",
        after.kerf
    );
    let same = platewright::cut::CutSettings {
        kerf: before.kerf,
        ..after.clone()
    };
    assert!((same.feed - before.feed).abs() < 0.02);
    for (a, b) in [
        (same.pierce_time, before.pierce_time),
        (same.pierce_clearance, before.pierce_clearance),
        (same.lead_length, before.lead_length),
        (same.smallest_hole, before.smallest_hole),
        (same.undersize, before.undersize),
        (same.small_hole_feed, before.small_hole_feed),
    ] {
        assert!((a - b).abs() < 0.006, "{a} and {b}");
    }
    assert_eq!(same.current, before.current);
    assert_eq!(settings(&written, 6.0).kerf, settings(shipped, 6.0).kerf);
}

#[test]
fn slips_are_told_and_nothing_is_written() {
    let bench = Bench::new();
    let said = bench.refused(&["measure", "kerf"], 2);
    assert!(said.contains("--outer, --inner and --slot"), "{said}");
    let wild = ["measure", "kerf", "--outer", "2.75mm", "--write", "t.toml"];
    let said = bench.refused(&wild, 1);
    assert!(said.contains("which no torch has"), "{said}");
    assert!(!bench.path("t.toml").exists());
    bench.write("flange.toml", "recipe = \"flange\"\n");
    let said = bench.refused(&["measure", "kerf", "flange.toml", "--outer", "70mm"], 1);
    assert!(said.contains("platewright start kerf-test"), "{said}");
    bench.write("broken.toml", "title = \"no table\"\n");
    let broken = [&READINGS[..], &["--write", "broken.toml"]].concat();
    bench.refused(&broken, 1);
    let kept = fs::read_to_string(bench.path("broken.toml")).expect("a file");
    assert_eq!(kept, "title = \"no table\"\n");
    // Features that disagree are blamed on more than the caliper.
    let apart = ["measure", "kerf", "--outer", "69.6mm", "--inner", "30.1mm"];
    let said = bench.refused(&apart, 1);
    assert!(said.contains("the readings disagree"), "{said}");
    let rough = [&apart[..], &["--within", "0.15mm"]].concat();
    bench.done(&rough);
}
