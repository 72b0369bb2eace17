//! Every check, with a plate just inside its limit and one just outside.
//!
//! The sources of the limits stand beside each test; "common practice" has no source.

use std::f64::consts::FRAC_PI_2;

use platewright::check::{self, CHECKS, Finding, Level, Limits};
use platewright::geometry::{Circle, Contour, Face, Point, Pose, Vector};
use platewright::plate::{
    AllowedRotation, Bend, Finish, Fold, HoleLimits, Making, Margin, Mark, Opening, Plate, Purpose,
    StrengthResults,
};
use platewright::trade::thermal::Process;

/// What a shop plasma table says for 6 mm plate.
const PLASMA: Limits = Limits {
    process: Process::Plasma,
    kerf: 1.5,
    bed: (1500.0, 3000.0),
};

/// What a laser says for 6 mm plate.
const LASER: Limits = Limits {
    process: Process::Laser,
    kerf: 0.3,
    bed: (1500.0, 3000.0),
};

/// How such a table makes holes in 6 mm plate.
fn hole_limits(limits: &Limits) -> HoleLimits {
    HoleLimits {
        process: limits.process,
        kerf: limits.kerf,
        smallest_hole: match limits.process {
            Process::Laser => 1.0,
            _ => 4.0,
        },
        undersize: 1.5,
    }
}

/// What the checks say of a plate on a table.
fn run(plate: &Plate, limits: &Limits, relax: &[String]) -> Vec<Finding> {
    let mut plate = plate.clone();
    plate.decide_making(&hole_limits(limits));
    check::run(&plate, Some(limits), relax)
}

/// A hair, mm: inside or outside a limit by this much.
const HAIR: f64 = 0.01;

/// A rectangular plate of mild steel, 6 mm thick, lower left corner at the origin.
fn plate(width: f64, height: f64) -> Plate {
    Plate {
        name: "crate-bracket".into(),
        recipe: "crate-bracket".into(),
        hand: platewright::plate::Handed::Either,
        quantity: 1,
        material: "mild steel".into(),
        thickness: 6.0,
        face: Face {
            outside: rectangle(0.0, 0.0, width, height),
            openings: Vec::new(),
        },
        openings: Vec::new(),
        mating: Vec::new(),
        marks: Vec::new(),
        bends: Vec::new(),
        rotation: AllowedRotation::Free,
        cautions: Vec::new(),
        figures: Vec::new(),
        dimensions: Vec::new(),
        strength: StrengthResults::default(),
        place: None,
        beside: platewright::plate::Beside::default(),
    }
}

fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Contour {
    let corners = [
        Point::new(x, y),
        Point::new(x + width, y),
        Point::new(x + width, y + height),
        Point::new(x, y + height),
    ];
    Contour::polygon(&corners).expect("a rectangle has four corners")
}

fn opening(name: &str, purpose: Purpose) -> Opening {
    Opening {
        name: name.into(),
        purpose,
        thread: None,
        finish: Finish::ByRule,
        circle: None,
        making: None,
    }
}

/// The plate with a round hole.
fn with_hole(mut plate: Plate, purpose: Purpose, at: (f64, f64), diameter: f64) -> Plate {
    let circle = Circle {
        centre: Point::new(at.0, at.1),
        radius: diameter / 2.0,
    };
    let name = format!("{} {}", purpose.word(), plate.openings.len() + 1);
    plate.openings.push(Opening {
        circle: Some(circle),
        ..opening(&name, purpose)
    });
    let edge = Contour::circle(circle.centre, circle.radius).reversed();
    plate.face.openings.push(edge);
    plate
}

/// The plate with an M10 bolt hole, 11 mm.
fn with_bolt(plate: Plate, at: (f64, f64)) -> Plate {
    with_thread(with_hole(plate, Purpose::Bolt, at, 11.0), "M10")
}

fn with_thread(mut plate: Plate, thread: &str) -> Plate {
    let last = plate.openings.last_mut().expect("a hole was added");
    last.thread = Some(thread.into());
    plate
}

fn with_finish(mut plate: Plate, finish: Finish) -> Plate {
    plate.openings.last_mut().expect("a hole was added").finish = finish;
    plate
}

fn with_window(mut plate: Plate, edge: &Contour) -> Plate {
    plate.openings.push(opening("window", Purpose::Window));
    plate.face.openings.push(edge.reversed());
    plate
}

fn safety_critical(mut plate: Plate) -> Plate {
    plate.cautions.push("safety-critical".into());
    plate
}

fn of(check: &str, findings: &[Finding]) -> Vec<Finding> {
    let names = CHECKS.iter().map(|known| known.about.name);
    assert!(
        names.into_iter().any(|name| name == check),
        "no check {check}"
    );
    let mine = findings.iter().filter(|finding| finding.check == check);
    mine.cloned().collect()
}

fn found(check: &str, plate: &Plate, limits: &Limits) -> Vec<Finding> {
    of(check, &run(plate, limits, &[]))
}

#[track_caller]
fn passes(check: &str, plate: &Plate, limits: &Limits) {
    let findings = found(check, plate, limits);
    assert!(findings.is_empty(), "{findings:#?}");
}

