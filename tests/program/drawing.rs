//! Dimensioned drawings: what a builder looks for is there, in both units, and no words stand on one
//! another or leave the page, for every family with dimensions at random; nor in the pictures of the
//! same plates with what the checks say of them.

use crate::support::cart;
use std::fs;

use crate::support::bench::Bench;
use crate::support::family_sets::{FAMILIES, at_random};
use platewright::check;
use platewright::cut::Table;
use platewright::export::dimensioned::dimensioned;
use platewright::export::picture::{Item, Picture, Words};
use platewright::export::plate_picture;
use platewright::lettering;
use platewright::plate::{Plate, Scribing, plates};
use platewright::recipe::{Part, Shelf, evaluate};
use platewright::trade::paper::find;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

fn table() -> Table {
    let shelf = Shelf::built_in();
    let text = shelf.table_text("shop-plasma").expect("built in");
    Table::read(&text).unwrap_or_else(|faults| panic!("{faults}"))
}

fn drawing(plate: &Plate, paper: &str) -> Picture {
    let paper = find(paper).expect("a paper size");
    dimensioned(plate, "orchard cart, front end", &table(), paper)
}

fn words(picture: &Picture) -> Vec<&Words> {
    let words = picture.items.iter().filter_map(|item| match item {
        Item::Words(words) => Some(words),
        Item::Shape(_) => None,
    });
    words.collect()
}

fn said(picture: &Picture) -> String {
    let lines = words(picture).into_iter();
    lines.map(|it| it.text.clone() + "\n").collect()
}

/// What is wrong with the words of a drawing: on one another, off the page, or too small to read.
fn faults(picture: &Picture) -> Vec<String> {
    let words = words(picture);
    let mut faults = Vec::new();
    for (i, one) in words.iter().enumerate() {
        let around = one.bounds();
        // Inside of the frame, 8 mm from the edge of the paper.
        if !picture.frame.grown(-8.0).holds(around) {
            faults.push(format!("`{}` leaves the page: {around:?}", one.text));
        }
        if let Some(letter) = lettering::unknown(&one.text) {
            faults.push(format!("`{}` has no letter {letter}", one.text));
        }
        if one.height < 0.9 {
            faults.push(format!("`{}` is {} mm high", one.text, one.height));
        }
        for other in &words[..i] {
            if around.grown(-1e-6).meets(other.bounds()) {
                faults.push(format!("`{}` is on `{}`", one.text, other.text));
            }
        }
    }
    for item in &picture.items {
        if !picture.frame.grown(-7.999).holds(item.bounds()) {
            faults.push(format!("leaves the page: {item:?}"));
        }
    }
    faults
}

/// What is wrong with the words of a picture: on one another, or off it.
fn picture_faults(picture: &Picture) -> Vec<String> {
    let words = words(picture);
    let boxes: Vec<_> = words
        .iter()
        .map(|it| Item::Shape(it.strokes()).bounds())
        .collect();
    let mut faults = Vec::new();
    for (i, around) in boxes.iter().enumerate() {
        if !picture.frame.holds(*around) {
            faults.push(format!("`{}` leaves the picture", words[i].text));
        }
        for (other, taken) in words.iter().zip(&boxes[..i]) {
            if around.meets(*taken) {
                faults.push(format!("`{}` is on `{}`", words[i].text, other.text));
            }
        }
    }
    faults
}

/// The picture of a plate with all that the checks say of it.
fn picture(plate: &Plate, table: &Table) -> Picture {
    plate_picture(plate, &check::run(plate, table.limits(plate).as_ref(), &[]))
}

/// Draws so many sets of dimensions of every family that its rules let through.
fn draw_at_random(sets: usize) {
    let table = table();
    for family in FAMILIES {
        let shelf = Shelf::built_in().family(family).expect("built in");
        let text: toml::Table = shelf.source.text.parse().expect("read before");
        let dimensions = text["dimension"].as_table().expect("a table");
        let mut random = Pcg64Mcg::seed_from_u64(11);
        let mut drawn = 0;
        while drawn < sets {
            let mut part = Part::plain(shelf.clone());
            for (name, block) in dimensions {
                if random.random_bool(0.15) {
                    let block = block.as_table().expect("a table");
                    let setting = at_random(name, block, &mut random);
                    part.set(&setting)
                        .unwrap_or_else(|f| panic!("{setting}: {f}"));
                }
            }
            if evaluate(&part).is_err() {
                continue;
            }
            let Ok(made) = plates(&part) else { continue };
            drawn += 1;
            for plate in made.plates {
                let plate = &plate.scribed(Scribing::On);
                let paper = if drawn % 2 == 0 { "A4" } else { "Letter" };
                let mut faults = faults(&drawing(plate, paper));
                faults.extend(picture_faults(&picture(plate, &table)));
                let size = plate.face.outside.bounds();
                assert!(
                    faults.is_empty(),
                    "{} set {drawn} on {paper}, {size:?}, {:?}:\n{}",
                    plate.name,
                    plate.dimensions,
                    faults.join("\n")
                );
            }
        }
    }
}

