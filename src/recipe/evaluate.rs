//! Working out one part: the values of all its names, what its rules say, its figures.

use std::borrow::Cow;

use super::dimension_spec::DimensionSpec;
use super::fix::Fix;
use super::order;
use super::part::Part;
use super::rule::Rule;
use crate::fault::{Fault, Faults, Outcome};
use crate::finding::{Finding, Level};
use crate::quantity::{Value, format};
use crate::toml_text::{Formula, Names, Text, holds};
use crate::trade;

/// A part worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct Evaluated {
    /// Dimensions, `material` and named values.
    pub names: Names,
    /// What rules of level warn and note say, and notes.
    pub findings: Vec<Said>,
    /// Topics of the cautions that apply, those of its metal among them.
    pub cautions: Vec<String>,
    /// Figures worth telling: what, and the value ready to print.
    pub figures: Vec<(String, String)>,
    /// The dimensions: what, and the value ready to print.
    pub dimensions: Vec<(String, String)>,
}

/// What a rule or a note says, and what it is about.
#[derive(Debug, Clone, PartialEq)]
pub struct Said {
    /// What it says.
    pub finding: Finding,
    /// The openings that it is about.
    pub near: Option<String>,
    /// The plates that it is about.
    pub plates: Vec<Text>,
}

/// What the finding of a rule is called, unless it tells the fact of a check.
const RECIPE_RULE: &str = "recipe rule";
/// What the finding of a note is called.
pub(crate) const RECIPE_NOTE: &str = "recipe note";

/// A rule that a part breaks.
#[derive(Debug, Clone, PartialEq)]
pub struct BrokenRule<'a> {
    /// Which of its family's rules, from 0.
    pub number: usize,
    /// What is wrong, with figures.
    pub message: String,
    /// What to do about it.
    pub remedy: String,
    /// What the remedy says to set; each by itself mends it, if the dimension takes the value.
    pub fixes: Vec<Fix>,
    /// Which row of its list breaks it, from 0, if it counts for each.
    pub row: Option<usize>,
    pub(crate) rule: &'a Rule,
}

impl BrokenRule<'_> {
    /// How serious it is.
    #[must_use]
    pub fn level(&self) -> Level {
        self.rule.level
    }
}

/// Works out a part. A dimension out of its range, a value that cannot be worked out and a rule of
/// level refuse that does not hold are faults, all told at once.
pub fn evaluate(part: &Part) -> Outcome<Evaluated> {
    let (names, dimensions) = names(part)?;
    let mut faults = Vec::new();
    let (broken, found) = rules(part, &names);
    faults.extend(found);
    let mut findings = notes(part, &names).unwrap_or_else(|fault| {
        told_once(&mut faults, part.blamed(fault));
        Vec::new()
    });
    for it in broken {
        if it.rule.level == Level::Refuse {
            told_once(&mut faults, refusal(part, &it));
        } else {
            findings.push(Said {
                finding: finding(&it),
                near: near(it.rule.near.as_ref()),
                plates: it.rule.plates.clone(),
            });
        }
    }
    Faults::check(faults)?;
    told(part, names, dimensions, findings)
}

/// Works out a part whatever its rules say: to see what becomes of it where a dimension is moved.
pub(crate) fn unruled(part: &Part) -> Outcome<Evaluated> {
    let (names, dimensions) = names(part)?;
    told(part, names, dimensions, Vec::new())
}

fn told(
    part: &Part,
    names: Names,
    dimensions: Vec<(String, String)>,
    findings: Vec<Said>,
) -> Outcome<Evaluated> {
    Ok(Evaluated {
        cautions: cautions(part, &names)?,
        figures: figures(part, &names)?,
        names,
        findings,
        dimensions,
    })
}

/// The rules of its family that a part breaks, those of level refuse as well.
pub fn broken_rules(part: &Part) -> Outcome<Vec<BrokenRule<'_>>> {
    let (names, _) = names(part)?;
    let (broken, faults) = rules(part, &names);
    Faults::check(faults)?;
    Ok(broken)
}

/// The values of all names of a part, for which branches that are not taken are worked out too.
pub(crate) fn thorough_names(part: &Part) -> Outcome<Names> {
    Ok(names(part)?.0.thorough())
}

