//! Circles and patterns in words, as they are told wherever they are asked for.

use super::Round;
use super::pattern::{Candidate, Kin, Likely, UNLISTED};
use super::studs::{Circled, Readings};
use crate::geometry::Point;
use crate::quantity::format::{both_units, decimal};

/// A pitch circle and the patterns that it may be, a line each.
#[must_use]
pub fn circled(args: &Readings, it: &Circled) -> Vec<String> {
    let mut lines = vec![format!("pitch circle {}", told(&it.round))];
    let stud = it.stud;
    lines.extend(stud.map(|stud| format!("studs of {}", both_units(stud))));
    lines.push(patterns(args, &it.round, &it.found));
    lines
}

/// A circle and its middle.
#[must_use]
pub fn centred(round: &Round, centre: Point) -> String {
    let (x, y) = (both_units(centre.x), both_units(centre.y));
    format!("{}\ncentre at {x}, {y}", both(round))
}

fn told(round: &Round) -> String {
    format!(
        "{} ± {}",
        both_units(round.diameter),
        both_units(round.within)
    )
}

/// Diameter and radius of a circle, with what they may be off.
#[must_use]
pub fn both(round: &Round) -> String {
    format!(
        "diameter {}\nradius {} ± {}",
        told(round),
        both_units(round.diameter / 2.0),
        both_units(round.within / 2.0)
    )
}

/// The likeliest pattern, those after it, and what that rests on.
fn patterns(args: &Readings, round: &Round, found: &Likely) -> String {
    let Some(first) = found.patterns.first() else {
        return format!("no common wheel pattern has {} studs", args.studs);
    };
    let mut lines = Vec::new();
    if found.unlisted > first.probability {
        lines.push(format!(
            "most likely no common wheel pattern ({}): measure again, over another pair of studs",
            percent(found.unlisted)
        ));
        lines.push(format!("nearest:     {}", pattern(first, round)));
    } else {
        lines.push(format!("most likely: {}", pattern(first, round)));
    }
    let others = found.patterns.iter().skip(1);
    lines.extend(others.map(|it| format!("next:        {}", pattern(it, round))));
    if found.unlisted <= first.probability {
        lines.push(format!(
            "none of the common ones: {}",
            percent(found.unlisted)
        ));
    }
    lines.push(format!(
        "if a reading is within {} nineteen times of twenty (--within), and one wheel in {} has an uncommon pattern",
        both_units(args.within),
        decimal(UNLISTED, 0)
    ));
    lines.join("\n")
}

fn pattern(it: &Candidate, round: &Round) -> String {
    let kin = match &it.kin {
        Kin::Twin(name) => format!(", which is {name} exactly"),
        Kin::NearMiss(name, size) => {
            let fits = |size: f64| (size - round.diameter).abs() <= round.within;
            let unsure = if fits(*size) && fits(it.circle) {
                ", though this reading cannot tell them apart"
            } else {
                ""
            };
            format!(", which is not {name} ({} mm){unsure}", decimal(*size, 2))
        }
        Kin::None => String::new(),
    };
    format!(
        "{}{kin}: {} mm off, {}",
        it.name,
        decimal(it.off, 2),
        percent(it.probability)
    )
}

/// A probability as people say it; none is certain.
fn percent(probability: f64) -> String {
    let percent = (100.0 * probability).round();
    if percent < 1.0 {
        "under 1 %".to_owned()
    } else if percent > 99.0 {
        "over 99 %".to_owned()
    } else {
        format!("{percent} %")
    }
}
