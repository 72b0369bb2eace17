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

#[test]
fn a_drawing_to_a_scale_is_taken_in_its_true_size() {
    let bench = Bench::new();
    // Drawn half as large, as on a page.
    scaled(&bench, "half.dxf", Units::Millimeters, 0.5);
    let words = with(&["check", "half.dxf", "--scale", "2", "--layer", "lug"]);
    let said = bench.done(&words);
    assert!(
        said.contains("taken 2 times as large: it is 80 × 40 mm large"),
        "{said}"
    );
    let report = bench.object(
        &with(&["cut", "half.dxf", "--scale", "2", "--seconds", "0"]),
        0,
    );
    let lug = 80.0 * 40.0 - PI * (2.0 * 4.2 * 4.2 + 64.0);
    let net = report["plates"][0]["net_area_mm2"]
        .as_f64()
        .expect("an area");
    assert!((net - lug).abs() < 0.01, "{net} {lug}");
    // What is known is the size of the plate, whatever the scale.
    let part = "drawing = \"half.dxf\"\nthickness = \"6 mm\"\nlayer = \"lug\"\nscale = 2\n";
    bench.write(
        "part.toml",
        &format!("{part}known = {{ width = \"80 mm\" }}\n"),
    );
    bench.done(&["check", "part.toml"]);
    bench.write(
        "part.toml",
        &format!("{part}known = {{ width = \"40 mm\" }}\n"),
    );
    let said = bench.refused(&["check", "part.toml"], 1);
    assert!(said.contains("the `scale` that it is drawn to"), "{said}");
    let said = bench.refused(&with(&["check", "half.dxf", "--scale", "0"]), 1);
    assert!(said.contains("give 0.001 to 1000"), "{said}");
    // Places are told as they are drawn.
    let bow_tie = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\n\
                   LWPOLYLINE\n70\n1\n10\n0\n20\n0\n10\n40\n20\n40\n10\n40\n20\n0\n10\n0\n20\n40\n0\nENDSEC\n0\nEOF\n";
    bench.write("tie.dxf", bow_tie);
    let said = bench.refused(&with(&["check", "tie.dxf", "--scale", "10"]), 1);
    assert!(said.contains("touch at x 20 mm, y 20 mm"), "{said}");
}

#[test]
fn openings_are_for_what_their_layer_or_size_says() {
    let bench = Bench::new();
    drawing(&bench, "lug.dxf", Units::Millimeters);
    let purposes = |openings: &str| -> Vec<String> {
        let part = "drawing = \"lug.dxf\"\nthickness = \"6 mm\"\nopenings = ";
        bench.write("part.toml", &format!("{part}{openings}\n"));
        let report = bench.object(&["cut", "part.toml", "--seconds", "0"], 0);
        let plates = report["plates"].as_array().expect("plates").iter();
        let openings = plates.flat_map(|it| it["openings"].as_array().expect("openings"));
        let mut told: Vec<String> = openings
            .map(|it| {
                let of = |key: &str| it[key].as_str().unwrap_or_default().to_owned();
                format!("{}: {}", of("name"), of("purpose"))
            })
            .collect();
        told.sort();
        told
    };
    let told = purposes(
        "[{ layer = \"washer\", purpose = \"window\" }, { diameter = \"8.4 mm\", purpose = \"pin\" }]",
    );
    assert_eq!(
        told,
        [
            "12 mm hole: window",
            "16 mm hole: bore",
            "8.4 mm hole 1: pin",
            "8.4 mm hole 2: pin"
        ]
    );
    // The first that fits counts, and what is said by name counts more.
    let told = purposes(
        "[{ diameter = [\"5 mm\", \"20 mm\"], layer = \"LUG\", purpose = \"window\" }, { layer = \"lug\", purpose = \"pin\" }]\n\
         [opening.\"16 mm hole\"]\npurpose = \"opening\"",
    );
    assert_eq!(
        told,
        [
            "12 mm hole: bore",
            "16 mm hole: opening",
            "8.4 mm hole 1: window",
            "8.4 mm hole 2: window"
        ]
    );
    for (openings, expected) in [
        ("[{ layer = \"lugs\" }]", "openings are on LUG, WASHER"),
        (
            "[{ diameter = \"9 mm\" }]",
            "there are 12 mm hole, 16 mm hole, 8.4 mm hole",
        ),
        ("[{ purpose = \"pin\" }]", "add a `layer` or a `diameter`"),
        (
            "[{ diameter = [\"9 mm\", \"8 mm\"] }]",
            "write the smaller one first",
        ),
    ] {
        let part = "drawing = \"lug.dxf\"\nthickness = \"6 mm\"\nopenings = ";
        bench.write("part.toml", &format!("{part}{openings}\n"));
        let said = bench.refused(&["check", "part.toml"], 1);
        assert!(said.contains(expected), "{said}");
    }
    // Of an SVG, what is called so is a group or a shape.
    let svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"80mm\" height=\"40mm\" viewBox=\"0 0 80 40\">\
               <rect width=\"80\" height=\"40\"/><g id=\"dowels\"><circle cx=\"20\" cy=\"20\" r=\"3\"/></g>\
               <circle cx=\"60\" cy=\"20\" r=\"3\"/></svg>";
    bench.write("lug.svg", svg);
    bench.write(
        "part.toml",
        "drawing = \"lug.svg\"\nthickness = \"6 mm\"\nopenings = [{ layer = \"dowels\", purpose = \"pin\" }]\n",
    );
    let report = bench.object(&["cut", "part.toml", "--seconds", "0"], 0);
    let openings = report["plates"][0]["openings"]
        .as_array()
        .expect("openings");
    let pins = openings.iter().filter(|it| it["purpose"] == "pin");
    assert_eq!((openings.len(), pins.count()), (2, 1));
}

