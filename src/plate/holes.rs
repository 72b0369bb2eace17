//! Whether holes come out whole: those that something fits into must lie in metal, break through no
//! edge and stay clear of one another, and no hole with a purpose may cut nothing.

use std::f64::consts::PI;

use crate::elementary;
use crate::fault::{Fault, Faults, Outcome};
use crate::finding::{Finding, Level};
use crate::geometry::{Circle, Contour, Face, Region, Unresolved};
use crate::quantity::format::both_units;
use crate::recipe::Part;
use crate::recipe::plate_spec::PlateSpec;
use crate::recipe::words::Purpose;

use super::construction::{Construction, Cut};
use super::openings::{SAME_EDGE, cut_name, is_same, shares_edge};
use super::pieces::{at_step, unresolved};

/// Checks that no two round holes overlap.
pub(super) fn apart(part: &Part, plan: &PlateSpec, made: &Construction) -> Outcome<()> {
    Faults::check(overlaps(part, plan, made))
}

/// Checks every hole of a plate whose round holes lie apart; what is doubtful but possible is a
/// finding.
pub(super) fn whole(
    part: &Part,
    plan: &PlateSpec,
    made: &Construction,
    face: &Face,
    what: &str,
) -> Outcome<Vec<Finding>> {
    let fault = |step: usize, message| at_step(part, &plan.steps[step], message);
    let mut findings = Vec::new();
    let mut faults = Vec::new();
    let mut lost = lost_holes(made, face).peekable();
    if lost.peek().is_some() {
        let solid = without_round_holes(made);
        let solid = solid.map_err(|why| unresolved(part, what, &why))?;
        let mut fates: Vec<(Fate, Vec<&Cut>)> = Vec::new();
        for (cut, hole) in lost {
            let fate = Fate::of(hole, &solid);
            if fate == Fate::Merged {
                // A keyway is one with its bore; a window is not meant to be.
                let is_window = |other: &&Cut| {
                    other.purpose == Purpose::Window
                        && other
                            .region
                            .edge_gap_to_point(hole.centre)
                            .is_some_and(|gap| gap.distance < hole.radius)
                };
                let harmless =
                    cut.purpose == Purpose::Bore && !made.cuts.iter().any(|it| is_window(&it));
                findings.extend((!harmless).then(|| merged(cut, hole, &made.cuts)));
                continue;
            }
            let alike = |(other, cuts): &&mut (Fate, Vec<&Cut>)| {
                other.is_like(fate) && cuts[0].step == cut.step
            };
            match fates.iter_mut().find(alike) {
                Some((worst, cuts)) => {
                    *worst = worst.or_worse(fate);
                    cuts.push(cut);
                }
                None => fates.push((fate, vec![cut])),
            }
        }
        for (fate, cuts) in &fates {
            let (message, remedy) = fate.said(&names(cuts, &made.cuts));
            faults.push(fault(cuts[0].step, message).remedy(remedy));
        }
    }
    for cut in spoilt(made, face) {
        let name = cut_name(cut, &made.cuts);
        let message =
            format!("{name} does not come out whole: it runs into another opening or an edge");
        let remedy = "leave metal all round it, or call it a window";
        faults.push(fault(cut.step, message).remedy(remedy));
    }
    for cut in cuts_in_air(made, face) {
        let name = cut_name(cut, &made.cuts);
        let message = format!("{name} cuts nothing: it lies outside the metal");
        let remedy = "bring it into the metal, or make the plate larger";
        faults.push(fault(cut.step, message).remedy(remedy));
    }
    Faults::check(faults)?;
    findings.extend(swallowed(made));
    Ok(findings)
}

/// Windows and slots that lie wholly in another cut: nothing is left of their edges.
fn swallowed(made: &Construction) -> impl Iterator<Item = Finding> {
    let round: Vec<usize> = round_holes(made).map(|(index, _, _)| index).collect();
    let boxes: Vec<_> = made.cuts.iter().map(|it| it.region.bounds()).collect();
    let cuts = made.cuts.iter().enumerate();
    cuts.filter(move |(index, _)| !round.contains(index))
        .filter_map(move |(index, cut)| {
            let others = made.cuts.iter().enumerate();
            let mut around = others.filter(|(other, it)| {
                let later_of_two_alike = boxes[*other] == boxes[index] && *other > index;
                it.step != cut.step
                    && !later_of_two_alike
                    && boxes[*other].holds(boxes[index])
                    && is_within(&cut.region, &it.region)
            });
            let (_, other) = around.next()?;
            let names = [cut, other].map(|it| cut_name(it, &made.cuts));
            Some(Finding {
                check: "merged openings".to_owned(),
                level: Level::Warn,
                message: format!(
                    "{} lies wholly in {} and leaves no edge",
                    names[0], names[1]
                ),
                remedy: "move it, or leave it out".to_owned(),
                source: String::new(),
                at: Some(cut.region.bounds().centre()),
            })
        })
}

