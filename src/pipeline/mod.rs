//! The story, one verb a stage: expand, check, prepare, place, sequence, write.
//!
//! In: a job and the shelf. Out: plates with findings ([`Drawn`]), and from them sheets ready to cut
//! ([`Planned`]) with their report and files. Nothing here computes; each stage is a room of its own.

mod files;
pub mod fill;

use std::path::Path;
use std::time::Instant;

use rayon::prelude::*;

use crate::check::{self, Limits};
use crate::cut::{self, CutSettings, Ground, Placed, PreparedPlate, Table};
use crate::export::{CutPlate, CutSheet};
use crate::fault::{Fault, Faults, Outcome};
use crate::finding::{Finding, Level};
use crate::geometry::{Contour, Point, Region};
use crate::nest::{self, Budget, Control, Layout, Piece, Progress, Stock};
use crate::plate::{self, Plate, Scribing};
use crate::proof::Finished;
use crate::quantity::format::{both_units, decimal};
use crate::recipe::{Job, Price, Shelf, StockLine, StockShape, limits};
use crate::report::{Report, Run};
use crate::trade;

pub use files::{Programs, Wanted};

/// Thicknesses nearer than this, mm, are the same plate.
const SAME_THICKNESS: f64 = 1e-6;

/// The plates of a job, and what is to be said of each.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// The table the job is cut on.
    pub table: Table,
    /// The plates, with names unique in the job.
    pub plates: Vec<Plate>,
    /// What rules and checks say of each, in the same order.
    pub findings: Vec<Vec<Finding>>,
}

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
}

/// Expands every part of a job and checks every plate against its table.
pub fn draw(job: &Job, shelf: &Shelf) -> Outcome<Drawn> {
    let mut table = Table::read(&shelf.table_text(job.table.name())?)?;
    table.tabs = job.tabs.on(table.tabs)?;
    let relax = relaxed(job)?;
    let mut drawn = Drawn {
        table,
        plates: Vec::new(),
        findings: Vec::new(),
    };
    // What the rules say of a part as a whole stands with its first plate.
    let mut of_parts: Vec<Vec<Finding>> = Vec::new();
    for expanded in plate::job_plates(job)? {
        let said = expanded.findings.into_iter();
        of_parts.push(said.map(|it| check::as_relaxed(it, &relax)).collect());
        of_parts.resize(drawn.plates.len() + expanded.plates.len(), Vec::new());
        drawn.plates.extend(expanded.plates);
    }
    let plates = drawn.plates.par_iter().zip(of_parts);
    let findings = plates.map(|(plate, mut findings)| {
        let limits = limits(&drawn.table, plate);
        findings.extend(check::run(plate, limits.as_ref(), &relax));
        findings
    });
    drawn.findings = findings.collect();
    Ok(drawn)
}

/// Prepares, places and sequences everything. Plates that a check refuses are faults.
pub fn plan(
    job: &Job,
    drawn: Drawn,
    budget: &Budget,
    progress: &mut dyn FnMut(Progress) -> Control,
) -> Outcome<Planned> {
    let mut planned = prepared_job(job, drawn, budget.seed)?;
    let groups = groups(&planned.plates);
    let tasks = groups.iter().map(|group| Task::new(job, &planned, group));
    let tasks = tasks.collect::<Outcome<Vec<Task>>>()?;
    let layouts = placed(&tasks, budget, progress);
    for (task, layout) in tasks.iter().zip(&layouts) {
        lay_out(job, &mut planned, task, layout)?;
    }
    no_room(&planned, job)?;
    last_look(&planned)?;
    Ok(planned)
}

impl Drawn {
    /// The same plates with their names and fold ticks, or with nothing to scribe.
    #[must_use]
    pub fn scribed(mut self, scribing: Scribing) -> Self {
        let plates = self.plates.into_par_iter();
        self.plates = plates.map(|it| it.scribed(scribing)).collect();
        self
    }
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
        }
        .report()
    }
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

/// What the table can do with a plate; `None` if it has no settings for it, which `plan` refuses.
fn limits(table: &Table, plate: &Plate) -> Option<Limits> {
    let settings = table.settings(&plate.material, plate.thickness).ok()?;
    Some(Limits {
        process: table.process,
        kerf: settings.kerf,
        smallest_hole: settings.smallest_hole,
        bed: table.bed,
    })
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
            faults.push(at_part(fault.remedy(finding.remedy.clone()), plate));
        }
    }
    Faults::check(faults)
}

fn at_part(fault: Fault, plate: &Plate) -> Fault {
    match (&fault.place, &plate.place) {
        (None, Some(place)) => fault.at(&place.source, place.span.clone()),
        _ => fault,
    }
}