#[track_caller]
fn caught(check: &str, level: Level, plate: &Plate, limits: &Limits) -> Finding {
    let findings = found(check, plate, limits);
    let [finding] = findings.as_slice() else {
        panic!("one finding expected: {findings:#?}");
    };
    assert_eq!(finding.level, level, "{finding:#?}");
    assert!(!finding.remedy.is_empty() && !finding.source.is_empty());
    assert!(finding.at.is_some(), "{finding:#?}");
    finding.clone()
}

#[test]
fn a_plain_plate_is_without_fault() {
    let plain = with_bolt(with_bolt(plate(100.0, 60.0), (30.0, 30.0)), (70.0, 30.0));
    assert_eq!(run(&plain, &PLASMA, &[]), []);
}

// The bed of the settings, with a kerf around the part.
#[test]
fn a_part_fits_the_bed_with_its_kerf_or_is_refused() {
    let (bed, room) = (PLASMA.bed, 2.0 * PLASMA.kerf);
    let mut just = plate(bed.0 - room, bed.1 - room);
    just.rotation = AllowedRotation::Fixed;
    passes("bed size", &just, &PLASMA);
    let mut over = plate(bed.0 - room + HAIR, bed.1 - room);
    over.rotation = AllowedRotation::Fixed;
    let finding = caught("bed size", Level::Refuse, &over, &PLASMA);
    assert!(
        finding.message.contains("1500 mm by 3000 mm"),
        "{}",
        finding.message
    );
}

#[test]
fn a_part_is_turned_to_fit_only_as_its_turning_allows() {
    let mut long = plate(2000.0, 100.0);
    for (turning, fits) in [
        (AllowedRotation::Free, true),
        (AllowedRotation::Quarters, true),
        (AllowedRotation::Grain, false),
        (AllowedRotation::Fixed, false),
    ] {
        long.rotation = turning;
        assert_eq!(
            found("bed size", &long, &PLASMA).is_empty(),
            fits,
            "{turning:?}"
        );
    }
    // The diagonal of the bed is 3354 mm: a thin strip of 3200 mm lies across it.
    let mut strip = plate(3200.0, 20.0);
    strip.rotation = AllowedRotation::Free;
    passes("bed size", &strip, &PLASMA);
    strip.rotation = AllowedRotation::Quarters;
    caught("bed size", Level::Refuse, &strip, &PLASMA);
}

// Geometry: the torch burns a slot of its kerf. 1.5 kerfs: common practice.
#[test]
fn a_slot_is_as_wide_as_the_kerf_or_refused() {
    let slot = |width: f64| with_window(plate(100.0, 60.0), &rectangle(20.0, 25.0, 40.0, width));
    passes("narrow slot", &slot(1.5 * PLASMA.kerf), &PLASMA);
    caught(
        "narrow slot",
        Level::Warn,
        &slot(1.5 * PLASMA.kerf - HAIR),
        &PLASMA,
    );
    caught("narrow slot", Level::Warn, &slot(PLASMA.kerf), &PLASMA);
    let finding = caught(
        "narrow slot",
        Level::Refuse,
        &slot(PLASMA.kerf - HAIR),
        &PLASMA,
    );
    let at = finding.at.expect("it has a place");
    assert!(
        (20.0..60.0).contains(&at.x) && (25.0..27.0).contains(&at.y),
        "{at:?}"
    );
}

#[test]
fn a_narrow_neck_between_two_rooms_is_found_where_it_is() {
    let dumbbell = |neck: f64| {
        let (low, high) = (30.0 - neck / 2.0, 30.0 + neck / 2.0);
        let corners = [
            (20.0, 20.0),
            (40.0, 20.0),
            (40.0, low),
            (60.0, low),
            (60.0, 20.0),
            (80.0, 20.0),
            (80.0, 40.0),
            (60.0, 40.0),
            (60.0, high),
            (40.0, high),
            (40.0, 40.0),
            (20.0, 40.0),
        ];
        let edge = Contour::polygon(&corners.map(|(x, y)| Point::new(x, y)));
        with_window(plate(100.0, 60.0), &edge.expect("twelve corners"))
    };
    passes("narrow slot", &dumbbell(3.0), &PLASMA);
    let finding = caught("narrow slot", Level::Refuse, &dumbbell(1.0), &PLASMA);
    let at = finding.at.expect("it has a place");
    assert!(
        (39.0..61.0).contains(&at.x) && (at.y - 30.0).abs() < 1.0,
        "{at:?}"
    );
}

#[test]
fn a_saw_cut_from_the_outside_counts_as_a_slot() {
    let notched = |width: f64| {
        let corners = [
            (0.0, 0.0),
            (50.0, 0.0),
            (50.0, 20.0),
            (50.0 + width, 20.0),
            (50.0 + width, 0.0),
            (100.0, 0.0),
            (100.0, 60.0),
            (0.0, 60.0),
        ];
        let mut plate = plate(100.0, 60.0);
        let edge = Contour::polygon(&corners.map(|(x, y)| Point::new(x, y)));
        plate.face.outside = edge.expect("eight corners");
        plate
    };
    passes("narrow slot", &notched(3.0), &PLASMA);
    caught("narrow slot", Level::Refuse, &notched(1.0), &PLASMA);
}

