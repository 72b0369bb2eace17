//! Whether holes come out whole: those that something fits into must lie in metal, break through no
//! edge and stay clear of one another, and no hole with a purpose may cut nothing.

use crate::fault::{Fault, Faults, Outcome};
use crate::finding::{Finding, Level};
use crate::geometry::{Circle, Contour, Face, Region};
use crate::quantity::format::both_units;
use crate::recipe::Part;
use crate::recipe::plan::Plan;
use crate::recipe::words::Purpose;

use super::construction::{Construction, Cut};
use super::openings::{SAME_EDGE, cut_name, is_same, shares_edge};
use super::pieces::{at_step, unresolved};

/// Checks every hole of a plate; what is doubtful but possible is a finding.
pub(super) fn whole(
    part: &Part,
    plan: &Plan,
    made: &Construction,
    face: &Face,
    what: &str,
) -> Outcome<Vec<Finding>> {
    let check = Check {
        part,
        plan,
        made,
        face,
    };
    let (overlapping, mut faults) = check.overlaps();
    let lost: Vec<usize> = check.lost_holes();
    let lost = lost.into_iter().filter(|cut| !overlapping.contains(cut));
    let mut findings = Vec::new();
    let lost: Vec<usize> = lost.collect();
    if !lost.is_empty() {
        let solid = check.without_round_holes();
        let solid = solid.map_err(|why| unresolved(part, what, &why))?;
        for cut in lost {
            match check.fate(&made.cuts[cut], &solid) {
                Ok(finding) => findings.extend(finding),
                Err(fault) => faults.push(fault),
            }
        }
    }
    faults.extend(check.cuts_in_air());
    Faults::check(faults)?;
    Ok(findings)
}

struct Check<'a> {
    part: &'a Part,
    plan: &'a Plan,
    made: &'a Construction,
    face: &'a Face,
}

