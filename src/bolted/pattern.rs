//! Whether the plies of a stack go together: findings with remedies, and the chance.
//!
//! What the tolerances of the holes cannot make good is refused: no luck in drilling brings such plies together. What they
//! can spoil is told as a chance.

use super::across::Across;
use super::chance::{Chance, Drilled, chance};
use super::fit::{self, Laid};
use super::stack::{self, Among, Stack, StackHole, StackPly};
use super::tell::{self, BOLT_PATTERN, CHANCE_OF_FIT};
use crate::finding::{Finding, Level};
use crate::plate::{Plate, Purpose};
use crate::quantity::format::{decimal, measured, millimetres};
use crate::recipe::bolted::around;
use crate::trade::clearance::{self, Fit};
use crate::trade::hole::Trueness;

/// A chance of fit below this is told as a finding: of twenty such joints one would not go together. A choice of ours, no
/// source.
const ENOUGH: f64 = 0.95;

/// What comes of looking at a stack.
pub(super) struct LookedAt {
    pub(super) findings: Vec<(usize, Finding)>,
    pub(super) chance: Option<Chance>,
    pub(super) words: String,
}

/// Two plies whose holes do not go together.
struct Mismatch {
    plies: (usize, usize),
    /// By how much the worst hole misses beyond all clearance, mm; `None` where they differ in number.
    by: Option<f64>,
    /// Which hole of each that is.
    holes: (usize, usize),
}

/// Looks at the patterns of a stack.
pub(super) fn looked_at(stack: &Stack, across: &Across, among: Among<'_>) -> LookedAt {
    let compared = stack.plies.iter().filter(|it| it.is_compared()).count();
    let mut all = LookedAt {
        findings: Vec::new(),
        chance: None,
        words: String::new(),
    };
    if compared < 2 {
        "one ply is drilled, and the others through it".clone_into(&mut all.words);
        return all;
    }
    let mut mismatches: Vec<Mismatch> = Vec::new();
    for ply in across.first + 1..stack.plies.len() {
        mismatches.extend(mismatch(stack, (across.first, ply), across));
    }
    if mismatches.is_empty() {
        worked_out(stack, across, &mut all);
        return all;
    }
    let stands_with = |(one, other): (usize, usize)| {
        let own = [one, other]
            .into_iter()
            .find_map(|it| stack.plies[it].plate);
        own.or_else(|| stack.plies.iter().find_map(|it| it.plate))
    };
    "does not go together".clone_into(&mut all.words);
    for it in &mismatches {
        let finding = refused(stack, it, among);
        all.findings
            .extend(stands_with(it.plies).map(|plate| (plate, finding)));
    }
    all
}

/// The most that a hole of a ply may be off, mm. What is not known makes nothing good.
fn off(ply: &StackPly) -> f64 {
    let known = ply.holes.iter().filter_map(|it| it.true_to.as_ref().ok());
    known.fold(0.0, |most: f64, it| most.max(it.off))
}

/// What keeps two plies apart; `None` if their holes go together.
fn mismatch(stack: &Stack, plies: (usize, usize), across: &Across) -> Option<Mismatch> {
    let (one, other) = (&stack.plies[plies.0], &stack.plies[plies.1]);
    if !other.is_compared() {
        return None;
    }
    let Some(laid) = &across.laid[plies.1] else {
        return Some(Mismatch {
            plies,
            by: None,
            holes: (0, 0),
        });
    };
    let mut both = [
        one.laid(&Laid::as_it_lies(one.holes.len()), &stack.thread),
        other.laid(laid, &stack.thread),
    ];
    for free in both.iter_mut().flat_map(|it| &mut it.free) {
        *free = free.max(0.0);
    }
    let [base, own] = &both;
    let room =
        |at: usize| base.free[at] + own.free[at] + base.along[at].length() + own.along[at].length();
    let over = |at: usize| base.at[at].distance(own.at[at]) - room(at);
    let worst = (0..base.at.len()).max_by(|a, b| over(*a).total_cmp(&over(*b)))?;
    let by = fit::miss(&both);
    (by > off(one) + off(other) + 0.005).then(|| Mismatch {
        plies,
        by: Some(by),
        holes: (worst, laid.order[worst]),
    })
}

/// The openings of a ply as they are called.
fn called(ply: &StackPly, plates: &[Plate]) -> String {
    let titles = ply.holes.iter().filter_map(|hole| {
        let plate = &plates[ply.plate?];
        Some(plate.openings[hole.opening?].title())
    });
    let mut titles: Vec<String> = titles.map(|it| format!("\"{it}\"")).collect();
    titles.dedup();
    match titles.as_slice() {
        [] => format!("the holes of {}", ply.says),
        titles => format!("{} of {}", titles.join(", "), ply.says),
    }
}

