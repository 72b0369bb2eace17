//! The names by which a place in a picture is known: as ids in the SVG, in `report.json`, and in the links
//! of the report page.

use std::fmt::Write as _;

/// A plate in its own picture.
#[must_use]
pub fn plate(name: &str) -> String {
    format!("p.{}", word(name))
}

/// An opening of a plate, counted from 0 as `openings` of the report are.
#[must_use]
pub fn opening(plate_name: &str, index: usize) -> String {
    format!("{}.opening-{}", plate(plate_name), index + 1)
}

/// A finding that has a place on a plate, by its number from 1.
#[must_use]
pub fn finding(plate_name: &str, number: usize) -> String {
    format!("{}.finding-{number}", plate(plate_name))
}

/// A sheet in its own picture.
#[must_use]
pub fn sheet(name: &str) -> String {
    format!("s.{}", word(name))
}

/// A copy of a plate on a sheet, counted from 0 as `placements` of the report are.
#[must_use]
pub fn placement(sheet_name: &str, index: usize) -> String {
    format!("{}.plate-{}", sheet(sheet_name), index + 1)
}

/// A run on a sheet, by its number from 1 in the order of cutting.
#[must_use]
pub fn run(sheet_name: &str, number: usize) -> String {
    format!("{}.run-{number}", sheet(sheet_name))
}

/// A name with nothing in it that an id must not have: other letters by their number.
fn word(name: &str) -> String {
    let mut word = String::with_capacity(name.len());
    for letter in name.chars() {
        if letter.is_ascii_alphanumeric() || letter == '-' {
            word.push(letter);
        } else {
            let _ = write!(word, "_{:x}", u32::from(letter));
        }
    }
    word
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn different_names_have_different_ids_without_spaces() {
        assert_eq!(plate("front-hub"), "p.front-hub");
        assert_eq!(opening("a b", 0), "p.a_20b.opening-1");
        assert_ne!(plate("a b"), plate("a_20b"));
        assert_ne!(plate("a.b"), plate("a_b"));
    }
}
