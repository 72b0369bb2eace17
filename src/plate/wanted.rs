//! Some of the plates of a part or a job, where not all are wanted.

use super::Plate;
use crate::fault::{Fault, Outcome, nearest};
use crate::recipe::{Job, Part};

/// Keeps the plates of a part that it names: `cheek` is `bracket-cheek`, and both of `bracket-cheek-left` and
/// `bracket-cheek-right`.
pub(super) fn of_part(part: &Part, plates: &mut Vec<Plate>) -> Outcome<()> {
    if part.plates.is_empty() {
        return Ok(());
    }
    let own = |plate: &Plate| {
        let rest = plate.name.strip_prefix(part.name.as_str());
        let rest = rest.map(|it| it.trim_start_matches('-'));
        rest.filter(|it| !it.is_empty())
            .unwrap_or(&plate.name)
            .to_owned()
    };
    let names: Vec<String> = plates.iter().map(own).collect();
    for wanted in &part.plates {
        if !names.iter().any(|it| is_called(it, wanted.as_str())) {
            let fault = wanted.fault(format!(
                "{} has no plate \"{}\"",
                part.name,
                wanted.as_str()
            ));
            return Err(remedied(fault, wanted.as_str(), &names).into());
        }
    }
    plates.retain(|plate| {
        let name = own(plate);
        part.plates.iter().any(|it| is_called(&name, it.as_str()))
    });
    Ok(())
}

/// Keeps the plates of a job that were asked for by name: `bracket` is also `bracket-cheek-left`.
pub(super) fn of_job<'a>(
    job: &Job,
    parts: impl Iterator<Item = &'a mut Vec<Plate>>,
) -> Outcome<()> {
    if job.only.is_empty() {
        return Ok(());
    }
    let parts: Vec<&mut Vec<Plate>> = parts.collect();
    let all = parts.iter().flat_map(|it| it.iter());
    let names: Vec<String> = all.map(|plate| plate.name.clone()).collect();
    for wanted in &job.only {
        if !names.iter().any(|it| is_called(it, wanted)) {
            let fault = Fault::usage(format!("there is no plate \"{wanted}\""));
            return Err(remedied(fault, wanted, &names).into());
        }
    }
    for plates in parts {
        plates.retain(|plate| job.only.iter().any(|it| is_called(&plate.name, it)));
    }
    Ok(())
}

/// Whether a plate goes by a name, which may be the beginning of its own.
fn is_called(name: &str, wanted: &str) -> bool {
    let rest = name.strip_prefix(wanted);
    rest.is_some_and(|it| it.is_empty() || it.starts_with('-'))
}

fn remedied(fault: Fault, wanted: &str, names: &[String]) -> Fault {
    match nearest(wanted, names.iter().map(String::as_str)) {
        Some(near) => fault.remedy(format!("did you mean \"{near}\"?")),
        None => fault.remedy(format!("there are {}", names.join(", "))),
    }
}
