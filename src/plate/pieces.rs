//! A plate must be one piece: finds the step after which it is not.

use crate::fault::{Fault, Outcome};
use crate::geometry::{Face, Region, Unresolved};
use crate::quantity::format::decimal;
use crate::recipe::plate_spec::PlateSpec;
use crate::recipe::words::Operation;
use crate::recipe::{Part, step::Step};

use super::construction::{Construction, Work};

/// The one face that the steps leave; `what` names the plate.
pub(super) fn one_piece(
    part: &Part,
    plan: &PlateSpec,
    made: &Construction,
    what: &str,
) -> Outcome<Face> {
    let unresolved = |why: Unresolved| unresolved(part, what, &why);
    let mut region = made.region().map_err(unresolved)?;
    match region.faces.len() {
        1 => Ok(region.faces.remove(0)),
        0 => {
            let after = last_change(made, &|count| count == 0).map_err(unresolved)?;
            Err(nothing_left(part, plan, made, after, what).into())
        }
        _ => {
            let after = last_change(made, &|count| count > 1).map_err(unresolved)?;
            Err(several(part, plan, made, after, what, &region).into())
        }
    }
}

/// The outline could not be resolved: said of the plate, with what can be done.
pub(super) fn unresolved(part: &Part, what: &str, why: &Unresolved) -> Fault {
    let remedy = match why {
        Unresolved::Unclear(_) => "change a dimension by a hundredth of a millimetre and try again",
        Unresolved::Crowded => "use fewer shapes, or make two plates of it",
    };
    part.fault(format!(
        "the outline of {what} could not be worked out: {why}"
    ))
    .remedy(remedy)
}

/// The stage after which the number of pieces is wrong for good.
fn last_change(
    made: &Construction,
    wrong: &dyn Fn(usize) -> bool,
) -> Result<Option<usize>, Unresolved> {
    for stage in (0..made.stages.len()).rev() {
        let before = made.region_after(stage, &|_| true)?;
        if !wrong(before.faces.len()) {
            return Ok(Some(stage));
        }
    }
    Ok(None)
}

fn nothing_left(
    part: &Part,
    plan: &PlateSpec,
    made: &Construction,
    after: Option<usize>,
    what: &str,
) -> Fault {
    let message = format!("nothing is left of {what}");
    match after {
        Some(stage) => {
            let step = step_of(plan, made, stage);
            let message = format!("{message} after {}", called(step, &made.stages[stage].work));
            at_step(part, step, message).remedy("make it smaller, or the plate larger")
        }
        None => part
            .fault(message)
            .remedy("the recipe needs a step that adds metal"),
    }
}

fn several(
    part: &Part,
    plan: &PlateSpec,
    made: &Construction,
    after: Option<usize>,
    what: &str,
    region: &Region,
) -> Fault {
    let mut areas: Vec<f64> = region.faces.iter().map(Face::area).collect();
    areas.sort_by(|a, b| b.total_cmp(a));
    let shown: Vec<String> = areas
        .iter()
        .take(4)
        .map(|area| square_millimetres(*area))
        .collect();
    let more = if areas.len() > shown.len() {
        ", …"
    } else {
        ""
    };
    let message = format!(
        "{what} falls into {} pieces ({}{more})",
        areas.len(),
        shown.join(", ")
    );
    let Some(stage) = after else {
        let fault = part.fault(message);
        return fault.remedy("let its shapes overlap, or leave more metal between its openings");
    };
    let step = step_of(plan, made, stage);
    let work = &made.stages[stage].work;
    let name = called(step, work);
    let (why, remedy) = match work {
        Work::Shapes(Operation::Add, _) => (
            "touches nothing that was there before",
            "let it overlap the rest",
        ),
        Work::Shapes(..) => ("parts it", "leave more metal beside it, or move it"),
        Work::Hollow(_) => (
            "leaves more than one band",
            "hollow before cutting openings, or use a wider wall",
        ),
        Work::Round(..) => (
            "takes away a neck narrower than twice its radius",
            "use a smaller radius, or a wider neck",
        ),
    };
    at_step(part, step, format!("{message}: {name} {why}")).remedy(remedy)
}

/// An area in whole mm², a small one in hundredths: never nothing.
fn square_millimetres(area: f64) -> String {
    if area < 0.01 {
        return "under 0.01 mm²".to_owned();
    }
    format!("{} mm²", decimal(area, if area < 9.5 { 2 } else { 0 }))
}

fn step_of<'a>(plan: &'a PlateSpec, made: &Construction, stage: usize) -> &'a Step {
    &plan.steps[made.stages[stage].step]
}

/// How a step is called: `the cut "saddle"`, `the rounding`.
fn called(step: &Step, work: &Work) -> String {
    match work {
        Work::Shapes(operation, _) => match operation {
            Operation::Add => format!("the added \"{}\"", step.title()),
            Operation::Cut => format!("the cut \"{}\"", step.title()),
            Operation::Keep => format!("keeping \"{}\"", step.title()),
        },
        Work::Hollow(_) => "hollowing".to_owned(),
        Work::Round(..) => "rounding".to_owned(),
    }
}

/// A fault at a step of the recipe, with the part that brought it up.
pub(super) fn at_step(part: &Part, step: &Step, message: String) -> Fault {
    part.blamed(Fault::refused(message).at(&step.place.source, step.place.span.clone()))
}
