//! A hole has one place: drawing, report, page, drill list and net DXF count its x and y from one spot of
//! the plate, which is there to be found. Every family with its options.

use std::f64::consts::TAU;
use std::fs;
use std::path::Path;

use crate::support::bench::Bench;
use platewright::geometry::{Contour, Point, Segment};
use serde_json::Value;

type Place = (f64, f64);

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn list(value: &Value) -> &[Value] {
    value.as_array().expect("a list")
}

fn place(it: &Value) -> Place {
    (number(&it["x_mm"]), number(&it["y_mm"]))
}

fn apart(a: Place, b: Place) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// The words of a picture in their order.
fn words(svg: &str) -> Vec<&str> {
    let titles = svg.split("><title>").skip(1);
    titles
        .filter_map(|rest| rest.split_once("</title></path>").map(|it| it.0))
        .collect()
}

/// `x 12.5 (0.492), y -3 (-0.118)` somewhere in some words.
fn told_place(words: &str) -> Option<Place> {
    let after = |sign: &str| {
        let rest = words.split(sign).nth(1)?;
        rest.split([' ', ',']).next()?.parse::<f64>().ok()
    };
    Some((after("x ")?, after(", y ")?))
}

/// The places that a row of the table tells: its own, or those of a pattern.
fn places(row: &str) -> Vec<Place> {
    let Some((count, rest)) = row.split_once(" evenly on ⌀") else {
        return told_place(row).into_iter().collect();
    };
    let count: u32 = count.parse().expect("how many");
    let circle = rest.split(' ').next().and_then(|it| it.parse::<f64>().ok());
    let radius = circle.expect("a pitch circle") / 2.0;
    let (about, first) = rest.split_once(", the first at ").expect("an angle");
    let first: f64 = first.trim_end_matches('°').parse().expect("degrees");
    let middle = told_place(about).unwrap_or((0.0, 0.0));
    let turn = |k: u32| first.to_radians() + TAU * f64::from(k) / f64::from(count);
    (0..count)
        .map(|k| {
            let (sin, cos) = turn(k).sin_cos();
            (middle.0 + radius * cos, middle.1 + radius * sin)
        })
        .collect()
}

/// The rows of a drawing's table: what stands where the openings' places stand.
fn table_places(svg: &str) -> Vec<Place> {
    let rows = words(svg).into_iter();
    let rows = rows.filter(|it| it.starts_with("x ") || it.contains(" evenly on ⌀"));
    rows.flat_map(places).collect()
}

/// Every place of one list has one of the other, within `most` mm.
fn assert_same(what: &str, these: &[Place], those: &[Place], most: f64) {
    assert_eq!(these.len(), those.len(), "{what}: {these:?} {those:?}");
    let mut left = those.to_vec();
    for at in these {
        let near = left.iter().position(|other| apart(*at, *other) <= most);
        let near = near.unwrap_or_else(|| panic!("{what}: nothing at {at:?} among {left:?}"));
        left.swap_remove(near);
    }
}

/// Circles of a layer of a DXF, and the words on its layer NOTE.
fn circles(path: &Path, layer: &str) -> (Vec<Place>, Vec<String>) {
    let drawing = dxf::Drawing::load_file(path).expect("a DXF");
    let mut found = Vec::new();
    let mut notes = Vec::new();
    for entity in drawing.entities() {
        match &entity.specific {
            dxf::entities::EntityType::Circle(circle) if entity.common.layer == layer => {
                found.push((circle.center.x, circle.center.y));
            }
            dxf::entities::EntityType::Text(text) if entity.common.layer == "NOTE" => {
                notes.push(text.value.clone());
            }
            _ => {}
        }
    }
    (found, notes)
}

