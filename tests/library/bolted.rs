//! Joints of a job: patterns against a brute force, bolts, room for sockets, remedies followed.

use platewright::bolted::{self, Chance, Drilled, Holes, chance, laid, miss};
use platewright::elementary::sin_cos;
use platewright::fault::Source;
use platewright::finding::{Finding, Level};
use platewright::geometry::Point;
use platewright::pipeline::{self, Drawn};
use platewright::recipe::{Job, Shelf};
use platewright::report::holding;
use platewright::trade::hole::Trueness;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use std::f64::consts::TAU;

fn drawn(text: &str) -> Drawn {
    drawn_on(&Shelf::built_in(), text)
}

fn drawn_on(shelf: &Shelf, text: &str) -> Drawn {
    let job = Job::from_source(&Source::inline("job.toml", text), shelf);
    let job = job.unwrap_or_else(|faults| panic!("{faults}"));
    pipeline::draw(&job, shelf).unwrap_or_else(|faults| panic!("{faults}"))
}

fn refused(text: &str) -> String {
    let shelf = Shelf::built_in();
    let job = Job::from_source(&Source::inline("job.toml", text), &shelf);
    let drawn = job.and_then(|job| pipeline::draw(&job, &shelf));
    drawn.expect_err("refused").to_string()
}

fn said(drawn: &Drawn, check: &str) -> Vec<Finding> {
    let all = drawn.findings.iter().flatten();
    all.filter(|it| it.check == check).cloned().collect()
}

const HUB: &str = "[[part]]\nrecipe = \"hub-adapter\"\nname = \"hub plate\"\nquantity = 2\nhub_circle = \"100 mm\"\n\
    hub_bolt = \"M12x1.5\"\nwheel_circle = \"114.3 mm\"\nwheel_bolt = \"1/2-20\"\n";

fn wheel(keys: &str, openings: &str) -> String {
    format!(
        "{HUB}[[bolted]]\nname = \"wheels\"\nthrough = [{{ plate = \"hub plate\", openings = \"{openings}\" }}, \
         {{ says = \"wheel\", thickness = \"6 mm\", {keys} }}]\n"
    )
}

const FITTING: &str = "circle = \"4-1/2 in\", count = 4, hole = \"13.5 mm\"";

/// By hand: 4 bolts each of 2 plates; grip 10 + 6 = 16 mm; `M12x1.5` of class 8.8 has a stress area of 88.1 mm² (ISO 898-1)
/// and 580 N/mm² of proof stress: 0.2 * 12 mm * 0.75 * 88.1 mm² * 580 N/mm² = 92 N.m; 16 + 2 * 2.4 + 0.9 * 12 + 2 * 1.5
/// = 34.6 mm, and the next length of ISO 4014 is 35 mm.
#[test]
fn a_joint_lists_its_bolts_once() {
    let text = format!(
        "{HUB}[[bolted]]\nname = \"hubs\"\nthrough = [{{ says = \"hub\", thickness = \"6 mm\", circle = \"100 mm\", \
         count = 4, hole = \"13 mm\" }}, {{ plate = \"hub plate\", openings = \"hub bolt\" }}]\n"
    );
    let drawn = drawn(&text);
    let [joint] = drawn.joints.as_slice() else {
        panic!("one joint")
    };
    let figures = holding::joint(joint);
    assert_eq!((figures.quantity, figures.bolts.count), (2, 8));
    assert_eq!(figures.bolts.thread, "M12x1.5");
    assert_eq!(
        (figures.bolts.grip_mm, figures.bolts.length_mm),
        (16.0, Some(35.0))
    );
    assert_eq!(figures.bolts.washers, 16);
    let torque = figures.bolts.torque_nm.expect("a torque");
    assert!((torque - 92.0).abs() < 0.5, "{torque}");
    assert_eq!(
        figures.through,
        ["hub, 6 mm (0.236 in)", "hub-plate, 10 mm (0.394 in)"]
    );
    // The family's bolts of the hub are listed by the joint, those of the wheel by the plate as before.
    let left = holding::hardware(&drawn.plates[0]);
    let left: Vec<(&str, u32)> = left.iter().map(|it| (it.says.as_str(), it.count)).collect();
    assert_eq!(left, [("the wheel", 8)]);
}

#[test]
fn what_a_joint_says_of_its_bolts_counts_more_than_the_family() {
    let text = wheel(FITTING, "wheel bolt")
        + "thread = \"1/2-13\"\nclass = \"grade 8\"\nnut = \"wheel nut\"\nwashers = 0\nquantity = 1\n";
    let drawn = drawn(&text);
    let figures = holding::joint(&drawn.joints[0]);
    assert_eq!((figures.quantity, figures.bolts.count), (1, 4));
    assert_eq!(
        (figures.bolts.thread.as_str(), figures.bolts.class.as_str()),
        ("1/2-13", "grade 8")
    );
    assert_eq!(
        (figures.bolts.washers, figures.bolts.nut.as_deref()),
        (0, Some("wheel nut"))
    );
    // Of the second plate the family lists them still.
    let left = holding::hardware(&drawn.plates[0]);
    assert!(
        left.iter()
            .any(|it| it.says == "the wheel" && it.count == 4)
    );
}

