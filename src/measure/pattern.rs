//! Which wheel pattern a measured pitch circle is.
//!
//! In: studs and a measured circle. Out: the patterns of that many studs within its uncertainty, the
//! next one outside it, and of each whether it is an inch size, or only near one.

use super::Round;
use crate::quantity::format::{decimal, fraction};
use crate::trade::unit::INCH;
use crate::trade::wheel;

/// Inch sizes are multiples of this, inch.
const INCH_STEP: f64 = 0.125;
/// A metric circle this near to an inch size, mm, is easily taken for it.
const EASILY_TAKEN: f64 = 0.75;
/// Circles that differ by less than this, mm, are the same size.
const TWIN: f64 = 1e-6;

/// A pattern that a circle may be.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// `5x114.3`.
    pub name: String,
    /// Its circle, mm.
    pub circle: f64,
    /// Measured less its circle, mm.
    pub off: f64,
    /// Whether it lies within the measurement's uncertainty.
    pub fits: bool,
    /// What it is in inches.
    pub kin: Kin,
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
    if (size - circle).abs() < TWIN {
        Kin::Twin(name)
    } else if (size - circle).abs() < EASILY_TAKEN {
        Kin::NearMiss(name, size)
    } else {
        Kin::None
    }
}

/// Every pattern within the uncertainty, nearest first, and the nearest one outside it.
#[must_use]
pub fn candidates(studs: u32, measured: &Round) -> Vec<Candidate> {
    let mut outside = 0;
    let all = wheel::nearest(studs, measured.diameter).into_iter();
    let all = all.map(|circle| Candidate {
        name: format!("{studs}x{circle}"),
        circle,
        off: measured.diameter - circle,
        fits: (measured.diameter - circle).abs() <= measured.within + TWIN,
        kin: kin(circle),
    });
    all.filter(|candidate| {
        outside += u32::from(!candidate.fits);
        candidate.fits || outside == 1
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn measured(diameter: f64, within: f64) -> Round {
        Round { diameter, within }
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

    #[test]
    fn only_patterns_within_the_uncertainty_fit() {
        let sure = candidates(5, &measured(114.4, 0.15));
        let fitting: Vec<&str> = sure
            .iter()
            .filter(|it| it.fits)
            .map(|it| it.name.as_str())
            .collect();
        assert_eq!(fitting, ["5x114.3"]);
        assert_eq!(sure.last().map(|it| it.name.as_str()), Some("5x115"));
        let unsure = candidates(5, &measured(114.6, 0.5));
        assert_eq!(unsure.iter().filter(|it| it.fits).count(), 2);
        assert!(candidates(7, &measured(100.0, 0.1)).is_empty());
    }
}
