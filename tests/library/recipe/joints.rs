//! Shapes with a name, and tabs in slots.

use super::workbench::{make, said};
use platewright::check;
use platewright::geometry::Point;
use platewright::plate::{Expanded, Plate};
use platewright::trade::thermal::Process;

fn made(body: &str, part: &str) -> Expanded {
    make(body, part).unwrap_or_else(|faults| panic!("{faults}"))
}

fn plate(body: &str) -> Plate {
    made(body, "").plates.remove(0)
}

const LUG: &str = r#"[[shape]]
name = "lug"
takes = { width = "30 mm", hole = "width / 3" }
[[shape.step]]
add = "bar"
from = ["0 mm", "0 mm"]
to = ["50 mm", "20 mm"]
width = "width"
[[shape.step]]
cut = "disc"
diameter = "hole"
at = ["50 mm", "20 mm"]
purpose = "bolt"
name = "lug hole"
[[shape.step]]
scribe = "line"
from = ["0 mm", "0 mm"]
to = ["10 mm", "4 mm"]
"#;

#[test]
fn a_named_shape_is_drawn_where_it_is_used() {
    let used = |more: &str| {
        format!(
            "{LUG}[[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"40 mm\"\n[[plate.step]]\nuse = \"lug\"\n{more}"
        )
    };
    let by_hand = format!(
        "[[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"40 mm\"\n{}",
        LUG.replace(
            "[[shape]]\nname = \"lug\"\ntakes = { width = \"30 mm\", hole = \"width / 3\" }\n",
            ""
        )
        .replace("shape.step", "plate.step")
        .replace("\"width\"", "\"30 mm\"")
        .replace("\"hole\"", "\"10 mm\"")
    );
    let one = plate(&used(""));
    assert_eq!(one.face, plate(&by_hand).face);
    assert_eq!(one.openings[0].name, "lug hole");
    let both = plate(&used("mirror = \"both\"\nwith = { width = \"24 mm\" }\n"));
    let middle = |name: &str| both.place_of(name).expect(name);
    assert!(middle("lug hole 1").distance(Point::new(50.0, 20.0)) < 1e-9);
    assert!(middle("lug hole 2").distance(Point::new(-50.0, 20.0)) < 1e-9);
    assert_eq!(both.openings[0].circle.map(|it| it.radius), Some(4.0));
    assert_eq!(both.marks.len(), 2);
    let round = plate(&used("around = { count = 3 }\n"));
    assert_eq!(round.openings.len(), 3);
    assert_eq!(round.marks.len(), 3);
}

#[test]
fn what_is_wrong_with_a_shape_is_told() {
    let with = |from: &str, to: &str, more: &str| {
        let body = LUG.replacen(from, to, 1);
        let body = format!("{body}[[plate]]\n[[plate.step]]\nuse = \"lug\"\n{more}");
        said(&body, "").join("\n")
    };
    for (from, to, more, expected) in [
        (
            "name = \"lug\"",
            "name = \"lgu\"",
            "",
            "there is no shape \"lug\"; did you mean \"lgu\"?",
        ),
        (
            "\"30 mm\"",
            "\"30 mm\"",
            "with = { widht = \"2 mm\" }\n",
            "unknown key `widht` in `with`; did you mean `width`?",
        ),
        (
            "\"width\"",
            "\"widht\"",
            "",
            "unknown name `widht`; did you mean `width`?",
        ),
        (
            "takes = { width",
            "takes = { thickness",
            "",
            "`thickness` is a name of the recipe already",
        ),
        (
            "scribe = \"line\"\nfrom = [\"0 mm\", \"0 mm\"]\nto = [\"10 mm\", \"4 mm\"]",
            "round = \"both\"\nradius = \"2 mm\"",
            "",
            "a shape has no `round`",
        ),
    ] {
        let told = with(from, to, more);
        assert!(told.contains(expected), "{to}: {told}");
    }
    let outside = format!("{LUG}[[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"width\"\n");
    assert!(said(&outside, "")[0].contains("unknown name `width`"));
}

