//! Named values in the order in which they can be worked out.

use std::sync::Arc;

use crate::fault::{Fault, Source};

use crate::toml_text::Formula;
use crate::toml_text::Key;

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
