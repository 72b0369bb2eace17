//! Pictures keep true arcs, show everything a builder looks for, and are the same every time.

use crate::support::cart;
use platewright::check::{Finding, Level};
use platewright::export::{Exporter, Svg, plate_picture, sheet_picture, svg};
use platewright::geometry::Point;

/// The path data of every path of an SVG text.
fn paths(text: &str) -> Vec<&str> {
    text.split("<path d=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .collect()
}

/// The words that the picture shows: the title of every path that has one.
fn words(text: &str) -> Vec<&str> {
    text.split("><title>")
        .skip(1)
        .filter_map(|rest| rest.split_once("</title></path>").map(|it| it.0))
        .collect()
}

#[test]
fn round_holes_are_arcs_of_their_radius() {
    let plate = cart::hub_adapter().plate;
    let text = svg(&plate_picture(&plate, &[]));
    // The outside, then each opening in a group of its own.
    let face = paths(&text)[..8].concat();
    // Each circle is two half turns: the outside, the bore, five bolt holes, one tapped hole.
    for (radius, circles) in [("85", 1), ("32", 1), ("6.5", 5), ("3.4", 1)] {
        let arc = format!("A{radius} {radius} ");
        assert_eq!(face.matches(&arc).count(), 2 * circles, "radius {radius}");
    }
    assert!(!face.contains('L'), "no chord stands in for an arc");
}

#[test]
fn a_plate_is_named_measured_and_called_out() {
    let plate = cart::hub_adapter().plate;
    let text = svg(&plate_picture(&plate, &[]));
    let words = words(&text);
    for expected in [
        "hub-adapter",
        "mild steel 6 mm (0.236 in), 2 off",
        "170 mm (6.693 in)",
        "5 × ⌀13 wheel bolt, on ⌀114.3",
        "⌀64 bore",
        "⌀6.8 guard screw, tapped M8",
    ] {
        assert!(words.contains(&expected), "{expected} is not in {words:?}");
    }
}

#[test]
fn folds_are_dashed_and_say_which_way() {
    let text = svg(&plate_picture(&cart::pedal_bracket().plate, &[]));
    assert!(words(&text).contains(&"fold up 90°, R6"));
    assert!(text.contains("stroke-dasharray"));
}

#[test]
fn findings_with_a_place_carry_their_number_in_the_list() {
    let finding = |at| Finding {
        check: "thin web".to_owned(),
        level: Level::Warn,
        message: "2 mm of metal".to_owned(),
        remedy: "move the hole".to_owned(),
        source: "common practice, no source".to_owned(),
        at,
    };
    let findings = [finding(None), finding(Some(Point::new(10.0, 20.0)))];
    let text = svg(&plate_picture(&cart::pedal_bracket().plate, &findings));
    let words = words(&text);
    assert!(words.contains(&"2"));
    assert!(!words.contains(&"1"), "the first has no place to mark");
}

#[test]
fn a_sheet_shows_each_plate_the_order_and_what_is_left() {
    let plates = cart::plates();
    let sheet = cart::sheet(&plates);
    let text = svg(&sheet_picture(&sheet, &plates, &[]));
    let words = words(&text);
    for name in ["hub-adapter 1", "hub-adapter 2", "pedal-bracket"] {
        assert!(words.contains(&name));
    }
    for order in 1..=sheet.plan.paths.len() {
        assert!(words.contains(&order.to_string().as_str()), "path {order}");
    }
    // The bracket's outline ends at x = 460 of 500.
    assert!(words.contains(&"used 460 mm (18.110 in)"));
    assert!(words.contains(&"left 40 × 400 mm"));
}

#[test]
fn everything_lies_on_the_page() {
    let plates = cart::plates();
    let sheet = cart::sheet(&plates);
    for picture in [
        sheet_picture(&sheet, &plates, &[]),
        plate_picture(&plates[0].plate, &[]),
    ] {
        for item in &picture.items {
            assert!(picture.frame.holds(item.bounds()));
        }
    }
}

#[test]
fn the_same_picture_gives_the_same_bytes() {
    let draw = || {
        let plates = cart::plates();
        Svg.export(&sheet_picture(&cart::sheet(&plates), &plates, &[]))
    };
    assert!(draw().is_ok() && draw() == draw());
}

#[test]
fn words_from_people_cannot_break_the_picture() {
    let mut plate = cart::pedal_bracket().plate;
    plate.material = "<steel> & \"more\"".to_owned();
    let text = svg(&plate_picture(&plate, &[]));
    assert!(text.contains("&lt;steel&gt; &amp; &quot;more&quot;"));
    assert!(!text.contains("<steel>"));
}

#[test]
fn no_two_labels_of_a_sheet_overlap() {
    use platewright::export::picture::Item;
    let plates = cart::plates();
    let picture = sheet_picture(&cart::sheet(&plates), &plates, &[]);
    let words = picture.items.iter().filter_map(|item| match item {
        Item::Words(words) => Some((words.text.as_str(), words.strokes())),
        Item::Shape(_) => None,
    });
    let boxes: Vec<_> = words
        .map(|(text, strokes)| (text, Item::Shape(strokes).bounds()))
        .collect();
    assert!(boxes.len() > 20);
    for (i, (text, label)) in boxes.iter().enumerate() {
        for (other, taken) in &boxes[..i] {
            assert!(!label.meets(*taken), "`{text}` lies on `{other}`");
        }
    }
}

/// What fits on a page of A4 or Letter with margins and a heading, mm.
const PAGE: (f64, f64) = (186.0, 245.0);

#[test]
fn lines_and_words_are_thick_and_high_enough_in_print() {
    use platewright::export::picture::Item;
    let plates = cart::plates();
    let pictures = [
        sheet_picture(&cart::sheet(&plates), &plates, &[]),
        plate_picture(&plates[0].plate, &[]),
        plate_picture(&plates[1].plate, &[]),
    ];
    for picture in pictures {
        let (width, height) = (picture.frame.width(), picture.frame.height());
        let scale = picture.enlarged.min(PAGE.0 / width).min(PAGE.1 / height);
        for item in &picture.items {
            let (thickness, says) = match item {
                Item::Shape(shape) => {
                    let drawn = shape.stroke.map(|it| picture.printable(it));
                    (drawn.map(|it| it.width), "a line")
                }
                Item::Words(words) => {
                    // What is scribed is as high as it is on the metal.
                    let is_mark = words.text == "5 \u{d7} M12" || words.text == "PEDAL";
                    assert!(
                        is_mark || words.height * scale >= 1.2,
                        "{} in {}",
                        words.text,
                        picture.title
                    );
                    (None, "")
                }
            };
            if let Some(thickness) = thickness {
                let least = 0.97 * platewright::export::picture::THINNEST;
                assert!(thickness * scale >= least, "{says} in {}", picture.title);
            }
        }
    }
}
