//! Lists, lookup tables, points of the family, and what else expressions may reach.

use super::workbench::{make, said};
use platewright::finding::Level;
use platewright::geometry::Point;

/// A plate with a hole for each row of a list.
const HOLES: &str = r#"[dimension.hole]
says = "holes"
columns = { x = "length", size = { kind = "length", default = "10 mm" } }
default = [{ x = "20 mm" }, ["60 mm", "12 mm"]]
max = "3"
[[plate]]
[[plate.step]]
add = "rectangle"
width = "most(hole, x + size) + 20 mm"
height = "60 mm"
anchor = "left"
[[plate.step]]
each = "hole"
cut = "disc"
diameter = "size"
at = ["x", "0 mm"]
purpose = "bolt"
"#;

fn only(
    made: platewright::fault::Outcome<platewright::plate::Expanded>,
) -> platewright::plate::Expanded {
    made.unwrap_or_else(|faults| panic!("{faults}"))
}

#[test]
fn a_hole_pattern_is_one_list() {
    let made = only(make(HOLES, "")).plates.remove(0);
    let holes: Vec<_> = made
        .openings
        .iter()
        .map(|it| {
            (
                it.name.as_str(),
                it.circle.map(|it| (it.centre.x, 2.0 * it.radius)),
            )
        })
        .collect();
    assert!(
        holes.contains(&("bolt hole 1", Some((20.0, 10.0)))),
        "{holes:?}"
    );
    assert!(
        holes.contains(&("bolt hole 2", Some((60.0, 12.0)))),
        "{holes:?}"
    );
    assert_eq!(made.face.outside.bounds().width().round(), 92.0);
    assert_eq!(
        made.dimensions[1].1,
        "x 20 mm (0.787 in), size 10 mm (0.394 in); x 60 mm (2.362 in), size 12 mm (0.472 in)"
    );
    let one = only(make(
        HOLES,
        "hole = [{ x = \"1 in\", size = \"thickness + 2 mm\" }]\n",
    ));
    assert_eq!(one.plates[0].openings.len(), 1);
    assert_eq!(
        one.plates[0].openings[0].circle.map(|it| it.radius),
        Some(4.0)
    );
}

#[test]
fn what_is_wrong_with_a_row_is_told_at_the_row() {
    for (part, expected) in [
        (
            "hole = [{ size = \"9 mm\" }]",
            "part.toml:2:9: this row lacks x; write { x = …, size = … }",
        ),
        (
            "hole = [[\"1 mm\"]]",
            "part.toml:2:9: this row has 1 value, not 2; write { x = …, size = … }",
        ),
        (
            "hole = [{ x = \"9\" }]",
            "part.toml:2:15: `x` of row 1 must be a length, but is a plain number; write `9 mm` or `9 in`",
        ),
        (
            "hole = [{ x = \"9 mm\", y = \"1 mm\" }]",
            "part.toml:2:23: unknown key `y` in this row; did you mean `x`?",
        ),
        (
            "hole = 4",
            "part.toml:2:8: `hole` takes a list in [ ], not a whole number",
        ),
        (
            "hole = [[\"1 mm\", \"hole\"]]",
            "part.toml:2:19: `hole` cannot be reckoned from itself; write the value itself",
        ),
    ] {
        assert_eq!(said(HOLES, &format!("{part}\n")), [expected]);
    }
    let four = "hole = [[\"20 mm\", \"1 mm\"], [\"30 mm\", \"1 mm\"], [\"40 mm\", \"1 mm\"], [\"50 mm\", \"1 mm\"]]\n";
    assert_eq!(
        said(HOLES, four),
        [
            "part.toml:2:8: `hole` (holes) has 4 rows, more than the most possible, 3; write up to 3 rows"
        ]
    );
}

