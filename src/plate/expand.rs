//! A part expanded into plates: its steps carried out, its openings identified, its marks laid.
//!
//! In: a part with its family. Out: its plates, and what its rules say; or every reason why there is
//! no such part.

use rayon::prelude::*;

use crate::fault::{Fault, Faults, Outcome};
use crate::finding::{Finding, Level};
use crate::geometry::Face;
use crate::quantity::format::both_units;
use crate::quantity::{Dimension, Scope, Value};
use crate::recipe::joint::Edge;
use crate::recipe::plate_spec::{Pieces, PlateSpec};
use crate::recipe::strength::{StrengthResults, strength_results};
use crate::recipe::words::Hand;
use crate::recipe::{Evaluated, Job, Part, RECIPE_NOTE, Said, evaluate, limits, name, unruled};
use crate::toml_text::{Formula, MOST_FAULTS, holds};
use crate::toml_text::{Names, Text};

use super::construction::{Construction, Proof};
use super::known_outlines::{KnownOutlines, OutlineSteps};
use super::placing::point;
use super::steps::{Side, constructed};
use super::{Handed, Opening, Plate, holes, openings, pieces, wanted};

/// The plates of a part, and what is worth saying about them.
#[derive(Debug, Clone, PartialEq)]
pub struct Expanded {
    /// The plates, in the order of the recipe, names unique.
    pub plates: Vec<Plate>,
    /// What rules of level warn and note say, and holes that run into other openings.
    pub findings: Vec<Finding>,
    /// Which of the plates each of these stands with, in the same order; none of what is said of the whole part.
    pub(crate) stand_with: Vec<Option<usize>>,
}

impl Expanded {
    fn new() -> Self {
        Self {
            plates: Vec::new(),
            findings: Vec::new(),
            stand_with: Vec::new(),
        }
    }

    /// A plate, and what is said of it.
    fn push(&mut self, plate: Plate, findings: Vec<Finding>) {
        self.stand_with
            .extend(findings.iter().map(|_| Some(self.plates.len())));
        self.findings.extend(findings);
        self.plates.push(plate);
    }

    /// All of another after this.
    fn extend(&mut self, other: Self) {
        let before = self.plates.len();
        let more = other.stand_with.into_iter();
        self.stand_with
            .extend(more.map(|it| it.map(|it| before + it)));
        self.findings.extend(other.findings);
        self.plates.extend(other.plates);
    }

    fn names(&self) -> Vec<String> {
        self.plates.iter().map(|it| it.name.clone()).collect()
    }

    /// What stood with plates that were there `before` and are not any more goes with them.
    fn settle(&mut self, before: &[String]) {
        let now: Vec<Option<usize>> = before
            .iter()
            .map(|name| self.plates.iter().position(|it| it.name == *name))
            .collect();
        let said = std::mem::take(&mut self.findings).into_iter();
        let said = said.zip(std::mem::take(&mut self.stand_with));
        for (finding, plate) in said {
            let plate = plate.map(|it| now[it]);
            if plate != Some(None) {
                self.findings.push(finding);
                self.stand_with.push(plate.flatten());
            }
        }
    }
}

/// Expands a part.
pub fn plates(part: &Part) -> Outcome<Expanded> {
    of(part, &evaluate(part)?, Proof::Wanted)
}

/// Expands a part whatever its rules say, and without the second opinion on its shapes, which takes most of the
/// time: for parts that are only looked at.
pub(crate) fn plates_tried(part: &Part) -> Outcome<Expanded> {
    plates_known(part, &unruled(part)?, &KnownOutlines::default())
}

/// [`plates_tried`] of a part worked out, taking over what is known of its outlines.
pub(crate) fn plates_known(
    part: &Part,
    evaluated: &Evaluated,
    known: &KnownOutlines,
) -> Outcome<Expanded> {
    of(part, evaluated, Proof::Spared(known))
}