fn refused(stack: &Stack, it: &Mismatch, among: Among<'_>) -> Finding {
    let (one, other) = (&stack.plies[it.plies.0], &stack.plies[it.plies.1]);
    let (here, there) = (called(one, among.plates), called(other, among.plates));
    let message = match it.by {
        None => format!(
            "joint \"{}\": {here} are {}, {there} {}",
            stack.name,
            one.holes.len(),
            other.holes.len()
        ),
        Some(by) => format!(
            "joint \"{}\": {here} and {there} do not lie alike, turned and flipped as they may be: the worst, {} on {}, \
             misses by {} more than there is clearance",
            stack.name,
            one.holes[it.holes.0].name,
            other.holes[it.holes.1].name,
            measured(by)
        ),
    };
    let remedy = remedy(stack, it.plies, among);
    let finding = tell::finding(BOLT_PATTERN, Level::Refuse, message, remedy);
    let on_plate = [(one, it.holes.0), (other, it.holes.1)];
    let place = on_plate.into_iter().find_map(|(ply, hole)| {
        ply.plate?;
        Some(ply.holes.get(hole)?.at)
    });
    match place {
        Some(at) => finding.at(at),
        None => finding,
    }
}

/// Whether patterns go together as far as the tolerances allow.
fn go_together(stack: &Stack, one: &StackPly, other: &StackPly) -> bool {
    let mut tried = stack.clone();
    tried.plies = vec![one.clone(), other.clone()];
    let across = Across::of(&tried);
    mismatch(&tried, (0, 1), &across).is_none()
}

/// What to write instead, tried before it is said: other openings, another circle; else what else can be done.
fn remedy(stack: &Stack, (one, other): (usize, usize), among: Among<'_>) -> String {
    let pair = [(one, other), (other, one)];
    for (changed, kept) in pair {
        let (changed, kept) = (&stack.plies[changed], &stack.plies[kept]);
        if let Some(openings) = other_openings(stack, changed, kept, among.plates) {
            return format!(
                "write openings = \"{openings}\" for {}: they go together",
                changed.says
            );
        }
    }
    for (changed, kept) in pair {
        let (changed, kept) = (&stack.plies[changed], &stack.plies[kept]);
        if let Some((circle, count)) = other_circle(stack, changed, kept) {
            return format!(
                "measure {} again: with circle = \"{}\" and count = {count} it would go together",
                changed.says,
                millimetres(circle)
            );
        }
    }
    let thing = [one, other].map(|it| &stack.plies[it]);
    match thing.into_iter().find(|it| it.plate.is_none()) {
        Some(thing) => format!(
            "measure {} again, or drill its holes through the plate's and leave out their places here",
            thing.says
        ),
        None => format!(
            "make both patterns alike in their parts, or drill {} through {} and leave it out here",
            stack.plies[other].says, stack.plies[one].says
        ),
    }
}

/// Other openings of a ply's plate that go together with another ply.
fn other_openings(
    stack: &Stack,
    changed: &StackPly,
    kept: &StackPly,
    plates: &[Plate],
) -> Option<String> {
    let plate = &plates[changed.plate?];
    let fit =
        plate.openings.iter().enumerate().filter(|(_, it)| {
            matches!(it.purpose, Purpose::Bolt | Purpose::Tapped | Purpose::Slot)
        });
    let fit: Vec<_> = fit.collect();
    let mut titles: Vec<&str> = fit.iter().map(|(_, it)| it.title()).collect();
    titles.sort_unstable();
    titles.dedup();
    let own: Vec<&str> = changed
        .holes
        .iter()
        .filter_map(|it| Some(plate.openings[it.opening?].title()))
        .collect();
    titles.retain(|it| !own.contains(it));
    let found = titles.into_iter().find(|title| {
        let of_title = fit.iter().filter(|(_, it)| it.title() == *title);
        let mut tried = changed.clone();
        tried.tapped = of_title
            .clone()
            .any(|(_, it)| it.purpose == Purpose::Tapped);
        let template = changed.holes.first();
        tried.holes = of_title
            .filter_map(|(index, it)| {
                let seat = stack::seat(plate, *index)?;
                Some(StackHole {
                    name: it.name.clone(),
                    opening: Some(*index),
                    at: seat.middle,
                    diameter: seat.width,
                    along: seat.along,
                    ..template?.clone()
                })
            })
            .collect();
        let passes = |it: &StackHole| it.diameter >= stack.thread.diameter;
        (tried.tapped || tried.holes.iter().all(passes)) && go_together(stack, &tried, kept)
    })?;
    Some(found.to_owned())
}

/// A circle of a thing, and how many holes on it, with which it goes together with another ply.
fn other_circle(stack: &Stack, changed: &StackPly, kept: &StackPly) -> Option<(f64, usize)> {
    /// Figures of a diameter that somebody measures, mm.
    const STEP: f64 = 0.05;
    changed.circle?;
    let middles = kept.middles();
    let count = middles.len();
    let middle = fit::middle(&middles);
    let radii: f64 = middles.iter().map(|it| it.distance(middle)).sum();
    let circle = (2.0 * radii / count as f64 / STEP).round() * STEP;
    let template = changed.holes.first()?;
    let mut tried = changed.clone();
    tried.holes = around(circle, count as u32)
        .into_iter()
        .map(|at| {
            let mut hole = template.clone();
            hole.at = at;
            hole
        })
        .collect();
    go_together(stack, &tried, kept).then_some((circle, count))
}

