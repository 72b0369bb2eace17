//! Quantities as people read them. The only place that rounds.

use super::{Dimension, Quantity, Value};
use crate::elementary;

/// Two amounts this close, relative to the larger, count as equal in comparisons and counts.
const RELATIVE_TOLERANCE: f64 = 1e-9;
/// Two amounts this close count as equal whatever their size: the noise of a difference that
/// should be 0.
const ABSOLUTE_TOLERANCE: f64 = 1e-11;

/// What a printed quantity of this dimension may be off, base units: of lengths half of a thousandth of an
/// inch. A limit that is missed by less reads as kept, and what is said of it would contradict itself.
#[must_use]
pub const fn printed_slack(dimension: Dimension) -> f64 {
    const HALF_STEP: f64 = 0.0005;
    match dimension {
        Dimension::LENGTH => HALF_STEP * 25.4,
        Dimension::ANGLE => HALF_STEP * std::f64::consts::PI / 180.0,
        Dimension::NONE => HALF_STEP,
        _ => 0.0,
    }
}

/// Whether two amounts are equal but for rounding.
#[must_use]
pub fn nearly_equal(a: f64, b: f64) -> bool {
    let gap = (a - b).abs();
    gap <= ABSOLUTE_TOLERANCE || gap <= RELATIVE_TOLERANCE * a.abs().max(b.abs())
}

/// The unit that people read a dimension in, and one of it in base units; `None` for a plain number
/// and for dimensions that have no usual unit.
#[must_use]
pub fn usual_unit(dimension: Dimension) -> Option<(&'static str, f64)> {
    Some(match dimension {
        Dimension::LENGTH => ("mm", 1.0),
        Dimension::ANGLE => ("deg", std::f64::consts::PI / 180.0),
        Dimension::AREA => ("mm2", 1.0),
        Dimension::VOLUME => ("mm3", 1.0),
        Dimension::SECOND_MOMENT => ("mm4", 1.0),
        Dimension::FORCE => ("N", 1.0e3),
        Dimension::TORQUE => ("N.m", 1.0e6),
        Dimension::STRESS => ("MPa", 1.0e3),
        Dimension::MASS => ("kg", 1.0),
        Dimension::DENSITY => ("kg/m3", 1.0e-9),
        Dimension::TIME => ("s", 1.0),
        Dimension::SPEED => ("mm/s", 1.0),
        Dimension::ACCELERATION => ("mm/s2", 1.0),
        _ => return None,
    })
}

/// A number to at most so many places, without trailing zeros: `12.7`, `8`.
#[must_use]
pub fn decimal(number: f64, places: usize) -> String {
    let fixed = format!("{number:.places$}");
    let trimmed = if fixed.contains('.') {
        fixed.trim_end_matches('0').trim_end_matches('.')
    } else {
        &fixed
    };
    match trimmed {
        "-0" => "0".to_owned(),
        other => other.to_owned(),
    }
}

/// A count and the word for one of what is counted, in the right number: `1 sheet`, `2 copies`.
#[must_use]
pub fn counted(count: usize, one: &str) -> String {
    match (count, one.strip_suffix('y')) {
        (1, _) => format!("1 {one}"),
        (_, Some(stem)) => format!("{count} {stem}ies"),
        (_, None) => format!("{count} {one}s"),
    }
}

/// A length in mm: `114.3 mm`, to a thousandth.
#[must_use]
pub fn millimetres(mm: f64) -> String {
    format!("{} mm", decimal(mm, 3))
}

/// A length to a tenth of a millimetre: a sheet is sheared no closer.
#[must_use]
pub fn tenth(mm: f64) -> f64 {
    (mm * 10.0).round() / 10.0
}

/// A length in both units, inches to three places: `114.3 mm (4.500 in)`.
#[must_use]
pub fn both_units(mm: f64) -> String {
    let inches = mm / 25.4;
    let inches = if inches.abs() < 0.0005 { 0.0 } else { inches };
    format!("{} ({inches:.3} in)", millimetres(mm))
}

/// The last figure that a caliper reads, mm.
pub const CALIPER_STEP: f64 = 0.01;

/// A length as findings print it: as a caliper reads it, in both units.
#[must_use]
pub fn measured(mm: f64) -> String {
    both_units((mm / CALIPER_STEP).round() * CALIPER_STEP)
}

/// A length to write instead of another, in both units, each of them rounded up (or down) so that it is
/// enough: hundredths of a millimetre, as a caliper reads, and thousandths of an inch.
#[must_use]
pub fn enough(mm: f64, up: bool) -> String {
    let inches = rounded(mm / 25.4, 0.001, up);
    let mm = decimal(rounded(mm, CALIPER_STEP, up), 2);
    format!("{mm} mm ({inches:.3} in)")
}

/// A number to a multiple of a step, upwards or downwards; what is a multiple but for rounding stays.
#[must_use]
pub fn rounded(number: f64, step: f64, up: bool) -> f64 {
    const SAME: f64 = 1e-6;
    let steps = number / step;
    let steps = if up {
        (steps - SAME).ceil()
    } else {
        (steps + SAME).floor()
    };
    steps * step
}

/// Inches as a whole and a fraction, `4-1/2`, if they are exact to 1/64.
#[must_use]
pub fn fraction(inches: f64) -> Option<String> {
    let sixty_fourths = (inches.abs() * 64.0).round();
    if !nearly_equal(inches.abs() * 64.0, sixty_fourths) || sixty_fourths > 1.0e9 {
        return None;
    }
    let sign = if inches < 0.0 { "-" } else { "" };
    let total = sixty_fourths as u64;
    let (whole, mut part, mut of) = (total / 64, total % 64, 64);
    while part != 0 && part.is_multiple_of(2) {
        part /= 2;
        of /= 2;
    }
    Some(match (whole, part) {
        (0, 0) => "0".to_owned(),
        (whole, 0) => format!("{sign}{whole}"),
        (0, part) => format!("{sign}{part}/{of}"),
        (whole, part) => format!("{sign}{whole}-{part}/{of}"),
    })
}

