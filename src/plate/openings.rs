//! Which opening of a finished plate is which, and whether holes that must come out whole do.

use crate::fault::{Fault, Faults, Outcome, nearest};
use crate::geometry::{Circle, Contour, Face};
use crate::quantity::format::both_units;
use crate::recipe::Part;
use crate::recipe::words::{Finish, Purpose};

use super::metal::{Cut, Metal};
use super::{Opening, Plate};

/// Circles whose centres and radii differ by less than this, mm, are the same.
const SAME_CIRCLE: f64 = 1e-5;

/// What each opening of the face is for, in their order.
///
/// Fails if a round hole that something must fit into lies outside the metal, breaks through its
/// edge or runs into another.
pub(super) fn told_apart(part: &Part, face: &Face, metal: &Metal) -> Outcome<Vec<Opening>> {
    let names = numbered(&metal.cuts);
    whole_holes(part, face, metal, &names)?;
    let mut unnamed = 0;
    let mut openings = Vec::with_capacity(face.openings.len());
    for contour in &face.openings {
        let found = made_by(contour, &metal.cuts);
        let opening = match found {
            Some(index) => {
                let cut = &metal.cuts[index];
                Opening {
                    name: names[index].clone(),
                    purpose: cut.purpose,
                    thread: cut.thread.clone(),
                    finish: finish(part, cut, &names[index]),
                    circle: contour.as_circle(),
                }
            }
            None => {
                unnamed += 1;
                Opening {
                    name: format!("window {unnamed}"),
                    purpose: Purpose::Window,
                    thread: None,
                    finish: Finish::ByRule,
                    circle: contour.as_circle(),
                }
            }
        };
        openings.push(opening);
    }
    Ok(openings)
}

/// Every override of the part names an opening that there is.
pub(super) fn check_overrides(part: &Part, plates: &[Plate]) -> Outcome<()> {
    let names: Vec<&str> = plates
        .iter()
        .flat_map(|plate| &plate.openings)
        .flat_map(|opening| [opening.name.as_str(), without_number(&opening.name)])
        .collect();
    let unknown = part
        .openings
        .iter()
        .filter(|(name, _)| !names.contains(&name.as_str()));
    let faults = unknown.map(|(name, _)| {
        let fault = name.fault(format!("there is no opening \"{}\"", name.as_str()));
        match nearest(name.as_str(), names.iter().copied()) {
            Some(near) => fault.remedy(format!("did you mean \"{near}\"?")),
            None => {
                let mut all = names.clone();
                all.sort_unstable();
                all.dedup();
                fault.remedy(format!("there are {}", all.join(", ")))
            }
        }
    });
    Faults::check(faults.collect())
}

/// The titles of the cuts, numbered where there are several of one.
fn numbered(cuts: &[Cut]) -> Vec<String> {
    let same = |cuts: &[Cut], title: &str| cuts.iter().filter(|cut| cut.title == title).count();
    cuts.iter()
        .enumerate()
        .map(|(index, cut)| match same(cuts, &cut.title) {
            1 => cut.title.clone(),
            _ => format!("{} {}", cut.title, same(&cuts[..=index], &cut.title)),
        })
        .collect()
}

fn without_number(name: &str) -> &str {
    match name.rsplit_once(' ') {
        Some((title, number)) if number.chars().all(|c| c.is_ascii_digit()) => title,
        _ => name,
    }
}

/// The cut that made an opening: the one of the same circle, else the first that something fits into
/// of those that cover part of it, else the first of those.
fn made_by(contour: &Contour, cuts: &[Cut]) -> Option<usize> {
    if let Some(circle) = contour.as_circle()
        && let Some(index) = cuts
            .iter()
            .position(|cut| cut.circle.is_some_and(|it| is_same(it, circle)))
    {
        return Some(index);
    }
    let inside = contour.interior_point();
    let covers = |cut: &Cut| {
        let own = cut
            .region
            .faces
            .iter()
            .any(|face| contour.encloses(face.outside.interior_point()));
        own || cut.region.contains(inside)
    };
    let mut covering = (0..cuts.len()).filter(|index| covers(&cuts[*index]));
    let first = covering.next()?;
    let fitting = std::iter::once(first)
        .chain(covering)
        .find(|index| cuts[*index].purpose.fits_something());
    Some(fitting.unwrap_or(first))
}

fn is_same(a: Circle, b: Circle) -> bool {
    a.centre.distance(b.centre) < SAME_CIRCLE && (a.radius - b.radius).abs() < SAME_CIRCLE
}

fn finish(part: &Part, cut: &Cut, name: &str) -> Finish {
    let asked = |wanted: &str| {
        part.openings
            .iter()
            .find(|(known, _)| known.as_str() == wanted)
    };
    let asked = asked(name).or_else(|| asked(&cut.title));
    asked.map_or(cut.finish, |(_, finish)| *finish)
}

/// Checks every round hole that something must fit into.
fn whole_holes(part: &Part, face: &Face, metal: &Metal, names: &[String]) -> Outcome<()> {
    let holes: Vec<(usize, Circle)> = metal
        .cuts
        .iter()
        .enumerate()
        .filter(|(_, cut)| cut.purpose.fits_something())
        .filter_map(|(index, cut)| Some((index, cut.circle?)))
        .collect();
    let mut faults = Vec::new();
    for (i, (index, hole)) in holes.iter().enumerate() {
        let at = |message: String| {
            Fault::refused(message)
                .at(&part.family.source, metal.cuts[*index].span.clone())
                .label(format!("for the part at {}", part.place()))
        };
        let edge = face.outside.gap_to_point(hole.centre).distance;
        if !face.outside.encloses(hole.centre) && edge >= hole.radius {
            let message = format!("{} lies outside the plate", names[*index]);
            faults.push(at(message).remedy("make the plate larger or bring the hole in"));
        } else if !face.outside.encloses(hole.centre) || edge < hole.radius - SAME_CIRCLE {
            let message = format!("{} breaks through the outside edge", names[*index]);
            faults.push(
                at(message)
                    .remedy("make the plate larger, bring the hole in, or use a smaller bolt"),
            );
        }
        for (other, (other_index, other_hole)) in holes.iter().enumerate().take(i) {
            let _ = other;
            let apart = hole.centre.distance(other_hole.centre);
            let overlap = hole.radius + other_hole.radius - apart;
            if overlap > SAME_CIRCLE && !is_same(*hole, *other_hole) {
                let message = format!(
                    "{} and {} overlap by {}",
                    names[*other_index],
                    names[*index],
                    both_units(overlap)
                );
                faults.push(at(message).remedy(
                    "move them apart, use smaller bolts, or turn one pattern against the other",
                ));
            }
        }
    }
    Faults::check(faults)
}

impl Opening {
    /// The opening moved.
    #[must_use]
    pub fn posed(&self, pose: &crate::geometry::Pose) -> Self {
        let circle = self.circle.map(|circle| Circle {
            centre: pose.point(circle.centre),
            radius: circle.radius,
        });
        Self {
            circle,
            ..self.clone()
        }
    }
}
