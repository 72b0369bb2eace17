//! The story, one verb a stage: expand, check, prepare, place, sequence, write.
//!
//! In: a job and the shelf. Out: plates with findings ([`Drawn`]), and from them sheets ready to cut
//! ([`Planned`]) with their report and files. Nothing here computes; each stage is a room of its own.

mod budget;
mod files;
pub mod fill;
mod plan;

use std::borrow::Cow;
use std::ops::Range;

use rayon::prelude::*;

use crate::bolted::{self, BoltedJoint};
use crate::check;
use crate::cut::{self, PreparedPlate, Starts, Table};
use crate::fault::{Fault, Faults, Outcome};
use crate::finding::{Finding, Level};
use crate::plate::{self, Plate, Scribing};
use crate::recipe::{Job, Part, Shelf};

pub use budget::budget;
pub use files::{Printed, Programs, REMNANTS, Restart, Wanted};
pub use plan::{Planned, Searching, SheetSoFar, plan};

/// The plates of a job, and what is to be said of each.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// The table the job is cut on.
    pub table: Table,
    /// The plates, with names unique in the job.
    pub plates: Vec<Plate>,
    /// What rules, checks and the cut paths say of each, in the same order.
    pub findings: Vec<Vec<Finding>>,
    /// What the torch does for each; `None` where a finding refuses the plate.
    pub prepared: Vec<Option<PreparedPlate>>,
    /// The parts they are made of.
    pub parts: Vec<PartDrawn>,
    /// What of them is bolted together.
    pub joints: Vec<BoltedJoint>,
}

/// A part of a job, and which of the plates are made of it.
#[derive(Debug, Clone, PartialEq)]
pub struct PartDrawn {
    /// The part, knowing the table as far as it asks.
    pub part: Part,
    /// Its plates.
    pub plates: Range<usize>,
}

/// Expands every part of a job, decides how its openings are made, checks every plate against its table
/// and finds its cut paths: what a plan refuses for a plate's sake is a finding here already.
pub fn draw(job: &Job, shelf: &Shelf) -> Outcome<Drawn> {
    let (job, table) = on_table(job, shelf)?;
    Ok(Unexamined::of(&job, table)?.examined(Starts::Several))
}

/// The table of a job as the job wants it, and the job with what each part may know of that.
pub fn on_table<'a>(job: &'a Job, shelf: &Shelf) -> Outcome<(Cow<'a, Job>, Table)> {
    let table = shelf.table(job.table.name(), Table::read)?;
    let mut table = Table::clone(&table);
    table.tabs = job.tabs.on(table.tabs)?;
    table.order = job.order.unwrap_or(table.order);
    Ok((knowing(job, &table), table))
}

/// The plates of a job before checks and cut paths look at them.
pub struct Unexamined {
    /// Without findings and cut paths.
    drawn: Drawn,
    /// What rules and joints say of each plate.
    findings: Vec<Vec<Finding>>,
    /// The checks that the job makes notes.
    relax: Vec<String>,
}

impl Unexamined {
    /// The first half of [`draw`], with the table read, and a job that knows it ([`on_table`]).
    pub fn of(job: &Job, table: Table) -> Outcome<Self> {
        let mut made = Self {
            drawn: Drawn {
                table,
                plates: Vec::new(),
                findings: Vec::new(),
                prepared: Vec::new(),
                parts: Vec::new(),
                joints: Vec::new(),
            },
            findings: Vec::new(),
            relax: relaxed(job)?,
        };
        made.expand(job)?;
        made.join(job)?;
        Ok(made)
    }

    /// The plates, with names unique in the job.
    #[must_use]
    pub fn plates(&self) -> &[Plate] {
        &self.drawn.plates
    }

    /// The second half of [`draw`].
    fn examined(self, starts: Starts) -> Drawn {
        let Self {
            mut drawn,
            findings,
            relax,
        } = self;
        let plates = drawn.plates.par_iter().zip(findings);
        let table = &drawn.table;
        let examined = plates.map(|(plate, said)| examine(plate, said, (table, starts), &relax));
        (drawn.findings, drawn.prepared) = examined.unzip();
        drawn
    }

    /// The second half of [`draw`] for plates that are looked at by themselves, and meanwhile what is scribed on them.
    #[must_use]
    pub fn examined_and_scribed(self) -> Drawn {
        let plates = self.drawn.plates.clone();
        let (drawn, plates) = rayon::join(
            || self.examined(Starts::One),
            || bearing(plates, Scribing::On),
        );
        drawn.with(plates, Scribing::On)
    }

    fn expand(&mut self, job: &Job) -> Outcome<()> {
        let Self {
            drawn,
            findings,
            relax,
        } = self;
        for (part, expanded) in job.parts.iter().zip(plate::job_plates(job)?) {
            let first = drawn.plates.len();
            drawn.parts.push(PartDrawn {
                part: part.clone(),
                plates: first..first + expanded.plates.len(),
            });
            findings.resize(first + expanded.plates.len(), Vec::new());
            for (finding, plate) in expanded.findings.into_iter().zip(expanded.stand_with) {
                // What is said of a part as a whole stands with its first plate.
                if let Some(own) = findings.get_mut(first + plate.unwrap_or(0)) {
                    own.push(check::as_relaxed(finding, relax));
                }
            }
            drawn.plates.extend(expanded.plates);
        }
        for plate in &mut drawn.plates {
            drawn.table.decide_making(plate);
        }
        drawn.table.check_tabs(&drawn.plates)
    }