#[test]
fn a_hole_is_at_one_place_wherever_it_is_told() {
    let bench = Bench::new();
    let variants = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/family-variants.toml");
    fs::copy(variants, bench.path("job.toml")).expect("a copy");
    bench.done(&["cut", "job.toml", "--out", "o", "--seconds", "0"]);
    let read = |name: &str| {
        let path = bench.path(&format!("o/{name}"));
        fs::read_to_string(path).unwrap_or_else(|why| panic!("{name}: {why}"))
    };
    let report: Value = serde_json::from_str(&read("report.json")).expect("JSON");
    let page = read("report.html");
    let plates = list(&report["plates"]);
    assert!(plates.len() > 30, "{}", plates.len());
    for plate in plates {
        let name = plate["name"].as_str().expect("a name");
        let datum = plate["datum"].as_str().expect("a datum");
        let openings = list(&plate["openings"]);
        let told: Vec<Place> = openings.iter().map(place).collect();
        // The drawing: to a hundredth of a mm, patterns to a hundredth of a degree.
        let drawing = read(&format!("drawings/{name}.svg"))
            .replace("&apos;", "'")
            .replace("&#39;", "'");
        let from = format!("x and y from {datum}, angles");
        assert!(drawing.contains(&from), "{name}: not {from}");
        assert_same(name, &told, &table_places(&drawing), 0.05);
        // The net drawing, whose note says what its origin is.
        let file = bench.path(&format!("o/{}", plate["file"].as_str().expect("a file")));
        let (holes, notes) = circles(&file, "INSIDE");
        let round = openings.iter().filter(|it| it.get("diameter_mm").is_some());
        assert_same(name, &round.map(place).collect::<Vec<_>>(), &holes, 2e-6);
        let note = format!("x 0, y 0 is {datum}, drawn in mm");
        assert_eq!(notes, [note], "{name}");
        // The drill list has the opening's own place.
        for drill in list(&plate["drill_list"]) {
            let same = openings.iter().find(|it| it["name"] == drill["opening"]);
            let at = same.map(place).expect("the opening of a drill line");
            assert!(apart(place(drill), at) < 1e-9, "{name}: {drill}");
        }
        // The page has the same numbers in its tables.
        let article = page.split(&format!("id=\"plate-{name}\"")).nth(1);
        let article = article.and_then(|it| it.split("</article>").next());
        let article = article.unwrap_or_else(|| panic!("{name} is not on the page"));
        assert!(openings.is_empty() || article.contains(&format!("x and y from {datum}, ")));
        let cells: Vec<Option<f64>> = article.split("<td>").map(leading).collect();
        for (x, y) in told {
            let is_it = |it: &[Option<f64>]| {
                it.iter()
                    .zip([x, y])
                    .all(|(cell, wanted)| cell.is_some_and(|it| (it - wanted).abs() < 0.0006))
            };
            assert!(
                cells.windows(2).any(is_it),
                "{name}: {x}, {y} is not in its table"
            );
        }
    }
}

/// The millimetres that a cell of a list begins with.
fn leading(cell: &str) -> Option<f64> {
    cell.split_once(" mm")?.0.parse().ok()
}

#[test]
fn the_spot_that_places_count_from_is_on_the_plate() {
    let bench = Bench::new();
    let variants = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/family-variants.toml");
    fs::copy(variants, bench.path("job.toml")).expect("a copy");
    bench.done(&["cut", "job.toml", "--out", "o", "--seconds", "0"]);
    let report = fs::read_to_string(bench.path("o/report.json")).expect("a report");
    let report: Value = serde_json::from_str(&report).expect("JSON");
    let mut kinds = std::collections::BTreeSet::new();
    for plate in list(&report["plates"]) {
        let datum = plate["datum"].as_str().expect("a datum");
        let file = bench.path(&format!("o/{}", plate["file"].as_str().expect("a file")));
        let at_zero = |it: &&Value| apart(place(it), (0.0, 0.0)) < 1e-6;
        let there = list(&plate["openings"]).iter().find(at_zero);
        let outline = platewright::plate::drawing::outlines(
            &file,
            &platewright::plate::drawing::ReadingRules::default(),
        )
        .expect("an outline");
        let corner = outline.region.bounds().min;
        match datum {
            "the middle of the bore" => assert_eq!(there.expect("a bore")["purpose"], "bore"),
            "the middle of the outside" => {
                assert!(!circles(&file, "OUTSIDE").0.is_empty(), "{datum}");
            }
            "the left and the lower edge" => {
                assert!(corner.x.abs() < 1e-6 && corner.y.abs() < 1e-6, "{corner:?}");
            }
            "the lower left corner of the box around it" => {
                assert!(corner.x.abs() < 1e-6 && corner.y.abs() < 1e-6, "{corner:?}");
            }
            _ => match there {
                Some(hole) => {
                    let name = hole["name"].as_str().expect("a name");
                    assert_eq!(datum, format!("the middle of {name}"));
                }
                // What a recipe names: a corner of the plate.
                None => {
                    let contours = outline.region.contours();
                    let mut corners = contours.flat_map(Contour::segments).map(Segment::start);
                    assert!(
                        corners.any(|it| it.distance(Point::ORIGIN) < 1e-6),
                        "{datum}"
                    );
                }
            },
        }
        kinds.insert(datum.chars().take(13).collect::<String>());
    }
    assert!(kinds.len() >= 3, "{kinds:?}");
}
