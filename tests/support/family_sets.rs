//! The families that carry a vehicle, and dimensions of a family at random.

use platewright::recipe::{Part, Shelf};
use rand::RngExt;
use rand_pcg::Pcg64Mcg;

/// The six families that the demo job is made of.
pub const FAMILIES: [&str; 6] = [
    "hub-adapter",
    "spring-perch",
    "steering-arm",
    "pedal-bracket",
    "flange",
    "steering-wheel",
];

/// The names of all families that come with the program, as it lists them.
pub fn every_family() -> Vec<String> {
    Shelf::built_in().family_names()
}

/// A part of a built-in family with these dimensions.
pub fn part(family: &str, settings: &[&str]) -> Part {
    let mut part = Part::plain(Shelf::built_in().family(family).expect("built in"));
    for setting in settings {
        part.set(setting)
            .unwrap_or_else(|faults| panic!("{faults}"));
    }
    part
}

/// A setting at random: lengths, angles and numbers some way off their default. Of a choice from a lookup
/// table it is the default, as the table is no part of the block.
pub fn at_random(name: &str, block: &toml::Table, random: &mut Pcg64Mcg) -> String {
    const THREADS: [&str; 6] = ["M5", "M8", "M12x1.5", "3/8-16", "1/2 in", "M16"];
    let value = match block.get("kind").and_then(toml::Value::as_str) {
        Some("yes-no") => random.random_bool(0.5).to_string(),
        Some("thread") => THREADS[random.random_range(0..THREADS.len())].to_owned(),
        Some("count") => random.random_range(0..10).to_string(),
        Some("choice") => {
            let chosen = match block["choices"].as_array() {
                Some(choices) => &choices[random.random_range(0..choices.len())],
                None => &block["default"],
            };
            chosen.as_str().expect("words").to_owned()
        }
        // A list is more than a number to be scaled: its rows as they are.
        _ if block.contains_key("columns") => block["default"].to_string(),
        _ => {
            let factor: f64 = random.random_range(0.5..2.0);
            let default = block["default"].as_str().expect("an expression");
            format!("({default}) * {factor}")
        }
    };
    format!("{name}={value}")
}
