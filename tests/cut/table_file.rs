//! Settings files of tables: what they say, what lies between their rows, and what is refused.

use std::fs;
use std::path::Path;

use approx::assert_relative_eq;
use platewright::cut::{Process, Swirl, Table};
use platewright::fault::Source;

const ROWS: &str = r#"
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

fn read(text: &str) -> Table {
    Table::read(&Source::inline("shed.toml", text)).expect("a sound file")
}

fn faults(text: &str) -> Vec<String> {
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
    let fault = table
        .settings("mild stel", 6.0)
        .expect_err("no such material");
    assert!(
        fault.to_string().contains("did you mean \"mild steel\"?"),
        "{fault}"
    );
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
    assert!(count >= 2, "{count} tables");
}
