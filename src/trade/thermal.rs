//! Thermal cutting: how small an opening it makes, and how true the part is (ISO 9013, 2017 edition).

use super::origin::Origin;
use super::unit::MICROMETRE;
use crate::fault::Refusal;
use crate::quantity::{Function, Parameter, Value};

/// Tolerance class 1.
pub const CLASS_1: Origin = Origin {
    title: "limit deviations of nominal dimensions, class 1 (laser)",
    source: "ISO 9013:2017, class 1",
    verified: "looked up",
};

/// Tolerance class 2.
pub const CLASS_2: Origin = Origin {
    title: "limit deviations of nominal dimensions, class 2 (plasma, oxy-fuel)",
    source: "ISO 9013:2017, class 2",
    verified: "looked up to 20 mm; over 20 mm from memory",
};

/// Squareness and roughness of the cut.
pub const CUT_FACE: Origin = Origin {
    title: "perpendicularity tolerance u and mean height of profile Rz5",
    source: "ISO 9013, ranges of u and Rz5",
    verified: "ranges 1 to 4 looked up; range 5 from memory",
};

/// Smallest openings.
pub const SMALLEST_OPENING: Origin = Origin {
    title: "smallest sensible thermally cut hole",
    source: "plasma design guides: 1.5 thicknesses; laser and oxy-fuel common practice",
    verified: "plasma looked up; laser and oxy-fuel from memory",
};

/// How a table cuts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Process {
    /// Plasma torch.
    #[default]
    Plasma,
    /// Laser.
    Laser,
    /// Oxy-fuel torch.
    OxyFuel,
}

impl Process {
    /// Every process with its word in tables and recipes.
    pub const ALL: &'static [(Self, &'static str)] = &[
        (Self::Plasma, "plasma"),
        (Self::Laser, "laser"),
        (Self::OxyFuel, "oxy-fuel"),
    ];

    /// Its word in tables and recipes.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Plasma => "plasma",
            Self::Laser => "laser",
            Self::OxyFuel => "oxy-fuel",
        }
    }

    /// Whether its edges are too hard to tap and too tapered for a pin, so that such holes are
    /// finished with a drill or reamer. Common practice, no source.
    #[must_use]
    pub const fn edges_need_drilling(self) -> bool {
        matches!(self, Self::Plasma | Self::OxyFuel)
    }

    /// Width of the smallest opening that comes out well, mm ([`SMALLEST_OPENING`]): 1.5
    /// thicknesses by plasma or oxy-fuel; half a thickness by laser up to 12 mm, one above.
    #[must_use]
    pub fn smallest_opening(self, thickness: f64) -> f64 {
        let factor = match self {
            Self::Plasma | Self::OxyFuel => 1.5,
            Self::Laser if thickness <= 12.0 => 0.5,
            Self::Laser => 1.0,
        };
        factor * thickness
    }
}

/// Upper ends of the ranges of dimension, mm; a dimension on the end belongs to the next range.
const DIMENSIONS: [f64; 8] = [3.0, 10.0, 35.0, 125.0, 315.0, 1000.0, 2000.0, 4000.0];

/// A cell that the standard leaves empty.
const NONE: f64 = f64::NAN;

/// Largest thickness, and plus-or-minus deviation by range of dimension; mm. A thickness on the
/// end belongs to the row.
type Row = (f64, [f64; 8]);

const CLASS_1_ROWS: &[Row] = &[
    (1.0, [0.075, 0.1, 0.1, 0.2, 0.2, 0.3, 0.4, 0.65]),
    (3.15, [0.1, 0.15, 0.2, 0.25, 0.25, 0.35, 0.4, 0.65]),
    (6.3, [0.2, 0.2, 0.25, 0.25, 0.3, 0.4, 0.45, 0.7]),
    (10.0, [NONE, 0.25, 0.3, 0.3, 0.35, 0.45, 0.55, 0.75]),
    (15.0, [NONE, 0.3, 0.35, 0.4, 0.45, 0.55, 0.65, 0.85]),
    (20.0, [NONE, 0.4, 0.4, 0.45, 0.55, 0.75, 0.85, 1.2]),
    (25.0, [NONE, 0.45, 0.5, 0.6, 0.7, 0.9, 1.1, 1.6]),
    (32.0, [NONE, NONE, 0.7, 0.7, 0.8, 1.0, 1.6, 2.25]),
    (50.0, [NONE, NONE, 0.7, 0.7, 0.8, 1.0, 1.6, 2.5]),
    (100.0, [NONE, NONE, 1.3, 1.3, 1.4, 1.7, 2.2, 3.1]),
];

const CLASS_2_ROWS: &[Row] = &[
    (1.0, [0.5, 0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 0.9]),
    (3.15, [0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 1.0, 1.1]),
    (6.3, [0.7, 0.8, 0.9, 0.9, 1.1, 1.2, 1.3, 1.3]),
    (10.0, [NONE, 1.0, 1.1, 1.3, 1.4, 1.5, 1.6, 1.7]),
    (15.0, [NONE, 1.8, 1.8, 1.8, 1.9, 2.3, 3.0, 4.2]),
    (20.0, [NONE, 1.8, 1.8, 1.8, 1.9, 2.3, 3.0, 4.2]),
    (25.0, [NONE, 1.8, 1.8, 1.8, 1.9, 2.3, 3.0, 4.2]),
    (50.0, [NONE, NONE, 1.8, 1.8, 1.9, 2.3, 3.0, 4.2]),
    (100.0, [NONE, NONE, 2.5, 2.5, 2.6, 3.0, 3.7, 4.9]),
];