#[test]
fn a_square_window_is_no_narrow_slot_for_its_corners() {
    let plate = with_window(plate(100.0, 60.0), &rectangle(30.0, 20.0, 30.0, 20.0));
    passes("narrow slot", &plate, &PLASMA);
}

// Plasma 1.5 thicknesses: plasma design guide (looked up). Laser half a thickness to 12 mm, one
// above: common practice, from memory.
#[test]
fn a_hole_is_large_enough_for_the_thickness_and_the_process() {
    let hole = |diameter: f64| {
        let hole = with_hole(plate(100.0, 60.0), Purpose::Bore, (50.0, 30.0), diameter);
        with_finish(hole, Finish::Cut)
    };
    passes("small opening", &hole(9.0), &PLASMA);
    caught("small opening", Level::Warn, &hole(9.0 - HAIR), &PLASMA);
    passes("small opening", &hole(3.0), &LASER);
    caught("small opening", Level::Warn, &hole(3.0 - HAIR), &LASER);
    let thick = |diameter: f64| Plate {
        thickness: 15.0,
        ..hole(diameter)
    };
    passes("small opening", &thick(15.0), &LASER);
    caught("small opening", Level::Warn, &thick(15.0 - HAIR), &LASER);
}

#[test]
fn what_the_drill_makes_is_no_small_opening() {
    let hole = |d: f64| with_hole(plate(100.0, 60.0), Purpose::Bolt, (50.0, 30.0), d);
    // Below the table's smallest it is drilled by rule, above that cut; safety parts are drilled out.
    passes("small opening", &hole(4.0 - HAIR), &PLASMA);
    caught("small opening", Level::Warn, &hole(4.0), &PLASMA);
    passes("small opening", &safety_critical(hole(8.0)), &PLASMA);
    passes(
        "small opening",
        &with_finish(hole(8.0), Finish::Drill),
        &PLASMA,
    );
}

#[test]
fn a_window_counts_by_the_widest_circle_in_it() {
    let window = |w: f64| with_window(plate(100.0, 60.0), &rectangle(20.0, 20.0, 40.0, w));
    passes("small opening", &window(9.2), &PLASMA);
    caught("small opening", Level::Warn, &window(8.8), &PLASMA);
}

// Web to the outside one thickness: common practice, from memory.
// Between openings at least 1.5 thicknesses: plasma design guide (looked up).
#[test]
fn a_web_to_the_outside_is_as_thick_as_the_plate() {
    let hole = |web: f64| with_hole(plate(100.0, 60.0), Purpose::Bore, (50.0, 10.0 + web), 20.0);
    passes("thin web", &hole(6.0), &PLASMA);
    let finding = caught("thin web", Level::Warn, &hole(6.0 - HAIR), &PLASMA);
    let at = finding.at.expect("it has a place");
    assert!(at.distance(Point::new(50.0, 3.0)) < 0.1, "{at:?}");
}

#[test]
fn a_web_between_openings_is_one_and_a_half_thicknesses() {
    let holes = |web: f64| {
        let first = with_hole(plate(200.0, 100.0), Purpose::Bore, (60.0, 50.0), 30.0);
        with_hole(first, Purpose::Window, (60.0 + 30.0 + web, 50.0), 30.0)
    };
    passes("thin web", &holes(9.0), &PLASMA);
    caught("thin web", Level::Warn, &holes(9.0 - HAIR), &PLASMA);
    caught("thin web", Level::Warn, &holes(PLASMA.kerf), &PLASMA);
    caught(
        "thin web",
        Level::Refuse,
        &holes(PLASMA.kerf - HAIR),
        &PLASMA,
    );
}

#[test]
fn a_web_between_two_arcs_is_measured_on_the_true_arcs() {
    // A round hole inside a ring-shaped outside: the web is the difference of the radii wherever
    // the polygon of a coarse flattening might put it.
    let mut ring = plate(10.0, 10.0);
    ring.face.outside = Contour::circle(Point::ORIGIN, 50.0);
    let web = |d: f64| with_hole(ring.clone(), Purpose::Bore, (0.0, 0.0), d);
    passes("thin web", &web(88.0), &PLASMA);
    caught("thin web", Level::Warn, &web(88.0 + 2.0 * HAIR), &PLASMA);
}

#[test]
fn holes_left_to_the_drill_make_no_thin_web() {
    let hole = with_hole(plate(100.0, 60.0), Purpose::Bore, (50.0, 12.0), 20.0);
    passes("thin web", &with_finish(hole, Finish::Drill), &PLASMA);
    // Too small for the table: drilled by rule.
    let small = with_hole(plate(100.0, 60.0), Purpose::Bore, (50.0, 6.0), 3.5);
    passes("thin web", &small, &PLASMA);
}