#[test]
fn a_tapped_ply_takes_bolts_without_nuts() {
    let text = format!(
        "{HUB}hub_hole = \"tapped\"\n[[bolted]]\nname = \"hubs\"\nthrough = [{{ says = \"hub\", thickness = \
        \"8 mm\", circle = \"100 mm\", count = 4, hole = \"13.5 mm\" }}, {{ plate = \"hub plate\", openings = \"hub bolt\" }}]\n"
    );
    let figures = holding::joint(&drawn(&text).joints[0]);
    assert_eq!(figures.bolts.fastener, "bolt into a thread");
    assert_eq!((figures.bolts.nut, figures.bolts.washers), (None, 8));
}

/// 110 mm and 114.3 mm: each hole misses by 2.15 mm, less (14.2875 - 12.7) / 2 + (13.5 - 12.7) / 2 = 1.19 mm of room.
#[test]
fn a_pattern_that_does_not_match_is_refused_with_the_distance_and_the_remedy_works() {
    let wrong = wheel(
        "circle = \"110 mm\", count = 4, hole = \"13.5 mm\"",
        "wheel bolt",
    );
    let drawn_wrong = drawn(&wrong);
    let [finding] = said(&drawn_wrong, bolted::BOLT_PATTERN)
        .try_into()
        .expect("one finding");
    assert_eq!(finding.level, Level::Refuse);
    assert!(
        finding.message.contains("misses by 0.96 mm"),
        "{}",
        finding.message
    );
    assert!(
        finding
            .message
            .contains("\"wheel bolt\" of hub-plate and the holes of wheel"),
        "{}",
        finding.message
    );
    assert!(pipeline::refuse(&drawn_wrong).is_err());
    let value = |after: &str| {
        let from = finding
            .remedy
            .find(after)
            .unwrap_or_else(|| panic!("{}", finding.remedy));
        let rest = &finding.remedy[from + after.len()..];
        rest.split('"').next().expect("a value").to_owned()
    };
    let followed = wrong.replace(
        "circle = \"110 mm\", count",
        &format!("circle = \"{}\", count", value("circle = \"")),
    );
    assert_ne!(followed, wrong);
    assert_eq!(said(&drawn(&followed), bolted::BOLT_PATTERN), []);
}

#[test]
fn openings_that_would_match_are_named() {
    let wrong = wheel(
        "circle = \"4-1/2 in\", count = 4, hole = \"13.5 mm\"",
        "hub bolt",
    );
    let drawn_wrong = drawn(&wrong);
    let [finding] = said(&drawn_wrong, bolted::BOLT_PATTERN)
        .try_into()
        .expect("one finding");
    assert_eq!(
        finding.remedy,
        "write openings = \"wheel bolt\" for hub-plate: they go together"
    );
    let followed = wrong.replace("openings = \"hub bolt\"", "openings = \"wheel bolt\"");
    assert_eq!(said(&drawn(&followed), bolted::BOLT_PATTERN), []);
    let five = wheel(
        "circle = \"4-1/2 in\", count = 5, hole = \"13.5 mm\"",
        "wheel bolt",
    );
    let [finding] = said(&drawn(&five), bolted::BOLT_PATTERN)
        .try_into()
        .expect("one finding");
    assert_eq!(
        finding.message,
        "joint \"wheels\": \"wheel bolt\" of hub-plate are 4, the holes of wheel 5"
    );
    assert!(finding.remedy.contains("count = 4"), "{}", finding.remedy);
}