#[test]
fn a_rule_goes_over_the_rows() {
    let rules = r#"[[rule]]
each = "hole"
need = "x >= 2 * size"
otherwise = "hole {row} is {x} from the edge"
remedy = "move it to {2 * size}"
[[figure]]
each = "hole"
says = "hole {row}"
value = "x / size"
[[note]]
says = "{count(hole)} holes, {sum(hole, size)} in all"
"#;
    let body = format!("{HOLES}{rules}");
    let made = only(make(&body, ""));
    assert_eq!(made.findings[0].level, Level::Note);
    assert_eq!(made.findings[0].message, "2 holes, 22 mm (0.866 in) in all");
    assert_eq!(
        made.plates[0].figures[1],
        ("hole 2".to_owned(), "5".to_owned())
    );
    assert_eq!(
        said(
            &body,
            "hole = [[\"40 mm\", \"10 mm\"], [\"15 mm\", \"10 mm\"]]\n"
        ),
        ["part.toml:2:29: hole 2 is 15 mm (0.591 in) from the edge; move it to 20 mm (0.787 in)"]
    );
}

#[test]
fn lists_are_used_as_lists() {
    let with = |value: &str| format!("[[figure]]\nsays = \"it\"\nvalue = \"{value}\"\n{HOLES}");
    for (value, part, expected) in [
        ("hole + 1", "", "`hole` is a list"),
        ("sum(hole)", "", "write `sum(list, column)`"),
        (
            "sum(hoel, x)",
            "",
            "there is no list `hoel`; did you mean `hole`?",
        ),
        ("sum(hole, z)", "", "unknown name `z`"),
        (
            "sum(hole, sum(hole, x))",
            "",
            "give the inner one a name in [let]",
        ),
        ("least(hole, x)", "hole = []\n", "is empty and has no least"),
        ("x", "", "unknown name `x`"),
    ] {
        let said = said(&with(value), part).join("\n");
        assert!(said.contains(expected), "{value}: {said}");
    }
    let body = with("sum(hole, x)").replace("\"most(hole, x + size) + 20 mm\"", "\"60 mm\"");
    let none = only(make(&body, "hole = []\n"));
    assert_eq!(none.plates[0].figures[0].1, "0 mm (0.000 in)");
}

const TABLE: &str = r#"[table.unit]
columns = { pitch = "length", bolt = "thread" }
source = "invented, for the test"
rows.204 = ["90 mm", "M10"]
rows."UC 205" = ["99 mm", "M12"]
[dimension.size]
says = "size"
choices = "unit"
default = "204"
[dimension.gap]
says = "gap"
default = "pitch / 2"
[let]
pitch = 'look("unit", size, "pitch")'
[[figure]]
says = "hole"
value = 'clearance(look("unit", size, "bolt"))'
[[plate]]
[[plate.step]]
add = "disc"
diameter = "gap"
"#;

#[test]
fn figures_of_the_trade_are_looked_up() {
    let made = only(make(TABLE, ""));
    assert_eq!(made.plates[0].face.outside.bounds().width().round(), 45.0);
    // ISO 273, medium: M10 passes 11 mm, M12 13.5 mm.
    assert!(made.plates[0].figures[0].1.starts_with("11 mm"));
    let other = only(make(TABLE, "size = \"UC 205\"\n"));
    assert!(other.plates[0].figures[0].1.starts_with("13.5 mm"));
    assert!((other.plates[0].face.outside.bounds().width() - 49.5).abs() < 1e-9);
    for (from, to, expected) in [
        (
            "\"unit\", size, \"pitch\"",
            "\"unti\", size, \"pitch\"",
            "there is no table \"unti\"; did you mean \"unit\"?",
        ),
        (
            "\"unit\", size, \"pitch\"",
            "\"unit\", size, \"pich\"",
            "there is no column \"pich\"; did you mean \"pitch\"?",
        ),
        (
            "\"unit\", size, \"pitch\"",
            "\"unit\", \"206\", \"pitch\"",
            "there is no row \"206\"",
        ),
        (
            "\"unit\", size, \"pitch\"",
            "\"unit\", 206, \"pitch\"",
            "did you mean \"204\"? There are 204, UC 205",
        ),
        (
            "choices = \"unit\"",
            "choices = \"units\"",
            "there is no table \"units\"",
        ),
        (
            "[\"90 mm\", \"M10\"]",
            "[\"90 mm\"]",
            "row \"204\" takes a value for each column; write 2 values: pitch, bolt",
        ),
        (
            "[\"90 mm\", \"M10\"]",
            "[\"90\", \"M10\"]",
            "`pitch` must be a length",
        ),
        (
            "source = \"invented, for the test\"\n",
            "",
            "`source` is missing from [table.unit]",
        ),
    ] {
        let said = said(&TABLE.replacen(from, to, 1), "").join("\n");
        assert!(said.contains(expected), "{to}: {said}");
    }
}

