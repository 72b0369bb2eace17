//! Leads: how the torch gets from the pierce onto the kerf path without touching the part.
//!
//! In: a [`KerfPath`], the nominal edges around it and the settings. Out: the [`Lead`] that hurts least:
//! a line and an arc that meets the kerf path at a tangent, or a line alone where the settings say so,
//! everywhere half a kerf clear of every finished edge, so that it leaves no nick at all; and others all
//! along the kerf path that hurt hardly more, to choose from where the plate lies on a sheet. Every
//! candidate is verified by exact distances.

use super::edges::{Edges, SLACK};
use super::kerf_path::{Curvature, EdgeKind, KerfPath, PathPoint};
use super::settings::{CutSettings, LeadForm};
use crate::elementary;
use crate::geometry::{Circle, Contour, Point, Segment};
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI};

/// A lead-in that fits, and where it joins the kerf path.
#[derive(Debug, Clone)]
pub(super) struct Lead {
    /// Where it joins.
    pub(super) spot: PathPoint,
    /// From the pierce to the kerf path.
    pub(super) run: Vec<Segment>,
    /// Distance of the pierce from the nearest finished edge, mm.
    pub(super) gap: f64,
}

impl Lead {
    /// From the pierce to the kerf path, mm.
    pub(super) fn length(&self) -> f64 {
        self.run.iter().map(Segment::length).sum()
    }
}

/// What a lead has to reckon with.
#[derive(Debug)]
pub(super) struct Scene<'a> {
    /// Outside or opening.
    pub(super) edge: EdgeKind,
    /// The nominal edges that the lead must keep clear of.
    pub(super) finished: Edges,
    /// All edges of the plate, and which of them is led onto: leads like much metal behind the edge.
    pub(super) all: &'a Edges,
    /// Who of these is led onto.
    pub(super) own: usize,
    /// Edges that mate with other parts.
    pub(super) mating: &'a Edges,
    /// The plate's hull: leads that stay in it cost no sheet.
    pub(super) hull: &'a Contour,
    /// The widest circle in an opening: its middle is the best place to pierce. `None` where there is room
    /// enough: in a wide one, and around the outside.
    pub(super) widest: Option<Circle>,
    /// The table's settings.
    pub(super) settings: &'a CutSettings,
}

/// How many places along a kerf path are tried.
const SPOTS: u32 = 96;

/// How many other leads a kerf path offers at most.
const MOST_OTHERS: usize = 16;

/// How much more than the chosen lead another may hurt: a bulging edge instead of a straight one, but
/// no corner, no hollow edge, no mating edge.
const HARDLY_MORE: f64 = 1.5;

/// A pierce nearer to the kerf path than this, mm, is no lead.
const LEAST_DEPTH: f64 = 0.02;

/// Sweeps of the arc that joins the kerf path, radians, best first: a quarter turn after a straight run
/// lets the arc settle; flatter ones use narrow slots; half turns use tight corners.
const SWEEPS: [f64; 5] = [FRAC_PI_2, FRAC_PI_4, 0.35, 0.75 * PI, PI];

/// Angles of a straight lead to the kerf path, radians, best first: square on is the shortest way clear of
/// the edge, flatter ones use narrow slots.
const SLANTS: [f64; 3] = [FRAC_PI_2, FRAC_PI_4, 0.35];

/// Shares of the full depth tried where there is less room.
const DEPTHS: [f64; 9] = [0.8, 0.6, 0.45, 0.33, 0.25, 0.18, 0.12, 0.08, 0.04];

/// What makes a lead worse, each scaled so that 1 is as bad as it gets.
mod weight {
    pub(super) const PIERCE_TOO_NEAR: f64 = 100.0;
    pub(super) const ON_MATING_EDGE: f64 = 50.0;
    pub(super) const TOO_SHORT: f64 = 20.0;
    pub(super) const NEAR_CORNER: f64 = 10.0;
    pub(super) const HOLLOW_EDGE: f64 = 5.0;
    pub(super) const LITTLE_METAL: f64 = 3.0;
    pub(super) const STICKS_OUT: f64 = 3.0;
    pub(super) const BULGING_EDGE: f64 = 1.0;
}

