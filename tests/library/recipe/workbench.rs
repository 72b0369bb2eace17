//! A folder with one recipe of the test's own, and parts made from it.

use std::fs;

use platewright::fault::{Faults, Outcome, Source};
use platewright::plate::{Expanded, Plate, job_plates, plates};
use platewright::recipe::{Job, Shelf};

/// What every recipe needs, so that a test shows only what it is about. Eight lines: what a test
/// appends starts on line 9.
pub(super) const HEAD: &str = r#"title = "Test plate"
about = "For tests."

[dimension.thickness]
says = "plate thickness"
default = "6 mm"
min = "1 mm"
max = "50 mm"
"#;

/// Expands a part of the recipe `HEAD` + `body`, called `test`; `part` follows `recipe = "test"`.
pub(super) fn make(body: &str, part: &str) -> Outcome<Expanded> {
    make_family(&format!("{HEAD}{body}"), part)
}

/// Expands a part of a whole recipe, called `test`.
pub(super) fn make_family(family: &str, part: &str) -> Outcome<Expanded> {
    make_sharing(family, ("none", ""), part)
}

/// Expands a part of a whole recipe, called `test`, with a shared file on its shelf.
pub(super) fn make_sharing(
    family: &str,
    (name, shared): (&str, &str),
    part: &str,
) -> Outcome<Expanded> {
    let folder = tempfile::tempdir().expect("a folder for the test");
    fs::create_dir(folder.path().join("families")).expect("a folder for the recipe");
    fs::write(folder.path().join("families/test.toml"), family).expect("the recipe written");
    fs::create_dir(folder.path().join("shared")).expect("a folder for what is shared");
    let path = folder.path().join(format!("shared/{name}.toml"));
    fs::write(path, shared).expect("the shared file written");
    let shelf = Shelf::open(None, folder.path())?;
    let source = Source::inline("part.toml", format!("recipe = \"test\"\n{part}"));
    let job = Job::from_source(&source, &shelf)?;
    let mut parts = job_plates(&job)?;
    Ok(parts.remove(0))
}

/// The only plate of a recipe `HEAD` + one plate with `steps`.
pub(super) fn plate(steps: &str) -> Plate {
    let made = make(&format!("[[plate]]\n{steps}"), "");
    let mut made = made.unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(made.plates.len(), 1);
    made.plates.remove(0)
}

/// Everything that is said against a recipe and a part, one line each, without the test's folder.
pub(super) fn said(body: &str, part: &str) -> Vec<String> {
    tidy(&make(body, part).expect_err("this should be refused"))
}

/// The faults of a whole recipe, without the test's folder.
pub(super) fn said_of_family(family: &str, part: &str) -> Vec<String> {
    tidy(&make_family(family, part).expect_err("this should be refused"))
}

/// What is said against a part of a family that is compiled in.
pub(super) fn said_of_part(part: &str) -> Vec<String> {
    let source = Source::inline("part.toml", part);
    let job = Job::from_source(&source, &Shelf::built_in());
    let made = job.and_then(|job| plates(&job.parts[0]));
    tidy(&made.expect_err("this should be refused"))
}

fn tidy(faults: &Faults) -> Vec<String> {
    let lines = faults.as_slice().iter().map(ToString::to_string);
    lines
        .map(|line| match line.find("families/test.toml") {
            Some(at) => line[at + "families/".len()..].to_owned(),
            None => line,
        })
        .collect()
}
