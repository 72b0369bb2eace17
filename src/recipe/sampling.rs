//! Parts of a family with dimensions at random within their ranges: to try what a family does with them.

use std::sync::Arc;

use super::dimension_kind::DimensionKind;
use super::family::Family;
use super::order;
use super::part::Part;
use crate::quantity::{Value, format};
use crate::toml_text::Names;

/// Numbers that look random and are the same on every run.
#[derive(Debug, Clone)]
pub struct Seed(u64);

impl Seed {
    /// A row of numbers of its own.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number, from 0 up to 1.
    fn share(&mut self) -> f64 {
        // The multiplier and the shift of Knuth's MMIX generator.
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn below(&mut self, count: usize) -> usize {
        ((self.share() * count as f64) as usize).min(count.saturating_sub(1))
    }
}

/// Threads to try.
const THREADS: [&str; 7] = ["M5", "M6", "M8", "M10", "M12", "M16", "1/2-13"];
/// Share of the dimensions that are set at all, and of those that are set to an end of their range.
const SET: f64 = 0.6;
const AT_AN_END: f64 = 0.25;

/// A part with some of its dimensions set at random, within their ranges; texts and lists stay as they are.
/// `None` where the values above a dimension leave it no range.
#[must_use]
pub fn sampled(family: &Arc<Family>, seed: &mut Seed) -> Option<Part> {
    let mut part = Part::plain(Arc::clone(family));
    let mut names = Names::with_tables(&family.tables);
    names.set("material", Value::text(part.material.clone()));
    part.cutting.tell(&mut names);
    for measure in &family.measures {
        order::lend(&family.lets, measure.needs(&measure.default), &mut names);
        if seed.share() < SET
            && let Some(typed) = typed(measure, &names, seed)
        {
            part.set(&format!("{}={typed}", measure.name)).ok()?;
        }
        let setting = part.setting(&measure.name).unwrap_or(&measure.default);
        measure.settle(setting, &mut names).ok()?;
    }
    Some(part)
}

/// A value within the range of a dimension, as it is typed.
fn typed(measure: &super::DimensionSpec, names: &Names, seed: &mut Seed) -> Option<String> {
    let mut among = |words: &[&str]| Some(words[seed.below(words.len())].to_owned());
    match &measure.kind {
        DimensionKind::Choice(words) => {
            let words: Vec<&str> = words.iter().map(String::as_str).collect();
            among(&words)
        }
        DimensionKind::YesNo => among(&["true", "false"]),
        DimensionKind::Thread => among(&THREADS),
        DimensionKind::Text | DimensionKind::List(_) => None,
        DimensionKind::Count => {
            let (low, high) = measure.limits(names).ok()?;
            let low = low.unwrap_or(0.0);
            let high = high.unwrap_or(low + 8.0).max(low);
            Some(format!("{}", (low + (high - low) * seed.share()).round()))
        }
        DimensionKind::Quantity(dimension) => {
            let now = measure
                .kind
                .value(&measure.default, names, &measure.title())
                .ok()?;
            let now = now.expect(*dimension).ok()?;
            let (low, high) = measure.limits(names).ok()?;
            let (low, high) = (low.unwrap_or(now / 2.0), high.unwrap_or(now.abs() * 2.0));
            let end = seed.share() < AT_AN_END;
            let share = seed.share();
            let share = if end { share.round() } else { share };
            let amount = low + (high - low) * share;
            let (unit, one) = format::usual_unit(*dimension).unwrap_or(("", 1.0));
            Some(format!("{} {unit}", amount / one))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::{Shelf, evaluate::unruled};

    #[test]
    fn samples_lie_within_their_ranges_and_differ() {
        for family in Shelf::built_in().families().expect("the shelf") {
            let mut seed = Seed::new(3);
            let made: Vec<Part> = (0..40)
                .filter_map(|_| sampled(&family, &mut seed))
                .collect();
            assert!(made.len() >= 10, "{}: {}", family.name, made.len());
            let worked_out = made.iter().filter(|part| unruled(part).is_ok()).count();
            assert!(worked_out >= 10, "{}: {worked_out}", family.name);
            assert!(made.iter().any(|part| part.settings != made[0].settings));
        }
    }
}