impl Scene<'_> {
    /// The lead that hurts least; `None` if none fits.
    pub(super) fn lead(&self, kerf_path: &KerfPath) -> Option<Lead> {
        self.pierced_in_the_middle(kerf_path)
            .or_else(|| self.along_the_track(kerf_path))
    }

    /// Leads spread along the kerf path that hurt hardly more than the chosen one, each with how much more.
    /// How far they stick out is left out of it: the sheet tells.
    pub(super) fn others(&self, kerf_path: &KerfPath, chosen: &Lead) -> Vec<(f64, Lead)> {
        let hurts = |lead: &Lead| self.spot_cost(kerf_path, &lead.spot) + self.shortness_cost(lead);
        let most = hurts(chosen) + HARDLY_MORE;
        let spots = kerf_path.spots(SPOTS / 2).into_iter();
        let spots: Vec<PathPoint> = spots
            .filter(|spot| self.spot_cost(kerf_path, spot) <= most)
            .collect();
        let step = spots.len().div_ceil(MOST_OTHERS).max(1);
        let pierced = self.middle(kerf_path);
        let leads = spots
            .into_iter()
            .step_by(step)
            .filter_map(|spot| match pierced {
                Some(middle) => self.lead_from_middle(kerf_path, spot, middle),
                None => Some(self.lead_at(kerf_path, spot)?.1),
            });
        leads
            .map(|lead| (hurts(&lead), lead))
            .filter(|(hurt, _)| *hurt <= most)
            .map(|(hurt, lead)| (hurt - (most - HARDLY_MORE), lead))
            .collect()
    }

    /// The middle of a small hole, or of another that is not much wider than a lead is long: it is
    /// pierced there.
    fn middle(&self, kerf_path: &KerfPath) -> Option<Point> {
        self.widest
            .filter(|it| kerf_path.is_round() && it.radius <= room_for_any(self.settings))
            .map(|widest| widest.centre)
    }

    /// The pierce in the middle of a round opening, where the edge minds it least.
    fn pierced_in_the_middle(&self, kerf_path: &KerfPath) -> Option<Lead> {
        let middle = self.middle(kerf_path)?;
        let spots = kerf_path.spots(SPOTS / 4).into_iter();
        let (_, spot) = spots
            .map(|spot| (self.spot_cost(kerf_path, &spot), spot))
            .min_by(|a, b| a.0.total_cmp(&b.0))?;
        self.lead_from_middle(kerf_path, spot, middle)
    }

    /// A half turn from the middle of a round opening onto its kerf path.
    fn lead_from_middle(
        &self,
        kerf_path: &KerfPath,
        spot: PathPoint,
        middle: Point,
    ) -> Option<Lead> {
        let depth = spot.at.distance(middle);
        let shape = match self.settings.lead {
            LeadForm::Arc => LeadShape::new(PI, depth, depth),
            LeadForm::Straight => LeadShape::straight(FRAC_PI_2, depth),
        };
        self.verified(kerf_path, spot, &shape)
    }

    /// The best of leads tried all along the kerf path.
    fn along_the_track(&self, kerf_path: &KerfPath) -> Option<Lead> {
        let mut spots: Vec<(f64, PathPoint)> = kerf_path
            .spots(SPOTS)
            .into_iter()
            .map(|spot| (self.spot_cost(kerf_path, &spot), spot))
            .collect();
        spots.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut best: Option<(f64, Lead)> = None;
        for (cost, spot) in spots {
            if best.as_ref().is_some_and(|(least, _)| cost >= *least) {
                break;
            }
            let Some((extra, lead)) = self.lead_at(kerf_path, spot) else {
                continue;
            };
            if best.as_ref().is_none_or(|(least, _)| cost + extra < *least) {
                best = Some((cost + extra, lead));
            }
        }
        best.map(|(_, lead)| lead)
    }

    /// The best lead at one place, with what its shape costs: the deepest pierce there is room for.
    fn lead_at(&self, kerf_path: &KerfPath, spot: PathPoint) -> Option<(f64, Lead)> {
        self.depths().into_iter().find_map(|depth| {
            self.shapes(depth)
                .into_iter()
                .filter_map(|shape| self.verified(kerf_path, spot, &shape))
                .map(|lead| (self.shape_cost(&lead), lead))
                .min_by(|a, b| a.0.total_cmp(&b.0))
        })
    }

    /// The shapes whose pierce lies at a depth.
    fn shapes(&self, depth: f64) -> Vec<LeadShape> {
        let radius = self.settings.lead_length / 2.0;
        match self.settings.lead {
            LeadForm::Arc => SWEEPS
                .iter()
                .map(|sweep| LeadShape::new(*sweep, depth, radius))
                .collect(),
            LeadForm::Straight => SLANTS
                .iter()
                .map(|angle| LeadShape::straight(*angle, depth))
                .collect(),
        }
    }

    /// How deep the pierce may lie, from the kerf path, mm: as the settings ask, else the most there is
    /// room for, and less.
    fn depths(&self) -> Vec<f64> {
        let full = full_depth(self.settings);
        let room = self.widest.map_or(f64::INFINITY, |widest| {
            widest.radius - self.settings.kerf / 2.0
        });
        let most = full.min(room);
        std::iter::once(1.0)
            .chain(DEPTHS)
            .map(|share| most * share)
            .filter(|depth| *depth >= LEAST_DEPTH)
            .collect()
    }

    /// A straight lead square onto the kerf path, if there is all the room for it that the settings ask.
    pub(super) fn square_lead(&self, kerf_path: &KerfPath, spot: PathPoint) -> Option<Lead> {
        let settings = self.settings;
        let clear = settings.pierce_clearance - settings.kerf / 2.0;
        let depth = settings.lead_length.max(clear);
        let lead = self.verified(kerf_path, spot, &LeadShape::straight(FRAC_PI_2, depth))?;
        (lead.gap >= settings.pierce_clearance - SLACK).then_some(lead)
    }

    /// A lead of some shape, if it keeps clear of every finished edge.
    fn verified(&self, kerf_path: &KerfPath, spot: PathPoint, shape: &LeadShape) -> Option<Lead> {
        let run = shape.lead_in(&spot, kerf_path);
        let clear = run
            .iter()
            .all(|piece| self.finished.are_whole_beside(piece, self.settings.kerf));
        clear.then(|| Lead {
            gap: self.finished.gap(run[0].start()),
            spot,
            run,
        })
    }

    fn spot_cost(&self, kerf_path: &KerfPath, spot: &PathPoint) -> f64 {
        let settings = self.settings;
        let touch = spot.at - kerf_path.towards_scrap(spot) * (settings.kerf / 2.0);
        let mates = self.mating.gap_within(touch, settings.kerf, None) < settings.kerf;
        let corner = shortfall(kerf_path.margin(spot, settings.kerf), settings.lead_length);
        let metal = self.little_metal(touch);
        let bend = match kerf_path.bend(spot) {
            Curvature::Straight => 0.0,
            Curvature::AroundPart => weight::BULGING_EDGE,
            Curvature::AroundScrap => weight::HOLLOW_EDGE,
        };
        f64::from(u8::from(mates)) * weight::ON_MATING_EDGE
            + corner * weight::NEAR_CORNER
            + metal * weight::LITTLE_METAL
            + bend
    }

    /// By what share the metal behind a place on the edge falls short of what leads like.
    pub(super) fn little_metal(&self, touch: Point) -> f64 {
        let wanted = 3.0 * self.settings.lead_length;
        shortfall(self.all.gap_within(touch, wanted, Some(self.own)), wanted)
    }

    fn shape_cost(&self, lead: &Lead) -> f64 {
        self.shortness_cost(lead) + self.sticking_out(lead) * weight::STICKS_OUT
    }

    fn shortness_cost(&self, lead: &Lead) -> f64 {
        let settings = self.settings;
        let near = shortfall(lead.gap, settings.pierce_clearance);
        let short = shortfall(lead.length(), settings.lead_length);
        near * weight::PIERCE_TOO_NEAR + short * weight::TOO_SHORT
    }

    /// How far the pierce of an outside lead lies beyond the plate's hull, against the lead length.
    pub(super) fn sticking_out(&self, lead: &Lead) -> f64 {
        let pierce = lead.run[0].start();
        match self.edge {
            EdgeKind::Outside if !self.hull.encloses(pierce) => {
                let out = self.hull.gap_to_point(pierce).distance;
                (out / (2.0 * self.settings.lead_length)).min(1.0)
            }
            _ => 0.0,
        }
    }

    /// A short arc off the kerf path into the scrap after the last contour, one kerf away from the part,
    /// so that the torch does not go off against a finished edge. Nothing where it does not fit.
    pub(super) fn lead_out(&self, kerf_path: &KerfPath, spot: &PathPoint) -> Vec<Segment> {
        let radius = self.settings.lead_length / 2.0;
        let kerf = self.settings.kerf;
        let sweep = elementary::acos(1.0 - (kerf / radius).min(1.0));
        let out = LeadShape {
            radius,
            sweep,
            line: 0.0,
        }
        .lead_out(spot, kerf_path);
        let clear = self.finished.are_whole_beside(&out, kerf);
        if clear { vec![out] } else { Vec::new() }
    }
}