/// Six M10 through 11 mm on 110 mm, slots 20° long: bolts at their ends stand 55 sin 10° = 9.6 mm off the middle. A hole of the
/// other ply 5° off, 4.8 mm, is within a slot and misses a round hole.
#[test]
fn bolts_go_through_slots_anywhere_along_them() {
    let with = |slotted: &str, openings: &str, circle: f64| {
        let places = (0..6).map(|it| {
            let turn = f64::from(it) * 60.0 + if it == 0 { 5.0 } else { 0.0 };
            let (sin, cos) = sin_cos(turn.to_radians());
            format!(
                "[\"{} mm\", \"{} mm\"]",
                circle / 2.0 * cos,
                circle / 2.0 * sin
            )
        });
        let places: Vec<String> = places.collect();
        format!(
            "[[part]]\nrecipe = \"flange\"\nslotted = \"{slotted}\"\nslot_sweep = \"20 deg\"\n[[bolted]]\nname = \"gearbox\"\n\
             through = [{{ plate = \"flange\", openings = \"{openings}\" }}, {{ says = \"gearbox\", thickness = \"8 mm\", at = \
             [{}], hole = \"11 mm\" }}]\n",
            places.join(", ")
        )
    };
    let slotted = drawn(&with("first circle", "slot", 110.0));
    assert_eq!(said(&slotted, bolted::BOLT_PATTERN), []);
    let figures = holding::joint(&slotted.joints[0]);
    assert_eq!(
        (figures.bolts.count, figures.bolts.thread.as_str()),
        (6, "M10")
    );
    // The family's bolts of these slots are listed by the joint.
    assert_eq!(holding::hardware(&slotted.plates[0]), []);
    let round = said(&drawn(&with("none", "bolt", 110.0)), bolted::BOLT_PATTERN);
    assert_eq!(round.len(), 1);
    // Across a slot there is no more room than in a hole: 2.5 mm of the radius, less 2 * 0.5 mm.
    let [wide] = said(
        &drawn(&with("first circle", "slot", 115.0)),
        bolted::BOLT_PATTERN,
    )
    .try_into()
    .expect("one finding");
    assert!(wide.message.contains("misses by 1.5"), "{}", wide.message);
    let keyed = "[[part]]\nrecipe = \"flange\"\nkeyway = true\n[[bolted]]\nname = \"x\"\nthrough = [{ plate = \"flange\", openings = \
                 \"bore\" }, { says = \"shaft\", thickness = \"8 mm\" }]\n";
    let told = refused(keyed);
    assert!(
        told.contains("is neither round nor a slot")
            && told.contains("name round openings or slots"),
        "{told}"
    );
}

/// Two U-bolts round a tube go through four holes of each of two seats.
#[test]
fn legs_of_u_bolts_are_openings_of_a_joint() {
    let with = |openings: &str, more: &str| {
        format!(
            "[[part]]\nrecipe = \"spring-perch\"\nname = \"perch\"\nquantity = 2\n{more}[[bolted]]\nname = \"springs\"\nthrough = \
             [{{ says = \"spring\", thickness = \"40 mm\" }}, {{ plate = \"perch seat\", openings = {openings} }}]\n"
        )
    };
    for (openings, more) in [
        ("\"U-bolt hole\"", ""),
        ("\"U-bolt slot\"", "slots = \"both\"\n"),
    ] {
        let made = drawn(&with(openings, more));
        let figures = holding::joint(&made.joints[0]).bolts;
        assert_eq!((figures.fastener, figures.count), ("U-bolt", 4));
        assert_eq!(figures.nut.as_deref(), Some("locking nut on each leg"));
        let alone = with(openings, more);
        let alone = drawn(alone.split("[[bolted]]").next().expect("the part"));
        let of_family = alone.plates.iter().flat_map(holding::hardware);
        let mut of_family = of_family.filter(|it| it.fastener == "U-bolt");
        let of_family = of_family.next().expect("the family's");
        assert_eq!(
            (of_family.count, of_family.grip_mm, of_family.length_mm),
            (figures.count, figures.grip_mm, figures.length_mm)
        );
        let listed = made.plates.iter().flat_map(holding::hardware);
        assert_eq!(listed.filter(|it| it.fastener == "U-bolt").count(), 0);
    }
    let told = refused(&with(
        "[\"U-bolt hole 1\", \"U-bolt hole 2\", \"U-bolt hole 3\"]",
        "",
    ));
    assert!(told.contains("name both openings of each U-bolt"), "{told}");
}

#[test]
fn an_opening_of_more_joints_than_there_are_plates_is_told() {
    let two = |more: &str| {
        let joint = |name: &str, says: &str| {
            format!(
                "[[bolted]]\nname = \"{name}\"\n{more}through = [{{ plate = \"hub plate\", openings = \"hub bolt\" }}, {{ says = \
                 \"{says}\", thickness = \"6 mm\" }}]\n"
            )
        };
        format!(
            "{HUB}{}{}",
            joint("left", "left hub"),
            joint("right", "right hub")
        )
    };
    let told = refused(&two(""));
    assert!(
        told.contains("hub bolt 1 of hub-plate has a bolt of joint \"left\" already: 4 would go through it, and the job makes 2"),
        "{told}"
    );
    assert!(
        told.contains("give each joint its `quantity`: together 2 at most"),
        "{told}"
    );
    assert_eq!(drawn(&two("quantity = 1\n")).joints.len(), 2);
    let same = two("")
        .replace("right hub", "left hub")
        .replace("quantity = 2", "quantity = 1");
    let told = refused(&same);
    assert!(told.contains("leave one of the two joints out"), "{told}");
}