/// Whether a region lies in another; not where that cannot be told.
fn is_within(inner: &Region, outer: &Region) -> bool {
    let left = inner.difference(outer);
    left.is_ok_and(|left| left.faces.is_empty())
}

/// Round holes that something fits into.
fn round_holes<'a>(made: &'a Construction<'_>) -> impl Iterator<Item = (usize, &'a Cut, Circle)> {
    let cuts = made.cuts.iter().enumerate();
    cuts.filter(|(_, cut)| cut.purpose.fits_something())
        .filter_map(|(index, cut)| Some((index, cut, cut.circle?)))
}

/// One fault for each two steps whose holes overlap.
fn overlaps(part: &Part, plan: &PlateSpec, made: &Construction) -> Vec<Fault> {
    let holes: Vec<_> = round_holes(made).collect();
    let mut pairs: Vec<Overlap<'_>> = Vec::new();
    for (i, (_, one, a)) in holes.iter().enumerate() {
        for (_, other, b) in &holes[i + 1..] {
            let by = a.radius + b.radius - a.centre.distance(b.centre);
            if by <= SAME_EDGE {
                continue;
            }
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
    pairs
        .iter()
        .map(|pair| pair.fault(part, plan, made))
        .collect()
}

/// Round holes that something fits into and that are not among the openings.
fn lost_holes<'a>(made: &'a Construction, face: &Face) -> impl Iterator<Item = (&'a Cut, Circle)> {
    let there: Vec<Circle> = face
        .openings
        .iter()
        .filter_map(Contour::as_circle)
        .collect();
    round_holes(made)
        .filter(move |(_, _, hole)| !there.iter().any(|circle| is_same(*circle, *hole)))
        .map(|(_, cut, hole)| (cut, hole))
}

/// Openings of other forms that must come out whole, lie in the metal and do not.
fn spoilt<'a>(made: &'a Construction, face: &'a Face) -> impl Iterator<Item = &'a Cut> {
    let asked = made.cuts.iter();
    let asked = asked.filter(|cut| cut.purpose == Purpose::Opening && cut.circle.is_none());
    asked.filter(|cut| {
        let area = cut.region.area();
        let is_whole = |edge: &Contour| {
            (edge.signed_area().abs() - area).abs() <= SAME_EDGE * edge.length()
                && shares_edge(edge, cut)
        };
        let touched = face.contours();
        let is_cut = touched.into_iter().any(|edge| shares_edge(edge, cut));
        is_cut && !face.openings.iter().any(is_whole)
    })
}

/// The plate before its round holes.
fn without_round_holes(made: &Construction) -> Result<Region, Unresolved> {
    let round: Vec<usize> = round_holes(made).map(|(index, _, _)| index).collect();
    made.region_after(made.stages.len(), &|cut| !round.contains(&cut))
}

/// Other cuts with a purpose that take away nothing.
fn cuts_in_air<'a>(made: &'a Construction, face: &'a Face) -> impl Iterator<Item = &'a Cut> {
    let round: Vec<usize> = round_holes(made).map(|(index, _, _)| index).collect();
    let cuts = made.cuts.iter().enumerate();
    cuts.filter(move |(index, cut)| cut.purpose != Purpose::Window && !round.contains(index))
        .map(|(_, cut)| cut)
        .filter(|cut| {
            let mut contours = face.contours();
            !contours.any(|contour| shares_edge(contour, cut))
        })
}

/// What became of a hole that did not come out whole.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Fate {
    /// It breaks through the outside edge by so many mm.
    Breaks(f64),
    /// It runs into another opening.
    Merged,
    /// It was cut and then covered.
    Closed,
    /// It lies in another opening.
    InOpening,
    /// It lies outside the plate.
    Outside,
}

