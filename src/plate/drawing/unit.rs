//! The unit of a drawing.

use crate::fault::Refusal;
use crate::geometry::Point;
use crate::quantity::format::{both_units, millimetres};

/// Millimetres of an inch.
const INCH: f64 = 25.4;

/// Codes of units as the published DXF reference has them, and millimetres of each.
const UNITS: [(i32, f64); 6] = [
    (1, INCH),
    (2, 12.0 * INCH),
    (4, 1.0),
    (5, 10.0),
    (6, 1000.0),
    (14, 100.0),
];

/// The unit of a drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Unit {
    /// Millimetres of one.
    pub(super) millimetres: f64,
    /// Whether the drawing names it.
    pub(super) is_named: bool,
    is_of_inches: bool,
}

impl Unit {
    /// The unit of a code; none is millimetres.
    pub(super) fn of_code(code: f64) -> Result<Self, Refusal> {
        let known = UNITS.iter().find(|(known, _)| f64::from(*known) == code);
        match known {
            Some((known, millimetres)) => Ok(Self {
                millimetres: *millimetres,
                is_named: true,
                is_of_inches: *known < 4,
            }),
            None if code == 0.0 => Ok(Self {
                millimetres: 1.0,
                is_named: false,
                is_of_inches: false,
            }),
            None => Err(
                Refusal::new(format!("its unit has the code {code}, which is none of a plate's"))
                    .remedy("set the unit of the drawing to millimetres ($INSUNITS 4) or inches ($INSUNITS 1) and save it again"),
            ),
        }
    }

    /// A length in a sentence.
    pub(super) fn length(self, mm: f64) -> String {
        if self.is_of_inches {
            both_units(mm)
        } else {
            millimetres(mm)
        }
    }

    /// A place in a sentence.
    pub(super) fn place(self, p: Point) -> String {
        format!("x {}, y {}", self.length(p.x), self.length(p.y))
    }
}