/// The steps of a part's outlines, of the part worked out.
pub(crate) fn outline_steps(part: &Part, evaluated: &Evaluated) -> Outcome<OutlineSteps> {
    let mut steps = OutlineSteps::default();
    for plan in &part.family.plans {
        if let Some(order) = ordered((part, plan, false), evaluated, Proof::Wanted)? {
            let [left, right] = order.hands()?;
            steps.hands.push([left, right]);
            let sides = [Side::Drawn, Side::Flipped].into_iter();
            for side in sides.take(1 + usize::from(right)) {
                let made = constructed(part, plan, &order.names, side)?;
                steps.stages.push(made.stages);
            }
        }
    }
    Ok(steps)
}

/// [`plates_tried`], or nothing where outlines are made in these steps.
pub(crate) fn plates_of_other_outlines(
    part: &Part,
    known: Option<&OutlineSteps>,
) -> Outcome<Option<Expanded>> {
    let evaluated = unruled(part)?;
    if known.is_some() && outline_steps(part, &evaluated).ok().as_ref() == known {
        return Ok(None);
    }
    plates_known(part, &evaluated, &KnownOutlines::default()).map(Some)
}

fn of(part: &Part, evaluated: &Evaluated, proof: Proof<'_>) -> Outcome<Expanded> {
    let mut expanded = Expanded::new();
    let mut made_of: Vec<usize> = Vec::new();
    let mut faults = Vec::new();
    for (index, plan) in part.family.plans.iter().enumerate() {
        let is_first = expanded.plates.is_empty();
        match planned((part, plan, is_first), evaluated, proof) {
            Ok(made) => {
                made_of.extend(made.plates.iter().map(|_| index));
                expanded.extend(made);
            }
            Err(found) => faults.extend(found.into_vec()),
        }
    }
    faults.truncate(MOST_FAULTS);
    Faults::check(faults)?;
    joints_fit(part, evaluated)?;
    if expanded.plates.is_empty() {
        let fault = part.fault("this part comes to no plate at all");
        let remedy = "every plate of the recipe is left out: check its choices and counts";
        return Err(fault.remedy(remedy).into());
    }
    let of_rules = evaluated.findings.iter();
    let of_rules = of_rules.map(|said| stood(part, said, (&expanded.plates, &made_of)));
    let of_part = without_plate(part, evaluated)?.map(|finding| (None, finding));
    let (stand_with, findings): (Vec<_>, Vec<_>) = of_rules.chain(of_part).unzip();
    expanded.stand_with.splice(0..0, stand_with);
    expanded.findings.splice(0..0, findings);
    openings::check_wishes(part, &expanded.plates)?;
    let mut taken = Vec::new();
    make_unique(&mut expanded.plates, &mut taken);
    let before = expanded.names();
    wanted::of_part(part, &mut expanded.plates)?;
    expanded.settle(&before);
    Ok(expanded)
}

/// Expands every part of a job, in their order; names of plates are unique within the job.
pub fn job_plates(job: &Job) -> Outcome<Vec<Expanded>> {
    let made: Vec<Outcome<Expanded>> = job.parts.par_iter().map(plates).collect();
    let mut parts = Vec::with_capacity(made.len());
    let mut faults = Vec::new();
    for outcome in made {
        match outcome {
            Ok(expanded) => parts.push(expanded),
            Err(found) => faults.extend(found.into_vec()),
        }
    }
    faults.dedup();
    faults.truncate(MOST_FAULTS);
    Faults::check(faults)?;
    few_enough(job, &parts)?;
    let mut taken = Vec::new();
    for expanded in &mut parts {
        make_unique(&mut expanded.plates, &mut taken);
    }
    let before: Vec<Vec<String>> = parts.iter().map(Expanded::names).collect();
    wanted::of_job(job, parts.iter_mut().map(|it| &mut it.plates))?;
    for (expanded, before) in parts.iter_mut().zip(before) {
        expanded.settle(&before);
    }
    Ok(parts)
}

/// The first part with which a job asks for more copies than it may.
fn few_enough(job: &Job, parts: &[Expanded]) -> Outcome<()> {
    let mut copies: u32 = 0;
    for (part, expanded) in job.parts.iter().zip(parts) {
        let of_part = expanded.plates.iter().map(|plate| plate.quantity);
        copies = of_part.fold(copies, u32::saturating_add);
        if copies > limits::QUANTITY {
            let message = format!("with this part the job asks for {copies} plates");
            let most = format!("no more than {} are possible", limits::QUANTITY);
            return Err(part
                .fault(message)
                .remedy(format!("{most}: make several jobs of it"))
                .into());
        }
    }
    Ok(())
}

