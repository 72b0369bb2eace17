//! What is doubtful in a family that can be read: for those who write families.
//!
//! In: a family. Out: a remark, with its place and what to do, for each name that nothing uses, each
//! dimension that moves nothing, each plate that is never made, each rule that no setting breaks, each expression that never can be worked
//! out, in branches not taken too, and each choice that the defaults cannot follow.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::fault::Fault;
use crate::quantity::Use;
use crate::recipe::sampling::{Seed, sampled};
use crate::recipe::{DimensionKind, Family, Part, broken_rules, evaluate, thorough_names};
use crate::sketch::{Role, sketch};
use crate::toml_text::Formula;

/// Settings that are tried.
pub const TRIED: usize = 300;

/// All that is doubtful in a family.
#[must_use]
pub fn remarks(family: &Family) -> Vec<Fault> {
    let mut remarks = Vec::new();
    unused(family, &mut remarks);
    tried(family, &mut remarks);
    forms(family, &mut remarks);
    // What is shared with other families is theirs as well.
    remarks.retain(|it| {
        let place = it.place.as_ref();
        place.is_none_or(|place| place.source == family.source)
    });
    remarks.sort_by_key(|it| it.place.as_ref().map(|place| place.span.start));
    remarks.dedup();
    remarks
}

/// All names that the expressions of a family use.
fn used(family: &Family) -> BTreeSet<String> {
    let mut used = BTreeSet::new();
    let own = family.measures.iter();
    let own = own.flat_map(|measure| measure.needs(&measure.default));
    used.extend(own);
    used.extend(family.used_otherwise.iter().cloned());
    for formula in formulas(family) {
        for it in formula.uses() {
            match it {
                Use::Name(name, _) | Use::List(name) => used.insert(name.to_owned()),
                Use::Look([Some(table), ..]) => used.insert(table_name(table)),
                Use::Look(_) => false,
            };
        }
    }
    used
}

/// Every expression of a family, those of its named values last.
fn formulas(family: &Family) -> impl Iterator<Item = &Formula> {
    let lets = family.lets.iter().map(|(_, formula)| formula);
    family.formulas.iter().chain(lets)
}

/// What a lookup table is called among the names that are used.
fn table_name(table: &str) -> String {
    format!("table {table}")
}

fn unused(family: &Family, remarks: &mut Vec<Fault>) {
    let used = used(family);
    // Nor need all columns be used of the row that a dimension chooses.
    let chosen = |name: &str| {
        let of = name.split_once('.');
        of.is_some_and(|(of, _)| family.measure(of).is_some())
    };
    let lets = family.lets.iter().filter(|(name, _)| !chosen(name));
    for (name, formula) in lets.filter(|(name, _)| !used.contains(name)) {
        // Of a point, both axes are unused.
        let remark = match name.rsplit_once('.') {
            None => formula
                .text()
                .fault(format!("nothing uses the value `{name}`")),
            Some((point, "x")) if !used.contains(&format!("{point}.y")) => formula
                .text()
                .fault(format!("nothing uses the point `{point}`")),
            Some(_) => continue,
        };
        remarks.push(remark.remedy("take it out"));
    }
    let at = |span: &std::ops::Range<usize>, message: String| {
        Fault::refused(message).at(&family.source, span.clone())
    };
    for (name, _) in family.tables.iter() {
        let chosen = used.contains(name) || used.contains(&table_name(name));
        if !chosen {
            let message = format!("nothing looks up the table \"{name}\"");
            remarks.push(at(&(0..0), message).remedy("take it out"));
        }
    }
    for measure in &family.measures {
        // A plate has its thickness whether an expression names it or not.
        if measure.name != "thickness" && !used.contains(&measure.name) {
            let message = format!("nothing uses the dimension `{}`", measure.name);
            remarks.push(at(&measure.span, message).remedy("use it, or take it out"));
        }
    }
    for shape in &family.shapes {
        if !used.contains(&format!("shape {}", shape.name.as_str())) {
            let message = format!("no step uses the shape \"{}\"", shape.name.as_str());
            remarks.push(shape.name.fault(message).remedy("take it out"));
        }
    }
}

