//! Pipe and tube: outside diameters and walls by nominal size.

use super::origin::Origin;
use super::scan::{self, Scan};
use super::unit::INCH;
use crate::fault::Refusal;
use crate::quantity::{Function, Parameter, Value};

/// Inch pipe.
pub const NPS: Origin = Origin {
    title: "pipe outside diameter and schedule 40 wall by nominal size",
    source: "ASME B36.10M",
    verified: "1/4, 3/8, 3/4 to 1-1/2, 2-1/2, 3, 4 looked up; 1/8, 1/2, 2, 3-1/2 and over 4 from memory",
};

/// Metric tube.
pub const EN_TUBE: Origin = Origin {
    title: "metric tube outside diameters by nominal size",
    source: "EN 10220 series 1 / EN 10255",
    verified: "from memory",
};

/// Slack when comparing nominal sizes, inch.
const SAME: f64 = 1e-6;

/// Nominal size, its figure, outside diameter, schedule 40 wall; inch.
const PIPES: &[(&str, f64, f64, f64)] = &[
    ("1/8", 0.125, 0.405, 0.068),
    ("1/4", 0.25, 0.540, 0.088),
    ("3/8", 0.375, 0.675, 0.091),
    ("1/2", 0.5, 0.840, 0.109),
    ("3/4", 0.75, 1.050, 0.113),
    ("1", 1.0, 1.315, 0.133),
    ("1-1/4", 1.25, 1.660, 0.140),
    ("1-1/2", 1.5, 1.900, 0.145),
    ("2", 2.0, 2.375, 0.154),
    ("2-1/2", 2.5, 2.875, 0.203),
    ("3", 3.0, 3.500, 0.216),
    ("3-1/2", 3.5, 4.000, 0.226),
    ("4", 4.0, 4.500, 0.237),
    ("5", 5.0, 5.563, 0.258),
    ("6", 6.0, 6.625, 0.280),
    ("8", 8.0, 8.625, 0.322),
    ("10", 10.0, 10.750, 0.365),
    ("12", 12.0, 12.750, 0.406),
];

/// Nominal size DN and outside diameter, mm.
const TUBES: &[(u32, f64)] = &[
    (6, 10.2),
    (8, 13.5),
    (10, 17.2),
    (15, 21.3),
    (20, 26.9),
    (25, 33.7),
    (32, 42.4),
    (40, 48.3),
    (50, 60.3),
    (65, 76.1),
    (80, 88.9),
    (100, 114.3),
    (125, 139.7),
    (150, 168.3),
    (200, 219.1),
    (250, 273.0),
    (300, 323.9),
];

/// Outside diameter and schedule 40 wall of a nominal pipe size, mm.
pub fn pipe(nominal: &str) -> Result<(f64, f64), Refusal> {
    let none = || Refusal::new(format!("no pipe of nominal size \"{nominal}\""));
    let size =
        nominal_inches(nominal).ok_or_else(|| none().remedy("write it as \"1-1/2\" or \"3/4\""))?;
    let row = PIPES.iter().find(|row| (row.1 - size).abs() < SAME);
    row.map(|row| (row.2 * INCH, row.3 * INCH)).ok_or_else(|| {
        let near = scan::neighbours(PIPES.iter().map(|row| (row.0, row.1)), size);
        none().remedy(format!("the nearest are {near}"))
    })
}

/// The figure of a nominal size, inch: `1-1/2`, `NPS 3/4`, `2 in`.
fn nominal_inches(text: &str) -> Option<f64> {
    let plain = scan::plain(text);
    let mut scan = Scan(&plain);
    scan.word(&["nps"]);
    let size = scan.size()?;
    let unit = match scan.word(&["mm", "inches", "inch", "in", "\""]) {
        Some("mm") => INCH,
        _ => 1.0,
    };
    scan.is_done().then_some(size / unit)
}

/// Outside diameter of a metric tube by its DN, mm.
pub fn tube(dn: u32) -> Result<f64, Refusal> {
    let row = TUBES.iter().find(|row| row.0 == dn);
    row.map(|row| row.1).ok_or_else(|| {
        let names: Vec<String> = TUBES.iter().map(|row| row.0.to_string()).collect();
        Refusal::new(format!("no tube DN {dn}")).remedy(format!("there are {}", names.join(", ")))
    })
}

const NOMINAL: &[Parameter] = &[Parameter::words("nps")];

/// What recipes can ask about pipe and tube.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "pipe_outside",
        parameters: NOMINAL,
        says: "outside diameter of a pipe by nominal size: pipe_outside(\"1-1/2\") is 1.900 in",
        source: NPS.source,
        call: |given| Ok(Value::length(pipe(given.one()?)?.0)),
    },
    Function {
        name: "pipe_wall",
        parameters: NOMINAL,
        says: "wall of a schedule 40 pipe by nominal size",
        source: NPS.source,
        call: |given| Ok(Value::length(pipe(given.one()?)?.1)),
    },
    Function {
        name: "tube_outside",
        parameters: &[Parameter::count("dn", 1)],
        says: "outside diameter of a metric tube by its DN: tube_outside(40) is 48.3 mm",
        source: EN_TUBE.source,
        call: |given| tube(given.one()?).map(Value::length),
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_nominal_size_may_carry_its_mark() {
        for text in [
            "1-1/2",
            "1-1/2\"",
            "1 1/2 in",
            "NPS 1-1/2",
            "1.5",
            "38.1 mm",
        ] {
            let outside = pipe(text).map(|(outside, _)| outside);
            assert_eq!(outside, Ok(1.9 * INCH), "{text}");
        }
    }

    #[test]
    fn names_agree_with_their_figures() {
        for (name, figure, ..) in PIPES {
            assert_eq!(scan::size(name), Some(*figure));
        }
    }

    #[test]
    fn a_size_between_rows_names_both() {
        let message = pipe("7").expect_err("there is no such pipe").to_string();
        assert!(message.contains("6 and 8"), "{message}");
    }
}