#[test]
fn points_of_the_family_are_everywhere() {
    let body = r#"[dimension.reach]
says = "reach"
default = "distance(hub, eye)"
drawn = { from = "hub", to = "eye" }
[let]
half = "far / 2"
far = "40 mm"
[point]
hub = ["0 mm", "0 mm"]
eye = ["far", "hub.y + 30 mm"]
[[rule]]
need = "eye.y <= reach"
otherwise = "no: yes"
[[plate]]
[plate.point]
middle = ["half", "eye.y / 2"]
[[plate.step]]
add = "hull"
discs = [["hub", "20 mm"], ["eye", "20 mm"], ["middle", "30 mm"]]
"#;
    let made = only(make(body, "")).plates.remove(0);
    assert_eq!(made.dimensions[1].1, "50 mm (1.969 in)");
    assert!(made.face.outside.encloses(Point::new(40.0, 30.0)));
    let lost = body.replace("distance(hub, eye)", "distance(hub, ear)");
    assert!(said(&lost, "").join("\n").contains("ear.x"));
    let lost = body.replace("distance(hub, eye)", "distance(hub, 3 mm)");
    assert!(
        said(&lost, "")
            .join("\n")
            .contains("takes the names of two points")
    );
    let below = "[dimension.a]\nsays = \"a\"\nkind = \"length\"\ndefault = \"2 * b\"\n[dimension.c]\nsays = \"c\"\ndefault = \"1 mm\"\n[let]\nb = \"c\"\n";
    assert_eq!(
        said(
            &format!("{below}[[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"a\"\n"),
            ""
        ),
        [
            "test.toml:9:12: `a` rests on `c`, which does not stand above it; move [dimension.c] further up"
        ]
    );
}

#[test]
fn defaults_of_every_kind_are_expressions() {
    let body = r#"[dimension.big]
says = "big"
kind = "yes-no"
default = "thickness > 5 mm"
[dimension.bolt]
says = "bolt"
kind = "thread"
default = 'if(big, "M12", "M8")'
[dimension.other]
says = "other bolt"
kind = "thread"
default = "bolt"
[dimension.style]
says = "style"
choices = ["round", "square"]
default = 'if(big, "round", "square")'
[dimension.mark]
says = "mark"
kind = "text"
default = "T{thickness / 1 mm} {style}"
[[plate]]
[[plate.step]]
add = "disc"
diameter = "clearance(bolt) * 4"
"#;
    let told = |part| {
        let plate = only(make(body, part)).plates.remove(0);
        plate
            .dimensions
            .into_iter()
            .map(|(_, value)| value)
            .skip(1)
            .collect::<Vec<_>>()
    };
    assert_eq!(told(""), ["yes", "M12", "M12", "round", "T6 round"]);
    assert_eq!(
        told("thickness = \"4 mm\"\nother = \"M6\"\n"),
        ["no", "M8", "M6", "square", "T4 square"]
    );
    let wrong = body.replace("\"M12\", \"M8\"", "\"M12\", \"M8x\"");
    assert!(
        said(&wrong, "thickness = \"4 mm\"\n")
            .join("\n")
            .contains("`bolt` (bolt)")
    );
    assert_eq!(
        said(body, "style = \"rund\"\n"),
        ["part.toml:2:9: \"rund\" is not one of the words possible here; did you mean \"round\"?"]
    );
}

