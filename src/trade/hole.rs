//! How true a hole is by the way it is made: how far its middle may be off, and how its diameter may differ.

use super::origin::Origin;
use super::thermal::{self, Process};
use crate::fault::Refusal;

/// Diameters of drilled holes.
pub const IT13: Origin = Origin {
    title: "standard tolerance grade IT13, as of a drilled hole H13",
    source: "ISO 286-1:2010 Table 1",
    verified: "from memory",
};

/// Places of drilled holes.
pub const TO_A_MARK: Origin = Origin {
    title: "how far a hole that is drilled by hand to a mark may be off",
    source: "common practice, no source",
    verified: "from memory",
};

/// How far a hole may be off that is centre-punched at a mark of the table or of a template and drilled by hand, mm
/// ([`TO_A_MARK`]).
pub const DRILLED_OFF: f64 = 0.3;

/// Diameters up to (mm), tolerance (mm).
const IT13_ROWS: &[(f64, f64)] = &[
    (3.0, 0.14),
    (6.0, 0.18),
    (10.0, 0.22),
    (18.0, 0.27),
    (30.0, 0.33),
    (50.0, 0.39),
    (80.0, 0.46),
    (120.0, 0.54),
];

/// How true a hole is.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Trueness {
    /// How far its middle may be from where it is meant, mm.
    pub off: f64,
    /// How much narrower and how much wider it may be in diameter, mm.
    pub diameter: (f64, f64),
}

impl Trueness {
    /// A hole of a diameter (mm) that is used as the table cuts it, in plate of a thickness (mm), one of a
    /// pattern as long as `span` from hole to hole (mm): ISO 9013, class 1 by laser, else 2. The deviation of that
    /// length is shared by the two holes at its ends.
    pub fn cut(
        process: Process,
        thickness: f64,
        diameter: f64,
        span: f64,
    ) -> Result<Self, Refusal> {
        let class = match process {
            Process::Laser => 1,
            Process::Plasma | Process::OxyFuel => 2,
        };
        let wide = thermal::deviation(thickness, diameter, class)?;
        let long = thermal::deviation(thickness, span.max(diameter), class)?;
        Ok(Self {
            off: long / 2.0,
            diameter: (wide, wide),
        })
    }

    /// One that is drilled by hand to a mark: never narrower than its drill.
    #[must_use]
    pub fn drilled(diameter: f64) -> Self {
        let row = IT13_ROWS.iter().find(|(upto, _)| diameter <= *upto);
        let wider = row.or(IT13_ROWS.last()).map_or(0.0, |(_, it)| *it);
        Self {
            off: DRILLED_OFF,
            diameter: (0.0, wider),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 286-1:2010 Table 1, over 10 up to 18 mm: IT13 is 0.27 mm (from memory). ISO 9013:2017 class 2, plate over 3.15
    /// up to 6.3 mm: 0.9 mm from 35 to 125 mm and from 10 to 35 mm (looked up, see `thermal`).
    #[test]
    fn holes_are_as_true_as_they_are_made() {
        let drilled = Trueness::drilled(13.5);
        assert_eq!((drilled.off, drilled.diameter), (0.3, (0.0, 0.27)));
        let cut = Trueness::cut(Process::Plasma, 6.0, 13.5, 100.0).expect("in the table");
        assert_eq!((cut.off, cut.diameter), (0.45, (0.9, 0.9)));
        let laser = Trueness::cut(Process::Laser, 6.0, 13.5, 100.0).expect("in the table");
        assert!(laser.off < cut.off && laser.diameter.0 < cut.diameter.0);
        assert!(Trueness::cut(Process::Plasma, 200.0, 13.5, 100.0).is_err());
    }
}
