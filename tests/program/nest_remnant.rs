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
