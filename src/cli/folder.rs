//! Putting the files of a command into the folder asked for: one way for all commands.

use std::path::PathBuf;
use std::sync::OnceLock;

use super::args::FolderArgs;
use super::screen::Screen;
use crate::export::{Command, Outputs, Target, Written, fault_point};
use crate::fault::Outcome;

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
        let target = Target {
            folder: &self.out,
            command,
            replace: self.replace,
            sources,
        };
        let Written { mended, outdated } = outputs.write(&target)?;
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
}
