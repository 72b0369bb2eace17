//! K factor: the share of the thickness, from the inside, at which a bend keeps its length.

use super::origin::Origin;
use super::scan;
use super::unit::INCH;
use crate::elementary;
use crate::fault::{Refusal, nearest};
use crate::quantity::{Function, Parameter, Value};

/// K factor by DIN 6935: half of k = 0.65 + 0.5 lg(r / s), and k is 1 from r / s = 5 on. Tight radii
/// stay at 0: the formula does not reach below r / s of about 0.05.
#[must_use]
pub fn din(radius: f64, thickness: f64) -> f64 {
    let ratio = radius / thickness;
    if ratio > 5.0 {
        return 0.5;
    }
    (0.325 + 0.25 * elementary::log10(ratio)).max(0.0)
}

/// K factors behind the handbook's bend allowances.
pub const HANDBOOK: Origin = Origin {
    title: "K factor by material, thickness and inside radius",
    source: "Machinery's Handbook 26th ed., bend allowances",
    verified: "looked up on a page that quotes the handbook; irregular by nature, good to about 0.03",
};

/// Thickness and inside radius in inches, and K.
type KRow = (f64, f64, f64);

const ROWS: &[(&str, &[KRow])] = &[
    (
        "aluminium",
        &[
            (0.032, 0.03, 0.398),
            (0.032, 0.09, 0.391),
            (0.032, 0.188, 0.392),
            (0.063, 0.03, 0.404),
            (0.063, 0.09, 0.401),
            (0.063, 0.188, 0.401),
            (0.1, 0.06, 0.381),
            (0.1, 0.12, 0.38),
            (0.125, 0.03, 0.407),
            (0.125, 0.188, 0.406),
        ],
    ),
    (
        "cold-rolled steel",
        &[
            (0.048, 0.03, 0.438),
            (0.048, 0.06, 0.433),
            (0.048, 0.12, 0.433),
            (0.06, 0.03, 0.467),
            (0.06, 0.09, 0.463),
            (0.06, 0.188, 0.453),
            (0.093, 0.09, 0.456),
            (0.093, 0.12, 0.456),
            (0.093, 0.188, 0.45),
        ],
    ),
    (
        "stainless steel",
        &[
            (0.029, 0.03, 0.483),
            (0.029, 0.12, 0.475),
            (0.029, 0.188, 0.454),
            (0.078, 0.03, 0.449),
            (0.078, 0.06, 0.446),
            (0.078, 0.12, 0.446),
        ],
    ),
];

/// K factor of the handbook's row nearest in thickness, then in radius.
fn handbook(material: &str, radius: f64, thickness: f64) -> Result<f64, Refusal> {
    let plain = scan::plain(material).replace("aluminum", "aluminium");
    let names = ROWS.iter().map(|(name, _)| *name);
    let rows = ROWS.iter().find(|(name, _)| *name == plain);
    let (_, rows) = rows.ok_or_else(|| {
        Refusal::new(format!("no K factors for \"{material}\"")).remedy(
            match nearest(&plain, names) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => "there are aluminium, cold-rolled steel and stainless steel".to_owned(),
            },
        )
    })?;
    let far = |row: &KRow| {
        (
            (row.0 * INCH - thickness).abs(),
            (row.1 * INCH - radius).abs(),
        )
    };
    let best = rows
        .iter()
        .copied()
        .reduce(|best, row| if far(&row) < far(&best) { row } else { best });
    Ok(best.expect("every material has rows").2)
}

/// What recipes can ask about K factors.
pub const FUNCTIONS: &[Function] = &[Function {
    name: "k_factor",
    parameters: &[
        Parameter::length("radius").not_negative(),
        Parameter::length("thickness").positive(),
        Parameter::words("material").optional(),
    ],
    says: "K factor of a bend: by DIN 6935, or from handbook allowances for \"aluminium\", \"cold-rolled steel\" or \"stainless steel\"",
    source: "DIN 6935; Machinery's Handbook 26th ed.",
    call: |given| {
        let (radius, thickness, material) = given.take()?;
        let k = match material {
            Some(material) => handbook(material, radius, thickness)?,
            None => din(radius, thickness),
        };
        Ok(Value::number(k))
    },
}];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_din_factor_grows_with_the_radius_and_stays_between_none_and_half() {
        assert_eq!(din(0.0, 3.0), 0.0);
        assert_eq!(din(18.0, 3.0), 0.5);
        assert!(din(3.0, 3.0) < din(6.0, 3.0));
    }

    #[test]
    fn a_material_without_allowances_gets_the_list() {
        let refusal = handbook("oak", 3.0, 3.0).expect_err("no such material");
        let message = refusal.to_string();
        assert!(message.contains("cold-rolled steel"), "{message}");
    }
}