#[test]
fn the_place_of_a_fault_is_drawn() {
    let bench = Bench::new();
    let open = |gap: f64| {
        format!(
            "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\nCut\n70\n0\n\
             10\n0\n20\n0\n10\n50\n20\n0\n10\n50\n20\n40\n10\n0\n20\n40\n10\n0\n20\n{gap}\n0\nENDSEC\n0\nEOF\n"
        )
    };
    bench.write("open.dxf", &open(0.8));
    let picture = bench.path("out/drawing-fault.svg");
    for command in ["draw", "cut", "paper"] {
        let said = bench.refused(&with(&[command, "open.dxf"]), 1);
        for expected in [
            "on the layer \"Cut\"",
            "it ends at x 0 mm, y 0 mm and at x 0 mm, y 0.8 mm",
            "drawing-fault.svg shows the place",
        ] {
            assert!(said.contains(expected), "{said}");
        }
        let drawn = std::fs::read_to_string(&picture).expect("it is written");
        // Both ends in both views.
        assert_eq!(drawn.matches("stroke=\"#a84300\"").count(), 4, "{drawn}");
        std::fs::remove_file(&picture).expect("it is there");
    }
    bench.refused(&with(&["redrill", "open.dxf", "--new", "1 x 10 mm, M5"]), 1);
    assert!(picture.exists());
    // Nothing is written where a command only says what it finds, and what is mended leaves no picture.
    std::fs::remove_file(&picture).expect("it is there");
    bench.refused(&with(&["check", "open.dxf"]), 1);
    assert!(!picture.exists());
    bench.refused(&with(&["draw", "open.dxf"]), 1);
    assert!(picture.exists());
    bench.done(&with(&["draw", "open.dxf", "--gap", "0.81 mm"]));
    assert!(!picture.exists());
    let said = bench.refused(&with(&["draw", "open.dxf", "--gap", "3 mm"]), 1);
    assert!(said.contains("give 0 mm to 2 mm"), "{said}");
    bench.write("open.dxf", &open(0.02));
    bench.done(&with(&["draw", "open.dxf"]));
    // A picture of the builder's own of that name stays.
    std::fs::write(&picture, "mine").expect("written");
    bench.write("open.dxf", &open(0.8));
    bench.refused(&with(&["draw", "open.dxf"]), 1);
    assert_eq!(std::fs::read(&picture).expect("it is there"), b"mine");
}

