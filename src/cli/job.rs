//! What commands on parts and jobs share: opening the shelf, reading the file, the search budget.

use std::path::Path;

use super::args::{
    DrawingArgs, DxfArgs, DxfRelease, Input, PictureArgs, PlainArgs, ReadingArgs, ScribeArgs,
    SearchArgs, ShelfArgs,
};
use super::plain::{line, quoted};
use crate::export::{PictureFiles, Release};
use crate::fault::{Fault, Outcome, Source};
use crate::nest::Budget;
use crate::pipeline;
use crate::plate::Scribing;
use crate::recipe::{Job, Shelf};

/// The shelf as seen from the current folder.
pub(super) fn shelf(args: &ShelfArgs) -> Outcome<Shelf> {
    Shelf::open(args.folder.as_deref(), Path::new("."))
}

/// The job of a part or job file, with the dimensions set on the command line.
pub(super) fn job(input: &Input, shelf: &Shelf) -> Outcome<Job> {
    let mut job = whole_job(input, shelf)?;
    job.only.clone_from(&input.only);
    Ok(job)
}

/// The job with all its plates.
fn whole_job(input: &Input, shelf: &Shelf) -> Outcome<Job> {
    let options = &input.drawing;
    if input.plain.is_any() {
        if !input.set.is_empty() {
            let fault = Fault::usage("a plain plate has no dimensions to --set");
            return Err(fault.remedy("type it with other sizes").into());
        }
        let fit = options.fit.as_ref().map(|_| "--fit");
        if let Some(option) = options.reading.given().or(fit) {
            let fault = Fault::usage(format!("{option} is for a drawing"));
            return Err(fault.remedy("leave it out for a plain plate").into());
        }
        let thickness = options.thick("the plate")?;
        return typed(&input.plain, options.lines(thickness), shelf);
    }
    // The command line has a file where it has no plain plate.
    let file = input.file.clone().unwrap_or_default();
    if is_drawing(&file) {
        if !input.set.is_empty() {
            let fault = Fault::usage("a drawing has no dimensions to --set");
            return Err(fault.remedy("change it where it was drawn").into());
        }
        let thickness = options.thick(&file.display().to_string())?;
        let fit = options.fit.iter().map(|it| line("fit", it));
        let lines = options.lines(thickness).into_iter().chain(fit).collect();
        return drawn(&file, lines, &options.reading, shelf);
    }
    if let Some(option) = options.given() {
        let ending = file.extension().map(|it| it.to_string_lossy().into_owned());
        if let Some(ending) = ending.filter(|it| !it.eq_ignore_ascii_case("toml")) {
            let message = format!(
                "{} is no drawing that is read: it ends in .{ending}",
                file.display()
            );
            let fault = Fault::usage(message);
            return Err(fault.remedy("save it as DXF or SVG").into());
        }
        let fault = Fault::usage(format!("{option} is for a drawing"));
        return Err(fault.remedy("set a dimension of a part with --set").into());
    }
    let mut job = Job::read(&file, shelf)?;
    for typed in &input.set {
        let [part] = job.parts.as_mut_slice() else {
            let fault = Fault::usage("--set is for a file of one part");
            return Err(fault.remedy("change the dimension in the job file").into());
        };
        part.set(typed)?;
    }
    Ok(job)
}

/// Whether a file is a drawing, by its ending.
pub(super) fn is_drawing(path: &Path) -> bool {
    let ending = path.extension();
    ["dxf", "svg"]
        .iter()
        .any(|known| ending.is_some_and(|it| it.eq_ignore_ascii_case(known)))
}

/// The job of a plain plate: what a part file for it would say, with these lines of it.
pub(super) fn typed(plain: &PlainArgs, lines: Vec<String>, shelf: &Shelf) -> Outcome<Job> {
    let lines = [lines, plain.lines().map_err(Fault::usage)?].concat();
    Job::from_source(&Source::inline("<options>", lines.join("\n")), shelf)
}