    /// Looks at the joints of the job: what is said of them stands with plates, and their bolts are listed
    /// once.
    fn join(&mut self, job: &Job) -> Outcome<()> {
        let drawn = &mut self.drawn;
        let parts: Vec<Range<usize>> = drawn.parts.iter().map(|it| it.plates.clone()).collect();
        let found = bolted::joints(job, &drawn.plates, &parts, drawn.table.process)?;
        for (plate, finding) in found.findings {
            self.findings[plate].push(check::as_relaxed(finding, &self.relax));
        }
        for (plate, at, bolts) in found.instead {
            let listed = &mut drawn.plates[plate].strength.hardware[at];
            listed.in_joints = listed.in_joints.saturating_add(bolts);
        }
        drawn.joints = found.joints;
        Ok(())
    }
}

/// The job with what each part may know of the table; as it is where no part asks.
fn knowing<'a>(job: &'a Job, table: &Table) -> Cow<'a, Job> {
    if !job.parts.iter().any(Part::asks_of_table) {
        return Cow::Borrowed(job);
    }
    let mut job = job.clone();
    for part in job.parts.iter_mut().filter(|part| part.asks_of_table()) {
        part.cutting.process = table.process;
        // A part that cannot be worked out, or not be cut, is told so where it is.
        let settings = part
            .thickness()
            .map(|it| table.settings(&part.material, it));
        if let Some(Ok(settings)) = settings {
            part.cutting.kerf = settings.kerf;
        }
    }
    Cow::Owned(job)
}

/// The check that a plate breaks which has no cut paths.
const CUT_PATH: &str = "cut path";

/// Checks a plate and finds its cut paths, if no check refuses it.
fn examine(
    plate: &Plate,
    mut findings: Vec<Finding>,
    (table, starts): (&Table, Starts),
    relax: &[String],
) -> (Vec<Finding>, Option<PreparedPlate>) {
    let check = || check::run(plate, table.limits(plate).as_ref(), relax);
    // A part that is turned on the page is often one plate, and waits for both.
    let (mut checked, prepared) = rayon::join(check, || prepare(plate, table, starts));
    // A rule that tells the fact of a check knows the part better.
    checked.retain(|it| {
        let told = |said: &Finding| said.check == it.check && said.level >= it.level;
        !findings.iter().any(told)
    });
    findings.extend(checked);
    if findings.iter().any(|it| it.level == Level::Refuse) {
        return (findings, None);
    }
    match prepared {
        Ok(prepared) => {
            let said = prepared.findings.iter().cloned();
            findings.extend(said.map(|it| check::as_relaxed(it, relax)));
            (findings, Some(prepared))
        }
        Err(faults) => {
            let refused = faults.into_vec().into_iter().map(|fault| Finding {
                check: CUT_PATH.to_owned(),
                level: Level::Refuse,
                message: fault.message,
                remedy: fault.remedy.unwrap_or_default(),
                source: String::new(),
                at: None,
            });
            // Why there is none is said by the refusal itself.
            findings.retain(|it| it.check != check::NARROW_SLOT);
            findings.splice(0..0, refused);
            (findings, None)
        }
    }
}

fn prepare(plate: &Plate, table: &Table, starts: Starts) -> Outcome<PreparedPlate> {
    let settings = table.settings(&plate.material, plate.thickness)?;
    cut::prepare(plate, &settings, table, starts)
}

impl Drawn {
    /// The same plates with their names and fold ticks, or with nothing to scribe.
    #[must_use]
    pub fn scribed(mut self, scribing: Scribing) -> Self {
        let plates = bearing(std::mem::take(&mut self.plates), scribing);
        self.with(plates, scribing)
    }

    /// The plates as they are scribed in place of them as they were.
    fn with(mut self, plates: Vec<Plate>, scribing: Scribing) -> Self {
        self.plates = plates;
        if scribing == Scribing::On {
            for (plate, findings) in self.plates.iter().zip(&mut self.findings) {
                findings.extend(without_name(plate));
            }
        }
        self
    }
}

/// Plates with their names and fold ticks, or with nothing to scribe.
fn bearing(plates: Vec<Plate>, scribing: Scribing) -> Vec<Plate> {
    let plates = plates.into_par_iter();
    plates.map(|it| it.scribed(scribing)).collect()
}

/// The note on a plate that has no room for its name.
fn without_name(plate: &Plate) -> Option<Finding> {
    (!plate.bears_its_name()).then(|| Finding {
        check: check::NAME_NOT_SCRIBED.to_owned(),
        level: Level::Note,
        message: "the plate has no room for its name".to_owned(),
        remedy: "write its name on it as it comes off the table, or give the part a shorter `name`"
            .to_owned(),
        source: "geometry".to_owned(),
        at: None,
    })
}

/// The checks that the job makes notes, each a name that there is.
fn relaxed(job: &Job) -> Outcome<Vec<String>> {
    let mut faults = Vec::new();
    for text in &job.relax {
        if let Err(sentence) = check::relaxable(text.as_str()) {
            faults.push(Fault::refused(sentence).at(text.source(), text.span()));
        }
    }
    Faults::check(faults)?;
    Ok(job
        .relax
        .iter()
        .map(|text| text.as_str().to_owned())
        .collect())
}

/// Findings of level refuse as faults, each at the part that asked for the plate.
pub fn refuse(drawn: &Drawn) -> Outcome<()> {
    let mut faults = Vec::new();
    for (plate, findings) in drawn.plates.iter().zip(&drawn.findings) {
        for finding in findings.iter().filter(|it| it.level == Level::Refuse) {
            let fault = Fault::refused(format!(
                "{}: {} [{}]",
                plate.name, finding.message, finding.check
            ));
            faults.push(plate.located(fault.remedy(finding.remedy.clone())));
        }
    }
    Faults::check(faults)
}