#[test]
fn a_dimension_that_is_not_asked_is_not_checked() {
    let body = r#"[dimension.style]
says = "style"
choices = ["round", "square"]
default = "round"
[dimension.side]
says = "side"
default = "20 mm"
min = "3 * thickness"
when = 'style == "square"'
[[plate]]
[[plate.step]]
add = "disc"
diameter = "90 mm"
"#;
    let made = only(make(body, "thickness = \"10 mm\"\nside = \"1 mm\"\n"));
    assert_eq!(made.plates[0].dimensions.len(), 2);
    let said_square = said(body, "thickness = \"10 mm\"\nstyle = \"square\"\n");
    assert!(
        said_square[0].contains("`side` (side) is 20 mm"),
        "{said_square:?}"
    );
    let unknown = body.replace("3 * thickness", "3 * thicknes");
    assert!(said(&unknown, "")[0].contains("did you mean `thickness`?"));
}

#[test]
fn a_grid_is_rows_of_a_row() {
    let body = r#"[[plate]]
[[plate.step]]
add = "rectangle"
width = "100 mm"
height = "80 mm"
[[plate.step]]
cut = "disc"
diameter = "6 mm"
purpose = "bolt"
along = { count = 3, step = ["20 mm", "0 mm"], rows = 2, row_step = ["5 mm", "30 mm"], centred = true }
"#;
    let plate = only(make(body, "")).plates.remove(0);
    let middle = |name: &str| plate.place_of(name).expect(name);
    assert_eq!(plate.openings.len(), 6);
    assert!(middle("bolt hole 1").distance(Point::new(-22.5, -15.0)) < 1e-9);
    assert!(middle("bolt hole 4").distance(Point::new(-17.5, 15.0)) < 1e-9);
    let many = body
        .replace("count = 3", "count = 50")
        .replace("rows = 2", "rows = 50");
    assert!(said(&many, "")[0].contains("50 rows of 50 are more than 2000"));
    let half = body.replace("rows = 2, ", "");
    assert!(said(&half, "")[0].contains("`rows` is missing"));
}

#[test]
fn an_opening_comes_out_whole_whatever_its_form() {
    let body = |x: &str| {
        format!(
            "[[plate]]\n[[plate.step]]\nadd = \"rectangle\"\nwidth = \"100 mm\"\nheight = \"80 mm\"\n\
             [[plate.step]]\ncut = \"rectangle\"\nwidth = \"30 mm\"\nheight = \"20 mm\"\nat = [\"{x}\", \"0 mm\"]\n\
             purpose = \"opening\"\n"
        )
    };
    let made = only(make(&body("10 mm"), "")).plates.remove(0);
    assert_eq!(made.openings[0].name, "opening");
    assert!(said(&body("40 mm"), "")[0].contains("opening does not come out whole"));
    assert!(said(&body("90 mm"), "")[0].contains("opening cuts nothing"));
}

#[test]
fn margins_and_bolts_stand_with_the_first_plate_that_is_made() {
    let body = r#"[dimension.style]
says = "style"
choices = ["one", "two"]
default = "two"
[[hold]]
says = "welds"
not_checked = "look at them"
[[bolt]]
says = "hub"
thread = '"M10"'
class = '"8.8"'
count = "2"
grip = "thickness"
[[plate]]
name = "one"
when = 'style == "one"'
[[plate.step]]
add = "disc"
diameter = "90 mm"
[[plate]]
name = "two"
[[plate.step]]
add = "disc"
diameter = "80 mm"
"#;
    let made = only(make(body, ""));
    assert_eq!(made.plates[0].strength.hardware.len(), 1);
    assert_eq!(made.plates[0].strength.not_checked.len(), 1);
    let both = only(make(body, "style = \"one\"\n"));
    assert_eq!(both.plates[1].strength.hardware.len(), 0);
}