/// An opening that holds a circle of this radius, mm, has room for any lead, and is not pierced in its middle.
pub(super) fn room_for_any(settings: &CutSettings) -> f64 {
    let near = 3.0 * full_depth(settings) + settings.kerf / 2.0;
    near.max(settings.small_hole / 2.0)
}

/// How deep a pierce lies from the kerf path with all the room there is, mm: clear of the finished edge
/// as the settings ask, and the lead as long as they ask.
fn full_depth(settings: &CutSettings) -> f64 {
    let arc = settings.lead_length / 2.0;
    let straight = (settings.lead_length - arc * FRAC_PI_2).max(0.0);
    let long = match settings.lead {
        LeadForm::Arc => arc + straight,
        LeadForm::Straight => settings.lead_length,
    };
    long.max(settings.pierce_clearance - settings.kerf / 2.0)
}

/// By what share `found` falls short of `wanted`.
pub(super) fn shortfall(found: f64, wanted: f64) -> f64 {
    if wanted <= 0.0 {
        0.0
    } else {
        (1.0 - found / wanted).clamp(0.0, 1.0)
    }
}

/// A straight run and an arc that joins a kerf path at a tangent; without the arc if its radius is 0.
#[derive(Debug, Clone, Copy)]
struct LeadShape {
    radius: f64,
    sweep: f64,
    line: f64,
}

