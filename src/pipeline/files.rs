//! The files of a run: drawings, pictures, templates, programs, the cut list and the report.
//!
//! In: plates, with sheets or without. Out: [`Outputs`], the same bytes however many threads make
//! them: each plate and each sheet is made on its own, and they are gathered in order.

use rayon::prelude::*;

use super::{Drawn, PartDrawn, Planned};
use crate::cut::Table;
use crate::export::calculation::Calculation;
use crate::export::dimensioned::dimensioned;
use crate::export::labelled::labelled_plate;
use crate::export::paper::{self, Template, path, template};
use crate::export::pdf::PdfPage;
use crate::export::{
    self, Document, Dxf, Exporter, Outputs, PdfFile, Picture, PictureFiles, Program, Release,
    SheetLines, plate_drawing, plate_picture, remnant_drawing, sheet_drawing, sheet_picture,
    svg_for_page,
};
use crate::fault::{Fault, Outcome};
use crate::finding::{Finding, Level};
use crate::geometry::Region;
use crate::plate::Plate;
use crate::report::figures::FindingFigures;
use crate::report::page::{self, Shown, Shows};
use crate::report::{Report, cut_list};
use crate::sheet::{CutPlate, CutSheet};
use crate::sketch::sketch;
use crate::trade::paper::Paper;

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
    /// The same, and one that goes on with a later run after a stop.
    From(Restart),
}

/// Where cutting goes on after a stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Restart {
    /// Number of the sheet, from 1; `None` where there is but one.
    pub sheet: Option<usize>,
    /// Number of the run on it, from 1.
    pub run: usize,
}

impl Restart {
    /// The index of its sheet and the place of its run in the order there.
    fn among(self, sheets: &[CutSheet]) -> Result<(usize, usize), Fault> {
        let refused = |message: String, remedy: String| Fault::refused(message).remedy(remedy);
        let sheet = match self.sheet {
            None if sheets.len() > 1 => {
                return Err(refused(
                    format!("there are {} sheets", sheets.len()),
                    format!(
                        "say which one: `--from 1/{}` is run {} of the first",
                        self.run, self.run
                    ),
                ));
            }
            sheet => sheet.unwrap_or(1),
        };
        let Some(found) = sheet.checked_sub(1).and_then(|at| sheets.get(at)) else {
            return Err(refused(
                format!("there is no sheet {sheet}"),
                format!("they are numbered from 1 to {}", sheets.len()),
            ));
        };
        let runs = found.plan.runs();
        if !(1..=runs).contains(&self.run) {
            return Err(refused(
                format!("{} has no run {}", found.name, self.run),
                format!("its runs are numbered from 1 to {runs}, in the program's comments"),
            ));
        }
        Ok((sheet - 1, self.run - 1))
    }
}

impl Drawn {
    /// The files of a drawing: net DXF, picture and dimensioned drawing of each plate. `job` is what
    /// the builder calls the job.
    pub fn outputs(
        &self,
        job: &str,
        release: Release,
        pictures: PictureFiles,
        paper: &Paper,
    ) -> Outcome<Outputs> {
        let each = self.plates.par_iter().zip(&self.findings);
        let each = each.map(|(plate, findings)| {
            let mut made = Made::default();
            made.plate(plate, findings, release, pictures)?;
            made.dimensioned(plate, job, &self.table, (paper, pictures))?;
            Ok(made)
        });
        Ok(Gathered::of(each.collect())?.files)
    }
}

/// The true-size templates of plates: each with the path of its file.
pub type Printed = Vec<(String, Template)>;

impl Drawn {
    /// The templates of every plate, and their files.
    pub fn templates(&self, paper: &Paper, shows: paper::Shows) -> Outcome<(Outputs, Printed)> {
        let mut outputs = Outputs::default();
        let mut printed = Vec::new();
        for plate in &self.plates {
            let template = template(plate, paper, shows)?;
            let file = path(plate, paper, shows);
            outputs.add(&file, PdfFile.export(&template.document)?);
            printed.push((file, template));
        }
        Ok((outputs, printed))
    }
}

