//! `measure chord`, `points` and `rise`: the circle behind a reading.

use serde_json::{Value, json};

use super::super::args::{ChordArgs, PointsArgs, RiseArgs};
use super::super::screen::Screen;
use crate::fault::{Fault, Outcome};
use crate::geometry::Point;
use crate::measure::pattern::{Candidate, Kin, candidates};
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
    let found = candidates(args.studs, &round);
    screen.result(
        || {
            let mut object = object(&round);
            object["stud_mm"] = json!(stud);
            object["patterns"] = found.iter().map(candidate_object).collect();
            object
        },
        || {
            let mut lines = vec![format!("pitch circle {}", told(&round))];
            lines.extend(stud.map(|stud| format!("studs of {}", both_units(stud))));
            lines.push(patterns(args.studs, &round, &found));
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
        "pattern": it.name, "circle_mm": it.circle, "off_mm": it.off, "fits": it.fits,
        "inch_twin": inch, "near_miss": near_miss,
    })
}

fn patterns(studs: u32, round: &Round, found: &[Candidate]) -> String {
    if found.is_empty() {
        return format!("no common wheel pattern has {studs} studs");
    }
    let fitting = found.iter().filter(|it| it.fits).count();
    let mut lines = vec![match fitting {
        0 => "no common wheel pattern is that near; measure again".to_owned(),
        1 => "the pattern is".to_owned(),
        n => format!(
            "{n} patterns are within ± {}: a finer reading tells them apart",
            both_units(round.within)
        ),
    }];
    for it in found {
        let verdict = if it.fits {
            ""
        } else {
            " (outside: the nearest other)"
        };
        let kin = match &it.kin {
            Kin::Twin(name) => format!(", which is {name} exactly"),
            Kin::NearMiss(name, size) => {
                let unsure = if (size - round.diameter).abs() <= round.within {
                    ", though this reading cannot tell them apart"
                } else {
                    ""
                };
                format!(", which is not {name} ({} mm){unsure}", decimal(*size, 2))
            }
            Kin::None => String::new(),
        };
        lines.push(format!(
            "  {}{kin}: {} mm off{verdict}",
            it.name,
            decimal(it.off, 2)
        ));
    }
    lines.join("\n")
}
