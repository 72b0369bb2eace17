//! What did not go as the settings ask, said once for all openings that share it.
//!
//! In: leads that had to be shorter or pierces nearer to an edge than asked; and holding tabs that want
//! dressing, or found no room. Out: findings named `short lead` and `holding tabs`.

use super::lead::Lead;
use super::path::HoldingTab;
use super::settings::CutSettings;
use crate::finding::{Finding, Level};
use crate::geometry::Point;
use crate::plate::LoadClass;
use crate::quantity::format::{counted, decimal, millimetres};

/// Pierces nearer to an edge, and leads shorter, than this share of what is asked are worth a warning.
/// Common practice, no source: half the clearance still keeps the splash off the edge.
const WARN_SHARE: f64 = 0.5;

/// From this share of what is asked on they are not worth a word: common practice, no source.
const ENOUGH_SHARE: f64 = 0.75;

/// Lengths that differ by less than this, mm, are alike.
const ALIKE: f64 = 0.05;

/// Whether a lead is as the settings ask.
pub(super) fn is_as_asked(lead: &Lead, settings: &CutSettings) -> bool {
    lead.gap >= settings.pierce_clearance - ALIKE && lead.length() >= settings.lead_length - ALIKE
}

/// A lead that is not as the settings ask.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Shortage {
    name: String,
    what: Short,
    at: Point,
}

/// What is short, with what there is of it, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Short {
    /// The distance of the pierce from the nearest finished edge.
    Gap(f64),
    /// The lead itself.
    Length(f64),
}

impl Shortage {
    /// The shortage of a lead, if it has one that is worth a word; a pierce too near to an edge says enough by itself.
    pub(super) fn of(lead: &Lead, name: &str, settings: &CutSettings) -> Option<Self> {
        let what = if lead.gap < ENOUGH_SHARE * settings.pierce_clearance {
            Short::Gap(lead.gap)
        } else if lead.length() < ENOUGH_SHARE * settings.lead_length {
            Short::Length(lead.length())
        } else {
            return None;
        };
        Some(Self {
            name: name.to_owned(),
            what,
            at: lead.run[0].start(),
        })
    }

    /// Whether another lead is as short.
    fn is_like(&self, other: &Self) -> bool {
        match (self.what, other.what) {
            (Short::Gap(a), Short::Gap(b)) | (Short::Length(a), Short::Length(b)) => {
                (a - b).abs() < ALIKE
            }
            _ => false,
        }
    }
}

/// One finding for all leads that are equally short.
pub(super) fn findings(shortages: &[Shortage], settings: &CutSettings) -> Vec<Finding> {
    let mut groups: Vec<Vec<&Shortage>> = Vec::new();
    for shortage in shortages {
        match groups.iter_mut().find(|group| group[0].is_like(shortage)) {
            Some(group) => group.push(shortage),
            None => groups.push(vec![shortage]),
        }
    }
    groups
        .iter()
        .map(|group| short_lead(group, settings))
        .collect()
}

fn short_lead(group: &[&Shortage], settings: &CutSettings) -> Finding {
    let names = names(group);
    let (found, wanted, message, remedy) = match group[0].what {
        Short::Gap(gap) => {
            let wanted = settings.pierce_clearance;
            let message = format!(
                "the pierce of {names} lies {} mm from the finished edge; the table asks for {} mm",
                decimal(gap, 1),
                decimal(wanted, 1)
            );
            let remedy = "there is no more room: look at that edge after the cut";
            (gap, wanted, message, remedy)
        }
        Short::Length(length) => {
            let wanted = settings.lead_length;
            let message = format!(
                "the lead of {names} is {} mm long; the table asks for {} mm",
                decimal(length, 1),
                decimal(wanted, 1)
            );
            let remedy = "there is no more room: look where the cut starts";
            (length, wanted, message, remedy)
        }
    };
    Finding {
        check: "short lead".to_owned(),
        level: if found < WARN_SHARE * wanted {
            Level::Warn
        } else {
            Level::Note
        },
        message,
        remedy: remedy.to_owned(),
        source: "settings of the table".to_owned(),
        at: Some(group[0].at),
    }
}

