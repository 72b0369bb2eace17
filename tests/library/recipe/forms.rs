//! Steps that are written once for several forms of a part: alternatives, and slots that are round holes.

use super::workbench::{make, said};
use platewright::geometry::{Bounds, Contour};
use platewright::plate::Plate;

/// A plate with a bolt that is placed by `keys` of its step.
fn family(keys: &str) -> String {
    format!(
        "[dimension.bolt]\nsays = \"bolt\"\ndefault = \"M10\"\n\
         [dimension.travel]\nsays = \"travel\"\ndefault = \"0 mm\"\n\
         [dimension.sweep]\nsays = \"sweep\"\ndefault = \"0 deg\"\n\
         [dimension.form]\nsays = \"form\"\nchoices = [\"round\", \"square\", \"none\"]\ndefault = \"round\"\n\
         [[bolt]]\nsays = \"it\"\nnear = \"rail bolt\"\nclass = \"'8.8'\"\ngrip = \"thickness\"\n\
         [[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"200 mm\"\n[[plate.step]]\n{keys}"
    )
}

fn plate(keys: &str, part: &str) -> Plate {
    let made = make(&family(keys), part).unwrap_or_else(|faults| panic!("{faults}"));
    made.plates.into_iter().next().expect("a plate")
}

/// Name and purpose of each opening.
fn openings(plate: &Plate) -> Vec<(String, &'static str)> {
    let openings = plate.openings.iter();
    openings
        .map(|it| (it.name.clone(), it.purpose.word()))
        .collect()
}

fn named(name: &str, purpose: &'static str) -> (String, &'static str) {
    (name.to_owned(), purpose)
}

const SLOT: &str = "cut = \"slot\"\nname = \"rail bolt\"\nthread = \"bolt\"\ntravel = \"travel\"\nturn = \"90 deg\"\nat = [\"20 mm\", \"0 mm\"]\n";

#[test]
fn a_slot_for_a_bolt_is_a_round_hole_where_it_has_no_travel() {
    let hole = plate(SLOT, "");
    assert_eq!(openings(&hole), [named("rail bolt", "bolt")]);
    // ISO 273, medium series: 11 mm for M10.
    let circle = hole.openings[0].circle.expect("round");
    assert!((circle.radius - 5.5).abs() < 1e-9 && (circle.centre.x - 20.0).abs() < 1e-9);
    let slot = plate(SLOT, "travel = \"12 mm\"\n");
    assert_eq!(openings(&slot), [named("rail slot", "slot")]);
    let bounds = slot.face.openings[0].bounds();
    assert!((bounds.width() - 11.0).abs() < 1e-9 && (bounds.height() - 23.0).abs() < 1e-9);
    // Its bolt is the same in both.
    for made in [&hole, &slot] {
        let bolt = &made.strength.hardware[0];
        assert_eq!((bolt.count, bolt.thread.as_str()), (1, "M10"));
    }
    // What a slot is for counts; one for nothing that is round is a slot whatever its travel.
    let own = SLOT.replace(
        "thread = \"bolt\"\n",
        "purpose = \"bore\"\nwidth = \"30 mm\"\n",
    );
    let own = own.replace("rail bolt", "middle hole");
    let own = |part: &str| {
        let text = family(&own).replace(
            "near = \"rail bolt\"\n",
            "thread = \"bolt\"\ncount = \"1\"\n",
        );
        let made = make(&text, part).unwrap_or_else(|faults| panic!("{faults}"));
        openings(&made.plates[0])
    };
    assert_eq!(own(""), [named("middle hole", "bore")]);
    assert_eq!(own("travel = \"5 mm\"\n"), [named("middle slot", "slot")]);
    let less = said(&family(SLOT), "travel = \"-5 mm\"\n");
    assert!(less[0].contains("`travel` comes to -5 mm"), "{less:?}");
}

