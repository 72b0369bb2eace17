//! Settings files of tables: what they say, what lies between their rows, and what is refused.

use std::fs;
use std::path::Path;

use approx::assert_relative_eq;
use platewright::cut::{Process, Swirl, Table};
use platewright::fault::Source;

pub(super) const ROWS: &str = r#"
title = "Orchard shed plasma"
process = "plasma"
bed = ["1500 mm", "3000 mm"]
sheet = ["4 ft", "8 ft"]
rapid = "12000 mm/min"
acceleration = "800 mm/s2"

[[cut]]
material = "mild steel"
thickness = "4 mm"
kerf = "1.4 mm"
feed = "3000 mm/min"
pierce_time = "0.3 s"
pierce_clearance = "4 mm"
lead_length = "5 mm"
overcut = "2 mm"
small_hole = "16 mm"
smallest_hole = "5 mm"
small_hole_feed = 0.6

[[cut]]
material = "mild steel"
thickness = "8 mm"
kerf = "1.8 mm"
feed = "1800 mm/min"
pierce_time = "0.7 s"
pierce_clearance = "6 mm"
lead_length = "8 mm"
overcut = "3 mm"
small_hole = "20 mm"
smallest_hole = "9 mm"
small_hole_feed = 0.5
undersize = "2.5 mm"
"#;

pub(super) fn read(text: &str) -> Table {
    Table::read(&Source::inline("shed.toml", text)).expect("a sound file")
}

pub(super) fn faults(text: &str) -> Vec<String> {
    let faults = Table::read(&Source::inline("shed.toml", text)).expect_err("a faulty file");
    faults.as_slice().iter().map(ToString::to_string).collect()
}

#[test]
fn a_file_is_read_in_base_units() {
    let table = read(ROWS);
    assert_eq!(table.process, Process::Plasma);
    assert_eq!(table.swirl, Swirl::Clockwise);
    assert_eq!(table.bed, (1500.0, 3000.0));
    assert_relative_eq!(table.sheet.1, 2438.4, epsilon = 1e-9);
    assert_relative_eq!(table.rapid, 200.0, epsilon = 1e-9);
    let row = table.settings("mild steel", 4.0).expect("a row");
    assert_relative_eq!(row.feed, 50.0, epsilon = 1e-9);
    assert_eq!(row.undersize, 1.4, "the kerf, where the file does not say");
    assert_eq!(
        table.settings("mild steel", 8.0).expect("a row").undersize,
        2.5
    );
}

#[test]
fn between_two_rows_values_are_in_proportion() {
    let row = read(ROWS)
        .settings("mild steel", 5.0)
        .expect("between rows");
    for (found, expected) in [
        (row.kerf, 1.5),
        (row.feed, 45.0),
        (row.pierce_time, 0.4),
        (row.pierce_clearance, 4.5),
        (row.lead_length, 5.75),
        (row.overcut, 2.25),
        (row.small_hole, 17.0),
        (row.smallest_hole, 6.0),
        (row.small_hole_feed, 0.575),
        (row.thickness, 5.0),
    ] {
        assert_relative_eq!(found, expected, epsilon = 1e-9);
    }
}

#[test]
fn outside_the_rows_nothing_is_guessed() {
    let table = read(ROWS);
    for thickness in [3.0, 10.0] {
        let fault = table
            .settings("mild steel", thickness)
            .expect_err("out of range");
        assert!(fault.message.contains("from 4 to 8 mm"), "{fault}");
    }
    // Another alloy is not a slip of the pen: nothing near it is held out as what was meant.
    let fault = table
        .settings("mild stel", 6.0)
        .expect_err("no such material");
    assert!(!fault.to_string().contains("did you mean"), "{fault}");
    let fault = table.settings("copper", 6.0).expect_err("no such material");
    assert!(fault.to_string().contains("it cuts mild steel"), "{fault}");
}

#[test]
fn every_fault_of_a_file_is_told_with_its_place() {
    let text = ROWS
        .replace("kerf = \"1.4 mm\"", "kerf = \"1.4\"")
        .replace("small_hole_feed = 0.6", "small_hole_feed = 1.6")
        .replace("process = \"plasma\"", "process = \"plasm\"")
        .replace("thickness = \"8 mm\"", "thikness = \"8 mm\"");
    let said = faults(&text);
    for (index, place, what) in [
        (0, "shed.toml:3:11: ", "did you mean \"plasma\"?"),
        (1, "shed.toml:12:", "`kerf` must be a length"),
        (
            2,
            "shed.toml:20:19: ",
            "`small_hole_feed` is 1.6; it must be more than 0 and at most 1",
        ),
    ] {
        assert!(said[index].starts_with(place), "{said:?}");
        assert!(said[index].contains(what), "{said:?}");
    }
    assert!(
        said.iter().any(|s| s.contains("did you mean `thickness`?")),
        "{said:?}"
    );
    assert_eq!(said.len(), 4, "each mistake once: {said:?}");
}

