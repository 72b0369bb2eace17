//! The units that expressions may carry.
//!
//! In: the text after a number. Out: the unit it names and how many bytes name it. Factors are
//! exact by definition: the inch, foot and pound of the international yard and pound agreement of
//! 1959, the pound-force from the standard acceleration of free fall, 9.80665 m/s² (NIST Special
//! Publication 811, Appendix B).

use std::f64::consts::PI;

use super::Dimension;

/// A unit: how it is written, what it measures and how many base units it is worth.
#[derive(Debug)]
pub struct Unit {
    /// How it may be written, its usual spelling first.
    pub spellings: &'static [&'static str],
    /// What it measures.
    pub dimension: Dimension,
    /// One of it in base units (mm, kg, s, rad).
    pub factor: f64,
}

impl Unit {
    /// Its usual spelling.
    #[must_use]
    pub fn name(&self) -> &'static str {
        self.spellings[0]
    }

    /// Whether fractions and mixed numbers go with it: inches and feet.
    #[must_use]
    pub fn takes_fractions(&self) -> bool {
        self == &INCH || self == &FOOT
    }
}

impl PartialEq for Unit {
    fn eq(&self, other: &Self) -> bool {
        self.name() == other.name()
    }
}

/// An inch in mm.
pub const MM_PER_INCH: f64 = 25.4;
const MM_PER_FOOT: f64 = 304.8;
const KG_PER_POUND: f64 = 0.453_592_37;
const NEWTONS_PER_POUND_FORCE: f64 = 4.448_221_615_260_5;
/// A newton in the base unit of force, kg·mm/s².
const NEWTON: f64 = 1000.0;
/// A newton metre in the base unit of torque, kg·mm²/s².
/// One newton-metre in base units.
pub const NEWTON_METRE: f64 = 1.0e6;
/// A pascal in the base unit of stress, kg/(mm·s²).
pub const PASCAL: f64 = 0.001;
/// A pound-force on a square inch, in pascals.
pub const PASCALS_PER_PSI: f64 = NEWTONS_PER_POUND_FORCE * 1.0e6 / (MM_PER_INCH * MM_PER_INCH);

const fn unit(spellings: &'static [&'static str], dimension: Dimension, factor: f64) -> Unit {
    Unit {
        spellings,
        dimension,
        factor,
    }
}

pub(super) const INCH: Unit = unit(&["in", "\"", "″", "”"], Dimension::LENGTH, MM_PER_INCH);
pub(super) const FOOT: Unit = unit(&["ft", "'", "′", "’"], Dimension::LENGTH, MM_PER_FOOT);

