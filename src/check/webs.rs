//! How much metal is left between any two stretches of edge.

use super::Level;
use super::breach::Breach;
use super::subject::{CutHole, SLACK, Subject, enough};
use crate::geometry::{Face, Neck};
use crate::quantity::format::measured;

/// Least web to the outside, and between two stretches of one edge, in thicknesses: common practice, no
/// source.
const TO_OUTSIDE: f64 = 1.0;
/// Least web between two openings, in thicknesses (plasma design guides).
const BETWEEN: f64 = 1.5;
/// Least width of any metal, mm: the finest kerf of a laser is wider. Common practice, no source.
const LEAST: f64 = 0.1;

/// Metal that is too narrow, on the true lines and arcs: between openings, between them and the outside,
/// and between two stretches of one edge. It is measured as it is cut: metal that the drill takes away
/// afterwards still carries off the heat. But what the drill leaves must hold as well.
pub(super) fn thin_web(subject: &Subject<'_>) -> Vec<Breach> {
    let plate = subject.plate;
    let kerf = subject.limits.map_or(0.0, |limits| limits.kerf);
    let holes: Vec<CutHole<'_>> = subject.cut_holes().collect();
    let as_cut = Face {
        outside: plate.face.outside.clone(),
        openings: holes
            .iter()
            .map(|hole| hole.edge.clone().into_owned())
            .collect(),
    };
    let name = |i: usize| holes.get(i).map_or("an opening", |hole| &hole.opening.name);
    let widest = (BETWEEN * plate.thickness).max(kerf).max(LEAST);
    let necks = as_cut.necks(widest).into_iter();
    let thin = necks.filter_map(|neck| thin(&neck, &name, plate.thickness, kerf));
    let drilled = |edge: &Option<usize>| {
        let opening = edge.and_then(|i| plate.openings.get(i));
        opening.is_some_and(|it| it.is_only_marked() || it.pilot().is_some())
    };
    let name = |i: usize| plate.openings.get(i).map_or("an opening", |it| &it.name);
    let necks = plate.face.necks(LEAST - SLACK).into_iter();
    let of_drill = necks.filter(|neck| neck.between.iter().any(drilled));
    let of_drill = of_drill.map(|neck| {
        let message = format!("{}, and nothing that thin holds", left(&neck, &name));
        refused(&neck, message, LEAST)
    });
    thin.chain(of_drill).collect()
}

/// What is to be said of metal this wide between edges that are cut, if anything.
fn thin<'a>(
    neck: &Neck,
    name: &dyn Fn(usize) -> &'a str,
    thickness: f64,
    kerf: f64,
) -> Option<Breach> {
    let web = neck.gap.distance;
    let wanted = match neck.between {
        [Some(one), Some(other)] if one != other => BETWEEN * thickness,
        _ => TO_OUTSIDE * thickness,
    };
    let left = left(neck, name);
    if web < kerf - SLACK {
        let kerf_words = measured(kerf);
        let message = format!("{left}, less than the kerf of {kerf_words}: it burns away");
        return Some(refused(neck, message, wanted.max(kerf)));
    }
    if web < LEAST - SLACK {
        let message = format!("{left}, and nothing that thin holds");
        return Some(refused(neck, message, wanted.max(LEAST)));
    }
    (web < wanted - SLACK).then(|| {
        let further = enough(wanted - web);
        let remedy = if is_of_one_edge(neck) {
            format!("make it {further} wider")
        } else {
            format!("move them {further} further apart or make one smaller")
        };
        let message = format!("{left}, under {}", measured(wanted));
        let at = neck.gap.from.lerp(neck.gap.to, 0.5);
        Breach::new(Level::Warn, web / wanted, at, message)
            .remedy(format!("{remedy}; thin webs overheat and warp"))
    })
}

fn refused(neck: &Neck, message: String, least: f64) -> Breach {
    let remedy = if is_of_one_edge(neck) {
        format!("make it at least {} wide, or part it", enough(least))
    } else {
        "move the openings apart, or join them into one".to_owned()
    };
    let at = neck.gap.from.lerp(neck.gap.to, 0.5);
    let share = neck.gap.distance / least;
    Breach::new(Level::Refuse, share, at, message)
        .remedy(remedy)
        .physical()
}

/// How much metal is left between what, in words.
fn left<'a>(neck: &Neck, name: &dyn Fn(usize) -> &'a str) -> String {
    let named = |edge: Option<usize>| edge.map_or("the outside", name);
    let between = match neck.between {
        [one, other] if one == other => format!("two stretches of {}", named(one)),
        [None, some] | [some, None] => format!("{} and the outside", named(some)),
        [one, other] => format!("{} and {}", named(one), named(other)),
    };
    let web = neck.gap.distance;
    if web < LEAST - SLACK {
        format!(
            "between {between} less than {} of metal is left",
            measured(LEAST)
        )
    } else {
        format!("between {between} only {} of metal is left", measured(web))
    }
}

fn is_of_one_edge(neck: &Neck) -> bool {
    neck.between[0] == neck.between[1]
}