fn make_unique(plates: &mut [Plate], taken: &mut Vec<String>) {
    for plate in plates {
        let known: Vec<&str> = taken.iter().map(String::as_str).collect();
        plate.name = name::unique(std::mem::take(&mut plate.name), &known);
        taken.push(plate.name.clone());
    }
}

/// The plates of one `[[plate]]` block: none, one, or a left and a right.
fn planned(
    asked: (&Part, &PlateSpec, bool),
    evaluated: &Evaluated,
    proof: Proof<'_>,
) -> Outcome<Expanded> {
    let order = ordered(asked, evaluated, proof)?;
    order.map_or_else(|| Ok(Expanded::new()), |it| it.made())
}

/// One `[[plate]]` block with its values worked out; nothing where none is asked for.
fn ordered<'a>(
    (part, plan, is_first): (&'a Part, &'a PlateSpec, bool),
    evaluated: &'a Evaluated,
    proof: Proof<'a>,
) -> Outcome<Option<Order<'a>>> {
    let mut names = evaluated.names.clone();
    let each = plan.copies(&names).map_err(|fault| part.blamed(fault))?;
    let quantity = each.saturating_mul(part.quantity);
    if quantity == 0 {
        return Ok(None);
    }
    if quantity > limits::QUANTITY {
        let message = format!("this part asks for {quantity} copies of one plate");
        let most = format!("no more than {} are possible", limits::QUANTITY);
        return Err(part.fault(message).remedy(most).into());
    }
    set_points(part, plan, &mut names)?;
    Ok(Some(Order {
        part,
        plan,
        is_first,
        evaluated,
        proof,
        quantity,
        thickness: thickness(part, plan, &names)?,
        names,
    }))
}

/// Whether the tabs of each joint run over as long a line as its slots.
fn joints_fit(part: &Part, evaluated: &Evaluated) -> Outcome<()> {
    const SAME: f64 = 0.01;
    let length = |edge: &Edge| -> Outcome<f64> {
        let mut names = evaluated.names.clone();
        let plans = part.family.plans.iter();
        let named =
            |plan: &&PlateSpec| plan.name.as_ref().map(Text::as_str) == Some(edge.plate.as_str());
        if let Some(plan) = plans.into_iter().find(named) {
            set_points(part, plan, &mut names)?;
        }
        let place = |at| point(at, &names).map_err(|fault| part.blamed(fault));
        Ok(place(&edge.from)?.distance(place(&edge.to)?))
    };
    for joint in &part.family.joints {
        let made = holds(joint.when.as_ref(), &evaluated.names);
        if !made.map_err(|fault| part.blamed(fault))? {
            continue;
        }
        let (tabs, slots) = (length(&joint.tabs)?, length(&joint.slots)?);
        if (tabs - slots).abs() > SAME {
            let message = format!(
                "\"{}\": the tabs lie on {}, the slots on {}",
                joint.says,
                both_units(tabs),
                both_units(slots)
            );
            let fault = Fault::refused(message).at(&part.family.source, joint.span.clone());
            let fault = fault.remedy("make both lines as long");
            return Err(part.blamed(fault).into());
        }
    }
    Ok(())
}

fn set_points(part: &Part, plan: &PlateSpec, names: &mut Names) -> Outcome<()> {
    for point in &plan.points {
        let what = format!("point `{}`", point.name);
        for (formula, axis) in point.at.iter().zip(["x", "y"]) {
            let value = formula.length(names, &what);
            let value = value.map_err(|fault| part.blamed(fault))?;
            names.set(format!("{}.{axis}", point.name), Value::length(value));
        }
    }
    Ok(())
}

fn thickness(part: &Part, plan: &PlateSpec, names: &Names) -> Outcome<f64> {
    if let Some(formula) = &plan.thickness {
        let thickness = formula.size(names, "`thickness`");
        return Ok(thickness.map_err(|fault| part.blamed(fault))?);
    }
    let thickness = names.value("thickness");
    let thickness = thickness.and_then(|value| value.expect(Dimension::LENGTH).ok());
    let fault = || part.fault("the thickness of this part is not above 0 mm");
    let thickness = thickness.filter(|thickness| *thickness > 0.0);
    Ok(thickness.ok_or_else(|| fault().remedy("set `thickness` to that of the plate at hand"))?)
}