#[test]
fn labels_keep_clear_with_dimensions_at_random() {
    draw_at_random(12);
}

/// 200 sets of dimensions of each family.
#[test]
#[ignore = "long: run by the outside checks"]
fn labels_keep_clear_with_very_many_dimensions_at_random() {
    draw_at_random(200);
}

#[test]
fn a_plate_is_sized_and_called_out_in_both_units() {
    let picture = drawing(&cart::hub_adapter().plate, "A4");
    let said = said(&picture);
    for expected in [
        "⌀170 (6.693)",
        "B  5X ⌀13 (0.512)",
        "on ⌀114.3 (4.500)",
        "A  ⌀64 (2.520)",
        // ISO 2306: a tap drill of 6.8 mm for M8.
        "C  M8 tapped",
        "drill 6.8 mm (0.268) through",
        "5 evenly on ⌀114.3 (4.500), the first at 18°",
        "x 0 (0.000), y -70 (-2.756)",
        "orchard cart, front end",
        "mild steel",
        "6 mm (0.236 in)",
        "1:2",
        "ISO 9013 class 2",
    ] {
        assert!(said.contains(expected), "no `{expected}` in\n{said}");
    }
    assert_eq!(faults(&picture), [""; 0]);
}

fn made(family: &str, settings: &[&str]) -> Vec<Plate> {
    let mut part = Part::plain(Shelf::built_in().family(family).expect("built in"));
    for setting in settings {
        part.set(setting)
            .unwrap_or_else(|f| panic!("{setting}: {f}"));
    }
    plates(&part).unwrap_or_else(|f| panic!("{f}")).plates
}

#[test]
fn keyways_slots_folds_and_radii_are_called_out() {
    let flange = &made(
        "flange",
        &["keyway=true", "slotted=first circle", "bolt_count=4"],
    )[0];
    let flange = said(&drawing(flange, "A4"));
    // A keyway 12 wide in a bore of 40.2, 3.3 deep, by the family's defaults; M10 medium is 11 mm.
    for expected in [
        "⌀40.2 (1.583), keyed",
        "keyway 12 (0.472) wide, 43.5",
        "4X slot 11 (0.433) wide",
        "along ⌀110",
    ] {
        assert!(flange.contains(expected), "no `{expected}` in\n{flange}");
    }
    let bracket = made(
        "pedal-bracket",
        &["build=folded", "base_width=150 mm", "spring_reach=28 mm"],
    );
    let folded = bracket
        .iter()
        .find(|plate| !plate.bends.is_empty())
        .expect("a folded plate");
    let folded = said(&drawing(folded, "Letter"));
    for expected in ["F1  fold up 90°", "F2  fold up 90°", "inside R"] {
        assert!(folded.contains(expected), "no `{expected}` in\n{folded}");
    }
    let arm = said(&drawing(&made("steering-arm", &[])[0], "A4"));
    assert!(
        arm.lines()
            .any(|line| line.starts_with('R') || line.contains("X R")),
        "{arm}"
    );
}

#[test]
fn the_command_writes_both_formats() {
    let bench = Bench::new();
    bench.done(&["start", "flange"]);
    bench.done(&["draw", "flange.toml", "--paper", "letter", "--out", "o"]);
    let pdf = fs::read(bench.path("o/drawings/flange.pdf")).expect("a file");
    // Letter, turned: 11 x 8.5 in.
    assert!(String::from_utf8_lossy(&pdf).contains("/MediaBox [0 0 792 612]"));
    let svg = fs::read_to_string(bench.path("o/drawings/flange.svg")).expect("a file");
    assert!(svg.contains("width=\"279.4mm\" height=\"215.9mm\""));
    assert!(!bench.path("o/drawings/flange.png").exists());
    bench.done(&["draw", "flange.toml", "--png", "--out", "o"]);
    for png in ["o/drawings/flange.png", "o/plates/flange.png"] {
        let bytes = fs::read(bench.path(png)).expect("a file");
        assert!(bytes.starts_with(b"\x89PNG"), "{png}");
    }
}