const JOINED: &str = r#"[dimension.gap]
says = "gap"
default = "0.3 mm"
[[plate]]
name = "lug"
hand = "pair"
[[plate.step]]
add = "rectangle"
width = "90 mm"
height = "40 mm"
anchor = "lower"
[[plate]]
name = "back"
thickness = "10 mm"
[[plate.step]]
add = "rectangle"
width = "140 mm"
height = "60 mm"
[[joint]]
says = "the lug in the back"
tabs = { plate = "lug", from = ["-45 mm", "0 mm"], to = ["45 mm", "0 mm"], count = 2, width = "25 mm" }
slots = { plate = "back", from = ["-45 mm", "10 mm"], to = ["45 mm", "10 mm"] }
clearance = "gap"
"#;

#[test]
fn tabs_stand_out_and_slots_take_them() {
    let plates = made(JOINED, "").plates;
    let [left, right, back] = plates.as_slice() else {
        panic!("three plates");
    };
    // The tabs reach through the back, which is 10 mm thick.
    for lug in [left, right] {
        let bounds = lug.face.outside.bounds();
        assert!((bounds.min.y + 10.0).abs() < 1e-9, "{bounds:?}");
        assert!(lug.face.outside.encloses(Point::new(22.5, -5.0)));
        assert!(!lug.face.outside.encloses(Point::new(0.0, -5.0)));
    }
    assert_eq!(back.openings.len(), 2);
    assert_eq!(back.openings[0].name, "tab slot 1");
    let slot = back.face.openings[0].bounds();
    // 25 mm and twice 0.3 mm along; 6 mm and twice 0.3 mm across, and a round of 1 mm on either side.
    assert!((slot.width() - 25.6).abs() < 1e-9, "{slot:?}");
    assert!((slot.height() - 8.6).abs() < 1e-9, "{slot:?}");
    assert!(!back.mating.is_empty() && !left.mating.is_empty());
}

/// A slot for thin plate is narrower than 1.5 kerfs of a plasma table, and must be: the check of narrow slots is
/// silent on it, and not on a window as wide.
#[test]
fn a_slot_for_a_tab_may_be_narrow() {
    let told = |more: &str| {
        let made = made(&format!("{JOINED}{more}"), "thickness = \"1.6 mm\"\n").plates;
        let plate = made.last().expect("a plate");
        let limits = check::Limits {
            process: Process::Plasma,
            kerf: 1.6,
            bed: (1500.0, 3000.0),
        };
        let found = check::run(plate, Some(&limits), &[]);
        found.iter().filter(|it| it.check == "narrow slot").count()
    };
    assert_eq!(told(""), 0);
    let window = "[[plate]]\nname = \"last\"\n[[plate.step]]\nadd = \"rectangle\"\nwidth = \"90 mm\"\nheight = \"40 mm\"\n\
        [[plate.step]]\ncut = \"rectangle\"\nwidth = \"26 mm\"\nheight = \"2.2 mm\"\n";
    assert_eq!(told(window), 1);
}

#[test]
fn what_is_wrong_with_a_joint_is_told() {
    for (from, to, expected) in [
        (
            "[\"45 mm\", \"10 mm\"]",
            "[\"44 mm\", \"10 mm\"]",
            "the tabs lie on 90 mm (3.543 in), the slots on 89 mm (3.504 in); make both lines as long",
        ),
        (
            "width = \"25 mm\"",
            "width = \"44 mm\"",
            "2 tabs of 44 mm (1.732 in) on 90 mm (3.543 in) leave no room between them",
        ),
        (
            "width = \"25 mm\"",
            "width = \"3 mm\"",
            "are too narrow to cut",
        ),
        (
            "plate = \"back\"",
            "plate = \"bakc\"",
            "there is no plate \"bakc\"; did you mean \"back\"?",
        ),
        (
            "slots = { plate = \"back\"",
            "slots = { plate = \"lug\"",
            "tabs and slots are on one plate",
        ),
        (
            "says = \"the lug in the back\"\n",
            "",
            "`says` is missing from [[joint]]",
        ),
    ] {
        let told = said(&JOINED.replacen(from, to, 1), "").join("\n");
        assert!(told.contains(expected), "{to}: {told}");
    }
    assert!(
        said(JOINED, "gap = \"-1 mm\"\n")
            .join("\n")
            .contains("`clearance` comes to -1 mm")
    );
}

#[test]
fn kerf_and_process_are_names() {
    let body = "[[figure]]\nsays = \"it\"\nvalue = \"if(process == 'plasma', 4 * kerf, 1 mm)\"\n\
                [[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"90 mm\"\n";
    assert!(made(body, "").plates[0].figures[0].1.starts_with("6 mm"));
}