impl Planned {
    /// Every file of the run, and its report.
    pub fn outputs(&self, wanted: Wanted) -> Outcome<(Outputs, Report)> {
        // Sheets are few and large: plates fill the time beside them.
        let (sheets, plates) = rayon::join(
            || {
                let sheets = self.sheets.par_iter();
                let made = sheets.map(|sheet| self.sheet_files(sheet, &wanted));
                Gathered::of(made.collect())
            },
            || {
                let parts = self.parts.par_iter();
                let made = parts.map(|it| self.part_files(it, &wanted));
                Gathered::of(made.flatten_iter().collect())
            },
        );
        let (sheets, plates) = (sheets?, plates?);
        let mut outputs = plates.files;
        outputs.append(sheets.files);
        if let Programs::From(restart) = wanted.programs {
            let (index, from) = restart.among(&self.sheets)?;
            let sheet = &self.sheets[index];
            let path = format!("sheets/{}-from-{}.nc", sheet.name, from + 1);
            outputs.add(path, self.program(sheet, from)?);
        }
        let mut report = self.report();
        for (sheet, remnant) in report.sheets.iter_mut().zip(sheets.remnants) {
            sheet.remnant.file = remnant;
        }
        let unprinted = self.plates.iter().zip(&plates.unprinted);
        for (plate, (cut, unprinted)) in report.plates.iter_mut().zip(unprinted) {
            let said = unprinted.iter();
            plate
                .findings
                .extend(said.map(|it| FindingFigures::of(it, &cut.plate.datum())));
        }
        if wanted.lines == SheetLines::Net {
            report.assumptions.push(NET.to_owned());
        }
        outputs.add("cut-list.csv", cut_list::csv(&report).into_bytes());
        // The page links to the files that are there before it.
        report.files = outputs.listing();
        let shows = Shows {
            sheets: sheets.shown.into_iter().map(|it| it.picture).collect(),
            plates: plates.shown,
        };
        let page = page::html(&report, &shows)?;
        outputs.add("report.html", page.into_bytes());
        report.files = outputs.listing();
        outputs.add(export::folder::REPORT, report.json().into_bytes());
        Ok((outputs, report))
    }

    /// The files of a part's plates.
    fn part_files(&self, part: &PartDrawn, wanted: &Wanted) -> Vec<Outcome<Made>> {
        // A part without dimensions has none to show, and one that has no sketch is shown without.
        let sketch = sketch(&part.part).ok();
        let dimensions = sketch.as_ref().map(|it| it.dimensions.clone());
        let of_part = dimensions.unwrap_or_default();
        let first = part.plates.start;
        let plates = part.plates.clone().into_par_iter();
        let made = plates.map(|index| {
            let (plate, findings) = (&self.plates[index].plate, &self.findings[index]);
            let labelled = || labelled_plate(sketch.as_ref()?, plate, findings);
            let mut made = self.plate_files(plate, findings, labelled(), wanted)?;
            if index == first {
                made.shown.dimensions.clone_from(&of_part);
            }
            Ok(made)
        });
        made.collect()
    }

    fn plate_files(
        &self,
        plate: &Plate,
        findings: &[Finding],
        labelled: Option<Picture>,
        wanted: &Wanted,
    ) -> Outcome<Made> {
        let mut made = Made::default();
        let picture = made.plate(plate, findings, wanted.release, wanted.pictures)?;
        made.shown.picture = svg_for_page(&labelled.unwrap_or(picture));
        let on = (&wanted.paper, wanted.pictures);
        made.dimensioned(plate, &self.job, &self.table, on)?;
        made.template(plate, &wanted.paper)?;
        made.shown.calculation = Calculation::of(plate, &self.job);
        if let Some(sheet) = &made.shown.calculation {
            let file = PdfFile.export(&sheet.document(&wanted.paper))?;
            made.files
                .add(format!("calculations/{}.pdf", plate.name), file);
        }
        Ok(made)
    }

    fn sheet_files(&self, sheet: &CutSheet, wanted: &Wanted) -> Outcome<Made> {
        let mut made = Made::default();
        let path = format!("sheets/{}", sheet.name);
        let dxf = Dxf {
            release: wanted.release,
        };
        let drawing = dxf.export(&sheet_drawing(sheet, &self.plates, wanted.lines))?;
        made.files.add(format!("{path}.dxf"), drawing);
        let picture = sheet_picture(sheet, &self.plates, &self.findings);
        wanted.pictures.add(&mut made.files, &path, &picture)?;
        made.shown.picture = svg_for_page(&picture);
        if let Some(left) = left_over(sheet, &self.plates)? {
            let drawing = dxf.export(&remnant_drawing(&left))?;
            let stem = format!("{REMNANTS}/{}", sheet.name);
            made.remnant = Some(made.files.hand_on(&stem, "dxf", drawing));
        }
        if wanted.programs != Programs::None {
            made.files
                .add(format!("{path}.nc"), self.program(sheet, 0)?);
        }
        Ok(made)
    }

