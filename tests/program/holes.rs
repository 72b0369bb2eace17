//! How holes are made, and who decides: the table's rule, the job, the part.

use crate::support::bench::Bench;
use serde_json::Value;

/// Cuts a job on the laser (which cuts small holes) and gives how each opening of its hub plate is made.
fn made(bench: &Bench, job: &str) -> (Vec<(String, String)>, Value) {
    bench.write("job.toml", job);
    let report = bench.json(&["cut", "job.toml", "--json"]);
    let plate = report["plates"][0].clone();
    let openings = plate["openings"].as_array().expect("openings");
    let word = |opening: &Value, key: &str| opening[key].as_str().expect("a word").to_owned();
    let made = openings
        .iter()
        .map(|opening| (word(opening, "name"), word(opening, "made")))
        .collect();
    (made, plate)
}

fn count(made: &[(String, String)], name: &str, how: &str) -> usize {
    made.iter()
        .filter(|(opening, way)| opening.starts_with(name) && way == how)
        .count()
}

const PART: &str = "[[part]]\nrecipe = \"hub-adapter\"\nthickness = \"10 mm\"\n";

#[test]
fn bolt_holes_of_a_hub_plate_are_cut_undersize_unless_the_job_or_the_part_says_otherwise() {
    let bench = Bench::new();
    let job = "[job]\ntable = \"shop-laser\"\n";
    // By rule: cut 1 mm small, drilled to ISO 273 medium for M12, 13.5 mm.
    let (by_rule, plate) = made(&bench, &format!("{job}{PART}"));
    assert_eq!(count(&by_rule, "hub bolt", "undersize"), 4, "{by_rule:?}");
    assert_eq!(count(&by_rule, "centre bore", "cut"), 1, "{by_rule:?}");
    let drill = plate["drill_list"].as_array().expect("a list");
    let hub = drill
        .iter()
        .find(|it| it["opening"] == "hub bolt 1")
        .expect("a drilled hole");
    assert_eq!(hub["drill_mm"], 13.5);
    assert_eq!(hub["pilot_mm"], 12.5);
    // The job wants them cut; the part wants one of them only marked.
    let job = format!("{job}finish = {{ bolt = \"cut\" }}\n");
    let (by_job, _) = made(&bench, &format!("{job}{PART}"));
    assert_eq!(count(&by_job, "hub bolt", "cut"), 4, "{by_job:?}");
    let part = format!("{PART}[part.opening.\"hub bolt 2\"]\nfinish = \"drill\"\n");
    let (by_part, _) = made(&bench, &format!("{job}{part}"));
    assert_eq!(count(&by_part, "hub bolt", "cut"), 3, "{by_part:?}");
    assert_eq!(count(&by_part, "hub bolt 2", "marked"), 1, "{by_part:?}");
}

/// Tapping drill of M10: 8.5 mm (ISO 2306, from memory).
#[test]
fn the_drill_list_has_tap_drills_and_reamers() {
    let bench = Bench::new();
    let part = format!("{PART}hub_hole = \"tapped\"\nhub_bolt = \"M10\"\n");
    let (_, plate) = made(&bench, &format!("[job]\ntable = \"shop-plasma\"\n{part}"));
    let drill = plate["drill_list"].as_array().expect("a list");
    let hub = drill
        .iter()
        .find(|it| {
            it["opening"]
                .as_str()
                .is_some_and(|name| name.starts_with("hub"))
        })
        .expect("a tapped hole");
    assert_eq!(hub["drill_mm"], 8.5, "{hub}");
    assert!(
        hub["tap"]
            .as_str()
            .is_some_and(|tap| tap.starts_with("M10")),
        "{hub}"
    );
}

#[test]
fn a_finish_that_there_is_not_is_told_with_its_place() {
    let bench = Bench::new();
    bench.write(
        "job.toml",
        &format!("[job]\nfinish = {{ bold = \"cut\" }}\n{PART}"),
    );
    let said = bench.refused(&["cut", "job.toml"], 1);
    assert!(said.contains("did you mean `bolt`?"), "{said}");
    bench.write(
        "job.toml",
        &format!("[job]\nfinish = {{ bolt = \"cutt\" }}\n{PART}"),
    );
    let said = bench.refused(&["cut", "job.toml"], 1);
    assert!(said.contains("did you mean \"cut\"?"), "{said}");
}
