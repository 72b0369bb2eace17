//! Putting a run's files in place, all together or not at all.
//!
//! In: file names and bytes ([`Outputs`]) and where they go ([`Target`]). Out: the folder with the files
//! of this run, those of other commands that still hold, and whatever is not ours. Guaranteed: no file is
//! ever half written under its name; if anything fails, the folder is as it was; what is not ours stays,
//! and is overwritten only if the builder says so; files that an earlier run made and this one no longer
//! makes go, but what a run hands on to later jobs ([`Outputs::hand_on`]) stays. If the program is killed
//! in between, the folder says so in its list, and the next run puts it right. What changes is moved away
//! first and the report put last, so that old and new files never lie side by side, and a folder with
//! a report holds the whole run that it lists.

use std::collections::BTreeSet;

use super::manifest::{Listed, Manifest, fnv1a};
use super::obstacle::stays_inside;
use super::plan::{Output, Plan, Target, Written};
use super::staging::Change;
use crate::fault::{Fault, Outcome};

/// The report of a run for programs.
pub const REPORT: &str = "report.json";

/// A run's files, not yet written.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Outputs {
    files: Vec<Output>,
}

impl Outputs {
    /// Adds a file. `path` is relative to the output folder, with `/` between folders.
    pub fn add(&mut self, path: impl Into<String>, bytes: Vec<u8>) {
        self.push(path.into(), bytes, false);
    }

    /// Adds a file that later jobs may need, such as the drawing of a remnant. No later run removes it,
    /// and none changes it, as its name tells its content: `stem`, some digits of its checksum, `ending`.
    /// Gives its path.
    pub fn hand_on(&mut self, stem: &str, ending: &str, bytes: Vec<u8>) -> String {
        let path = format!("{stem}-{}.{ending}", &fnv1a(&bytes)[..6]);
        self.push(path.clone(), bytes, true);
        path
    }

    fn push(&mut self, path: String, bytes: Vec<u8>, is_handed_on: bool) {
        self.files.push(Output {
            listed: Listed {
                fnv1a: fnv1a(&bytes),
                path,
            },
            bytes,
            is_handed_on,
        });
    }

    /// The content of a file.
    #[must_use]
    pub fn content(&self, path: &str) -> Option<&[u8]> {
        let found = self.files.iter().find(|file| file.listed.path == path);
        found.map(|file| file.bytes.as_slice())
    }

    /// Adds all files of another run, in their order.
    pub fn append(&mut self, other: Self) {
        self.files.extend(other.files);
    }

    /// How the files so far are to be listed in `report.json`, in the order added.
    #[must_use]
    pub fn listing(&self) -> Vec<Listed> {
        self.files.iter().map(|file| file.listed.clone()).collect()
    }

    /// Writes everything, and removes what earlier runs left that no longer holds.
    pub fn write(&self, target: &Target) -> Outcome<Written> {
        self.check_names()?;
        let mut change = Change::begin(target.folder)?;
        let before = Manifest::read(target.folder);
        let plan = Plan::new(&self.files, target, &before)?;
        plan.carry_out(&mut change, &before)?;
        change.commit();
        Ok(plan.written)
    }

    /// Refuses names that lead out of the folder and names used twice.
    fn check_names(&self) -> Outcome<()> {
        let mut seen = BTreeSet::new();
        for Output { listed, .. } in &self.files {
            if !stays_inside(&listed.path) {
                let message = format!("`{}` is not a file name inside the folder", listed.path);
                return Err(Fault::refused(message)
                    .remedy("name parts with letters, digits and hyphens")
                    .into());
            }
            if !seen.insert(listed.path.to_lowercase()) {
                let message = format!("two files would be called `{}`", listed.path);
                return Err(Fault::refused(message)
                    .remedy("give each part a `name` of its own")
                    .into());
            }
        }
        Ok(())
    }
}

#[cfg(all(test, debug_assertions))]
mod broken_off;
#[cfg(test)]
mod tests;
