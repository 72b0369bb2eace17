//! Holding tabs: where a contour is left uncut for a short stretch, so that what it encloses stays in
//! the sheet.
//!
//! In: a [`KerfPath`], what leads have to reckon with, and how many tabs are wanted. Out: [`TabGap`]s spread
//! evenly along it on straight or gently bending stretches, none on a mating edge. A run ends before each
//! and the next starts behind it, pierced in the scrap and led square onto the edge: a lead that came in
//! at a tangent would burn the tab away. So no finished edge is pierced, and the marks of starting and
//! stopping stand where the tab is dressed anyway.

use super::kerf_path::{Curvature, EdgeKind, KerfPath, PathPoint};
use super::lead::{Lead, Scene, shortfall};
use super::settings::{SlugWork, Table};
use crate::fault::{Fault, Faults, Outcome};
use crate::geometry::{Bounds, Contour, Point, Segment};
use crate::plate::Plate;
use crate::quantity::format::millimetres;
use crate::recipe::Tabs;

/// A stretch of a kerf path that is left uncut.
#[derive(Debug, Clone)]
pub(super) struct TabGap {
    /// Where along the kerf path the run before it ends, mm; may be below 0.
    pub(super) ends: f64,
    /// Where along the kerf path the run after it starts, mm.
    pub(super) starts: f64,
    /// How that run is led onto it.
    pub(super) lead: Lead,
    /// Its middle, on the kerf path.
    pub(super) middle: Point,
}

/// How many tabs are wanted on one contour, and how wide.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wanted {
    /// How many.
    pub(super) count: u32,
    /// Least width of the metal that is left, mm.
    pub(super) width: f64,
}

/// Tabs narrower than this share of the kerf melt away beside it. Common practice, no source.
const LEAST_SHARE: f64 = 0.5;

/// Arcs tighter than so many times what a tab takes of the edge are corners.
const GENTLE: f64 = 4.0;

/// A tab that takes more of the kerf path than its straight distance by this factor lies round a corner.
const STRAIGHT: f64 = 1.02;

/// How many places along a kerf path are tried.
const PLACES: u32 = 192;

/// How far a tab may lie from its even place, as a share of the distance between two.
const UNEVEN: f64 = 0.35;

/// How exactly the width of an opening is found, mm.
const ROUGHLY: f64 = 0.05;

/// Rounds that bring a tab to its width; each takes off all but a hundredth of what is amiss.
const ROUNDS: u32 = 8;

/// What makes a place for a tab worse.
mod weight {
    /// Off its even place by all of the distance between two.
    pub(super) const OFF: f64 = 8.0;
    pub(super) const BENT: f64 = 0.5;
    /// The plate bends there as the tab is snipped.
    pub(super) const LITTLE_METAL: f64 = 2.0;
    pub(super) const NEAR_CORNER: f64 = 1.0;
    pub(super) const STICKS_OUT: f64 = 0.5;
}

impl Wanted {
    /// What the tabs of a table or job come to on the outside of a plate; `None` if it gets none.
    pub(super) fn on_outside(tabs: &Tabs, outside: &Contour) -> Option<Self> {
        let Bounds { min, max } = outside.bounds();
        let side = (max.x - min.x).max(max.y - min.y);
        (side >= tabs.smallest && side <= tabs.largest).then(|| Self::along(tabs, outside))
    }

    /// The same on the slug of an opening.
    pub(super) fn in_opening(tabs: &Tabs, opening: &Contour) -> Option<Self> {
        let least = tabs.windows?;
        let widest = 2.0 * opening.widest_circle(ROUGHLY).radius;
        (widest >= least).then(|| Self::along(tabs, opening))
    }

    /// As many as a contour of its length gets.
    pub(super) fn along(tabs: &Tabs, contour: &Contour) -> Self {
        let needed = tabs
            .apart
            .map_or(0, |apart| (contour.length() / apart).ceil() as u32);
        Self {
            count: tabs.count.max(needed).min(crate::recipe::tabs::MOST),
            width: tabs.width,
        }
    }
}

/// A place that a tab may take.
struct Candidate {
    gap: TabGap,
    cost: f64,
}

/// The tabs along a kerf path: as many of those wanted as there is room for, in the direction of travel.
pub(super) fn spread(scene: &Scene<'_>, kerf_path: &KerfPath, wanted: Wanted) -> Vec<TabGap> {
    let settings = scene.settings;
    let length = kerf_path.length();
    let takes = wanted.width + settings.kerf;
    // Nearer than this, one lead would burn beside the tab of another.
    let least_apart = 2.0 * (takes + settings.lead_length);
    let count = f64::from(wanted.count).min((length / least_apart).floor()) as u32;
    let places = places(scene, kerf_path, takes);
    (1..=count)
        .rev()
        .find_map(|count| evenly(&places, length, count, takes))
        .unwrap_or_default()
}

/// Every place along a kerf path where a tab can be.
fn places(scene: &Scene<'_>, kerf_path: &KerfPath, takes: f64) -> Vec<Candidate> {
    let spots = kerf_path.spots(PLACES).into_iter();
    let mut places: Vec<Candidate> = spots
        .filter_map(|spot| place(scene, kerf_path, kerf_path.position(&spot), takes))
        .collect();
    places.sort_by(|a, b| a.gap.starts.total_cmp(&b.gap.starts));
    places
}

