//! The story, one verb a stage: expand, check, prepare, place, sequence, write.
//!
//! In: a job and the shelf. Out: plates with findings ([`Drawn`]), and from them sheets ready to cut
//! ([`Planned`]) with their report and files. Nothing here computes; each stage is a room of its own.

pub mod fill;

use std::path::Path;
use std::time::Instant;

use rayon::prelude::*;

use crate::check::{self, Limits};
use crate::cut::{self, CutSettings, Ground, Placed, PreparedPlate, Table};
use crate::export::dimensioned::dimensioned;
use crate::export::paper::{Shows, template};
use crate::export::pdf::Page;
use crate::export::{
    self, CutPlate, CutSheet, Dxf, Exporter, Outputs, PictureFiles, Program, Release, SheetLines,
    plate_drawing, plate_picture, remnant_drawing, sheet_drawing, sheet_picture,
};
use crate::export::{Document, PdfFile};
use crate::fault::{Fault, Faults, Outcome};
use crate::finding::{Finding, Level};
use crate::geometry::{Contour, Point, Region};
use crate::nest::{self, Budget, Control, Layout, Piece, Progress, Stock};
use crate::plate::{self, Plate, Scribing};
use crate::quantity::format::{both_units, decimal};
use crate::recipe::{Job, Price, Shelf, StockLine, StockShape};
use crate::report::figures::FindingFigures;
use crate::report::page::{self, Pictures};
use crate::report::{Report, Run, cut_list};
use crate::trade::{self, paper::Paper};

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

/// Which files a run is to make, beside those it always makes.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Wanted {
    /// The release of DXF.
    pub release: Release,
    /// What the sheet drawings show of each cut.
    pub lines: SheetLines,
    /// Whether each sheet has a program.
    pub programs: Programs,
    /// What pictures are written as.
    pub pictures: PictureFiles,
    /// What drawings and templates are printed on.
    pub paper: Paper,
}

/// Whether programs are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Programs {
    /// Drawings are enough.
    #[default]
    None,
    /// One beside each sheet's drawing.
    EachSheet,
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
    let table = Table::read(&shelf.table_text(job.table.name())?)?;
    let relax = relaxed(job)?;
    let mut drawn = Drawn {
        table,
        plates: Vec::new(),
        findings: Vec::new(),
    };
    for expanded in plate::job_plates(job)? {
        // What the rules say of the part as a whole stands with its first plate.
        let of_part = expanded.findings.into_iter();
        let mut of_part: Vec<Finding> = of_part.map(|it| check::as_relaxed(it, &relax)).collect();
        for plate in expanded.plates {
            let limits = limits(&drawn.table, &plate);
            let mut findings = std::mem::take(&mut of_part);
            findings.extend(check::run(&plate, limits.as_ref(), &relax));
            drawn.plates.push(plate);
            drawn.findings.push(findings);
        }
    }
    Ok(drawn)
}

/// Prepares, places and sequences everything. Plates that a check refuses are faults.
pub fn plan(
    job: &Job,
    drawn: Drawn,
    budget: &Budget,
    progress: &mut dyn FnMut(Progress) -> Control,
) -> Outcome<Planned> {
    refuse(&drawn)?;
    let relax = relaxed(job)?;
    let (plates, findings) = prepare(&drawn, &relax)?;
    let mut planned = Planned {
        job: job.name.clone(),
        table: drawn.table,
        seed: budget.seed,
        plates,
        findings,
        sheets: Vec::new(),
        unplaced: Vec::new(),
    };
    let groups = groups(&planned.plates);
    let started = Instant::now();
    for (index, group) in groups.iter().enumerate() {
        let budget = Budget {
            seconds: budget.seconds.map(|seconds| {
                let left = (seconds - started.elapsed().as_secs_f64()).max(0.0);
                left * share(&groups[index..], &planned.plates)
            }),
            ..budget.clone()
        };
        place_group(job, &mut planned, group, &budget, progress)?;
    }
    no_room(&planned, job)?;
    Ok(planned)
}

