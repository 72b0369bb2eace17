//! What the steps of a recipe come to, measured on the finished plate.

use std::f64::consts::{FRAC_PI_2, PI};

use super::workbench::{make, plate, said};
use approx::assert_abs_diff_eq;
use platewright::geometry::{Circle, Point, Segment};
use platewright::plate::{Finish, Fold, Mark, Plate, Purpose};

fn circle(plate: &Plate, name: &str) -> Circle {
    let opening = plate.openings.iter().find(|opening| opening.name == name);
    let opening = opening.unwrap_or_else(|| panic!("no opening {name} in {:?}", names(plate)));
    opening.circle.expect("a round opening")
}

/// The names of a plate's openings, sorted.
fn names(plate: &Plate) -> Vec<&str> {
    let mut names: Vec<&str> = plate.openings.iter().map(|it| it.name.as_str()).collect();
    names.sort_unstable();
    names
}

/// The radii of all arcs of the outside contour, sorted.
fn outside_radii(plate: &Plate) -> Vec<f64> {
    let segments = plate.face.outside.segments().iter();
    let mut radii: Vec<f64> = segments
        .filter_map(|segment| match segment {
            Segment::Arc { radius, .. } => Some(*radius),
            Segment::Line { .. } => None,
        })
        .collect();
    radii.sort_by(f64::total_cmp);
    radii
}

#[test]
fn a_fillet_of_6_mm_is_an_arc_of_exactly_6_mm() {
    let tee = plate(
        r#"
        [[plate.step]]
        add = "rectangle"
        width = "120 mm"
        height = "30 mm"
        [[plate.step]]
        add = "rectangle"
        width = "30 mm"
        height = "80 mm"
        anchor = "lower"
        [[plate.step]]
        round = "inside"
        radius = "6 mm"
        "#,
    );
    assert_eq!(outside_radii(&tee), [6.0, 6.0]);
    let corner = 36.0 - PI * 9.0;
    let sharp = 120.0 * 30.0 + 30.0 * (80.0 - 15.0);
    assert_abs_diff_eq!(tee.net_area(), sharp + 2.0 * corner, epsilon = 1e-6);
}

#[test]
fn holes_are_circles_exactly_where_they_were_asked_for() {
    let drilled = plate(
        r#"
        [plate.point]
        a = ["12.5 mm", "-7 mm"]
        b = ["a.x + 1 in", "a.y * 2"]
        [[plate.step]]
        add = "rectangle"
        width = "200 mm"
        height = "100 mm"
        [[plate.step]]
        name = "left"
        cut = "disc"
        purpose = "bolt"
        diameter = "10.5 mm"
        at = "a"
        [[plate.step]]
        name = "right"
        cut = "disc"
        purpose = "pin"
        diameter = "1/2 in"
        at = "b"
        "#,
    );
    let left = circle(&drilled, "left");
    assert_eq!((left.centre, left.radius), (Point::new(12.5, -7.0), 5.25));
    let right = circle(&drilled, "right");
    assert_eq!(
        (right.centre, right.radius),
        (Point::new(37.9, -14.0), 6.35)
    );
}

/// Machinery's Handbook, 31st edition (2020), pages 709 and 710, examples 1(a) and 2(a): holes of a
/// five-hole circle of diameter 1, with the centre as origin. Verified on the handbook's pages. Its
/// y axis points down and its holes are numbered counter-clockwise from the top (layout A) or from
/// half a step beyond it (layout B), so y is flipped here.
#[test]
fn bolt_circles_agree_with_the_handbook() {
    const ROWS: [(&str, u32, f64, f64); 7] = [
        ("A", 1, 0.0, -0.5),
        ("A", 2, -0.47553, -0.15451),
        ("A", 4, 0.29389, 0.40451),
        ("A", 5, 0.47553, -0.15451),
        ("B", 1, -0.29389, -0.40451),
        ("B", 3, 0.0, 0.5),
        ("B", 5, 0.29389, -0.40451),
    ];
    for (layout, start) in [("A", "90 deg"), ("B", "90 deg + 360 deg / 5 / 2")] {
        let wheel = plate(&format!(
            r#"
            [[plate.step]]
            add = "disc"
            diameter = "140 mm"
            [[plate.step]]
            cut = "disc"
            purpose = "bolt"
            diameter = "12 mm"
            around = {{ count = 5, circle = "100 mm", start = "{start}" }}
            "#
        ));
        for (_, hole, x, y) in ROWS.iter().filter(|row| row.0 == layout) {
            let centre = circle(&wheel, &format!("bolt hole {hole}")).centre;
            // The handbook rounds to five places; the circle here is a hundred times as large.
            assert_abs_diff_eq!(centre.x, 100.0 * x, epsilon = 1e-3);
            assert_abs_diff_eq!(centre.y, -100.0 * y, epsilon = 1e-3);
        }
    }
}

