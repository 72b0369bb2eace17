//! What a bolt carries by its class, and the torque that tightens it.

use super::origin::Origin;
use super::scan;
use super::thread::{self, System, THREAD, Thread};
use super::unit::{INCH, KSI, MEGAPASCAL};
use crate::fault::Refusal;
use crate::geometry::Tolerance;
use crate::quantity::{Dimension, Function, Given, Parameter, Value, format};

/// Metric property classes.
pub const ISO_898_1: Origin = Origin {
    title: "least strength of metric bolts by property class",
    source: "ISO 898-1:2013 Table 3",
    verified: "4.6, 4.8, 5.8, 8.8 to 16 mm, 9.8 and 12.9 looked up; 5.6, 6.8, 8.8 over 16 mm and 10.9 from memory",
};

/// Inch grades.
pub const SAE_J429: Origin = Origin {
    title: "least strength of inch bolts by grade",
    source: "SAE J429",
    verified: "grade 1, 2 over 3/4 in and 5 looked up; 2 to 3/4 in and 8 from memory, tensile of grade 2 confirmed as 74 ksi",
};

/// Lengths of bolts.
pub const LENGTHS: Origin = Origin {
    title: "lengths in which hexagon bolts are stocked",
    source: "ISO 888 in the selection of ISO 4014 and ISO 4017; inch bolts by 1/4 in, common practice",
    verified: "metric looked up in the tables of the package bd-warehouse 0.4.0; there is no 75, 85 or 95 mm",
};

/// Lengths of metric bolts, mm.
const METRIC_LENGTHS: &[f64] = &[
    6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 65.0, 70.0,
    80.0, 90.0, 100.0, 110.0, 120.0, 130.0, 140.0, 150.0, 160.0, 180.0, 200.0, 220.0, 240.0, 260.0,
    280.0, 300.0, 320.0, 340.0, 360.0, 380.0, 400.0, 420.0, 440.0, 460.0, 480.0, 500.0,
];
/// Steps in which U-bolts are ordered, mm: common practice, no source.
const METRIC_LEG_STEP: f64 = 5.0;
/// Steps of inch bolts and of the legs of inch U-bolts, mm.
const INCH_STEP: f64 = INCH / 4.0;
/// Height of a nut in bolt diameters (ISO 4032 has 0.8 to 0.9): common practice.
const NUT: f64 = 0.9;
/// Thickness of a washer in bolt diameters: ISO 7089 has 1 for M5, 1.6 for M8, 2 for M10, 2.5 for M12 (from
/// memory).
const WASHER: f64 = 0.2;
/// Threads that stand out of a nut: common practice.
const PAST_THE_NUT: f64 = 2.0;

/// What is bought under a thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Fastener {
    /// A bolt that goes through and takes a nut.
    #[default]
    Nut,
    /// A bolt that screws into one of the plates.
    Tapped,
    /// A rod bent to a U, with a nut on each leg.
    UBolt,
}

/// A bolt's length as it is asked for over the counter: in inches and fractions for an inch thread, else in mm.
#[must_use]
pub fn length_asked_for(thread: &str, mm: f64) -> String {
    let is_inch = thread::read(thread).is_ok_and(|it| it.system == System::Inch);
    let inches = format::fraction(mm / INCH).filter(|_| is_inch);
    inches.map_or_else(|| format::millimetres(mm), |it| format!("{it} in"))
}