const BENT: &str = "cut = \"curved slot\"\nname = \"rail bolt\"\nthread = \"bolt\"\ncircle = \"100 mm\"\nsweep = \"sweep\"\nturn = \"30 deg\"\n";

#[test]
fn a_bent_slot_has_its_round_hole_in_its_middle() {
    let around = format!("{BENT}around = {{ count = 3, start = \"60 deg\" }}\n");
    for (keys, angles) in [
        (BENT, &[30.0_f64][..]),
        (around.as_str(), &[90.0, 210.0, 330.0]),
    ] {
        let made = plate(keys, "");
        let count = angles.len();
        assert_eq!(made.strength.hardware[0].count as usize, count);
        for angle in angles {
            let (sine, cosine) = angle.to_radians().sin_cos();
            let is_there = made.openings.iter().any(|it| {
                let centre = it.circle.expect("round").centre;
                (centre.x - 50.0 * cosine).hypot(centre.y - 50.0 * sine) < 1e-9
            });
            assert!(is_there, "{angle}");
        }
        let slots = plate(keys, "sweep = \"20 deg\"\n");
        assert_eq!(slots.openings.len(), count);
        assert!(
            slots
                .openings
                .iter()
                .all(|it| it.circle.is_none() && it.name.starts_with("rail slot"))
        );
    }
    let elsewhere = format!("{BENT}mirror = \"left for right\"\n");
    let told = said(&family(&elsewhere), "").join("\n");
    assert!(
        told.contains("stands on its own circle; leave this out"),
        "{told}"
    );
}

const EITHER: &str = "cut = \"disc\"\nname = \"rail bolt\"\nthread = \"bolt\"\n\
    [[plate.step]]\nwhen = 'form != \"none\"'\nname = \"window\"\nat = [\"0 mm\", \"50 mm\"]\n\
    either = [\n { when = 'form == \"round\"', cut = \"disc\", diameter = \"30 mm\" },\n \
    { cut = \"rectangle\", width = \"20 mm\", height = \"10 mm\" },\n]\n";

#[test]
fn of_the_alternatives_of_a_step_the_first_that_holds_is_made() {
    let widths = |part: &str| -> Vec<f64> {
        let made = plate(EITHER, part);
        let windows = made.face.openings.iter().map(Contour::bounds);
        let mut widths: Vec<f64> = windows.map(Bounds::width).collect();
        widths.sort_by(f64::total_cmp);
        widths
    };
    let close = |found: Vec<f64>, wanted: &[f64]| {
        assert_eq!(found.len(), wanted.len(), "{found:?}");
        assert!(
            found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-9),
            "{found:?}"
        );
    };
    close(widths(""), &[11.0, 30.0]);
    close(widths("form = \"square\"\n"), &[11.0, 20.0]);
    close(widths("form = \"none\"\n"), &[11.0]);
}

#[test]
fn alternatives_that_cannot_be_meant_are_told_at_their_place() {
    for (from, to, expected) in [
        (
            "diameter = \"30 mm\"",
            "name = \"a\", diameter = \"30 mm\"",
            "the step has `name` as well; write it in one of the two",
        ),
        (
            "when = 'form == \"round\"', ",
            "",
            "this always holds, so those after it are never made; give it a `when`, or put it last",
        ),
        (
            " { cut = \"rectangle\", width = \"20 mm\", height = \"10 mm\" },\n",
            "",
            "`either` takes two or more; write these keys in the step itself",
        ),
        (
            "diameter = \"30 mm\"",
            "diametre = \"30 mm\"",
            "did you mean `diameter`?",
        ),
        ("height = \"10 mm\"", "height = \"10 deg\"", "`height`"),
    ] {
        assert!(EITHER.contains(from), "{from}");
        let part = if from.starts_with("height") {
            "form = \"square\"\n"
        } else {
            ""
        };
        let told = said(&family(&EITHER.replace(from, to)), part).join("\n");
        assert!(told.contains(expected), "{from} to {to}: {told}");
        assert!(told.contains("test.toml:"), "{told}");
    }
}
