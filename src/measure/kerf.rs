//! The kerf behind a test piece: what was cut, against what should have come out.
//!
//! In: readings of an outer square, an inner square and a slot, their nominal sizes, and the kerf that
//! the paths were offset for. Out: the kerf with its uncertainty, and what each feature says by itself; or
//! which reading is the odd one out.

use crate::fault::Refusal;
use crate::geometry::Tolerance;
use crate::quantity::format::decimal;

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
    /// How far it may be off: every reading off by as much as it may be, all to the worse side.
    pub within: f64,
    /// What the readings differ by, the most.
    pub spread: f64,
    /// What each feature says.
    pub witnesses: Vec<Witness>,
}

/// A kerf wider than this, mm, is no kerf but a slip.
const WIDEST: f64 = 12.0;
/// A kerf that may be off by more than this share of itself is not known.
const KNOWN: f64 = 0.5;
/// An edge that was cut with heat is no rougher than this, mm, so a caliper on it is off by no more:
/// common practice, no source.
const ROUGHEST: f64 = 0.25;
/// What one reading says of the kerf, mm.
#[derive(Clone, Copy)]
struct Single<'a> {
    of: &'a Reading,
    value: f64,
    kerf: f64,
}

impl Single<'_> {
    /// `the outer square's 68.8 mm`.
    fn name(&self) -> String {
        format!(
            "the {}'s {} mm",
            self.of.feature.says(),
            decimal(self.value, 3)
        )
    }

    /// Between what this reading would have to be for a kerf between two.
    fn would_be(&self, (low, high): (f64, f64), cut_with: f64) -> String {
        let at = |kerf: f64| self.of.nominal + (kerf - cut_with) * self.of.feature.growth();
        let (a, b) = (at(low), at(high));
        let step = if high - low > 0.1 { 0.01 } else { 0.001 };
        let up = (a.min(b) / step - Tolerance::ROUNDING).ceil() * step;
        let down = (a.max(b) / step + Tolerance::ROUNDING).floor() * step;
        format!("{} to {} mm", decimal(up, 3), decimal(down, 3))
    }
}

/// The kerf of a test piece whose paths were offset for a kerf of `cut_with` mm (0 if they were not);
/// each reading may be `off` mm out. Readings that differ by more than both can be off are refused.
///
/// An outside loses half a kerf on each of its two sides and an opening gains as much, so a kerf wider
/// than reckoned by d makes the outside smaller, and the opening larger, by d (plane geometry).
pub fn kerf(cut_with: f64, readings: &[Reading], off: f64) -> Result<Kerf, Refusal> {
    let says = |of: &Reading, value: f64| cut_with + (value - of.nominal) * of.feature.growth();
    let singles: Vec<Single<'_>> = readings
        .iter()
        .flat_map(|of| of.readings.iter().map(move |value| (of, *value)))
        .map(|(of, value)| Single {
            of,
            value,
            kerf: says(of, value),
        })
        .collect();
    let Some((low, high)) = range(&singles) else {
        return Err("no reading was given".into());
    };
    if high - low > 2.0 * off + Tolerance::ROUNDING {
        return Err(disagreement(&singles, cut_with, off));
    }
    let read = readings.iter().filter(|of| !of.readings.is_empty());
    let witnesses: Vec<Witness> = read
        .map(|of| {
            let measured = of.readings.iter().sum::<f64>() / of.readings.len() as f64;
            Witness {
                feature: of.feature,
                nominal: of.nominal,
                measured,
                kerf: says(of, measured),
            }
        })
        .collect();
    let kerf = witnesses.iter().map(|it| it.kerf).sum::<f64>() / witnesses.len() as f64;
    let slip = "look at the units, and at which reading is which";
    if !(kerf > 0.0 && kerf < WIDEST) {
        let message = format!("these readings make a kerf of {kerf:.2} mm, which no torch has");
        return Err(Refusal::new(message).remedy(slip));
    }
    if off > KNOWN * kerf {
        let message = format!("a kerf of {kerf:.2} mm that may be {off:.2} mm off is not known");
        return Err(Refusal::new(message).remedy("measure more finely, and say so with --within"));
    }
    Ok(Kerf {
        kerf,
        within: off,
        spread: high - low,
        witnesses,
    })
}