#[test]
fn a_web_beside_a_hole_that_is_drilled_out_is_that_beside_its_pilot() {
    // A pin of 20 mm is cut at 18.5 mm: 0.75 mm more metal stands beside the cut.
    let pin = |web: f64| with_hole(plate(100.0, 60.0), Purpose::Pin, (50.0, 10.0 + web), 20.0);
    passes("thin web", &pin(5.25), &PLASMA);
    caught("thin web", Level::Warn, &pin(5.25 - HAIR), &PLASMA);
}

/// Two squares of 40 mm joined by a strip of 20 mm length, all on the line y = 0.
fn dumb_bell(strip: f64) -> Plate {
    let (low, high) = (-strip / 2.0, strip / 2.0);
    let corners = [
        (-20.0, -20.0),
        (20.0, -20.0),
        (20.0, low),
        (40.0, low),
        (40.0, -20.0),
        (80.0, -20.0),
        (80.0, 20.0),
        (40.0, 20.0),
        (40.0, high),
        (20.0, high),
        (20.0, 20.0),
        (-20.0, 20.0),
    ];
    let mut made = plate(10.0, 10.0);
    let outside = Contour::polygon(&corners.map(|(x, y)| Point::new(x, y)));
    made.face.outside = outside.expect("it closes");
    made
}

// One thickness: common practice, no source. Under one kerf: geometry.
#[test]
fn the_outside_is_as_wide_as_the_plate_is_thick_and_never_narrower_than_the_kerf() {
    passes("thin web", &dumb_bell(6.0), &PLASMA);
    let finding = caught("thin web", Level::Warn, &dumb_bell(6.0 - HAIR), &PLASMA);
    assert!(
        finding.message.contains("two stretches of the outside"),
        "{finding:?}"
    );
    let at = finding.at.expect("it has a place");
    assert!(at.distance(Point::new(30.0, 0.0)) < 1e-6, "{at:?}");
    caught("thin web", Level::Warn, &dumb_bell(PLASMA.kerf), &PLASMA);
    for strip in [PLASMA.kerf - HAIR, 0.01, 1e-5] {
        let finding = caught("thin web", Level::Refuse, &dumb_bell(strip), &PLASMA);
        assert!(finding.message.contains("burns away"), "{finding:?}");
        assert!(finding.remedy.contains("6 mm"), "{finding:?}");
    }
}

// The finest kerf of a laser is wider: common practice, no source.
#[test]
fn without_a_table_metal_is_at_least_a_tenth_of_a_millimetre_wide() {
    let refused = |strip: f64| {
        let findings = check::run(&dumb_bell(strip), None, &[]);
        findings
            .iter()
            .any(|it| it.check == "thin web" && it.level == Level::Refuse)
    };
    assert!(refused(0.1 - HAIR) && refused(1e-5));
    assert!(!refused(0.1));
}

#[test]
fn what_the_drill_leaves_holds_though_nothing_burns_beside_it() {
    let hole = |web: f64| {
        let hole = with_hole(plate(100.0, 60.0), Purpose::Bore, (50.0, 10.0 + web), 20.0);
        with_finish(hole, Finish::Drill)
    };
    passes("thin web", &hole(0.2), &PLASMA);
    let finding = caught("thin web", Level::Refuse, &hole(0.05), &PLASMA);
    assert!(
        finding.message.contains("nothing that thin holds"),
        "{finding:?}"
    );
}

// AISC 360-16 Table J3.4M: M16 22 mm, M24 30 mm (looked up); below M16 1.5 d, common practice.
#[test]
fn a_bolt_hole_keeps_the_edge_distance_of_its_thread() {
    for (thread, hole, distance) in [
        ("M10", 11.0, 15.0),
        ("M16", 17.5, 22.0),
        ("M24", 26.0, 30.0),
        ("1/2-13", 14.29, 19.05),
        ("3/4-10", 20.64, 25.4),
    ] {
        let at = |y: f64| {
            let drilled = with_hole(plate(200.0, 120.0), Purpose::Bolt, (100.0, y), hole);
            with_thread(drilled, thread)
        };
        passes("edge distance", &at(distance), &PLASMA);
        let finding = caught("edge distance", Level::Warn, &at(distance - HAIR), &PLASMA);
        let is_table = finding.source.starts_with("AISC 360-16");
        assert_eq!(is_table, thread != "M10", "{}", finding.source);
    }
}

// AISC 360, note to Table J3.4: never below one diameter without the engineer.
#[test]
fn a_bolt_hole_nearer_than_its_diameter_is_refused() {
    caught(
        "edge distance",
        Level::Warn,
        &with_bolt(plate(100.0, 60.0), (50.0, 10.0)),
        &PLASMA,
    );
    let near = with_bolt(plate(100.0, 60.0), (50.0, 10.0 - HAIR));
    caught("edge distance", Level::Refuse, &near, &PLASMA);
}

