//! What recipes say beside the metal: plates that rules stand with, where places are measured from, sizes to be
//! drawn, things that are shown and never cut, and corners rounded near a place.

use std::f64::consts::PI;

use super::workbench::{make, plate, said};
use platewright::cut::Table;
use platewright::export::dimensioned::dimensioned;
use platewright::export::picture::{Item, Picture};
use platewright::export::{Dxf, Exporter, Release, plate_drawing, plate_picture};
use platewright::geometry::Point;
use platewright::plate::Plate;
use platewright::recipe::Shelf;
use platewright::trade::paper::find;

fn words(picture: &Picture) -> Vec<&str> {
    let words = picture.items.iter().filter_map(|item| match item {
        Item::Words(words) => Some(words.text.as_str()),
        Item::Shape(_) => None,
    });
    words.collect()
}

fn drawing(plate: &Plate) -> Picture {
    let text = Shelf::built_in()
        .table_text("shop-plasma")
        .expect("built in");
    let table = Table::read(&text).unwrap_or_else(|faults| panic!("{faults}"));
    dimensioned(plate, "cart", &table, find("A4").expect("a paper"))
}

fn says(picture: &Picture, class: &str) -> Vec<String> {
    let groups = picture.groups.iter().filter(|it| it.tag.class == class);
    groups.map(|it| it.tag.says.clone()).collect()
}

/// A bracket for a brake disc of 220 mm that is none of it.
const BRACKET: &str = r#"[[plate]]
datum = { at = ["10 mm", "0 mm"], says = "the middle of the slot" }
[[plate.dimension]]
from = ["0 mm", "0 mm"]
to = ["0 mm", "-40 mm"]
says = "from the slot down to the disc"
[[plate.step]]
add = "rectangle"
width = "80 mm"
height = "50 mm"
[[plate.step]]
show = "disc"
name = "brake disc"
diameter = "220 mm"
at = ["0 mm", "-110 mm"]
"#;

#[test]
fn what_is_shown_stands_on_pictures_and_is_never_cut() {
    let bare = BRACKET.replace(
        "show = \"disc\"",
        "show = \"disc\"\nwhen = \"thickness > 1 m\"",
    );
    let [shown, bare] = [BRACKET, &bare].map(|body| {
        let made = make(body, "").unwrap_or_else(|faults| panic!("{faults}"));
        made.plates.into_iter().next().expect("one")
    });
    assert_eq!(shown.beside.shown.len(), 1);
    assert_eq!(shown.face, bare.face);
    // Of the disc the pictures have what lies near the plate, in lines of its own.
    for picture in [plate_picture(&shown, &[]), drawing(&shown)] {
        assert_eq!(says(&picture, "beside"), ["brake disc"]);
    }
    assert!(says(&plate_picture(&bare, &[]), "beside").is_empty());
    // The drawing that is cut is the same to the byte.
    let [one, other] = [&shown, &bare].map(|it| {
        let file = Dxf {
            release: Release::R2000,
        };
        file.export(&plate_drawing(it)).expect("a drawing")
    });
    assert_eq!(one, other);
}

#[test]
fn the_drawing_shows_the_sizes_that_the_recipe_wants() {
    let made = make(BRACKET, "").unwrap_or_else(|faults| panic!("{faults}"));
    let picture = drawing(&made.plates[0]);
    let words = words(&picture);
    assert!(
        words.contains(&"from the slot down to the disc"),
        "{words:?}"
    );
    assert!(
        words.iter().any(|it| it.starts_with("40 (1.575)")),
        "{words:?}"
    );
    assert_eq!(says(&picture, "size").len(), 1);
}

#[test]
fn places_are_measured_from_where_the_recipe_says() {
    let made = make(BRACKET, "").unwrap_or_else(|faults| panic!("{faults}"));
    let datum = made.plates[0].datum();
    assert_eq!(
        (datum.at, datum.says.as_str()),
        (Point::new(10.0, 0.0), "the middle of the slot")
    );
    // Of a pair, the right one has it on the other side.
    let pair = BRACKET.replace("[[plate]]\n", "[[plate]]\nhand = \"pair\"\n");
    let made = make(&pair, "").unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(made.plates[1].datum().at, Point::new(-10.0, 0.0));
}