/// Every unit there is.
pub static UNITS: [Unit; 47] = [
    unit(&["mm"], Dimension::LENGTH, 1.0),
    unit(&["cm"], Dimension::LENGTH, 10.0),
    unit(&["m"], Dimension::LENGTH, 1000.0),
    INCH,
    FOOT,
    unit(&["deg", "°"], Dimension::ANGLE, PI / 180.0),
    unit(&["rad"], Dimension::ANGLE, 1.0),
    unit(&["%"], Dimension::NONE, 0.01),
    unit(&["mm2"], Dimension::AREA, 1.0),
    unit(&["cm2"], Dimension::AREA, 100.0),
    unit(&["m2"], Dimension::AREA, 1.0e6),
    unit(&["in2"], Dimension::AREA, MM_PER_INCH * MM_PER_INCH),
    unit(&["ft2"], Dimension::AREA, MM_PER_FOOT * MM_PER_FOOT),
    unit(&["mm3"], Dimension::VOLUME, 1.0),
    unit(&["mm4"], Dimension::SECOND_MOMENT, 1.0),
    unit(&["N"], Dimension::FORCE, NEWTON),
    unit(&["kN"], Dimension::FORCE, 1000.0 * NEWTON),
    unit(&["lbf"], Dimension::FORCE, NEWTONS_PER_POUND_FORCE * NEWTON),
    unit(&["N.m"], Dimension::TORQUE, NEWTON_METRE),
    unit(&["N.mm"], Dimension::TORQUE, NEWTON_METRE / 1000.0),
    unit(&["kN.m"], Dimension::TORQUE, NEWTON_METRE * 1000.0),
    unit(
        &["lbf.in"],
        Dimension::TORQUE,
        NEWTONS_PER_POUND_FORCE * NEWTON * MM_PER_INCH,
    ),
    unit(
        &["lbf.ft"],
        Dimension::TORQUE,
        NEWTONS_PER_POUND_FORCE * NEWTON * MM_PER_FOOT,
    ),
    unit(&["Pa"], Dimension::STRESS, PASCAL),
    unit(&["kPa"], Dimension::STRESS, 1.0e3 * PASCAL),
    unit(&["MPa"], Dimension::STRESS, 1.0e6 * PASCAL),
    unit(&["GPa"], Dimension::STRESS, 1.0e9 * PASCAL),
    unit(&["psi"], Dimension::STRESS, PASCALS_PER_PSI * PASCAL),
    unit(
        &["ksi"],
        Dimension::STRESS,
        1.0e3 * PASCALS_PER_PSI * PASCAL,
    ),
    unit(&["N/mm2"], Dimension::STRESS, 1.0e6 * PASCAL),
    unit(&["kg"], Dimension::MASS, 1.0),
    unit(&["g"], Dimension::MASS, 0.001),
    unit(&["lb"], Dimension::MASS, KG_PER_POUND),
    unit(&["s"], Dimension::TIME, 1.0),
    unit(&["min"], Dimension::TIME, 60.0),
    unit(&["h"], Dimension::TIME, 3600.0),
    unit(&["mm/s"], Dimension::SPEED, 1.0),
    unit(&["mm/min"], Dimension::SPEED, 1.0 / 60.0),
    unit(&["m/s"], Dimension::SPEED, 1000.0),
    unit(&["m/min"], Dimension::SPEED, 1000.0 / 60.0),
    unit(&["km/h"], Dimension::SPEED, 1000.0 / 3.6),
    unit(&["in/min"], Dimension::SPEED, MM_PER_INCH / 60.0),
    unit(&["mm/s2"], Dimension::ACCELERATION, 1.0),
    unit(&["m/s2"], Dimension::ACCELERATION, 1000.0),
    unit(&["kg/m3"], Dimension::DENSITY, 1.0e-9),
    unit(&["g/cm3"], Dimension::DENSITY, 1.0e-6),
    unit(
        &["lb/in3"],
        Dimension::DENSITY,
        KG_PER_POUND / (MM_PER_INCH * MM_PER_INCH * MM_PER_INCH),
    ),
];

/// Words that people write for a unit, and how it is written here.
const OTHER_WORDS: [(&str, &str); 27] = [
    ("inch", "in"),
    ("inches", "in"),
    ("foot", "ft"),
    ("feet", "ft"),
    ("degree", "deg"),
    ("degrees", "deg"),
    ("grad", "deg"),
    ("radian", "rad"),
    ("radians", "rad"),
    ("meter", "m"),
    ("metre", "m"),
    ("millimeter", "mm"),
    ("millimetre", "mm"),
    ("nm", "N.m"),
    ("nmm", "N.mm"),
    ("ftlb", "lbf.ft"),
    ("inlb", "lbf.in"),
    ("ft.lb", "lbf.ft"),
    ("in.lb", "lbf.in"),
    ("lbft", "lbf.ft"),
    ("lb.ft", "lbf.ft"),
    ("lbin", "lbf.in"),
    ("lb.in", "lbf.in"),
    ("lbs", "lb"),
    ("sec", "s"),
    ("hr", "h"),
    ("ipm", "in/min"),
];

/// The unit that `text` starts with, and how many bytes of it.
///
/// The longest spelling wins, unless letters or digits run on after it; one with a stroke gives way
/// to a division by a function (`6 mm/min(a, b)`).
pub(super) fn leading(text: &str) -> Option<(&'static Unit, usize)> {
    UNITS
        .iter()
        .flat_map(|unit| unit.spellings.iter().map(move |spelling| (unit, *spelling)))
        .filter_map(|(unit, spelling)| Some((unit, matched(text, spelling)?)))
        .max_by_key(|(_, length)| *length)
}

/// The unit that a mistyped word stands for, if one is near. A single letter is more likely a name
/// to multiply by, and of two letters one is too much to change.
pub(super) fn nearest(word: &str) -> Option<&'static str> {
    let letters = word.chars().count();
    if letters == 1 {
        return None;
    }
    let lower = word.to_lowercase();
    OTHER_WORDS
        .iter()
        .find(|(other, _)| *other == lower)
        .map(|(_, name)| *name)
        .or_else(|| {
            let names = || UNITS.iter().map(Unit::name);
            names()
                .find(|name| name.to_lowercase() == lower)
                .or_else(|| crate::fault::nearest(word, names()).filter(|_| letters > 2))
        })
        .or_else(|| {
            let others = OTHER_WORDS.iter().filter(|(other, _)| other.len() > 4);
            let near = crate::fault::nearest(&lower, others.map(|(other, _)| *other))?;
            let found = OTHER_WORDS.iter().find(|(other, _)| *other == near);
            found.map(|(_, name)| *name)
        })
}

