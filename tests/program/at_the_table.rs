//! A sheet cut with what a table may ask for at the end: its skeleton in pieces, what is left parted; and lines
//! scribed by a tool of the table's own.

use std::fs;

use crate::support::bench::Bench;
use platewright::fault::Source;
use serde_json::Value as Json;

/// The shipped plasma table with more keys, and more lines in its `[program]`.
fn table(bench: &Bench, head: &str, program: &str) {
    let shipped = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/part-recipes/tables/shop-plasma.toml"
    );
    let shipped = fs::read_to_string(shipped).expect("a shipped table");
    let text = format!("{head}\n{shipped}").replace("[program]", &format!("[program]\n{program}"));
    let read = platewright::cut::Table::read(&Source::inline("shed.toml", text.clone()));
    read.unwrap_or_else(|faults| panic!("{faults}"));
    bench.write("shed.toml", &text);
}

const JOB: &str = r#"
[job]
name = "tags"
table = "shed"
web = "6 mm"
margin = "8 mm"

[[stock]]
material = "mild steel"
thickness = "6 mm"
size = ["1000 mm", "600 mm"]

[[part]]
shape = "rectangle"
name = "tag"
width = "120 mm"
height = "80 mm"
thickness = "6 mm"
quantity = 5
"#;

fn cut(bench: &Bench, words: &[&str]) -> Json {
    bench.write("tags.toml", JOB);
    bench.done(&[&["cut", "tags.toml", "--seconds", "0"], words].concat());
    let report = fs::read_to_string(bench.path("out/report.json")).expect("a report");
    serde_json::from_str(&report).expect("JSON")
}

#[test]
fn what_is_left_is_parted_last_and_is_stock_of_the_next_job() {
    for form in ["straight", "outline"] {
        let bench = Bench::new();
        table(&bench, &format!("cut_off = \"{form}\""), "");
        let report = cut(&bench, &["--program"]);
        let sheet = &report["sheets"][0];
        let says = sheet["skeleton"]["says"].as_str().expect("words");
        assert_eq!(says, "The last run parts what is left from it.");
        let runs = sheet["runs"].as_array().expect("runs");
        assert_eq!(
            runs.last().expect("one")["cuts"],
            "parts what is left from the skeleton"
        );
        assert_eq!(sheet["pierces"], runs.len());
        let program = fs::read_to_string(bench.path("out/sheets/01-mild-steel-6mm.nc"));
        let program = program.expect("a program");
        assert!(
            program.contains("(6: parts what is left from the skeleton, SCRAP)"),
            "{program}"
        );
        // The page tells it too.
        let page = fs::read_to_string(bench.path("out/report.html")).expect("a page");
        assert!(page.contains(says));
        // What is left is the sheet less what is short of the cut, and stock as it stands.
        let area = sheet["remnant"]["area_mm2"].as_f64().expect("an area");
        let used = sheet["used_length_mm"].as_f64().expect("a length");
        let straight = (1000.0 - used - 6.0 - 1.8) * 600.0;
        if form == "straight" {
            assert!((area - straight).abs() < 1.0, "{area} {straight}");
        } else {
            assert!(area >= straight - 1.0, "{area} {straight}");
        }
        let file = sheet["remnant"]["file"].as_str().expect("a drawing");
        fs::copy(bench.path("out").join(file), bench.path("left.dxf")).expect("copied");
        let job = JOB.replace("size = [\"1000 mm\", \"600 mm\"]", "outline = \"left.dxf\"");
        bench.write("next.toml", &job);
        let said = bench.done(&["estimate", "next.toml", "--seconds", "0"]);
        assert!(said.contains("tags: 1 sheet"), "{said}");
    }
}

#[test]
fn a_skeleton_that_is_too_heavy_is_cut_up_once_all_plates_are() {
    let bench = Bench::new();
    table(&bench, "lift = \"5 kg\"", "");
    let report = cut(&bench, &["--program"]);
    let sheet = &report["sheets"][0];
    let pieces = sheet["skeleton"]["pieces_kg"].as_array().expect("pieces");
    let masses: Vec<f64> = pieces.iter().filter_map(Json::as_f64).collect();
    assert!(
        masses.len() > 4 && masses.iter().all(|kg| *kg <= 5.0),
        "{masses:?}"
    );
    // The sheet less the plates and their slots: 7850 kg/m3 for mild steel, as the report says.
    let whole = sheet["mass_kg"].as_f64().expect("a mass");
    let plates = 5.0 * 0.1236 * 0.0836 * 0.006 * 7850.0;
    let all: f64 = masses.iter().sum();
    assert!(
        (all - (whole - plates)).abs() < 0.05,
        "{all} {whole} {plates}"
    );
    let says = sheet["skeleton"]["says"].as_str().expect("words");
    assert!(
        says.contains("cut the skeleton into") && says.contains("kg at most."),
        "{says}"
    );
    // After a flame-out there the program goes on with that run.
    bench.done(&[
        "cut",
        "tags.toml",
        "--seconds",
        "0",
        "--program",
        "--from",
        "7",
    ]);
    let program = bench.path("out/sheets/01-mild-steel-6mm-from-7.nc");
    let program = fs::read_to_string(program).expect("a program");
    assert!(
        program.contains("(7: through the skeleton, SCRAP)"),
        "{program}"
    );
    assert!(!program.contains("(6: "), "{program}");
}