impl Fate {
    /// The fate of a hole, given the plate before its round holes.
    fn of(hole: Circle, solid: &Region) -> Self {
        let gap = |contour: &Contour| contour.gap_to_point(hole.centre).distance;
        let nearest = |gaps: &mut dyn Iterator<Item = f64>| gaps.fold(f64::INFINITY, f64::min);
        let edges = || solid.faces.iter().map(|face| &face.outside);
        let within = edges().any(|edge| edge.encloses(hole.centre));
        let to_outside = nearest(&mut edges().map(gap));
        let to_any = nearest(&mut solid.contours().map(gap));
        let reach = hole.radius - SAME_EDGE;
        match (within, solid.contains(hole.centre)) {
            (true, _) if to_outside < reach => Self::Breaks(hole.radius - to_outside),
            (false, _) if to_outside < reach => Self::Breaks(hole.radius + to_outside),
            _ if to_any < reach => Self::Merged,
            (_, true) => Self::Closed,
            (true, false) => Self::InOpening,
            (false, false) => Self::Outside,
        }
    }

    fn is_like(self, other: Self) -> bool {
        std::mem::discriminant(&self) == std::mem::discriminant(&other)
    }

    fn or_worse(self, other: Self) -> Self {
        match (self, other) {
            (Self::Breaks(a), Self::Breaks(b)) => Self::Breaks(a.max(b)),
            _ => self,
        }
    }

    /// What is said of some holes, and what to do.
    fn said(self, (names, several): &(String, bool)) -> (String, &'static str) {
        let s = if *several { "" } else { "s" };
        let is = if *several { "are" } else { "is" };
        let in_or_larger = "bring it into the metal, or make the plate larger";
        match self {
            Self::Breaks(by) => {
                let up_to = if *several { "up to " } else { "" };
                let by = both_units(by);
                (
                    format!("{names} break{s} through the outside edge by {up_to}{by}"),
                    "bring it in, or the edge out, by more than that",
                )
            }
            Self::Closed => (
                format!("{names} {is} closed again by a later step"),
                "drill after adding and rounding",
            ),
            Self::InOpening => (format!("{names} lie{s} in another opening"), in_or_larger),
            Self::Outside | Self::Merged => {
                (format!("{names} lie{s} outside the plate"), in_or_larger)
            }
        }
    }
}

/// Holes of one step as words, and whether they are several: `bolt holes 1, 2 and 4`.
fn names(holes: &[&Cut], cuts: &[Cut]) -> (String, bool) {
    let [one] = holes else {
        let numbers: Vec<String> = holes.iter().map(|cut| cut.number.to_string()).collect();
        let (last, rest) = numbers.split_last().expect("there are holes to name");
        let title = &holes[0].title;
        return (format!("{title}s {} and {last}", rest.join(", ")), true);
    };
    (cut_name(one, cuts), false)
}

fn merged(cut: &Cut, hole: Circle, cuts: &[Cut]) -> Finding {
    let name = cut_name(cut, cuts);
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

    fn fault(&self, part: &Part, plan: &PlateSpec, made: &Construction) -> Fault {
        let [one, other] = self.holes;
        let more = match self.more {
            0 => String::new(),
            1 => ", and so does another pair".to_owned(),
            more => format!(", and so do {more} more pairs"),
        };
        let names = self.names(&made.cuts);
        let message = format!("{names} overlap by {}{more}", both_units(self.by));
        let fault = at_step(part, &plan.steps[other.step], message);
        match (one.step == other.step, other.pattern, other.circle) {
            (true, Some((count, _)), Some(hole)) => {
                // The chord between neighbours on a circle D is D sin(π / n).
                let least = 2.0 * hole.radius / elementary::sin(PI / f64::from(count));
                fault.remedy(format!(
                    "{count} holes of {} need a pitch circle of more than {}",
                    both_units(2.0 * hole.radius),
                    both_units(least)
                ))
            }
            _ => fault.remedy("move them apart, or make them smaller"),
        }
    }

    /// `hub bolts 1 and 2`, or `bore and hub bolt 1`.
    fn names(&self, cuts: &[Cut]) -> String {
        let [one, other] = self.holes;
        if one.title == other.title {
            names(&self.holes, cuts).0
        } else {
            format!("{} and {}", cut_name(one, cuts), cut_name(other, cuts))
        }
    }
}