/// One `[[plate]]` block of one part, its values worked out.
struct Order<'a> {
    part: &'a Part,
    plan: &'a PlateSpec,
    /// Whether no plate of the part was made before.
    is_first: bool,
    evaluated: &'a Evaluated,
    proof: Proof<'a>,
    quantity: u32,
    thickness: f64,
    names: Names,
}

impl Order<'_> {
    fn made(&self) -> Outcome<Expanded> {
        if self.plan.pieces == Pieces::Each {
            return self.pieces();
        }
        // The plate as drawn is proved even where only the other hand is wanted.
        let (drawn, findings) = self.plate(Side::Drawn)?;
        if self.plan.hand == Hand::Single {
            let mut made = Expanded::new();
            made.push(drawn, findings);
            return Ok(made);
        }
        let [left, right] = self.hands()?;
        let mut made = Expanded::new();
        let mut findings = Some(findings);
        if left {
            let said = findings.take().unwrap_or_default();
            made.push(named(drawn, "left", Handed::Left), said);
        }
        if right {
            let (flipped, own) = self.plate(Side::Flipped)?;
            let said = findings.map_or_else(Vec::new, |_| own);
            made.push(named(flipped, "right", Handed::Right), said);
        }
        Ok(made)
    }

    /// Whether a left and a right one are wanted; of a plate without hands only the one that is drawn.
    fn hands(&self) -> Outcome<[bool; 2]> {
        if self.plan.hand == Hand::Single {
            return Ok([true, false]);
        }
        let wanted = |when: &Option<Formula>| {
            let held = holds(when.as_ref(), &self.names);
            held.map_err(|fault| self.part.blamed(fault))
        };
        Ok([
            wanted(&self.plan.left_when)?,
            wanted(&self.plan.right_when)?,
        ])
    }

    fn plate(&self, side: Side) -> Outcome<(Plate, Vec<Finding>)> {
        let (part, plan) = (self.part, self.plan);
        let mut made = constructed(part, plan, &self.names, side)?;
        made.proof = self.proof;
        let what = match &plan.name {
            Some(name) => format!("\"{}\" of {}", name.as_str(), part.name),
            None => part.name.clone(),
        };
        holes::apart(part, plan, &made)?;
        let face = pieces::one_piece(part, plan, &made, &what)?;
        let mut findings = holes::whole(part, plan, &made, &face, &what)?;
        findings.splice(0..0, made.findings.iter().cloned());
        let openings = openings::identified(part, &face, &made);
        Ok((self.finished(self.name(), face, openings, &made)?, findings))
    }

    /// Every piece of a drawing, a plate each.
    fn pieces(&self) -> Outcome<Expanded> {
        let part = self.part;
        let mut made = constructed(part, self.plan, &self.names, Side::Drawn)?;
        made.proof = self.proof;
        let region = made.region();
        let region = region.map_err(|why| pieces::unresolved(part, &part.name, &why))?;
        openings::check_kinds(part, &region, &made)?;
        let findings = made.findings.clone();
        let is_one = region.faces.len() == 1;
        let plates = (1..).zip(region.faces).map(|(number, face)| {
            let name = if is_one {
                part.name.clone()
            } else {
                name::safe(&format!("{} {number}", part.name), "plate")
            };
            let openings = openings::drawn(part, &face, &made);
            self.finished(name, face, openings, &made)
        });
        let mut said = Some(findings);
        let mut made = Expanded::new();
        for plate in plates {
            made.push(plate?, said.take().unwrap_or_default());
        }
        Ok(made)
    }

    fn finished(
        &self,
        name: String,
        face: Face,
        openings: Vec<Opening>,
        made: &Construction,
    ) -> Outcome<Plate> {
        let (part, plan) = (self.part, self.plan);
        Ok(Plate {
            name,
            recipe: part.family.name.clone(),
            hand: Handed::Either,
            quantity: self.quantity,
            material: part.material.clone(),
            thickness: self.thickness,
            face,
            openings,
            mating: made.mating.clone(),
            marks: made.marks.clone(),
            bends: made.bends.clone(),
            rotation: plan.rotation,
            cautions: self.evaluated.cautions.clone(),
            figures: self.evaluated.figures.clone(),
            dimensions: self.evaluated.dimensions.clone(),
            strength: self.strength().map_err(|fault| part.blamed(fault))?,
            beside: made.beside.clone(),
            place: Some(part.place()),
        })
    }

    /// Margins and bolts that name this plate; those that name none stand with the first that is made.
    fn strength(&self) -> Result<StrengthResults, Fault> {
        let family = &self.part.family;
        strength_results(
            (&family.strength_checks, &family.bolts),
            (&self.names, &family.lets),
            |plates| match plates {
                [] => self.is_first,
                named => self.plan.is_among(named),
            },
        )
    }

    fn name(&self) -> String {
        match &self.plan.name {
            Some(name) => name::safe(&format!("{} {}", self.part.name, name.as_str()), "plate"),
            None => self.part.name.clone(),
        }
    }
}

