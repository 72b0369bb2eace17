//! Whether what a clocking leaves is enough.
//!
//! In: a site, a pattern and a clocking. Out: each rule with what is needed, what there is, and where
//! the limit comes from.

use super::{Pattern, Site, Web, webs};
use crate::elementary;
use crate::geometry::Point;
use crate::plate::Purpose;
use crate::quantity::Dimension;
use crate::quantity::format::printed_slack;
use crate::trade::edge::{self, EDGE_OF_HOLE, LEAST_SPACING};
use crate::trade::{Thread, wrench};

/// Slack when a measure is compared with its limit, mm: what prints as the limit keeps it.
const SLACK: f64 = printed_slack(Dimension::LENGTH);
/// Least metal between two bolt holes, in diameters of the larger bolt (AISC 360 J3.3).
const BETWEEN: f64 = 1.0;

/// How much a rule weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// Without it the plate should not be drilled.
    Must,
    /// Worth having.
    Should,
}

/// What a rule is about; decides what helps where it is not met.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum About {
    /// New holes and holes that are there.
    Holes,
    /// New holes among themselves.
    Own,
    /// New holes and the bore or another opening.
    Opening,
    /// New holes and the outside.
    Edge,
    /// Room for sockets and washers.
    Seat,
}

/// A rule, and how a clocking keeps it.
#[derive(Debug, Clone, PartialEq)]
pub struct Ruling {
    /// What is compared.
    pub says: String,
    /// What it is about.
    pub about: About,
    /// How much it weighs.
    pub weight: Weight,
    /// What there is, mm.
    pub has: f64,
    /// What is needed, mm.
    pub needs: f64,
    /// Where the limit comes from.
    pub source: &'static str,
}

impl Ruling {
    /// Whether the rule is kept.
    #[must_use]
    pub fn is_met(&self) -> bool {
        self.has >= self.needs - SLACK
    }
}

/// Every rule at a clocking.
#[must_use]
pub fn rulings(site: &Site, pattern: &Pattern, angle: f64) -> Vec<Ruling> {
    let webs = webs(site, pattern, angle);
    let centres = pattern.centres(site, angle);
    let mut rulings = Vec::new();
    rulings.extend(between_holes(site, pattern, &webs));
    rulings.extend(centre_to_centre(site, pattern, &centres));
    rulings.extend(own_spacing(pattern));
    rulings.extend(to_openings(site, pattern, &webs));
    rulings.push(to_outside(pattern, &webs));
    rulings.extend(seats(site, pattern, &webs, &centres));
    rulings
}

/// Whether every rule that must be kept is kept.
#[must_use]
pub fn is_sound(rulings: &[Ruling]) -> bool {
    rulings
        .iter()
        .all(|ruling| ruling.weight == Weight::Should || ruling.is_met())
}

/// A bolt's diameter; without a known bolt the hole's, which is on the safe side.
fn size(thread: Option<&Thread>, hole: f64) -> f64 {
    thread.map_or(hole, |thread| thread.diameter)
}

fn is_hole(site: &Site, opening: usize) -> bool {
    matches!(
        site.existing[opening].purpose,
        Purpose::Bolt | Purpose::Tapped | Purpose::Pin
    ) && site.face.openings[opening].as_circle().is_some()
}

/// Diameter of the bolt in a round opening.
fn size_there(site: &Site, opening: usize) -> f64 {
    let circle = site.face.openings[opening].as_circle();
    let hole = circle.map_or(0.0, |circle| 2.0 * circle.radius);
    size(site.existing[opening].thread.as_ref(), hole)
}

/// Least metal of half a thickness or this, mm, between a hole and an opening that is none for a bolt.
const LEAST: f64 = 5.0;

/// The metal that must be left between a new hole and an opening, or the outside, mm.
#[must_use]
pub fn least_web(site: &Site, pattern: &Pattern, opening: Option<usize>) -> f64 {
    match opening {
        Some(at) if is_hole(site, at) => {
            let own = size(pattern.thread.as_ref(), pattern.hole);
            BETWEEN * own.max(size_there(site, at))
        }
        Some(_) => (site.thickness / 2.0).min(LEAST),
        None => edge_distance(pattern).0 - pattern.hole / 2.0,
    }
}

fn between_holes(site: &Site, pattern: &Pattern, webs: &[Web]) -> Option<Ruling> {
    let holes = webs.iter().filter_map(|web| {
        let opening = web.opening.filter(|at| is_hole(site, *at))?;
        Some((web, opening, least_web(site, pattern, web.opening)))
    });
    let (web, opening, needs) =
        holes.min_by(|a, b| (a.0.width - a.2).total_cmp(&(b.0.width - b.2)))?;
    Some(Ruling {
        says: format!(
            "metal between a new hole and {}",
            site.existing[opening].name
        ),
        about: About::Holes,
        weight: Weight::Must,
        has: web.width,
        needs,
        source: "AISC 360 Section J3.3: one bolt diameter clear between holes",
    })
}

