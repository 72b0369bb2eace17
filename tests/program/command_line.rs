//! The commands as a builder runs them: what comes out, what is said when something is wrong, and the
//! exit code. Common practice, no source, but for the figures that name one.

use std::fs;
use std::path::{Path, PathBuf};

use crate::support::bench::Bench;
use serde_json::Value;

fn says(said: &str, wanted: &[&str]) {
    for words in wanted {
        assert!(said.contains(words), "no \"{words}\" in:\n{said}");
    }
}

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/jobs/orchard-cart.toml")
}

fn files_below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).expect("a folder").flatten() {
            let path = entry.path();
            if path.is_dir() {
                folders.push(path);
            } else {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

#[test]
fn the_demo_job_fills_the_folder() {
    let bench = Bench::new();
    let demo = demo();
    let demo = demo.to_str().expect("a plain path");
    let said = bench.done(&["cut", demo, "--out", "a"]);
    says(
        &said,
        &[
            "sheets",
            "use",
            "mass",
            "pierces",
            "cut length",
            "time",
            "caution, steering",
        ],
    );
    let report = fs::read_to_string(bench.path("a/report.json")).expect("report.json");
    let report: Value = serde_json::from_str(&report).expect("JSON");
    let plates = report["plates"].as_array().expect("plates");
    assert!(plates.len() >= 9);
    let job = fs::read_to_string(demo).expect("the demo job");
    let job: toml::Table = job.parse().expect("TOML");
    let parts = job["part"].as_array().expect("parts");
    assert!(parts.len() >= 6);
    for part in parts {
        assert!(
            plates
                .iter()
                .any(|plate| plate["recipe"].as_str() == part["recipe"].as_str()),
            "{part}"
        );
    }
    for plate in plates {
        let file = bench
            .path("a")
            .join(plate["file"].as_str().expect("a file"));
        assert!(
            file.is_file() && file.with_extension("svg").is_file(),
            "{}",
            file.display()
        );
    }
    for sheet in report["sheets"].as_array().expect("sheets") {
        let file = bench
            .path("a")
            .join(sheet["file"].as_str().expect("a file"));
        assert!(
            file.is_file() && file.with_extension("svg").is_file(),
            "{}",
            file.display()
        );
    }
    let asked: u64 = plates
        .iter()
        .filter_map(|plate| plate["quantity"].as_u64())
        .sum();
    let placed: usize = report["sheets"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|sheet| sheet["placements"].as_array())
        .map(Vec::len)
        .sum();
    assert_eq!(placed as u64, asked);
}

#[test]
fn an_evening_from_an_empty_folder() {
    let bench = Bench::new();
    says(
        &bench.done(&["recipes"]),
        &[
            "wheels and hubs\n   flange ",
            "steering-wheel",
            "to measure and set out\n",
        ],
    );
    let found = bench.done(&["recipes", "chain"]);
    says(&found, &["drive\n   chain-guard ", "\n   chain-wheel "]);
    assert!(!found.contains("hub-adapter"), "{found}");
    says(
        &bench.refused(&["recipes", "flanje"], 1),
        &["did you mean \"flange\"?"],
    );
    says(
        &bench.done(&["recipes", "hub-adapter"]),
        &["wheel_circle", "⠀"],
    );
    bench.done(&["start", "hub-adapter"]);
    let sketch = fs::read_to_string(bench.path("hub-adapter.svg")).expect("the labelled sketch");
    says(&sketch, &["wheel_circle ⌀4-1/2 in", "clocking 45°"]);
    let file = fs::read_to_string(bench.path("hub-adapter.toml")).expect("the part file");
    let line = file
        .lines()
        .find(|line| line.starts_with("# wheel_circle = "));
    let line = line.expect("every dimension is in the part file");
    let changed = file.replace(line, "wheel_circle = \"120 mm\"");
    bench.write("hub-adapter.toml", &changed);
    bench.done(&["draw", "hub-adapter.toml"]);
    assert!(bench.path("out/plates/hub-adapter.svg").is_file());
    bench.done(&["cut", "hub-adapter.toml"]);
    let report = fs::read_to_string(bench.path("out/report.json")).expect("report.json");
    let report: Value = serde_json::from_str(&report).expect("JSON");
    let holes = report["plates"][0]["openings"]
        .as_array()
        .expect("openings");
    let wheel: Vec<f64> = holes
        .iter()
        .filter(|hole| {
            hole["name"]
                .as_str()
                .is_some_and(|name| name.starts_with("wheel"))
        })
        .map(|hole| {
            let at = |axis: &str| hole[axis].as_f64().expect("a place");
            2.0 * at("x_mm").hypot(at("y_mm"))
        })
        .collect();
    assert!(!wheel.is_empty());
    assert!(
        wheel.iter().all(|circle| (circle - 120.0).abs() < 1e-5),
        "{wheel:?}"
    );
    // Starting again does not write over the edited file.
    says(
        &bench.refused(&["start", "hub-adapter"], 3),
        &["is there already", "--replace"],
    );
}

#[test]
fn a_labelled_sketch_is_of_the_kind_that_its_name_ends_in() {
    let bench = Bench::new();
    for (name, begins) in [
        ("hub.svg", &b"<svg"[..]),
        ("hub.PDF", b"%PDF-"),
        ("hub.png", b"\x89PNG"),
    ] {
        bench.done(&[
            "recipes",
            "hub-adapter",
            "--sketch",
            name,
            "--set",
            "outside=190mm",
        ]);
        let bytes = fs::read(bench.path(name)).expect("the sketch");
        assert!(bytes.starts_with(begins), "{name}");
    }
    let drawn = fs::read_to_string(bench.path("hub.svg")).expect("the sketch");
    says(&drawn, &["outside ⌀190 mm"]);
    says(
        &bench.refused(&["recipes", "hub-adapter", "--sketch", "hub.svg"], 3),
        &["is there already", "--replace"],
    );
    says(
        &bench.refused(&["recipes", "hub-adapter", "--sketch", "hub.gif"], 2),
        &["ends in .svg, .pdf or .png"],
    );
    // A value that the recipe refuses writes nothing.
    let narrow = [
        "recipes",
        "hub-adapter",
        "--sketch",
        "no.svg",
        "--set",
        "outside=90mm",
    ];
    bench.refused(&narrow, 1);
    assert!(!bench.path("no.svg").exists());
}

#[test]
fn an_estimate_writes_nothing() {
    let bench = Bench::new();
    let demo = demo();
    let estimate = bench.json(&["estimate", demo.to_str().expect("a plain path"), "--json"]);
    assert!(estimate["totals"]["sheets"].as_u64() >= Some(1));
    assert_eq!(files_below(&bench.path("")), Vec::<PathBuf>::new());
}

#[test]
fn a_sum_is_answered_in_mm_and_inch() {
    let bench = Bench::new();
    assert_eq!(
        bench.done(&["reckon", "4-1/2 in"]).trim(),
        "114.3 mm (4.500 in)"
    );
    // ISO 273, medium: 11 mm for M10.
    let clearance = bench.json(&["reckon", "--json", "clearance(\"M10\", \"medium\")"]);
    assert_eq!(clearance["value_mm"], 11.0);
    assert_eq!(bench.json(&["reckon", "--json", "2 + 3"])["value"], 5.0);
    assert_eq!(
        bench.json(&["reckon", "--json", "asin(0.5)"])["value_deg"]
            .as_f64()
            .map(f64::round),
        Some(30.0)
    );
    let area = bench.json(&["reckon", "--json", "2 cm * 3 mm"]);
    assert_eq!(
        (area["value"].as_f64(), area["unit"].as_str()),
        (Some(60.0), Some("mm2"))
    );
    let said = bench.refused(&["reckon", "12 mm + 30 deg"], 1);
    says(&said, &["length", "angle", "^"]);
    says(
        &bench.refused(&["reckon", "clearence(\"M10\")"], 1),
        &["clearance"],
    );
}

#[test]
fn an_unknown_recipe_gets_the_near_one() {
    let bench = Bench::new();
    bench.write("a.toml", "recipe = \"hub-adaptor\"\n");
    let said = bench.refused(&["cut", "a.toml"], 1);
    says(
        &said,
        &["a.toml:1:10", "hub-adaptor", "did you mean \"hub-adapter\""],
    );
    nothing_written(&bench);
}

#[test]
fn an_unknown_key_gets_the_near_one() {
    let bench = Bench::new();
    bench.write(
        "a.toml",
        "recipe = \"hub-adapter\"\nwheel_cirlce = \"120 mm\"\n",
    );
    says(
        &bench.refused(&["cut", "a.toml"], 1),
        &["a.toml:2:1", "did you mean `wheel_circle`"],
    );
    nothing_written(&bench);
}

#[test]
fn a_missing_unit_is_told_how_to_be_written() {
    let bench = Bench::new();
    bench.write("a.toml", "recipe = \"hub-adapter\"\noutside = \"180\"\n");
    says(
        &bench.refused(&["cut", "a.toml"], 1),
        &["a.toml:2:", "outside", "180 mm"],
    );
    nothing_written(&bench);
}

#[test]
fn an_angle_where_a_length_belongs_is_refused() {
    let bench = Bench::new();
    bench.write("a.toml", "recipe = \"hub-adapter\"\noutside = \"30 deg\"\n");
    says(
        &bench.refused(&["cut", "a.toml"], 1),
        &["a.toml:2:", "outside", "angle", "length"],
    );
    nothing_written(&bench);
}

#[test]
fn a_value_out_of_range_tells_the_range() {
    let bench = Bench::new();
    bench.write("a.toml", "recipe = \"hub-adapter\"\nthickness = \"2 m\"\n");
    let said = bench.refused(&["cut", "a.toml"], 1);
    says(
        &said,
        &["a.toml:2:", "thickness", "2000 mm", "write", " to "],
    );
    nothing_written(&bench);
}

/// A recipe of the builder's own, without rules that would speak first.
const OWN: &str = "title = \"Strap\"\n\
    [dimension.thickness]\nsays = \"thickness\"\ndefault = \"6 mm\"\n\
    [dimension.apart]\nsays = \"from bolt to bolt\"\ndefault = \"40 mm\"\n\
    [[plate]]\n\
    [[plate.step]]\nadd = \"rectangle\"\nwidth = \"100 mm\"\nheight = \"40 mm\"\n\
    [[plate.step]]\ncut = \"disc\"\nname = \"bolt\"\npurpose = \"bolt\"\ndiameter = \"14 mm\"\n\
    along = { count = 2, step = [\"apart\", \"0 mm\"], centred = true }\n";

#[test]
fn bolts_that_overlap_are_named() {
    let bench = Bench::new();
    bench.write("strap.toml", OWN);
    bench.write("a.toml", "recipe = \"strap\"\napart = \"8 mm\"\n");
    let said = bench.refused(&["cut", "a.toml"], 1);
    says(
        &said,
        &["bolts 1 and 2 overlap", "6 mm (0.236 in)", "strap.toml:13"],
    );
    nothing_written(&bench);
}

#[test]
fn a_hole_outside_the_plate_is_named() {
    let bench = Bench::new();
    bench.write("strap.toml", OWN);
    bench.write("a.toml", "recipe = \"strap\"\napart = \"160 mm\"\n");
    says(
        &bench.refused(&["cut", "a.toml"], 1),
        &[
            "bolts 1 and 2 lie outside the plate",
            "outside",
            "strap.toml:",
        ],
    );
    bench.write("a.toml", "recipe = \"strap\"\napart = \"95 mm\"\n");
    says(
        &bench.refused(&["cut", "a.toml"], 1),
        &["bolts 1 and 2 break through", "strap.toml:"],
    );
    nothing_written(&bench);
}

#[test]
fn a_part_larger_than_the_sheet_is_refused() {
    let bench = Bench::new();
    bench.write(
        "a.toml",
        "[[stock]]\nthickness = \"8 mm\"\nsize = [\"100 mm\", \"100 mm\"]\n\
         [[part]]\nrecipe = \"flange\"\nthickness = \"8 mm\"\n",
    );
    let said = bench.refused(&["cut", "a.toml"], 1);
    says(&said, &["a.toml:5:", "flange", "140 mm", "larger sheet"]);
    nothing_written(&bench);
}

#[test]
fn stock_of_another_thickness_is_no_stock() {
    let bench = Bench::new();
    bench.write(
        "a.toml",
        "[[stock]]\nthickness = \"3 mm\"\nsize = [\"500 mm\", \"500 mm\"]\n\
         [[part]]\nrecipe = \"flange\"\nthickness = \"8 mm\"\n",
    );
    says(
        &bench.refused(&["cut", "a.toml"], 1),
        &["no stock of mild steel 8 mm", "[[stock]]"],
    );
}

#[test]
fn copies_that_run_out_of_stock_are_listed() {
    let bench = Bench::new();
    bench.write(
        "a.toml",
        "[[stock]]\nthickness = \"8 mm\"\nsize = [\"400 mm\", \"200 mm\"]\nquantity = 1\n\
         [[part]]\nrecipe = \"flange\"\nthickness = \"8 mm\"\nquantity = 5\n",
    );
    let output = bench.run(&["cut", "a.toml", "--json"]);
    assert_eq!(output.status.code(), Some(1));
    let report: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(report["unplaced"][0]["plate"], "flange");
    assert_eq!(report["unplaced"][0]["copies"], 3);
}

#[test]
fn a_file_that_cannot_be_read_is_a_file_fault() {
    let bench = Bench::new();
    says(
        &bench.refused(&["cut", "nowhere.toml"], 3),
        &["nowhere.toml", "check the name"],
    );
    fs::write(bench.path("b.toml"), [0xff, 0xfe, 0x00]).expect("a file");
    says(
        &bench.refused(&["cut", "b.toml"], 3),
        &["b.toml", "not a text file"],
    );
}

#[test]
fn a_folder_that_cannot_be_written_is_a_file_fault_and_harms_nothing() {
    let bench = Bench::new();
    bench.write("a.toml", "recipe = \"flange\"\n");
    bench.write("taken", "not a folder");
    let said = bench.refused(&["cut", "a.toml", "--out", "taken"], 3);
    says(&said, &["taken"]);
    assert_eq!(
        fs::read_to_string(bench.path("taken")).ok().as_deref(),
        Some("not a folder")
    );
    bench.refused(&["cut", "a.toml", "--out", "taken/below"], 3);
    assert_eq!(files_below(&bench.path("")).len(), 2);
}

#[test]
fn wrong_usage_is_code_2_and_help_is_0() {
    let bench = Bench::new();
    says(&bench.refused(&["cutt"], 2), &["cut"]);
    bench.refused(&["cut"], 2);
    bench.refused(&["cut", "a.toml", "--seconds", "never"], 2);
    says(&bench.done(&["--help"]), &["recipes", "estimate"]);
    says(&bench.done(&["completions", "bash"]), &["platewright"]);
    says(
        &bench.done(&["man"]),
        &[".TH", "EXIT", "estimate"].map(|it| if it == "EXIT" { "Exit codes" } else { it }),
    );
}

#[test]
fn with_json_a_fault_is_one_object_too() {
    let bench = Bench::new();
    bench.write("a.toml", "recipe = \"flange\"\noutside = \"3 mm\"\n");
    let output = bench.run(&["cut", "a.toml", "--json"]);
    assert_eq!(output.status.code(), Some(1));
    let object: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(object["errors"][0]["place"]["line"], 2);
    assert!(
        object["errors"][0]["remedy"]
            .as_str()
            .is_some_and(|it| !it.is_empty())
    );
}

#[test]
fn a_relaxed_check_is_only_noted_and_a_mistyped_one_is_named() {
    let bench = Bench::new();
    // Holes of 13.5 mm on 67.7 mm leave 7 mm to a bore of 40.2 mm, and 1.5 thicknesses are 9 mm.
    let job = |relax: &str| {
        format!(
            "[job]\nrelax = [{relax}]\n[[part]]\nrecipe = \"flange\"\nthickness = \"6 mm\"\nbolt = \"M12\"\n\
             bolt_count = 4\nbolt_circle = \"67.7 mm\"\n"
        )
    };
    bench.write("a.toml", &job("\"thin webb\""));
    says(
        &bench.refused(&["check", "a.toml"], 1),
        &["a.toml:2:", "did you mean \"thin web\""],
    );
    for (relax, level) in [("", "warn"), ("\"thin web\"", "note")] {
        bench.write("a.toml", &job(relax));
        let plates = bench.json(&["check", "a.toml", "--json"]);
        let findings = plates["plates"][0]["findings"]
            .as_array()
            .expect("findings");
        let web = findings
            .iter()
            .find(|it| it["check"] == "thin web")
            .expect("a thin web");
        assert_eq!(web["level"], level);
        let message = web["message"].as_str().expect("words");
        assert_eq!(
            message.contains("relaxed by the job"),
            level == "note",
            "{message}"
        );
    }
}

fn nothing_written(bench: &Bench) {
    assert!(!bench.path("out").exists(), "something was written");
}

#[test]
fn an_estimate_tells_how_many_fit() {
    let bench = Bench::new();
    // Flanges of 140 mm with kerf, leads, webs and margins, on a sheet that holds three by two of them.
    bench.write(
        "job.toml",
        "[job]\nname = \"flanges\"\n\
         [[stock]]\nthickness = \"8 mm\"\nsize = [\"500 mm\", \"360 mm\"]\n\
         [[part]]\nrecipe = \"flange\"\nname = \"gear side\"\nthickness = \"8 mm\"\noutside = \"140 mm\"\n",
    );
    let told = bench.object(&["estimate", "job.toml", "--as-many-as-fit"], 0);
    let fill = &told["fills"][0];
    assert_eq!(told["sets"], 6, "{told}");
    assert_eq!(fill["set"][0]["in_all"], 6);
    assert!(fill["most_by_area"].as_u64() >= Some(6), "{told}");
    let area = std::f64::consts::FRAC_PI_4 * 140.0 * 140.0 * 6.0;
    let most = 100.0 * area / (500.0 * 360.0);
    let used = fill["use_percent"].as_f64().expect("a number");
    assert!(used < most && used > 0.6 * most, "{used} of {most}");
    let said = bench.done(&["estimate", "job.toml", "--as-many-as-fit"]);
    says(
        &said,
        &["6 of gear-side", "1 × sheet 500 × 360 mm", "by area alone"],
    );
    // A set of several plates is whole or not counted, and on nothing it is refused.
    bench.write(
        "small.toml",
        "[job]\nname = \"flanges\"\n\
         [[stock]]\nthickness = \"8 mm\"\nsize = [\"130 mm\", \"130 mm\"]\n\
         [[part]]\nrecipe = \"flange\"\nthickness = \"8 mm\"\noutside = \"140 mm\"\n",
    );
    let none = bench.object(&["estimate", "small.toml", "--as-many-as-fit"], 1);
    assert_eq!(none["sets"], 0);
}

/// A laser job of three parts, with `tabs` as it is written.
fn laser_job(tabs: &str) -> String {
    let parts = ["flange", "pedal-bracket", "hub-adapter"];
    let parts = parts.map(|recipe| format!("[[part]]\nrecipe = \"{recipe}\"\n"));
    format!("[job]\ntable = \"shop-laser\"\n{tabs}\n{}", parts.concat())
}

#[test]
fn holding_tabs_are_asked_for_by_the_job_and_told_in_every_file() {
    let bench = Bench::new();
    bench.write("plain.toml", &laser_job(""));
    bench.write("without.toml", &laser_job("tabs = false"));
    bench.write(
        "tied.toml",
        &laser_job("tabs = { width = \"0.8 mm\", count = 3 }"),
    );
    for job in ["plain", "without", "tied"] {
        bench.done(&["cut", &format!("{job}.toml"), "--out", job, "--program"]);
    }
    let report = |job: &str| -> Value {
        let path = bench.path(job).join("report.json");
        serde_json::from_str(&fs::read_to_string(path).expect("report.json")).expect("JSON")
    };
    // Nothing of them anywhere unless they are asked for.
    let (plain, without) = (bench.path("plain"), bench.path("without"));
    for path in files_below(&plain) {
        let other = without.join(path.strip_prefix(&plain).expect("below"));
        let text = fs::read(&path).expect("a file");
        let name = path.display();
        if path
            .extension()
            .is_some_and(|it| it == "dxf" || it == "nc" || it == "svg")
        {
            assert_eq!(Some(text), fs::read(other).ok(), "{name}");
        }
    }
    let (before, after) = (report("plain"), report("tied"));
    let pierces = |report: &Value| report["totals"]["pierces"].as_u64().expect("pierces");
    // Three runs for each outside instead of one.
    let plates = before["plates"].as_array().expect("plates").iter();
    let copies: u64 = plates.filter_map(|it| it["quantity"].as_u64()).sum();
    assert!(copies >= 3);
    assert_eq!(pierces(&after), pierces(&before) + copies * 2);
    let number = |report: &Value, of: &str| report["totals"][of].as_f64().expect("a number");
    assert!(number(&after, "time_s") > number(&before, "time_s"));
    assert!(number(&after, "cost") > number(&before, "cost"));
    for plate in before["plates"].as_array().expect("plates") {
        assert!(plate.get("holding_tabs").is_none());
    }
    for plate in after["plates"].as_array().expect("plates") {
        let tabs = plate["holding_tabs"].as_array().expect("tabs");
        assert_eq!(tabs.len(), 3);
        assert!(tabs.iter().all(|tab| tab["width_mm"] == 0.8));
        let findings = plate["findings"].as_array().expect("findings");
        assert!(findings.iter().any(|it| it["check"] == "holding tabs"));
    }
    for sheet in after["sheets"].as_array().expect("sheets") {
        let drawing = bench
            .path("tied")
            .join(sheet["file"].as_str().expect("a file"));
        let program = fs::read_to_string(drawing.with_extension("nc")).expect("a program");
        let starts = program.lines().filter(|line| *line == "M3").count() as u64;
        assert_eq!(Some(starts), sheet["pierces"].as_u64());
        assert_eq!(program.matches("up to a holding tab").count() % 3, 0);
        let picture = fs::read_to_string(drawing.with_extension("svg")).expect("a picture");
        assert!(!picture.is_empty());
    }
}

#[test]
fn tabs_that_cannot_be_are_refused_at_their_place() {
    let bench = Bench::new();
    for (tabs, place, words) in [
        ("tabs = true", "3:8", "says nothing of holding tabs"),
        ("tabs = {}", "3:8", "holding tabs have no `width`"),
        ("tabs = { width = \"40 mm\" }", "3:18", "from 0.1 mm"),
        (
            "tabs = { width = \"1 mm\", count = 25 }",
            "3:34",
            "no more than 24 tabs",
        ),
        (
            "tabs = { width = \"1 mm\", apart = \"2 mm\" }",
            "3:34",
            "from 20 mm",
        ),
        ("tabs = { wide = \"1 mm\" }", "3:10", "unknown key `wide`"),
        ("tabs = { width = \"0.1 mm\" }", "3:8", "burn away"),
        (
            "tabs = { width = \"1 mm\", smallest = \"90 mm\", largest = \"80 mm\" }",
            "3:8",
            "`smallest` is more than `largest`",
        ),
    ] {
        bench.write("job.toml", &laser_job(tabs));
        let said = bench.refused(&["cut", "job.toml", "--out", "out"], 1);
        says(&said, &[words, &format!("job.toml:{place}")]);
    }
}

#[test]
fn the_count_and_its_bound_count_the_same_and_rows_of_discs_fit() {
    let bench = Bench::new();
    // Discs of some 110 mm with what they keep free: 25 rows of eleven and ten by turns, set half a disc aside,
    // make 263; 22 square rows of eleven hold 242 (by hand).
    let flange = "recipe = \"flange\"\nthickness = \"6 mm\"\noutside = \"100 mm\"\n\
                  bolt_circle = \"64 mm\"\n";
    bench.write("one.toml", flange);
    let told = bench.object(&["estimate", "one.toml", "--as-many-as-fit"], 0);
    assert!(told["sets"].as_u64() >= Some(255), "{told}");
    bench.write("four.toml", &format!("{flange}quantity = 4\n"));
    let said = bench.done(&["estimate", "four.toml", "--as-many-as-fit"]);
    let number = |before: &str, after: &str| -> u32 {
        let from = said.find(before).expect(before) + before.len();
        let rest = &said[from..];
        let to = rest.find(after).expect(after);
        rest[..to].trim().parse().expect("a number")
    };
    let (count, bound) = (
        number(":\n  ", " of flange"),
        number("no more than ", " could fit"),
    );
    assert!(count <= bound && count >= 248, "{said}");
    says(&said, &["of flange (the job asks for 4)"]);
    let told = bench.object(&["estimate", "four.toml", "--as-many-as-fit"], 0);
    let fill = &told["fills"][0];
    assert_eq!(fill["counts"], "plates");
    assert_eq!(
        told["sets"].as_u64(),
        fill["count"].as_u64().map(|it| it / 4),
        "{told}"
    );
    // A lot that does not fit whole is counted all the same.
    bench.write("lot.toml", &format!("{flange}quantity = 400\n"));
    let told = bench.object(&["estimate", "lot.toml", "--as-many-as-fit"], 0);
    assert_eq!(told["sets"], 0);
    assert!(told["fills"][0]["count"].as_u64() >= Some(248), "{told}");
}
