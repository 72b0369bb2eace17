//! Roller chain and chain wheels.

use std::f64::consts::PI;

use super::origin::Origin;
use super::scan;
use crate::elementary;
use crate::fault::{Refusal, nearest};
use crate::quantity::{Function, Parameter, Value};

/// Chain sizes.
pub const CHAINS: Origin = Origin {
    title: "roller chain: pitch, roller diameter, width between inner plates",
    source: "ASME B29.1, ISO 606; motorcycle sizes by trade",
    verified: "25 to 60, 415 to 530 and 08B looked up; 80 and over, 219, 410, 630, bicycle and the \
               other ISO sizes from memory; 25 and 35 have no rollers, the figure is the bushing",
};

const SPROCKET: &str = "ASME B29.1; Machinery's Handbook, roller chain sprockets";

/// A size of chain, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chain {
    /// Its number.
    pub name: &'static str,
    /// Between pins.
    pub pitch: f64,
    /// Largest roller diameter.
    pub roller: f64,
    /// Least width between inner plates.
    pub width: f64,
}

const fn chain(name: &'static str, pitch: f64, roller: f64, width: f64) -> Chain {
    Chain {
        name,
        pitch,
        roller,
        width,
    }
}

/// Every chain: number, pitch, roller, inner width; mm.
pub const SIZES: &[Chain] = &[
    // ASME B29.1
    chain("25", 6.35, 3.30, 3.18),
    chain("35", 9.525, 5.08, 4.77),
    chain("40", 12.7, 7.92, 7.85),
    chain("41", 12.7, 7.77, 6.25),
    chain("50", 15.875, 10.16, 9.40),
    chain("60", 19.05, 11.91, 12.57),
    chain("80", 25.4, 15.88, 15.75),
    chain("100", 31.75, 19.05, 18.90),
    chain("120", 38.1, 22.23, 25.22),
    // motorcycle, kart, bicycle
    chain("219", 7.774, 4.59, 5.0),
    chain("410", 12.7, 7.77, 3.30),
    chain("415", 12.7, 7.77, 4.76),
    chain("420", 12.7, 7.77, 6.35),
    chain("428", 12.7, 8.51, 7.75),
    chain("520", 15.875, 10.16, 6.35),
    chain("525", 15.875, 10.16, 7.95),
    chain("530", 15.875, 10.16, 9.53),
    chain("630", 19.05, 11.91, 9.53),
    chain("bicycle", 12.7, 7.75, 3.30),
    // ISO 606
    chain("04B", 6.0, 4.0, 2.80),
    chain("05B", 8.0, 5.0, 3.0),
    chain("06B", 9.525, 6.35, 5.72),
    chain("08A", 12.7, 7.92, 7.85),
    chain("08B", 12.7, 8.51, 7.75),
    chain("10A", 15.875, 10.16, 9.40),
    chain("10B", 15.875, 10.16, 9.65),
    chain("12A", 19.05, 11.91, 12.57),
    chain("12B", 19.05, 12.07, 11.68),
    chain("16A", 25.4, 15.88, 15.75),
    chain("16B", 25.4, 15.88, 17.02),
    chain("20B", 31.75, 19.05, 19.56),
];

/// The chain of a number.
pub fn find(name: &str) -> Result<&'static Chain, Refusal> {
    let plain = scan::plain(name);
    let bare = plain.trim_start_matches(['#', ' ']);
    let found = SIZES
        .iter()
        .find(|chain| chain.name.eq_ignore_ascii_case(bare));
    found.ok_or_else(|| {
        let all: Vec<&str> = SIZES.iter().map(|chain| chain.name).collect();
        let near = nearest(bare, all.iter().copied());
        let there = near.map_or("write one of".to_owned(), |near| {
            format!("did you mean {near}? There are")
        });
        Refusal::new(format!("no chain \"{name}\"")).remedy(format!("{there} {}", all.join(", ")))
    })
}

/// Pitch diameter: pitch / sin(180° / teeth).
#[must_use]
pub fn pitch_circle(pitch: f64, teeth: u32) -> f64 {
    pitch / elementary::sin(PI / f64::from(teeth))
}

/// Outside diameter of a wheel with pointed-off teeth: pitch · (0.6 + cot(180° / teeth)).
#[must_use]
pub fn outside(pitch: f64, teeth: u32) -> f64 {
    pitch * (0.6 + 1.0 / elementary::tan(PI / f64::from(teeth)))
}

/// What a caliper reads over the bottom of the gaps: pitch diameter − roller for an even number of
/// teeth, pitch diameter · cos(90° / teeth) − roller for an odd one.
#[must_use]
pub fn caliper(pitch: f64, roller: f64, teeth: u32) -> f64 {
    let straight = if teeth.is_multiple_of(2) {
        1.0
    } else {
        elementary::cos(PI / 2.0 / f64::from(teeth))
    };
    pitch_circle(pitch, teeth) * straight - roller
}