/// The least and the largest kerf that readings make.
fn range(singles: &[Single<'_>]) -> Option<(f64, f64)> {
    let each = || singles.iter().map(|it| it.kerf);
    let low = each().min_by(f64::total_cmp)?;
    Some((low, each().max_by(f64::total_cmp)?))
}

/// What is said of readings that cannot all be right: which one it is, if the others agree, and what it
/// would have to be.
fn disagreement(singles: &[Single<'_>], cut_with: f64, off: f64) -> Refusal {
    let agreeing = |(low, high): (f64, f64)| (high - 2.0 * off, low + 2.0 * off);
    let without = |index: usize| {
        let mut rest = singles.to_vec();
        rest.remove(index);
        range(&rest).filter(|(low, high)| high - low <= 2.0 * off + Tolerance::ROUNDING)
    };
    let mm = |kerf: f64| decimal(kerf, 2);
    // Of several that could be it, the one farthest from the others.
    let odd = (0..singles.len())
        .filter_map(|index| Some((singles[index], without(index)?)))
        .max_by(|(a, from), (b, of)| {
            let apart =
                |kerf: f64, (low, high): (f64, f64)| (kerf - f64::midpoint(low, high)).abs();
            apart(a.kerf, *from).total_cmp(&apart(b.kerf, *of))
        });
    let refusal = match (singles, odd) {
        ([a, b], _) => Refusal::new(format!(
            "the readings disagree: {} makes a kerf of {} mm, {} one of {} mm",
            a.name(),
            mm(a.kerf),
            b.name(),
            mm(b.kerf)
        ))
        .remedy(format!(
            "measure both again: to agree, the first would have to be {}, or the second {}",
            a.would_be(agreeing((b.kerf, b.kerf)), cut_with),
            b.would_be(agreeing((a.kerf, a.kerf)), cut_with)
        )),
        (_, Some((odd, rest))) => Refusal::new(format!(
            "the readings disagree: {} makes a kerf of {} mm, the others make {} mm",
            odd.name(),
            mm(odd.kerf),
            if mm(rest.0) == mm(rest.1) {
                mm(rest.0)
            } else {
                format!("{} to {}", mm(rest.0), mm(rest.1))
            }
        ))
        .remedy(format!(
            "measure that one again: to agree it would have to be {}",
            odd.would_be(agreeing(rest), cut_with)
        )),
        (_, None) => {
            let (low, high) = range(singles).unwrap_or_default();
            Refusal::new(format!(
                "the readings disagree: they make kerfs of {} to {} mm, and no one of them is the odd one out",
                mm(low),
                mm(high)
            ))
            .remedy("measure all of them again, each at the middle of its side")
        }
    };
    let needed = range(singles).map_or(0.0, |(low, high)| (high - low) / 2.0);
    if needed > ROUGHEST {
        return refusal;
    }
    let enough = (needed * 100.0 - Tolerance::ROUNDING).ceil() / 100.0;
    let remedy = refusal.remedy.clone().unwrap_or_default();
    refusal.remedy(format!(
        "{remedy}; if the edges are that rough, say so with --within {}mm",
        decimal(enough, 2)
    ))
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
        assert!((found.spread - 0.03).abs() < 1e-9, "{found:?}");
        assert!((found.within - 0.05).abs() < 1e-12);
    }

    /// One figure mistyped (68.8 for 69.8) once made a kerf of 2.2 within 0.6, and was written down.
    #[test]
    fn the_odd_reading_is_named_and_what_it_would_have_to_be_agrees() {
        let readings = |outer: f64| {
            [
                reading(Feature::Outer, 70.0, &[outer]),
                reading(Feature::Inner, 30.0, &[30.2]),
                reading(Feature::Slot, 10.0, &[10.24]),
            ]
        };
        let refused = kerf(1.6, &readings(68.8), 0.05).expect_err("one is mistyped");
        assert_eq!(
            refused.message,
            "the readings disagree: the outer square's 68.8 mm makes a kerf of 2.8 mm, the others make 1.8 to 1.84 mm"
        );
        let remedy = refused.remedy.expect("a remedy");
        // Kerfs of 1.74 to 1.9 differ from 1.8 and from 1.84 by no more than 0.1.
        assert!(
            remedy.contains("69.7 to 69.86 mm") && !remedy.contains("--within"),
            "{remedy}"
        );
        for outer in [69.7, 69.86] {
            assert!(kerf(1.6, &readings(outer), 0.05).is_ok(), "{outer}");
        }
        assert!(kerf(1.6, &readings(69.69), 0.05).is_err());
        assert!(kerf(1.6, &readings(69.87), 0.05).is_err());
    }

    #[test]
    fn one_of_several_readings_of_a_feature_may_be_the_odd_one() {
        let readings = [
            reading(Feature::Outer, 70.0, &[69.8, 69.82, 96.8]),
            reading(Feature::Slot, 10.0, &[10.2]),
        ];
        let refused = kerf(1.6, &readings, 0.05)
            .expect_err("one is mistyped")
            .message;
        assert!(refused.contains("the outer square's 96.8 mm"), "{refused}");
    }

    #[test]
    fn of_two_readings_either_may_be_wrong_and_rough_edges_may_be_said() {
        let readings = [
            reading(Feature::Outer, 70.0, &[69.7]),
            reading(Feature::Inner, 30.0, &[30.1]),
        ];
        let remedy = kerf(1.6, &readings, 0.05).expect_err("0.2 apart").remedy;
        let remedy = remedy.expect("a remedy");
        for words in ["69.8 to 70 mm", "30.2 to 30.4 mm", "--within 0.1mm"] {
            assert!(remedy.contains(words), "{remedy}");
        }
        let found = kerf(1.6, &readings, 0.1).expect("as rough as said");
        assert!((found.kerf - 1.8).abs() < 1e-9 && (found.within - 0.1).abs() < 1e-9);
        let none = [
            reading(Feature::Outer, 70.0, &[69.7]),
            reading(Feature::Inner, 30.0, &[30.1]),
            reading(Feature::Slot, 10.0, &[10.5]),
        ];
        let message = kerf(1.6, &none, 0.05).expect_err("no two agree").message;
        assert!(
            message.contains("no one of them is the odd one out"),
            "{message}"
        );
    }

    #[test]
    fn a_kerf_that_may_be_nearly_anything_is_not_known() {
        let readings = [reading(Feature::Outer, 70.0, &[66.0])];
        assert!(kerf(1.6, &readings, 2.55).is_ok());
        assert!(kerf(1.6, &readings, 3.0).is_err());
    }

    #[test]
    fn slips_are_refused() {
        assert!(kerf(1.6, &[], 0.05).is_err());
        let inches = [reading(Feature::Outer, 70.0, &[2.75])];
        assert!(kerf(1.6, &inches, 0.05).is_err());
    }
}