impl Fastener {
    /// Every fastener with its words in recipes.
    pub const ALL: &'static [(Self, &'static str)] = &[
        (Self::Nut, "bolt with a nut"),
        (Self::Tapped, "bolt into a thread"),
        (Self::UBolt, "U-bolt"),
    ];

    /// Its words in recipes and reports.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Nut => "bolt with a nut",
            Self::Tapped => "bolt into a thread",
            Self::UBolt => "U-bolt",
        }
    }

    /// Washers that go under its heads and nuts.
    #[must_use]
    pub const fn washers(self) -> u32 {
        match self {
            Self::Nut | Self::UBolt => 2,
            Self::Tapped => 1,
        }
    }

    /// What its length is.
    #[must_use]
    pub const fn length_is(self) -> &'static str {
        match self {
            Self::Nut => "long, with a nut",
            Self::Tapped => "long, into the tapped plate without a nut",
            Self::UBolt => "for each leg, from the inside of the bend, with a nut",
        }
    }

    /// The shortest length to buy for a grip and the washers of one, mm; `None` past the longest bolt. What screws into a thread
    /// reaches through it; a nut is gone through by two threads. A U-bolt's grip is all that its legs span.
    #[must_use]
    pub fn length(self, thread: &Thread, grip: f64, washers: u32) -> Option<f64> {
        let nut = NUT * thread.diameter + PAST_THE_NUT * thread.pitch;
        let washer = WASHER * thread.diameter;
        let least = match self {
            Self::Nut => grip + f64::from(washers) * washer + nut,
            // Each leg has its own share of the washers.
            Self::UBolt => grip + f64::from(washers) / 2.0 * washer + nut,
            Self::Tapped => grip + f64::from(washers) * washer,
        };
        let by_steps = |step: f64| ((least / step - Tolerance::SAME).ceil() * step).max(step);
        match (self, thread.system) {
            (Self::UBolt, System::Metric) => Some(by_steps(METRIC_LEG_STEP)),
            (_, System::Inch) => Some(by_steps(INCH_STEP)),
            (_, System::Metric) => METRIC_LENGTHS
                .iter()
                .copied()
                .find(|length| *length >= least - Tolerance::SAME),
        }
    }
}

/// Least strength of a bolt's steel, in base stress units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strength {
    /// Proof stress: held without lasting stretch.
    pub proof: f64,
    /// Yield, or 0.2 % proof.
    pub yield_point: f64,
    /// Tensile strength.
    pub tensile: f64,
}

/// A class over a range of diameters.
struct Row {
    system: System,
    class: &'static str,
    /// Diameter over which it holds, mm.
    over: f64,
    /// Largest diameter, mm.
    upto: f64,
    strength: Strength,
}

/// Class, diameters over and up to (mm), tensile, yield and proof stress in N/mm².
const fn iso(class: &'static str, over: f64, upto: f64, rm: f64, yp: f64, proof: f64) -> Row {
    Row {
        system: System::Metric,
        class,
        over,
        upto,
        strength: Strength {
            proof: proof * MEGAPASCAL,
            yield_point: yp * MEGAPASCAL,
            tensile: rm * MEGAPASCAL,
        },
    }
}

/// Grade, diameters over and up to (inch), proof, yield and tensile stress in ksi.
const fn sae(class: &'static str, over: f64, upto: f64, proof: f64, yp: f64, rm: f64) -> Row {
    Row {
        system: System::Inch,
        class,
        over: over * INCH,
        upto: upto * INCH,
        strength: Strength {
            proof: proof * KSI,
            yield_point: yp * KSI,
            tensile: rm * KSI,
        },
    }
}

/// The standard covers M1.6 to M39.
const ROWS: &[Row] = &[
    iso("4.6", 1.5, 39.0, 400.0, 240.0, 225.0),
    iso("4.8", 1.5, 39.0, 420.0, 340.0, 310.0),
    iso("5.6", 1.5, 39.0, 500.0, 300.0, 280.0),
    iso("5.8", 1.5, 39.0, 520.0, 420.0, 380.0),
    iso("6.8", 1.5, 39.0, 600.0, 480.0, 440.0),
    iso("8.8", 1.5, 16.0, 800.0, 640.0, 580.0),
    iso("8.8", 16.0, 39.0, 830.0, 660.0, 600.0),
    iso("9.8", 1.5, 16.0, 900.0, 720.0, 650.0),
    iso("10.9", 1.5, 39.0, 1040.0, 940.0, 830.0),
    iso("12.9", 1.5, 39.0, 1220.0, 1100.0, 970.0),
    sae("1", 0.24, 1.5, 33.0, 36.0, 60.0),
    sae("2", 0.24, 0.75, 55.0, 57.0, 74.0),
    sae("2", 0.75, 1.5, 33.0, 36.0, 60.0),
    sae("5", 0.24, 1.0, 85.0, 92.0, 120.0),
    sae("5", 1.0, 1.5, 74.0, 81.0, 105.0),
    sae("8", 0.24, 1.5, 120.0, 130.0, 150.0),
];