/// Rules and expressions at settings at random.
fn tried(family: &Family, remarks: &mut Vec<Fault>) {
    let shared = Arc::new(family.clone());
    let mut seed = Seed::new(1);
    let mut broken = BTreeSet::new();
    let mut failing: Vec<(&Formula, Option<Fault>)> = Vec::new();
    let mut tried = 0;
    for round in 0..TRIED {
        let part = if round == 0 {
            Some(Part::plain(Arc::clone(&shared)))
        } else {
            sampled(&shared, &mut seed)
        };
        let Some(part) = part else {
            continue;
        };
        let Ok(names) = thorough_names(&part) else {
            continue;
        };
        if let Ok(rules) = broken_rules(&part) {
            broken.extend(rules.into_iter().map(|it| it.number));
        }
        if tried == 0 {
            let known = formulas(family).filter(|formula| {
                let mut names_of = formula.names().into_iter();
                names_of.all(|name| names.knows(name))
            });
            failing = known.map(|formula| (formula, None)).collect();
        }
        tried += 1;
        failing.retain_mut(|(formula, fault)| match formula.value(&names) {
            Ok(_) => false,
            Err(found) => {
                fault.get_or_insert(found);
                true
            }
        });
    }
    for (number, rule) in family.rules.iter().enumerate() {
        if !broken.contains(&number) {
            let message = format!("none of {tried} settings within the ranges breaks this rule");
            let remark = rule.need.text().fault(message);
            remarks.push(remark.remedy("take it out, or see whether its ranges leave it a case"));
        }
    }
    for (_, fault) in failing {
        if let Some(mut fault) = fault {
            fault.message = format!(
                "at none of {tried} settings can this be worked out: {}",
                fault.message
            );
            remarks.push(fault);
        }
    }
}

/// Plates that no form makes.
fn unmade(family: &Family, forms: &[Part], remarks: &mut Vec<Fault>) {
    let names = forms.iter().filter_map(|form| thorough_names(form).ok());
    let names: Vec<_> = names.collect();
    for plan in &family.plans {
        let fails = |names| plan.copies(names).is_ok_and(|copies| copies == 0);
        if !names.is_empty() && names.iter().all(fails) {
            let name = plan.name.as_ref().map_or("this plate", |it| it.as_str());
            let message = format!("none of {} forms makes {name}", names.len());
            let remark = Fault::refused(message).at(&family.source, plan.span.clone());
            remarks.push(remark.remedy("see whether its `when` ever holds"));
        }
    }
}

/// The family in each form that one of its choices gives it.
fn forms(family: &Family, remarks: &mut Vec<Fault>) {
    let plain = Part::plain(family.clone());
    let mut idle: BTreeSet<String> = family.measures.iter().map(|it| it.name.clone()).collect();
    let ruled = family.ruled(|_| true);
    idle.retain(|name| !ruled.contains(name));
    let mut forms = vec![plain.clone()];
    for measure in &family.measures {
        let others: Vec<String> = match &measure.kind {
            DimensionKind::Choice(words) => words.clone(),
            DimensionKind::YesNo => vec!["true".to_owned(), "false".to_owned()],
            _ => Vec::new(),
        };
        for other in others {
            let mut part = plain.clone();
            if part.set(&format!("{}={other}", measure.name)).is_err() {
                continue;
            }
            match evaluate(&part) {
                Ok(_) => forms.push(part),
                Err(faults) => {
                    let first = faults
                        .as_slice()
                        .first()
                        .map_or("", |it| it.message.as_str());
                    let message = format!(
                        "with {} = {other} and all else as it stands the part is refused: {first}",
                        measure.name
                    );
                    let remark = Fault::refused(message).at(&family.source, measure.span.clone());
                    let remedy = "make defaults and ranges follow from it, or use `when`";
                    remarks.push(remark.remedy(remedy));
                }
            }
        }
    }
    let count = forms.len();
    unmade(family, &forms, remarks);
    for form in forms {
        let Ok(seen) = sketch(&form) else {
            continue;
        };
        for it in seen.dimensions.iter().filter(|it| it.role < Role::Judged) {
            idle.remove(&it.name);
        }
    }
    let used = used(family);
    for measure in family.measures.iter().filter(|it| idle.contains(&it.name)) {
        if used.contains(&measure.name) {
            let message = format!(
                "`{}` moves no edge, opening, mark or margin in any of {count} forms",
                measure.name
            );
            let remark = Fault::refused(message).at(&family.source, measure.span.clone());
            remarks.push(remark.remedy("see whether what uses it ever counts"));
        }
    }
}
