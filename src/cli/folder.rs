//! Putting the files of a command into the folder asked for: one way for all commands.

use std::path::PathBuf;
use std::sync::OnceLock;

use super::args::FolderArgs;
use super::screen::Screen;
use crate::export::{Command, Outputs, Target, Written, drawing_fault, fault_point, svg};
use crate::fault::{Faults, Outcome};
use crate::plate;
use crate::recipe::Job;

/// The folder that this run has put its files into.
static WRITTEN: OnceLock<PathBuf> = OnceLock::new();

/// The folder that this run has put its files into, if it has.
pub(super) fn written() -> Option<&'static PathBuf> {
    WRITTEN.get()
}

/// Notes that this run has written something there.
pub(super) fn note(place: PathBuf) {
    // A run writes once.
    let _ = WRITTEN.set(place);
    fault_point();
}

impl FolderArgs {
    /// Writes a run's files, and says what became of earlier ones. `sources` are the files that the run
    /// was made from.
    pub(super) fn write(
        &self,
        outputs: &Outputs,
        command: Command,
        sources: &[PathBuf],
    ) -> Outcome<()> {
        let Written { mended, outdated } = outputs.write(&self.target(command, sources))?;
        note(self.out.clone());
        let folder = self.out.display();
        if mended {
            Screen::aside(&format!(
                "an earlier run into {folder} was stopped half way: what it left there was removed"
            ));
        }
        for command in outdated {
            let command = command.word();
            Screen::aside(&format!(
                "the files of the earlier `{command}` in {folder} no longer fit these and were removed: \
                 `{command}` again to have new ones"
            ));
        }
        Ok(())
    }

    fn target<'a>(&'a self, command: Command, sources: &'a [PathBuf]) -> Target<'a> {
        Target {
            folder: &self.out,
            command,
            replace: self.replace,
            sources,
        }
    }

    /// Draws the place where a drawing of a job cannot be read, if that is what is wrong, and says where it is. Gives
    /// the faults as they are.
    pub(super) fn with_picture(&self, job: &Job, faults: Faults) -> Faults {
        if let Some(trouble) = job.parts.iter().find_map(|it| plate::troubles(it).pop()) {
            let mut outputs = Outputs::default();
            outputs.add(PICTURE, svg(&drawing_fault(&trouble)).into_bytes());
            // What is wrong is told anyway.
            if outputs
                .write(&self.target(Command::Place, &job.files()))
                .is_ok()
            {
                note(self.out.clone());
                let place = self.out.join(PICTURE);
                Screen::aside(&format!("{} shows the place", place.display()));
            }
        }
        faults
    }
}

/// The picture of a place that cannot be read.
const PICTURE: &str = "drawing-fault.svg";