impl Drawn {
    /// The same plates with their names and fold ticks, or with nothing to scribe.
    #[must_use]
    pub fn scribed(mut self, scribing: Scribing) -> Self {
        let plates = self.plates.into_iter();
        self.plates = plates.map(|it| it.scribed(scribing)).collect();
        self
    }

    /// The files of a drawing: net DXF, picture and dimensioned drawing of each plate. `job` is what
    /// the builder calls the job.
    pub fn outputs(
        &self,
        job: &str,
        release: Release,
        pictures: PictureFiles,
        paper: &Paper,
    ) -> Outcome<Outputs> {
        let mut outputs = Outputs::default();
        for (plate, findings) in self.plates.iter().zip(&self.findings) {
            add_plate(&mut outputs, plate, findings, release, pictures)?;
            add_dimensioned(&mut outputs, plate, job, &self.table, (paper, pictures))?;
        }
        Ok(outputs)
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

    /// Every file of the run, and its report.
    pub fn outputs(&self, wanted: Wanted) -> Outcome<(Outputs, Report)> {
        let release = wanted.release;
        let mut outputs = Outputs::default();
        let mut pictures = Pictures::default();
        let mut unprinted = Vec::new();
        for (cut, findings) in self.plates.iter().zip(&self.findings) {
            let picture = add_plate(&mut outputs, &cut.plate, findings, release, wanted.pictures)?;
            pictures.plates.push(picture);
            let (job, table) = (&self.job, &self.table);
            let on = (&wanted.paper, wanted.pictures);
            add_dimensioned(&mut outputs, &cut.plate, job, table, on)?;
            unprinted.push(add_template(&mut outputs, &cut.plate, &wanted.paper)?);
        }
        let dxf = Dxf { release };
        for sheet in &self.sheets {
            let path = format!("sheets/{}", sheet.name);
            let drawing = dxf.export(&sheet_drawing(sheet, &self.plates, wanted.lines))?;
            outputs.add(format!("{path}.dxf"), drawing);
            let picture = sheet_picture(sheet, &self.plates, &self.findings);
            let shown = wanted.pictures.add(&mut outputs, &path, &picture)?;
            pictures.sheets.push(shown);
            if let Some(left) = left_over(sheet, &self.plates)? {
                let drawing = dxf.export(&remnant_drawing(&left))?;
                outputs.add(format!("remnants/{}.dxf", sheet.name), drawing);
            }
            if wanted.programs == Programs::EachSheet {
                outputs.add(format!("{path}.ngc"), self.program(sheet)?);
            }
        }
        let mut report = self.report();
        for (plate, unprinted) in report.plates.iter_mut().zip(&unprinted) {
            plate
                .findings
                .extend(unprinted.iter().map(FindingFigures::from));
        }
        if wanted.lines == SheetLines::Net {
            report.assumptions.push(NET.to_owned());
        }
        outputs.add("cut-list.csv", cut_list::csv(&report).into_bytes());
        // The page links to the files that are there before it.
        report.files = outputs.listing();
        outputs.add("report.html", page::html(&report, &pictures)?.into_bytes());
        report.files = outputs.listing();
        outputs.add(export::folder::REPORT, report.json().into_bytes());
        Ok((outputs, report))
    }
}

impl Planned {
    /// The program of one sheet.
    fn program(&self, sheet: &CutSheet) -> Outcome<Vec<u8>> {
        let settings = self.table.settings(&sheet.material, sheet.thickness)?;
        Program {
            plates: &self.plates,
            words: &self.table.program,
            settings: &settings,
        }
        .export(sheet)
    }
}

/// What is worth keeping of a sheet.
fn left_over(sheet: &CutSheet, plates: &[CutPlate]) -> Outcome<Option<Region>> {
    let unresolved = |why| Fault::refused(format!("what is left of {}: {why}", sheet.name));
    Ok(sheet.kept_outline(plates).map_err(unresolved)?)
}

/// What the report says of a run whose sheet drawings are net.
const NET: &str = "The sheet drawings are net: nominal contours without kerf or leads, for a table or \
    service that adds its own. Plates lie as far apart as this table's kerf and leads need; pictures, \
    times and lengths are those of this table.";

/// Adds the files of one plate and gives its picture.
fn add_plate(
    outputs: &mut Outputs,
    plate: &Plate,
    findings: &[Finding],
    release: Release,
    pictures: PictureFiles,
) -> Outcome<String> {
    let path = format!("plates/{}", plate.name);
    let dxf = Dxf { release };
    outputs.add(format!("{path}.dxf"), dxf.export(&plate_drawing(plate))?);
    let picture = plate_picture(plate, findings);
    pictures.add(outputs, &path, &picture)
}

/// Adds the dimensioned drawing of a plate as picture files and as PDF.
fn add_dimensioned(
    outputs: &mut Outputs,
    plate: &Plate,
    job: &str,
    table: &Table,
    (paper, pictures): (&Paper, PictureFiles),
) -> Outcome<()> {
    let drawing = dimensioned(plate, job, table, paper);
    let path = format!("drawings/{}", plate.name);
    pictures.add(outputs, &path, &drawing)?;
    let document = Document {
        title: drawing.title.clone(),
        pages: vec![Page::of(drawing)],
    };
    outputs.add(format!("{path}.pdf"), PdfFile.export(&document)?);
    Ok(())
}

/// Adds the true-size template of a plate, or gives what is to be said where it takes more pages than
/// anybody joins.
fn add_template(outputs: &mut Outputs, plate: &Plate, paper: &Paper) -> Outcome<Option<Finding>> {
    match template(plate, paper, Shows::Plate) {
        Ok(made) => {
            let file = PdfFile.export(&made.document)?;
            outputs.add(format!("paper/{}.pdf", plate.name), file);
            Ok(None)
        }
        Err(fault) => Ok(Some(Finding {
            check: "template".to_owned(),
            level: Level::Note,
            message: format!("there is no template of it: {}", fault.message),
            remedy: fault.remedy.unwrap_or_default(),
            source: "common practice, no source".to_owned(),
            at: None,
        })),
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

/// The first group's share of the copies in all of these.
fn share(groups: &[Group], plates: &[CutPlate]) -> f64 {
    let copies = |group: &Group| -> f64 {
        let quantities = group
            .plates
            .iter()
            .map(|index| plates[*index].plate.quantity);
        quantities.map(f64::from).sum()
    };
    let all: f64 = groups.iter().map(copies).sum();
    groups.first().map_or(1.0, copies) / all.max(1.0)
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

fn place_group(
    job: &Job,
    planned: &mut Planned,
    group: &Group,
    budget: &Budget,
    progress: &mut dyn FnMut(Progress) -> Control,
) -> Outcome<()> {
    let settings = planned.table.settings(&group.material, group.thickness)?;
    let pieces = pieces(job, planned, group)?;
    let supplies = supplies(job, &planned.table, group)?;
    let stock: Vec<Stock> = supplies.iter().map(|supply| supply.stock.clone()).collect();
    let layout = nest::place(&pieces, &stock, budget, progress);
    prove(job, planned, group, &supplies, &layout)?;
    for laid in &layout.sheets {
        let supply = &supplies[laid.stock];
        let sheet = sheet(job, planned, group, &settings, supply, laid);
        planned.sheets.push(sheet);
    }
    let unplaced = layout.unplaced.iter();
    planned
        .unplaced
        .extend(unplaced.map(|(piece, copies)| (group.plates[*piece], *copies)));
    Ok(())
}

/// What is placed for the plates of a group.
fn pieces(job: &Job, planned: &Planned, group: &Group) -> Outcome<Vec<Piece>> {
    let piece = |&index: &usize| {
        let CutPlate { plate, prepared } = &planned.plates[index];
        nest::footprint::piece(plate, prepared, job.web)
            .map_err(|why| at_part(Fault::refused(format!("{}: {why}", plate.name)), plate).into())
    };
    group.plates.iter().map(piece).collect()
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
