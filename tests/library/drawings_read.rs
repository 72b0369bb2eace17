//! Drawings of others are read as they were drawn, or refused with entity and place.
//!
//! Group codes, transformations of blocks and the arbitrary axis algorithm are those of the published
//! DXF reference; expected places and areas are worked out by hand.

use std::f64::consts::PI;

use platewright::finding::Level;
use platewright::geometry::{Circle, Point, Segment};
use platewright::plate::drawing::{Outlines, ReadingRules, outlines_in};

/// Records written short: `CIRCLE 10=5 20=5 40=3`, one a line.
fn records(short: &str) -> String {
    let mut text = String::new();
    for line in short.lines().map(str::trim).filter(|it| !it.is_empty()) {
        for (index, word) in line.split_whitespace().enumerate() {
            match word.split_once('=') {
                Some((code, value)) => text.push_str(&format!("{code}\n{value}\n")),
                None => {
                    assert_eq!(index, 0, "{line}");
                    text.push_str(&format!("0\n{word}\n"));
                }
            }
        }
    }
    text
}

/// A file with a unit, layers and line types, blocks, and what it draws.
fn file(unit: &str, tables: &str, blocks: &str, entities: &str) -> String {
    let section =
        |name: &str, short: &str| format!("0\nSECTION\n2\n{name}\n{}0\nENDSEC\n", records(short));
    let header = match unit {
        "" => String::new(),
        code => format!("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n{code}\n0\nENDSEC\n"),
    };
    header
        + &section("TABLES", tables)
        + &section("BLOCKS", blocks)
        + &section("ENTITIES", entities)
        + "0\nEOF\n"
}

/// A square of 100 mm with its lower left corner at the origin.
const SQUARE: &str = "LWPOLYLINE 5=A1 90=4 70=1 10=0 20=0 10=100 20=0 10=100 20=100 10=0 20=100\n";

/// The square with more in it, in mm.
fn in_square(entities: &str) -> String {
    file("4", "", "", &format!("{SQUARE}{entities}"))
}

fn read(text: &str) -> Outlines {
    outlines_in(text.as_bytes(), &ReadingRules::default()).unwrap_or_else(|why| panic!("{why}"))
}

fn of_layer(name: &str) -> ReadingRules {
    ReadingRules {
        layers: vec![name.to_owned()],
        ..ReadingRules::default()
    }
}

fn refused(text: &str) -> String {
    match outlines_in(text.as_bytes(), &ReadingRules::default()) {
        Ok(read) => panic!("it was read: {:?}", read.region.area()),
        Err(why) => why.to_string(),
    }
}

fn says(outlines: &Outlines) -> String {
    let messages = outlines.findings.iter().map(|it| it.message.clone() + "\n");
    messages.collect()
}

/// The circles of the one plate, sorted.
fn holes(outlines: &Outlines) -> Vec<Circle> {
    let [face] = outlines.region.faces.as_slice() else {
        panic!("{} faces", outlines.region.faces.len());
    };
    let circles = face
        .openings
        .iter()
        .map(|it| it.as_circle().expect("a true circle"));
    let mut circles: Vec<Circle> = circles.collect();
    circles.sort_by(|a, b| {
        let (p, q) = (a.centre, b.centre);
        p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y))
    });
    circles
}

#[track_caller]
fn assert_holes(outlines: &Outlines, expected: &[(f64, f64, f64)]) {
    let found = holes(outlines);
    assert_eq!(found.len(), expected.len(), "{found:?}");
    for (circle, (x, y, radius)) in found.iter().zip(expected) {
        let off = circle.centre.distance(Point::new(*x, *y));
        assert!(
            off < 1e-9 && (circle.radius - radius).abs() < 1e-9,
            "{found:?}"
        );
    }
}

#[test]
fn holes_in_blocks_are_holes() {
    let blocks = "BLOCK 2=hole 10=1 20=0
        CIRCLE 5=B1 10=1 20=0 40=2
        ENDBLK
        BLOCK 2=PAIR 10=0 20=0
        INSERT 2=HOLE 10=10 20=0
        INSERT 2=HOLE 10=-5 20=0 41=2 42=2
        ENDBLK";
    let inserts = "INSERT 2=Hole 10=20 20=20
        INSERT 2=PAIR 10=50 20=50 50=90
        INSERT 2=PAIR 10=80 20=80 41=-1";
    let drawn = read(&file("4", "", blocks, &format!("{SQUARE}{inserts}")));
    // A quarter turn takes (10, 0) to (0, 10); mirrored, x is turned round.
    let expected = [
        (20.0, 20.0, 2.0),
        (50.0, 45.0, 4.0),
        (50.0, 60.0, 2.0),
        (70.0, 80.0, 2.0),
        (85.0, 80.0, 4.0),
    ];
    assert_holes(&drawn, &expected);
    assert_eq!(says(&drawn), "");
}

