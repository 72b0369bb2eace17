//! `measure chord`, `points` and `rise`: the circle behind a reading.

use serde_json::{Value, json};

use super::super::args::{ChordArgs, PointsArgs, RiseArgs};
use super::super::screen::Screen;
use crate::fault::{Fault, Outcome};
use crate::geometry::Point;
use crate::measure::pattern::{Candidate, Kin, Likely, UNLISTED, likely};
use crate::measure::studs::{self, Jaws, Pair};
use crate::measure::{Round, arc};
use crate::quantity::format::{both_units, decimal};

pub(in crate::cli) fn chord(args: &ChordArgs, screen: &Screen) -> Outcome<u8> {
    let pair = Pair::new(args.studs, args.skipped)?;
    let (round, stud) = match (args.over, args.between, args.and_between) {
        (None, None, None) => (pitch(args, pair, Jaws::Centres)?, None),
        (Some(stud), _, _) => (pitch(args, pair, Jaws::FarSides(stud))?, None),
        (_, Some(stud), _) => (pitch(args, pair, Jaws::NearSides(stud))?, None),
        (_, _, Some(near)) => {
            let mean = args.readings.iter().sum::<f64>() / args.readings.len() as f64;
            let (round, stud) = studs::from_both(pair, mean, near, args.within)?;
            (round, Some(stud))
        }
    };
    let found = likely(args.studs, &round);
    screen.result(
        || {
            let mut object = object(&round);
            object["stud_mm"] = json!(stud);
            object["patterns"] = found.patterns.iter().map(candidate_object).collect();
            object["unlisted_probability"] = json!(found.unlisted);
            object["reading_within_mm"] = json!(args.within);
            object
        },
        || {
            let mut lines = vec![format!("pitch circle {}", told(&round))];
            lines.extend(stud.map(|stud| format!("studs of {}", both_units(stud))));
            lines.push(patterns(args, &round, &found));
            lines.join("\n")
        },
    )?;
    Ok(0)
}

fn pitch(args: &ChordArgs, pair: Pair, jaws: Jaws) -> Outcome<Round> {
    Ok(studs::pitch_circle(
        pair,
        &args.readings,
        jaws,
        args.within,
    )?)
}

pub(in crate::cli) fn points(args: &PointsArgs, screen: &Screen) -> Outcome<u8> {
    let points = [0, 1, 2].map(|k| args.points.get(k).copied().unwrap_or_default());
    let points = points.map(|(x, y)| Point::new(x, y));
    let (round, centre) = arc::through(points, args.within).ok_or_else(|| {
        Fault::refused("these three points lie on a line, or nearly")
            .remedy("take them further apart along the arc")
    })?;
    screen.result(
        || {
            let mut object = object(&round);
            object["centre"] = json!({ "x_mm": centre.x, "y_mm": centre.y });
            object
        },
        || {
            let (x, y) = (both_units(centre.x), both_units(centre.y));
            format!("{}\ncentre at {x}, {y}", both(&round))
        },
    )?;
    Ok(0)
}

pub(in crate::cli) fn rise(args: &RiseArgs, screen: &Screen) -> Outcome<u8> {
    let round = arc::from_rise(args.chord, args.rise, args.within).ok_or_else(|| {
        Fault::refused("the rise is no larger than what it may be off")
            .remedy("use a longer chord, or a finer gauge and --within")
    })?;
    screen.result(|| object(&round), || both(&round))?;
    Ok(0)
}

fn object(round: &Round) -> Value {
    json!({
        "schema": 1, "circle_mm": round.diameter, "radius_mm": round.diameter / 2.0,
        "within_mm": round.within,
    })
}

fn told(round: &Round) -> String {
    format!(
        "{} ± {}",
        both_units(round.diameter),
        both_units(round.within)
    )
}

fn both(round: &Round) -> String {
    format!(
        "diameter {}\nradius {} ± {}",
        told(round),
        both_units(round.diameter / 2.0),
        both_units(round.within / 2.0)
    )
}

fn candidate_object(it: &Candidate) -> Value {
    let (inch, near_miss) = match &it.kin {
        Kin::Twin(name) => (Some(name.clone()), None),
        Kin::NearMiss(name, size) => (None, Some(json!({ "name": name, "circle_mm": size }))),
        Kin::None => (None, None),
    };
    json!({
        "pattern": it.name, "circle_mm": it.circle, "off_mm": it.off, "probability": it.probability,
        "inch_twin": inch, "near_miss": near_miss,
    })
}

/// The likeliest pattern, those after it, and what that rests on.
fn patterns(args: &ChordArgs, round: &Round, found: &Likely) -> String {
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
