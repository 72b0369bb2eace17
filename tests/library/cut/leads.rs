//! Cut paths of single plates whose right answer is known beforehand.

use super::shapes::{self, prepare};
use platewright::cut::{CutPath, Layer, LeadForm, PreparedPlate, Swirl, Table};
use platewright::geometry::{Circle, Contour, Face, Point, Region, Segment};
use platewright::plate::{Finish, Making, Opening, Plate, Purpose};

/// A plate with one opening in its middle.
fn with_opening(outside: &Region, cut: &Region, opening: Opening) -> Plate {
    let mut metal = outside.difference(cut).expect("resolves");
    let mut plate = shapes::plate("bracket", metal.faces.swap_remove(0));
    plate.openings = vec![opening];
    plate
}

fn with_hole(diameter: f64, purpose: Purpose) -> Plate {
    let circle = Circle {
        centre: Point::ORIGIN,
        radius: diameter / 2.0,
    };
    with_opening(
        &shapes::rectangle(0.0, 0.0, 120.0, 80.0),
        &shapes::disc(0.0, 0.0, diameter),
        shapes::opening("the hole", purpose, Some(circle)),
    )
}

fn with_window(cut: &Region) -> Plate {
    with_opening(
        &shapes::rectangle(0.0, 0.0, 220.0, 160.0),
        cut,
        shapes::opening("the window", Purpose::Window, None),
    )
}

fn prepared(plate: &Plate) -> PreparedPlate {
    prepare(plate, &shapes::settings(), &shapes::table())
        .unwrap_or_else(|faults| panic!("{faults}"))
}

/// How the opening of a plate is made.
fn making(plate: &Plate) -> Making {
    let decided = shapes::decided(plate, &shapes::settings(), &shapes::table());
    decided.openings[0].making.clone().expect("decided")
}

/// The diameter that is cut and the work that is left.
fn undersize(plate: &Plate) -> (f64, String) {
    match making(plate) {
        Making::Undersize { pilot, work } => (pilot, work.says),
        other => panic!("not undersize: {other:?}"),
    }
}

fn refusal(plate: &Plate) -> String {
    match prepare(plate, &shapes::settings(), &shapes::table()) {
        Ok(_) => panic!("not refused"),
        Err(faults) => faults.to_string(),
    }
}

fn body(path: &CutPath) -> &[Segment] {
    &path.segments[path.lead_in..path.segments.len() - path.tail]
}

#[test]
fn a_hole_is_one_circle_half_a_kerf_inside_its_edge() {
    let path = &prepared(&with_hole(20.0, Purpose::Bolt)).paths[0];
    assert_eq!(path.layer, Layer::Inside);
    for segment in body(path) {
        let Segment::Arc { centre, radius, .. } = segment else {
            panic!("a straight piece in a hole");
        };
        assert!(centre.distance(Point::ORIGIN) < 1e-9);
        assert!((radius - (10.0 - 0.8)).abs() < 1e-9);
    }
    assert!(
        path.pierce().distance(Point::ORIGIN) < 1e-9,
        "pierced in the middle"
    );
    assert_eq!(path.lead_in, 1, "a half turn from the middle");
}

#[test]
fn a_square_outside_keeps_sharp_corners_by_going_round_them() {
    let plate = shapes::plate(
        "square",
        shapes::rectangle(0.0, 0.0, 60.0, 60.0).faces.swap_remove(0),
    );
    let path = &prepared(&plate).paths[0];
    let arcs: Vec<f64> = body(path)
        .iter()
        .filter_map(|segment| match segment {
            Segment::Arc { radius, .. } => Some(*radius),
            Segment::Line { .. } => None,
        })
        .collect();
    assert_eq!(arcs.len(), 4);
    assert!(arcs.iter().all(|radius| (radius - 0.8).abs() < 1e-9));
    let corner = Point::new(30.0, 30.0);
    let gap = body(path)
        .iter()
        .map(|s| s.gap_to_point(corner).distance)
        .fold(f64::INFINITY, f64::min);
    assert!((gap - 0.8).abs() < 1e-6, "{gap}");
}

