//! Drawings of others on the way through the program: what they hold is there when they are cut,
//! drilled again or used as stock.

use std::f64::consts::PI;

use serde_json::Value;

use crate::support::bench::Bench;

/// Records written short, `CIRCLE 10=5 20=5 40=3`, one a line, in a file of this unit.
fn drawing(unit: u32, blocks: &str, entities: &str) -> String {
    let mut text = format!("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n{unit}\n0\nENDSEC\n");
    for (section, short) in [("BLOCKS", blocks), ("ENTITIES", entities)] {
        text += &format!("0\nSECTION\n2\n{section}\n");
        for line in short.lines().map(str::trim).filter(|it| !it.is_empty()) {
            for word in line.split_whitespace() {
                match word.split_once('=') {
                    Some((code, value)) => text += &format!("{code}\n{value}\n"),
                    None => text += &format!("0\n{word}\n"),
                }
            }
        }
        text += "0\nENDSEC\n";
    }
    text + "0\nEOF\n"
}

/// A hub plate of 190 mm with a bore, its four holes on 100 mm put there as blocks.
fn hub() -> String {
    let blocks = "BLOCK 2=BOLT 10=0 20=0
        CIRCLE 10=50 20=0 40=5.5
        ENDBLK";
    let turned = [0, 90, 180, 270].map(|turn| format!("INSERT 2=BOLT 10=0 20=0 50={turn}\n"));
    let turned = turned.concat();
    let entities = format!("CIRCLE 10=0 20=0 40=95\nCIRCLE 10=0 20=0 40=30\n{turned}");
    drawing(4, blocks, &entities)
}

fn family(file: &str) -> String {
    format!(
        "title = \"Friend's plate\"\nabout = \"a plate drawn elsewhere\"\n\
         [dimension.thickness]\nsays = \"thickness\"\ndefault = \"6 mm\"\n\
         [[plate]]\n[[plate.step]]\nadd = \"drawing\"\nfile = \"{file}\"\n"
    )
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

#[test]
fn a_plate_is_drilled_clear_of_holes_that_are_blocks() {
    let bench = Bench::new();
    bench.write("hub.dxf", &hub());
    let new = ["--new", "4 x 100 mm, M10", "--thickness", "10mm"];
    let told = bench.object(&[&["redrill", "hub.dxf"][..], &new].concat(), 0);
    // Two patterns of four on one circle: the new holes come to lie half way, at 45 degrees.
    assert!(
        (number(&told["best"]["clocking_deg"]) - 45.0).abs() < 1e-6,
        "{told}"
    );
    let apart = 100.0 * (PI / 8.0).sin();
    let web = number(&told["best"]["turning_web_mm"]);
    assert!((web - (apart - 5.5 - 5.5)).abs() < 0.3, "{web}");
    let text = bench.text(&[&["redrill", "hub.dxf"][..], &new].concat());
    assert!(text.contains("hole"), "{text}");
}

#[test]
fn what_was_left_out_is_told_where_the_drawing_is_used() {
    let bench = Bench::new();
    let with_words = hub().replace(
        "2\nENTITIES\n",
        "2\nENTITIES\n0\nTEXT\n10\n0\n20\n0\n40\n5\n1\nhub\n0\nCIRCLE\n10\n0\n20\n0\n40\n30\n",
    );
    bench.write("hub.dxf", &with_words);
    bench.write("friend.toml", &family("hub.dxf"));
    bench.write("part.toml", "recipe = \"friend\"\n");
    let told = bench.text(&["redrill", "hub.dxf", "--new", "4 x 100 mm, M10"]);
    assert!(
        told.contains("note: hub.dxf: 1 text is left out: it bounds nothing"),
        "{told}"
    );
    let checked = bench.text(&["--shelf", ".", "check", "part.toml"]);
    for expected in [
        "hub.dxf: 1 text is left out: it bounds nothing",
        "hub.dxf: a line or arc lies on another at x 30 mm, y 0 mm: the two count once",
    ] {
        assert!(checked.contains(expected), "{checked}");
    }
    let report = bench.object(&["--shelf", ".", "cut", "part.toml"], 0);
    let area = PI * (95.0 * 95.0 - 30.0 * 30.0 - 4.0 * 5.5 * 5.5);
    let found = number(&report["plates"][0]["net_area_mm2"]);
    assert!((found - area).abs() < 0.01, "{found} {area}");
}

#[test]
fn nothing_is_cut_from_what_is_no_metal() {
    let bench = Bench::new();
    // A remnant of 300 mm with a window of 150 mm that is a block: no flange of 140 mm has room.
    let blocks = "BLOCK 2=WINDOW
        LWPOLYLINE 70=1 10=-75 20=-75 10=75 20=-75 10=75 20=75 10=-75 20=75
        ENDBLK";
    let sheet = "LWPOLYLINE 70=1 10=0 20=0 10=300 20=0 10=300 20=300 10=0 20=300
        INSERT 2=WINDOW 10=150 20=150";
    bench.write("left.dxf", &drawing(4, blocks, sheet));
    let job = "[job]\nname = \"left\"\nmargin = \"5 mm\"\n\
        [[stock]]\nthickness = \"8 mm\"\noutline = \"left.dxf\"\nquantity = 1\n\
        [[part]]\nrecipe = \"flange\"\nthickness = \"8 mm\"\n";
    bench.write("job.toml", job);
    let said = bench.refused(&["cut", "job.toml"], 1);
    assert!(said.contains("fits on none of the sheets"), "{said}");
    // Drawn without a unit it is usable, and that is told.
    let plain = drawing(
        0,
        "",
        "LWPOLYLINE 70=1 10=0 20=0 10=300 20=0 10=300 20=300 10=0 20=300",
    );
    bench.write("left.dxf", &plain);
    let report = bench.object(&["cut", "job.toml"], 0);
    let findings = report["plates"][0]["findings"]
        .as_array()
        .expect("findings");
    let told = findings.iter().any(|it| {
        let message = it["message"].as_str().unwrap_or_default();
        message.contains("left.dxf: the drawing names no unit: in millimetres it is 300 × 300 mm")
    });
    assert!(told, "{findings:?}");
}

#[test]
fn what_cannot_be_read_is_refused_with_its_remedy() {
    let bench = Bench::new();
    let bow_tie = "LWPOLYLINE 5=2F 70=1 10=0 20=0 10=40 20=40 10=40 20=0 10=0 20=40";
    bench.write("tie.dxf", &drawing(4, "", bow_tie));
    bench.write("friend.toml", &family("tie.dxf"));
    bench.write("part.toml", "recipe = \"friend\"\n");
    let said = bench.refused(&["--shelf", ".", "draw", "part.toml"], 1);
    for expected in [
        "cross or touch at x 20 mm, y 20 mm (the LWPOLYLINE (handle 2F",
        "trim them",
    ] {
        assert!(said.contains(expected), "{said}");
    }
    let said = bench.refused(&["redrill", "tie.dxf", "--new", "4 x 100 mm, M10"], 1);
    assert!(
        said.contains("tie.dxf") && said.contains("trim them"),
        "{said}"
    );
    bench.write("tie.dxf", &drawing(99, "", "CIRCLE 10=0 20=0 40=50"));
    let said = bench.refused(&["redrill", "tie.dxf", "--new", "4 x 100 mm, M10"], 1);
    assert!(
        said.contains("its unit has the code 99") && said.contains("$INSUNITS 4"),
        "{said}"
    );
}