/// The tab that ends at a place along the kerf path, if there can be one.
fn place(scene: &Scene<'_>, kerf_path: &KerfPath, starts: f64, takes: f64) -> Option<Candidate> {
    let settings = scene.settings;
    let spot = kerf_path.at(starts);
    let tight = GENTLE * takes;
    let margin = kerf_path.margin(&spot, tight);
    if margin < takes + settings.kerf {
        return None;
    }
    let lead = scene.square_lead(kerf_path, spot)?;
    let ends = starts - reach(kerf_path, &lead, starts, takes)?;
    let edge = [
        kerf_path.at(ends),
        kerf_path.at(f64::midpoint(ends, starts)),
        spot,
    ];
    let hollow = |it: &PathPoint| kerf_path.bend(it) == Curvature::AroundScrap;
    let finished = |it: &PathPoint| it.at - kerf_path.towards_scrap(it) * (settings.kerf / 2.0);
    let mates = |it: &PathPoint| scene.mating.gap(finished(it)) < settings.kerf;
    if edge.iter().any(mates) || (scene.edge == EdgeKind::Outside && edge.iter().any(hollow)) {
        return None;
    }
    let near = shortfall(margin, takes + settings.lead_length);
    let metal = scene.little_metal(finished(&spot));
    let bent = f64::from(u8::from(kerf_path.bend(&spot) != Curvature::Straight));
    let cost = near * weight::NEAR_CORNER
        + bent * weight::BENT
        + metal * weight::LITTLE_METAL
        + scene.sticking_out(&lead) * weight::STICKS_OUT;
    let gap = TabGap {
        ends,
        starts,
        lead,
        middle: edge[1].at,
    };
    Some(Candidate { gap, cost })
}

/// How far before a lead the run before must end, along the kerf path, for `takes` mm between the middles of
/// their kerfs; `None` round a corner.
fn reach(kerf_path: &KerfPath, lead: &Lead, starts: f64, takes: f64) -> Option<f64> {
    let mut reach = takes;
    for _ in 0..ROUNDS {
        let found = gap(&lead.run, kerf_path.at(starts - reach).at);
        if found <= 0.0 {
            return None;
        }
        reach *= takes / found;
        if reach > STRAIGHT * takes {
            return None;
        }
    }
    Some(reach)
}

/// How near a run comes to a place, mm.
fn gap(run: &[Segment], p: Point) -> f64 {
    let gaps = run.iter().map(|piece| piece.gap_to_point(p).distance);
    gaps.fold(f64::INFINITY, f64::min)
}

/// The cheapest `count` places that lie evenly round the kerf path; `None` if there are none.
fn evenly(places: &[Candidate], length: f64, count: u32, takes: f64) -> Option<Vec<TabGap>> {
    let pitch = length / f64::from(count);
    let from = |first: &Candidate| -> Option<(f64, Vec<TabGap>)> {
        let mut cost = first.cost;
        let mut taken = vec![&first.gap];
        for k in 1..count {
            let even = first.gap.starts + f64::from(k) * pitch;
            let options = places.iter().filter_map(|place| {
                let off =
                    (place.gap.starts - even + length / 2.0).rem_euclid(length) - length / 2.0;
                let share = off.abs() / pitch;
                let cost = place.cost + share * share * weight::OFF;
                (share <= UNEVEN).then_some((cost, place))
            });
            let free = options
                .filter(|(_, place)| taken.iter().all(|it| are_apart(it, &place.gap, takes)));
            let (extra, place) = free.min_by(|a, b| a.0.total_cmp(&b.0))?;
            cost += extra;
            taken.push(&place.gap);
        }
        Some((cost, taken.into_iter().cloned().collect()))
    };
    let best = places.iter().filter_map(from);
    let (_, mut gaps) = best.min_by(|a, b| a.0.total_cmp(&b.0))?;
    gaps.sort_by(|a, b| a.starts.total_cmp(&b.starts));
    Some(gaps)
}

/// Whether the lead of neither tab burns beside the other.
fn are_apart(a: &TabGap, b: &TabGap, takes: f64) -> bool {
    let least = 2.0 * takes;
    gap(&a.lead.run, b.middle) >= least && gap(&b.lead.run, a.middle) >= least
}

/// Slugs are to be held by tabs, and nothing says how wide these are.
fn slugs_without_tabs() -> Faults {
    let fault = Fault::refused("the table holds slugs by tabs, and nothing says how wide a tab is");
    let remedy =
        "add `tabs = { width = \"2 mm\" }` to the job, or [tabs] with a `width` to the table";
    fault.remedy(remedy).into()
}

impl Table {
    /// Refuses holding tabs that are too narrow for the kerf in one of some plates, where they are asked for.
    pub fn check_tabs(&self, plates: &[Plate]) -> Outcome<()> {
        let Some(tabs) = &self.tabs else {
            return if self.slugs == SlugWork::Tabs {
                Err(slugs_without_tabs())
            } else {
                Ok(())
            };
        };
        let settings = plates.iter().filter_map(|plate| {
            let settings = self.settings(&plate.material, plate.thickness);
            settings.ok()
        });
        let kerf = settings.map(|it| it.kerf).fold(0.0, f64::max);
        let least = LEAST_SHARE * kerf;
        if tabs.width >= least {
            return Ok(());
        }
        let fault = Fault::refused(format!(
            "holding tabs of {} burn away beside a kerf of {}",
            millimetres(tabs.width),
            millimetres(kerf)
        ));
        let fault = fault.remedy(format!("make them at least {} wide", millimetres(least)));
        Err(fault.at(&tabs.place.source, tabs.place.span.clone()).into())
    }
}