/// Largest hub that clears the side plates: pitch · (cot(180° / teeth) − 1) − 0.76 mm.
#[must_use]
pub fn largest_hub(pitch: f64, teeth: u32) -> f64 {
    pitch * (1.0 / elementary::tan(PI / f64::from(teeth)) - 1.0) - 0.76
}

/// Length in pitches over two wheels: 2 C + (z1 + z2) / 2 + (z2 − z1)² / (4 π² C), C in pitches.
#[must_use]
pub fn length(small: u32, large: u32, centres: f64) -> f64 {
    let (z1, z2) = (f64::from(small), f64::from(large));
    2.0 * centres + f64::midpoint(z1, z2) + (z2 - z1).powi(2) / (4.0 * PI * PI * centres)
}

const CHAIN: &[Parameter] = &[Parameter::words("chain")];
const PITCH: Parameter = Parameter::length("pitch").positive();
const ROLLER: Parameter = Parameter::length("roller").not_negative();
const TEETH: Parameter = Parameter::count("teeth", FEWEST);

/// Fewest teeth that make a wheel.
const FEWEST: u32 = 3;

/// What recipes can ask about chain.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "chain_pitch",
        parameters: CHAIN,
        says: "pitch of a chain by its number: \"40\", \"428\", \"08B\"",
        source: CHAINS.source,
        call: |given| Ok(Value::length(find(given.one()?)?.pitch)),
    },
    Function {
        name: "chain_roller",
        parameters: CHAIN,
        says: "roller diameter of a chain by its number",
        source: CHAINS.source,
        call: |given| Ok(Value::length(find(given.one()?)?.roller)),
    },
    Function {
        name: "chain_width",
        parameters: CHAIN,
        says: "width between the inner plates of a chain by its number",
        source: CHAINS.source,
        call: |given| Ok(Value::length(find(given.one()?)?.width)),
    },
    Function {
        name: "sprocket_pitch_circle",
        parameters: &[PITCH, TEETH],
        says: "pitch diameter of a chain wheel: pitch / sin(180 deg / teeth)",
        source: SPROCKET,
        call: |given| {
            let (pitch, teeth) = given.take()?;
            Ok(Value::length(pitch_circle(pitch, teeth)))
        },
    },
    Function {
        name: "sprocket_outside",
        parameters: &[PITCH, TEETH],
        says: "outside diameter of a chain wheel: pitch * (0.6 + cot(180 deg / teeth))",
        source: SPROCKET,
        call: |given| {
            let (pitch, teeth) = given.take()?;
            Ok(Value::length(outside(pitch, teeth)))
        },
    },
    Function {
        name: "sprocket_bottom",
        parameters: &[PITCH, ROLLER, TEETH],
        says: "diameter at the bottom of the tooth gaps: pitch diameter - roller",
        source: SPROCKET,
        call: |given| {
            let (pitch, roller, teeth): (f64, f64, u32) = given.take()?;
            Ok(Value::length(pitch_circle(pitch, teeth) - roller))
        },
    },
    Function {
        name: "sprocket_caliper",
        parameters: &[PITCH, ROLLER, TEETH],
        says: "what a caliper reads over the bottoms of opposite tooth gaps",
        source: SPROCKET,
        call: |given| {
            let (pitch, roller, teeth) = given.take()?;
            Ok(Value::length(caliper(pitch, roller, teeth)))
        },
    },
    Function {
        name: "sprocket_hub",
        parameters: &[PITCH, TEETH],
        says: "largest hub that clears the chain: pitch * (cot(180 deg / teeth) - 1) - 0.76 mm",
        source: SPROCKET,
        call: |given| {
            let (pitch, teeth) = given.take()?;
            Ok(Value::length(largest_hub(pitch, teeth)))
        },
    },
    Function {
        name: "chain_length",
        parameters: &[
            PITCH,
            Parameter::count("small", FEWEST),
            Parameter::count("large", FEWEST),
            Parameter::length("centres").positive(),
        ],
        says: "number of links over two wheels (round up to an even number): 2 C + (z1 + z2) / 2 + (z2 - z1)^2 / (4 pi^2 C), C in pitches",
        source: "Machinery's Handbook, length of driving chain",
        call: |given| {
            let (pitch, small, large, centres): (f64, u32, u32, f64) = given.take()?;
            Ok(Value::number(length(small, large, centres / pitch)))
        },
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chain_is_found_by_its_number_and_a_wrong_one_gets_the_list() {
        assert_eq!(find("#40").map(|chain| chain.roller), Ok(7.92));
        assert_eq!(find("08b").map(|chain| chain.roller), Ok(8.51));
        let refusal = find("429").expect_err("no such chain");
        assert!(
            refusal
                .to_string()
                .contains("did you mean 420? There are 25, 35"),
            "{refusal}"
        );
    }

    #[test]
    fn no_chain_stands_twice() {
        for (i, one) in SIZES.iter().enumerate() {
            assert!(
                SIZES[i + 1..].iter().all(|other| other.name != one.name),
                "{}",
                one.name
            );
        }
    }
}