#[test]
fn rows_and_columns_of_a_block_are_so_many() {
    let blocks = "BLOCK 2=H 10=0 20=0
        CIRCLE 10=0 20=0 40=1
        ENDBLK";
    // Columns run along the turned x axis, rows along the turned y axis; spacings are not scaled.
    let array = "INSERT 2=H 10=50 20=20 41=3 42=3 43=3 50=90 70=3 71=2 44=10 45=20";
    let drawn = read(&file("4", "", blocks, &format!("{SQUARE}{array}")));
    let expected = [30.0, 50.0].map(|x| [20.0, 30.0, 40.0].map(|y| (x, y, 3.0)));
    assert_holes(&drawn, expected.as_flattened());
}

#[test]
fn what_a_block_cannot_show_is_refused() {
    let own = "BLOCK 2=A
        INSERT 5=C7 2=B
        ENDBLK
        BLOCK 2=B
        INSERT 5=C8 2=A
        ENDBLK
        BLOCK 2=FAR 70=4 1=other.dxf
        ENDBLK";
    let with = |insert: &str| refused(&file("4", "", own, &format!("{SQUARE}{insert}")));
    let said = with("INSERT 5=D1 2=A");
    assert!(
        said.contains("INSERT (handle C8") && said.contains("holds itself"),
        "{said}"
    );
    let said = with("INSERT 5=D1 2=NONE");
    assert!(
        said.contains("the INSERT (handle D1")
            && said.contains("\"NONE\", which is not in the file"),
        "{said}"
    );
    assert!(with("INSERT 5=D1 2=FAR").contains("in another file"));
}

#[test]
fn what_is_drawn_twice_counts_once_and_is_told() {
    let circle = "CIRCLE 10=50 20=50 40=8\n";
    let halves = "ARC 10=50 20=50 40=8 50=0 51=180
        ARC 10=50 20=50 40=8 50=180 51=360\n";
    let overlapping = "ARC 10=50 20=50 40=8 50=10 51=250
        ARC 10=50 20=50 40=8 50=200 51=60\n";
    for twice in [
        circle.repeat(2),
        format!("{circle}{halves}"),
        format!("{halves}{circle}"),
        format!("{halves}{halves}"),
        overlapping.to_owned(),
    ] {
        let drawn = read(&in_square(&twice));
        assert_holes(&drawn, &[(50.0, 50.0, 8.0)]);
        assert!(
            says(&drawn).contains("count once") || says(&drawn).contains("counts once"),
            "{}",
            says(&drawn)
        );
    }
    let slot = "LWPOLYLINE 70=1 10=40 20=45 10=60 20=45 42=1 10=60 20=55 10=40 20=55 42=1\n";
    let pieces = "LINE 10=60 20=45 11=40 21=45
        LINE 10=40 20=55 11=60 21=55
        ARC 10=60 20=50 40=5 50=270 51=90
        ARC 10=40 20=50 40=5 50=90 51=270\n";
    for twice in [
        slot.repeat(2),
        format!("{slot}{pieces}"),
        format!("{pieces}{slot}{pieces}"),
    ] {
        let drawn = read(&in_square(&twice));
        let area = 10_000.0 - 200.0 - 25.0 * PI;
        assert!(
            (drawn.region.area() - area).abs() < 1e-9,
            "{}",
            drawn.region.area()
        );
        assert!(says(&drawn).contains("once"), "{}", says(&drawn));
    }
    // All of it twice: its outlines surround what they surround.
    let all = format!("{SQUARE}{circle}").repeat(2);
    let drawn = read(&file("4", "", "", &all));
    assert_holes(&drawn, &[(50.0, 50.0, 8.0)]);
}

#[test]
fn lines_that_lie_on_one_another_in_part_are_one() {
    let drawn = read(&file(
        "4",
        "",
        "",
        "LINE 10=0 20=0 11=60 21=0
        LINE 10=40 20=0 11=100 21=0
        LINE 10=100 20=0 11=100 21=100
        LINE 10=100 20=70 11=100 21=20
        LINE 10=100 20=100 11=0 21=100
        LINE 10=0 20=100 11=0 21=0",
    ));
    assert_eq!(drawn.region.area(), 10_000.0);
    assert_eq!(drawn.region.faces[0].outside.segments().len(), 4);
    assert!(
        says(&drawn).contains("2 lines or arcs lie on others"),
        "{}",
        says(&drawn)
    );
}

