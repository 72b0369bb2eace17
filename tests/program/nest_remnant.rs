//! What is left of a sheet is one usable piece, written so that a later job can use it.

use crate::support::bench::Bench;
use serde_json::Value;

/// Flanges of 140 mm on a sheet that stands upright.
fn job(stock: &str, quantity: u32) -> String {
    format!(
        "[job]\nname = \"flanges\"\nmargin = \"8 mm\"\nweb = \"6 mm\"\n\
         [[stock]]\nthickness = \"8 mm\"\n{stock}\n\
         [[part]]\nrecipe = \"flange\"\nthickness = \"8 mm\"\nquantity = {quantity}\n"
    )
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

#[test]
fn a_tall_sheet_is_used_from_below_and_its_remnant_is_stock() {
    let bench = Bench::new();
    let tall = "size = [\"500 mm\", \"1200 mm\"]\nquantity = 1";
    bench.write("first.toml", &job(tall, 6));
    let report = bench.object(&["cut", "first.toml", "--out", "first"], 0);
    let sheet = &report["sheets"][0];
    assert_eq!(sheet["used_along"], "y");
    // Three across: two rows of 140 mm, their kerf, webs, margin and leads.
    let used = number(&sheet["used_length_mm"]);
    assert!((290.0..340.0).contains(&used), "{used}");
    let left = &sheet["remnant"];
    assert_eq!(number(&left["length_mm"]), 500.0);
    assert!((number(&left["width_mm"]) + used - 1200.0).abs() < 1e-3);

    let file = left["file"].as_str().expect("it is worth keeping");
    let drawn = dxf::Drawing::load_file(bench.path("first").join(file)).expect("a DXF");
    let mut corners = Vec::new();
    for entity in drawn.entities() {
        if let dxf::entities::EntityType::LwPolyline(line) = &entity.specific {
            corners.extend(line.vertices.iter().map(|v| (v.x, v.y)));
        }
    }
    let width = corners.iter().map(|c| c.0).fold(0.0, f64::max);
    let height = corners.iter().map(|c| c.1).fold(0.0, f64::max);
    assert_eq!(corners.len(), 4);
    assert!((width - 500.0).abs() < 1e-6);
    assert!((height - (1200.0 - used)).abs() < 1e-3);

    let remnant = format!("outline = \"first/{file}\"\nquantity = 1");
    bench.write("second.toml", &job(&remnant, 9));
    let report = bench.object(&["cut", "second.toml", "--out", "second"], 0);
    let sheet = &report["sheets"][0];
    assert!(
        sheet["stock"]
            .as_str()
            .expect("words")
            .starts_with("remnant")
    );
    assert_eq!(report["unplaced"].as_array().map(Vec::len), Some(0));
    assert!(number(&sheet["used_length_mm"]) < 1200.0 - used);
}

/// Brackets of 380 by 115 mm on a whole sheet.
fn brackets(table: &str, stock: &str, quantity: u32) -> String {
    format!(
        "[job]\nname = \"brackets\"\ntable = \"{table}\"\nmargin = \"8 mm\"\nweb = \"6 mm\"\n\
         [[stock]]\nthickness = \"6 mm\"\n{stock}\n\
         [[part]]\nshape = \"rectangle\"\nname = \"bracket\"\nwidth = \"380 mm\"\nheight = \"115 mm\"\n\
         thickness = \"6 mm\"\nquantity = {quantity}\n"
    )
}

const WHOLE: &str = "size = [\"2500 mm\", \"1250 mm\"]\nquantity = 1";

#[test]
fn a_small_job_takes_a_corner_and_the_l_is_stock() {
    let bench = Bench::new();
    bench.write("first.toml", &brackets("shop-plasma", WHOLE, 2));
    let said = bench.done(&["cut", "first.toml", "--out", "first"]);
    let all = bench.done(&["estimate", "first.toml", "--all"]);
    let report = std::fs::read_to_string(bench.path("first/report.json")).expect("a report");
    let report: Value = serde_json::from_str(&report).expect("JSON");
    let sheet = &report["sheets"][0];
    let [x, y] = [0, 1].map(|k| number(&sheet["corner_mm"][k]));
    // Both stand across, with kerf, margin, leads and a web, and no more.
    assert!((123.0..140.0).contains(&x), "{x}");
    assert!((774.0..800.0).contains(&y), "{y}");
    let left = &sheet["remnant"];
    assert_eq!(left["form"], "L");
    let area = number(&left["area_mm2"]);
    assert!((area - (2500.0 * 1250.0 - x * y)).abs() < 1.0, "{area}");
    let sides = [0, 1].map(|k| number(&left["largest_mm"][k]));
    assert!((sides[0] - (2500.0 - x)).abs() < 1e-3 && sides[1] == 1250.0);
    let plates = 2.0 * 380.0 * 115.0;
    let percent = number(&sheet["use_percent"]);
    assert!(
        (percent - 100.0 * plates / (x * y)).abs() < 0.01,
        "{percent}"
    );
    // The choice and what it leaves, in a line on the terminal and in the page.
    let used = sheet["used"].as_str().expect("words");
    assert!(used.starts_with("a corner of "), "{used}");
    let says = left["says"].as_str().expect("words");
    let line = format!("used {used}, left {says}");
    assert!(all.replace("\n  ", " ").contains(&line), "{line}\n{all}");
    let line = format!("used {used}, left {:.3} m²", area / 1e6);
    assert!(said.contains(&line), "{line}\n{said}");
    let page = std::fs::read_to_string(bench.path("first/report.html")).expect("a page");
    assert!(page.contains(used) && page.contains(says));

    // Its drawing is the L, and another goes beside the first two, on the same strip of the sheet.
    let file = left["file"].as_str().expect("it is worth keeping");
    let stock = format!("outline = \"first/{file}\"\nquantity = 1");
    bench.write("second.toml", &brackets("shop-plasma", &stock, 1));
    let report = bench.object(&["cut", "second.toml", "--out", "second"], 0);
    let sheet = &report["sheets"][0];
    let reach = number(&sheet["used_length_mm"]);
    assert!((123.0..140.0).contains(&reach), "{reach}");
}

#[test]
fn what_is_told_to_be_left_is_what_the_table_leaves() {
    let bench = Bench::new();
    let shipped = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/part-recipes/tables/shop-plasma.toml"
    );
    let shipped = std::fs::read_to_string(shipped).expect("a shipped table");
    let forms = [
        ("cut_off = \"no\"", "a corner", "L"),
        // One straight cut parts no L, and the skeleton is lost.
        ("cut_off = \"straight\"", "a strip", "rectangle"),
        // The inside corner is round.
        ("cut_off = \"outline\"", "a corner", "odd"),
        // What lies beside the plates is cut up.
        ("lift = \"25 kg\"", "a strip", "rectangle"),
    ];
    for (head, used, form) in forms {
        bench.write("shed.toml", &format!("{head}\n{shipped}"));
        bench.write("job.toml", &brackets("shed", WHOLE, 2));
        let report = bench.object(&["cut", "job.toml", "--out", "out"], 0);
        let sheet = &report["sheets"][0];
        let says = sheet["used"].as_str().expect("words");
        assert!(says.starts_with(used), "{head}: {says}");
        assert_eq!(sheet["remnant"]["form"], form, "{head}");
        assert_eq!(sheet["corner_mm"].is_array(), used == "a corner", "{head}");
    }
}

#[test]
fn a_long_plate_is_a_strip_along_the_sheet() {
    let bench = Bench::new();
    let job = brackets("shop-plasma", WHOLE, 1).replace("380 mm", "2400 mm");
    bench.write("rail.toml", &job);
    let report = bench.object(&["cut", "rail.toml", "--out", "out"], 0);
    let sheet = &report["sheets"][0];
    assert_eq!(sheet["used_along"], "y");
    let used = number(&sheet["used_length_mm"]);
    assert!((123.0..140.0).contains(&used), "{used}");
    let left = &sheet["remnant"];
    assert_eq!(number(&left["length_mm"]), 2500.0);
    assert!((number(&left["width_mm"]) - (1250.0 - used)).abs() < 1e-3);
    let says = sheet["used"].as_str().expect("words");
    assert!(says.starts_with("a strip of 2500 × "), "{says}");
}