/// u = constant + slope · a, mm; Rz5 = constant + slope · a, µm; a is the thickness in mm.
/// Ranges 1 to 5; Rz5 has four.
const SQUARENESS: [(f64, f64); 5] = [
    (0.05, 0.003),
    (0.15, 0.007),
    (0.4, 0.01),
    (0.8, 0.02),
    (1.2, 0.035),
];
const ROUGHNESS: [(f64, f64); 4] = [(10.0, 0.6), (40.0, 0.8), (70.0, 1.2), (110.0, 1.8)];

/// Plus-or-minus deviation of a dimension of a cut part, mm.
pub fn deviation(thickness: f64, dimension: f64, class: u32) -> Result<f64, Refusal> {
    let rows = match class {
        1 => CLASS_1_ROWS,
        2 => CLASS_2_ROWS,
        _ => {
            let cause = format!("ISO 9013 has tolerance classes 1 and 2, not {class}");
            return Err(cause.into());
        }
    };
    let row = rows.iter().find(|(upto, _)| thickness <= *upto);
    let column = DIMENSIONS.iter().position(|upto| dimension < *upto);
    match (row, column) {
        (None, _) => Err("the table of ISO 9013 ends at a thickness of 100 mm here".into()),
        (_, None) => Err("the table of ISO 9013 ends below a dimension of 4000 mm here".into()),
        (Some((upto, cells)), Some(column)) if cells[column].is_nan() => {
            let least = cells
                .iter()
                .zip(DIMENSIONS)
                .filter(|(cell, _)| cell.is_nan());
            let from = least.map(|(_, end)| end).fold(0.0, f64::max);
            Err(Refusal::new(format!(
                "ISO 9013 defines no class {class} deviation of dimensions below {from} mm for plate of this thickness, up to {upto} mm"
            )))
        }
        (Some((_, cells)), Some(column)) => Ok(cells[column]),
    }
}

fn line(table: &[(f64, f64)], range: u32, thickness: f64) -> Result<f64, Refusal> {
    let row = range.checked_sub(1).and_then(|row| table.get(row as usize));
    row.map(|(constant, slope)| constant + slope * thickness)
        .ok_or_else(|| format!("ISO 9013 has ranges 1 to {} here, not {range}", table.len()).into())
}

const THICKNESS: Parameter = Parameter::length("thickness").positive();
const RANGE: Parameter = Parameter::count("range", 1);

/// What recipes can ask about thermal cuts.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "iso9013",
        parameters: &[
            THICKNESS,
            Parameter::length("dimension").positive(),
            Parameter::count("class", 1),
        ],
        says: "plus-or-minus deviation of a dimension of a thermally cut part; class 1 (laser) or 2 (plasma, oxy-fuel)",
        source: "ISO 9013:2017",
        call: |given| {
            let (thickness, dimension, class) = given.take()?;
            deviation(thickness, dimension, class).map(Value::length)
        },
    },
    Function {
        name: "cut_squareness",
        parameters: &[RANGE, THICKNESS],
        says: "perpendicularity tolerance u of a cut face by range 1 (best) to 5",
        source: CUT_FACE.source,
        call: |given| {
            let (range, thickness) = given.take()?;
            line(&SQUARENESS, range, thickness).map(Value::length)
        },
    },
    Function {
        name: "cut_roughness",
        parameters: &[RANGE, THICKNESS],
        says: "mean height of profile Rz5 of a cut face by range 1 (best) to 4",
        source: CUT_FACE.source,
        call: |given| {
            let (range, thickness) = given.take()?;
            let micrometres = line(&ROUGHNESS, range, thickness)?;
            Ok(Value::length(micrometres * MICROMETRE))
        },
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn deviations_never_shrink_with_size_or_thickness() {
        for rows in [CLASS_1_ROWS, CLASS_2_ROWS] {
            for (_, cells) in rows {
                let known: Vec<f64> = cells
                    .iter()
                    .copied()
                    .filter(|cell| !cell.is_nan())
                    .collect();
                assert!(known.windows(2).all(|pair| pair[0] <= pair[1]));
            }
            for pair in rows.windows(2) {
                assert!(pair[0].0 < pair[1].0);
                for column in 0..8 {
                    assert!(pair[1].1[column].is_nan() || pair[0].1[column] <= pair[1].1[column]);
                }
            }
        }
    }

    #[test]
    fn an_empty_cell_and_the_ends_of_the_table_are_errors() {
        let empty = |thickness, dimension, class| {
            let refusal = deviation(thickness, dimension, class);
            refusal.expect_err("the cell is empty").to_string()
        };
        assert!(empty(8.0, 2.0, 1).contains("below 3 mm"));
        assert!(empty(30.0, 9.0, 2).contains("below 10 mm"));
        assert!(deviation(101.0, 50.0, 1).is_err());
        assert!(deviation(6.0, 4000.0, 1).is_err());
        assert!(deviation(6.0, 50.0, 3).is_err());
    }
}