#[test]
fn a_plate_may_be_turned_over() {
    // Four holes that are like no mirror image of themselves.
    let at = |sign: &str| {
        format!(
            "holes = [{{ diameter = \"9 mm\", at = [\"{sign}10 mm\", \"5 mm\"], thread = \"M8\" }}, {{ diameter = \"9 mm\", at = \
         [\"{sign}30 mm\", \"0 mm\"], thread = \"M8\" }}, {{ diameter = \"9 mm\", at = [\"0 mm\", \"25 mm\"], thread = \"M8\" }}]\n"
        )
    };
    let plate = |name: &str, sign: &str| {
        format!(
            "[[part]]\nname = \"{name}\"\nshape = \"disc\"\ndiameter = \"120 mm\"\nthickness = \"5 mm\"\n{}",
            at(sign)
        )
    };
    let text = format!(
        "{}{}[[bolted]]\nname = \"pair\"\nthrough = [{{ plate = \"one\", openings = \"bolt hole\" }}, {{ plate = \"other\", \
         openings = \"bolt hole\" }}]\n",
        plate("one", ""),
        plate("other", "-")
    );
    let drawn = drawn(&text);
    assert_eq!(said(&drawn, bolted::BOLT_PATTERN), []);
    assert_eq!(drawn.joints.len(), 1);
}

#[test]
fn slips_in_a_joint_are_told_with_what_to_write() {
    for (text, message, remedy) in [
        (
            wheel(FITTING, "wheel bolts"),
            "hub-plate has no opening \"wheel bolts\"",
            "did you mean \"wheel bolt\"?",
        ),
        (
            wheel(FITTING, "wheel bolt").replace("plate = \"hub plate\"", "plate = \"hub plat\""),
            "the job has no plate \"hub plat\"",
            "\"hub-plate\"",
        ),
        (
            wheel("hole = \"13 mm\"", "wheel bolt"),
            "the holes of this thing have no places",
            "write `circle` and `count`, or `at`",
        ),
        (
            wheel("circle = \"100 mm\", hole = \"13 mm\"", "wheel bolt"),
            "it is not clear where",
            "write `circle` and `count`",
        ),
        (
            wheel("circle = \"100 mm\", count = 4", "wheel bolt"),
            "it is not clear how wide",
            "`hole`, or `tapped = true`",
        ),
        (
            wheel(FITTING, "wheel bolt") + "class = \"8.8\"\n",
            "no class \"8.8\" for 1/2",
            "grade 1, 2, 5, 8",
        ),
        (
            wheel(FITTING, "wheel bolt") + "thread = \"M16\"\n",
            "M16 bolts do not pass wheel bolt 1 of hub-plate, 14.287 mm",
            "write a thread that passes",
        ),
        (
            wheel(FITTING, "wheel bolt") + "quantity = 3\n",
            "this joint takes 3 of hub-plate, and the job makes 2",
            "at most 2",
        ),
        (
            format!(
                "{HUB}[[bolted]]\nname = \"x\"\nthrough = [{{ plate = \"hub plate\", openings = \"hub bolt\" }}]\n"
            ),
            "a joint of 1 plies",
            "write 2 to 6",
        ),
        (
            format!(
                "{HUB}[[bolted]]\nname = \"x\"\nthrough = [{{ says = \"a\", thickness = \"1 mm\" }}, {{ says = \"b\", thickness = \"1 mm\" }}]\n"
            ),
            "no plate of the job",
            "write plate =",
        ),
        (
            wheel(
                "circle = \"100 mm\", count = 4, hole = \"13 mm\", rom = \"3 mm\"",
                "wheel bolt",
            ),
            "unknown key `rom`",
            "did you mean `room`?",
        ),
    ] {
        let told = refused(&text);
        assert!(told.contains(message) && told.contains(remedy), "{told}");
    }
}

#[test]
fn a_job_of_some_plates_leaves_out_the_joints_of_others() {
    let shelf = Shelf::built_in();
    let text = wheel(FITTING, "wheel bolt") + "[[part]]\nrecipe = \"flange\"\n";
    let mut job = Job::from_source(&Source::inline("job.toml", text), &shelf).expect("a job");
    job.only = vec!["flange".to_owned()];
    let drawn = pipeline::draw(&job, &shelf).expect("drawn");
    assert_eq!(drawn.joints, []);
    assert_eq!(said(&drawn, bolted::JOINT_LEFT_OUT), []);
}

#[test]
fn a_joint_that_lacks_a_plate_is_said_to_be_left_out() {
    let shelf = Shelf::built_in();
    let text = format!(
        "{HUB}[[part]]\nrecipe = \"flange\"\n[[bolted]]\nname = \"x\"\nthrough = [{{ plate = \"hub plate\", openings = \"hub bolt\" }}, {{ plate = \"flange\", openings = \"bolt\" }}]\n"
    );
    let mut job = Job::from_source(&Source::inline("job.toml", text), &shelf).expect("a job");
    job.only = vec!["hub-plate".to_owned()];
    let drawn = pipeline::draw(&job, &shelf).expect("drawn");
    let [finding] = said(&drawn, bolted::JOINT_LEFT_OUT)
        .try_into()
        .expect("one finding");
    assert_eq!(
        finding.message,
        "the joint x is not looked at: flange is left out"
    );
}