/// An angle in degrees: `22.5°`, to a thousandth.
#[must_use]
pub fn degrees(radians: f64) -> String {
    format!("{}°", decimal(radians.to_degrees(), 3))
}

/// A quantity in the units that people read it in: lengths in mm and inch, the rest in their usual
/// unit.
#[must_use]
pub fn quantity(quantity: Quantity) -> String {
    let Quantity { amount, dimension } = quantity;
    match dimension {
        Dimension::LENGTH => both_units(amount),
        Dimension::ANGLE => degrees(amount),
        Dimension::NONE => significant(amount),
        other => match usual_unit(other) {
            Some((unit, factor)) => format!("{} {unit}", significant(amount / factor)),
            None => format!("{} {}", significant(amount), other.base_unit()),
        },
    }
}

/// A quantity to four figures: what is reckoned from measurements is not known better. Amounts in small units are
/// kept.
#[must_use]
pub fn four_figures(of: Quantity) -> String {
    const FIGURES: i32 = 4;
    let (_, factor) = usual_unit(of.dimension).unwrap_or(("", 1.0));
    let amount = of.amount / factor;
    if amount.abs() < 0.001 || !amount.is_finite() {
        return quantity(of);
    }
    let step =
        10_f64.powi((elementary::log10(amount.abs()).floor() as i32 + 1 - FIGURES).max(-FIGURES));
    quantity(Quantity {
        amount: (amount / step).round() * step * factor,
        ..of
    })
}

/// A value that follows from others, as it is told: a length as a caliper reads it, what else has a unit to four
/// figures.
#[must_use]
pub fn figure(of: &Value) -> String {
    match of {
        Value::Quantity(it) => match it.dimension {
            Dimension::LENGTH => measured(it.amount),
            Dimension::NONE => quantity(*it),
            _ => four_figures(*it),
        },
        _ => value(of),
    }
}

/// A value as people read it; truths are `yes` and `no`.
#[must_use]
pub fn value(value: &Value) -> String {
    match value {
        Value::Quantity(it) => quantity(*it),
        Value::Text(words) => words.clone(),
        Value::Truth(true) => "yes".to_owned(),
        Value::Truth(false) => "no".to_owned(),
    }
}

/// Three places, or four significant digits where that is more: `7850`, `0.001234`.
fn significant(number: f64) -> String {
    let size = number.abs();
    let places = if size >= 0.1 || size == 0.0 {
        3
    } else {
        (3.0 - elementary::log10(size).floor()).clamp(3.0, 16.0) as usize
    };
    decimal(number, places)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_counted_agrees_with_its_number() {
        let said = [0, 1, 2].map(|count| counted(count, "hole"));
        assert_eq!(said, ["0 holes", "1 hole", "2 holes"]);
        assert_eq!(
            counted(1, "copy") + ", " + &counted(3, "copy"),
            "1 copy, 3 copies"
        );
    }

    #[test]
    fn lengths_read_in_both_units() {
        assert_eq!(both_units(114.3), "114.3 mm (4.500 in)");
        assert_eq!(both_units(-0.000_001), "0 mm (0.000 in)");
        assert_eq!(both_units(3.175), "3.175 mm (0.125 in)");
    }

    #[test]
    fn a_figure_says_no_more_than_can_be_known() {
        let of = |amount, dimension| figure(&Value::Quantity(Quantity { amount, dimension }));
        assert_eq!(of(180.305_4, Dimension::LENGTH), "180.31 mm (7.099 in)");
        assert_eq!(of(823_976.0, Dimension::FORCE), "824 N");
        assert_eq!(of(12_345.6e6, Dimension::TORQUE), "12350 N.m");
        assert_eq!(of(0.034_567, Dimension::MASS), "0.0346 kg");
        assert_eq!(of(12_345.0, Dimension::NONE), "12345");
        assert_eq!(figure(&Value::text("M8")), "M8");
    }

    #[test]
    fn fractions_only_where_exact_to_a_sixty_fourth() {
        let read = |inches: f64| fraction(inches);
        assert_eq!(read(4.5).as_deref(), Some("4-1/2"));
        assert_eq!(read(1.625).as_deref(), Some("1-5/8"));
        assert_eq!(read(-0.015_625).as_deref(), Some("-1/64"));
        assert_eq!(read(41.275 / 25.4).as_deref(), Some("1-5/8"));
        assert_eq!(read(2.0).as_deref(), Some("2"));
        assert_eq!(read(0.0).as_deref(), Some("0"));
        assert_eq!(read(0.3), None);
        assert_eq!(read(f64::NAN), None);
    }

    #[test]
    fn other_quantities_read_in_their_usual_unit() {
        let read = |amount, dimension| quantity(Quantity { amount, dimension });
        assert_eq!(read(7.85e-6, Dimension::DENSITY), "7850 kg/m3");
        assert_eq!(read(40.0e6, Dimension::TORQUE), "40 N.m");
        assert_eq!(read(355.0e3, Dimension::STRESS), "355 MPa");
        assert_eq!(read(std::f64::consts::FRAC_PI_8, Dimension::ANGLE), "22.5°");
        assert_eq!(read(0.000_123_4, Dimension::NONE), "0.0001234");
        assert_eq!(read(2.0, Dimension::new(-1, 0, 0, 0)), "2 1/mm");
    }
}
