//! A part with one of its dimensions moved a little.

use crate::fault::Outcome;
use crate::plate::Plate;
use crate::quantity::{Dimension, Quantity, Scope, Value, format};
use crate::recipe::Part;
use crate::recipe::{DimensionKind, DimensionSpec};
use crate::toml_text::Names;

/// How far lengths are moved, mm: far above rounding, far below what parts two edges.
pub(super) const STEP: f64 = 0.01;
/// How far other amounts are moved, as a share of them (of 1, if they are less).
const SHARE: f64 = 1e-3;
/// Threads to try in place of one.
const THREADS: [&str; 5] = ["M10", "M8", "M12", "M6", "M16"];
/// Classes to try in place of one, and words.
const WORDS: [&str; 2] = ["10.9", "5.8"];

/// The part with every amount set to what it is now, so that moving one leaves those that would follow
/// from it where they are.
pub(super) fn pinned(part: &Part, names: &Names) -> Outcome<Part> {
    let mut pinned = part.clone();
    for measure in &part.family.measures {
        if let (DimensionKind::Quantity(_), Some(value)) =
            (&measure.kind, names.value(&measure.name))
        {
            pinned.set(&setting(&measure.name, &value))?;
        }
    }
    Ok(pinned)
}

/// What a dimension may be moved to, the likeliest first.
pub(super) fn others(measure: &DimensionSpec, value: &Value, plates: &[Plate]) -> Vec<Value> {
    match (&measure.kind, value) {
        (DimensionKind::Quantity(_), Value::Quantity(it)) => {
            let step = match it.dimension {
                Dimension::LENGTH => STEP,
                Dimension::ANGLE => STEP / reach(plates),
                _ => it.amount.abs().max(1.0) * SHARE,
            };
            let moved = |by: f64| {
                Value::Quantity(Quantity {
                    amount: it.amount + by,
                    dimension: it.dimension,
                })
            };
            vec![moved(step), moved(-step)]
        }
        (DimensionKind::Count, Value::Quantity(it)) => {
            let counts = [it.amount + 1.0, it.amount - 1.0, it.amount + 2.0];
            let counts = counts.into_iter().filter(|it| *it >= 0.0);
            counts.map(Value::number).collect()
        }
        (DimensionKind::Choice(words), _) => {
            let others = words
                .iter()
                .filter(|word| Value::text(word.as_str()) != *value);
            others.map(|word| Value::text(word.as_str())).collect()
        }
        (DimensionKind::YesNo, Value::Truth(truth)) => vec![Value::Truth(!truth)],
        (DimensionKind::List(_), _) => Vec::new(),
        (DimensionKind::Thread, _) => THREADS.map(Value::text).to_vec(),
        _ => WORDS.map(Value::text).to_vec(),
    }
}

/// How far plates reach from the origin, mm.
fn reach(plates: &[Plate]) -> f64 {
    let corners = plates
        .iter()
        .flat_map(|it| it.face.outside.bounds().corners());
    let reaches = corners.map(|it| (it - crate::geometry::Point::ORIGIN).length());
    reaches.fold(1.0, f64::max)
}

/// The part with one dimension another, if that can be written.
pub(super) fn with(part: &Part, name: &str, value: &Value) -> Option<Part> {
    let mut part = part.clone();
    part.set(&setting(name, value)).ok()?;
    Some(part)
}

/// `NAME=VALUE`, exact.
fn setting(name: &str, value: &Value) -> String {
    match value {
        Value::Quantity(it) => match format::usual_unit(it.dimension) {
            Some((unit, factor)) => format!("{name}={} {unit}", it.amount / factor),
            None => format!("{name}={}", it.amount),
        },
        Value::Text(words) => format!("{name}={words}"),
        Value::Truth(truth) => format!("{name}={truth}"),
    }
}
