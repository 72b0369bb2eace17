//! Re-drilling, measuring and the worked examples of handbooks, through the commands a builder types.

use std::process::{Command, Output};

use serde_json::Value;
use tempfile::TempDir;

struct Bench(TempDir);

impl Bench {
    fn new() -> Self {
        Self(tempfile::tempdir().expect("a temporary folder"))
    }

    fn run(&self, words: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_platewright"))
            .args(words)
            .current_dir(self.0.path())
            .env("NO_COLOR", "1")
            .output()
            .expect("the program runs")
    }

    /// The one JSON object of a command that ends with a code.
    fn json(&self, words: &[&str], code: i32) -> Value {
        let output = self.run(&[words, &["--json"]].concat());
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(code), "{words:?}\n{said}");
        serde_json::from_slice(&output.stdout).expect("one JSON object")
    }

    fn text(&self, words: &[&str]) -> String {
        let output = self.run(words);
        String::from_utf8_lossy(&output.stdout).into_owned()
    }
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn assert_near(found: f64, expected: f64, within: f64, what: &str) {
    assert!(
        (found - expected).abs() <= within,
        "{what}: {found}, expected {expected}"
    );
}

const TYPED: [&str; 9] = [
    "redrill",
    "--outside",
    "190mm",
    "--bore",
    "60mm",
    "--has",
    "4 x 100 mm, M10",
    "--new",
    "5 x 150 mm, M12",
];

#[test]
fn a_typed_plate_is_clocked_judged_and_gets_its_template() {
    let bench = Bench::new();
    let told = bench.json(&TYPED, 0);
    // Half of 360 / lcm(4, 5), and the distance of two points at 50 and 75 mm by the cosine rule.
    let apart = (50.0_f64.powi(2) + 75.0_f64.powi(2) - 7500.0 * 9_f64.to_radians().cos()).sqrt();
    assert_near(number(&told["best"]["clocking_deg"]), 9.0, 1e-9, "clocking");
    let web = apart - (11.0 + 13.5) / 2.0;
    assert_near(
        number(&told["best"]["turning_web_mm"]),
        web,
        1e-9,
        "web between holes",
    );
    assert!(told["second"]["clocking_deg"].is_number());
    assert!(
        told["rules"]
            .as_array()
            .expect("rules")
            .iter()
            .all(|rule| rule["met"] == true || rule["must"] == false)
    );
    let path = bench.0.path().join("out/redrill/template.dxf");
    let file = dxf::Drawing::load_file(path).expect("a DXF");
    let marks = file
        .entities()
        .filter(|it| it.common.layer == "CENTRE_MARK")
        .count();
    assert_eq!(marks, 5);
    assert!(bench.0.path().join("out/redrill/web.svg").exists());
}

#[test]
fn a_recipe_and_its_own_drawing_are_clocked_alike() {
    let bench = Bench::new();
    bench.text(&["start", "hub-adapter"]);
    bench.text(&["draw", "hub-adapter.toml"]);
    let new = ["--new", "3 x 120 mm, M8"];
    // Whether it is enough is another matter: a drawing does not tell the bolts.
    let from = |plate: &str| -> Value {
        let output = bench.run(&[&["redrill", plate, "--json"], &new[..]].concat());
        serde_json::from_slice(&output.stdout).expect("one JSON object")
    };
    let (recipe, part, drawing) = (
        from("hub-adapter"),
        from("hub-adapter.toml"),
        from("out/plates/hub-adapter.dxf"),
    );
    for other in [&part, &drawing] {
        for key in ["clocking_deg", "web_mm"] {
            assert_near(
                number(&other["best"][key]),
                number(&recipe["best"][key]),
                1e-6,
                key,
            );
        }
    }
}

#[test]
fn a_pattern_that_cannot_be_gets_remedies_and_cautions() {
    let bench = Bench::new();
    let words = [
        "redrill",
        "--outside",
        "150mm",
        "--bore",
        "60mm",
        "--has",
        "6 x 108 mm, M14",
        "--new",
        "5 on 4-1/2 in, M14",
    ];
    let told = bench.json(&words, 1);
    let remedies = told["remedies"].to_string();
    assert!(
        remedies.contains("two stacked plates") && remedies.contains("156.3 mm"),
        "{remedies}"
    );
    let text = bench.text(&words);
    for words in [
        "BROKEN",
        "caution, wheel adapters",
        "what would make it work",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    let output = bench.run(&["redrill", "--new", "5 x 100 mm, M10"]);
    assert_eq!(output.status.code(), Some(2));
}

#[test]
fn readings_lead_to_patterns() {
    let bench = Bench::new();
    let told = bench.json(&["measure", "chord", "67.2mm", "--studs", "5"], 0);
    assert_near(number(&told["circle_mm"]), 114.33, 0.01, "circle");
    assert_eq!(told["patterns"][0]["pattern"], "5x114.3");
    assert_eq!(told["patterns"][0]["inch_twin"], "4-1/2 in");
    assert_eq!(told["patterns"][0]["fits"], true);
    let near = bench.json(&["measure", "chord", "76.4mm", "--studs", "4"], 0);
    assert_eq!(near["patterns"][0]["pattern"], "4x108");
    assert_eq!(near["patterns"][0]["near_miss"]["name"], "4-1/4 in");
    // The trade's 2-5/8 in between neighbours of a five-stud 4-1/2 in pattern is 0.02 in short of the
    // exact 2.645 in (looked up: a trailer maker's page on measuring bolt centres, undated).
    let trade = bench.json(
        &[
            "measure", "chord", "2-5/8 in", "--studs", "5", "--within", "1/32 in",
        ],
        0,
    );
    assert!(
        trade["patterns"]
            .as_array()
            .expect("patterns")
            .iter()
            .any(|it| it["pattern"] == "5x114.3" && it["fits"] == true)
    );
}