#[test]
fn a_bore_is_an_edge_and_another_bolt_hole_is_not() {
    let bored = with_hole(plate(200.0, 120.0), Purpose::Bore, (100.0, 60.0), 40.0);
    passes(
        "edge distance",
        &with_bolt(bored.clone(), (135.0, 60.0)),
        &PLASMA,
    );
    caught(
        "edge distance",
        Level::Warn,
        &with_bolt(bored, (135.0 - HAIR, 60.0)),
        &PLASMA,
    );
    let pair = with_bolt(with_bolt(plate(200.0, 120.0), (90.0, 60.0)), (104.0, 60.0));
    passes("edge distance", &pair, &PLASMA);
}

#[test]
fn a_bolt_hole_without_a_thread_counts_by_its_own_diameter() {
    let hole = |y: f64| with_hole(plate(100.0, 60.0), Purpose::Bolt, (50.0, y), 12.0);
    passes("edge distance", &hole(18.0), &PLASMA);
    caught("edge distance", Level::Warn, &hole(18.0 - HAIR), &PLASMA);
}

// AISC 360 Section J3.3: 2-2/3 d least (looked up); the 3 d that it prefers are no limit.
#[test]
fn bolts_stand_two_and_two_thirds_diameters_apart() {
    let pair = |apart: f64| {
        with_bolt(
            with_bolt(plate(200.0, 100.0), (80.0, 50.0)),
            (80.0 + apart, 50.0),
        )
    };
    passes("bolt spacing", &pair(80.0 / 3.0 + 1e-9), &PLASMA);
    caught(
        "bolt spacing",
        Level::Warn,
        &pair(80.0 / 3.0 - HAIR),
        &PLASMA,
    );
}

// Geometry.
#[test]
fn a_bolt_passes_its_hole_and_a_tap_finds_metal() {
    let bolt = |d: f64| {
        with_thread(
            with_hole(plate(100.0, 60.0), Purpose::Bolt, (50.0, 30.0), d),
            "M10",
        )
    };
    passes("bolt fit", &bolt(10.0), &PLASMA);
    caught("bolt fit", Level::Warn, &bolt(10.0 - HAIR), &PLASMA);
    let tapped = |d: f64| {
        with_thread(
            with_hole(plate(100.0, 60.0), Purpose::Tapped, (50.0, 30.0), d),
            "M10",
        )
    };
    passes("bolt fit", &tapped(8.5), &PLASMA);
    caught("bolt fit", Level::Warn, &tapped(10.0 + HAIR), &PLASMA);
}

// One diameter in steel, 1.5 in soft metals: common practice.
#[test]
fn a_thread_finds_as_much_plate_as_its_diameter() {
    let tapped = |thread: &str| {
        with_thread(
            with_hole(plate(100.0, 60.0), Purpose::Tapped, (50.0, 30.0), 5.0),
            thread,
        )
    };
    passes("thread engagement", &tapped("M6"), &PLASMA);
    caught("thread engagement", Level::Note, &tapped("1/4-20"), &PLASMA);
    caught(
        "thread engagement",
        Level::Warn,
        &safety_critical(tapped("M8")),
        &PLASMA,
    );
    let soft = |thread: &str| Plate {
        material: "aluminium 5052".into(),
        ..tapped(thread)
    };
    passes("thread engagement", &soft("M4"), &PLASMA);
    caught("thread engagement", Level::Note, &soft("M5"), &PLASMA);
}

// Common practice for cyclic load; AISC 360 M2.5 allows cut holes under static load.
#[test]
fn bolt_holes_of_a_safety_critical_part_are_not_used_as_cut() {
    let bolt = with_bolt(plate(100.0, 60.0), (50.0, 30.0));
    let as_cut = with_finish(bolt.clone(), Finish::Cut);
    passes("bolt holes as cut", &as_cut, &PLASMA);
    // By rule they are cut undersize and drilled: only a builder's wish leaves them as cut.
    let critical = safety_critical(bolt);
    passes("bolt holes as cut", &critical, &PLASMA);
    for finish in [Finish::Undersize, Finish::Drill] {
        passes(
            "bolt holes as cut",
            &with_finish(critical.clone(), finish),
            &PLASMA,
        );
    }
    let wished = with_finish(critical.clone(), Finish::Cut);
    caught("bolt holes as cut", Level::Warn, &wished, &PLASMA);
    let wish_of_a_small_one = |finish| {
        let hole = with_hole(plate(100.0, 60.0), Purpose::Bolt, (50.0, 30.0), 3.5);
        with_finish(safety_critical(hole), finish)
    };
    passes(
        "bolt holes as cut",
        &wish_of_a_small_one(Finish::ByRule),
        &PLASMA,
    );
    caught(
        "bolt holes as cut",
        Level::Warn,
        &wish_of_a_small_one(Finish::Cut),
        &PLASMA,
    );
}

