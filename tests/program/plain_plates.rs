//! A plain plate is a shape and its holes. Areas are worked out by hand.

use std::f64::consts::PI;

use crate::support::bench::Bench;

const PLATE: &str = "shape = \"rectangle\"\nwidth = \"80 mm\"\nheight = \"40 mm\"\ncorner = \"5 mm\"\n\
    thickness = \"6 mm\"\nholes = [\n\
    { diameter = \"8.4 mm\", at = [\"10 mm\", \"20 mm\"], along = { count = 2, step = [\"60 mm\", \"0 mm\"] } },\n\
    { cut = \"slot\", travel = \"10 mm\", width = \"8.4 mm\", at = [\"40 mm\", \"20 mm\"], purpose = \"slot\" },\n]\n";

#[test]
fn a_plain_plate_is_cut_like_any_other() {
    let bench = Bench::new();
    bench.write("lug.toml", PLATE);
    let report = bench.object(&["cut", "lug.toml", "--seconds", "0"], 0);
    let plate = &report["plates"][0];
    assert_eq!(plate["name"], "rectangle");
    // The rectangle less what its corners lose, two holes and a slot with round ends.
    let hole = PI * 4.2 * 4.2;
    let area = 80.0 * 40.0 - (4.0 - PI) * 25.0 - 2.0 * hole - (hole + 10.0 * 8.4);
    let net = plate["net_area_mm2"].as_f64().expect("a number");
    assert!((net - area).abs() < 1e-3, "{net} {area}");
    let names = plate["openings"].as_array().expect("a list").iter();
    let names: Vec<&str> = names.filter_map(|it| it["name"].as_str()).collect();
    assert_eq!(names, ["bolt hole 1", "slot", "bolt hole 2"], "{plate}");
}

#[test]
fn a_plain_plate_is_a_part_of_a_job_and_told_what_is_wrong() {
    let bench = Bench::new();
    let job = "[[part]]\nshape = \"disc\"\ndiameter = \"60 mm\"\nthickness = \"6 mm\"\nname = \"washer\"\nquantity = 3\n\
        holes = [{ diameter = \"20 mm\", purpose = \"bore\" }, { diameter = \"6.6 mm\", thread = \"M6\", \
        around = { count = 3, circle = \"40 mm\" } }]\n";
    bench.write("job.toml", job);
    let report = bench.object(&["estimate", "job.toml", "--seconds", "0"], 0);
    assert_eq!(report["plates"][0]["name"], "washer");
    assert_eq!(report["plates"][0]["quantity"], 3);
    for (from, to, expected) in [
        (
            "shape = \"rectangle\"",
            "shape = \"rectangel\"",
            "did you mean \"rectangle\"?",
        ),
        ("width = \"80 mm\"\n", "", "width = \"40 mm\""),
        ("thickness = \"6 mm\"\n", "", "thickness = \"6 mm\""),
        ("diameter = \"8.4 mm\"", "diametre = \"8.4 mm\"", "diameter"),
        ("[\"10 mm\", \"20 mm\"]", "[\"1 mm\", \"20 mm\"]", "bolt"),
    ] {
        bench.write("lug.toml", &PLATE.replacen(from, to, 1));
        let said = bench.refused(&["check", "lug.toml"], 1);
        assert!(said.contains(expected), "{expected}: {said}");
    }
}