#[test]
fn two_rows_for_one_thickness_are_refused() {
    let said = faults(&ROWS.replace("thickness = \"8 mm\"", "thickness = \"0.4 cm\""));
    assert!(said[0].contains("4 mm mild steel has two rows"), "{said:?}");
}

#[test]
fn a_file_without_rows_is_refused() {
    let said = faults(&ROWS[..ROWS.find("[[cut]]").expect("rows")]);
    assert!(said[0].contains("`cut` is missing"), "{said:?}");
}

#[test]
fn the_tables_that_come_with_the_program_are_sound() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/tables");
    let mut count = 0;
    for entry in fs::read_dir(folder).expect("the folder of tables") {
        let path = entry.expect("an entry").path();
        let text = fs::read_to_string(&path).expect("a readable file");
        let table = Table::read(&Source::inline(path.display().to_string(), text));
        let table = table.unwrap_or_else(|faults| panic!("{faults}"));
        for row in &table.rows {
            assert!(
                row.smallest_hole > row.kerf,
                "{} {} mm",
                row.material,
                row.thickness
            );
            assert!(
                row.small_hole >= row.smallest_hole,
                "{} {} mm",
                row.material,
                row.thickness
            );
            assert!(table.settings(&row.material, row.thickness).is_ok());
        }
        count += 1;
    }
    assert!(count >= 3, "{count} tables");
}

/// Two currents that meet at 8 mm, the wider range first.
fn two_currents() -> Table {
    let first = ROWS.replace("kerf = ", "current = 45\nkerf = ");
    let rows = &ROWS[ROWS.find("[[cut]]").expect("rows")..];
    let second = rows
        .replace("kerf = ", "current = 65\nkerf = ")
        .replace("thickness = \"8 mm\"", "thickness = \"12 mm\"")
        .replace("thickness = \"4 mm\"", "thickness = \"8 mm\"")
        .replace("1.4 mm", "2.1 mm")
        .replace("1.8 mm", "2.5 mm");
    read(&format!("{first}{second}"))
}

#[test]
fn nothing_is_taken_between_rows_of_different_currents() {
    let mut table = two_currents();
    for (thickness, current, kerf) in [
        (6.0, 45.0, 1.6),
        (8.0, 45.0, 1.8),
        (10.0, 65.0, 2.3),
        (8.1, 65.0, 2.11),
    ] {
        let row = table.settings("mild steel", thickness).expect("a row");
        assert_eq!(row.current, Some(current));
        assert_relative_eq!(row.kerf, kerf, epsilon = 1e-9);
    }
    let said = table
        .settings("mild steel", 13.0)
        .expect_err("too thick")
        .to_string();
    assert!(
        said.contains("from 4 to 8 mm at 45 A, from 8 to 12 mm at 65 A, not 13 mm"),
        "{said}"
    );
    let third = table
        .settings("mild steel", 40.0 / 3.0)
        .expect_err("too thick");
    assert!(third.to_string().contains(", not 13.333 mm;"), "{third}");
    // With one nozzle fitted only its rows are used.
    table.current = Some(65.0);
    assert_relative_eq!(table.settings("mild steel", 8.0).expect("a row").kerf, 2.1);
    let said = table
        .settings("mild steel", 6.0)
        .expect_err("too thin")
        .to_string();
    assert!(
        said.contains("cuts mild steel from 8 to 12 mm at 65 A, not 6 mm"),
        "{said}"
    );
    table.current = Some(30.0);
    let said = table
        .settings("mild steel", 6.0)
        .expect_err("no rows")
        .to_string();
    assert!(
        said.contains("no mild steel with the nozzle that is fitted"),
        "{said}"
    );
}

fn shipped(name: &str) -> Table {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/tables");
    read(&fs::read_to_string(folder.join(name)).expect("a readable file"))
}

/// Kerf of plasma in mild steel by current, mm. 25 to 80 A: a technical-training slide on kerf
/// compensation, looked up; common practice, start values.
const PLASMA_KERF: [(f64, f64, f64, f64); 3] = [
    (25.0, 30.0, 1.27, 1.52),
    (40.0, 50.0, 1.65, 2.03),
    (65.0, 80.0, 2.03, 2.79),
];