/// What is said of a hole is what is made: over sizes, purposes and wishes, the checks that speak of cut
/// edges are silent of every hole that is drilled from the solid.
#[test]
fn checks_of_cut_edges_are_silent_of_drilled_holes() {
    let wishes = [
        Finish::ByRule,
        Finish::Cut,
        Finish::Undersize,
        Finish::Drill,
    ];
    let mut drilled = 0;
    for purpose in [Purpose::Bolt, Purpose::Pin, Purpose::Tapped, Purpose::Bore] {
        for (finish, d) in wishes
            .iter()
            .flat_map(|w| [2.0, 3.9, 4.1, 7.0].map(|d| (*w, d)))
        {
            // One millimetre of metal is left beside it.
            let hole = with_hole(plate(100.0, 60.0), purpose, (50.0, 1.0 + d / 2.0), d);
            let mut hole = safety_critical(with_finish(hole, finish));
            hole.decide_making(&hole_limits(&PLASMA));
            let made = hole.openings[0].making.clone().expect("decided");
            let said = run(&hole, &PLASMA, &[]);
            let of_the_cut = |it: &&Finding| {
                [
                    "thin web",
                    "small opening",
                    "narrow slot",
                    "bolt holes as cut",
                ]
                .contains(&it.check.as_str())
            };
            let said: Vec<&Finding> = said.iter().filter(of_the_cut).collect();
            match made {
                Making::Drilled(_) => {
                    drilled += 1;
                    assert!(said.is_empty(), "{purpose:?} {d} {finish:?}: {said:#?}");
                }
                Making::Undersize { pilot, .. } => {
                    let beside = 1.0 + (d - pilot) / 2.0;
                    assert_eq!(said.len(), usize::from(beside < 6.0), "{said:#?}");
                    assert!(said.iter().all(|it| it.check == "thin web"), "{said:#?}");
                }
                Making::Cut => assert!(!said.is_empty(), "{purpose:?} {d} {finish:?}"),
            }
        }
    }
    assert!(drilled > 16, "{drilled}");
}

/// A plate with a window whose four corners have this radius.
fn with_rounded_window(r: f64) -> Plate {
    let bulge = (FRAC_PI_2 / 4.0).tan();
    let (left, low, right, high) = (30.0, 20.0, 70.0, 40.0);
    let edge = Contour::from_bulges(&[
        (left + r, low, 0.0),
        (right - r, low, bulge),
        (right, low + r, 0.0),
        (right, high - r, bulge),
        (right - r, high, 0.0),
        (left + r, high, bulge),
        (left, high - r, 0.0),
        (left, low + r, bulge),
    ]);
    with_window(plate(100.0, 60.0), &edge.expect("a rounded rectangle"))
}

// Half the kerf: geometry. 1 mm: plasma design guide, 1 to 2 mm (looked up).
#[test]
fn an_inside_corner_has_the_radius_of_the_torch_and_of_good_practice() {
    passes("sharp corner", &with_rounded_window(1.0), &PLASMA);
    let tight = caught(
        "sharp corner",
        Level::Note,
        &with_rounded_window(1.0 - HAIR),
        &PLASMA,
    );
    assert!(tight.message.contains("3 more places"), "{}", tight.message);
    caught(
        "sharp corner",
        Level::Note,
        &with_rounded_window(0.75),
        &PLASMA,
    );
    let torch = caught(
        "sharp corner",
        Level::Note,
        &with_rounded_window(0.75 - HAIR),
        &PLASMA,
    );
    assert!(
        torch.message.contains("comes out with the torch's"),
        "{}",
        torch.message
    );
    let critical = safety_critical(with_rounded_window(0.5));
    caught("sharp corner", Level::Warn, &critical, &PLASMA);
}

#[test]
fn outside_corners_may_be_sharp_and_pointed_inside_corners_may_not() {
    passes("sharp corner", &plate(100.0, 60.0), &PLASMA);
    let square = with_window(plate(100.0, 60.0), &rectangle(30.0, 20.0, 40.0, 20.0));
    caught("sharp corner", Level::Note, &square, &PLASMA);
}

fn with_bend(mut plate: Plate, x: f64, radius: f64) -> Plate {
    let height = plate.face.outside.bounds().height();
    plate.bends.push(Bend {
        from: Point::new(x, 0.0),
        to: Point::new(x, height),
        angle: FRAC_PI_2,
        radius,
        fold: Fold::Up,
    });
    plate
}

// Mild steel one thickness to 6 mm and 1.5 above, 6061-T6 three: common practice, from memory.
#[test]
fn a_bend_has_the_radius_its_material_likes() {
    let bent = |radius: f64| with_bend(plate(200.0, 60.0), 100.0, radius);
    passes("bend radius", &bent(6.0), &PLASMA);
    caught("bend radius", Level::Note, &bent(6.0 - HAIR), &PLASMA);
    let thick = |radius: f64| Plate {
        thickness: 8.0,
        ..bent(radius)
    };
    passes("bend radius", &thick(12.0), &PLASMA);
    caught("bend radius", Level::Note, &thick(12.0 - HAIR), &PLASMA);
    let hard = |radius: f64| Plate {
        material: "6061-T6".into(),
        ..bent(radius)
    };
    passes("bend radius", &hard(18.0), &PLASMA);
    caught("bend radius", Level::Note, &hard(18.0 - HAIR), &PLASMA);
}

