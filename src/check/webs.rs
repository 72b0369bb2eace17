//! How much metal is left between edges.

use super::Level;
use super::spot::Spot;
use super::subject::{CutHole, SLACK, Subject, enough, length};
use crate::geometry::{Contour, Gap};

/// Least web to the outside, in thicknesses: common practice, no source.
const TO_OUTSIDE: f64 = 1.0;
/// Least web between two openings, in thicknesses (plasma design guides).
const BETWEEN: f64 = 1.5;
/// Preferred web between two openings, in thicknesses: common practice, no source.
const PREFERRED: f64 = 2.0;

/// Webs that are too thin as they are cut, on the true lines and arcs: metal that the drill takes away
/// afterwards still carries off the heat.
pub(super) fn thin_web(subject: &Subject<'_>) -> Vec<Spot> {
    let thickness = subject.plate.thickness;
    let kerf = subject.limits.map_or(0.0, |limits| limits.kerf);
    let holes: Vec<CutHole<'_>> = subject.cut_holes().collect();
    let outside = &subject.plate.face.outside;
    let to_outside = holes.iter().filter_map(|hole| {
        let web = within(&hole.edge, outside, TO_OUTSIDE * thickness)?;
        let name = format!("{} and the outside", hole.opening.name);
        Some(spot(web, &name, Level::Warn, TO_OUTSIDE * thickness, kerf))
    });
    let pairs = holes.iter().enumerate().flat_map(|(i, one)| {
        let others = holes[i + 1..].iter();
        others.filter_map(move |other| {
            let web = within(&one.edge, &other.edge, PREFERRED * thickness)?;
            let name = format!("{} and {}", one.opening.name, other.opening.name);
            let (level, limit) = if web.distance < BETWEEN * thickness - SLACK {
                (Level::Warn, BETWEEN * thickness)
            } else {
                (Level::Note, PREFERRED * thickness)
            };
            Some(spot(web, &name, level, limit, kerf))
        })
    });
    to_outside.chain(pairs).collect()
}

/// The gap of two edges, if it is under a limit.
fn within(one: &Contour, other: &Contour, limit: f64) -> Option<Gap> {
    // An opening's box lies inside the outside's, so only boxes apart tell anything.
    if !one.bounds().grown(limit).meets(other.bounds()) {
        return None;
    }
    Some(one.gap_to(other)).filter(|gap| gap.distance < limit - SLACK)
}

fn spot(web: Gap, between: &str, level: Level, limit: f64, kerf: f64) -> Spot {
    let at = web.from.lerp(web.to, 0.5);
    let width = length(web.distance);
    if web.distance < kerf - SLACK {
        let message = format!(
            "between {between} only {width} of metal is left, less than the kerf: it burns away"
        );
        return Spot::new(Level::Refuse, web.distance / limit, at, message)
            .remedy("move the openings apart, or join them into one")
            .physical();
    }
    let message = format!(
        "between {between} only {width} of metal is left, under {}",
        length(limit)
    );
    Spot::new(level, web.distance / limit, at, message).remedy(format!(
        "move them {} further apart or make one smaller; thin webs overheat and warp",
        enough(limit - web.distance)
    ))
}