#[test]
fn a_number_that_is_none_is_refused_with_its_entity() {
    for (bad, code) in [
        ("CIRCLE 5=2F 10=nan 20=5 40=3", "10"),
        ("CIRCLE 5=2F 10=5 20=abc 40=3", "20"),
        ("CIRCLE 5=2F 10=5 20=5 40=1e999", "40"),
        ("LWPOLYLINE 5=2F 70=1 10=5 20=5 10=inf 20=5 10=9 20=9", "10"),
        (
            "LWPOLYLINE 5=2F 70=1 10=5 20=5 42=x 10=8 20=5 10=9 20=9",
            "42",
        ),
    ] {
        let said = refused(&in_square(bad));
        let kind = bad.split(' ').next().expect("a kind");
        assert!(
            said.contains(&format!("{kind} (handle 2F, line ")),
            "{said}"
        );
        assert!(said.contains(&format!("group code {code}")), "{said}");
    }
    let said = refused(&in_square("CIRCLE 5=2F 10=5 20=6 40=0"));
    assert!(said.contains("at x 5 mm, y 6 mm has no radius"), "{said}");
}

#[test]
fn outlines_that_cross_are_refused_where_they_do() {
    let bow_tie = "LWPOLYLINE 5=E1 70=1 10=0 20=0 10=40 20=40 10=40 20=0 10=0 20=40";
    let said = refused(&file("4", "", "", bow_tie));
    assert!(
        said.contains("at x 20 mm, y 20 mm") && said.contains("LWPOLYLINE (handle E1"),
        "{said}"
    );
    let through_the_edge = in_square("CIRCLE 5=E2 10=100 20=50 40=30");
    let said = refused(&through_the_edge);
    assert!(
        said.contains("CIRCLE (handle E2") && said.contains("x 100 mm, y "),
        "{said}"
    );
    let touching = in_square("CIRCLE 10=90 20=50 40=10");
    assert!(
        refused(&touching).contains("x 100 mm, y 50 mm"),
        "{}",
        refused(&touching)
    );
}

#[test]
fn what_is_not_to_be_seen_is_left_out_and_told() {
    let tables = "LAYER 2=OFF 62=-7 70=0
        LAYER 2=COLD 62=7 70=1
        LAYER 2=SEEN 62=3 70=0";
    let drawn = read(&file(
        "4",
        tables,
        "BLOCK 2=B
        CIRCLE 10=0 20=0 40=1
        CIRCLE 8=SEEN 10=0 20=10 40=1
        ENDBLK",
        &format!(
            "{SQUARE}
            CIRCLE 67=1 10=50 20=50 40=5
            CIRCLE 60=1 10=50 20=50 40=6
            CIRCLE 8=Off 10=50 20=50 40=7
            LINE 8=OFF 10=50 20=50 11=60 21=60
            CIRCLE 8=COLD 10=50 20=50 40=8
            CIRCLE 8=SEEN 10=50 20=50 40=9
            INSERT 2=B 8=OFF 10=20 20=20
            INSERT 2=B 8=COLD 10=80 20=80"
        ),
    ));
    // Of the block whose reference is switched off what is on a layer of its own is seen.
    assert_holes(&drawn, &[(20.0, 30.0, 1.0), (50.0, 50.0, 9.0)]);
    let said = says(&drawn);
    for expected in [
        "1 circle is left out: it lies on a page (paper space)",
        "1 circle is left out: it is switched off",
        "2 circles and 1 line are left out: their layer \"OFF\" is switched off",
        "1 block and 1 circle are left out: their layer \"COLD\" is frozen",
    ] {
        assert!(said.contains(expected), "{expected}\n{said}");
    }
}

#[test]
fn what_bounds_nothing_is_left_out_and_told() {
    let tables = "LTYPE 2=MIDDLE 73=4 40=20 49=12 49=-3 49=2 49=-3
        LTYPE 2=CONTINUOUS 73=0 40=0
        LAYER 2=AXES 62=7 70=0 6=MIDDLE";
    let drawn = read(&file(
        "4",
        tables,
        "",
        &format!(
            "{SQUARE}
            TEXT 10=5 20=5 40=3 1=cart
            MTEXT 10=5 20=5 1=cart
            DIMENSION 2=*D1 10=5 20=5
            HATCH 10=0 20=0
            POINT 10=50 20=50
            LINE 6=MIDDLE 10=40 20=50 11=60 21=50
            CIRCLE 8=AXES 10=50 20=50 40=30
            CIRCLE 8=AXES 6=CONTINUOUS 10=50 20=50 40=4
            CIRCLE 8=Centre-Lines 10=50 20=50 40=20"
        ),
    ));
    // The continuous circle is on a layer of axes by its name.
    assert_holes(&drawn, &[]);
    let said = says(&drawn);
    for expected in [
        "1 dimension, 1 hatch, 1 point and 2 texts are left out: they bound nothing",
        "1 circle and 1 line are left out: their line type MIDDLE has gaps",
        "1 circle is left out: its layer \"Centre-Lines\" is for lines beside the part",
    ] {
        assert!(said.contains(expected), "{expected}\n{said}");
    }
    assert!(drawn.findings.iter().all(|it| it.level == Level::Note));
    let text = file("4", tables, "", "LINE 6=MIDDLE 10=40 20=50 11=60 21=50");
    assert!(refused(&text).contains("no outline in it: 1 line is left out: its line type MIDDLE"));
}