/// ISO 4032 has 3/4 in across the flats of a half-inch nut: a socket of 1.3 * 19.05 + 3 = 27.8 mm needs 13.88 mm around the middle; one of
/// 5/8 in for 7/16 in is 23.6 mm across.
#[test]
fn a_socket_that_does_not_go_on_is_found() {
    let with = |room: &str| wheel(&format!("{FITTING}, room = \"{room}\""), "wheel bolt");
    assert_eq!(said(&drawn(&with("13.9 mm")), bolted::SOCKET_ROOM), []);
    let [finding] = said(&drawn(&with("12 mm")), bolted::SOCKET_ROOM)
        .try_into()
        .expect("one finding");
    assert_eq!(finding.level, Level::Warn);
    assert!(
        finding.message.contains("wheel leaves 12 mm (0.472 in)"),
        "{}",
        finding.message
    );
    assert_eq!(
        finding.remedy,
        "turn it with a socket or ring spanner of at most 24 mm (0.945 in) outside, or use 7/16 in bolts"
    );
    let [finding] = said(&drawn(&with("10 mm")), bolted::SOCKET_ROOM)
        .try_into()
        .expect("one finding");
    assert!(
        finding.remedy.starts_with("no spanner goes on"),
        "{}",
        finding.remedy
    );
}

/// A plate over the nuts of another joint: covered, in a hole that is too narrow, and in one that is wide enough for a
/// socket of 1.3 * 13 + 3 = 19.9 mm (ISO 4032: M8 has 13 mm across flats).
#[test]
fn nuts_under_another_plate_are_found() {
    let told = |opening: &str| {
        let hole = |y: &str, diameter: &str, bolt: &str| {
            format!(
                "{{ diameter = \"{diameter}\", at = [\"0 mm\", \"{y}\"], along = {{ count = 2, step = [\"60 mm\", \"0 mm\"] }}, {bolt} }}"
            )
        };
        let plate = |name: &str, holes: &str| {
            format!(
                "[[part]]\nname = \"{name}\"\nshape = \"rectangle\"\nwidth = \"140 mm\"\nheight = \"100 mm\"\nanchor = \"left\"\n\
             thickness = \"5 mm\"\nholes = [{holes}]\n"
            )
        };
        let bolt = "thread = \"M8\", name = \"upper\"";
        let low = "thread = \"M8\", name = \"lower\"";
        let over = if opening.is_empty() {
            String::new()
        } else {
            format!(
                ", {}",
                hole("-20 mm", opening, "purpose = \"window\", name = \"way\"")
            )
        };
        let text = format!(
            "{}{}{}[[bolted]]\nname = \"base\"\nthrough = [{{ plate = \"under\", openings = \"lower\" }}, {{ plate = \"middle\", openings = \"lower\" }}]\n\
             [[bolted]]\nname = \"cover\"\nthrough = [{{ plate = \"middle\", openings = \"upper\" }}, {{ plate = \"over\", openings = \"upper\" }}]\n",
            plate(
                "under",
                &hole("-20 mm", "9 mm", low).replace("[\"0 mm\"", "[\"30 mm\"")
            ),
            plate(
                "middle",
                &format!(
                    "{}, {}",
                    hole("20 mm", "9 mm", bolt),
                    hole("-20 mm", "9 mm", low)
                )
                .replace("[\"0 mm\"", "[\"30 mm\"")
            ),
            plate(
                "over",
                &format!("{}{over}", hole("20 mm", "9 mm", bolt))
                    .replace("[\"0 mm\"", "[\"30 mm\"")
            ),
        );
        // The plate below lies under the other bolts in all of these.
        let mut all = said(&drawn(&text), bolted::SOCKET_ROOM);
        all.retain(|it| it.message.starts_with("joint \"base\""));
        all
    };
    let [covered] = told("").try_into().expect("one finding");
    assert!(
        covered
            .message
            .contains("ends under over, which joint \"cover\" puts over it"),
        "{}",
        covered.message
    );
    let [narrow] = told("16 mm").try_into().expect("one finding");
    assert!(
        narrow.message.contains("leaves 8 mm (0.315 in)"),
        "{}",
        narrow.message
    );
    assert_eq!(told("22 mm"), []);
}