/// A plate that is typed is drilled as the same plate of a part file is.
#[test]
fn a_plain_plate_that_is_typed_is_drilled_again() {
    let bench = Bench::new();
    bench.write(
        "tie.toml",
        "shape = \"rectangle\"\nwidth = \"120 mm\"\nheight = \"100 mm\"\nthickness = \"10 mm\"\nholes = [\n\
         { diameter = \"40 mm\", purpose = \"bore\", at = [\"60 mm\", \"50 mm\"] },\n\
         { diameter = \"9 mm\", at = [\"90 mm\", \"50 mm\"] },\n]\n",
    );
    let new = ["--new", "4 x 66 mm, M8", "--out"];
    let typed = [
        "--rectangle",
        "120x100mm",
        "--hole",
        "bore 40 mm at 60 mm, 50 mm",
        "--hole",
        "9 mm at 90 mm, 50 mm",
    ];
    bench.text(&[&["redrill", "tie.toml"], &new[..], &["filed"]].concat());
    let said = bench.text(&[&["redrill"], &typed[..], &new, &["typed"]].concat());
    assert!(said.contains("bore"), "{said}");
    let read = |folder: &str, file: &str| {
        let path = bench.path(&format!("{folder}/redrill/{file}"));
        std::fs::read(&path).unwrap_or_else(|why| panic!("{}: {why}", path.display()))
    };
    for file in ["drilled.dxf", "template.dxf", "web.svg"] {
        assert!(read("filed", file) == read("typed", file), "{file}");
    }
    let both = [
        &["redrill", "--outside", "90 mm"],
        &typed[..],
        &new,
        &["both"],
    ]
    .concat();
    bench.refused(&both, 2);
    let unit = [&["redrill", "--unit", "mm"], &typed[..], &new, &["unit"]].concat();
    let said = bench.refused(&unit, 2);
    assert!(said.contains("--unit is for a drawing"), "{said}");
}

#[test]
fn some_plates_of_a_kit_are_made_alone() {
    let bench = Bench::new();
    let names = |words: &[&str]| -> Vec<String> {
        let report = bench.object(words, 0);
        let plates = report["plates"].as_array().expect("a list").iter();
        plates
            .filter_map(|it| it["name"].as_str().map(str::to_owned))
            .collect()
    };
    bench.write(
        "job.toml",
        "[[part]]\nrecipe = \"pedal-bracket\"\n[[part]]\nrecipe = \"flange\"\n",
    );
    let check = ["check", "job.toml"];
    let all = names(&check);
    assert!(all.len() > 2, "{all:?}");
    let cheeks: Vec<String> = all
        .iter()
        .filter(|it| it.starts_with("pedal-bracket-cheek"))
        .cloned()
        .collect();
    assert!(
        !cheeks.is_empty() && cheeks.len() < all.len() - 1,
        "{all:?}"
    );
    assert_eq!(
        names(&["check", "job.toml", "--only", "pedal-bracket-cheek"]),
        cheeks
    );
    assert_eq!(
        names(&["check", "job.toml", "--only", "flange"]),
        ["flange"]
    );
    let said = bench.refused(&["check", "job.toml", "--only", "flanje"], 2);
    assert!(said.contains("did you mean \"flange\"?"), "{said}");
    bench.write(
        "job.toml",
        "[[part]]\nrecipe = \"pedal-bracket\"\nplates = [\"cheek\"]\n",
    );
    assert_eq!(names(&check), cheeks);
    bench.write(
        "job.toml",
        "[[part]]\nrecipe = \"pedal-bracket\"\nplates = [\"chek\"]\n",
    );
    let said = bench.refused(&check, 1);
    assert!(said.contains("has no plate \"chek\""), "{said}");
}

