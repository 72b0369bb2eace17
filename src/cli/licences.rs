//! `licences`: of the program and of every library in it, with their words.

use super::screen::Screen;
use crate::brought::BROUGHT;
use crate::fault::Outcome;

pub(super) fn run() -> Outcome<u8> {
    Screen::bytes(licences().as_bytes())?;
    Ok(0)
}

/// Made of what the libraries bring along, and checked against them, by `.ci/licences`.
fn licences() -> &'static str {
    &BROUGHT["licences.txt"]
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
            assert!(licences().contains(&line), "{name}: run .ci/licences");
        }
    }
}
