//! Working out one part: the values of all its names, what its rules say, its figures.

use super::part::Part;
use super::rule::Rule;
use crate::fault::{Fault, Faults, Outcome};
use crate::finding::{Finding, Level};
use crate::quantity::{Value, format};
use crate::toml_text::Names;
use crate::toml_text::{Formula, holds};

/// A part worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct Evaluated {
    /// Dimensions, `material` and named values.
    pub names: Names,
    /// What rules of level warn and note say, and the openings that each is about.
    pub findings: Vec<(Finding, Option<String>)>,
    /// Figures worth telling: what, and the value ready to print.
    pub figures: Vec<(String, String)>,
    /// The dimensions: what, and the value ready to print.
    pub dimensions: Vec<(String, String)>,
}

/// Works out a part. A dimension out of its range, a value that cannot be worked out and a rule of
/// level refuse that does not hold are faults, all told at once.
pub fn evaluate(part: &Part) -> Outcome<Evaluated> {
    let mut faults = Vec::new();
    let (mut names, dimensions) = dimensions(part, &mut faults);
    // A rule about dimensions that are wrong themselves would only say the same again.
    Faults::check(std::mem::take(&mut faults))?;
    // A value that cannot be worked out matters only to what needs it.
    for (name, formula) in &part.family.lets {
        match formula.value(&names) {
            Ok(value) => names.set(name.clone(), value),
            Err(fault) => names.fail(name.clone(), fault),
        }
    }
    let mut findings = Vec::new();
    for rule in &part.family.rules {
        match broken(rule, &names) {
            Ok(None) => {}
            Ok(Some(said)) if rule.level == Level::Refuse => {
                told_once(&mut faults, refusal(part, rule, said));
            }
            Ok(Some(said)) => findings.push((finding(rule, said), rule.near.clone())),
            Err(fault) => told_once(&mut faults, part.blamed(fault)),
        }
    }
    Faults::check(faults)?;
    Ok(Evaluated {
        figures: figures(part, &names)?,
        names,
        findings,
        dimensions,
    })
}

fn dimensions(part: &Part, faults: &mut Vec<Fault>) -> (Names, Vec<(String, String)>) {
    let mut names = Names::none();
    names.set("material", Value::text(part.material.clone()));
    let mut shown = Vec::new();
    for measure in &part.family.measures {
        let setting = part.setting(&measure.name).unwrap_or(&measure.default);
        match measure.value(setting, &names) {
            Ok(value) => {
                shown.push((measure.says.clone(), format::value(&value)));
                names.set(measure.name.clone(), value);
            }
            Err(fault) => {
                names.fail(measure.name.clone(), fault.clone());
                told_once(faults, fault);
            }
        }
    }
    (names, shown)
}

fn figures(part: &Part, names: &Names) -> Outcome<Vec<(String, String)>> {
    let mut figures = Vec::new();
    for figure in &part.family.figures {
        let value = holds(figure.when.as_ref(), names)
            .and_then(|counts| counts.then(|| figure.value.value(names)).transpose())
            .map_err(|fault| part.blamed(fault))?;
        figures.extend(value.map(|value| (figure.says.clone(), format::value(&value))));
    }
    Ok(figures)
}

/// What a rule says: what is wrong, and what to do.
type Said = (String, String);

/// What a rule says, if it counts and does not hold.
fn broken(rule: &Rule, names: &Names) -> Result<Option<Said>, Fault> {
    if !holds(rule.when.as_ref(), names)? || rule.need.truth(names, "`need`")? {
        return Ok(None);
    }
    Ok(Some((
        rule.wrong.filled(names)?,
        rule.remedy.filled(names)?,
    )))
}

/// The fault of a rule, at the dimension of the part that it speaks of, else at the part.
fn refusal(part: &Part, rule: &Rule, (wrong, remedy): Said) -> Fault {
    let mut settings = part.settings.iter();
    let about = settings.find(|(name, _)| speaks_of(part, &rule.need, name));
    let fault = match about {
        Some((_, setting)) => setting.text().fault(wrong),
        None => part.fault(wrong),
    };
    if rule.source.is_empty() {
        fault.remedy(remedy)
    } else {
        fault.remedy(format!("{remedy} ({})", rule.source))
    }
}

/// Whether a formula uses a name, by itself or through named values.
fn speaks_of(part: &Part, formula: &Formula, name: &str) -> bool {
    let lets = &part.family.lets;
    formula.names().iter().any(|used| {
        let named = lets.iter().find(|(known, _)| known == used);
        *used == name || named.is_some_and(|(_, formula)| speaks_of(part, formula, name))
    })
}

fn finding(rule: &Rule, (message, remedy): Said) -> Finding {
    Finding {
        check: "recipe rule".to_owned(),
        level: rule.level,
        message,
        remedy,
        source: rule.source.clone(),
        at: None,
    }
}

fn told_once(faults: &mut Vec<Fault>, fault: Fault) {
    if !faults.contains(&fault) {
        faults.push(fault);
    }
}