#[test]
fn part_circles_have_a_copy_at_each_end_and_skips_keep_their_numbers() {
    let arc = plate(
        r#"
        [[plate.step]]
        add = "disc"
        diameter = "140 mm"
        [[plate.step]]
        name = "peg"
        cut = "disc"
        purpose = "pin"
        diameter = "8 mm"
        at = ["5 mm", "0 mm"]
        around = { count = 4, circle = "80 mm", start = "30 deg", sweep = "-90 deg", skip = [2] }
        "#,
    );
    assert_eq!(names(&arc), ["peg 1", "peg 3", "peg 4"]);
    let expected = |degrees: f64| Point::new(5.0, 0.0).polar(40.0, degrees.to_radians());
    for (name, degrees) in [("peg 1", 30.0), ("peg 3", -30.0), ("peg 4", -60.0)] {
        assert!(circle(&arc, name).centre.distance(expected(degrees)) < 1e-9);
    }
}

#[test]
fn rows_start_at_their_place_or_lie_centred_and_go_around_whole() {
    let rows = plate(
        r#"
        [[plate.step]]
        add = "disc"
        diameter = "200 mm"
        [[plate.step]]
        name = "from"
        cut = "disc"
        purpose = "bolt"
        diameter = "4 mm"
        at = ["-60 mm", "20 mm"]
        along = { count = 3, step = ["10 mm", "-1 mm"] }
        [[plate.step]]
        name = "centred"
        cut = "disc"
        purpose = "bolt"
        diameter = "4 mm"
        at = ["0 mm", "-5 mm"]
        along = { count = 2, step = ["10 mm", "0 mm"], centred = true }
        [[plate.step]]
        name = "both"
        cut = "disc"
        purpose = "bolt"
        diameter = "4 mm"
        along = { count = 2, step = ["10 mm", "0 mm"] }
        around = { count = 2, circle = "120 mm", start = "90 deg" }
        "#,
    );
    let places = [
        ("from 1", -60.0, 20.0),
        ("from 3", -40.0, 18.0),
        ("centred 1", -5.0, -5.0),
        ("centred 2", 5.0, -5.0),
        // A quarter turn carries the row from +x to +y; the second place is opposite.
        ("both 1", 0.0, 60.0),
        ("both 2", 0.0, 70.0),
        ("both 3", 0.0, -60.0),
        ("both 4", 0.0, -70.0),
    ];
    for (name, x, y) in places {
        assert!(
            circle(&rows, name).centre.distance(Point::new(x, y)) < 1e-9,
            "{name}"
        );
    }
}

#[test]
fn shapes_are_mirrored_then_turned_then_moved() {
    // A right triangle with its right angle at the origin, legs along +x (40) and +y (20).
    let placed = |placing: &str| {
        plate(&format!(
            r#"
            [[plate.step]]
            add = "polygon"
            points = [["0 mm", "0 mm"], ["40 mm", "0 mm"], ["0 mm", "20 mm"]]
            {placing}
            "#
        ))
    };
    let corners = |plate: &Plate| {
        let segments = plate.face.outside.segments().iter();
        segments.map(Segment::start).collect::<Vec<_>>()
    };
    let has = |plate: &Plate, expected: [(f64, f64); 3]| {
        let corners = corners(plate);
        expected.iter().all(|(x, y)| {
            let expected = Point::new(*x, *y);
            corners
                .iter()
                .any(|corner| corner.distance(expected) < 1e-9)
        })
    };
    let turned = placed("turn = \"90 deg\"\nat = [\"5 mm\", \"1 mm\"]");
    assert!(has(&turned, [(5.0, 1.0), (5.0, 41.0), (-15.0, 1.0)]));
    let mirrored = placed("mirror = \"left for right\"\nturn = \"90 deg\"");
    assert!(has(&mirrored, [(0.0, 0.0), (0.0, -40.0), (-20.0, 0.0)]));
    let flipped = placed("mirror = \"upside down\"");
    assert!(has(&flipped, [(0.0, 0.0), (40.0, 0.0), (0.0, -20.0)]));
    let upright =
        placed("around = { count = 1, circle = \"20 mm\", start = \"90 deg\", upright = true }");
    assert!(has(&upright, [(0.0, 10.0), (40.0, 10.0), (0.0, 30.0)]));
    let without_circle = placed("around = { count = 1, start = \"180 deg\" }");
    assert!(has(
        &without_circle,
        [(0.0, 0.0), (-40.0, 0.0), (0.0, -20.0)]
    ));
}