/// By hand: ISO 4014 has 16 mm across the flats of M10, 16 / sqrt(3) = 9.24 mm to a corner, and a socket of 1.3 * 16 + 3 =
/// 23.8 mm needs 11.9 mm around the other bolt: 21.14 mm from middle to middle.
#[test]
fn bolts_too_near_each_other_for_a_socket_are_found() {
    let told = |apart: &str, thread: &str| {
        let text = format!(
            "[[part]]\nname = \"strap\"\nshape = \"rectangle\"\nwidth = \"90 mm\"\nheight = \"40 mm\"\nthickness = \"6 mm\"\n\
             holes = [{{ diameter = \"11 mm\", at = [\"25 mm\", \"20 mm\"], along = {{ count = 2, step = [\"{apart}\", \"0 mm\"] }}, thread = \"{thread}\" }}]\n\
             [[bolted]]\nname = \"end\"\nthrough = [{{ plate = \"strap\", openings = \"bolt hole\" }}, {{ says = \"rail\", thickness = \"3 mm\" }}]\n"
        );
        said(&drawn(&text), bolted::SOCKET_ROOM)
    };
    assert_eq!(told("21.2 mm", "M10"), []);
    let [finding] = told("20 mm", "M10").try_into().expect("one finding");
    assert_eq!(finding.level, Level::Warn);
    assert!(
        finding.message.ends_with(
            "are 20 mm (0.787 in) apart: the head on one leaves 10.76 mm (0.424 in) for the socket on the other, which \
             takes 11.9 mm (0.469 in)"
        ),
        "{}",
        finding.message
    );
    assert!(
        finding.remedy.ends_with("or use M8 bolts"),
        "{}",
        finding.remedy
    );
    assert_eq!(told("20 mm", "M8"), []);
}

/// By hand: the inner face of a leg of 4 mm stands 4 / 3 = 1.33 mm this side of its fold line at most, and a socket for M8
/// needs 9.95 mm: 11.28 mm from the fold line to the hole.
#[test]
fn a_fold_in_the_way_of_a_socket_is_found() {
    let family = |thread: &str| {
        format!(
            "title = \"Angle\"\n[dimension.thickness]\nsays = \"thickness\"\ndefault = \"4 mm\"\n\
             [dimension.up]\nsays = \"from the fold line to the hole\"\ndefault = \"20 mm\"\n\
             [[plate]]\n[[plate.step]]\nadd = \"rectangle\"\nwidth = \"60 mm\"\nheight = \"80 mm\"\n\
             [[plate.step]]\ncut = \"disc\"\nname = \"bolt\"\npurpose = \"bolt\"\nthread = \"\\\"{thread}\\\"\"\ndiameter = \"9 mm\"\n\
             at = [\"0 mm\", \"up\"]\n[[plate.step]]\nbend = \"up\"\nfrom = [\"-30 mm\", \"0 mm\"]\nto = [\"30 mm\", \"0 mm\"]\n\
             angle = \"90 deg\"\nradius = \"6 mm\"\n"
        )
    };
    let told = |up: &str, thread: &str| {
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::write(folder.path().join("angle.toml"), family(thread)).expect("a file");
        let shelf = Shelf::open(None, folder.path()).expect("a shelf");
        let text = format!(
            "[[part]]\nrecipe = \"angle\"\nup = \"{up}\"\n[[bolted]]\nname = \"seat\"\n\
             through = [{{ plate = \"angle\", openings = \"bolt\" }}, {{ says = \"rail\", thickness = \"3 mm\" }}]\n"
        );
        said(&drawn_on(&shelf, &text), bolted::SOCKET_ROOM)
    };
    assert_eq!(told("11.3 mm", "M8"), []);
    let [finding] = told("11 mm", "M8").try_into().expect("one finding");
    assert!(
        finding.message.contains(
            "the fold leaves 9.67 mm (0.381 in) around the middle of bolt, and a socket for M8 takes 9.95 mm"
        ),
        "{}",
        finding.message
    );
    assert_eq!(
        finding.remedy,
        "put the side that is turned on the other face, or turn it with a socket or ring spanner of at most 19.33 mm \
         (0.761 in) outside, or use M6 bolts"
    );
    assert_eq!(told("11 mm", "M6"), []);
}

#[test]
fn a_washer_over_an_edge_is_found() {
    let text = "[[part]]\nname = \"strap\"\nshape = \"rectangle\"\nwidth = \"80 mm\"\nheight = \"30 mm\"\nthickness = \"6 mm\"\n\
        holes = [{ diameter = \"9 mm\", at = [\"7.5 mm\", \"15 mm\"], thread = \"M8\" }]\n\
        [[bolted]]\nname = \"end\"\nthrough = [{ plate = \"strap\", openings = \"bolt hole\" }, { says = \"rail\", thickness = \"3 mm\" }]\n";
    let [finding] = said(&drawn(text), bolted::SOCKET_ROOM)
        .try_into()
        .expect("one finding");
    assert!(
        finding
            .message
            .contains("is 16 mm (0.630 in) across and stands over the edge of the outside, 7.5 mm"),
        "{}",
        finding.message
    );
}

