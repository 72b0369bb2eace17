//! Parts of another job.
//!
//! In: `job = "cart.toml"` and which of its parts. Out: that [`Part`] as it stands there, with a quantity, name,
//! material and choice of plates of its own where this part says so. What it is drawn in is looked for where the
//! other job lies.

use std::path::Path;
use std::sync::Arc;

use super::job::Job;
use super::part::{self, Part};
use super::reader::optional;
use super::shelf::Families;
use crate::fault::{Fault, nearest};
use crate::toml_text::{Table, file};

/// Jobs that take parts from one another, at most.
const DEEPEST: usize = 8;

/// Reads a part that names a job instead of a recipe.
pub(super) fn part(
    mut table: Table,
    families: &mut Families,
    faults: &mut Vec<Fault>,
) -> Option<Part> {
    let job = table.take("job")?.text(faults)?;
    let wanted = optional(&mut table, "part", |item| item.text(faults));
    let name = optional(&mut table, "name", |item| item.text(faults));
    let quantity = optional(&mut table, "quantity", |item| part::quantity(item, faults));
    let material = if table.has("material") {
        part::material(&mut table, faults).map(Some)
    } else {
        Some(None)
    };
    let plates = optional(&mut table, "plates", |item| Some(item.texts(faults)));
    let base = table.source().path.as_deref().and_then(Path::parent);
    let path = base.unwrap_or(Path::new("")).join(job.as_str());
    table.finish(faults);
    let (wanted, name, quantity) = (wanted?, name?, quantity?);
    let (material, plates) = (material?, plates?);
    if families.lent >= DEEPEST {
        let fault = job.fault(format!(
            "`{}` takes parts from jobs in a ring",
            job.as_str()
        ));
        faults.push(fault.remedy("write the part itself in one of them"));
        return None;
    }
    let source = match file::read(&path) {
        Ok(source) => source,
        Err(found) => {
            let found = found.into_vec().into_iter();
            faults.extend(found.map(|fault| match fault.place {
                Some(_) => fault,
                None => fault.at(job.source(), job.span()),
            }));
            return None;
        }
    };
    families.lent += 1;
    let read = Job::of_source(&source, families);
    families.lent -= 1;
    let other = read.map_err(|found| faults.extend(found.into_vec())).ok()?;
    let names: Vec<String> = other.parts.iter().map(|it| it.name.clone()).collect();
    let mut parts = other.parts;
    let at = match &wanted {
        Some(wanted) => names.iter().position(|it| it == wanted.as_str()),
        None if parts.len() == 1 => Some(0),
        None => None,
    };
    let Some(at) = at else {
        let (text, message) = match &wanted {
            Some(wanted) => {
                let message = format!("{} has no part \"{}\"", job.as_str(), wanted.as_str());
                (wanted, message)
            }
            None => (&job, format!("{} has several parts", job.as_str())),
        };
        let near = wanted
            .as_ref()
            .and_then(|it| nearest(it.as_str(), names.iter().map(String::as_str)));
        let fault = text.fault(message);
        faults.push(match near {
            Some(near) => fault.remedy(format!("did you mean \"{near}\"?")),
            None => fault.remedy(format!("add part = with one of {}", names.join(", "))),
        });
        return None;
    };
    let mut part = parts.swap_remove(at);
    if let Some(name) = name {
        part.rename(name.as_str());
    }
    part.quantity = quantity.unwrap_or(part.quantity);
    part.material = material.unwrap_or(part.material);
    if let Some(plates) = plates {
        part.plates = plates;
    }
    part.lent_by.push(Arc::clone(&source));
    Some(part)
}
