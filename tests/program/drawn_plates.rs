//! Plates that are drawn elsewhere are cut like those of recipes.
//!
//! The drawings are written by the `dxf` library from the registry; places and areas are worked out by hand.

use std::f64::consts::PI;

use dxf::entities::{Circle, Entity, EntityType, LwPolyline};
use dxf::enums::{AcadVersion, Units};
use dxf::{Drawing, LwPolylineVertex, Point};

use crate::support::bench::Bench;

/// A lug of 80 × 40 mm with two holes of 8.4 mm and a bore of 16 mm, and a washer of 50 mm beside it, in a
/// unit.
fn drawing(bench: &Bench, name: &str, unit: Units) {
    let mm = match unit {
        Units::Inches => 1.0 / 25.4,
        _ => 1.0,
    };
    scaled(bench, name, unit, mm);
}

/// The same in numbers of which one is so many to the millimetre.
fn scaled(bench: &Bench, name: &str, unit: Units, mm: f64) {
    let mut drawing = Drawing::new();
    drawing.header.version = AcadVersion::R2000;
    drawing.header.default_drawing_units = unit;
    let mut add = |layer: &str, specific: EntityType| {
        let mut entity = Entity::new(specific);
        layer.clone_into(&mut entity.common.layer);
        drawing.add_entity(entity);
    };
    let corner = |(x, y): &(f64, f64)| LwPolylineVertex {
        x: x * mm,
        y: y * mm,
        ..LwPolylineVertex::default()
    };
    let corners = [(0.0, 0.0), (80.0, 0.0), (80.0, 40.0), (0.0, 40.0)];
    let mut lug = LwPolyline {
        vertices: corners.iter().map(corner).collect(),
        ..LwPolyline::default()
    };
    lug.set_is_closed(true);
    add("lug", EntityType::LwPolyline(lug));
    let mut disc = |layer: &str, x: f64, y: f64, diameter: f64| {
        let centre = Point::new(x * mm, y * mm, 0.0);
        let circle = Circle::new(centre, diameter / 2.0 * mm);
        add(layer, EntityType::Circle(circle));
    };
    disc("lug", 15.0, 20.0, 8.4);
    disc("lug", 65.0, 20.0, 8.4);
    disc("lug", 40.0, 20.0, 16.0);
    disc("washer", 130.0, 20.0, 50.0);
    disc("washer", 130.0, 20.0, 12.0);
    drawing.save_file(bench.path(name)).expect("it is written");
}

const THICK: [&str; 2] = ["--thickness", "6 mm"];

fn with<'a>(words: &[&'a str]) -> Vec<&'a str> {
    [words, &THICK].concat()
}

#[test]
fn a_drawing_is_cut_piece_by_piece() {
    let bench = Bench::new();
    drawing(&bench, "lug.dxf", Units::Millimeters);
    drawing(&bench, "inch.dxf", Units::Inches);
    for file in ["lug.dxf", "inch.dxf"] {
        let stem = file.trim_end_matches(".dxf");
        let out = format!("cut-{stem}");
        let words = with(&[
            "cut",
            file,
            "--quantity",
            "3",
            "--material",
            "5052",
            "--seconds",
            "0",
        ]);
        let report = bench.object(&[words, vec!["--out", &out]].concat(), 0);
        let plates = report["plates"].as_array().expect("plates");
        assert_eq!(plates.len(), 2);
        let lug = 80.0 * 40.0 - PI * (2.0 * 4.2 * 4.2 + 64.0);
        let washer = PI * (625.0 - 36.0);
        for (plate, area) in plates.iter().zip([lug, washer]) {
            let net = plate["net_area_mm2"].as_f64().expect("an area");
            assert!((net - area).abs() < 0.01, "{net} {area}");
            assert_eq!(plate["quantity"], 3);
            assert_eq!(plate["material"], "aluminium 5052");
        }
        let names = |at: usize| -> Vec<(String, String)> {
            let openings = plates[at]["openings"].as_array().expect("openings");
            let word = |it: &serde_json::Value, key: &str| it[key].as_str().expect(key).to_owned();
            openings
                .iter()
                .map(|it| (word(it, "name"), word(it, "purpose")))
                .collect()
        };
        let mut of_lug = names(0);
        of_lug.sort();
        let of = |name: &str, purpose: &str| (name.to_owned(), purpose.to_owned());
        assert_eq!(
            of_lug,
            [
                of("16 mm hole", "bore"),
                of("8.4 mm hole 1", "bolt"),
                of("8.4 mm hole 2", "bolt")
            ]
        );
        assert_eq!(names(1), [of("12 mm hole", "bore")]);
        for name in ["1", "2"] {
            let net = bench.path(&out).join(format!("plates/{stem}-{name}.dxf"));
            assert!(net.exists(), "{}", net.display());
        }
    }
}

#[test]
fn every_command_on_parts_takes_a_drawing() {
    let bench = Bench::new();
    drawing(&bench, "lug.dxf", Units::Millimeters);
    let one = ["--layer", "LUG"];
    for command in ["draw", "check", "estimate", "paper"] {
        let said = bench.done(&[with(&[command, "lug.dxf"]), one.to_vec()].concat());
        assert!(!said.contains("lug-2"), "{command}: {said}");
    }
    assert!(bench.path("out/plates/lug.dxf").exists());
    // What it will carry nobody knows.
    let said = bench.done(&with(&["check", "lug.dxf"]));
    assert!(said.contains("caution, safety-critical"), "{said}");
}

