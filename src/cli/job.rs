//! What commands on parts and jobs share: opening the shelf, reading the file, the search budget.

use std::path::Path;

use super::args::{DxfArgs, DxfRelease, Input, PictureArgs, ScribeArgs, SearchArgs, ShelfArgs};
use crate::export::{PictureFiles, Release};
use crate::fault::{Fault, Outcome};
use crate::nest::Budget;
use crate::plate::Scribing;
use crate::recipe::{Job, Shelf};

/// Steps of the layout search unless told otherwise: a fixed number, so that the same job gives the
/// same files on any machine.
const ITERATIONS: u64 = 25_000;

/// Steps for all copies together unless told otherwise: of many copies each has fewer, so that no job takes
/// more than some seconds.
const ALL_ITERATIONS: u64 = 4_000_000;

/// Steps when a time is given: more than any machine takes in a day.
const UNTIL_TIME: u64 = u64::MAX / 2;

/// The shelf as seen from the current folder.
pub(super) fn shelf(args: &ShelfArgs) -> Outcome<Shelf> {
    Shelf::open(args.folder.as_deref(), Path::new("."))
}

/// The job of a part or job file, with the dimensions set on the command line.
pub(super) fn job(input: &Input, shelf: &Shelf) -> Outcome<Job> {
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

impl SearchArgs {
    /// The budget of the layout search for so many copies.
    pub(super) fn budget(&self, copies: impl Iterator<Item = u32>) -> Budget {
        let copies = copies.map(u64::from).sum::<u64>().max(1);
        Budget {
            seed: self.seed,
            iterations: if self.seconds.is_some() {
                UNTIL_TIME
            } else {
                ITERATIONS.min(ALL_ITERATIONS / copies)
            },
            seconds: self.seconds,
        }
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