// 2 T + R from the bend line: common practice, from memory.
#[test]
fn an_opening_keeps_away_from_a_fold_line() {
    let bent = |web: f64| {
        let bent = with_bend(plate(200.0, 60.0), 100.0, 6.0);
        with_hole(bent, Purpose::Bore, (100.0 - 10.0 - web, 30.0), 20.0)
    };
    passes("bend clearance", &bent(18.0), &PLASMA);
    caught("bend clearance", Level::Warn, &bent(18.0 - HAIR), &PLASMA);
    caught("bend clearance", Level::Warn, &bent(-5.0), &PLASMA);
    // What is drilled from the solid is drilled last.
    let drilled = with_finish(bent(10.0), Finish::Drill);
    let said = caught("bend clearance", Level::Note, &drilled, &PLASMA);
    assert_eq!(said.remedy, "drill it after bending");
}

#[test]
fn a_relief_hole_at_the_end_of_a_fold_line_is_meant() {
    let mut bent = with_bend(plate(200.0, 60.0), 100.0, 6.0);
    bent.bends[0].to = Point::new(100.0, 40.0);
    let relieved = with_hole(bent, Purpose::Window, (100.0, 40.0), 10.0);
    passes("bend clearance", &relieved, &PLASMA);
}

// 2.5 T + R: common practice, from memory.
#[test]
fn a_leg_is_wide_enough_for_the_brake() {
    let bent = |leg: f64| with_bend(plate(200.0, 60.0), leg, 6.0);
    passes("short leg", &bent(21.0), &PLASMA);
    caught("short leg", Level::Warn, &bent(21.0 - HAIR), &PLASMA);
    passes("short leg", &bent(179.0), &PLASMA);
    caught("short leg", Level::Warn, &bent(179.0 + HAIR), &PLASMA);
}

#[test]
fn a_relaxed_check_becomes_a_note_that_says_so() {
    let near = with_bolt(plate(100.0, 60.0), (50.0, 9.0));
    let relax = vec!["edge distance".to_owned()];
    let findings = of("edge distance", &run(&near, &PLASMA, &relax));
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].level, Level::Note);
    assert!(
        findings[0].message.contains("relaxed"),
        "{}",
        findings[0].message
    );
}

#[test]
fn what_is_impossible_is_not_relaxed() {
    let all: Vec<String> = CHECKS
        .iter()
        .map(|check| check.about.name.to_owned())
        .collect();
    let slot = with_window(plate(100.0, 60.0), &rectangle(20.0, 25.0, 40.0, 1.0));
    let large = plate(4000.0, 4000.0);
    for (check, plate) in [("narrow slot", slot), ("bed size", large)] {
        let findings = of(check, &run(&plate, &PLASMA, &all));
        assert_eq!(findings[0].level, Level::Refuse, "{check}");
    }
}

#[test]
fn without_a_table_only_the_checks_that_need_none_speak() {
    let plate = with_bolt(
        with_window(plate(4000.0, 60.0), &rectangle(20.0, 25.0, 40.0, 1.0)),
        (100.0, 9.0),
    );
    let findings = check::run(&plate, None, &[]);
    let names: Vec<&str> = findings
        .iter()
        .map(|finding| finding.check.as_str())
        .collect();
    assert_eq!(names, ["edge distance", "thin web"]);
}

#[test]
fn findings_come_gravest_first_and_do_not_change_when_the_plate_moves() {
    let mut messy = with_bolt(with_bolt(plate(100.0, 60.0), (9.0, 30.0)), (30.0, 30.0));
    messy = with_window(messy, &rectangle(50.0, 20.0, 40.0, 1.0));
    let before = run(&safety_critical(messy.clone()), &PLASMA, &[]);
    let levels: Vec<Level> = before.iter().map(|finding| finding.level).collect();
    assert!(
        levels.windows(2).all(|pair| pair[0] >= pair[1]),
        "{levels:?}"
    );
    assert!(levels.len() >= 4, "{before:#?}");

    let pose = Pose::new(0.7, Vector::new(40.0, -30.0));
    let mut moved = safety_critical(messy);
    moved.face = moved.face.posed(&pose);
    for opening in &mut moved.openings {
        if let Some(circle) = &mut opening.circle {
            circle.centre = pose.point(circle.centre);
        }
    }
    let after = run(&moved, &PLASMA, &[]);
    let told = |findings: &[Finding]| -> Vec<(String, Level)> {
        findings
            .iter()
            .map(|f| (f.check.clone(), f.level))
            .collect()
    };
    assert_eq!(told(&before), told(&after));
    for (one, other) in before.iter().zip(&after) {
        let (here, there) = (one.at.expect("a place"), other.at.expect("a place"));
        assert!(
            pose.point(here).distance(there) < 1.0,
            "{one:#?} {other:#?}"
        );
    }
}