impl LeadShape {
    /// The shape whose pierce lies `depth` mm from the kerf path, with an arc of a given sweep and of
    /// `radius` mm at most.
    fn new(sweep: f64, depth: f64, radius: f64) -> Self {
        let rise = 1.0 - elementary::cos(sweep);
        if depth <= radius * rise || sweep >= PI {
            return Self {
                radius: depth / rise,
                sweep,
                line: 0.0,
            };
        }
        Self {
            radius,
            sweep,
            line: (depth - radius * rise) / elementary::sin(sweep),
        }
    }

    /// A straight run that meets the kerf path at an angle, its pierce `depth` mm from it.
    fn straight(angle: f64, depth: f64) -> Self {
        Self {
            radius: 0.0,
            sweep: angle,
            line: depth / elementary::sin(angle),
        }
    }

    /// From the pierce to a spot.
    fn lead_in(&self, spot: &PathPoint, kerf_path: &KerfPath) -> Vec<Segment> {
        let centre = spot.at + kerf_path.towards_scrap(spot) * self.radius;
        let back = -self.sweep * kerf_path.scrap.sign();
        let start = centre + (spot.at - centre).turned(back);
        let pierce = start - spot.direction.turned(back) * self.line;
        let line = Segment::Line {
            start: pierce,
            end: start,
        };
        if self.radius <= 0.0 {
            return vec![line];
        }
        let arc = Segment::Arc {
            start,
            end: spot.at,
            centre,
            radius: self.radius,
            turning: kerf_path.scrap,
        };
        if self.line <= LEAST_DEPTH {
            return vec![arc];
        }
        vec![line, arc]
    }

    /// From a spot on along the arc into the scrap.
    fn lead_out(&self, spot: &PathPoint, kerf_path: &KerfPath) -> Segment {
        let centre = spot.at + kerf_path.towards_scrap(spot) * self.radius;
        let on = self.sweep * kerf_path.scrap.sign();
        Segment::Arc {
            start: spot.at,
            end: centre + (spot.at - centre).turned(on),
            centre,
            radius: self.radius,
            turning: kerf_path.scrap,
        }
    }
}
