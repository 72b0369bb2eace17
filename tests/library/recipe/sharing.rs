//! Files that families share, and blocks that stand for several words.

use super::workbench::{HEAD, make, make_sharing, said};
use platewright::fault::Source;
use platewright::lint::remarks;
use platewright::recipe::{Family, Shelf};

/// Holes in a row with a margin, of what a family calls @.
const SHARED: &str = r#"about = "Holes in a row."
[let]
"@_room" = "@_size / 2"
[[shape]]
name = "ear"
takes = { hole = "6 mm" }
[[shape.step]]
add = "disc"
diameter = "4 * hole"
[[shape.step]]
cut = "disc"
diameter = "hole"
purpose = "pin"
[[rule]]
need = "@_room >= 2 mm"
otherwise = "the @ hole is small"
remedy = "set @_size to at least {@_size = 4 mm}"
level = "warn"
"#;

fn family(words: &str) -> String {
    format!(
        "{HEAD}[dimension.near_size]\nsays = \"near hole\"\ndefault = \"10 mm\"\n\
         [dimension.far_size]\nsays = \"far hole\"\ndefault = \"12 mm\"\n\
         [[shared]]\nfile = \"row\"\n{words}\
         [[plate]]\n[[plate.step]]\nadd = \"rectangle\"\nwidth = \"200 mm\"\nheight = \"60 mm\"\n\
         [[plate.step]]\nuse = \"ear\"\nwith = {{ hole = \"near_room\" }}\nat = [\"100 mm\", \"0 mm\"]\n"
    )
}

#[test]
fn a_shared_file_brings_shapes_values_and_rules_for_each_word() {
    let family = family("each = [\"near\", \"far\"]\n");
    let made =
        make_sharing(&family, ("row", SHARED), "").unwrap_or_else(|faults| panic!("{faults}"));
    // The ear of 4 * 5 mm stands out by its radius.
    let width = made.plates[0].face.outside.bounds().width();
    assert!((width - 210.0).abs() < 1e-9, "{width}");
    let hole = made.plates[0].openings[0].circle.expect("round");
    assert!((hole.radius - 2.5).abs() < 1e-9);
    // Both words have their rule.
    let part = "near_size = \"3 mm\"\nfar_size = \"3.5 mm\"\n";
    let made =
        make_sharing(&family, ("row", SHARED), part).unwrap_or_else(|faults| panic!("{faults}"));
    let told: Vec<_> = made
        .findings
        .iter()
        .map(|it| (it.message.as_str(), it.remedy.as_str()))
        .collect();
    // Rounded up in inches, so that it is enough.
    let size = "4 mm (0.158 in)";
    let near = format!("set near_size to at least {size}");
    let far = format!("set far_size to at least {size}");
    assert_eq!(
        told,
        [
            ("the near hole is small", near.as_str()),
            ("the far hole is small", far.as_str()),
        ]
    );
}

#[test]
fn what_is_wrong_with_a_shared_file_is_told_where_it_stands() {
    let with = |shared: &str| {
        let made = make_sharing(&family("each = [\"near\"]\n"), ("row", shared), "");
        made.expect_err("refused").to_string()
    };
    let said = with("about = \"x\"\n[[plate]]\nname = \"a\"\n");
    assert!(
        said.contains("row.toml:2:3: unknown key `plate` in this shared file"),
        "{said}"
    );
    // A fault of a formula points into the shared file, of a name at the block that brings it in.
    let said = with("[let]\n\"@_room\" = \"@_size / nothing\"\n");
    assert!(
        said.contains("row.toml:2:12: unknown name `nothing`"),
        "{said}"
    );
    let said = with("[let]\n\"@_room\" = \"1 mm\"\n\"9x\" = \"1\"\n");
    assert!(
        said.contains("test.toml:15:") && said.contains("`9x` cannot be the name of a value"),
        "{said}"
    );
    // Nor does it bring the shape that a step uses.
    assert!(
        said.contains("there is no shape \"ear\"; write it in a [[shape]] block"),
        "{said}"
    );
    let said = said_of("[[shared]]\nfile = \"roe\"\n");
    assert!(
        said.contains("test.toml:10:8: there is no shared file \"roe\""),
        "{said}"
    );
    assert!(said_of("[[shared]]\nfiel = \"row\"\n").contains("did you mean `file`?"));
}

fn said_of(block: &str) -> String {
    said(
        &format!("{block}[[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"90 mm\"\n"),
        "",
    )
    .join("\n")
}

#[test]
fn a_block_with_the_sign_stands_for_each_word() {
    let body = r#"[let]
left = "-30 mm"
right = "30 mm"
[[figure]]
each = ["left", "right"]
says = "the @ hole"
value = "@"
[[plate]]
[[plate.step]]
add = "rectangle"
width = "100 mm"
height = "40 mm"
[[plate.step]]
each = ["left", "right"]
cut = "disc"
name = "@ hole"
diameter = "8 mm"
at = ["@", "0 mm"]
purpose = "bolt"
"#;
    let made = make(body, "").unwrap_or_else(|faults| panic!("{faults}"));
    let plate = &made.plates[0];
    let mut names: Vec<&str> = plate.openings.iter().map(|it| it.name.as_str()).collect();
    names.sort_unstable();
    assert_eq!(names, ["left hole", "right hole"]);
    let figures = plate.figures.iter().map(|(says, _)| says.as_str());
    assert_eq!(
        figures.collect::<Vec<_>>(),
        ["the left hole", "the right hole"]
    );
    // A fault underlines what is written, with its sign.
    let wrong = body.replace("at = [\"@\",", "at = [\"@ + none\",");
    let said = said(&wrong, "");
    assert!(
        said[0].starts_with("test.toml:26:7: unknown name `none`"),
        "{said:?}"
    );
}

#[test]
fn lint_does_not_blame_a_family_for_what_others_use_of_a_shared_file() {
    // A family that brings the shared file in and uses one of its words' values.
    let text = Shelf::built_in().family("disc-adapter").expect("built in");
    assert!(remarks(&text).is_empty());
    let own = Source::inline(
        "own.toml",
        format!(
            "{HEAD}[let]\nidle = \"1 mm\"\n[[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"90 mm\"\n"
        ),
    );
    let family = Family::read("own", &own).expect("a family");
    let told: Vec<String> = remarks(&family).iter().map(ToString::to_string).collect();
    assert!(
        told[0].contains("nothing uses the value `idle`"),
        "{told:?}"
    );
}

#[test]
fn the_sign_without_words_is_told_what_to_write() {
    let plate = "[[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"@ * 90 mm\"\n";
    let told = said(plate, "");
    assert!(
        told[0].ends_with("say which words `@` stands for, as in each = [\"hub\", \"wheel\"]"),
        "{told:?}"
    );
    // What a step that cannot be read would have cut is not missed as well.
    let near = "[[note]]\nsays = \"mind it\"\nnear = \"eye\"\n";
    let wrong = format!(
        "{near}{plate}[[plate.step]]\ncut = \"disc\"\nname = \"eye\"\ndiameter = \"9 mn\"\n"
    );
    let told = said(&wrong, "").join("\n");
    assert!(!told.contains("there is no opening"), "{told}");
}