#[test]
fn what_is_too_small_to_cut_goes_to_the_drill() {
    for (diameter, purpose, thread, drill, work) in [
        (6.6, Purpose::Bolt, Some("M6"), 6.6, "drill 6.6 mm"),
        // ISO coarse pitch: M8 x 1.25, tapping drill 6.8.
        (
            6.8,
            Purpose::Tapped,
            Some("M8"),
            6.8,
            "drill 6.8 mm, tap M8",
        ),
        (8.0, Purpose::Pin, None, 8.0, "drill and ream to 8 mm"),
    ] {
        let mut plate = with_hole(diameter, purpose);
        plate.openings[0].thread = thread.map(str::to_owned);
        let prepared = prepared(&plate);
        assert_eq!(prepared.paths.len(), 1, "only the outside is cut");
        let Making::Drilled(made) = making(&plate) else {
            panic!("not drilled from the solid");
        };
        assert_eq!(made.says, work);
        assert!((made.drill - drill).abs() < 1e-9);
    }
}

#[test]
fn a_pin_hole_is_cut_undersize_for_the_reamer() {
    let pin = with_hole(20.0, Purpose::Pin);
    let work = "drill and ream to 20 mm (cut at 18 mm)".to_owned();
    assert_eq!(undersize(&pin), (18.0, work));
    let prepared = prepared(&pin);
    let circle = prepared.paths[0].nominal.as_circle().expect("round");
    assert!((circle.radius - 9.0).abs() < 1e-9);
}

#[test]
fn the_builder_may_override_the_rule() {
    let mut plate = with_hole(20.0, Purpose::Bolt);
    plate.openings[0].finish = Finish::Drill;
    assert!(matches!(making(&plate), Making::Drilled(_)));
    plate.openings[0].finish = Finish::Undersize;
    assert_eq!(undersize(&plate).0, 18.0);
    let mut small = with_hole(6.0, Purpose::Bolt);
    small.openings[0].finish = Finish::Cut;
    assert_eq!(making(&small), Making::Cut);
    assert_eq!(prepared(&small).paths[0].layer, Layer::SmallHole);
    // Not even the builder has a hole cut that the kerf fills.
    let mut tiny = with_hole(1.6, Purpose::Bolt);
    tiny.openings[0].finish = Finish::Cut;
    let said = refusal(&tiny);
    assert!(
        said.contains("the hole is somewhere no wider than the kerf of 1.6 mm"),
        "{said}"
    );
}

#[test]
fn small_holes_are_slower_and_on_their_own_layer() {
    let path = &prepared(&with_hole(12.0, Purpose::Bolt)).paths[0];
    assert_eq!(path.layer, Layer::SmallHole);
    assert!((path.feed - 24.0).abs() < 1e-9);
}

#[test]
fn a_slot_narrower_than_the_kerf_is_refused_by_name() {
    let said = refusal(&with_window(&shapes::slot(0.0, 0.0, 30.0, 1.5, 0.3)));
    assert!(
        said.contains("the window") && said.contains("kerf of 1.6 mm"),
        "{said}"
    );
}

#[test]
fn an_opening_with_a_neck_narrower_than_the_kerf_is_refused() {
    let ends = shapes::rectangle(-20.0, 0.0, 20.0, 20.0)
        .union(&shapes::rectangle(20.0, 0.0, 20.0, 20.0))
        .and_then(|ends| ends.union(&shapes::rectangle(0.0, 0.0, 40.0, 1.2)))
        .expect("resolves");
    let said = refusal(&with_window(&ends));
    assert!(said.contains("the window"), "{said}");
}

/// A clamp whose pocket is wider than its mouth, by the width of the mouth.
fn clamp(mouth: f64) -> Plate {
    let notched = shapes::rectangle(0.0, 0.0, 100.0, 60.0)
        .difference(&shapes::rectangle(40.0, 0.0, 40.0, mouth))
        .and_then(|it| it.difference(&shapes::disc(20.0, 0.0, 24.0)))
        .expect("resolves");
    shapes::plate("clamp", notched.faces[0].clone())
}

