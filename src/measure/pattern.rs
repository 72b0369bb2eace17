//! Which wheel pattern a measured pitch circle is.
//!
//! In: studs and a measured circle. Out: the patterns of that many studs, the likeliest first, each with
//! how likely it is and whether it is an inch size or only near one; and how likely it is none of them.

use super::Round;
use crate::elementary;
use crate::geometry::Tolerance;
use crate::quantity::format::{decimal, fraction};
use crate::trade::unit::INCH;
use crate::trade::wheel;

/// Inch sizes are multiples of this, inch.
const INCH_STEP: f64 = 0.125;
/// A metric circle this near to an inch size, mm, is easily taken for it.
const EASILY_TAKEN: f64 = 0.75;
/// One wheel in so many has a circle that no table lists: common practice, no source.
pub const UNLISTED: f64 = 20.0;
/// Such a circle lies anywhere over a range of this many mm.
const UNLISTED_RANGE: f64 = 200.0;
/// Patterns less likely than this are told only as the next after the likeliest.
const WORTH_TELLING: f64 = 0.01;

/// A pattern that a circle may be.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// `5x114.3`.
    pub name: String,
    /// Its circle, mm.
    pub circle: f64,
    /// Measured less its circle, mm.
    pub off: f64,
    /// How likely it is, 0 to 1.
    pub probability: f64,
    /// What it is in inches.
    pub kin: Kin,
}

/// Which pattern a circle may be.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Likely {
    /// The likeliest patterns, at least the first two.
    pub patterns: Vec<Candidate>,
    /// How likely it is that the circle is in no table, 0 to 1.
    pub unlisted: f64,
}

/// What a circle in mm is to inch sizes.
#[derive(Debug, Clone, PartialEq)]
pub enum Kin {
    /// The same circle by another name: `4-1/2 in`.
    Twin(String),
    /// Not this inch size, though near: its name, and its circle in mm.
    NearMiss(String, f64),
    /// Nowhere near one.
    None,
}

/// What a circle in mm is to the inch sizes of the trade.
#[must_use]
pub fn kin(circle: f64) -> Kin {
    let inches = (circle / INCH / INCH_STEP).round() * INCH_STEP;
    let size = inches * INCH;
    let name = fraction(inches).map_or_else(
        || format!("{} in", decimal(inches, 3)),
        |it| format!("{it} in"),
    );
    if (size - circle).abs() < Tolerance::SAME {
        Kin::Twin(name)
    } else if (size - circle).abs() < EASILY_TAKEN {
        Kin::NearMiss(name, size)
    } else {
        Kin::None
    }
}

/// Which of the patterns with so many studs a circle is, by Bayes' rule: readings err normally, all listed
/// patterns are as common as one another, and few wheels have another.
#[must_use]
pub fn likely(studs: u32, measured: &Round) -> Likely {
    let circles = wheel::nearest(studs, measured.diameter);
    if circles.is_empty() {
        return Likely::default();
    }
    let deviation = measured.deviation.max(Tolerance::SAME);
    let density = |off: f64| {
        let off = off / deviation;
        elementary::exp(-off * off / 2.0) / (deviation * std::f64::consts::TAU.sqrt())
    };
    let each = (1.0 - 1.0 / UNLISTED) / circles.len() as f64;
    let unlisted = 1.0 / UNLISTED / UNLISTED_RANGE;
    let weights: Vec<f64> = circles
        .iter()
        .map(|circle| each * density(measured.diameter - circle))
        .collect();
    let all = weights.iter().sum::<f64>() + unlisted;
    let patterns = circles.iter().zip(weights).enumerate();
    let patterns = patterns.filter_map(|(place, (&circle, weight))| {
        let probability = weight / all;
        (place < 2 || probability >= WORTH_TELLING).then(|| Candidate {
            name: format!("{studs}x{circle}"),
            circle,
            off: measured.diameter - circle,
            probability,
            kin: kin(circle),
        })
    });
    Likely {
        patterns: patterns.collect(),
        unlisted: unlisted / all,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn measured(diameter: f64, deviation: f64) -> Round {
        Round {
            diameter,
            within: 2.0 * deviation,
            deviation,
        }
    }

    /// Inch-native patterns and their near misses, common practice: 108 mm is 4.2520 in and 4-1/4 in
    /// is 107.95 mm; 5x115 is 4.5276 in.
    #[test]
    fn twins_are_told_from_near_misses() {
        for (circle, name) in [
            (101.6, "4 in"),
            (114.3, "4-1/2 in"),
            (120.65, "4-3/4 in"),
            (127.0, "5 in"),
            (139.7, "5-1/2 in"),
            (165.1, "6-1/2 in"),
        ] {
            assert_eq!(kin(circle), Kin::Twin(name.to_owned()));
        }
        let Kin::NearMiss(name, size) = kin(108.0) else {
            panic!("108 mm is near 4-1/4 in");
        };
        assert_eq!(name, "4-1/4 in");
        assert!((size - 107.95).abs() < 1e-9);
        assert!(matches!(kin(115.0), Kin::NearMiss(name, _) if name == "4-1/2 in"));
        assert_eq!(kin(112.0), Kin::None);
    }

    fn told(found: &Likely) -> Vec<(&str, i64)> {
        let told = found.patterns.iter();
        told.map(|it| (it.name.as_str(), (100.0 * it.probability).round() as i64))
            .collect()
    }

    /// 0.13 mm off is no reason to name none. Weights by hand: normal densities 0.13 and 0.57 mm off at a
    /// deviation of 0.0425 mm, each its share of 0.95 of the prior, beside 0.05 over 200 mm.
    #[test]
    fn a_circle_a_little_off_is_still_the_pattern_it_is_near() {
        let near = likely(5, &measured(114.43, 0.0425));
        let listed = wheel::nearest(5, 114.43).len() as f64;
        let first = 0.95 / listed * 0.398_942 / 0.0425 * (-0.5 * (0.13_f64 / 0.0425).powi(2)).exp();
        let expected = first / (first + 0.05 / 200.0);
        assert!(
            (near.patterns[0].probability - expected).abs() < 1e-4,
            "{near:?}"
        );
        assert_eq!(told(&near), [("5x114.3", 94), ("5x115", 0)]);
        assert!((near.patterns[0].probability + near.unlisted - 1.0).abs() < 1e-6);
    }

    #[test]
    fn a_coarse_reading_leaves_both_and_a_far_one_none() {
        let between = likely(5, &measured(114.65, 0.25));
        assert_eq!(told(&between), [("5x115", 50), ("5x114.3", 50)]);
        let surer = likely(5, &measured(114.5, 0.25));
        assert_eq!(surer.patterns[0].name, "5x114.3");
        assert!(surer.patterns[0].probability > 2.0 * surer.patterns[1].probability);
        let far = likely(5, &measured(146.0, 0.1));
        assert!(far.unlisted > 0.999, "{far:?}");
        assert_eq!(likely(7, &measured(100.0, 0.1)), Likely::default());
    }
}
