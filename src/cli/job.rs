//! What commands on parts and jobs share: opening the shelf, reading the file, the search budget.

use std::path::Path;

use super::args::{
    DrawingArgs, DxfArgs, DxfRelease, Input, PictureArgs, ScribeArgs, SearchArgs, ShelfArgs,
};
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
    if is_drawing(&input.file) {
        return drawn(input, shelf);
    }
    if let Some(option) = input.drawing.given() {
        let fault = Fault::usage(format!("{option} is for a drawing"));
        return Err(fault.remedy("set a dimension of a part with --set").into());
    }
    let mut job = Job::read(&input.file, shelf)?;
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

/// The job of a drawing: what a part file for it would say.
fn drawn(input: &Input, shelf: &Shelf) -> Outcome<Job> {
    let (file, options) = (&input.file, &input.drawing);
    if !input.set.is_empty() {
        let fault = Fault::usage("a drawing has no dimensions to --set");
        return Err(fault.remedy("change it where it was drawn").into());
    }
    let Some(thickness) = &options.thickness else {
        let fault = Fault::usage(format!("{} does not say how thick it is", file.display()));
        return Err(fault
            .remedy("add --thickness \"6 mm\", or what the plate has")
            .into());
    };
    if !file.exists() {
        let fault = Fault::file(format!("there is no file {}", file.display()));
        return Err(fault.remedy("check the name and the folder").into());
    }
    let quoted = |words: &str| toml_edit::Value::from(words).to_string();
    let mut lines = vec![
        format!("drawing = {}", quoted(&file.to_string_lossy())),
        format!("thickness = {}", quoted(thickness)),
    ];
    lines.extend(
        options
            .material
            .iter()
            .map(|it| format!("material = {}", quoted(it))),
    );
    lines.extend(
        options
            .unit
            .iter()
            .map(|it| format!("unit = {}", quoted(it))),
    );
    lines.extend(options.fit.iter().map(|it| format!("fit = {}", quoted(it))));
    lines.extend(options.quantity.iter().map(|it| format!("quantity = {it}")));
    if !options.layers.is_empty() {
        let layers: Vec<String> = options.layers.iter().map(|it| quoted(it)).collect();
        lines.push(format!("layer = [{}]", layers.join(", ")));
    }
    Job::from_source(&Source::inline("<options>", lines.join("\n")), shelf)
}

impl DrawingArgs {
    /// The first of the options that is given.
    fn given(&self) -> Option<&'static str> {
        let given = [
            (self.thickness.is_some(), "--thickness"),
            (self.material.is_some(), "--material"),
            (self.quantity.is_some(), "--quantity"),
            (self.unit.is_some(), "--unit"),
            (!self.layers.is_empty(), "--layer"),
            (self.fit.is_some(), "--fit"),
        ];
        let found = given.into_iter().find(|(is_given, _)| *is_given);
        found.map(|(_, option)| option)
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