#[test]
fn planes_are_read_by_the_arbitrary_axis_algorithm() {
    // Seen from behind, x runs the other way: the circle stands at x 30 and not at x -30.
    let drawn = read(&in_square("CIRCLE 10=-30 20=40 40=5 210=0 220=0 230=-1"));
    assert_holes(&drawn, &[(30.0, 40.0, 5.0)]);
    // An arc from 0 to 90 degrees seen from behind lies between 90 and 180 degrees.
    let quarter = "ARC 10=-50 20=50 40=20 50=0 51=90 210=0 220=0 230=-1
        LINE 10=50 20=70 11=50 21=50
        LINE 10=50 20=50 11=30 21=50";
    let drawn = read(&in_square(quarter));
    let area = 10_000.0 - 100.0 * PI;
    assert!((drawn.region.area() - area).abs() < 1e-9);
    let bounds = drawn.region.faces[0].openings[0].bounds();
    assert!((bounds.min.x - 30.0).abs() < 1e-9 && (bounds.max.y - 70.0).abs() < 1e-9);
    // A half disc of a polyline from behind: the bulge turns the other way.
    let half = "LWPOLYLINE 70=1 10=-40 20=50 42=1 10=-60 20=50 210=0 220=0 230=-1";
    let bounds = read(&in_square(half)).region.faces[0].openings[0].bounds();
    assert!(
        (bounds.min.x - 40.0).abs() < 1e-9 && (bounds.max.y - 60.0).abs() < 1e-9,
        "{bounds:?}"
    );
    let said = refused(&in_square(
        "CIRCLE 5=77 10=30 20=40 40=5 210=0 220=0.1 230=1",
    ));
    assert!(
        said.contains("the CIRCLE (handle 77") && said.contains("tilted"),
        "{said}"
    );
    let said = refused(&in_square("CIRCLE 5=77 10=30 20=40 40=5 210=0 220=0 230=0"));
    assert!(said.contains("in no plane"), "{said}");
}

#[test]
fn a_drawing_is_flat_or_refused() {
    let raised = "LWPOLYLINE 70=1 38=12 10=0 20=0 10=100 20=0 10=100 20=100 10=0 20=100
        CIRCLE 10=50 20=50 30=12 40=5";
    assert_holes(&read(&file("4", "", "", raised)), &[(50.0, 50.0, 5.0)]);
    let said = refused(&in_square("CIRCLE 5=31 10=50 20=40 30=6 40=5"));
    assert!(
        said.contains("the CIRCLE (handle 31") && said.contains("z 6 mm at x 50 mm, y 40 mm"),
        "{said}"
    );
    let said = refused(&in_square("LINE 5=32 10=50 20=40 30=0 11=60 21=40 31=3"));
    assert!(said.contains("LINE (handle 32"), "{said}");
}

#[test]
fn units_are_known_or_asked_for() {
    let circle = "CIRCLE 10=0 20=0 40=1";
    for (unit, radius) in [
        ("1", 25.4),
        ("2", 304.8),
        ("4", 1.0),
        ("5", 10.0),
        ("6", 1000.0),
        ("14", 100.0),
    ] {
        let drawn = read(&file(unit, "", "", circle));
        let found = drawn.region.faces[0].outside.as_circle().expect("a circle");
        assert!((found.radius - radius).abs() < 1e-9);
        // What is smaller than a coin is sooner in another unit, which is told.
        assert_eq!(drawn.findings.is_empty(), radius > 2.5);
    }
    for unit in ["99", "-1", "3.5", "x", "7"] {
        let said = refused(&file(unit, "", "", circle));
        assert!(
            said.contains("its unit has the code") && said.contains("$INSUNITS 4"),
            "{said}"
        );
    }
    for unit in ["", "0"] {
        let drawn = read(&file(unit, "", "", circle));
        assert_eq!(drawn.findings[0].level, Level::Warn);
        assert!(says(&drawn).contains("names no unit: in millimetres it is 2 × 2 mm large"));
    }
}