/// The plies that are compared, laid on the first of them; or why it is not known how true they are.
fn drilled(
    stack: &Stack,
    across: &Across,
    true_to: impl Fn(&StackPly, usize) -> Result<Trueness, String>,
) -> Result<Vec<Drilled>, String> {
    let mut plies = Vec::new();
    for (ply, laid) in stack.plies.iter().zip(&across.laid) {
        let Some(laid) = laid.as_ref().filter(|_| ply.is_compared()) else {
            continue;
        };
        let order = laid.order.iter().copied();
        let true_to: Result<Vec<Trueness>, String> = order.map(|it| true_to(ply, it)).collect();
        plies.push(Drilled {
            holes: ply.laid(laid, &stack.thread),
            true_to: true_to?
                .into_iter()
                .map(|it| {
                    if ply.tapped {
                        Trueness {
                            diameter: (0.0, 0.0),
                            ..it
                        }
                    } else {
                        it
                    }
                })
                .collect(),
        });
    }
    Ok(plies)
}

/// How a ply's holes are true as they are made.
fn as_made(ply: &StackPly, hole: usize) -> Result<Trueness, String> {
    ply.holes[hole].true_to.clone()
}

fn worked_out(stack: &Stack, across: &Across, all: &mut LookedAt) {
    let Some(plate) = stack.plies.iter().find_map(|it| it.plate) else {
        return;
    };
    let plies = match drilled(stack, across, as_made) {
        Ok(plies) => plies,
        Err(why) => {
            let message = format!(
                "joint \"{}\": the chance that all bolts go in is not worked out: {why}",
                stack.name
            );
            let finding = tell::finding(
                CHANCE_OF_FIT,
                Level::Note,
                message,
                "drill the holes: finish = \"drill\" under their [opening.\"…\"] in the part"
                    .to_owned(),
            );
            all.findings.push((plate, finding));
            "the chance that all bolts go in is not worked out".clone_into(&mut all.words);
            return;
        }
    };
    let found = chance(&plies);
    all.words = found.says();
    all.chance = Some(found);
    if found.spare < 0.0 && found.share < ENOUGH {
        let message = format!(
            "joint \"{}\": {} in {} % of {} draws, and {} % are wanted; at the worst {} mm are wanting",
            stack.name,
            match stack.bolts {
                1 => "its bolt goes in".to_owned(),
                more => format!("its {more} bolts go in together"),
            },
            decimal(100.0 * found.share, 1),
            super::DRAWS,
            decimal(100.0 * ENOUGH, 0),
            decimal(-found.spare, 2)
        );
        let finding = tell::finding(CHANCE_OF_FIT, Level::Warn, message, better(stack, across));
        all.findings.push((plate, finding));
    }
}

/// What would bring the chance up, tried before it is said.
fn better(stack: &Stack, across: &Across) -> String {
    let by_drill = |ply: &StackPly, hole: usize| match ply.plate {
        Some(_) => Ok(Trueness::drilled(ply.holes[hole].diameter)),
        None => as_made(ply, hole),
    };
    let share = |plies: Result<Vec<Drilled>, String>| plies.map_or(0.0, |it| chance(&it).share);
    let cut: Vec<&str> = stack
        .plies
        .iter()
        .filter(|it| it.as_cut && it.plate.is_some())
        .map(|it| it.says.as_str())
        .collect();
    let told = |share: f64| format!("{} %", decimal(100.0 * share, 1));
    if !cut.is_empty() {
        let reached = share(drilled(stack, across, by_drill));
        if reached >= ENOUGH {
            return format!(
                "drill these holes of {} at their marks or by the paper template, with finish = \"drill\" under their \
                 [opening.\"…\"]: {}",
                cut.join(" and "),
                told(reached)
            );
        }
    }
    if let Ok(coarse) = clearance::hole(&stack.thread, Fit::Loose) {
        let mut wider = stack.clone();
        let plates = wider
            .plies
            .iter_mut()
            .filter(|it| it.plate.is_some() && !it.tapped);
        for hole in plates.flat_map(|it| &mut it.holes) {
            hole.diameter = hole.diameter.max(coarse);
        }
        for (drill, words) in [(false, ""), (true, " and drill them")] {
            let plies = if drill {
                drilled(&wider, across, by_drill)
            } else {
                drilled(&wider, across, as_made)
            };
            let reached = share(plies);
            if reached >= ENOUGH {
                return format!(
                    "make the holes of the plates coarse, {}{words}: {}",
                    measured(coarse),
                    told(reached)
                );
            }
        }
    }
    "drill one ply through the other and add match_drilled = true to it".to_owned()
}