/// Holes as a plasma table cuts them, by ISO 9013 class 2, do not surely go together; drilled ones do.
#[test]
fn a_poor_chance_is_told_and_its_remedy_reaches_what_it_promises() {
    let of = |finish: &str| {
        format!(
            "[[part]]\nrecipe = \"flange\"\nname = \"carrier\"\nthickness = \"6 mm\"\noutside = \"120 mm\"\nbolt_count = 6\n\
         bolt_circle = \"95 mm\"\nbolt = \"M8\"\n{finish}[[bolted]]\nname = \"wheel\"\nthrough = [{{ plate = \"carrier\", openings = \"bolt\" }}, \
         {{ says = \"chain wheel\", thickness = \"8 mm\", circle = \"95 mm\", count = 6, hole = \"9 mm\", tolerance = \"1 mm\" }}]\n"
        )
    };
    let cut = drawn(&of(""));
    let [finding] = said(&cut, bolted::CHANCE_OF_FIT)
        .try_into()
        .expect("one finding");
    assert_eq!(finding.level, Level::Warn);
    assert!(
        finding.remedy.contains("finish = \"drill\""),
        "{}",
        finding.remedy
    );
    let promised = finding
        .remedy
        .rsplit(": ")
        .next()
        .expect("a share")
        .to_owned();
    let followed = drawn(&of("[part.opening.\"bolt\"]\nfinish = \"drill\"\n"));
    assert_eq!(said(&followed, bolted::CHANCE_OF_FIT), []);
    let chance = followed.joints[0].chance.expect("a chance");
    let reached = format!("{} %", (1000.0 * chance.share).round() / 10.0);
    assert_eq!(reached, promised);
    // The same again is told the same.
    assert_eq!(cut.joints, drawn(&of("")).joints);
}

fn drilled(at: &[Point], hole: f64, true_to: Trueness) -> Drilled {
    Drilled {
        holes: Holes::round(at.to_vec(), (hole - 8.0) / 2.0),
        true_to: vec![true_to; at.len()],
    }
}

/// By hand: two plies of 9 mm holes leave an M8 bolt 0.5 mm each; holes 0.3 mm off to either side leave 1 - 0.6 = 0.4 mm, and
/// 0.6 mm off want 0.2 mm. One bolt alone goes in anyhow.
#[test]
fn the_worst_case_is_what_clearances_leave_of_tolerances() {
    let square =
        [(0.0, 0.0), (60.0, 0.0), (60.0, 60.0), (0.0, 60.0)].map(|(x, y)| Point::new(x, y));
    let off = |off: f64| Trueness {
        off,
        diameter: (0.0, 0.0),
    };
    let both =
        |at: &[Point], it: f64| chance(&[drilled(at, 9.0, off(it)), drilled(at, 9.0, off(it))]);
    let good = both(&square, 0.3);
    assert!((good.spare - 0.4).abs() < 1e-6, "{good:?}");
    assert!((good.share - 1.0).abs() < f64::EPSILON);
    let poor = both(&square, 0.6);
    assert!(
        (poor.spare + 0.2).abs() < 1e-6 && poor.share < 1.0,
        "{poor:?}"
    );
    assert!(both(&square[..1], 5.0).spare > 0.0);
    let says = Chance {
        spare: -0.2,
        share: 0.987,
    }
    .says();
    assert_eq!(
        says,
        "in 98.7 % of 10000 draws all bolts go in; at the worst 0.2 mm are wanting"
    );
}

/// Two patterns at random, half of them alike to within some tenths of a millimetre, against all turns and flips in small
/// steps, all ways to pair the holes and a descent from each.
#[test]
fn a_thousand_random_pairs_of_patterns_lie_as_a_brute_force_lays_them() {
    let mut random = Pcg64::seed_from_u64(20);
    let (mut alike, mut apart) = (0, 0);
    for case in 0..1000 {
        let count = random.random_range(1..=5);
        let own: Vec<Point> = (0..count)
            .map(|_| {
                Point::new(
                    random.random_range(-60.0..60.0),
                    random.random_range(-60.0..60.0),
                )
            })
            .collect();
        let noise = if case % 2 == 0 { 0.6 } else { 20.0 };
        let (turn, flip) = (random.random_range(0.0..TAU), random.random_bool(0.5));
        let (sin, cos) = sin_cos(turn);
        let mut other: Vec<Point> = own
            .iter()
            .map(|it| {
                let x = if flip { -it.x } else { it.x };
                Point::new(
                    31.0 + cos * x - sin * it.y + random.random_range(-noise..noise),
                    -17.0 + sin * x + cos * it.y + random.random_range(-noise..noise),
                )
            })
            .collect();
        let shift = random.random_range(0..count);
        other.rotate_left(shift);
        let (way, worst) = laid(&other, &own).expect("as many");
        let best = brute_force(&other, &own);
        // The descent of the brute force may stop a little above the least.
        let clearance = 1.0;
        if (best - clearance).abs() < 0.06 {
            continue;
        }
        assert_eq!(
            worst <= clearance,
            best <= clearance,
            "case {case}: {worst} and {best}"
        );
        if best <= clearance {
            assert!(
                (-0.06..0.03).contains(&(worst - best)),
                "case {case}: {worst} and {best}"
            );
            alike += 1;
        } else {
            apart += 1;
        }
        // Where it says that holes lie, they do.
        let places: Vec<Point> = way.order.iter().map(|it| way.onto(own[*it])).collect();
        let exact = miss(&[other.clone(), places.clone()].map(|at| Holes::round(at, 0.0)));
        assert!((exact - worst).abs() < 0.01, "case {case}");
        for (place, index) in places.iter().zip(&way.order) {
            assert!(way.back(*place).distance(own[*index]) < 1e-9);
        }
    }
    assert!(alike > 300 && apart > 300, "{alike} alike, {apart} apart");
}

