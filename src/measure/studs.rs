//! The pitch circle of studs or holes from a distance between two of them.

use super::Round;
use super::pattern::{Likely, likely};
use crate::fault::Refusal;
use crate::trade::circle;

/// Between which parts of the two studs the reading was taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Jaws {
    /// From centre to centre.
    Centres,
    /// Over their far sides: outside jaws over studs, inside jaws across holes. Diameter of a stud or
    /// hole, mm.
    FarSides(f64),
    /// Between their near sides: inside jaws between studs, or the metal between holes. Diameter of a
    /// stud or hole, mm.
    NearSides(f64),
}

/// Which two studs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pair {
    /// How many studs there are.
    pub studs: u32,
    /// How many of them lie between the two: 0 for neighbours.
    pub skipped: u32,
}

impl Pair {
    /// Checks that there are such two studs.
    pub fn new(studs: u32, skipped: u32) -> Result<Self, Refusal> {
        if studs < 2 {
            return Err("a pitch circle has at least two studs".into());
        }
        if skipped.saturating_add(2) > studs {
            let most = studs - 2;
            let cause = format!("between two of {studs} studs at most {most} are skipped");
            return Err(cause.into());
        }
        Ok(Self { studs, skipped })
    }
}

/// The pitch circle from readings of one distance, each off by at most `off` mm; the stud's own
/// diameter, where it counts, may be as far off.
///
/// Several readings are averaged, and half of what they spread is added to what each may be off.
/// D = distance / sin((skipped + 1) π / n) (Machinery's Handbook).
pub fn pitch_circle(pair: Pair, readings: &[f64], jaws: Jaws, off: f64) -> Result<Round, Refusal> {
    let Some(first) = readings.first() else {
        return Err("give at least one reading".into());
    };
    let (low, high) = readings.iter().fold((*first, *first), |(low, high), it| {
        (low.min(*it), high.max(*it))
    });
    let mean = readings.iter().sum::<f64>() / readings.len() as f64;
    let off = off + (high - low) / 2.0;
    let from = |distance: f64| circle::from_chord(pair.studs, distance, pair.skipped);
    let round = match jaws {
        Jaws::Centres => Round::worked_out(&[mean], off, |r| Some(from(r[0]))),
        Jaws::FarSides(stud) => Round::worked_out(&[mean, stud], off, |r| Some(from(r[0] - r[1]))),
        Jaws::NearSides(stud) => Round::worked_out(&[mean, stud], off, |r| Some(from(r[0] + r[1]))),
    };
    round.ok_or_else(|| {
        Refusal::new("these readings make no circle").remedy("is the stud wider than the reading?")
    })
}

/// The pitch circle from one reading over the far sides and one between the near sides of the same two
/// studs: half their sum is the distance of the centres, whatever the studs' diameter, which comes out
/// too.
pub fn from_both(pair: Pair, far: f64, near: f64, off: f64) -> Result<(Round, f64), Refusal> {
    let from = |distance: f64| circle::from_chord(pair.studs, distance, pair.skipped);
    let round = Round::worked_out(&[far, near], off, |r| {
        (r[0] > r[1]).then(|| from(f64::midpoint(r[0], r[1])))
    });
    let round = round.ok_or("the reading over the far sides must be the larger one")?;
    Ok((round, (far - near) / 2.0))
}

/// Readings between two studs of a circle, as they were taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    /// The readings, mm; several of the same distance are averaged.
    pub readings: Vec<f64>,
    /// How many studs there are.
    pub studs: u32,
    /// How many of them lie between the two.
    pub skipped: u32,
    /// They are over the far sides of studs of this diameter, mm.
    pub over: Option<f64>,
    /// They are between the near sides of studs of this diameter, mm.
    pub between: Option<f64>,
    /// They are over the far sides, and this is between the near sides of the same two, mm.
    pub and_between: Option<f64>,
    /// How far each may be off, mm.
    pub within: f64,
}

/// A pitch circle with what it may be.
#[derive(Debug, Clone, PartialEq)]
pub struct Circled {
    /// The circle.
    pub round: Round,
    /// The diameter of a stud, mm, where it follows from the readings.
    pub stud: Option<f64>,
    /// The wheel patterns that it may be.
    pub found: Likely,
}

impl Readings {
    /// The circle, and the patterns that it may be.
    pub fn circled(&self) -> Result<Circled, Refusal> {
        let pair = Pair::new(self.studs, self.skipped)?;
        let pitch = |jaws| pitch_circle(pair, &self.readings, jaws, self.within);
        let (round, stud) = match (self.over, self.between, self.and_between) {
            (None, None, None) => (pitch(Jaws::Centres)?, None),
            (Some(stud), _, _) => (pitch(Jaws::FarSides(stud))?, None),
            (_, Some(stud), _) => (pitch(Jaws::NearSides(stud))?, None),
            (_, _, Some(near)) => {
                let mean = self.readings.iter().sum::<f64>() / self.readings.len() as f64;
                let (round, stud) = from_both(pair, mean, near, self.within)?;
                (round, Some(stud))
            }
        };
        Ok(Circled {
            round,
            stud,
            found: likely(self.studs, &round),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Factors from a distance to the diameter, computed from sin(180° / n); the 5-stud ones are the
    /// trade's usual 1.701 and 1.051 (from memory).
    #[test]
    fn published_factors_come_out() {
        for (studs, skipped, factor) in [
            (4, 0, std::f64::consts::SQRT_2),
            (5, 0, 1.701_30),
            (8, 0, 2.613_13),
            (5, 1, 1.051_46),
            (4, 1, 1.0),
            (6, 2, 1.0),
            (8, 3, 1.0),
        ] {
            let pair = Pair::new(studs, skipped).expect("a pair");
            let round = pitch_circle(pair, &[1.0], Jaws::Centres, 0.0).expect("a circle");
            assert!((round.diameter - factor).abs() < 2e-5, "{studs} {skipped}");
        }
    }

    #[test]
    fn jaws_over_and_between_studs_come_to_the_same() {
        let pair = Pair::new(5, 0).expect("a pair");
        let chord = circle::chord(5, 114.3);
        let over =
            pitch_circle(pair, &[chord + 12.0], Jaws::FarSides(12.0), 0.05).expect("a circle");
        let between =
            pitch_circle(pair, &[chord - 12.0], Jaws::NearSides(12.0), 0.05).expect("a circle");
        assert!((over.diameter - 114.3).abs() < 1e-9 && (between.diameter - 114.3).abs() < 1e-9);
        assert!((over.within - 2.0 * 0.05 * 1.7013).abs() < 1e-4);
        let (both, stud) = from_both(pair, chord + 12.0, chord - 12.0, 0.05).expect("a circle");
        assert!((both.diameter - 114.3).abs() < 1e-9 && (stud - 12.0).abs() < 1e-9);
        assert!(
            (both.within - 0.05 * 1.7013).abs() < 1e-4,
            "half as uncertain"
        );
    }

    #[test]
    fn readings_that_differ_are_less_certain() {
        let pair = Pair::new(4, 0).expect("a pair");
        let one = pitch_circle(pair, &[70.7], Jaws::Centres, 0.05).expect("a circle");
        let three = pitch_circle(pair, &[70.5, 70.7, 70.9], Jaws::Centres, 0.05).expect("a circle");
        assert!((one.diameter - three.diameter).abs() < 1e-9 && three.within > 4.0 * one.within);
        assert!(Pair::new(5, 4).is_err() && Pair::new(1, 0).is_err());
        assert!(pitch_circle(pair, &[10.0], Jaws::FarSides(12.0), 0.05).is_err());
    }
}
