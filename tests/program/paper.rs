//! True-size templates: every page has its bars and words, tiles join, nothing leaves the paper.

use crate::support::cart;
use std::fs;

use crate::support::bench::Bench;
use crate::support::family_sets::every_family;
use platewright::export::paper::{Shows, Template, template};
use platewright::export::pdf::PdfView;
use platewright::export::picture::{Ink, Item, Words};
use platewright::export::{Ends, Exporter, PdfFile};
use platewright::geometry::{Bounds, Circle, Contour, Point, Vector};
use platewright::lettering;
use platewright::plate::{Plate, plates};
use platewright::recipe::{Part, Shelf};
use platewright::trade::cautions;
use platewright::trade::paper::find;

/// The adapter of the fixture made so many times as large.
fn disc(diameter: f64) -> Plate {
    let mut plate = cart::hub_adapter().plate;
    let radius = diameter / 2.0;
    plate.face.outside = Contour::circle(Point::ORIGIN, radius);
    for (opening, edge) in plate.openings.iter_mut().zip(&mut plate.face.openings) {
        let hole = opening.circle.expect("all are round");
        let centre = Point::ORIGIN + (hole.centre - Point::ORIGIN) * (radius / 85.0);
        let hole = Circle {
            centre,
            radius: hole.radius * radius / 85.0,
        };
        *edge = Contour::circle(centre, hole.radius);
        opening.circle = Some(hole);
    }
    plate.cautions = vec!["safety-critical".to_owned(), "steering".to_owned()];
    plate
}

fn on(plate: &Plate, paper: &str, shows: Shows) -> Template {
    let paper = find(paper).expect("a paper size");
    template(plate, paper, shows).unwrap_or_else(|fault| panic!("{fault}"))
}

fn words(view: &PdfView) -> impl Iterator<Item = &Words> {
    view.picture.items.iter().filter_map(|item| match item {
        Item::Words(words) => Some(words),
        Item::Shape(_) => None,
    })
}

fn all_words(template: &Template, page: usize) -> String {
    let views = &template.document.pages[page].views;
    let words = views.iter().flat_map(words);
    words.map(|it| it.text.clone() + "\n").collect()
}

/// Lines of a length along a way on a page.
fn lines(view: &PdfView, way: Vector, length: f64) -> usize {
    let shapes = view.picture.items.iter().filter_map(|item| match item {
        Item::Shape(shape) => Some(shape),
        Item::Words(_) => None,
    });
    let pieces = shapes
        .flat_map(|shape| &shape.chains)
        .flat_map(|chain| &chain.segments);
    let along = pieces.filter(|piece| {
        let run = piece.end() - piece.start();
        (run.dot(way) - length).abs() < 1e-9 && run.cross(way).abs() < 1e-9
    });
    along.count()
}

#[test]
fn every_page_has_bars_both_ways_and_says_how_to_print() {
    for (paper, diameter, pages) in [
        ("A4", 20.0, 1),
        ("A4", 170.0, 1),
        ("Letter", 170.0, 1),
        ("A4", 400.0, 7),
        ("Letter", 900.0, 25),
    ] {
        let made = on(&disc(diameter), paper, Shows::Plate);
        assert_eq!(made.document.pages.len(), pages, "{diameter} on {paper}");
        for (number, page) in made.document.pages.iter().enumerate() {
            let last = page.views.last().expect("what is on every page");
            for way in [Vector::new(1.0, 0.0), Vector::new(0.0, 1.0)] {
                assert_eq!(lines(last, way, 100.0), 1, "100 mm on page {number}");
                assert_eq!(lines(last, way, 101.6), 1, "4 in on page {number}");
            }
            let said = all_words(&made, number);
            assert!(said.contains("do not fit"), "page {number}: {said}");
            assert!(said.contains("hub-adapter") && said.contains("6 mm (0.236 in)"));
        }
        let last = all_words(&made, pages - 1);
        assert!(last.contains("people can die"), "{diameter}: {last}");
    }
}

/// Whoever has only the paper in hand reads every caution of the part that can kill.
#[test]
fn every_family_prints_its_cautions_on_the_paper() {
    let shelf = Shelf::built_in();
    for family in every_family() {
        let part = Part::plain(shelf.family(&family).expect("built in"));
        for plate in plates(&part).expect(&family).plates {
            let made = on(&plate, "A4", Shows::Plate);
            let pages = 0..made.document.pages.len();
            let said: String = pages.map(|page| all_words(&made, page)).collect();
            let said = said.replace('\n', " ");
            assert!(!plate.cautions.is_empty(), "{family}");
            for topic in &plate.cautions {
                let text = cautions::text(topic).expect(topic);
                assert!(said.contains(text), "{family}, {topic}: {said}");
            }
        }
    }
}