fn centre_to_centre(site: &Site, pattern: &Pattern, centres: &[Point]) -> Option<Ruling> {
    let own = size(pattern.thread.as_ref(), pattern.hole);
    let holes = (0..site.existing.len()).filter(|at| is_hole(site, *at));
    let nearest = holes.filter_map(|opening| {
        let there = site.face.openings[opening].as_circle()?;
        let apart = centres.iter().map(|p| p.distance(there.centre));
        let needs = LEAST_SPACING * own.max(size_there(site, opening));
        Some((apart.fold(f64::INFINITY, f64::min), opening, needs))
    });
    let (has, opening, needs) = nearest.min_by(|a, b| (a.0 - a.2).total_cmp(&(b.0 - b.2)))?;
    Some(Ruling {
        says: format!(
            "a new hole and {}, centre to centre",
            site.existing[opening].name
        ),
        about: About::Holes,
        weight: Weight::Should,
        has,
        needs,
        source: "AISC 360 Section J3.3: 2-2/3 bolt diameters, for the bolts of one joint",
    })
}

fn own_spacing(pattern: &Pattern) -> Option<Ruling> {
    (pattern.count > 1).then(|| Ruling {
        says: "neighbouring new holes, centre to centre".to_owned(),
        about: About::Own,
        weight: Weight::Must,
        has: pattern.circle * elementary::sin(pattern.pace() / 2.0),
        needs: LEAST_SPACING * size(pattern.thread.as_ref(), pattern.hole),
        source: "AISC 360 Section J3.3: 2-2/3 bolt diameters",
    })
}

/// Centre to edge that a new hole needs, and where that comes from.
pub(super) fn edge_distance(pattern: &Pattern) -> (f64, &'static str) {
    match &pattern.thread {
        Some(thread) => (edge::edge_distance(thread), edge::edge_source(thread)),
        None => (
            EDGE_OF_HOLE * pattern.hole,
            "common practice, 1.5 hole diameters (no bolt is named)",
        ),
    }
}

/// The bore and every opening that is no bolt hole: metal of half a thickness or 5 mm must be left,
/// and the distance of a free edge is better.
fn to_openings(site: &Site, pattern: &Pattern, webs: &[Web]) -> Vec<Ruling> {
    let others = webs
        .iter()
        .filter(|web| web.opening.is_some_and(|at| !is_hole(site, at)));
    let Some(web) = others.min_by(|a, b| a.width.total_cmp(&b.width)) else {
        return Vec::new();
    };
    let name = site.name_of(web.opening);
    let (needs, source) = edge_distance(pattern);
    vec![
        Ruling {
            says: format!("metal between a new hole and {name}"),
            about: About::Opening,
            weight: Weight::Must,
            has: web.width,
            needs: least_web(site, pattern, web.opening),
            source: "common practice: half a thickness or 5 mm",
        },
        Ruling {
            says: format!("centre of a new hole to {name}, as at a free edge"),
            about: About::Opening,
            weight: Weight::Should,
            has: web.width + pattern.hole / 2.0,
            needs,
            source,
        },
    ]
}

fn to_outside(pattern: &Pattern, webs: &[Web]) -> Ruling {
    let outside = webs.iter().filter(|web| web.opening.is_none());
    let width = outside.fold(f64::INFINITY, |least, web| least.min(web.width));
    let (needs, source) = edge_distance(pattern);
    Ruling {
        says: "centre of a new hole to the outside".to_owned(),
        about: About::Edge,
        weight: Weight::Must,
        has: width + pattern.hole / 2.0,
        needs,
        source,
    }
}

/// A washer wants flat metal under it, and a socket room beside the hexagon of the next bolt.
fn seats(site: &Site, pattern: &Pattern, webs: &[Web], centres: &[Point]) -> Vec<Ruling> {
    let Some((flats, washer)) = pattern.thread.as_ref().and_then(wrench::seat) else {
        return Vec::new();
    };
    let mut rulings = Vec::new();
    if let Some(web) = webs.iter().min_by(|a, b| a.width.total_cmp(&b.width)) {
        rulings.push(Ruling {
            says: format!(
                "flat metal under a washer, towards {}",
                site.name_of(web.opening)
            ),
            about: About::Seat,
            weight: Weight::Should,
            has: web.width + pattern.hole / 2.0,
            needs: washer / 2.0,
            source: wrench::WASHERS.source,
        });
    }
    let corner_radius = |flats: f64| flats / 3.0_f64.sqrt();
    let holes = (0..site.existing.len()).filter(|at| is_hole(site, *at));
    let heads = holes.filter_map(|opening| {
        let there = site.face.openings[opening].as_circle()?;
        let (their_flats, _) = wrench::seat(site.existing[opening].thread.as_ref()?)?;
        let apart = centres.iter().map(|p| p.distance(there.centre));
        let apart = apart.fold(f64::INFINITY, f64::min);
        let one_way = wrench::socket_outside(flats) / 2.0 + corner_radius(their_flats);
        let other_way = wrench::socket_outside(their_flats) / 2.0 + corner_radius(flats);
        Some((apart, opening, one_way.max(other_way)))
    });
    if let Some((has, opening, needs)) = heads.min_by(|a, b| (a.0 - a.2).total_cmp(&(b.0 - b.2))) {
        rulings.push(Ruling {
            says: format!(
                "room for a socket between a new bolt and {} on one side of the plate, centre to centre",
                site.existing[opening].name
            ),
            about: About::Seat,
            weight: Weight::Should,
            has,
            needs,
            source: wrench::SOCKETS.source,
        });
    }
    rulings
}