#[test]
fn a_drawing_is_drilled_again_and_becomes_a_part() {
    let bench = Bench::new();
    // A hub of 190 mm in inches, of which the file says nothing.
    let mut hub = Drawing::new();
    hub.header.version = AcadVersion::R2000;
    hub.header.default_drawing_units = Units::Unitless;
    for (x, y, diameter) in [(0.0, 0.0, 190.0), (0.0, 0.0, 60.0)]
        .into_iter()
        .chain([(50.0, 0.0), (0.0, 50.0), (-50.0, 0.0), (0.0, -50.0)].map(|(x, y)| (x, y, 11.0)))
    {
        let centre = Point::new(x / 25.4, y / 25.4, 0.0);
        let circle = Circle::new(centre, diameter / 50.8);
        hub.add_entity(Entity::new(EntityType::Circle(circle)));
    }
    hub.save_file(bench.path("hub.dxf")).expect("it is written");
    let new = ["redrill", "hub.dxf", "--new", "5 x 150 mm, M10"];
    let said = bench.refused(&new, 1);
    assert!(said.contains("--unit"), "{said}");
    let words = [&new[..], &["--unit", "in", "--paper"]].concat();
    let said = bench.done(&words);
    for expected in [
        "outside: round, 190 mm",
        "bore: 60 mm",
        "4 holes of 11 mm (0.433 in), evenly on a circle of 100 mm (3.937 in)",
        "the new holes are centred on the bore",
        "template.pdf",
    ] {
        assert!(said.contains(expected), "{expected}: {said}");
    }
    let report = bench.object(&words, 0);
    assert_eq!(report["files"].as_array().expect("files").len(), 5);
    let web = std::fs::read_to_string(bench.path("out/redrill/web.svg")).expect("it is written");
    assert!(
        web.contains("what must be left towards that edge"),
        "no limit"
    );
    // The result is a part like others, its holes for what they are.
    let report = bench.object(
        &[
            "cut",
            "out/redrill/drilled.toml",
            "--out",
            "cut",
            "--seconds",
            "0",
        ],
        0,
    );
    let plate = &report["plates"][0];
    let area = PI * (95.0 * 95.0 - 30.0 * 30.0 - 4.0 * 5.5 * 5.5 - 5.0 * 5.5 * 5.5);
    let net = plate["net_area_mm2"].as_f64().expect("an area");
    assert!((net - area).abs() < 0.01, "{net} {area}");
    let openings = plate["openings"].as_array().expect("openings");
    assert_eq!(
        openings.iter().filter(|it| it["purpose"] == "bolt").count(),
        9
    );
    bench.write(
        "job.toml",
        "[[part]]\njob = \"out/redrill/drilled.toml\"\nquantity = 2\n",
    );
    let report = bench.object(&["estimate", "job.toml", "--seconds", "0"], 0);
    assert_eq!(report["plates"][0]["quantity"], 2);
    // An SVG is drilled as well.
    let svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"190mm\" height=\"190mm\" viewBox=\"0 0 190 190\">\
               <circle cx=\"95\" cy=\"95\" r=\"95\"/><circle cx=\"95\" cy=\"95\" r=\"30\"/></svg>";
    bench.write("hub.svg", svg);
    let said = bench.done(&["redrill", "hub.svg", "--new", "5 x 150 mm, M10"]);
    assert!(said.contains("every clocking leaves the same"), "{said}");
    let said = bench.refused(
        &[
            "redrill",
            "flange",
            "--unit",
            "mm",
            "--new",
            "5 x 150 mm, M10",
        ],
        2,
    );
    assert!(said.contains("--unit is for a drawing"), "{said}");
}

#[test]
fn a_part_of_another_job_is_made_as_it_stands_there() {
    let bench = Bench::new();
    std::fs::create_dir(bench.path("cart")).expect("a folder");
    drawing(&bench, "cart/lug.dxf", Units::Millimeters);
    bench.write(
        "cart/job.toml",
        "[job]\nname = \"cart\"\n[[part]]\nname = \"lug\"\ndrawing = \"lug.dxf\"\nlayer = \"lug\"\nthickness = \"6 mm\"\nquantity = 4\n\
         [[part]]\nrecipe = \"pedal-bracket\"\n",
    );
    let names = |text: &str| -> Vec<String> {
        bench.write("job.toml", text);
        let report = bench.object(&["check", "job.toml"], 0);
        let plates = report["plates"].as_array().expect("plates").iter();
        plates
            .map(|it| it["name"].as_str().expect("a name").to_owned())
            .collect()
    };
    let both = "[[part]]\njob = \"cart/job.toml\"\npart = \"lug\"\n\
        [[part]]\njob = \"cart/job.toml\"\npart = \"pedal-bracket\"\nplates = [\"base\"]\nname = \"brake\"\n";
    let found = names(both);
    assert_eq!(found[0], "lug");
    assert!(
        found[1..].iter().all(|it| it.starts_with("brake-base")) && found.len() > 1,
        "{found:?}"
    );
    let quantity = |more: &str| {
        let text = format!("[[part]]\njob = \"cart/job.toml\"\npart = \"lug\"\n{more}");
        bench.write("job.toml", &text);
        let report = bench.object(&["estimate", "job.toml", "--seconds", "0"], 0);
        report["plates"][0]["quantity"].as_u64()
    };
    assert_eq!(quantity(""), Some(4));
    assert_eq!(quantity("quantity = 7\n"), Some(7));
    for (text, expected) in [
        (
            "[[part]]\njob = \"cart/job.toml\"\n",
            "add part = with one of lug, pedal-bracket",
        ),
        (
            "[[part]]\njob = \"cart/job.toml\"\npart = \"lugg\"\n",
            "did you mean \"lug\"?",
        ),
        (
            "[[part]]\njob = \"job.toml\"\n",
            "takes parts from jobs in a ring",
        ),
        (
            "[[part]]\njob = \"cart/job.toml\"\npart = \"lug\"\nbore = \"3 mm\"\n",
            "unknown key `bore`",
        ),
    ] {
        bench.write("job.toml", text);
        let said = bench.refused(&["check", "job.toml"], 1);
        assert!(said.contains(expected), "{expected}: {said}");
    }
    bench.write("job.toml", "[[part]]\njob = \"gone.toml\"\n");
    let said = bench.refused(&["check", "job.toml"], 3);
    assert!(said.contains("gone.toml"), "{said}");
    // No run takes the place of what it is made from.
    bench.write("job.toml", both);
    let said = bench.refused(
        &[
            "cut",
            "job.toml",
            "--out",
            "cart",
            "--replace",
            "--seconds",
            "0",
        ],
        0,
    );
    drop(said);
    assert!(bench.path("cart/lug.dxf").exists() && bench.path("cart/job.toml").exists());
}