/// Cut paths of every plate; all that cannot be cut at once.
fn prepare(drawn: &Drawn, relax: &[String]) -> Outcome<(Vec<CutPlate>, Vec<Vec<Finding>>)> {
    let mut plates = Vec::new();
    let mut findings = drawn.findings.clone();
    let mut faults = Vec::new();
    let each = drawn.plates.par_iter();
    let each: Vec<_> = each.map(|plate| prepared(plate, &drawn.table)).collect();
    for (index, (plate, outcome)) in drawn.plates.iter().zip(each).enumerate() {
        match outcome {
            Ok(prepared) => {
                let said = prepared.findings.iter().cloned();
                findings[index].extend(said.map(|it| check::as_relaxed(it, relax)));
                plates.push(CutPlate {
                    plate: plate.clone(),
                    prepared,
                });
            }
            Err(found) => {
                faults.extend(
                    found
                        .into_vec()
                        .into_iter()
                        .map(|fault| at_part(fault, plate)),
                );
            }
        }
    }
    // What is wrong with the table's tabs is wrong for every plate.
    faults.dedup();
    Faults::check(faults)?;
    Ok((plates, findings))
}

fn prepared(plate: &Plate, table: &Table) -> Outcome<PreparedPlate> {
    let settings = table.settings(&plate.material, plate.thickness)?;
    cut::prepare(plate, &settings, table)
}

/// Plates of one material and thickness.
struct Group {
    material: String,
    thickness: f64,
    /// Indices into the plates of the run.
    plates: Vec<usize>,
}

impl Group {
    fn takes(&self, material: &str, thickness: f64) -> bool {
        self.material == material && (self.thickness - thickness).abs() < SAME_THICKNESS
    }
}

/// A job whose plates are prepared and not yet placed. Plates that a check refuses are faults.
fn prepared_job(job: &Job, drawn: Drawn, seed: u64) -> Outcome<Planned> {
    refuse(&drawn)?;
    let (plates, findings) = prepare(&drawn, &relaxed(job)?)?;
    Ok(Planned {
        job: job.name.clone(),
        table: drawn.table,
        seed,
        plates,
        findings,
        sheets: Vec::new(),
        unplaced: Vec::new(),
    })
}

/// The budget of the first of those to come, each with so many copies: of the time that is left, its share
/// of the copies.
fn share_of(budget: &Budget, started: Instant, to_come: impl Iterator<Item = f64>) -> Budget {
    let mut to_come = to_come.peekable();
    let first = to_come.peek().copied().unwrap_or(0.0);
    let share = first / to_come.sum::<f64>().max(1.0);
    let left = |seconds: f64| (seconds - started.elapsed().as_secs_f64()).max(0.0) * share;
    Budget {
        seconds: budget.seconds.map(left),
        ..budget.clone()
    }
}

fn groups(plates: &[CutPlate]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (index, CutPlate { plate, .. }) in plates.iter().enumerate() {
        match groups
            .iter_mut()
            .find(|it| it.takes(&plate.material, plate.thickness))
        {
            Some(group) => group.plates.push(index),
            None => groups.push(Group {
                material: plate.material.clone(),
                thickness: plate.thickness,
                plates: vec![index],
            }),
        }
    }
    groups
}

/// A line of stock for the search, and what it is to the builder.
struct Supply {
    stock: Stock,
    edge: Region,
    says: String,
    price: Option<f64>,
}

/// What is to be placed for a group, and on what.
struct Task<'a> {
    group: &'a Group,
    /// How many copies there are of its plates.
    copies: f64,
    pieces: Vec<Piece>,
    supplies: Vec<Supply>,
    stock: Vec<Stock>,
}

impl<'a> Task<'a> {
    fn new(job: &Job, planned: &Planned, group: &'a Group) -> Outcome<Self> {
        let pieces = pieces(job, planned, group)?;
        let supplies = supplies(job, &planned.table, group)?;
        few_enough_sheets(job, planned, least_sheets(planned, group, &supplies))?;
        Ok(Self {
            group,
            copies: pieces.iter().map(|it| f64::from(it.quantity)).sum(),
            pieces,
            stock: supplies.iter().map(|supply| supply.stock.clone()).collect(),
            supplies,
        })
    }
}

