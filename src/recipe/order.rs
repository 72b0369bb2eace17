//! Named values in the order in which they can be worked out.

use std::sync::Arc;

use crate::fault::{Fault, Source};

use crate::toml_text::{Formula, Key, Names};

/// Sorts named values so that each comes after those it uses. Those that go round in a circle are
/// one fault each circle, naming it, and are left out.
pub(crate) fn by_need(
    lets: Vec<(Key, Formula)>,
    source: &Arc<Source>,
    faults: &mut Vec<Fault>,
) -> Vec<(String, Formula)> {
    let mut waiting = lets;
    let mut sorted: Vec<(String, Formula)> = Vec::new();
    loop {
        let ready = |formula: &Formula, waiting: &[(Key, Formula)]| {
            let needs = formula.names();
            !waiting
                .iter()
                .any(|(key, _)| needs.contains(&key.name.as_str()))
        };
        let (now, later): (Vec<_>, Vec<_>) = waiting
            .iter()
            .cloned()
            .partition(|(_, formula)| ready(formula, &waiting));
        if now.is_empty() {
            report_circles(&later, source, faults);
            return sorted;
        }
        sorted.extend(now.into_iter().map(|(key, formula)| (key.name, formula)));
        waiting = later;
    }
}

/// Names, with all that those among them rest on that are named values.
pub(crate) fn rests_on(lets: &[(String, Formula)], names: Vec<String>) -> Vec<String> {
    let mut all = names;
    let mut next = 0;
    while let Some(name) = all.get(next) {
        let formula = lets.iter().find(|(known, _)| known == name);
        let needs = formula.map_or_else(Vec::new, |(_, formula)| formula.names());
        let new: Vec<String> = needs
            .into_iter()
            .filter(|need| !all.iter().any(|known| known == need))
            .map(ToOwned::to_owned)
            .collect();
        all.extend(new);
        next += 1;
    }
    all
}

/// Works out the named values among some names, and those that they rest on.
pub(crate) fn lend(lets: &[(String, Formula)], needs: Vec<String>, names: &mut Names) {
    let wanted = rests_on(lets, needs);
    work_out(lets.iter().filter(|(name, _)| wanted.contains(name)), names);
}

/// Works out named values, but for those that have been: what they rest on has not changed. One that cannot be worked
/// out matters only to what needs it.
pub(crate) fn work_out<'a>(
    lets: impl IntoIterator<Item = &'a (String, Formula)>,
    names: &mut Names,
) {
    for (name, formula) in lets {
        if names.knows(name) {
            continue;
        }
        match formula.value(names) {
            Ok(value) => names.set(name, value),
            Err(fault) => names.fail(name.as_str(), fault),
        }
    }
}

/// One fault for each circle among values of which none can be worked out first.
fn report_circles(stuck: &[(Key, Formula)], source: &Arc<Source>, faults: &mut Vec<Fault>) {
    let mut told = vec![false; stuck.len()];
    for start in 0..stuck.len() {
        let mut path = vec![start];
        while let Some(&last) = path.last() {
            let Some(next) = first_need(&stuck[last].1, stuck) else {
                break;
            };
            if let Some(from) = path.iter().position(|step| *step == next) {
                let circle = &path[from..];
                if !circle.iter().any(|step| told[*step]) {
                    faults.push(circle_fault(circle, stuck, source));
                }
                for step in &path {
                    told[*step] = true;
                }
                break;
            }
            path.push(next);
        }
    }
}

fn first_need(formula: &Formula, stuck: &[(Key, Formula)]) -> Option<usize> {
    let needs = formula.names();
    stuck
        .iter()
        .position(|(key, _)| needs.contains(&key.name.as_str()))
}

fn circle_fault(circle: &[usize], stuck: &[(Key, Formula)], source: &Arc<Source>) -> Fault {
    let name = |step: usize| format!("`{}`", stuck[step].0.name);
    let mut steps: Vec<String> = circle.iter().map(|step| name(*step)).collect();
    steps.push(name(circle[0]));
    let first = &stuck[circle[0]];
    let message = if circle.len() == 1 {
        format!("{} needs itself", name(circle[0]))
    } else {
        format!(
            "these values go round in a circle: {}",
            steps.join(" needs ")
        )
    };
    Fault::refused(message)
        .at(source, first.0.span.clone())
        .remedy("work one of them out from dimensions alone")
}