/// The least by which the worst hole misses: every pairing, both sides, every turn in steps of a degree, then smaller and
/// smaller steps of shift and turn.
fn brute_force(other: &[Point], own: &[Point]) -> f64 {
    let mut best = f64::INFINITY;
    let mut random = Pcg64::seed_from_u64(3);
    for order in orders(other.len()) {
        for flip in [false, true] {
            let moved = |(x, y, turn): (f64, f64, f64)| {
                let (sin, cos) = sin_cos(turn);
                let pairs = other.iter().zip(&order);
                pairs.fold(0.0_f64, |worst, (there, index)| {
                    let it = own[*index];
                    let across = if flip { -it.x } else { it.x };
                    let place =
                        Point::new(x + cos * across - sin * it.y, y + sin * across + cos * it.y);
                    worst.max(place.distance(*there))
                })
            };
            let middle = |of: &[Point], flip: bool| {
                let n = of.len() as f64;
                let sum = of
                    .iter()
                    .fold((0.0, 0.0), |sum, it| (sum.0 + it.x / n, sum.1 + it.y / n));
                (if flip { -sum.0 } else { sum.0 }, sum.1)
            };
            let (to, from) = (middle(other, false), middle(own, flip));
            let starts = (0..360).map(|step| {
                let turn = f64::from(step).to_radians();
                let (sin, cos) = sin_cos(turn);
                let start = (
                    to.0 - cos * from.0 + sin * from.1,
                    to.1 - sin * from.0 - cos * from.1,
                    turn,
                );
                (moved(start), start)
            });
            let (mut least, mut at) = starts.min_by(|a, b| a.0.total_cmp(&b.0)).expect("turns");
            // No way from here to where it would count.
            if least > 6.0 {
                best = best.min(least);
                continue;
            }
            let mut step = 1.0;
            while step > 1e-4 {
                let mut found = false;
                // Where several holes miss alike, the way down is narrow.
                let any = (0..60).map(|_| {
                    let mut one = || random.random_range(-1.0..1.0);
                    (one(), one(), one())
                });
                let ways: Vec<(f64, f64, f64)> = DIRECTIONS.into_iter().chain(any).collect();
                for (dx, dy, turn) in ways {
                    let tried = (
                        at.0 + dx * step,
                        at.1 + dy * step,
                        at.2 + turn * step / 60.0,
                    );
                    // A turn is about the pattern's middle, not about the origin.
                    let tried = (
                        tried.0 + (tried.2 - at.2) * (to.1 - at.1),
                        tried.1 - (tried.2 - at.2) * (to.0 - at.0),
                        tried.2,
                    );
                    let now = moved(tried);
                    if now < least - 1e-9 {
                        (least, at, found) = (now, tried, true);
                    }
                }
                if !found {
                    step *= 0.7;
                }
            }
            best = best.min(least);
        }
    }
    best
}

const DIRECTIONS: [(f64, f64, f64); 26] = {
    let mut all = [(0.0, 0.0, 0.0); 26];
    let mut at = 0;
    let mut code = 0;
    while code < 27 {
        let (a, b, c) = (code / 9, code / 3 % 3, code % 3);
        if code != 13 {
            all[at] = (a as f64 - 1.0, b as f64 - 1.0, c as f64 - 1.0);
            at += 1;
        }
        code += 1;
    }
    all
};

/// Every order of so many.
fn orders(count: usize) -> Vec<Vec<usize>> {
    if count == 0 {
        return vec![Vec::new()];
    }
    let shorter = orders(count - 1);
    let longer = shorter.iter().flat_map(|it| {
        (0..count).map(move |place| {
            let mut order = it.clone();
            order.insert(place, count - 1);
            order
        })
    });
    longer.collect()
}