#[test]
fn corners_are_rounded_near_a_place_only() {
    let square = |round: &str| {
        plate(&format!(
            "[[plate.step]]\nadd = \"rectangle\"\nwidth = \"100 mm\"\nheight = \"60 mm\"\n[[plate.step]]\n{round}"
        ))
        .net_area()
    };
    // A corner of radius r is r^2 (1 - pi / 4) smaller than a sharp one.
    let corner = 100.0 * (1.0 - PI / 4.0);
    let near =
        "round = \"outside\"\nradius = \"10 mm\"\nat = [\"50 mm\", \"30 mm\"]\nreach = \"20 mm\"\n";
    assert!((6000.0 - square(near) - corner).abs() < 1e-6);
    let upper = near
        .replace("[\"50 mm\", \"30 mm\"]", "[\"0 mm\", \"30 mm\"]")
        .replace("20 mm", "55 mm");
    assert!((6000.0 - square(&upper) - 2.0 * corner).abs() < 1e-6);
    // Concave corners are filled.
    let cross = |round: &str| {
        plate(&format!(
            "[[plate.step]]\nadd = \"rectangle\"\nwidth = \"100 mm\"\nheight = \"20 mm\"\n\
             [[plate.step]]\nadd = \"rectangle\"\nwidth = \"20 mm\"\nheight = \"100 mm\"\n[[plate.step]]\n{round}"
        ))
        .net_area()
    };
    let inside = near
        .replace("outside", "inside")
        .replace("[\"50 mm\", \"30 mm\"]", "[\"10 mm\", \"10 mm\"]")
        .replace("20 mm", "1 mm");
    assert!((cross(&inside) - 3600.0 - corner).abs() < 1e-6);
    let said = said(
        "[[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"90 mm\"\n[[plate.step]]\nround = \"outside\"\nradius = \"3 mm\"\nreach = \"4 mm\"\n",
        "",
    );
    assert!(said[0].contains("`at` is missing from a step"), "{said:?}");
}

/// Two plates, of which the first may be left out.
const TWO: &str = r#"[dimension.lug]
says = "a lug too"
default = true
[[rule]]
need = "thickness >= 10 mm"
otherwise = "the lug is thin: make it thicker"
level = "warn"
plate = "lug"
near = "eye"
[[note]]
says = "weld the back all round"
plate = "back"
[[hold]]
says = "the lug"
not_checked = "have it checked"
plate = "lug"
[[bolt]]
says = "the lug"
thread = "'M8'"
class = "'8.8'"
count = "1"
grip = "thickness"
plate = "lug"
[[plate]]
name = "back"
[[plate.step]]
add = "disc"
diameter = "90 mm"
[[plate.step]]
cut = "disc"
diameter = "20 mm"
name = "eye"
purpose = "bore"
[[plate]]
name = "lug"
when = "lug"
[[plate.step]]
add = "disc"
diameter = "50 mm"
[[plate.step]]
cut = "disc"
diameter = "10 mm"
at = ["5 mm", "0 mm"]
name = "eye"
purpose = "pin"
"#;

#[test]
fn findings_stand_with_the_plate_that_they_are_about() {
    let made = make(TWO, "").unwrap_or_else(|faults| panic!("{faults}"));
    let messages: Vec<&str> = made.findings.iter().map(|it| it.message.as_str()).collect();
    assert_eq!(messages, ["weld the back all round", "the lug is thin"]);
    // The eye of the lug, not that of the back.
    assert_eq!(made.findings[1].at, Some(Point::new(5.0, 0.0)));
    // Alone, each has what is said of it.
    for (plate, said) in [
        ("lug", "the lug is thin"),
        ("back", "weld the back all round"),
    ] {
        let made = make(TWO, &format!("plates = [\"{plate}\"]\n"));
        let made = made.unwrap_or_else(|faults| panic!("{faults}"));
        assert_eq!(made.findings.len(), 1, "{plate}");
        assert_eq!(made.findings[0].message, said);
    }
}

#[test]
fn what_stands_with_a_plate_that_is_not_made_is_told() {
    let made = make(TWO, "lug = false\n").unwrap_or_else(|faults| panic!("{faults}"));
    let messages: Vec<&str> = made.findings.iter().map(|it| it.message.as_str()).collect();
    assert_eq!(
        messages,
        [
            "weld the back all round",
            "lug is not made, and what stands with it is not told: 1 way to fail and 1 kind of bolts",
        ]
    );
    // Of two it is told as of two.
    let third = TWO.replace(
        "[[plate]]\nname = \"lug\"",
        "[[bolt]]\nsays = \"the ear\"\nthread = \"'M8'\"\nclass = \"'8.8'\"\ncount = \"1\"\ngrip = \"thickness\"\nplate = \"ear\"\n\
         [[plate]]\nname = \"ear\"\nwhen = \"lug\"\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"30 mm\"\n\
         [[plate]]\nname = \"lug\"",
    );
    let made = make(&third, "lug = false\n").unwrap_or_else(|faults| panic!("{faults}"));
    let told = made.findings.last().expect("a note");
    assert_eq!(
        told.message,
        "lug and ear are not made, and what stands with them is not told: 1 way to fail and 2 kinds of bolts"
    );
    assert!(
        told.remedy.starts_with("see to these yourself"),
        "{}",
        told.remedy
    );
    // What does not count is not missed.
    let counted = TWO
        .replace("[[hold]]\n", "[[hold]]\nwhen = \"lug\"\n")
        .replace("[[bolt]]\n", "[[bolt]]\nwhen = \"lug\"\n");
    let made = make(&counted, "lug = false\n").unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(made.findings.len(), 1);
    let said = said(&TWO.replace("plate = \"back\"", "plate = \"bak\""), "");
    assert!(said[0].contains("there is no plate `bak`"), "{said:?}");
}
