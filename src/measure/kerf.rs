//! The kerf behind a test piece: what was cut, against what should have come out.
//!
//! In: readings of an outer square, an inner square and a slot, their nominal sizes, and the kerf that
//! the paths were offset for. Out: the kerf with its uncertainty, and what each feature says by itself.

use crate::fault::Refusal;

/// What was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Feature {
    /// A size over the outside: it comes out smaller by what the kerf is wider than reckoned.
    Outer,
    /// The side of an opening: it comes out larger by the same.
    Inner,
    /// The width of a slot: likewise.
    Slot,
}

impl Feature {
    /// What it is called.
    #[must_use]
    pub const fn says(self) -> &'static str {
        match self {
            Self::Outer => "outer square",
            Self::Inner => "inner square",
            Self::Slot => "slot",
        }
    }

    /// How much the size grows when the kerf is wider than reckoned by one.
    const fn growth(self) -> f64 {
        match self {
            Self::Outer => -1.0,
            Self::Inner | Self::Slot => 1.0,
        }
    }
}

/// The readings of one feature, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// What was measured.
    pub feature: Feature,
    /// Its size in the drawing.
    pub nominal: f64,
    /// What the caliper said; several readings are averaged.
    pub readings: Vec<f64>,
}

/// What one feature says of the kerf, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Witness {
    /// Which feature.
    pub feature: Feature,
    /// Its size in the drawing.
    pub nominal: f64,
    /// Its size as cut.
    pub measured: f64,
    /// The kerf by this feature alone.
    pub kerf: f64,
}

/// A measured kerf, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Kerf {
    /// The mean of what the features say.
    pub kerf: f64,
    /// How far it may be off: every reading off by as much as it may be, all to the worse side, or
    /// half of what the features differ by, whichever is more.
    pub within: f64,
    /// What the features differ by, the most.
    pub spread: f64,
    /// What each feature says.
    pub witnesses: Vec<Witness>,
}

impl Kerf {
    /// Whether the features differ by more than the caliper can be blamed for.
    #[must_use]
    pub fn disagrees(&self, off: f64) -> bool {
        self.spread > 2.0 * off
    }
}

/// A kerf wider than this, mm, is no kerf but a slip.
const WIDEST: f64 = 12.0;

/// The kerf of a test piece whose paths were offset for a kerf of `cut_with` mm (0 if they were not);
/// each reading may be `off` mm out.
///
/// An outside loses half a kerf on each of its two sides and an opening gains as much, so a kerf wider
/// than reckoned by d makes the outside smaller, and the opening larger, by d (plane geometry).
pub fn kerf(cut_with: f64, readings: &[Reading], off: f64) -> Result<Kerf, Refusal> {
    let witnesses: Vec<Witness> = readings
        .iter()
        .filter(|reading| !reading.readings.is_empty())
        .map(|reading| {
            let measured = reading.readings.iter().sum::<f64>() / reading.readings.len() as f64;
            Witness {
                feature: reading.feature,
                nominal: reading.nominal,
                measured,
                kerf: cut_with + (measured - reading.nominal) * reading.feature.growth(),
            }
        })
        .collect();
    if witnesses.is_empty() {
        return Err("no reading was given".into());
    }
    let each = || witnesses.iter().map(|witness| witness.kerf);
    let kerf = each().sum::<f64>() / witnesses.len() as f64;
    if !(kerf > 0.0 && kerf < WIDEST) {
        let cause = format!("these readings make a kerf of {kerf:.2} mm, which no torch has");
        return Err(cause.into());
    }
    let spread = each().fold(f64::MIN, f64::max) - each().fold(f64::MAX, f64::min);
    Ok(Kerf {
        kerf,
        within: off.max(spread / 2.0),
        spread,
        witnesses,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reading(feature: Feature, nominal: f64, readings: &[f64]) -> Reading {
        Reading {
            feature,
            nominal,
            readings: readings.to_vec(),
        }
    }

    /// Effect of an uncompensated kerf on a finished size: outside 150 cut with 1.8 comes out 148.2, a
    /// hole of 17.5 cut with 1.5 comes out 19.0 (geometry; from memory).
    #[test]
    fn an_uncompensated_kerf_shows_whole() {
        for (feature, nominal, as_cut, wanted) in [
            (Feature::Outer, 150.0, 148.2, 1.8),
            (Feature::Inner, 17.5, 19.0, 1.5),
            (Feature::Slot, 17.5, 19.0, 1.5),
        ] {
            let found = kerf(0.0, &[reading(feature, nominal, &[as_cut])], 0.05).expect("a kerf");
            assert!((found.kerf - wanted).abs() < 1e-12);
            assert!((found.within - 0.05).abs() < 1e-12 && found.spread == 0.0);
        }
    }

    #[test]
    fn only_the_difference_shows_on_a_compensated_piece() {
        // Cut with 1.6; the true kerf is 1.8: outside 0.2 small, openings 0.2 large.
        let readings = [
            reading(Feature::Outer, 70.0, &[69.79, 69.81]),
            reading(Feature::Inner, 30.0, &[30.2]),
            reading(Feature::Slot, 10.0, &[10.22]),
        ];
        let found = kerf(1.6, &readings, 0.05).expect("a kerf");
        assert!((found.kerf - (1.8 + 0.02 / 3.0)).abs() < 1e-9, "{found:?}");
        assert!((found.spread - 0.02).abs() < 1e-9 && !found.disagrees(0.05));
        assert!((found.within - 0.05).abs() < 1e-12);
    }

    #[test]
    fn features_that_disagree_widen_the_uncertainty() {
        let readings = [
            reading(Feature::Outer, 70.0, &[69.7]),
            reading(Feature::Inner, 30.0, &[30.1]),
        ];
        let found = kerf(1.6, &readings, 0.05).expect("a kerf");
        assert!(found.disagrees(0.05));
        assert!((found.kerf - 1.8).abs() < 1e-9 && (found.within - 0.1).abs() < 1e-9);
    }

    #[test]
    fn slips_are_refused() {
        assert!(kerf(1.6, &[], 0.05).is_err());
        let inches = [reading(Feature::Outer, 70.0, &[2.75])];
        assert!(kerf(1.6, &inches, 0.05).is_err());
    }
}