/// `hub bolt 1`, or `hub bolt 1, hub bolt 2 and 3 more`.
fn names(group: &[&Shortage]) -> String {
    listed(&group.iter().map(|it| it.name.as_str()).collect::<Vec<_>>())
}

/// The same of names alone.
fn listed(names: &[&str]) -> String {
    match names {
        [only] => (*only).to_owned(),
        [first, second] => format!("{first} and {second}"),
        [first, second, rest @ ..] => {
            format!("{first}, {second} and {} more", rest.len())
        }
        [] => String::new(),
    }
}

/// Fewer holding tabs than wanted.
pub(super) fn few_tabs(name: &str, found: usize, wanted: u32) -> Option<Finding> {
    let message = match found {
        found if found as u64 >= u64::from(wanted) => return None,
        0 => format!("no holding tab fits {name}: it is cut all the way round"),
        found => format!("{found} of {wanted} holding tabs fit {name}"),
    };
    Some(Finding {
        check: TABS.to_owned(),
        level: Level::Warn,
        message,
        remedy:
            "stay by the table: it may tip or fall; tabs want a straight or gently bent stretch \
                 that does not mate, with room for a lead"
                .to_owned(),
        source: COMMON.to_owned(),
        at: None,
    })
}

/// What is to be done about the tabs of a plate once it is cut.
pub(super) fn tabs_to_dress(tabs: &[HoldingTab], loads: LoadClass) -> Option<Finding> {
    let first = tabs.first()?;
    let many = counted(tabs.len(), "holding tab");
    let them = if tabs.len() == 1 { "it" } else { "them" };
    Some(Finding {
        check: TABS.to_owned(),
        level: Level::Note,
        message: format!(
            "it hangs in the sheet by {many} of {}",
            millimetres(first.width)
        ),
        remedy: match loads {
            LoadClass::Static => format!("snip {them}, and file the stubs flush"),
            LoadClass::Cyclic => format!(
                "snip or saw {them}, never tear; grind the stubs flush along the edge: cracks start from \
                 such notches"
            ),
        },
        source: COMMON.to_owned(),
        at: Some(first.at),
    })
}

/// What is to be known of slugs that may tip between the slats.
pub(super) fn slugs(cut_up: &[&str], left: &[&str]) -> Vec<Finding> {
    let finding = |level, message: String, remedy: &str| Finding {
        check: "slugs".to_owned(),
        level,
        message,
        remedy: remedy.to_owned(),
        source: COMMON.to_owned(),
        at: None,
    };
    let slugs_of = |names: &[&str]| match names.len() {
        1 => ("the slug", "is", "it"),
        _ => ("the slugs", "are", "they"),
    };
    let mut told = Vec::new();
    if !cut_up.is_empty() {
        let (slugs, are, they) = slugs_of(cut_up);
        let message = format!(
            "{slugs} of {} may tip between the slats: {they} {are} cut up before that, unless other plates lie there",
            listed(cut_up)
        );
        let remedy = "look that all pieces have fallen through before the torch goes on";
        told.push(finding(Level::Note, message, remedy));
    }
    if !left.is_empty() {
        let (slugs, are, _) = slugs_of(left);
        let message = format!(
            "{slugs} of {} may tip between the slats, and {are} not cut up: there is no room for the pierces, or \
             they would be too many pieces",
            listed(left)
        );
        let remedy = "stay by the table and knock down what stands up, or hold it by tabs";
        told.push(finding(Level::Warn, message, remedy));
    }
    told
}

/// The name of findings about holding tabs.
const TABS: &str = "holding tabs";

const COMMON: &str = "common practice, no source";