/// A plate for each check that it speaks of; a check without one fails here.
#[test]
fn every_check_has_a_plate_that_it_speaks_of() {
    let bolts = |apart: f64| {
        with_bolt(
            with_bolt(plate(200.0, 100.0), (80.0, 50.0)),
            (80.0 + apart, 50.0),
        )
    };
    let pierced = |purpose, d: f64| with_hole(plate(100.0, 60.0), purpose, (50.0, 30.0), d);
    let bent = |x: f64, radius: f64| with_bend(plate(200.0, 60.0), x, radius);
    for check in CHECKS {
        let plate = match check.about.name {
            "bed size" => plate(4000.0, 4000.0),
            "narrow slot" => with_window(plate(100.0, 60.0), &rectangle(20.0, 25.0, 40.0, 1.0)),
            "small opening" => pierced(Purpose::Bore, 8.0),
            "thin web" => with_hole(plate(100.0, 60.0), Purpose::Bore, (50.0, 12.0), 20.0),
            "edge distance" => with_bolt(plate(100.0, 60.0), (50.0, 9.0)),
            "bolt spacing" => bolts(25.0),
            "bolt fit" => with_thread(pierced(Purpose::Bolt, 9.0), "M10"),
            "thread engagement" => with_thread(pierced(Purpose::Tapped, 8.5), "M10"),
            "bolt holes as cut" => {
                with_finish(safety_critical(pierced(Purpose::Bolt, 11.0)), Finish::Cut)
            }
            "sharp corner" => with_rounded_window(0.5),
            "bend radius" => bent(100.0, 1.0),
            "bend clearance" => with_hole(bent(100.0, 6.0), Purpose::Bore, (85.0, 30.0), 20.0),
            "short leg" => bent(10.0, 6.0),
            "scribed words" => with_words_off(plate(100.0, 60.0)),
            "will it hold" => with_margin(1.0),
            other => panic!("no plate for the check \"{other}\""),
        };
        assert!(
            !found(check.about.name, &plate, &PLASMA).is_empty(),
            "{}",
            check.about.name
        );
    }
}

/// A plate with words beside its metal.
fn with_words_off(mut plate: Plate) -> Plate {
    plate.marks.push(Mark::Text {
        at: Point::new(200.0, 30.0),
        height: 10.0,
        turn: 0.0,
        text: "LEFT".to_owned(),
    });
    plate
}

/// A plate of which 1.5 times the load is wanted, and that carries so many times.
fn with_margin(ratio: f64) -> Plate {
    let mut plate = plate(200.0, 100.0);
    plate.strength.margins.push(Margin {
        says: "bolts by friction".to_owned(),
        load: "600 N.m".to_owned(),
        carries: "900 N.m".to_owned(),
        load_reckoned: String::new(),
        carries_reckoned: "friction_torque(0.15, 25 kN, 4, 80 mm)".to_owned(),
        steps: Vec::new(),
        typical: false,
        ratio,
        wanted: 1.5,
        formula: "n F mu D / 2".to_owned(),
        source: "a handbook".to_owned(),
        remedy: "use larger bolts".to_owned(),
        fixes: Vec::new(),
        near: None,
    });
    plate
}

#[test]
fn what_would_be_printed_as_the_limit_keeps_it() {
    // 1.5 diameters of M10 are 15 mm.
    let bolt = |y: f64| with_bolt(plate(100.0, 60.0), (50.0, y));
    passes("edge distance", &bolt(15.0 - 0.004), &PLASMA);
    let said = caught("edge distance", Level::Warn, &bolt(15.0 - 0.006), &PLASMA);
    assert!(said.message.contains("14.99 mm"), "{}", said.message);
    assert!(said.remedy.contains("0.01 mm"), "{}", said.remedy);
}

#[test]
fn a_small_round_hole_has_no_corners_and_an_acute_one_is_a_warning() {
    let small = with_hole(plate(100.0, 60.0), Purpose::Bore, (50.0, 30.0), 1.8);
    passes("sharp corner", &small, &LASER);
    let wedge = |half: f64| {
        let corners = [(30.0, 30.0 - half), (60.0, 30.0), (30.0, 30.0 + half)];
        let edge = Contour::polygon(&corners.map(|(x, y)| Point::new(x, y)));
        with_window(plate(100.0, 60.0), &edge.expect("a triangle"))
    };
    let said = found("sharp corner", &wedge(9.0), &PLASMA);
    let worst = &said[0];
    // Half the angle is atan(9 / 30): 0.75 (1 / sin - 1) = 1.86 mm.
    assert_eq!(worst.level, Level::Warn);
    assert!(worst.message.contains("1.86 mm"), "{}", worst.message);
}

// The margin that a family wants, with its own source: no other limit.
#[test]
fn a_margin_just_enough_is_silent_and_one_just_short_is_warned_of() {
    let said = |plate: &Plate, relax: &[String]| {
        let findings = check::run(plate, None, relax).into_iter();
        findings
            .filter(|it| it.check == "will it hold")
            .collect::<Vec<_>>()
    };
    assert!(said(&with_margin(1.5), &[]).is_empty());
    // Printed as 1.5 times.
    assert!(said(&with_margin(1.496), &[]).is_empty());
    let short = caught("will it hold", Level::Warn, &with_margin(1.494), &PLASMA);
    assert_eq!(short.source, "a handbook");
    let relaxed = said(&with_margin(1.494), &["will it hold".to_owned()]);
    assert_eq!(relaxed[0].level, Level::Note);
}