#[test]
fn a_mouth_just_wider_than_the_kerf_lets_the_torch_in() {
    for mouth in [1.7, 2.4, 3.1, 3.3] {
        let made = prepared(&clamp(mouth));
        assert_eq!(made.paths.len(), 1, "{mouth}");
        // Nothing else fits into a pocket that closes as the parts of a sheet keep their kerfs apart.
        assert!(
            made.outline
                .faces
                .iter()
                .all(|face| face.openings.is_empty())
        );
        let pocket = Point::new(20.0, 0.0);
        assert_eq!(
            made.outline.contains(pocket),
            mouth < 2.0 * shapes::settings().kerf,
            "{mouth}"
        );
    }
    let said = refusal(&clamp(1.5));
    assert!(said.contains("no wider than the kerf of 1.6 mm"), "{said}");
}

#[test]
fn pierces_that_lack_room_are_told_once_for_all_that_share_it() {
    let holes = [-30.0, 0.0, 30.0].map(|x| shapes::disc(x, 0.0, 9.0));
    let metal = holes
        .iter()
        .fold(shapes::rectangle(0.0, 0.0, 120.0, 60.0), |metal, hole| {
            metal.difference(hole).expect("resolves")
        });
    let row = shapes::plate("row", metal.faces[0].clone());
    let short = |clearance: f64| -> Vec<String> {
        let mut settings = shapes::settings();
        settings.pierce_clearance = clearance;
        let prepared = prepare(&row, &settings, &shapes::table()).expect("prepared");
        let findings = prepared.findings.into_iter();
        let short = findings.filter(|finding| finding.check == "short lead");
        short.map(|finding| finding.message).collect()
    };
    assert_eq!(
        short(20.0 / 3.0),
        [
            "the pierce of bolt 1, bolt 2 and 1 more lies 4.5 mm from the finished edge; the table asks for 6.7 mm"
        ]
    );
    // Three quarters of what is asked is not worth a word.
    assert_eq!(short(5.9), [""; 0]);
}

#[test]
fn leads_keep_off_mating_edges_where_they_can() {
    // The whole edge of a 90 mm square but its top mates.
    let mut plate = shapes::plate(
        "seat",
        shapes::rectangle(0.0, 0.0, 90.0, 90.0).faces.swap_remove(0),
    );
    plate.mating = vec![
        shapes::rectangle(-46.0, 0.0, 2.0, 84.0).faces[0]
            .outside
            .clone(),
        shapes::rectangle(46.0, 0.0, 2.0, 84.0).faces[0]
            .outside
            .clone(),
        shapes::rectangle(0.0, -46.0, 84.0, 2.0).faces[0]
            .outside
            .clone(),
    ];
    let path = &prepared(&plate).paths[0];
    let join = path.segments[path.lead_in].start();
    assert!(join.y > 44.0, "joined at {join:?}");
}

#[test]
fn leads_join_on_a_straight_stretch_rather_than_in_a_hollow() {
    // A plate with a big bite out of its right side.
    let bitten = shapes::rectangle(0.0, 0.0, 100.0, 100.0)
        .difference(&shapes::disc(50.0, 0.0, 80.0))
        .expect("resolves");
    let path = &prepared(&shapes::plate("bitten", bitten.faces[0].clone())).paths[0];
    assert!(matches!(path.segments[path.lead_in], Segment::Line { .. }));
    let join = path.segments[path.lead_in].start();
    let corner = bitten.faces[0]
        .outside
        .segments()
        .iter()
        .map(|s| s.start().distance(join));
    assert!(
        corner.fold(f64::INFINITY, f64::min) > 5.0,
        "joined at a corner: {join:?}"
    );
}

#[test]
fn the_swirl_decides_which_way_round() {
    let plate = with_hole(20.0, Purpose::Bolt);
    let mut table = shapes::table();
    let turns = |table: &Table| {
        let prepared = prepare(&plate, &shapes::settings(), table).expect("prepared");
        let turn = |path: &CutPath| {
            Contour::new(body(path).to_vec())
                .expect("a loop")
                .signed_area()
        };
        (turn(&prepared.paths[0]), turn(&prepared.paths[1]))
    };
    let (hole, outside) = turns(&table);
    assert!(hole > 0.0 && outside < 0.0);
    table.swirl = Swirl::CounterClockwise;
    let (hole, outside) = turns(&table);
    assert!(hole < 0.0 && outside > 0.0);
}