/// The plate that a finding stands with, and the finding with its place: with the first of the plates that it is
/// about, or that has the openings that it is about, else with the part.
fn stood(
    part: &Part,
    said: &Said,
    (plates, made_of): (&[Plate], &[usize]),
) -> (Option<usize>, Finding) {
    let is_meant = |index: usize| {
        let plan = &part.family.plans[made_of[index]];
        said.plates.is_empty() || plan.is_among(&said.plates)
    };
    let meant = || (0..plates.len()).filter(|index| is_meant(*index));
    let place = said
        .near
        .as_deref()
        .and_then(|near| meant().find_map(|index| Some((index, plates[index].place_of(near)?))));
    let first = || meant().next().filter(|_| !said.plates.is_empty());
    let plate = place.map(|(index, _)| index).or_else(first);
    let finding = Finding {
        at: place.map(|(_, at)| at),
        ..said.finding.clone()
    };
    (plate, finding)
}

/// A note of what is not told since the plate that it stands with is not made.
fn without_plate(part: &Part, evaluated: &Evaluated) -> Outcome<Option<Finding>> {
    let family = &part.family;
    let blamed = |fault| part.blamed(fault);
    let mut missing: Vec<&str> = Vec::new();
    let (mut margins, mut bolts) = (0, 0);
    let checks = family.strength_checks.iter();
    let checks = checks.map(|it| (&it.plates, it.counts(&evaluated.names), true));
    let kinds = family.bolts.iter();
    let kinds = kinds.map(|it| (&it.plates, it.counts(&evaluated.names), false));
    for (plates, counts, is_margin) in checks.chain(kinds) {
        let is_made = family.makes_one_of(plates, &evaluated.names);
        let is_made = is_made.map_err(blamed)?;
        if plates.is_empty() || is_made || !counts {
            continue;
        }
        *(if is_margin { &mut margins } else { &mut bolts }) += 1;
        for name in plates.iter().map(Text::as_str) {
            if !missing.contains(&name) {
                missing.push(name);
            }
        }
    }
    if missing.is_empty() {
        return Ok(None);
    }
    let lost: Vec<String> = [
        (margins, "way to fail", "ways to fail"),
        (bolts, "kind of bolts", "kinds of bolts"),
    ]
    .into_iter()
    .filter(|(count, ..)| *count > 0)
    .map(|(count, one, many)| format!("{count} {}", if count == 1 { one } else { many }))
    .collect();
    let (are, them) = match missing.len() {
        1 => ("is", "it"),
        _ => ("are", "them"),
    };
    Ok(Some(Finding {
        check: RECIPE_NOTE.to_owned(),
        level: Level::Note,
        message: format!(
            "{} {are} not made, and what stands with {them} is not told: {}",
            missing.join(" and "),
            lost.join(" and ")
        ),
        remedy: "see to these yourself where they come in another way".to_owned(),
        source: String::new(),
        at: None,
    }))
}

fn named(plate: Plate, suffix: &str, hand: Handed) -> Plate {
    Plate {
        name: format!("{}-{suffix}", plate.name),
        hand,
        ..plate
    }
}