#[test]
fn anchors_are_the_point_of_a_rectangle_that_lies_at_its_place() {
    let anchors = [
        ("centre", -20.0, -10.0),
        ("left", 0.0, -10.0),
        ("right", -40.0, -10.0),
        ("lower", -20.0, 0.0),
        ("upper", -20.0, -20.0),
        ("lower left", 0.0, 0.0),
        ("lower right", -40.0, 0.0),
        ("upper left", 0.0, -20.0),
        ("upper right", -40.0, -20.0),
    ];
    for (anchor, x, y) in anchors {
        let made = plate(&format!(
            "[[plate.step]]\nadd = \"rectangle\"\nwidth = \"40 mm\"\nheight = \"20 mm\"\nanchor = \"{anchor}\"\n"
        ));
        let bounds = made.face.outside.bounds();
        assert_eq!(
            (bounds.min, bounds.max),
            (Point::new(x, y), Point::new(x + 40.0, y + 20.0))
        );
    }
}

#[test]
fn a_hollow_leaves_a_wall_of_even_width() {
    let rim = plate(
        r#"
        [[plate.step]]
        add = "disc"
        diameter = "100 mm"
        [[plate.step]]
        keep = "rectangle"
        width = "120 mm"
        height = "80 mm"
        anchor = "lower"
        at = ["0 mm", "-30 mm"]
        [[plate.step]]
        round = "both"
        radius = "12 mm"
        [[plate.step]]
        hollow = "8 mm"
        "#,
    );
    assert_eq!(names(&rim), ["window"]);
    let inner = &rim.face.openings[0];
    for segment in inner.segments() {
        let gap = rim.face.outside.gap_to_point(segment.point_at(0.5));
        assert_abs_diff_eq!(gap.distance, 8.0, epsilon = 1e-6);
    }
    assert_eq!(outside_radii(&rim).first(), Some(&12.0));
}