#[test]
fn a_drawing_without_a_unit_is_asked_for_it() {
    let bench = Bench::new();
    drawing(&bench, "silent.dxf", Units::Unitless);
    let said = bench.refused(&with(&["check", "silent.dxf"]), 1);
    for words in [
        "it does not say what unit it is in: in millimetres it is 155 × 50 mm, in inches 3937 × 1270 mm",
        "--unit",
    ] {
        assert!(said.contains(words), "{said}");
    }
    bench.done(&[with(&["check", "silent.dxf"]), vec!["--unit", "mm"]].concat());
    let part = |more: &str| {
        bench.write(
            "part.toml",
            &format!("drawing = \"silent.dxf\"\nthickness = \"6 mm\"\n{more}"),
        );
        bench.run(&["check", "part.toml"])
    };
    let said = |output: std::process::Output| String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(part("known = { width = \"155 mm\" }").status.success());
    assert!(part("known = { width = \"6.1 in\" }").status.success());
    let inches = part("unit = \"in\"\nknown = { width = \"155 mm\", height = \"50 mm\" }");
    let inches = said(inches);
    assert!(
        inches.contains("in inches it is 3937 × 1270 mm"),
        "{inches}"
    );
    assert!(inches.contains("write unit = \"mm\""), "{inches}");
    let neither = said(part("known = { height = \"60 mm\" }"));
    assert!(
        neither.contains("not as large as it is known to be"),
        "{neither}"
    );
    // Who says otherwise than the file is believed, and the file's word told.
    scaled(&bench, "wrong.dxf", Units::Inches, 1.0);
    let words = [with(&["check", "wrong.dxf"]), vec!["--unit", "mm"]].concat();
    let said = bench.done(&words);
    assert!(
        said.contains(
            "names inches as its unit and is taken in millimetres: it is 155 × 50 mm large"
        ),
        "{said}"
    );
}

#[test]
fn openings_of_a_drawing_are_for_what_the_part_says() {
    let bench = Bench::new();
    drawing(&bench, "lug.dxf", Units::Millimeters);
    let job = "[job]\nname = \"lugs\"\n\
               [[part]]\ndrawing = \"lug.dxf\"\nlayer = \"lug\"\nname = \"lug\"\nquantity = 4\n\
               thickness = \"6 mm\"\n\
               [part.opening.\"8.4 mm hole\"]\npurpose = \"bolt\"\nthread = \"M8\"\n\
               [part.opening.\"8.4 mm hole 2\"]\nfinish = \"drill\"\n\
               [[part]]\nrecipe = \"flange\"\nthickness = \"6 mm\"\n";
    bench.write("job.toml", job);
    let report = bench.object(&["cut", "job.toml", "--seconds", "0"], 0);
    let lug = &report["plates"][0];
    assert_eq!(lug["name"], "lug");
    assert_eq!(lug["quantity"], 4);
    let drilled = lug["drill_list"].as_array().expect("a list");
    assert!(
        drilled.iter().any(|it| it["opening"] == "8.4 mm hole 2"),
        "{lug}"
    );
    bench.write("job.toml", &job.replace("8.4 mm hole\"", "8.5 mm hole\""));
    let said = bench.refused(&["check", "job.toml"], 1);
    assert!(said.contains("did you mean \"8.4 mm hole\"?"), "{said}");
    // A recipe says itself what its openings are for.
    let bore = "[[part]]\nrecipe = \"flange\"\nthickness = \"6 mm\"\n[part.opening.bore]\nfinish = \"cut\"\npurpose = \"pin\"\n";
    bench.write("job.toml", bore);
    let said = bench.refused(&["check", "job.toml"], 1);
    assert!(said.contains("purpose"), "{said}");
    // A run never takes the place of the drawing that it is made from.
    let words = with(&[
        "cut",
        "out/plates/lug.dxf",
        "--out",
        "out",
        "--seconds",
        "0",
    ]);
    bench.run(&words);
    assert!(bench.path("out/plates/lug.dxf").exists());
}

#[test]
fn options_of_drawings_and_of_parts_are_told_apart() {
    let bench = Bench::new();
    drawing(&bench, "lug.dxf", Units::Millimeters);
    bench.done(&["start", "flange"]);
    for (words, expected) in [
        (vec!["check", "lug.dxf"], "add --thickness \"6 mm\""),
        (
            with(&["check", "lug.dxf", "--set", "bore=5mm"]),
            "a drawing has no dimensions to --set",
        ),
        (
            with(&["check", "flange.toml"]),
            "--thickness is for a drawing",
        ),
    ] {
        let said = bench.refused(&words, 2);
        assert!(said.contains(expected), "{said}");
    }
    let said = bench.refused(&with(&["check", "gone.dxf"]), 3);
    assert!(said.contains("there is no file gone.dxf"), "{said}");
}