#[test]
fn lines_are_scribed_first_where_the_table_has_a_tool_for_them() {
    let bench = Bench::new();
    let tool = "before_scribe = [\"M64 P0\"]\nafter_scribe = [\"M65 P0\"]\nscribe_feed = \"3000 mm/min\"\n\
                declared = [\"M64\", \"M65\"]";
    table(&bench, "", tool);
    cut(&bench, &["--program"]);
    let program = bench.path("out/sheets/01-mild-steel-6mm.nc");
    let program = fs::read_to_string(&program).expect("a program");
    let first = program.find("(1: plate").expect("a run");
    let (scribed, runs) = program.split_at(first);
    let strokes = scribed.matches("(scribe ").count();
    // Three letters and more on each of five plates.
    assert!(strokes >= 15, "{strokes}");
    assert_eq!(
        (
            scribed.matches("M64 P0").count(),
            scribed.matches("M65 P0").count()
        ),
        (strokes, strokes)
    );
    assert!(scribed.contains("F3000") && !runs.contains("M64"));
    assert!(!scribed.contains("M3\n"), "the torch stays off");
    assert!(program.contains("(centre marks are in the drawing only)"));
    // A program that goes on does not scribe again.
    bench.done(&[
        "cut",
        "tags.toml",
        "--seconds",
        "0",
        "--program",
        "--from",
        "2",
    ]);
    let later = fs::read_to_string(bench.path("out/sheets/01-mild-steel-6mm-from-2.nc"));
    assert!(!later.expect("a program").contains("scribe "));
}

/// Six tags of 120 x 80 mm in two columns and three rows: of their 24 edges 7 lie between two, 3 of 80 mm and 4 of 120 mm or, in
/// three columns and two rows, 4 of 80 mm and 3 of 120 mm. What is saved is the more of the two, worked by hand, and the
/// leads and corners that are not needed.
#[test]
fn edges_of_plates_of_one_kind_are_cut_once_where_that_is_asked_for() {
    let bench = Bench::new();
    table(&bench, "", "");
    let job = JOB
        .replace("[[stock]]", "shared_cuts = [\"tag\"]\n\n[[stock]]")
        .replace("quantity = 5", "quantity = 6");
    bench.write("shared.toml", &job);
    let said = bench.done(&["cut", "shared.toml", "--seconds", "0", "--program"]);
    let report = fs::read_to_string(bench.path("out/report.json")).expect("a report");
    let report: Json = serde_json::from_str(&report).expect("JSON");
    let shared = &report["sheets"][0]["shared_cuts"];
    assert_eq!(shared["edges"], 7);
    assert_eq!(shared["pierces_saved"], 5);
    let runs = report["sheets"][0]["runs"].as_array().expect("runs").len();
    assert_eq!(report["sheets"][0]["pierces"], runs - 5);
    let saved = shared["length_saved_mm"].as_f64().expect("a length");
    let all_round = report["plates"][0]["cut_length_mm"].as_f64().expect("mm");
    let cut = report["sheets"][0]["cut_length_mm"].as_f64().expect("mm");
    assert!(
        (6.0 * all_round - saved - cut).abs() < 0.01,
        "{saved} {cut}"
    );
    let (two_columns, three_columns) = (3.0 * 80.0 + 4.0 * 120.0, 4.0 * 80.0 + 3.0 * 120.0);
    let most: f64 = f64::max(two_columns, three_columns);
    // Kerf 1.8 mm: a lead of a quarter of a circle and a way out of some mm each, a few kerfs at corners.
    assert!(saved > most && saved < most + 5.0 * 15.0, "{saved}");
    let says = shared["says"].as_str().expect("words");
    assert!(
        says.starts_with(
            "7 edges are cut once for two plates, so that 5 runs begin in the slot of another"
        ),
        "{says}"
    );
    assert!(said.contains("shared cuts"), "{said}");
    // Plates keep their size: neighbours lie a plate and a kerf apart.
    let placements = report["sheets"][0]["placements"].as_array().expect("some");
    let at = |it: &Json| ["x_mm", "y_mm"].map(|key| it[key].as_f64().expect("mm"));
    let gaps = placements.iter().skip(1).map(|it| {
        let near = placements
            .iter()
            .take_while(|other| *other != it)
            .map(|other| {
                let ([x, y], [u, v]) = (at(it), at(other));
                (x - u).hypot(y - v)
            });
        near.fold(f64::INFINITY, f64::min)
    });
    for gap in gaps {
        let is_beside = [80.0 + 1.8, 120.0 + 1.8].map(|it: f64| (gap - it).abs() < 1e-6);
        assert!(is_beside.contains(&true), "{gap}");
    }
}

#[test]
fn who_asks_for_shared_cuts_in_vain_is_told() {
    let bench = Bench::new();
    table(&bench, "", "");
    let asking = |names: &str, part: &str| {
        JOB.replace(
            "[[stock]]",
            &format!("shared_cuts = [{names}]\n\n[[stock]]"),
        ) + part
    };
    let critical = "[[part]]\nrecipe = \"hub-adapter\"\nname = \"hub\"\n";
    for (job, words) in [
        (asking("\"tagg\"", ""), "this job has no part \"tagg\""),
        (asking("\"hub\"", critical), "hub is safety-critical"),
    ] {
        bench.write("asking.toml", &job);
        let said = bench.refused(&["cut", "asking.toml", "--seconds", "0"], 1);
        assert!(said.contains(words), "{said}");
    }
    // Round corners leave no straight edge from corner to corner.
    let round = asking("\"tag\"", "").replace("height =", "corner = \"5 mm\"\nheight =");
    bench.write("round.toml", &round);
    let said = bench.done(&["cut", "round.toml", "--seconds", "0"]);
    assert!(said.contains("[shared cuts] no edges"), "{said}");
}