#[test]
fn openings_know_what_they_are_for() {
    let made = make(
        r#"
        [dimension.bolt]
        says = "bolt"
        kind = "thread"
        default = "M10"
        [[plate]]
        [[plate.step]]
        add = "disc"
        diameter = "200 mm"
        [[plate.step]]
        cut = "disc"
        purpose = "bore"
        diameter = "40 mm"
        [[plate.step]]
        cut = "rectangle"
        name = "keyway"
        width = "10 mm"
        height = "24 mm"
        anchor = "lower"
        [[plate.step]]
        cut = "disc"
        name = "hub bolt"
        purpose = "bolt"
        thread = "bolt"
        finish = "undersize"
        diameter = 'clearance(bolt, "medium")'
        around = { count = 3, circle = "120 mm" }
        [[plate.step]]
        cut = "slot"
        purpose = "slot"
        travel = "20 mm"
        width = "8 mm"
        at = ["0 mm", "80 mm"]
        [[plate.step]]
        cut = "rectangle"
        width = "20 mm"
        height = "10 mm"
        at = ["0 mm", "-80 mm"]
        [[plate.step]]
        cut = "disc"
        diameter = "14 mm"
        at = ["0 mm", "-85 mm"]
        "#,
        "[opening.\"hub bolt 2\"]\nfinish = \"drill\"\n[opening.slot]\nfinish = \"cut\"\n",
    );
    let made = made.unwrap_or_else(|faults| panic!("{faults}"));
    let plate = &made.plates[0];
    assert_eq!(
        names(plate),
        [
            "bore",
            "hub bolt 1",
            "hub bolt 2",
            "hub bolt 3",
            "slot",
            "window 1"
        ]
    );
    let opening = |name: &str| {
        let found = plate.openings.iter().zip(&plate.face.openings);
        found
            .into_iter()
            .find(|(it, _)| it.name == name)
            .expect(name)
    };
    let (bore, contour) = opening("bore");
    assert_eq!((bore.purpose, bore.circle), (Purpose::Bore, None));
    assert!(contour.as_circle().is_none() && contour.encloses(Point::new(0.0, 22.0)));
    let (second, contour) = opening("hub bolt 2");
    // ISO 273, medium series: 11 mm for M10.
    assert_eq!(second.circle.expect("round").radius, 5.5);
    assert_eq!(contour.as_circle(), second.circle);
    assert_eq!(second.thread.as_deref(), Some("M10"));
    assert_eq!(
        (second.purpose, second.finish),
        (Purpose::Bolt, Finish::Drill)
    );
    assert_eq!(opening("hub bolt 1").0.finish, Finish::Undersize);
    assert_eq!(
        (opening("slot").0.purpose, opening("slot").0.finish),
        (Purpose::Slot, Finish::Cut)
    );
    assert_eq!(opening("window 1").0.finish, Finish::ByRule);
}

#[test]
fn an_opening_through_the_edge_is_edge_and_a_bolt_in_a_window_is_warned_of() {
    let made = make(
        r#"
        [[plate]]
        [[plate.step]]
        add = "rectangle"
        width = "100 mm"
        height = "60 mm"
        [[plate.step]]
        cut = "slot"
        purpose = "slot"
        from = ["20 mm", "0 mm"]
        to = ["60 mm", "0 mm"]
        width = "10 mm"
        [[plate.step]]
        cut = "rectangle"
        width = "20 mm"
        height = "20 mm"
        at = ["-20 mm", "0 mm"]
        [[plate.step]]
        name = "hook"
        cut = "disc"
        purpose = "bolt"
        diameter = "10 mm"
        at = ["-8 mm", "0 mm"]
        "#,
        "",
    );
    let made = made.unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(names(&made.plates[0]), ["hook"]);
    assert_eq!(made.plates[0].openings[0].circle, None);
    let said: Vec<&str> = made.findings.iter().map(|it| it.message.as_str()).collect();
    assert_eq!(
        said,
        ["hook runs into another opening and is no longer a whole hole"]
    );
}

#[test]
fn a_pair_is_a_left_and_a_right_with_marks_bends_and_mating_edges() {
    let made = make(
        r#"
        [[plate]]
        name = "arm"
        hand = "pair"
        quantity = 2
        turning = "grain"
        [[plate.step]]
        add = "polygon"
        mating = true
        points = [["0 mm", "0 mm"], ["100 mm", "0 mm"], ["0 mm", "50 mm"]]
        [[plate.step]]
        cut = "disc"
        name = "eye"
        purpose = "pin"
        diameter = "8 mm"
        at = ["70 mm", "8 mm"]
        [[plate.step]]
        scribe = "line"
        from = ["10 mm", "5 mm"]
        to = ["30 mm", "6 mm"]
        [[plate.step]]
        scribe = "text"
        text = "arm {2 * 3}"
        height = "6 mm"
        at = ["5 mm", "20 mm"]
        [[plate.step]]
        bend = "up"
        from = ["50 mm", "0 mm"]
        to = ["50 mm", "25 mm"]
        angle = "30 deg"
        radius = "6 mm"
        "#,
        "quantity = 3\n",
    );
    let made = made.unwrap_or_else(|faults| panic!("{faults}"));
    let [left, right] = made.plates.as_slice() else {
        panic!("a pair is two plates")
    };
    assert_eq!(
        (left.name.as_str(), right.name.as_str()),
        ("test-arm-left", "test-arm-right")
    );
    assert_eq!((left.quantity, right.quantity), (6, 6));
    assert_abs_diff_eq!(left.net_area(), right.net_area(), epsilon = 1e-9);
    assert_eq!(circle(left, "eye").centre, Point::new(70.0, 8.0));
    assert!(circle(right, "eye").centre.distance(Point::new(-70.0, 8.0)) < 1e-9);
    assert!(right.face.outside.signed_area() > 0.0);
    assert!(right.mating[0].bounds().max.x < 1e-9);
    assert_eq!(right.bends[0].fold, Fold::Up);
    assert_eq!(right.bends[0].from, Point::new(-50.0, 0.0));
    let Mark::Line { from, .. } = &right.marks[0] else {
        panic!("a line")
    };
    assert_eq!(*from, Point::new(-10.0, 5.0));
    let Mark::Text { at, turn, text, .. } = &right.marks[1] else {
        panic!("words")
    };
    // Read from left to right still, over the flipped stretch.
    assert_eq!((text.as_str(), *turn), ("arm 6", 0.0));
    assert!(at.x < -5.0 && at.x > -50.0 && at.y == 20.0);
}

