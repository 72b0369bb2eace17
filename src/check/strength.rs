//! Will it hold: the margins that the family reckons, under its loads.

use super::Level;
use super::breach::Breach;
use super::subject::Subject;
use crate::quantity::format::decimal;

/// Margins under what is wanted, and those that could not be worked out.
pub(super) fn margin(subject: &Subject<'_>) -> Vec<Breach> {
    let results = &subject.plate.strength;
    let short = results
        .margins
        .iter()
        .filter(|it| !it.is_enough())
        .map(|it| {
            let message = format!(
                "{}: carries {} where {} is asked, {} times; {} times is wanted ({})",
                it.says,
                it.carries,
                it.load,
                decimal(it.ratio, 2),
                decimal(it.wanted, 2),
                it.formula
            );
            let named = it.near.as_deref();
            let named = named.and_then(|name| subject.plate.place_of(name));
            let at = named.unwrap_or_else(|| subject.middle());
            Breach::new(Level::Warn, it.ratio / it.wanted, at, message)
                .remedy(format!(
                    "{}, or set the load that is really there; have it checked by a qualified person",
                    it.remedy
                ))
                .source(it.source.clone())
        });
    let unknown = results.unknown.iter().map(|(says, why)| {
        let message = format!("{says} cannot be worked out: {why}");
        Breach::new(Level::Note, 1.0, subject.middle(), message)
            .remedy("name a class that the tables have, or have it checked by a qualified person")
    });
    short.chain(unknown).collect()
}
