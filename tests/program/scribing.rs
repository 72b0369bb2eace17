//! What is scribed on the plates of every family keeps to the metal, and one option turns it off.

use crate::support::bench::Bench;
use crate::support::family_sets::every_family;
use platewright::cut::Layer;
use platewright::export::{Dxf, Entity, Exporter, Release, plate_drawing};
use platewright::geometry::{Contour, Point, Segment};
use platewright::lettering;
use platewright::plate::{Handed, Mark, Plate, Scribed, Scribing, plates};
use platewright::recipe::{Part, Shelf};

/// A stroke ends this far from every edge at least, mm, less what rounding and sampling take.
const CLEAR: f64 = 1.0 - 1e-3;

fn of_family(family: &str, settings: &[&str]) -> Vec<Plate> {
    let mut part = Part::plain(Shelf::built_in().family(family).expect("built in"));
    for setting in settings {
        part.set(setting)
            .unwrap_or_else(|faults| panic!("{faults}"));
    }
    plates(&part)
        .unwrap_or_else(|faults| panic!("{faults}"))
        .plates
}

/// Plates of every family, and of some with other builds.
fn all() -> Vec<Plate> {
    let mut all = Vec::new();
    for family in every_family() {
        all.extend(of_family(&family, &[]));
    }
    all.extend(of_family("pedal-bracket", &["build=folded"]));
    all
}

/// Points along a stroke, every half millimetre or nearer.
fn points(scribed: &Scribed) -> Vec<Point> {
    let along = |pieces: &[Segment]| {
        pieces
            .iter()
            .flat_map(|piece| {
                let steps = (piece.length() / 0.5).ceil().max(1.0) as u32;
                (0..=steps).map(move |k| piece.point_at(f64::from(k) / f64::from(steps)))
            })
            .collect()
    };
    match scribed {
        Scribed::Circle(circle) => along(Contour::circle(circle.centre, circle.radius).segments()),
        Scribed::Stroke(pieces) => along(pieces),
    }
}

fn name_mark(plate: &Plate) -> Option<&Mark> {
    let named = |it: &&Mark| matches!(it, Mark::Text { text, .. } if text.contains(&plate.name));
    plate.marks.iter().find(named)
}

#[test]
fn no_stroke_lies_on_an_opening_or_crosses_an_edge() {
    let (all, mut bare) = (all(), 0);
    let count = all.len();
    for plate in all {
        let plate = plate.scribed(Scribing::On);
        let strokes = plate.strokes();
        bare += usize::from(strokes.is_empty());
        for at in strokes.iter().flat_map(points) {
            assert!(plate.face.contains(at), "{}: {at:?}", plate.name);
            let edges = std::iter::once(&plate.face.outside).chain(&plate.face.openings);
            let gap = edges.map(|edge| edge.gap_to_point(at).distance);
            let gap = gap.fold(f64::INFINITY, f64::min);
            assert!(gap > 0.0, "{}: {at:?} on an edge", plate.name);
        }
    }
    // Rings and small plates with a long name have no room for it.
    assert!(bare * 10 <= count, "{bare} of {count} have nothing scribed");
}

#[test]
fn strokes_end_short_of_the_edge() {
    for plate in all() {
        let plate = plate.scribed(Scribing::On);
        for scribed in plate.strokes() {
            let Scribed::Stroke(pieces) = scribed else {
                continue;
            };
            for end in [pieces[0].start(), pieces[pieces.len() - 1].end()] {
                let edges = std::iter::once(&plate.face.outside).chain(&plate.face.openings);
                for edge in edges {
                    assert!(
                        edge.gap_to_point(end).distance >= CLEAR,
                        "{} {end:?}",
                        plate.name
                    );
                }
            }
        }
    }
}