#[test]
fn arcs_out_of_shape_are_arcs_near_the_ellipse() {
    let blocks = "BLOCK 2=C
        CIRCLE 10=0 20=0 40=10
        ENDBLK
        BLOCK 2=S
        LWPOLYLINE 70=1 10=-10 20=0 42=1 10=10 20=0 42=1
        ENDBLK";
    // An ellipse has the area pi a b.
    for (drawn, area) in [
        ("INSERT 2=C 10=50 20=50 41=2 42=1", 200.0 * PI),
        ("INSERT 2=S 10=50 20=50 41=1 42=3", 300.0 * PI),
        ("INSERT 2=C 10=50 20=50 41=-2 42=1 50=30", 200.0 * PI),
        ("ELLIPSE 10=50 20=50 11=0 21=30 40=0.5", 450.0 * PI),
        (
            "ELLIPSE 10=50 20=50 11=30 21=0 40=0.5 41=0 42=3.14159265358979
        LINE 10=20 20=50 11=80 21=50",
            225.0 * PI,
        ),
    ] {
        let drawn = read(&file("4", "", blocks, &format!("{SQUARE}{drawn}")));
        let found = 10_000.0 - drawn.region.area();
        assert!((found - area).abs() < 0.005 * 200.0, "{found} {area}");
        assert!(says(&drawn).contains("as circular arcs within 0.005 mm"));
    }
    let round = read(&in_square("ELLIPSE 10=50 20=50 11=0 21=30 40=1"));
    assert_holes(&round, &[(50.0, 50.0, 30.0)]);
}

#[test]
fn what_might_bound_metal_and_cannot_be_read_is_refused() {
    for kind in ["REGION", "3DSOLID", "MLINE", "NEWFANGLED"] {
        let said = refused(&in_square(&format!("{kind} 5=9A 10=12 20=34")));
        let name = format!("the {kind} (handle 9A, line ");
        assert!(
            said.contains(&name) && said.contains("at x 12 mm, y 34 mm is no line"),
            "{said}"
        );
    }
    let mesh = "POLYLINE 5=9B 70=64 66=1
        VERTEX 10=0 20=0
        SEQEND";
    assert!(refused(&in_square(mesh)).contains("POLYLINE (handle 9B"));
}

#[test]
fn polylines_of_the_old_form_are_read_with_their_arcs() {
    let old = "POLYLINE 70=1 66=1
        VERTEX 10=40 20=45
        VERTEX 10=60 20=45 42=1
        VERTEX 10=99 20=99 70=16
        VERTEX 10=60 20=55
        VERTEX 10=40 20=55 42=1
        SEQEND";
    let drawn = read(&in_square(old));
    assert!((drawn.region.area() - (10_000.0 - 200.0 - 25.0 * PI)).abs() < 1e-9);
}

#[test]
fn a_bulge_of_next_to_nothing_is_a_straight_line() {
    let flat = "LWPOLYLINE 70=1 10=0 20=0 42=1e-9 10=100 20=0 10=100 20=100 42=-1e-9 10=0 20=100";
    let drawn = read(&file("4", "", "", flat));
    assert_eq!(drawn.region.area(), 10_000.0);
    let said = refused(&file(
        "4",
        "",
        "",
        "LWPOLYLINE 5=F 70=1 10=0 20=0 42=0.004 10=90000 20=0 10=0 20=900",
    ));
    assert!(
        said.contains("LWPOLYLINE (handle F") && said.contains("more than 1 km radius"),
        "{said}"
    );
}

/// What rounding in a file leaves between an arc and a line is the line's to make up: the arc stays what it is.
#[test]
fn an_arc_keeps_its_end_where_a_line_ends_half_a_micrometre_beside_it() {
    let half_disc = "ARC 10=0 20=0 40=20 50=0 51=180
        LINE 10=-20.0005 20=0 11=20 21=0";
    let drawn = read(&file("4", "", "", half_disc));
    let arcs = drawn.region.faces[0].outside.segments().iter();
    let arcs = arcs.filter_map(|it| match it {
        Segment::Arc { centre, radius, .. } => Some((*centre, *radius)),
        Segment::Line { .. } => None,
    });
    let arcs: Vec<(Point, f64)> = arcs.collect();
    assert!(!arcs.is_empty());
    assert!(
        arcs.iter().all(|it| *it == (Point::ORIGIN, 20.0)),
        "{arcs:?}"
    );
    assert!(!says(&drawn).contains("gap"), "{}", says(&drawn));
}

/// What a file bounds if gaps of up to so many mm are closed.
fn gaping(text: &str, gap: f64) -> Result<Outlines, platewright::fault::Refusal> {
    let rules = ReadingRules {
        gap,
        ..ReadingRules::default()
    };
    outlines_in(text.as_bytes(), &rules)
}