/// Whether a word is the name of a unit.
pub(crate) fn is_one(word: &str) -> bool {
    UNITS.iter().any(|it| it.name() == word)
}

/// How many bytes at the start of `text` write `spelling`.
fn matched(text: &str, spelling: &str) -> Option<usize> {
    let mut rest = text.chars();
    for wanted in spelling.chars() {
        if plain(rest.next()?) != wanted {
            return None;
        }
    }
    let after = rest.as_str();
    let is_word = spelling.ends_with(|c: char| c.is_ascii_alphanumeric());
    if is_word && runs_on(after) {
        return None;
    }
    if spelling.contains('/') && after.trim_start().starts_with('(') {
        return None;
    }
    Some(text.len() - after.len())
}

/// Whether a word goes on at the start of `after`.
fn runs_on(after: &str) -> bool {
    let mut chars = after.chars().map(plain);
    match chars.next() {
        Some('.') => chars.next().is_some_and(char::is_alphabetic),
        Some(c) => c.is_alphanumeric() || c == '_',
        None => false,
    }
}

/// Raised digits and dots as they are written on a plain keyboard.
fn plain(c: char) -> char {
    match c {
        '²' => '2',
        '³' => '3',
        '·' | '⋅' => '.',
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn factor(name: &str) -> f64 {
        let (unit, length) = leading(name).expect("a unit of the table");
        assert_eq!(length, name.len(), "{name}");
        unit.factor
    }

    // NIST Special Publication 811 (2008), Appendix B.8, exact factors printed in bold there:
    // inch, foot, pound (avoirdupois), pound-force; the others as printed, seven digits.
    #[test]
    fn factors_are_those_of_nist_sp_811() {
        assert_eq!(factor("in"), 25.4);
        assert_eq!(factor("ft"), 304.8);
        assert_eq!(factor("lb"), 0.453_592_37);
        assert_relative_eq!(factor("lbf"), 4_448.221_615_260_5, max_relative = 1e-15);
        assert_relative_eq!(factor("lbf.ft") / 1e6, 1.355_818, max_relative = 1e-6);
        assert_relative_eq!(factor("lbf.in") / 1e6, 0.112_984_8, max_relative = 1e-6);
        assert_relative_eq!(factor("psi") / 1e-3, 6_894.757, max_relative = 1e-6);
        assert_relative_eq!(factor("ksi") / 1e3, 6.894_757, max_relative = 1e-6);
        assert_relative_eq!(factor("in2"), 645.16, max_relative = 1e-15);
        assert_relative_eq!(factor("lb/in3") / 1e-9, 27_679.90, max_relative = 1e-6);
    }

    #[test]
    fn every_spelling_is_read_as_its_own_unit() {
        for unit in &UNITS {
            for spelling in unit.spellings {
                let (read, length) = leading(spelling).expect("a spelling of the table");
                assert_eq!((read.name(), length), (unit.name(), spelling.len()));
            }
        }
    }

    #[test]
    fn a_unit_ends_where_its_word_ends() {
        assert_eq!(
            leading("mm/min + 1").map(|(unit, _)| unit.name()),
            Some("mm/min")
        );
        assert_eq!(
            leading("mm/min(1, 2)").map(|(unit, _)| unit.name()),
            Some("mm")
        );
        assert_eq!(
            leading("mm/minimum").map(|(unit, _)| unit.name()),
            Some("mm")
        );
        assert_eq!(
            leading("mm²").map(|(unit, length)| (unit.name(), length)),
            Some(("mm2", 4))
        );
        assert_eq!(leading("N·m").map(|(unit, _)| unit.name()), Some("N.m"));
        assert!(leading("mm_wide").is_none());
        assert!(leading("inches").is_none());
    }

    #[test]
    fn mistyped_units_get_the_near_one() {
        assert_eq!(nearest("inches"), Some("in"));
        assert_eq!(nearest("Nm"), Some("N.m"));
        assert_eq!(nearest("MM"), Some("mm"));
        assert_eq!(nearest("mpa"), Some("MPa"));
        assert_eq!(nearest("kgg"), Some("kg"));
        assert_eq!(nearest("ga"), None);
        assert_eq!(nearest("zzzz"), None);
    }
}
