//! `cut`: the main job, everything into one folder.

use serde_json::json;

use super::args::{CutArgs, ShelfArgs};
use super::job;
use super::screen::Screen;
use super::watch::Watch;
use crate::export::SheetLines;
use crate::fault::Outcome;
use crate::pipeline::{self, Programs, Wanted};
use crate::report::terminal;

impl CutArgs {
    fn wanted(&self) -> Wanted {
        Wanted {
            release: self.dxf.release(),
            lines: if self.net {
                SheetLines::Net
            } else {
                SheetLines::Torch
            },
            programs: if self.program {
                Programs::EachSheet
            } else {
                Programs::None
            },
            pictures: self.pictures.files(),
            paper: self.paper,
        }
    }
}

pub(super) fn run(options: &CutArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let shelf = job::shelf(shelf)?;
    let job = job::job(&options.input, &shelf)?;
    let drawn = pipeline::draw(&job, &shelf)?.scribed(options.scribe.scribing());
    let budget = options.search.budget();
    let mut watch = Watch::new();
    let planned = pipeline::plan(&job, drawn, &budget, &mut |now| watch.control(&now))?;
    let search = watch.end();
    let (outputs, report) = planned.outputs(options.wanted())?;
    search.whole(|| outputs.write(&options.out))?;
    screen.result(
        || json!(report),
        || {
            format!(
                "{}\n\nwrote {}",
                terminal::summary(&report),
                options.out.join("report.html").display()
            )
        },
    )?;
    Ok(search.code(u8::from(!report.unplaced.is_empty())))
}