#[test]
fn words_and_lines_of_every_page_stay_within_the_margin() {
    for (paper, diameter) in [("A4", 20.0), ("Letter", 170.0), ("A4", 900.0)] {
        for page in on(&disc(diameter), paper, Shows::Plate).document.pages {
            let printable = Bounds {
                min: Point::ORIGIN,
                max: Point::new(page.width, page.height),
            }
            .grown(-6.5);
            for view in &page.views {
                assert!(
                    Bounds::around([Point::ORIGIN]).meets(view.window)
                        || printable.holds(view.window)
                );
            }
            let last = page.views.last().expect("what is on every page");
            for item in &last.picture.items {
                let around = match item {
                    Item::Shape(_) => item.bounds(),
                    Item::Words(words) => {
                        let along = Vector::from_angle(words.turn);
                        let end = words.at + along * lettering::width(&words.text, words.height);
                        Bounds::around([words.at, end])
                    }
                };
                let around = around.grown(-1e-9);
                let key = matches!(item, Item::Words(words) if words.text.len() < 3);
                assert!(key || printable.holds(around), "{item:?} on {paper}");
            }
        }
    }
}

#[test]
fn hole_centres_alone_leave_the_holes_out_and_dash_the_edges() {
    let plate = disc(120.0);
    let shapes = |shows| {
        let made = on(&plate, "A4", shows);
        let view = &made.document.pages[0].views[0];
        let closed = view.picture.items.iter().filter(|item| {
            let Item::Shape(shape) = item else {
                return false;
            };
            let is_edge = shape.stroke.is_some_and(|stroke| stroke.ink == Ink::Edge);
            is_edge && shape.chains[0].ends == Ends::Closed
        });
        closed.count()
    };
    // Outside, bore, six holes and the ring where places count from; without the holes, outside and bore.
    assert_eq!(shapes(Shows::Plate), 9);
    assert_eq!(shapes(Shows::HoleCentres), 2);
}

#[test]
fn a_plate_too_large_for_the_paper_is_told_so() {
    let refused = template(&disc(9000.0), find("A4").expect("a size"), Shows::Plate);
    let refused = refused.expect_err("thousands of pages");
    let said = &refused.message;
    assert!(said.contains("pages of A4, more than the 150"), "{said}");
    // The paper that is named does, and the one below it does not.
    let remedy = refused.remedy.expect("larger paper");
    assert!(remedy.contains("`--paper A0`"), "{remedy}");
    let on = |paper: &str| template(&disc(9000.0), find(paper).expect("a size"), Shows::Plate);
    assert!(on("A0").is_ok() && on("A1").is_err());
}

/// A plate for a table of 3 by 6 m.
const WIDE: &str = r#"
title = "Wide plate"
about = "For a large table."
cautions = ["template check"]
[dimension.thickness]
says = "thickness"
default = "6 mm"
[[plate]]
[[plate.step]]
add = "rectangle"
width = "5800 mm"
height = "2800 mm"
"#;

#[test]
fn cut_tells_of_a_plate_that_has_no_template() {
    let bench = Bench::new();
    let table = Shelf::built_in()
        .table_text("shop-plasma")
        .expect("built in");
    let table = table
        .text
        .replace(
            "bed = [\"1300 mm\", \"2550 mm\"]",
            "bed = [\"7 m\", \"4 m\"]",
        )
        .replace(
            "sheet = [\"1220 mm\", \"2440 mm\"]",
            "sheet = [\"6 m\", \"3 m\"]",
        );
    bench.write("large.toml", &table);
    bench.write("wide-plate.toml", WIDE);
    bench.write("wide.toml", "recipe = \"wide-plate\"\ntable = \"large\"\n");
    let said = bench.done(&["cut", "wide.toml", "--out", "o"]);
    assert!(said.contains("there is no template of it"), "{said}");
    assert!(said.contains("--paper A2"), "{said}");
    assert!(!bench.path("o/paper/wide-plate.pdf").exists());
    let page = fs::read_to_string(bench.path("o/report.html")).expect("a page");
    assert!(page.contains("there is no template of it"));
    bench.done(&["cut", "wide.toml", "--out", "o", "--paper", "A2"]);
    assert!(bench.path("o/paper/a2/wide-plate.pdf").exists());
    let page = fs::read_to_string(bench.path("o/report.html")).expect("a page");
    assert!(page.contains("href=\"paper/a2/wide-plate.pdf\""));
}

#[test]
fn the_same_plate_gives_the_same_bytes() {
    let bytes = || PdfFile.export(&on(&disc(400.0), "A4", Shows::Plate).document);
    assert_eq!(bytes().expect("pages"), bytes().expect("pages"));
}

#[test]
fn the_command_writes_a_file_for_every_plate() {
    let bench = Bench::new();
    bench.done(&["start", "pedal-bracket"]);
    let said = bench.done(&[
        "paper",
        "pedal-bracket.toml",
        "--paper",
        "letter",
        "--out",
        "o",
    ]);
    assert!(
        said.contains("of Letter") && said.contains("measure the bars"),
        "{said}"
    );
    for plate in ["cheek", "base", "pedal"] {
        let file = bench.path(&format!("o/paper/letter/pedal-bracket-{plate}.pdf"));
        let bytes = fs::read(file).expect("a file");
        assert!(bytes.starts_with(b"%PDF-1.7"));
    }
}
