//! From drawn plates to sheets ready to cut: prepare, place, sequence, look once more.

use std::time::Instant;

use super::{Drawn, PartDrawn, refuse, relaxed};
use crate::bolted::BoltedJoint;
use crate::check;
use crate::cut::{self, CutOff, CutSettings, Placed, PreparedPlate, SheetLimits, StartFrom, Table};
use crate::fault::{Fault, Faults, Outcome, REPORT_IT};
use crate::finding::{Finding, Level};
use crate::geometry::{Pose, Region};
use crate::nest::{self, Budget, Control, Layout, Placement, Progress};
use crate::plate::{LoadClass, Plate};
use crate::proof::Finished;
use crate::quantity::format::{both_units, decimal};
use crate::recipe::{Job, limits};
use crate::report::{Report, Run};
use crate::sheet::{CutPlate, CutSheet, PlateGroup, Rest, Supply, Task, may_share};

/// A job ready to cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Planned {
    /// What the builder calls it.
    pub job: String,
    /// The table it is cut on.
    pub table: Table,
    /// Seed of the layout search.
    pub seed: u64,
    /// The plates with their cut paths.
    pub plates: Vec<CutPlate>,
    /// What is said of each.
    pub findings: Vec<Vec<Finding>>,
    /// The sheets, in cutting order.
    pub sheets: Vec<CutSheet>,
    /// Plates and how many copies of them found no room.
    pub unplaced: Vec<(usize, u32)>,
    /// The parts that the plates are made of.
    pub parts: Vec<PartDrawn>,
    /// What of them is bolted together.
    pub joints: Vec<BoltedJoint>,
}

/// A search for a layout as it is looked at.
pub struct Searching<'a> {
    /// How far it is.
    pub progress: Progress<'a>,
    plates: &'a [CutPlate],
    tasks: &'a [Task],
    /// Tasks that are done, and their layouts.
    placed: &'a [(usize, Layout)],
    /// The one that is in work.
    task: &'a Task,
}

/// A sheet of a layout that is not yet a sheet to cut.
#[derive(Debug)]
pub struct SheetSoFar<'a> {
    /// Its edge.
    pub edge: &'a Region,
    /// The plates on it, and where they lie.
    pub plates: Vec<(&'a Plate, Pose)>,
}

impl<'a> Searching<'a> {
    /// The best layout so far, a sheet at a time.
    #[must_use]
    pub fn sheets(&self) -> Vec<SheetSoFar<'a>> {
        let now = (self.progress.layout)();
        let done = self.placed.iter();
        let done = done.map(|(index, layout)| (&self.tasks[*index], layout));
        let sheets = done.chain([(self.task, &now)]);
        sheets
            .flat_map(|(task, layout)| {
                let layout = task.taken_apart(layout, self.plates.len());
                layout.sheets.into_iter().map(move |it| (task, it))
            })
            .map(|(task, laid)| SheetSoFar {
                edge: &task.supplies[laid.stock].edge,
                plates: laid
                    .placements
                    .iter()
                    .map(|it| (&self.plates[it.piece].plate, it.pose))
                    .collect(),
            })
            .collect()
    }
}

