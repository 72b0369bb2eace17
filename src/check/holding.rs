//! Will it hold: the margins that the family reckons, under its loads.

use super::Level;
use super::spot::Spot;
use super::subject::{SLACK, Subject};
use crate::geometry::Point;
use crate::quantity::format::decimal;

/// Margins under what is wanted, and those that could not be worked out.
pub(super) fn margin(subject: &Subject<'_>) -> Vec<Spot> {
    let holding = &subject.plate.holding;
    let short = holding
        .margins
        .iter()
        .filter(|it| it.ratio < it.wanted - SLACK)
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
            let at = place(subject, it.near.as_deref());
            Spot::new(Level::Warn, it.ratio / it.wanted, at, message)
                .remedy(format!(
                    "{}, or set the load that is really there; have it checked by a qualified person",
                    it.remedy
                ))
                .source(it.source.clone())
        });
    let unknown = holding.unknown.iter().map(|(says, why)| {
        let message = format!("{says} cannot be worked out: {why}");
        Spot::new(Level::Note, 1.0, subject.middle(), message)
            .remedy("name a class that the tables have, or have it checked by a qualified person")
    });
    short.chain(unknown).collect()
}

/// The first opening of a name, else the middle of the part.
fn place(subject: &Subject<'_>, near: Option<&str>) -> Point {
    let named = near.and_then(|name| {
        subject
            .holes()
            .find(|hole| hole.opening.name.starts_with(name))
    });
    named.map_or_else(
        || subject.middle(),
        |hole| {
            let circle = hole.circle();
            circle.map_or_else(|| hole.edge.bounds().centre(), |circle| circle.centre)
        },
    )
}