/// The values of all names of a part, and its dimensions ready to print.
fn names(part: &Part) -> Outcome<(Names, Vec<(String, String)>)> {
    let mut faults = Vec::new();
    let (mut names, dimensions) = dimensions(part, &mut faults);
    // A rule about dimensions that are wrong themselves would only say the same again.
    Faults::check(faults)?;
    order::work_out(&part.family.lets, &mut names);
    Ok((names, dimensions))
}

/// What the rules say, and the faults of those that could not be worked out.
fn rules<'a>(part: &'a Part, names: &Names) -> (Vec<BrokenRule<'a>>, Vec<Fault>) {
    let as_printed = names.as_printed();
    let mut all = Vec::new();
    let mut faults = Vec::new();
    for (number, rule) in part.family.rules.iter().enumerate() {
        let each = rule.each.as_ref();
        let done = as_printed.for_each(each, |as_printed, row| {
            let mut exact = Cow::Borrowed(names);
            if let (Some(list), Some(row)) = (each, row)
                && let Some(rows) = names.rows(list.as_str())
            {
                exact.to_mut().enter(&rows, row);
            }
            let found = broken(part, (number, rule), &exact, as_printed)?;
            all.extend(found.map(|it| BrokenRule { row, ..it }));
            Ok(())
        });
        if let Err(fault) = done {
            told_once(&mut faults, part.blamed(fault));
        }
    }
    (all, faults)
}

fn dimensions(part: &Part, faults: &mut Vec<Fault>) -> (Names, Vec<(String, String)>) {
    let family = &part.family;
    let mut names = Names::with_tables(&family.tables);
    names.set("material", Value::text(part.material.clone()));
    part.cutting.tell(&mut names);
    let mut shown = Vec::new();
    for measure in &family.measures {
        let setting = part.setting(&measure.name).unwrap_or(&measure.default);
        order::lend(&family.lets, measure.needs(setting), &mut names);
        match measure.settle(setting, &mut names) {
            Ok(said) => shown.extend(said.map(|said| (measure.says.clone(), said))),
            Err(fault) => {
                let fault = at_cause(part, measure, fault);
                names.fail(measure.name.clone(), fault.clone());
                told_once(faults, fault);
            }
        }
    }
    (names, shown)
}

/// The fault of a default: where the part sets what the default follows from, if it does.
fn at_cause(part: &Part, measure: &DimensionSpec, fault: Fault) -> Fault {
    let family = &part.family;
    let in_family = fault.place.as_ref();
    let in_family = in_family.is_some_and(|place| place.source == family.source);
    if !in_family || part.setting(&measure.name).is_some() {
        return fault;
    }
    let mut open = measure.needs(&measure.default);
    let mut seen: Vec<String> = Vec::new();
    while let Some(name) = open.pop() {
        if seen.contains(&name) {
            continue;
        }
        if let Some(cause) = part.setting(&name) {
            let text = cause.text();
            let title = measure.title();
            let remedy = match &fault.remedy {
                Some(remedy) => {
                    format!("change it, or set {title}, which follows from it: {remedy}")
                }
                None => format!("change it, or set {title}, which follows from it"),
            };
            return fault.at(text.source(), text.span()).remedy(remedy);
        }
        let lets = family.lets.iter().filter(|(known, _)| *known == name);
        let names = lets.flat_map(|(_, formula)| formula.names());
        open.extend(names.map(ToOwned::to_owned));
        let above = family.measure(&name);
        open.extend(above.into_iter().flat_map(|it| it.needs(&it.default)));
        seen.push(name);
    }
    fault
}

fn cautions(part: &Part, names: &Names) -> Outcome<Vec<String>> {
    let mut topics = Vec::new();
    for caution in &part.family.cautions {
        topics.extend(caution.topic(names).map_err(|fault| part.blamed(fault))?);
    }
    if let Ok(material) = trade::material::find(&part.material) {
        let of_metal = material.metal.cautions().iter();
        topics.extend(of_metal.map(|topic| (*topic).to_owned()));
    }
    Ok(topics)
}

fn figures(part: &Part, names: &Names) -> Outcome<Vec<(String, String)>> {
    let mut figures = Vec::new();
    for figure in &part.family.figures {
        let told = names.for_each(figure.each.as_ref(), |names, _| {
            if holds(figure.when.as_ref(), names)? {
                let value = figure.value.value(names)?;
                figures.push((figure.says.filled(names)?, format::figure(&value)));
            }
            Ok(())
        });
        told.map_err(|fault| part.blamed(fault))?;
    }
    Ok(figures)
}