#[test]
fn lines_that_stop_short_or_overshoot_meet_in_the_corner_that_was_meant() {
    // A square of 100 mm of which no line ends in its corner, and a slot of 0.6 mm beside an edge in it.
    let hand_drawn = "LINE 10=0.3 20=0 11=99.6 21=0
        LINE 10=100 20=0.4 11=100 21=100.3
        LINE 10=100.2 20=100 11=0.1 21=100
        LINE 10=0 20=99.7 11=0 21=-0.3
        LINE 10=40 20=50 11=60 21=50
        LINE 10=60 20=50.6 11=40 21=50.6
        ARC 10=60 20=50.3 40=0.3 50=270 51=90
        ARC 10=40 20=50.3 40=0.3 50=90 51=270";
    let text = file("4", "", "", hand_drawn);
    assert!(
        refused(&text).contains("wider gaps closed"),
        "{}",
        refused(&text)
    );
    let drawn = gaping(&text, 0.6).expect("it closes");
    let slot = 20.0 * 0.6 + PI * 0.09;
    assert!((drawn.region.area() - (10_000.0 - slot)).abs() < 1e-9);
    assert!(
        says(&drawn).contains("4 gaps were closed, the widest of 0.566 mm at"),
        "{}",
        says(&drawn)
    );
}

#[test]
fn outlines_that_do_not_close_are_refused_with_both_ends() {
    let open = "LINE 5=A 10=0 20=0 11=50 21=0
        LINE 5=B 10=50 20=0 11=50 21=40
        LINE 5=C 10=50 20=40 11=0 21=0.2";
    let said = refused(&file("4", "", "", open));
    assert!(
        said.contains("does not close: it ends at x 0 mm, y 0 mm and at x 0 mm, y 0.2 mm"),
        "{said}"
    );
    let gap = open.replace("21=0.2", "21=0.02");
    let drawn = read(&file("4", "", "", &gap));
    assert!(
        says(&drawn).contains("a gap of 0.02 mm at x 0 mm, y 0 mm was closed"),
        "{}",
        says(&drawn)
    );
    // What would close it is said, and does.
    assert!(
        said.contains("or have wider gaps closed, with gap = \"0.21 mm\""),
        "{said}"
    );
    let drawn = gaping(&file("4", "", "", open), 0.21).expect("it closes");
    assert!(
        says(&drawn).contains("a gap of 0.2 mm at x 0 mm, y 0 mm was closed"),
        "{}",
        says(&drawn)
    );
    assert!(gaping(&file("4", "", "", open), 0.19).is_err());
    let wide = refused(&file("4", "", "", &open.replace("21=0.2", "21=2.5")));
    assert!(!wide.contains("wider gaps"), "{wide}");
    let three = in_square("LINE 5=D 10=100 20=100 11=70 21=70");
    assert!(
        refused(&three).contains("more than two lines meet at x 100 mm, y 100 mm"),
        "{}",
        refused(&three)
    );
    // A line across the inside that ends nowhere is a centre line; one outside may be an edge.
    let centre = read(&in_square("LINE 5=D 10=45 20=50 11=145 21=50"));
    assert!(
        says(&centre).contains("a line from x 45 mm, y 50 mm ends in no other and is left out"),
        "{}",
        says(&centre)
    );
    assert!((centre.region.area() - 10_000.0).abs() < 1e-9);
    let outside = in_square("LINE 5=D 8=Cut 10=145 20=50 11=155 21=50");
    let said = refused(&outside);
    assert!(
        said.contains("the LINE (handle D")
            && said.contains("on the layer \"Cut\"")
            && said.contains("line type of a centre line"),
        "{said}"
    );
}

#[test]
fn short_pieces_keep_their_neighbours() {
    // A circle of chords far shorter than what may be open between two ends.
    let count = 4_000;
    let at = |k: usize| {
        let angle = 2.0 * PI * k as f64 / f64::from(count);
        (5.0 * angle.cos(), 5.0 * angle.sin())
    };
    let lines = (0..count as usize).map(|k| {
        // Not in order.
        let k = (k * 1_237) % 4_000;
        let ((x, y), (to_x, to_y)) = (at(k), at(k + 1));
        format!("LINE 10={x:.6} 20={y:.6} 11={to_x:.6} 21={to_y:.6}\n")
    });
    let drawn = read(&file("4", "", "", &lines.collect::<String>()));
    assert_eq!(drawn.region.faces.len(), 1);
    assert!(
        (drawn.region.area() - 25.0 * PI).abs() < 1e-3,
        "{}",
        drawn.region.area()
    );
    // Pieces so short are as good as a circle, and it is one then.
    let circle = drawn.region.faces[0].outside.as_circle();
    assert!((circle.expect("a circle").radius - 5.0).abs() < 1e-4);
    assert!(says(&drawn).contains("taken as a circle, within 0.0001 mm"));
}