#[test]
fn names_of_openings_and_plates_are_checked() {
    let body = |near: &str, name: &str| {
        format!(
            "[[rule]]\nneed = \"thickness > 1 mm\"\notherwise = \"thin\"\nremedy = \"thicker\"\nnear = \"{near}\"\n\
             [[plate]]\nname = \"{name}\"\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"90 mm\"\n\
             [[plate.step]]\ncut = \"disc\"\ndiameter = \"9 mm\"\npurpose = \"bolt\"\n"
        )
    };
    assert!(make(&body("bolt hole 1", "cheek"), "").is_ok());
    assert_eq!(
        said(&body("bolt hoel", "cheek"), ""),
        [
            "test.toml:13:8: there is no opening \"bolt hoel\"; did you mean \"bolt hole\"? There are bolt hole, window"
        ]
    );
    assert!(
        said(&body("bolt hole", "part-{n}"), "")[0]
            .contains("stands as it is, without values in braces")
    );
}

#[test]
fn the_material_of_a_part_is_set_as_a_dimension_is() {
    use platewright::recipe::{Part, Shelf};
    let family = Shelf::built_in().family("flange").expect("a family");
    let mut part = Part::plain(family);
    part.set("material=stainless 304").expect("a material");
    assert_eq!(part.material, "stainless 304");
    let said = part
        .set("material=cheese")
        .expect_err("no material")
        .to_string();
    assert!(said.contains("cheese"), "{said}");
}

#[test]
fn a_bore_that_a_window_runs_into_is_told() {
    let body = r#"[[plate]]
[[plate.step]]
add = "disc"
diameter = "200 mm"
[[plate.step]]
cut = "disc"
diameter = "40 mm"
purpose = "bore"
[[plate.step]]
cut = "rectangle"
width = "20 mm"
height = "20 mm"
at = ["25 mm", "0 mm"]
"#;
    let told = only(make(body, "")).findings;
    assert!(
        told[0].message.contains("bore runs into another opening"),
        "{told:?}"
    );
}

/// An opening that lies wholly in another leaves no edge: it must not vanish without a word.
#[test]
fn a_window_that_lies_wholly_in_another_is_told() {
    let body = |at: &str| {
        format!(
            r#"[[plate]]
[[plate.step]]
add = "rectangle"
width = "200 mm"
height = "100 mm"
[[plate.step]]
cut = "rectangle"
name = "small"
width = "10 mm"
height = "10 mm"
at = ["{at}", "0 mm"]
[[plate.step]]
cut = "disc"
name = "large"
diameter = "60 mm"
"#
        )
    };
    let told = only(make(&body("5 mm"), "")).findings;
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!(told[0].check, "merged openings");
    assert_eq!(
        told[0].message,
        "small lies wholly in large and leaves no edge"
    );
    for apart in ["29 mm", "60 mm"] {
        let told = only(make(&body(apart), "")).findings;
        assert!(told.is_empty(), "{apart}: {told:?}");
    }
}

/// A part may say what the recipe's own default says: dimensions above, and named values that rest on these alone.
#[test]
fn a_part_may_use_named_values_that_rest_on_what_stands_above() {
    let recipe = r#"[dimension.wide]
says = "w"
default = "100 mm"
[dimension.high]
says = "h"
default = "half"
[let]
half = "wide / 2"
all = "wide + high"
[[plate]]
[[plate.step]]
add = "rectangle"
width = "all"
height = "high"
"#;
    let made = make(recipe, "high = \"half + 10 mm\"\n");
    let plate = made
        .unwrap_or_else(|faults| panic!("{faults}"))
        .plates
        .remove(0);
    assert!((plate.face.outside.bounds().height() - 60.0).abs() < 1e-9);
    let said = said(recipe, "high = \"all / 2\"\n");
    assert!(
        said[0].contains("`all` is no dimension above `high`"),
        "{said:?}"
    );
}
