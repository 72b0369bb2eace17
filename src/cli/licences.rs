//! `licences`: of the program and of every library in it, with their words.

use super::screen::Screen;
use crate::fault::Outcome;

/// Made of what the libraries bring along, and checked against them, by `.ci/licences`.
const LICENCES: &str = include_str!("licences.txt");

pub(super) fn run() -> Outcome<u8> {
    Screen::bytes(LICENCES.as_bytes())?;
    Ok(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_library_that_is_named_directly_has_its_licence() {
        let manifest: toml::Table =
            toml::from_str(include_str!("../../Cargo.toml")).expect("reads");
        let named = manifest["dependencies"].as_table().expect("libraries");
        for name in named.keys() {
            let line = format!("\n{name} ");
            assert!(LICENCES.contains(&line), "{name}: run .ci/licences");
        }
    }
}