/// A circle as a rational quadratic of nine points (Piegl and Tiller, The NURBS Book, from memory), lines and
/// a half ellipse as splines. The area under a cubic Bézier curve from its points, by hand.
#[test]
fn splines_are_lines_and_arcs_and_circles_again() {
    let half = 0.5_f64.sqrt();
    let circle = "SPLINE 70=12 71=2 72=12 73=9 40=0 40=0 40=0 40=1 40=1 40=2 40=2 40=3 40=3 40=4 40=4 40=4 \
        41=1 41=W 41=1 41=W 41=1 41=W 41=1 41=W 41=1 \
        10=62 20=50 10=62 20=62 10=50 20=62 10=38 20=62 10=38 20=50 10=38 20=38 10=50 20=38 10=62 20=38 \
        10=62 20=50";
    let drawn = read(&in_square(&circle.replace('W', &half.to_string())));
    let hole = drawn.region.faces[0].openings[0]
        .as_circle()
        .expect("a circle");
    assert!((hole.radius - 12.0).abs() < 0.005, "{hole:?}");
    assert!(hole.centre.distance(Point::new(50.0, 50.0)) < 0.005);
    // A line of degree three, and a bow over it: 3/20 of the box for (0,0) (0,h) (w,h) (w,0) each quarter.
    let knots = "72=8 73=4 40=0 40=0 40=0 40=0 40=1 40=1 40=1 40=1";
    let bow = format!(
        "SPLINE 71=3 {knots} 10=0 20=0 10=10 20=0 10=50 20=0 10=60 20=0\n\
         SPLINE 71=3 {knots} 10=0 20=0 10=0 20=40 10=60 20=40 10=60 20=0"
    );
    let drawn = read(&file("4", "", "", &bow));
    // y = 3 h t (1 - t), x = w t² (3 - 2 t): the integral of y dx is 18 w h ∫ t² (1 - t)² dt = 0.6 w h.
    let area = drawn.region.area();
    assert!((area - 0.6 * 60.0 * 40.0).abs() < 0.005 * 170.0, "{area}");
    let lines = drawn.region.faces[0].outside.segments().iter();
    let lines = lines.filter(|it| matches!(it, platewright::geometry::Segment::Line { .. }));
    assert_eq!(lines.count(), 1);
    assert!(says(&drawn).contains("a curve stands as circular arcs"));
    for (short, words) in [
        (
            "SPLINE 71=3 74=3 11=0 21=0 11=5 21=5 11=9 21=0",
            "is no line, arc or circle",
        ),
        (
            "SPLINE 71=3 72=4 73=4 40=0 40=0 40=1 40=1 10=0 20=0 10=1 20=0 10=5 20=0 10=6 20=3",
            "is not whole",
        ),
    ] {
        let said = refused(&in_square(short));
        assert!(said.contains(words), "{said}");
    }
}

#[test]
fn layers_are_chosen_by_name() {
    let text = file(
        "4",
        "LAYER 2=Plate 62=-1",
        "",
        "CIRCLE 8=Plate 10=0 20=0 40=10
        CIRCLE 8=other 10=0 20=0 40=5",
    );
    let read = outlines_in(text.as_bytes(), &of_layer("plate")).expect("a layer that is there");
    assert!((read.region.area() - 100.0 * PI).abs() < 1e-9);
    let why = outlines_in(text.as_bytes(), &of_layer("plat")).expect_err("no such layer");
    assert_eq!(
        why.to_string(),
        "nothing in it is on a layer \"plat\"; did you mean \"Plate\"?"
    );
}

#[test]
fn files_that_are_none_or_end_early_are_told() {
    let whole = in_square("CIRCLE 10=50 20=50 40=5");
    let half = &whole[..whole.len() - 40];
    for (text, expected) in [
        ("", "no DXF file"),
        ("what a nice plate", "no DXF file"),
        ("<svg></svg>\n", "no outline in it"),
        (half, "damaged"),
        (
            &whole.replace("\n40\n", "\n4O\n"),
            "should be a group code and is \"4O\"",
        ),
    ] {
        let said = refused(text);
        assert!(said.contains(expected), "{said}");
    }
}

