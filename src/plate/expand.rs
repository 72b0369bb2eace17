//! A part expanded into plates: its steps carried out, its openings identified, its marks laid.
//!
//! In: a part with its family. Out: its plates, and what its rules say; or every reason why there is
//! no such part.

use rayon::prelude::*;

use crate::fault::{Fault, Faults, Outcome};
use crate::finding::Finding;
use crate::geometry::Face;
use crate::quantity::format::both_units;
use crate::quantity::{Dimension, Scope, Value};
use crate::recipe::joint::Edge;
use crate::recipe::plate_spec::{Pieces, PlateSpec};
use crate::recipe::strength::{StrengthResults, strength_results};
use crate::recipe::words::Hand;
use crate::recipe::{Evaluated, Job, Part, evaluate, limits, name, unruled};
use crate::toml_text::{Formula, MOST_FAULTS, holds};
use crate::toml_text::{Names, Text};

use super::construction::Construction;
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
}

/// Expands a part.
pub fn plates(part: &Part) -> Outcome<Expanded> {
    of(part, &evaluate(part)?)
}

/// Expands a part whatever its rules say.
pub(crate) fn plates_unruled(part: &Part) -> Outcome<Expanded> {
    of(part, &unruled(part)?)
}

fn of(part: &Part, evaluated: &Evaluated) -> Outcome<Expanded> {
    let mut expanded = Expanded {
        plates: Vec::new(),
        findings: Vec::new(),
    };
    let mut faults = Vec::new();
    for plan in &part.family.plans {
        let is_first = expanded.plates.is_empty();
        match planned((part, plan, is_first), evaluated) {
            Ok(made) => {
                expanded.plates.extend(made.plates);
                expanded.findings.extend(made.findings);
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
    let told = evaluated.findings.iter().map(|(finding, near)| Finding {
        at: near.as_deref().and_then(|near| {
            expanded
                .plates
                .iter()
                .find_map(|plate| plate.place_of(near))
        }),
        ..finding.clone()
    });
    expanded.findings.splice(0..0, told);
    openings::check_wishes(part, &expanded.plates)?;
    let mut taken = Vec::new();
    make_unique(&mut expanded.plates, &mut taken);
    wanted::of_part(part, &mut expanded.plates)?;
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
    wanted::of_job(job, parts.iter_mut().map(|it| &mut it.plates))?;
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
    (part, plan, is_first): (&Part, &PlateSpec, bool),
    evaluated: &Evaluated,
) -> Outcome<Expanded> {
    let none = Expanded {
        plates: Vec::new(),
        findings: Vec::new(),
    };
    let blamed = |fault| part.blamed(fault);
    let mut names = evaluated.names.clone();
    if !holds(plan.when.as_ref(), &names).map_err(blamed)? {
        return Ok(none);
    }
    let each = match &plan.quantity {
        Some(formula) => formula
            .count(&names, limits::QUANTITY, "`quantity`")
            .map_err(blamed)?,
        None => 1,
    };
    let quantity = each.saturating_mul(part.quantity);
    if quantity == 0 {
        return Ok(none);
    }
    if quantity > limits::QUANTITY {
        let message = format!("this part asks for {quantity} copies of one plate");
        let most = format!("no more than {} are possible", limits::QUANTITY);
        return Err(part.fault(message).remedy(most).into());
    }
    set_points(part, plan, &mut names)?;
    let order = Order {
        part,
        plan,
        is_first,
        evaluated,
        quantity,
        thickness: thickness(part, plan, &names)?,
        names,
    };
    order.made()
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
            let plates = vec![drawn];
            return Ok(Expanded { plates, findings });
        }
        let wanted = |when: &Option<Formula>| {
            let held = holds(when.as_ref(), &self.names);
            held.map_err(|fault| self.part.blamed(fault))
        };
        let mut plates = Vec::new();
        if wanted(&self.plan.left_when)? {
            plates.push(named(drawn, "left", Handed::Left));
        }
        if wanted(&self.plan.right_when)? {
            let (flipped, _) = self.plate(Side::Flipped)?;
            plates.push(named(flipped, "right", Handed::Right));
        }
        Ok(Expanded { plates, findings })
    }

    fn plate(&self, side: Side) -> Outcome<(Plate, Vec<Finding>)> {
        let (part, plan) = (self.part, self.plan);
        let made = constructed(part, plan, &self.names, side)?;
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
        let made = constructed(part, self.plan, &self.names, Side::Drawn)?;
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
        let plates = plates.collect::<Outcome<_>>()?;
        Ok(Expanded { plates, findings })
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
            place: Some(part.place()),
        })
    }

    /// Margins and bolts that name this plate; those that name none stand with the first that is made.
    fn strength(&self) -> Result<StrengthResults, Fault> {
        let family = &self.part.family;
        let own = self.plan.name.as_ref().map(Text::as_str);
        strength_results(
            (&family.strength_checks, &family.bolts),
            (&self.names, &family.lets),
            |plates| match plates {
                [] => self.is_first,
                named => named.iter().any(|name| own == Some(name.as_str())),
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

fn named(plate: Plate, suffix: &str, hand: Handed) -> Plate {
    Plate {
        name: format!("{}-{suffix}", plate.name),
        hand,
        ..plate
    }
}