/// The layout of each task. First those that are soon as short as can be: the time that they leave is for
/// the others.
fn placed(
    tasks: &[Task],
    budget: &Budget,
    progress: &mut dyn FnMut(Progress) -> Control,
) -> Vec<Layout> {
    let started = Instant::now();
    let shares = tasks
        .iter()
        .map(|it| nest::share_of_longest(&it.pieces, &it.stock));
    let mut order: Vec<(usize, f64)> = shares.enumerate().collect();
    order.sort_by(|(_, a), (_, b)| b.total_cmp(a));
    let mut layouts: Vec<(usize, Layout)> = Vec::new();
    for (rank, &(index, _)) in order.iter().enumerate() {
        let Task { pieces, stock, .. } = &tasks[index];
        let to_come = order[rank..].iter().map(|(index, _)| tasks[*index].copies);
        let budget = share_of(budget, started, to_come);
        layouts.push((index, nest::place(pieces, stock, &budget, progress)));
    }
    layouts.sort_by_key(|(index, _)| *index);
    layouts.into_iter().map(|(_, layout)| layout).collect()
}

/// The sheets of a task's layout.
fn lay_out(job: &Job, planned: &mut Planned, task: &Task, layout: &Layout) -> Outcome<()> {
    let group = task.group;
    let settings = planned.table.settings(&group.material, group.thickness)?;
    few_enough_sheets(job, planned, layout.sheets.len())?;
    prove(job, planned, group, &task.supplies, layout)?;
    for laid in &layout.sheets {
        let supply = &task.supplies[laid.stock];
        let sheet = sheet(job, planned, group, &settings, supply, laid);
        planned.sheets.push(sheet);
    }
    let unplaced = layout.unplaced.iter();
    planned
        .unplaced
        .extend(unplaced.map(|(piece, copies)| (group.plates[*piece], *copies)));
    Ok(())
}

/// How many of the largest sheets the metal of a group's plates fills without a gap.
fn least_sheets(planned: &Planned, group: &Group, supplies: &[Supply]) -> usize {
    let plates = group
        .plates
        .iter()
        .map(|&index| &planned.plates[index].plate);
    let metal: f64 = plates
        .map(|it| f64::from(it.quantity) * it.face.area())
        .sum();
    let largest = supplies.iter().map(|it| it.edge.area()).fold(0.0, f64::max);
    (metal / largest) as usize
}