#[test]
fn marks_are_placed_and_repeated_like_shapes() {
    let marked = plate(
        r#"
        [[plate.step]]
        add = "disc"
        diameter = "100 mm"
        [[plate.step]]
        scribe = "circle"
        diameter = "80 mm"
        at = ["1 mm", "2 mm"]
        [[plate.step]]
        scribe = "centre"
        around = { count = 2, circle = "60 mm", start = "90 deg" }
        [[plate.step]]
        scribe = "text"
        text = "up"
        height = "5 mm"
        turn = "90 deg"
        "#,
    );
    let circle = Mark::Circle {
        centre: Point::new(1.0, 2.0),
        diameter: 80.0,
    };
    assert_eq!(marked.marks[0], circle);
    let Mark::Centre { at } = marked.marks[2] else {
        panic!("a centre")
    };
    assert!(at.distance(Point::new(0.0, -30.0)) < 1e-9);
    assert!(matches!(marked.marks[3], Mark::Text { turn, .. } if turn == FRAC_PI_2));
}

#[test]
fn conditions_leave_out_steps_plates_rules_and_figures_unread() {
    let body = r#"
        [dimension.cheeks]
        says = "with cheeks"
        kind = "yes-no"
        default = false
        [let]
        impossible = "sqrt(0 mm^2 - thickness^2)"
        [[rule]]
        when = "cheeks"
        need = "impossible > 3 mm"
        otherwise = "never: said"
        [[rule]]
        need = "thickness < 5 mm"
        otherwise = "thick at {thickness}: use less"
        level = "note"
        source = "common practice"
        [[figure]]
        says = "half"
        value = "thickness / 2"
        [[figure]]
        when = "cheeks"
        says = "other"
        value = "impossible"
        [[plate]]
        name = "seat"
        [[plate.step]]
        add = "disc"
        diameter = "50 mm"
        [[plate.step]]
        when = "cheeks"
        cut = "disc"
        diameter = "impossible"
        [[plate]]
        name = "cheek"
        when = "cheeks"
        thickness = "impossible"
        [[plate.step]]
        add = "disc"
        diameter = "50 mm"
    "#;
    let made = make(body, "").unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(made.plates.len(), 1);
    assert_eq!(
        made.plates[0].figures,
        [("half".to_owned(), "3 mm (0.118 in)".to_owned())]
    );
    assert_eq!(
        made.plates[0].dimensions[1],
        ("with cheeks".to_owned(), "no".to_owned())
    );
    let finding = &made.findings[0];
    assert_eq!(finding.message, "thick at 6 mm (0.236 in)");
    assert_eq!(
        (finding.remedy.as_str(), finding.source.as_str()),
        ("use less", "common practice")
    );
    let needed = make(body, "cheeks = true\n").expect_err("the square root of a negative area");
    // Told once, where it is written, though rule and steps both need it.
    assert_eq!(needed.as_slice().len(), 1, "{needed}");
    assert!(needed.to_string().contains("test.toml:15:"), "{needed}");
    assert!(
        needed.as_slice()[0]
            .label
            .as_deref()
            .is_some_and(|it| it.contains("part.toml:1:10"))
    );
}