/// What another library writes, of every release and in both forms, is read as it was meant.
#[test]
fn files_of_a_library_are_read_in_every_release() {
    use dxf::enums::{AcadVersion, Units};
    use dxf::{Block, Drawing, LwPolylineVertex, Point, entities};
    for version in [
        AcadVersion::R12,
        AcadVersion::R13,
        AcadVersion::R14,
        AcadVersion::R2000,
        AcadVersion::R2004,
        AcadVersion::R2007,
        AcadVersion::R2010,
        AcadVersion::R2013,
        AcadVersion::R2018,
    ] {
        let mut drawing = Drawing::new();
        drawing.header.version = version;
        drawing.header.default_drawing_units = Units::Centimeters;
        let corners = [(0.0, 0.0), (10.0, 0.0), (10.0, 8.0), (0.0, 8.0)];
        for i in 0..4 {
            let place = |i: usize| Point::new(corners[i % 4].0, corners[i % 4].1, 0.0);
            let line = entities::Line::new(place(i), place(i + 1));
            drawing.add_entity(entities::Entity::new(entities::EntityType::Line(line)));
        }
        let mut block = Block {
            name: "HOLE".to_owned(),
            ..Block::default()
        };
        let circle = entities::Circle::new(Point::origin(), 0.5);
        block
            .entities
            .push(entities::Entity::new(entities::EntityType::Circle(circle)));
        drawing.add_block(block);
        let insert = entities::Insert {
            name: "HOLE".to_owned(),
            location: Point::new(2.0, 3.0, 0.0),
            x_scale_factor: 2.0,
            y_scale_factor: 2.0,
            z_scale_factor: 2.0,
            ..entities::Insert::default()
        };
        drawing.add_entity(entities::Entity::new(entities::EntityType::Insert(insert)));
        let has_light = version >= AcadVersion::R14;
        if has_light {
            let corner = |x, y, bulge| LwPolylineVertex {
                x,
                y,
                bulge,
                ..LwPolylineVertex::default()
            };
            let mut slot = entities::LwPolyline::default();
            slot.set_is_closed(true);
            slot.vertices = vec![
                corner(6.0, 5.0, 0.0),
                corner(8.0, 5.0, 1.0),
                corner(8.0, 6.0, 0.0),
                corner(6.0, 6.0, 1.0),
            ];
            drawing.add_entity(entities::Entity::new(entities::EntityType::LwPolyline(
                slot,
            )));
        }
        // The old releases have no unit: read in mm, a tenth as large.
        let has_unit = version >= AcadVersion::R2000;
        let scale = if has_unit { 10.0 } else { 1.0 };
        let holes = PI + if has_light { 2.0 + PI / 4.0 } else { 0.0 };
        for binary in [false, true] {
            let mut bytes = Vec::new();
            if binary {
                drawing.save_binary(&mut bytes).expect("it is written");
            } else {
                drawing.save(&mut bytes).expect("it is written");
            }
            let read = outlines_in(&bytes, &ReadingRules::default())
                .unwrap_or_else(|why| panic!("{version:?} {binary}: {why}"));
            let area = (80.0 - holes) * scale * scale;
            let found = read.region.area();
            assert!(
                (found - area).abs() < 1e-6,
                "{version:?} {binary}: {found}, {area}"
            );
        }
    }
}

#[test]
fn what_new_builders_bring_is_told_apart() {
    let comma = file("4", "", "", "CIRCLE 10=0,0 20=0,0 40=42,5");
    assert!(
        refused(&comma).contains("without commas"),
        "{}",
        refused(&comma)
    );
    for (bytes, kind) in [
        (&b"%PDF-1.7 and so on"[..], "a PDF file"),
        (b"AC1027 and so on", "a DWG file"),
        (b"ISO-10303-21;", "a STEP file"),
        (b"\xFF\xFE<\0s\0v\0g\0", "a text in UTF-16"),
    ] {
        let said = outlines_in(bytes, &ReadingRules::default()).expect_err(kind);
        assert!(said.to_string().contains(kind), "{said}");
    }
    // A frame of the page around the plate makes its openings plates: that is told, with the layers.
    let framed = "LWPOLYLINE 8=FRAME 70=1 10=-50 20=-50 10=150 20=-50 10=150 20=150 10=-50 20=150
        CIRCLE 8=PART 10=50 20=50 40=40
        CIRCLE 8=PART 10=50 20=50 40=10";
    let drawn = read(&file("4", "", "", framed));
    let [told] = drawn.findings.as_slice() else {
        panic!("one finding: {}", says(&drawn));
    };
    assert!(
        told.message
            .contains("a plate lies within an opening of another")
            && told.remedy.contains("there are FRAME, PART"),
        "{told:?}"
    );
    // Two plates side by side are two plates.
    let beside = "CIRCLE 10=0 20=0 40=40
        CIRCLE 10=0 20=0 40=10
        CIRCLE 10=100 20=0 40=30";
    assert_eq!(says(&read(&file("4", "", "", beside))), "");
    // Millimetres that pass as inches.
    let inches = says(&read(&file("1", "", "", "CIRCLE 10=0 20=0 40=60")));
    assert!(
        inches.contains("names inches as its unit: it is 3048 × 3048 mm large"),
        "{inches}"
    );
}
