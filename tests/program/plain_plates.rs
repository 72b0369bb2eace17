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