#[test]
fn plates_with_room_carry_their_names_readably() {
    let mut named = 0;
    for plate in all() {
        let plate = plate.scribed(Scribing::On);
        if let Some(Mark::Text {
            height, text, turn, ..
        }) = name_mark(&plate)
        {
            named += 1;
            assert!((3.0..=8.0).contains(height));
            assert_eq!(lettering::unknown(text), None);
            // An arrow to the drawing's upper side: along the words if they stand on end.
            let arrow = if *turn == 0.0 { '↑' } else { '→' };
            let is_round = plate.face.outside.as_circle().is_some();
            assert_eq!(text.starts_with(arrow), !is_round, "{text}");
        }
    }
    assert!(named >= 8, "only {named} plates carry a name");
}

#[test]
fn a_pair_is_scribed_left_and_right() {
    let pair = of_family("steering-arm", &[]);
    let words = |plate: Plate| {
        let marks = plate.scribed(Scribing::On).marks;
        let words = marks.into_iter().filter_map(|it| match it {
            Mark::Text { text, .. } => Some(text),
            _ => None,
        });
        words.collect::<Vec<_>>().join("; ")
    };
    let [left, right]: [Plate; 2] = pair.try_into().expect("a left and a right");
    assert_eq!((left.hand, right.hand), (Handed::Left, Handed::Right));
    let (left, right) = (words(left), words(right));
    assert!(left.contains("LEFT") && !left.contains("RIGHT"), "{left}");
    assert!(
        right.contains("RIGHT") && !right.contains("LEFT"),
        "{right}"
    );
    let single = words(of_family("hub-adapter", &[]).remove(0));
    assert!(
        !single.contains("LEFT") && !single.contains("RIGHT"),
        "{single}"
    );
}

/// A plate with words of its own scribed on it.
const SCRIBED: &str = r#"
title = "Plate with words"
about = "For words to scribe."
cautions = ["template check"]
[dimension.thickness]
says = "thickness"
default = "6 mm"
[dimension.words]
says = "words"
default = "Ä"
kind = "text"
[[plate]]
[[plate.step]]
add = "rectangle"
width = "200 mm"
height = "80 mm"
[[plate.step]]
scribe = "text"
text = "{words}"
height = "8 mm"
at = ["-90 mm", "0 mm"]
"#;

#[test]
fn letters_that_cannot_be_scribed_are_refused_by_name() {
    let bench = Bench::new();
    bench.write("worded.toml", SCRIBED);
    bench.write("good.toml", "recipe = \"worded\"\nwords = \"Tür 3½\"\n");
    bench.write("bad.toml", "recipe = \"worded\"\nwords = \"Жук\"\n");
    bench.done(&["draw", "good.toml"]);
    let said = bench.refused(&["draw", "bad.toml"], 1);
    assert!(
        said.contains("the alphabet has no \"Ж\" to scribe"),
        "{said}"
    );
    assert!(said.contains("use Latin letters"), "{said}");
}

#[test]
fn one_option_leaves_only_centres_to_punch() {
    for plate in all() {
        let bare = plate.scribed(Scribing::Off);
        assert!(bare.strokes().is_empty());
        assert!(
            bare.marks
                .iter()
                .all(|it| matches!(it, Mark::Centre { .. }))
        );
    }
}

#[test]
fn scribed_words_are_lines_and_arcs_in_the_file() {
    let plate = of_family("hub-adapter", &[])
        .remove(0)
        .scribed(Scribing::On);
    assert!(name_mark(&plate).is_some());
    let drawing = plate_drawing(&plate);
    let is_text = |it: &Entity| matches!(it, Entity::Text { .. });
    let scribed = drawing
        .entities
        .iter()
        .filter(|(layer, _)| *layer == Layer::Scribe);
    let entities: Vec<&Entity> = scribed.map(|(_, entity)| entity).collect();
    assert!(entities.len() >= plate.name.len());
    assert!(!entities.iter().any(|it| is_text(it)));
    let once = Dxf {
        release: Release::R2000,
    }
    .export(&drawing);
    assert_eq!(
        once,
        Dxf {
            release: Release::R2000
        }
        .export(&plate_drawing(&plate))
    );
}
