//! Dimensioned drawings: what a builder looks for is there, in both units, and no words stand on one
//! another or leave the page, for every family with dimensions at random; nor in the pictures of the
//! same plates with what the checks say of them.

use crate::support::cart;
use std::fs;

use crate::support::bench::Bench;
use crate::support::family_sets::{at_random, every_family, whole};
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
    for family in every_family() {
        let shelf = Shelf::built_in().family(&family).expect("built in");
        let text = whole(&shelf);
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

/// The numbers of the first path of a group of a picture, by its class and title.
fn numbers_of(svg: &str, class: &str, title: &str, path: usize) -> Vec<f64> {
    let group = format!("<g class=\"{class}\"><title>{title}");
    let group = svg.split(&group).nth(1).expect("the group is there");
    let path = group.split("<path d=\"").nth(path + 1).expect("a path");
    let data = path.split('"').next().expect("its data");
    let words = data.split(|c: char| c.is_ascii_alphabetic() || c == ' ');
    words.filter_map(|it| it.parse().ok()).collect()
}

fn drawn_svg(bench: &Bench, part: &str) -> String {
    bench.write("part.toml", part);
    bench.done(&["draw", "part.toml", "--replace"]);
    let mut files = fs::read_dir(bench.path("out/drawings")).expect("drawings");
    let svg = files.find_map(|it| {
        let path = it.expect("a file").path();
        (path.extension()? == "svg").then_some(path)
    });
    fs::read_to_string(svg.expect("a drawing")).expect("text")
}

/// Ten places in the table leave an upright page too little height for 400 mm at 1:2: 200 mm. ISO 5455 has 1:5 next.
#[test]
fn a_narrow_plate_is_turned_where_that_shows_it_larger_and_says_so() {
    let bench = Bench::new();
    let strap = |holes: u32| {
        format!(
            "shape = \"rectangle\"\nwidth = \"30 mm\"\nheight = \"400 mm\"\nthickness = \"6 mm\"\nholes = [{{ diameter = \
             \"9 mm\", at = [\"15 mm\", \"30 mm\"], along = {{ count = {holes}, step = [\"0 mm\", \"38 mm\"] }} }}]\n"
        )
    };
    let turned = drawn_svg(&bench, &strap(10));
    assert!(turned.contains("view turned 90° counter-clockwise"));
    assert!(turned.contains("<title>1:2</title>"));
    // The width, along x, is measured up the page, and the datum is the lower left corner turned: lower right.
    let [x, y, to_x, to_y] = numbers_of(&turned, "dimension", "overall width", 2)[..] else {
        panic!("a line");
    };
    assert!((x - to_x).abs() < 1e-9 && ((y - to_y).abs() - 15.0).abs() < 0.01);
    let [from, low, to, _] = numbers_of(&turned, "dimension", "overall height", 2)[..] else {
        panic!("a line");
    };
    assert!(((from - to).abs() - 200.0).abs() < 0.01);
    let arm = numbers_of(&turned, "datum", "x 0, y 0", 1);
    let middle = f64::midpoint(arm[0], arm[2]);
    assert!((middle - from.max(to)).abs() < 0.01, "{middle}");
    // Pages count down: above the line of that size.
    assert!(arm[1] < low);
    let upright = drawn_svg(&bench, &strap(1));
    assert!(!upright.contains("view turned"));
    assert!(upright.contains("<title>1:2</title>"));
}

#[test]
fn a_call_out_of_a_fold_ends_beside_its_line() {
    let bench = Bench::new();
    let svg = drawn_svg(&bench, "recipe = \"body-bracket\"\n");
    let line = numbers_of(&svg, "fold", "fold up", 0);
    let leader = numbers_of(&svg, "call-out", "F1", 0);
    assert!((leader[1] - line[1]).abs() < 1e-9, "at its height");
    let right = line[0].max(line[2]);
    assert!(
        (leader[0] - right - 2.5).abs() < 0.01,
        "{leader:?} {line:?}"
    );
}