/// Refuses a job that takes so many sheets more.
fn few_enough_sheets(job: &Job, planned: &Planned, more: usize) -> Outcome<()> {
    let sheets = planned.sheets.len() + more;
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

/// What is placed for the plates of a group.
fn pieces(job: &Job, planned: &Planned, group: &Group) -> Outcome<Vec<Piece>> {
    let piece = |&index: &usize| {
        let CutPlate { plate, prepared } = &planned.plates[index];
        nest::footprint::piece(plate, prepared, job.web)
            .map_err(|why| at_part(Fault::refused(format!("{}: {why}", plate.name)), plate).into())
    };
    let pieces: Vec<Outcome<Piece>> = group.plates.par_iter().map(piece).collect();
    pieces.into_iter().collect()
}

fn sheet(
    job: &Job,
    planned: &Planned,
    group: &Group,
    settings: &CutSettings,
    supply: &Supply,
    laid: &nest::SheetLayout,
) -> CutSheet {
    let mut placements = laid.placements.clone();
    for placement in &mut placements {
        placement.piece = group.plates[placement.piece];
    }
    let placed: Vec<Placed> = placements
        .iter()
        .map(|placement| Placed {
            plate: placement.piece,
            pose: placement.pose,
            inside: placement.inside,
        })
        .collect();
    let prepared: Vec<&PreparedPlate> = planned.plates.iter().map(|it| &it.prepared).collect();
    let ground = Ground {
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
        stock: supply.says.clone(),
        material: group.material.clone(),
        thickness: group.thickness,
        kerf: settings.kerf,
        outline: supply.edge.clone(),
        price: supply.price,
        plan: cut::sequence(&placed, &prepared, &ground, settings, &planned.table),
        placements,
    }
}

/// The stock for a group: the job's lines for its material and thickness, or the table's own sheet if
/// the job has no stock at all.
fn supplies(job: &Job, table: &Table, group: &Group) -> Outcome<Vec<Supply>> {
    if job.stock.is_empty() {
        let (x, y) = table.sheet;
        let says = format!(
            "the table's usual sheet, {} × {} mm",
            decimal(x, 1),
            decimal(y, 1)
        );
        let line = nest::sheets::Line {
            id: says.clone(),
            quantity: None,
            price: None,
            margin: job.margin,
        };
        return Ok(rectangle(line, (x, y), job.web, says).into_iter().collect());
    }
    let lines: Vec<&StockLine> = job
        .stock
        .iter()
        .filter(|line| group.takes(&line.material, line.thickness))
        .collect();
    if lines.is_empty() {
        let needed = format!("{} {}", group.material, both_units(group.thickness));
        let fault = Fault::refused(format!("the job has no stock of {needed}"));
        let fault = fault.remedy("add a [[stock]] block for it, or change the thickness");
        return Err(fault.at(&job.source, 0..0).into());
    }
    let usable = |line: &StockLine| {
        let mut supply = supply(job, line)?;
        supply.stock.first = line.first;
        Ok(supply)
    };
    lines.into_iter().map(usable).collect()
}

fn supply(job: &Job, line: &StockLine) -> Outcome<Supply> {
    let nest_line = |says: &str, area: f64| nest::sheets::Line {
        id: says.to_owned(),
        quantity: line.quantity,
        price: price(line, area),
        margin: job.margin,
    };
    let small = || {
        let fault = Fault::refused("this stock is all margin");
        fault
            .at(&line.place.source, line.place.span.clone())
            .remedy("use a smaller margin")
    };
    match &line.shape {
        StockShape::Sheet(x, y) => {
            let says = format!("sheet {} × {} mm", decimal(*x, 1), decimal(*y, 1));
            let supply = rectangle(nest_line(&says, x * y), (*x, *y), job.web, says);
            Ok(supply.ok_or_else(small)?)
        }
        StockShape::Remnant(file) => {
            let base = job.source.path.as_deref().and_then(Path::parent);
            let path = base.unwrap_or(Path::new("")).join(file.as_str());
            let edge = plate::drawing::outlines(&path, None)
                .map_err(|why| file.fault(format!("this remnant cannot be used: {why}")))?;
            let says = format!("remnant {}", file.as_str());
            let area = edge.area();
            let stock = nest::sheets::remnant(nest_line(&says, area), &edge, job.web)
                .map_err(|why| file.fault(why.to_string()))?
                .ok_or_else(small)?;
            Ok(Supply {
                stock,
                edge,
                says,
                price: price(line, area),
            })
        }
    }
}

/// What one sheet of a stock line costs; `area` in mm².
fn price(line: &StockLine, area: f64) -> Option<f64> {
    Some(match line.price? {
        Price::Each(price) => price,
        Price::PerKilogram(rate) => {
            let material = trade::material::find(&line.material).ok()?;
            rate * material.mass(area, line.thickness)
        }
    })
}

fn rectangle(
    line: nest::sheets::Line,
    (x, y): (f64, f64),
    web: f64,
    says: String,
) -> Option<Supply> {
    let price = line.price;
    let corners = [(0.0, 0.0), (x, 0.0), (x, y), (0.0, y)].map(|(x, y)| Point::new(x, y));
    let outside = Contour::polygon(&corners)?;
    let edge = Region {
        faces: vec![crate::geometry::Face {
            outside,
            openings: Vec::new(),
        }],
    };
    Some(Supply {
        stock: nest::sheets::rectangular(line, (x, y), web)?,
        edge,
        says,
        price,
    })
}

/// The layout is proven on the true lines and arcs; a flaw is our mistake and never a file.
fn prove(
    job: &Job,
    planned: &Planned,
    group: &Group,
    supplies: &[Supply],
    layout: &Layout,
) -> Outcome<()> {
    let shapes: Vec<nest::proof::TrueShape> = group
        .plates
        .iter()
        .map(|&index| {
            let prepared = &planned.plates[index].prepared;
            nest::proof::TrueShape {
                outline: &prepared.outline,
                rooms: &prepared.room,
            }
        })
        .collect();
    let mut faults = Vec::new();
    for (index, laid) in layout.sheets.iter().enumerate() {
        let edge = nest::proof::TrueSheet {
            edge: &supplies[laid.stock].edge,
            margin: job.margin,
        };
        for flaw in nest::proof::on_arcs(index, laid, &shapes, edge, job.web) {
            faults.push(
                Fault::refused(format!("the layout failed its proof: {flaw}"))
                    .remedy("nothing was written; try another --seed, and report this job"),
            );
        }
    }
    Faults::check(faults)
}

/// Finished sheets that are not as they have to be are our mistake and never a file.
fn last_look(planned: &Planned) -> Outcome<()> {
    let finished = Finished {
        plates: &planned.plates,
        sheets: &planned.sheets,
        unplaced: &planned.unplaced,
    };
    let flaws = finished.flaws();
    let remedy = format!(
        "nothing was written; send these lines and the files of the job to whoever looks after the \
         program (platewright {}, table {}, seed {})",
        env!("CARGO_PKG_VERSION"),
        planned.table.title,
        planned.seed
    );
    let told = flaws.iter().map(|flaw| {
        let message = format!("the finished job failed its last check: {flaw}");
        Fault::refused(message).remedy(remedy.clone())
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
        faults.push(at_part(fault, plate));
    }
    Faults::check(faults)
}