/// Prepares, places and sequences everything. Plates that a check refuses are faults.
pub fn plan(
    job: &Job,
    drawn: Drawn,
    budget: &Budget,
    progress: &mut dyn FnMut(&Searching<'_>) -> Control,
) -> Outcome<Planned> {
    let mut planned = prepared_job(job, drawn, budget.seed)?;
    let asked = asked_to_share(job, &planned)?;
    let mut tasks = Task::all(job, &planned.table, &planned.plates)?;
    let relax = relaxed(job)?;
    for task in &tasks {
        few_enough_sheets(job, task.least_sheets(&planned.plates))?;
        // What is said of stock stands with the first plate that it is for.
        let said = task.supplies.iter().flat_map(|it| it.findings.clone());
        let first = task.group.plates[0];
        planned.findings[first].extend(said.map(|it| check::as_relaxed(it, &relax)));
    }
    share_cuts(job, &asked, &mut planned, &mut tasks)?;
    let layouts = placed(&tasks, &planned.plates, budget, progress);
    for (task, layout) in tasks.iter().zip(&layouts) {
        lay_out(job, &mut planned, task, layout)?;
    }
    no_room(&planned, job)?;
    last_look(&planned)?;
    Ok(planned)
}

impl Planned {
    /// The figures of the run, without its list of files.
    #[must_use]
    pub fn report(&self) -> Report {
        Run {
            job: &self.job,
            table: &self.table,
            seed: self.seed,
            plates: &self.plates,
            findings: &self.findings,
            sheets: &self.sheets,
            unplaced: &self.unplaced,
            joints: &self.joints,
        }
        .report()
    }
}

/// A job whose plates are not yet placed. Plates that a finding refuses are faults.
pub(super) fn prepared_job(job: &Job, drawn: Drawn, seed: u64) -> Outcome<Planned> {
    refuse(&drawn)?;
    let plates = drawn.plates.into_iter().zip(drawn.prepared);
    let plates = plates.filter_map(|(plate, prepared)| {
        Some(CutPlate {
            plate,
            prepared: prepared?,
        })
    });
    Ok(Planned {
        job: job.name.clone(),
        table: drawn.table,
        seed,
        plates: plates.collect(),
        findings: drawn.findings,
        sheets: Vec::new(),
        unplaced: Vec::new(),
        parts: drawn.parts,
        joints: drawn.joints,
    })
}

/// Has plates placed so that they share cuts, where they may; where a group has none, a note says so.
fn share_cuts(
    job: &Job,
    asked: &[usize],
    planned: &mut Planned,
    tasks: &mut [Task],
) -> Outcome<()> {
    let relax = relaxed(job)?;
    for task in tasks {
        let group = &task.group;
        let settings = planned.table.settings(&group.material, group.thickness)?;
        let asked: Vec<usize> = asked
            .iter()
            .copied()
            .filter(|it| group.plates.contains(it))
            .collect();
        for index in &asked {
            let cut = &mut planned.plates[*index];
            cut.prepared.shares = may_share(cut, settings.kerf);
        }
        let Some(first) = asked.first() else {
            continue;
        };
        if !task.share_cuts(&planned.plates, job.web, settings.kerf)? {
            planned.findings[*first].push(check::as_relaxed(no_shared_cuts(), &relax));
        }
    }
    Ok(())
}

/// The plates of the parts that are to share cuts. What is safety-critical by its recipe shares none; what a drawing or
/// a plain shape is for, only the builder knows, who names it.
fn asked_to_share(job: &Job, planned: &Planned) -> Outcome<Vec<usize>> {
    let parts = &planned.parts;
    let mut plates = Vec::new();
    let mut faults = Vec::new();
    for called in &job.shared_cuts {
        let mut named = parts
            .iter()
            .filter(|it| it.part.name == crate::recipe::name::safe(called.as_str(), ""))
            .peekable();
        if named.peek().is_none() {
            let fault = called.fault(format!("this job has no part \"{}\"", called.as_str()));
            let names = parts.iter().map(|it| it.part.name.as_str());
            let names: Vec<&str> = names.collect();
            faults.push(fault.remedy(format!("its parts are: {}", names.join(", "))));
        }
        for it in named {
            let is_critical = |plate: usize| {
                let class = planned.plates[plate].plate.load_class();
                class == LoadClass::Cyclic
            };
            if it.part.family.knows_use && it.plates.clone().any(is_critical) {
                let fault = called.fault(format!(
                    "{} is safety-critical: its edges share no cut",
                    it.part.name
                ));
                faults.push(fault.remedy("leave it out of `shared_cuts`"));
            }
            plates.extend(it.plates.clone());
        }
    }
    Faults::check(faults)?;
    plates.sort_unstable();
    plates.dedup();
    Ok(plates)
}

/// What is said where cuts are to be shared, and none is.
fn no_shared_cuts() -> Finding {
    Finding {
        check: "shared cuts".to_owned(),
        level: Level::Note,
        message: "no edges of this material and thickness are cut once for two plates".to_owned(),
        remedy: "name parts in `shared_cuts` of which there are two or more plates alike, their outside a rectangle with \
                 sharp corners, without mating edge, holding tab or corner loop, side by side on no more sheets"
            .to_owned(),
        source: "common practice, no source".to_owned(),
        at: None,
    }
}

/// The layout of each task. First those that are soon as short as can be: the time that they leave is for
/// the others.
fn placed(
    tasks: &[Task],
    plates: &[CutPlate],
    budget: &Budget,
    progress: &mut dyn FnMut(&Searching<'_>) -> Control,
) -> Vec<Layout> {
    let started = Instant::now();
    let shares = tasks
        .iter()
        .map(|it| nest::length_lower_bound_ratio(&it.pieces, &it.stock));
    let mut order: Vec<(usize, f64)> = shares.enumerate().collect();
    order.sort_by(|(_, a), (_, b)| b.total_cmp(a));
    let copies: f64 = tasks.iter().map(|it| it.copies).sum();
    let mut done = 0.0;
    let mut layouts: Vec<(usize, Layout)> = Vec::new();
    for (rank, &(index, _)) in order.iter().enumerate() {
        let Task { pieces, stock, .. } = &tasks[index];
        let to_come = order[rank..].iter().map(|(index, _)| tasks[*index].copies);
        let budget = budget.share_of_rest(started, to_come);
        let ends = done + tasks[index].copies / copies;
        let told = &mut |now: Progress| {
            progress(&Searching {
                progress: now.between(done, ends),
                plates,
                tasks,
                placed: &layouts,
                task: &tasks[index],
            })
        };
        let layout = nest::place(pieces, stock, &budget, told);
        layouts.push((index, layout));
        done = ends;
    }
    layouts.sort_by_key(|(index, _)| *index);
    layouts.into_iter().map(|(_, layout)| layout).collect()
}

/// The sheets of a task's layout.
fn lay_out(job: &Job, planned: &mut Planned, task: &Task, layout: &Layout) -> Outcome<()> {
    let group = &task.group;
    let settings = planned.table.settings(&group.material, group.thickness)?;
    few_enough_sheets(job, planned.sheets.len() + layout.sheets.len())?;
    task.prove(job, &planned.plates, layout)?;
    let layout = task.taken_apart(layout, planned.plates.len());
    for laid in &layout.sheets {
        let supply = &task.supplies[laid.stock];
        let mut sheet = sheet(job, planned, group, &settings, supply, laid);
        let parted = sheet.part_the_rest(&planned.plates, job.web, &settings, &planned.table);
        parted.map_err(|why| {
            let fault = Fault::refused(format!(
                "the cuts in the skeleton of {} were not found: {why}",
                sheet.name
            ));
            fault.remedy("leave `cut_off` and `lift` out of the table for this job")
        })?;
        planned.sheets.push(sheet);
    }
    planned.unplaced.extend(&layout.unplaced);
    Ok(())
}

/// Refuses a job that takes more sheets than are possible.
fn few_enough_sheets(job: &Job, sheets: usize) -> Outcome<()> {
    if sheets <= limits::SHEETS {
        return Ok(());
    }
    let fault = Fault::refused(format!("this job takes at least {sheets} sheets"));
    let fault = fault.remedy(format!(
        "no more than {} are possible: make several jobs of it",
        limits::SHEETS
    ));
    Err(fault.at(&job.source, 0..0).into())
}

fn sheet(
    job: &Job,
    planned: &Planned,
    group: &PlateGroup,
    settings: &CutSettings,
    supply: &Supply,
    laid: &nest::SheetLayout,
) -> CutSheet {
    let placements = &laid.placements;
    let placed: Vec<Placed> = placements.iter().map(Placement::placed).collect();
    let prepared: Vec<&PreparedPlate> = planned.plates.iter().map(|it| &it.prepared).collect();
    let table = &planned.table;
    let ground = SheetLimits {
        metal: &supply.edge,
        margin: job.margin,
        web: job.web,
    };
    let name = format!(
        "{:02}-{}-{}mm",
        planned.sheets.len() + 1,
        crate::recipe::name::safe(&group.material, "plate"),
        decimal(group.thickness, 3)
    );
    CutSheet {
        name,
        stock: supply.stock.id.clone(),
        material: group.material.clone(),
        thickness: group.thickness,
        kerf: settings.kerf,
        outline: supply.edge.clone(),
        along: laid.along,
        goes_round: table.cut_off == CutOff::No
            && table.lift.is_none()
            && settings.start != StartFrom::Edge,
        margin: job.margin,
        price: supply.stock.price,
        plan: cut::sequence(&placed, &prepared, &ground, settings, table),
        placements: placements.clone(),
        rest: Rest::default(),
    }
}

/// Finished sheets that are not as they have to be are our mistake and never a file.
fn last_look(planned: &Planned) -> Outcome<()> {
    let finished = Finished {
        plates: &planned.plates,
        sheets: &planned.sheets,
        unplaced: &planned.unplaced,
    };
    let (table, seed) = (&planned.table.title, planned.seed);
    let told = finished.flaws().into_iter().map(|flaw| {
        Fault::program(format!(
            "the finished job failed its last check: {flaw} (table {table}, seed {seed}); nothing was written"
        ))
        .remedy(REPORT_IT)
    });
    Faults::check(told.collect())
}

/// A plate that fits on no sheet at all is a fault; copies that only ran out of stock are reported.
fn no_room(planned: &Planned, job: &Job) -> Outcome<()> {
    let mut faults = Vec::new();
    for (index, copies) in &planned.unplaced {
        let plate = &planned.plates[*index].plate;
        if *copies < plate.quantity {
            continue;
        }
        let bounds = plate.face.outside.bounds();
        let fault = Fault::refused(format!(
            "{} ({} × {}) fits on none of the sheets at hand",
            plate.name,
            both_units(bounds.width()),
            both_units(bounds.height())
        ));
        let fault = fault.remedy(format!(
            "add a larger sheet to the stock; each keeps {} free along its edge, and the lead needs room too",
            both_units(job.margin)
        ));
        faults.push(plate.located(fault));
    }
    Faults::check(faults)
}