/// The strength of a thread's bolt in a class: `8.8`, `class 10.9`, `grade 5`, `5`.
pub fn strength(thread: &Thread, class: &str) -> Result<Strength, Refusal> {
    let plain = scan::plain(class);
    let bare = ["class", "grade", "gr.", "gr", "sae", "iso"]
        .iter()
        .fold(plain.as_str(), |text, word| {
            text.trim_start_matches(word).trim()
        });
    let of_class = |row: &&Row| row.system == thread.system && row.class == bare;
    let found = ROWS.iter().filter(of_class).find(|row| {
        row.over + Tolerance::SAME < thread.diameter
            && thread.diameter <= row.upto + Tolerance::SAME
    });
    if let Some(row) = found {
        return Ok(row.strength);
    }
    if ROWS.iter().any(|row| of_class(&row)) {
        let message = format!(
            "{} is outside the sizes of {}",
            thread.size,
            range(thread, bare)
        );
        return Err(Refusal::new(message).remedy("name another class"));
    }
    let cause = format!("no class \"{class}\" for {}", thread.size);
    Err(Refusal::new(cause).remedy(format!("there are {}", classes(thread.system))))
}

fn range(thread: &Thread, class: &str) -> String {
    let upto = ROWS
        .iter()
        .filter(|row| row.system == thread.system && row.class == class)
        .fold(0.0, |most: f64, row| most.max(row.upto));
    match thread.system {
        System::Metric => format!("class {class} (M1.6 to M{upto}, {})", ISO_898_1.source),
        System::Inch => format!("grade {class} (1/4 to 1-1/2 in, {})", SAE_J429.source),
    }
}

fn classes(system: System) -> String {
    let mut names: Vec<&str> = ROWS
        .iter()
        .filter(|row| row.system == system)
        .map(|row| row.class)
        .collect();
    names.dedup();
    match system {
        System::Metric => format!("{} ({})", names.join(", "), ISO_898_1.source),
        System::Inch => format!("grade {} ({})", names.join(", "), SAE_J429.source),
    }
}

/// The class that bolts of a thread are usually bought in: common practice, no source.
#[must_use]
pub const fn usual_class(thread: &Thread) -> &'static str {
    match thread.system {
        System::Metric => "8.8",
        System::Inch => "grade 5",
    }
}

/// Torque over force and diameter of a bolt as it is bought, zinc-plated: Shigley Table 8-15. Lubricated it
/// takes less for the same force.
pub const TORQUE_FACTOR: f64 = 0.2;

/// Torque, base units, that tightens a bolt to a share of its proof load; `None` where the tables lack it.
#[must_use]
pub fn torque(thread: &Thread, class: &str, share: f64) -> Option<f64> {
    let proof = thread.stress_area() * strength(thread, class).ok()?.proof;
    Some(tightening_torque(TORQUE_FACTOR, thread, share * proof))
}

/// Torque that makes a clamping force, base units: T = K F d (Shigley).
#[must_use]
pub fn tightening_torque(k: f64, thread: &Thread, force: f64) -> f64 {
    k * force * thread.diameter
}

fn load(given: Given<'_>, stress: fn(Strength) -> f64) -> Result<Value, Refusal> {
    let (thread, class): (Thread, &str) = given.take()?;
    let load = thread.stress_area() * stress(strength(&thread, class)?);
    Ok(Value::of(load, Dimension::FORCE))
}

/// A bolt and its class.
pub(super) const BOLT: &[Parameter] = &[THREAD, Parameter::words("class")];
const CLASSES: &str = "ISO 898-1:2013 Table 3; SAE J429";

/// What recipes can ask about bolts.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "usual_class",
        parameters: &[THREAD],
        says: "the class that bolts of this thread are usually bought in: \"8.8\" metric, \"grade 5\" inch",
        source: "common practice, no source",
        call: |given| Ok(Value::text(usual_class(&given.one()?))),
    },
    Function {
        name: "proof_load",
        parameters: BOLT,
        says: "load a bolt holds without lasting stretch: stress area * proof stress; class \"8.8\" or \"grade 5\"",
        source: CLASSES,
        call: |given| load(given, |strength| strength.proof),
    },
    Function {
        name: "yield_load",
        parameters: BOLT,
        says: "load at which a bolt yields: stress area * yield stress",
        source: CLASSES,
        call: |given| load(given, |strength| strength.yield_point),
    },
    Function {
        name: "tensile_load",
        parameters: BOLT,
        says: "least load that breaks a bolt: stress area * tensile strength",
        source: CLASSES,
        call: |given| load(given, |strength| strength.tensile),
    },
    Function {
        name: "bolt_torque",
        parameters: &[
            Parameter::number("k").positive(),
            THREAD,
            Parameter::quantity("force", Dimension::FORCE).not_negative(),
        ],
        says: "tightening torque k * force * diameter; k about 0.2 as received, 0.18 lubricated, 0.3 black and dry",
        source: "Shigley's Mechanical Engineering Design, ch. 8",
        call: |given| {
            let (k, thread, force): (f64, Thread, f64) = given.take()?;
            let torque = tightening_torque(k, &thread, force);
            Ok(Value::of(torque, Dimension::TORQUE))
        },
    },
];