    /// The program of one sheet.
    fn program(&self, sheet: &CutSheet, from: usize) -> Outcome<Vec<u8>> {
        let settings = self.table.settings(&sheet.material, sheet.thickness)?;
        Program {
            plates: &self.plates,
            words: &self.table.program,
            settings: &settings,
            from,
        }
        .export(sheet)
    }
}

/// The folder of the drawings of remnants.
pub const REMNANTS: &str = "remnants";

/// What is worth keeping of a sheet.
fn left_over(sheet: &CutSheet, plates: &[CutPlate]) -> Outcome<Option<Region>> {
    let unresolved = |why| Fault::refused(format!("what is left of {}: {why}", sheet.name));
    Ok(sheet.kept_outline(plates).map_err(unresolved)?)
}

/// What the report says of a run whose sheet drawings are net.
const NET: &str = "The sheet drawings are net: nominal contours without kerf or leads, for a table or \
    service that adds its own. Plates lie as far apart as this table's kerf and leads need; pictures, \
    times and lengths are those of this table.";

/// The files of one plate or sheet, what the report page shows of it, the drawing of what is left
/// of it, and what is to be said where it has no template.
#[derive(Debug, Default)]
struct Made {
    files: Outputs,
    shown: Shown,
    remnant: Option<String>,
    unprinted: Option<Finding>,
}

/// The files of all of them in order, and the rest one by one.
#[derive(Debug, Default)]
struct Gathered {
    files: Outputs,
    shown: Vec<Shown>,
    remnants: Vec<Option<String>>,
    unprinted: Vec<Option<Finding>>,
}

impl Gathered {
    /// All of them, or the first failure.
    fn of(each: Vec<Outcome<Made>>) -> Outcome<Self> {
        let mut gathered = Self::default();
        for made in each {
            let made = made?;
            gathered.files.append(made.files);
            gathered.shown.push(made.shown);
            gathered.remnants.push(made.remnant);
            gathered.unprinted.push(made.unprinted);
        }
        Ok(gathered)
    }
}

impl Made {
    /// Net DXF and picture of a plate; gives the picture.
    fn plate(
        &mut self,
        plate: &Plate,
        findings: &[Finding],
        release: Release,
        pictures: PictureFiles,
    ) -> Outcome<Picture> {
        let path = format!("plates/{}", plate.name);
        let dxf = Dxf { release };
        self.files
            .add(format!("{path}.dxf"), dxf.export(&plate_drawing(plate))?);
        let picture = plate_picture(plate, findings);
        pictures.add(&mut self.files, &path, &picture)?;
        Ok(picture)
    }

    /// The dimensioned drawing of a plate as picture files and as PDF.
    fn dimensioned(
        &mut self,
        plate: &Plate,
        job: &str,
        table: &Table,
        (paper, pictures): (&Paper, PictureFiles),
    ) -> Outcome<()> {
        let drawing = dimensioned(plate, job, table, paper);
        let path = format!("drawings/{}", plate.name);
        pictures.add(&mut self.files, &path, &drawing)?;
        let document = Document {
            title: drawing.title.clone(),
            pages: vec![PdfPage::of(drawing)],
        };
        self.files
            .add(format!("{path}.pdf"), PdfFile.export(&document)?);
        Ok(())
    }

    /// The true-size template of a plate, or what is to be said where it takes more pages than anybody
    /// joins.
    fn template(&mut self, plate: &Plate, paper: &Paper) -> Outcome<()> {
        match template(plate, paper, paper::Shows::Plate) {
            Ok(made) => {
                let file = PdfFile.export(&made.document)?;
                self.files
                    .add(path(plate, paper, paper::Shows::Plate), file);
            }
            Err(fault) => {
                self.unprinted = Some(Finding {
                    check: "template".to_owned(),
                    level: Level::Note,
                    message: format!("there is no template of it: {}", fault.message),
                    remedy: fault.remedy.unwrap_or_default(),
                    source: "common practice, no source".to_owned(),
                    at: None,
                });
            }
        }
        Ok(())
    }
}
