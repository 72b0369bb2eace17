//! Will it hold: the margins that the family reckons, under its loads.

use super::Level;
use super::breach::Breach;
use super::subject::Subject;
use crate::plate::NotChecked;
use crate::quantity::format::decimal;

/// Margins under what is wanted, and those that could not be worked out.
pub(super) fn margin(subject: &Subject<'_>) -> Vec<Breach> {
    let results = &subject.plate.strength;
    let short = results.margins.iter().filter(|it| !it.is_enough());
    let short = short.map(|it| {
        let message = format!(
            "{}: carries {} where {} is asked, a margin of {} where {} is wanted ({})",
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
        Breach::new(Level::Warn, it.share(), at, message)
            .remedy(format!(
                "{}, or set the load that is really there; have it checked by a qualified person",
                it.remedy
            ))
            .source(it.source.clone())
    });
    let mut unknown: Vec<(&str, &NotChecked, usize)> = Vec::new();
    for it in &results.not_checked {
        let Some(why) = it.why.as_deref() else {
            continue;
        };
        match unknown.iter_mut().find(|(known, ..)| *known == why) {
            Some((.., more)) => *more += 1,
            None => unknown.push((why, it, 0)),
        }
    }
    let unknown = unknown.into_iter().map(|(why, it, more)| {
        let more = match more {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let message = format!("{}{more} cannot be worked out: {why}", it.says);
        let breach = Breach::new(Level::Note, 1.0, subject.middle(), message);
        breach.remedy(it.look.clone())
    });
    let typical = results.margins.iter().find(|it| it.typical).map(|it| {
        let message = format!(
            "{} and what else rests on {} goes by its usual strength, which no standard guarantees",
            it.says, subject.plate.material
        );
        Breach::new(Level::Warn, 1.0, subject.middle(), message).remedy(
            "use a grade with a guaranteed yield, or go by the certificate of the very plate",
        )
    });
    short.chain(unknown).chain(typical).collect()
}