/// Pitch circle of 18 teeth on 1/2 in: 73.14 mm. Source: ASME B29.1, pitch / sin(180° / teeth).
#[test]
fn a_chain_wheel_has_a_gap_for_every_roller() {
    let wheel = plate(
        r#"
        [[plate.step]]
        add = "teeth"
        pitch = "1/2 in"
        roller = "7.92 mm"
        count = 18
        [[plate.step]]
        cut = "disc"
        purpose = "bore"
        diameter = "20 mm"
        "#,
    );
    let seats = outside_radii(&wheel);
    assert_eq!(
        seats
            .iter()
            .filter(|r| (**r - 0.505 * 7.92).abs() < 1e-9)
            .count(),
        18
    );
    let circle = 12.7 / (PI / 18.0).sin();
    assert_abs_diff_eq!(circle, 73.14, epsilon = 0.005);
    let root = circle / 2.0 - 0.505 * 7.92;
    let gap = wheel.face.outside.gap_to_point(Point::ORIGIN).distance;
    assert_abs_diff_eq!(gap, root, epsilon = 1e-9);
}

/// A plate with words cut through it.
fn sign(words: &str) -> String {
    format!(
        r#"
        [[plate.step]]
        add = "rectangle"
        width = "100 mm"
        height = "40 mm"
        anchor = "lower left"
        [[plate.step]]
        cut = "text"
        name = "size"
        text = "{words}"
        height = "24 mm"
        stroke = "3 mm"
        at = ["10 mm", "8 mm"]
        "#
    )
}

#[test]
fn words_are_cut_as_strokes_with_the_values_in_them() {
    let cut = plate(&sign("L {3 + 4}"));
    assert_eq!(names(&cut), ["size", "size"]);
    let bounds = cut
        .face
        .openings
        .iter()
        .map(platewright::geometry::Contour::bounds);
    let (low, high) = bounds.fold((f64::MAX, f64::MIN), |(low, high), it| {
        (low.min(it.min.y), high.max(it.max.y))
    });
    assert_abs_diff_eq!(low, 8.0 - 1.5, epsilon = 1e-9);
    assert_abs_diff_eq!(high, 8.0 + 24.0 + 1.5, epsilon = 1e-9);
}

#[test]
fn a_letter_whose_eye_would_fall_out_is_refused() {
    let said = said(&format!("[[plate]]\n{}", sign("L 6")), "");
    assert!(said[0].contains("falls into 2 pieces"), "{said:?}");
}

#[test]
fn an_outline_may_be_written_as_path_data() {
    let tab = plate(
        r#"
        [[plate.step]]
        add = "drawing"
        path = "M 0 0 H 60 V 20 A 30 30 0 0 1 0 20 Z"
        [[plate.step]]
        cut = "disc"
        purpose = "bolt"
        diameter = "10 mm"
        at = ["30 mm", "20 mm"]
        "#,
    );
    assert_eq!(outside_radii(&tab), [30.0]);
    let area = 60.0 * 20.0 + PI * 450.0 - PI * 25.0;
    assert_abs_diff_eq!(tab.net_area(), area, epsilon = 1e-6);
}

#[test]
fn a_crowd_of_discs_is_made_and_a_grid_of_millions_of_crossings_is_refused_at_once() {
    let crowd = plate(
        r#"
        [[plate.step]]
        add = "disc"
        diameter = "300 mm"
        around = { count = 800, circle = "100 mm" }
        "#,
    );
    assert_eq!(crowd.face.outside.segments().len(), 800);
    let refused = said(
        r#"
        [[plate]]
        [[plate.step]]
        add = "rectangle"
        width = "3000 mm"
        height = "3000 mm"
        [[plate.step]]
        cut = "rectangle"
        width = "2500 mm"
        height = "0.4 mm"
        along = { count = 2000, step = ["0 mm", "1 mm"], centred = true }
        [[plate.step]]
        cut = "rectangle"
        width = "0.4 mm"
        height = "2500 mm"
        along = { count = 2000, step = ["1 mm", "0 mm"], centred = true }
        "#,
        "",
    );
    assert_eq!(refused.len(), 1, "{refused:?}");
    assert!(
        refused[0].contains("its shapes cross one another in too many places"),
        "{refused:?}"
    );
    assert!(refused[0].contains("use fewer shapes"), "{refused:?}");
}