/// What the notes of its family say, and the openings that each is about.
fn notes(part: &Part, names: &Names) -> Result<Vec<Said>, Fault> {
    let mut found = Vec::new();
    for note in &part.family.notes {
        if !is_about_made(part, &note.plates, names)? {
            continue;
        }
        names.for_each(note.each.as_ref(), |names, _| {
            if holds(note.when.as_ref(), names)? {
                let remedy = note
                    .remedy
                    .as_ref()
                    .map(|it| it.filled(names))
                    .transpose()?;
                let finding = Finding {
                    check: RECIPE_NOTE.to_owned(),
                    level: Level::Note,
                    message: note.says.filled(names)?,
                    remedy: remedy.unwrap_or_default(),
                    source: note.source.clone(),
                    at: None,
                };
                found.push(Said {
                    finding,
                    near: near(note.near.as_ref()),
                    plates: note.plates.clone(),
                });
            }
            Ok(())
        })?;
    }
    Ok(found)
}

/// Whether one of the plates is made that a block is about; of none, it is about the whole part.
fn is_about_made(part: &Part, plates: &[Text], names: &Names) -> Result<bool, Fault> {
    Ok(plates.is_empty() || part.family.makes_one_of(plates, names)?)
}

fn near(name: Option<&Text>) -> Option<String> {
    name.map(|name| name.as_str().to_owned())
}

/// What a rule says, if it counts and does not hold.
fn broken<'a>(
    part: &Part,
    (number, rule): (usize, &'a Rule),
    names: &Names,
    as_printed: &Names,
) -> Result<Option<BrokenRule<'a>>, Fault> {
    if !is_about_made(part, &rule.plates, as_printed)? {
        return Ok(None);
    }
    if !holds(rule.when.as_ref(), as_printed)? || rule.need.truth(as_printed, "`need`")? {
        return Ok(None);
    }
    let fixes = rule.remedy.fixes(names)?;
    let remedy = match fixes.iter().find_map(|fix| out_of_range(part, fix, names)) {
        Some(remedy) => remedy,
        None => rule.remedy.filled(names)?,
    };
    Ok(Some(BrokenRule {
        number,
        message: rule.wrong.filled(names)?,
        remedy,
        fixes,
        row: None,
        rule,
    }))
}

/// What to do where the dimension that a rule says to set cannot be set so.
fn out_of_range(part: &Part, fix: &Fix, names: &Names) -> Option<String> {
    let measure = part.family.measure(&fix.dimension)?;
    if measure.takes(fix.value.amount, names) {
        return None;
    }
    let range = measure.range(names).ok().flatten()?;
    Some(format!(
        "{} would have to be {}, and it may be {range}: change another size that this depends on",
        measure.title(),
        fix.words()
    ))
}

/// The fault of a rule: at the dimension that it says to set if the part sets it, else at one that the
/// rule speaks of, else at the part.
fn refusal(part: &Part, broken: &BrokenRule<'_>) -> Fault {
    let named = |name: &str| broken.fixes.iter().any(|fix| fix.dimension == name);
    let settings = || part.settings.iter();
    let about = settings()
        .find(|(name, _)| named(name))
        .or_else(|| settings().find(|(name, _)| speaks_of(part, &broken.rule.need, name)));
    let row = broken.rule.each.as_ref().zip(broken.row);
    let row = row.and_then(|(list, row)| part.setting(list.as_str())?.row(row));
    let fault = match about {
        _ if row.is_some() => {
            row.map_or_else(|| part.fault(""), |it| it.fault(broken.message.as_str()))
        }
        Some((_, setting)) => setting.text().fault(broken.message.as_str()),
        None => part.fault(broken.message.as_str()),
    };
    if broken.rule.source.is_empty() {
        fault.remedy(&broken.remedy)
    } else {
        fault.remedy(format!("{} ({})", broken.remedy, broken.rule.source))
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

fn finding(broken: &BrokenRule<'_>) -> Finding {
    let check = broken.rule.check.as_deref();
    Finding {
        check: check.unwrap_or(RECIPE_RULE).to_owned(),
        level: broken.rule.level,
        message: broken.message.clone(),
        remedy: broken.remedy.clone(),
        source: broken.rule.source.clone(),
        at: None,
    }
}

fn told_once(faults: &mut Vec<Fault>, fault: Fault) {
    if !faults.contains(&fault) {
        faults.push(fault);
    }
}