/// Kerf of laser and oxy-fuel at a thickness, mm: lower ends of laser from a handbook of laser cutting
/// (chapter 4.2), looked up; upper ends and oxy-fuel from memory.
const LASER_KERF: [(f64, f64, f64); 3] = [(1.0, 0.1, 0.2), (3.0, 0.15, 0.3), (19.0, 0.38, 0.6)];
const OXY_FUEL_KERF: [(f64, f64, f64); 1] = [(12.0, 1.5, 2.5)];

/// A kerf wider than its range by this, mm, is rounding of the range from inches.
const ROUNDED: f64 = 0.02;

#[test]
fn shipped_kerfs_lie_in_the_ranges_of_the_trade_between_rows_too() {
    let plasma = shipped("shop-plasma.toml");
    for thickness in (10..=200).map(|t| f64::from(t) / 10.0) {
        let row = plasma
            .settings("mild steel", thickness)
            .expect("1 to 20 mm without a gap");
        let current = row.current.expect("a current");
        let range = PLASMA_KERF
            .iter()
            .find(|(from, to, ..)| (*from..=*to).contains(&current));
        let (_, _, least, most) = range.expect("a current of the trade");
        assert!(
            (least - ROUNDED..=most + ROUNDED).contains(&row.kerf),
            "{thickness} mm at {current} A: {}",
            row.kerf
        );
    }
    for (table, ranges) in [
        ("shop-laser.toml", &LASER_KERF[..]),
        ("shop-oxy-fuel.toml", &OXY_FUEL_KERF[..]),
    ] {
        let table = shipped(table);
        for (thickness, least, most) in ranges {
            let kerf = table
                .settings("mild steel", *thickness)
                .expect("a row")
                .kerf;
            assert!((*least..=*most).contains(&kerf), "{thickness} mm: {kerf}");
        }
    }
}

/// Smallest holes: plasma 1.5 thicknesses (a plasma design guide, looked up), oxy-fuel the same, laser
/// half a thickness to 12 mm and one above (from memory). Pierce: at least the most of 1.5 kerfs, half a
/// thickness and 3 mm from the edge for a torch (from memory). Pierce delay by thickness from memory.
#[test]
fn shipped_hole_and_pierce_rules_are_those_of_the_trade_between_rows_too() {
    for (name, thickest) in [
        ("shop-plasma.toml", 200),
        ("shop-laser.toml", 200),
        ("shop-oxy-fuel.toml", 500),
    ] {
        let table = shipped(name);
        for thickness in (10..=thickest).map(|t| f64::from(t) / 10.0) {
            let Ok(row) = table.settings("mild steel", thickness) else {
                assert!(
                    name == "shop-oxy-fuel.toml" && thickness < 6.0,
                    "{name} {thickness}"
                );
                continue;
            };
            let least = table.process.smallest_opening(thickness);
            assert!(
                row.smallest_hole >= least - 1e-9,
                "{name} {thickness}: {}",
                row.smallest_hole
            );
            if table.process == Process::Laser {
                assert!(
                    thickness < 3.0 || row.smallest_hole <= least + 0.02,
                    "{name} {thickness}: {}",
                    row.smallest_hole
                );
                continue;
            }
            let clear = (1.5 * row.kerf).max(0.5 * thickness).max(3.0);
            assert!(
                row.pierce_clearance >= clear - 0.35,
                "{name} {thickness}: {}",
                row.pierce_clearance
            );
            assert!(
                row.undersize >= 1.5,
                "a bolt hole in a safety part: 1.5 mm undersize"
            );
        }
    }
    // 14 mm plate: one thickness by laser.
    let row = shipped("shop-laser.toml")
        .settings("mild steel", 14.0)
        .expect("a row");
    assert_relative_eq!(row.smallest_hole, 14.0, epsilon = 0.01);
    let plasma = shipped("shop-plasma.toml");
    for (thickness, least, most) in [
        (3.0, 0.1, 0.4),
        (6.0, 0.4, 0.7),
        (10.0, 0.6, 1.0),
        (12.0, 0.8, 1.5),
        (16.0, 1.2, 2.5),
    ] {
        let wait = plasma
            .settings("mild steel", thickness)
            .expect("a row")
            .pierce_time;
        assert!((least..=most).contains(&wait), "{thickness} mm: {wait} s");
    }
}