#[test]
fn a_plain_plate_is_typed() {
    let bench = Bench::new();
    let thick = ["--thickness", "6 mm"];
    let rectangle = [
        "--rectangle",
        "80x40mm",
        "--corner",
        "5 mm",
        "--hole",
        "8.4 mm at 10 mm, 20 mm",
        "--hole",
        "M8 at 70 mm, 20 mm",
    ];
    let words = [&["cut"], &rectangle[..], &thick, &["--seconds", "0"]].concat();
    let report = bench.object(&words, 0);
    let plate = &report["plates"][0];
    // A hole for M8 is 9 mm by the medium fit of ISO 273.
    let area = 80.0 * 40.0 - (4.0 - PI) * 25.0 - PI * (4.2 * 4.2 + 4.5 * 4.5);
    let net = plate["net_area_mm2"].as_f64().expect("a number");
    assert!((net - area).abs() < 1e-3, "{net} {area}");
    for command in ["draw", "check", "estimate", "paper"] {
        bench.done(&[&[command], &rectangle[..], &thick].concat());
    }
    let disc = [
        "check",
        "--disc",
        "60 mm",
        "--hole",
        "20 mm",
        "--hole",
        "3 x M6 on 40 mm",
    ];
    let report = bench.object(&[&disc[..], &thick].concat(), 0);
    assert_eq!(report["plates"].as_array().map(Vec::len), Some(1));
    let outline = [
        "draw",
        "--outline",
        "0 mm, 0 mm; 60 mm, 0 mm; 60 mm, 30 mm, 8 mm; 0 mm, 30 mm",
    ];
    bench.done(&[&outline[..], &thick].concat());
    assert!(bench.path("out/plates/outline.dxf").exists());
    for (words, code, expected) in [
        (
            vec!["check", "--disc", "60 mm"],
            2,
            "add --thickness \"6 mm\"",
        ),
        (vec!["check"], 2, "FILE"),
        (
            vec![
                "check",
                "--disc",
                "60 mm",
                "--thickness",
                "6 mm",
                "--unit",
                "in",
            ],
            2,
            "--unit is for a drawing",
        ),
        (
            vec!["check", "--rectangle", "80mm", "--thickness", "6 mm"],
            2,
            "write both with an x between",
        ),
        (
            vec![
                "check",
                "--rectangle",
                "80x40mm",
                "--thickness",
                "6 mm",
                "--hole",
                "9 mm",
            ],
            2,
            "does not say where it is",
        ),
        (
            vec![
                "check",
                "--rectangle",
                "80x40mm",
                "--thickness",
                "6 mm",
                "--hole",
                "9 mm at 1 mm, 20 mm",
            ],
            1,
            "bolt hole",
        ),
        (
            vec!["check", "part.toml", "--disc", "60 mm"],
            2,
            "does not go with --disc",
        ),
        (vec!["check", "part.toml", "--hole", "6 mm"], 2, "--disc"),
    ] {
        let said = bench.refused(&words, code);
        assert!(said.contains(expected), "{words:?}: {said}");
    }
}

#[test]
fn measured_points_become_a_plate() {
    let bench = Bench::new();
    // A rectangle of 60 by 40 mm with a half disc on its right; readings on it to a tenth.
    let eye = [
        "measure",
        "outline",
        "0 mm, 0 mm",
        "60 mm, 0 mm",
        "arc 74.1 mm, 5.9 mm",
        "arc 80 mm, 20 mm",
        "arc 74.2 mm, 34.1 mm",
        "60 mm, 40 mm",
        "0 mm, 40 mm",
    ];
    let write = ["--write", "eye.toml", "--thickness", "6 mm"];
    let said = bench.done(&[&eye[..], &write].concat());
    assert!(said.contains("an arc of radius 20 mm"), "{said}");
    assert!(said.contains("3 points lie within 0.0"), "{said}");
    let report = bench.object(&["cut", "eye.toml", "--seconds", "0"], 0);
    let area = 2400.0 + 200.0 * PI;
    let net = report["plates"][0]["net_area_mm2"]
        .as_f64()
        .expect("a number");
    assert!((net - area).abs() < 6.0, "{net} {area}");
    let said = bench.refused(&[&eye[..], &write].concat(), 3);
    assert!(said.contains("eye.toml"), "{said}");
    bench.done(&[&eye[..], &write, &["--replace"]].concat());
    bench.done(&[
        "redrill",
        "eye.toml",
        "--new",
        "1 x 10 mm, M5",
        "--centre",
        "40 mm, 20 mm",
    ]);
    let said = bench.refused(&[&eye[..], &["--within", "0.02mm"]].concat(), 1);
    assert!(said.contains("off the arc through the others"), "{said}");
    let said = bench.refused(&["measure", "outline", "0 mm, 0 mm", "4 mm"], 2);
    assert!(said.contains("is no point of an outline"), "{said}");
    let crossing = [
        "measure",
        "outline",
        "0 mm, 0 mm",
        "40 mm, 40 mm",
        "40 mm, 0 mm",
        "0 mm, 40 mm",
    ];
    let said = bench.refused(&crossing, 1);
    assert!(said.contains("cross"), "{said}");
    let circle = [
        "measure",
        "outline",
        "arc 50 mm, 0 mm",
        "arc 0 mm, 50 mm",
        "arc -50 mm, 0 mm",
    ];
    let said = bench.done(&circle);
    assert!(
        said.contains("shape = \"disc\"") && said.contains("diameter = \"100 mm\""),
        "{said}"
    );
}