/// The job of a drawing: what a part file for it would say, with these lines of it.
pub(super) fn drawn(
    file: &Path,
    lines: Vec<String>,
    reading: &ReadingArgs,
    shelf: &Shelf,
) -> Outcome<Job> {
    if !file.exists() {
        let fault = Fault::file(format!("there is no file {}", file.display()));
        return Err(fault.remedy("check the name and the folder").into());
    }
    let drawing = vec![line("drawing", &file.to_string_lossy())];
    let lines = [drawing, lines, reading.lines()].concat();
    Job::from_source(&Source::inline("<options>", lines.join("\n")), shelf)
}

impl DrawingArgs {
    /// The first of the options that is given.
    fn given(&self) -> Option<&'static str> {
        let given = [
            (self.thickness.is_some(), "--thickness"),
            (self.material.is_some(), "--material"),
            (self.quantity.is_some(), "--quantity"),
            (self.fit.is_some(), "--fit"),
        ];
        let found = given.into_iter().find(|(is_given, _)| *is_given);
        found
            .map(|(_, option)| option)
            .or_else(|| self.reading.given())
    }

    /// The thickness, which a plate must have.
    fn thick(&self, plate: &str) -> Outcome<&str> {
        Ok(self.thickness.as_deref().ok_or_else(|| {
            let fault = Fault::usage(format!("{plate} does not say how thick it is"));
            fault.remedy("add --thickness \"6 mm\", or what the plate has")
        })?)
    }

    /// The lines of a part file that do not tell how a drawing is read.
    fn lines(&self, thickness: &str) -> Vec<String> {
        let mut lines = vec![line("thickness", thickness)];
        lines.extend(self.material.iter().map(|it| line("material", it)));
        lines.extend(self.quantity.iter().map(|it| format!("quantity = {it}")));
        lines
    }
}

impl ReadingArgs {
    /// The first of the options that is given.
    pub(super) fn given(&self) -> Option<&'static str> {
        let given = [
            (self.unit.is_some(), "--unit"),
            (self.scale.is_some(), "--scale"),
            (self.gap.is_some(), "--gap"),
            (!self.layers.is_empty(), "--layer"),
        ];
        let found = given.into_iter().find(|(is_given, _)| *is_given);
        found.map(|(_, option)| option)
    }

    /// The lines of a part file that tell how its drawing is read.
    fn lines(&self) -> Vec<String> {
        let unit = self.unit.iter().map(|it| line("unit", it));
        let scale = self.scale.iter().map(|it| line("scale", it));
        let gap = self.gap.iter().map(|it| line("gap", it));
        let mut lines: Vec<String> = unit.chain(scale).chain(gap).collect();
        if !self.layers.is_empty() {
            let layers: Vec<String> = self.layers.iter().map(|it| quoted(it)).collect();
            lines.push(format!("layer = [{}]", layers.join(", ")));
        }
        lines
    }
}

impl SearchArgs {
    /// The budget of the layout search for so many copies.
    pub(super) fn budget(&self, copies: impl Iterator<Item = u32>) -> Budget {
        pipeline::budget(self.seed, self.seconds, copies)
    }
}

impl DxfArgs {
    /// The release asked for.
    pub(super) const fn release(&self) -> Release {
        match self.dxf {
            DxfRelease::R12 => Release::R12,
            DxfRelease::R2000 => Release::R2000,
        }
    }
}

impl PictureArgs {
    /// The formats asked for.
    pub(super) const fn files(&self) -> PictureFiles {
        if self.png {
            PictureFiles::SvgAndPng
        } else {
            PictureFiles::Svg
        }
    }
}

impl ScribeArgs {
    /// Whether plates are to be scribed.
    pub(super) const fn scribing(&self) -> Scribing {
        if self.no_scribe {
            Scribing::Off
        } else {
            Scribing::On
        }
    }
}