impl Check<'_> {
    /// Round holes that something fits into.
    fn round_holes(&self) -> impl Iterator<Item = (usize, &Cut, Circle)> {
        let cuts = self.made.cuts.iter().enumerate();
        cuts.filter(|(_, cut)| cut.purpose.fits_something())
            .filter_map(|(index, cut)| Some((index, cut, cut.circle?)))
    }

    /// The holes that overlap another, and one fault for each two steps whose holes do.
    fn overlaps(&self) -> (Vec<usize>, Vec<Fault>) {
        let holes: Vec<_> = self.round_holes().collect();
        let mut overlapping = Vec::new();
        let mut pairs: Vec<Overlap<'_>> = Vec::new();
        for (i, (first, one, a)) in holes.iter().enumerate() {
            for (second, other, b) in &holes[i + 1..] {
                let by = a.radius + b.radius - a.centre.distance(b.centre);
                if by <= SAME_EDGE {
                    continue;
                }
                overlapping.extend([*first, *second]);
                let steps = [one.step, other.step];
                match pairs.iter_mut().find(|pair| pair.steps() == steps) {
                    Some(pair) => pair.more += 1,
                    None => pairs.push(Overlap {
                        holes: [one, other],
                        by,
                        more: 0,
                    }),
                }
            }
        }
        let faults = pairs.iter().map(|pair| self.overlap_fault(pair)).collect();
        (overlapping, faults)
    }

    fn overlap_fault(&self, pair: &Overlap<'_>) -> Fault {
        let [one, other] = pair.holes;
        let message = format!(
            "{} overlap by {}{}",
            pair.names(&self.made.cuts),
            both_units(pair.by),
            match pair.more {
                0 => String::new(),
                1 => ", and one more pair does".to_owned(),
                more => format!(", and {more} more pairs do"),
            }
        );
        let fault = at_step(self.part, &self.plan.steps[other.step], message);
        match (one.step == other.step, other.pattern, other.circle) {
            (true, Some((count, _)), Some(hole)) => {
                // The chord between neighbours on a circle D is D sin(π / n).
                let least = 2.0 * hole.radius / (std::f64::consts::PI / f64::from(count)).sin();
                fault.remedy(format!(
                    "{count} holes of {} need a pitch circle of more than {}",
                    both_units(2.0 * hole.radius),
                    both_units(least)
                ))
            }
            _ => fault.remedy("move them apart, or make them smaller"),
        }
    }

    /// Round holes that something fits into and that are not among the openings.
    fn lost_holes(&self) -> Vec<usize> {
        let there: Vec<Circle> = self
            .face
            .openings
            .iter()
            .filter_map(Contour::as_circle)
            .collect();
        self.round_holes()
            .filter(|(_, _, hole)| !there.iter().any(|circle| is_same(*circle, *hole)))
            .map(|(index, _, _)| index)
            .collect()
    }

    /// The plate before its round holes.
    fn without_round_holes(&self) -> Result<Region, crate::geometry::Unresolved> {
        let round: Vec<usize> = self.round_holes().map(|(index, _, _)| index).collect();
        let stages = self.made.stages.len();
        self.made.region_after(stages, &|cut| !round.contains(&cut))
    }

    /// Why a round hole did not come out whole: a fault, or only a finding where it ran into another
    /// opening.
    fn fate(&self, cut: &Cut, solid: &Region) -> Result<Option<Finding>, Fault> {
        let Some(hole) = cut.circle else {
            return Ok(None);
        };
        let name = cut_name(cut, &self.made.cuts);
        let fault = |message: String| at_step(self.part, &self.plan.steps[cut.step], message);
        let inside = solid.contains(hole.centre);
        let gap = |contour: &Contour| contour.gap_to_point(hole.centre).distance;
        let outside = solid.faces.iter().map(|face| &face.outside);
        let to_outside = outside.clone().map(gap).fold(f64::INFINITY, f64::min);
        let to_any = solid.contours().map(gap).fold(f64::INFINITY, f64::min);
        if to_outside < hole.radius - SAME_EDGE {
            let by = if outside.clone().any(|edge| edge.encloses(hole.centre)) {
                hole.radius - to_outside
            } else {
                hole.radius + to_outside
            };
            let message = format!(
                "{name} breaks through the outside edge by {}",
                both_units(by)
            );
            return Err(fault(message).remedy(format!(
                "bring it in, or the edge out, by at least that and an edge distance for its {}",
                cut.purpose.word()
            )));
        }
        if to_any < hole.radius - SAME_EDGE {
            return Ok((cut.purpose != Purpose::Bore).then(|| merged(&name, cut, hole)));
        }
        if inside {
            let message = format!("{name} is closed again by a later step");
            return Err(fault(message).remedy("drill after adding and rounding"));
        }
        let message = if outside.clone().any(|edge| edge.encloses(hole.centre)) {
            format!("{name} lies wholly in another opening")
        } else {
            format!("{name} lies outside the plate")
        };
        Err(fault(message).remedy("bring it into the metal, or make the plate larger"))
    }

    /// Other cuts with a purpose that take away nothing.
    fn cuts_in_air(&self) -> Vec<Fault> {
        let contours = || std::iter::once(&self.face.outside).chain(&self.face.openings);
        let round: Vec<usize> = self.round_holes().map(|(index, _, _)| index).collect();
        let cuts = self.made.cuts.iter().enumerate();
        cuts.filter(|(index, cut)| cut.purpose != Purpose::Window && !round.contains(index))
            .filter(|(_, cut)| !contours().any(|contour| shares_edge(contour, cut)))
            .map(|(_, cut)| {
                let name = cut_name(cut, &self.made.cuts);
                let message = format!("{name} cuts nothing: it lies outside the metal");
                at_step(self.part, &self.plan.steps[cut.step], message)
                    .remedy("bring it into the metal, or make the plate larger")
            })
            .collect()
    }
}

fn merged(name: &str, cut: &Cut, hole: Circle) -> Finding {
    Finding {
        check: "merged openings".to_owned(),
        level: Level::Warn,
        message: format!("{name} runs into another opening and is no longer a whole hole"),
        remedy: format!(
            "leave metal all round it if a {} is to hold",
            cut.purpose.word()
        ),
        source: String::new(),
        at: Some(hole.centre),
    }
}

/// Two holes that overlap, standing for all pairs of their two steps.
struct Overlap<'a> {
    holes: [&'a Cut; 2],
    by: f64,
    more: u32,
}

impl Overlap<'_> {
    fn steps(&self) -> [usize; 2] {
        self.holes.map(|hole| hole.step)
    }

    /// `hub bolts 1 and 2`, or `bore and hub bolt 1`.
    fn names(&self, cuts: &[Cut]) -> String {
        let [one, other] = self.holes;
        if one.title == other.title {
            format!("{}s {} and {}", one.title, one.number, other.number)
        } else {
            format!("{} and {}", cut_name(one, cuts), cut_name(other, cuts))
        }
    }
}
