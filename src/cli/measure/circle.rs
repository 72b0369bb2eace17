//! `measure chord`, `points` and `rise`: the circle behind a reading.

use serde_json::{Value, json};

use super::super::args::{ChordArgs, PointsArgs, RiseArgs};
use super::super::screen::Screen;
use crate::fault::Outcome;
use crate::geometry::Point;
use crate::measure::pattern::{Candidate, Kin};
use crate::measure::studs::{Circled, Readings};
use crate::measure::{Round, arc, words};

pub(in crate::cli) fn chord(args: &ChordArgs, screen: &Screen) -> Outcome<u8> {
    let Circled { round, stud, found } = args.readings().circled()?;
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
            words::circled(
                &args.readings(),
                &Circled {
                    round,
                    stud,
                    found: found.clone(),
                },
            )
            .join("\n")
        },
    )?;
    Ok(0)
}

pub(in crate::cli) fn points(args: &PointsArgs, screen: &Screen) -> Outcome<u8> {
    let points = [0, 1, 2].map(|k| args.points.get(k).copied().unwrap_or_default());
    let points = points.map(|(x, y)| Point::new(x, y));
    let (round, centre) = arc::circle_through(points, args.within)?;
    screen.result(
        || {
            let mut object = object(&round);
            object["centre"] = json!({ "x_mm": centre.x, "y_mm": centre.y });
            object
        },
        || words::centred(&round, centre),
    )?;
    Ok(0)
}

pub(in crate::cli) fn rise(args: &RiseArgs, screen: &Screen) -> Outcome<u8> {
    let round = arc::circle_of_rise(args.chord, args.rise, args.within)?;
    screen.result(|| object(&round), || words::both(&round))?;
    Ok(0)
}

fn object(round: &Round) -> Value {
    json!({
        "schema": 1, "circle_mm": round.diameter, "radius_mm": round.diameter / 2.0,
        "within_mm": round.within,
    })
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

impl ChordArgs {
    fn readings(&self) -> Readings {
        Readings {
            readings: self.readings.clone(),
            studs: self.studs,
            skipped: self.skipped,
            over: self.over,
            between: self.between,
            and_between: self.and_between,
            within: self.within,
        }
    }
}