#[cfg(test)]
mod tests {
    use super::super::thread::read;
    use super::*;

    fn proof(thread: &str, class: &str) -> Result<f64, Refusal> {
        strength(&read(thread)?, class).map(|strength| strength.proof / MEGAPASCAL)
    }

    /// 70 mm is followed by 80 in ISO 4014 and ISO 4017, looked up as [`LENGTHS`] says.
    /// How inch and metric bolts are asked for: common practice, no source.
    #[test]
    fn inch_bolts_are_asked_for_in_inches() {
        assert_eq!(length_asked_for("1/2-20", 38.1), "1-1/2 in");
        assert_eq!(length_asked_for("#10-32", 19.05), "3/4 in");
        assert_eq!(length_asked_for("M8", 25.4), "25.4 mm");
        assert_eq!(length_asked_for("M12x1.5", 40.0), "40 mm");
    }

    #[test]
    fn bolts_reach_through_their_nut_to_a_stocked_length() {
        let length = |thread: &str, fastener: Fastener, grip: f64| {
            fastener.length(&read(thread).expect("a thread"), grip, 0)
        };
        // 20 + 0.9 x 10 + 2 x 1.5 = 32; 61 + 12 = 73; 70 + 18 + 5 = 93.
        assert_eq!(length("M10", Fastener::Nut, 20.0), Some(35.0));
        assert_eq!(length("M10", Fastener::Nut, 61.0), Some(80.0));
        assert_eq!(length("M20", Fastener::Nut, 70.0), Some(100.0));
        assert_eq!(length("M20", Fastener::Nut, 490.0), None);
        // 1/2 + 0.45 + 2/13 = 1.104 in.
        let inch = length("1/2-13", Fastener::Nut, 0.5 * INCH).expect("a length");
        assert!((inch - 1.25 * INCH).abs() < 1e-9);
        // Two washers of 2 mm: 20 + 4 + 12 = 36.
        let m10 = read("M10").expect("a thread");
        assert_eq!(Fastener::Nut.length(&m10, 20.0, 2), Some(40.0));
        // Into a thread there is no nut to go through.
        assert_eq!(length("M12x1.5", Fastener::Tapped, 20.0), Some(20.0));
        assert_eq!(length("M12x1.5", Fastener::Tapped, 18.0), Some(20.0));
        // Legs span tube, seat and spring: 120 + 10.8 + 3.5 = 134.3; 5 + 0.45 + 2/13 = 5.604 in.
        assert_eq!(length("M12", Fastener::UBolt, 120.0), Some(135.0));
        let legs = length("1/2-13", Fastener::UBolt, 5.0 * INCH).expect("a length");
        assert!((legs - 5.75 * INCH).abs() < 1e-9);
    }

    #[test]
    fn ranges_of_size_are_kept_apart_at_their_end() {
        assert_eq!(proof("M16", "8.8"), Ok(580.0));
        assert_eq!(proof("M18", "8.8"), Ok(600.0));
        assert_eq!(proof("3/4-10", "grade 2"), Ok(55.0 * KSI / MEGAPASCAL));
        assert_eq!(proof("7/8-9", "2"), Ok(33.0 * KSI / MEGAPASCAL));
    }

    #[test]
    fn a_class_of_the_other_system_or_past_its_sizes_is_refused_with_what_there_is() {
        for (thread, class, hint) in [
            ("M10", "grade 5", "4.6, 4.8, 5.6"),
            ("1/2-13", "8.8", "grade 1, 2, 5, 8"),
            ("M20", "9.8", "M1.6 to M16"),
            ("M42", "8.8", "M1.6 to M39"),
            ("#10-24", "5", "1/4 to 1-1/2 in"),
        ] {
            let message = proof(thread, class).expect_err(thread).to_string();
            assert!(message.contains(hint), "{message}");
        }
    }
}
