//! The unit of a drawing.

use crate::fault::Refusal;
use crate::geometry::{Bounds, Point};
use crate::quantity::format::{both_units, decimal, millimetres};
use crate::recipe::words::DrawingUnit;

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

/// Millimetres of a pixel and of a point, as CSS has them.
pub(super) const PIXEL: f64 = INCH / 96.0;
const POINT: f64 = INCH / 72.0;

/// A size that is known is met if it is missed by no more than this share: readings of a tape are that good,
/// and units lie further apart.
const MET: f64 = 0.01;

/// The unit of a drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Unit {
    code: i32,
    /// Millimetres of one, on the plate.
    pub(super) millimetres: f64,
    /// How often larger than drawn the plate is.
    scale: f64,
}

/// The code of units that a page has.
const PAGE: i32 = 99;

impl Unit {
    /// What a drawing is in that names no unit.
    pub(super) const USUAL: Self = Self {
        code: 4,
        millimetres: 1.0,
        scale: 1.0,
    };

    /// The unit of a code; `None` if it stands for none.
    pub(super) fn of_code(code: f64) -> Result<Option<Self>, Refusal> {
        let known = UNITS.iter().find(|(known, _)| f64::from(*known) == code);
        match known {
            Some(&(code, millimetres)) => Ok(Some(Self {
                code,
                millimetres,
                scale: 1.0,
            })),
            None if code == 0.0 => Ok(None),
            None => Err(
                Refusal::new(format!("its unit has the code {code}, which is none of a plate's"))
                    .remedy("set the unit of the drawing to millimetres ($INSUNITS 4) or inches ($INSUNITS 1) and save it again"),
            ),
        }
    }

    /// The unit of a word.
    pub(super) fn of_word(word: DrawingUnit) -> Self {
        let (code, millimetres) = match word {
            DrawingUnit::Inches => UNITS[0],
            DrawingUnit::Feet => UNITS[1],
            DrawingUnit::Millimetres => UNITS[2],
            DrawingUnit::Centimetres => UNITS[3],
            DrawingUnit::Metres => UNITS[4],
            DrawingUnit::Pixels => (PAGE, PIXEL),
            DrawingUnit::Points => (PAGE, POINT),
        };
        Self {
            code,
            millimetres,
            scale: 1.0,
        }
    }

    /// The same for a plate so many times as large as it is drawn.
    pub(super) fn enlarged(self, scale: f64) -> Self {
        Self {
            millimetres: self.millimetres * scale,
            scale,
            ..self
        }
    }

    /// One of a page, of so many millimetres.
    pub(super) const fn of_page(millimetres: f64) -> Self {
        Self {
            code: PAGE,
            millimetres,
            scale: 1.0,
        }
    }

    /// Its word in recipes and on the command line, if it has one.
    fn word(self) -> Option<&'static str> {
        let mut words = DrawingUnit::ALL.iter();
        let word = words.find(|it| Self::of_word(it.0).enlarged(self.scale) == self);
        word.map(|(_, word)| *word)
    }

    /// What it is called in a sentence.
    pub(super) fn name(self) -> &'static str {
        match self.word() {
            Some("mm") => "millimetres",
            Some("cm") => "centimetres",
            Some("m") => "metres",
            Some("in") => "inches",
            Some("ft") => "feet",
            Some("px") => "pixels",
            Some(_) => "points",
            None if self.code == PAGE => "units of its page",
            None => "decimetres",
        }
    }

    /// A length in a sentence.
    pub(super) fn length(self, mm: f64) -> String {
        if matches!(self.code, 1 | 2) {
            both_units(mm)
        } else {
            millimetres(mm)
        }
    }

    /// A place of the drawing in a sentence, given where it is on the plate.
    pub(super) fn place(self, p: Point) -> String {
        let drawn = |mm: f64| self.length(mm / self.scale);
        format!("x {}, y {}", drawn(p.x), drawn(p.y))
    }
}

/// Overall sizes that the builder knows, mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct KnownSize {
    /// Along x.
    pub width: Option<f64>,
    /// Along y.
    pub height: Option<f64>,
}

impl KnownSize {
    /// Whether anything is known.
    pub(super) const fn is_any(self) -> bool {
        self.width.is_some() || self.height.is_some()
    }

    /// Whether what a drawing bounds, times a factor, is as large as it is known to be.
    fn is_met(self, bounds: Bounds, factor: f64) -> bool {
        let is = |known: Option<f64>, has: f64| {
            known.is_none_or(|known| (has * factor - known).abs() <= MET * known)
        };
        is(self.width, bounds.width()) && is(self.height, bounds.height())
    }

    /// The unit in which a drawing that bounds so much in another is as large as it is known to be.
    pub(super) fn unit(self, bounds: Bounds, unit: Unit) -> Option<Unit> {
        let all = DrawingUnit::ALL
            .iter()
            .map(|(word, _)| Unit::of_word(*word).enlarged(unit.scale));
        let factor = |it: &Unit| it.millimetres / unit.millimetres;
        let mut met = all.filter(|it| self.is_met(bounds, factor(it)));
        met.next()
    }

    /// Refuses a drawing that is not as large as it is known to be.
    pub(super) fn check(self, bounds: Bounds, unit: Unit) -> Result<(), Refusal> {
        if self.is_met(bounds, 1.0) {
            return Ok(());
        }
        let refusal = Refusal::new(format!("in {} it is {}", unit.name(), extents(bounds, 1.0)));
        let refusal = refusal.reworded(|it| format!("{it}, and not as large as it is known to be"));
        Err(match self.unit(bounds, unit) {
            Some(other) => {
                let (name, word) = (other.name(), other.word().unwrap_or_default());
                refusal.remedy(format!(
                    "in {name} it would be that large: write unit = \"{word}\""
                ))
            }
            None => {
                refusal.remedy("measure again, have it drawn anew, or give the `scale` that it is drawn to: no unit makes it that large")
            }
        })
    }
}

/// What is said of a drawing that names no unit, from what it bounds in millimetres.
pub(super) fn asked(bounds: Bounds, other: DrawingUnit) -> Refusal {
    let other = Unit::of_word(other);
    let (mm, size) = (extents(bounds, 1.0), extents(bounds, other.millimetres));
    let (name, word) = (other.name(), other.word().unwrap_or_default());
    let message =
        format!("it does not say what unit it is in: in millimetres it is {mm}, in {name} {size}");
    Refusal::new(message).remedy(format!(
        "say which: unit = \"mm\" or unit = \"{word}\" in the file, --unit mm or --unit {word} on the command line"
    ))
}

/// `80 × 40 mm`.
pub(super) fn extents(bounds: Bounds, factor: f64) -> String {
    let size = |mm: f64| decimal(mm * factor, 1);
    format!("{} × {} mm", size(bounds.width()), size(bounds.height()))
}