#[test]
fn a_window_leaves_room_but_for_its_kerf_and_lead() {
    let cut = shapes::rectangle(0.0, 0.0, 120.0, 90.0);
    let plate = with_window(&cut);
    let prepared = prepared(&plate);
    let (index, room) = &prepared.room[0];
    assert_eq!(*index, 0);
    let slug = (120.0 - 3.2) * (90.0 - 3.2);
    let lost = slug - room.area();
    assert!(lost > 0.0 && lost < 120.0, "{lost} mm² lost to the lead");
    let edge = room
        .contours()
        .map(|c| c.gap_to(&cut.faces[0].outside).distance);
    assert!(edge.fold(f64::INFINITY, f64::min) > 1.6 - 1e-6);
    let pierce = prepared.paths[0].pierce();
    assert!(room.edge_gap_to_point(pierce).expect("edges").distance > 3.4 - 1e-6);
    assert!(!room.contains(pierce));
}

#[test]
fn the_footprint_is_the_plate_its_kerf_and_its_lead() {
    let face: Face = shapes::disc(0.0, 0.0, 100.0).faces.swap_remove(0);
    let prepared = prepared(&shapes::plate("disc", face));
    assert_eq!(prepared.outline.faces.len(), 1);
    let disc = std::f64::consts::PI * 51.6 * 51.6;
    let more = prepared.outline.area() - disc;
    // Less than a band of the kerf along the lead and a disc around the pierce.
    assert!(more > 0.0 && more < 120.0, "{more} mm² for the lead");
    let pierce = prepared.paths[0].pierce();
    let around = prepared
        .outline
        .edge_gap_to_point(pierce)
        .expect("edges")
        .distance;
    assert!((around - 3.4).abs() < 1e-6, "{around}");
}

#[test]
fn bolt_holes_of_safety_parts_are_cut_undersize_and_drilled() {
    let mut plate = with_hole(20.0, Purpose::Bolt);
    assert_eq!(making(&plate), Making::Cut);
    plate.cautions = vec!["safety-critical".to_owned()];
    assert_eq!(
        undersize(&plate),
        (18.0, "drill 20 mm (cut at 18 mm)".to_owned())
    );
    // Too small to cut undersize: from the solid.
    let mut small = with_hole(8.5, Purpose::Bolt);
    small.cautions.clone_from(&plate.cautions);
    assert!(matches!(making(&small), Making::Drilled(_)));
    // The builder decides.
    plate.openings[0].finish = Finish::Cut;
    assert_eq!(making(&plate), Making::Cut);
    // A bore is no bolt hole.
    let mut bore = with_hole(40.0, Purpose::Bore);
    bore.cautions = vec!["safety-critical".to_owned()];
    assert_eq!(making(&bore), Making::Cut);
}

#[test]
fn a_lead_shorter_than_asked_is_told_even_if_the_pierce_has_room() {
    let mut settings = shapes::settings();
    settings.pierce_clearance = 3.0;
    settings.lead_length = 20.0;
    let plate = with_hole(20.0, Purpose::Bolt);
    let prepared = prepare(&plate, &settings, &shapes::table()).expect("prepared");
    let said: Vec<&str> = prepared
        .findings
        .iter()
        .filter(|finding| finding.check == "short lead")
        .map(|finding| finding.message.as_str())
        .collect();
    // A half turn from the middle: pi / 2 times 9.2.
    assert_eq!(
        said,
        ["the lead of the hole is 14.5 mm long; the table asks for 20 mm"]
    );
}

#[test]
fn leads_may_be_straight() {
    let mut settings = shapes::settings();
    settings.lead = LeadForm::Straight;
    for plate in [
        with_hole(20.0, Purpose::Bolt),
        with_window(&shapes::rectangle(0.0, 0.0, 60.0, 40.0)),
    ] {
        let prepared = prepare(&plate, &settings, &shapes::table()).expect("prepared");
        for path in &prepared.paths {
            assert_eq!(path.lead_in, 1);
            let lead = &path.segments[0];
            assert!(matches!(lead, Segment::Line { .. }), "{lead:?}");
            assert!(lead.length() >= 5.9, "{}", lead.length());
        }
    }
}
