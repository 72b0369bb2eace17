//! `cut`: the main job, everything into one folder.

use std::fs;
use std::path::Path;

use serde_json::json;

use super::args::{CutArgs, ShelfArgs};
use super::job;
use super::screen::Screen;
use super::watch::Watch;
use crate::export::{Command, Outputs, SheetLines};
use crate::fault::{Fault, Outcome};
use crate::pipeline::{self, Programs, REMNANTS, Wanted};
use crate::report::Report;
use crate::report::terminal::{self, Showing};

impl CutArgs {
    fn wanted(&self) -> Wanted {
        Wanted {
            release: self.dxf.release(),
            lines: if self.net {
                SheetLines::Net
            } else {
                SheetLines::Torch
            },
            programs: match self.from {
                Some(restart) => Programs::From(restart),
                None if self.program => Programs::EachSheet,
                None => Programs::None,
            },
            pictures: self.pictures.files(),
            paper: self.paper,
        }
    }
}

pub(super) fn run(options: &CutArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let shelf = job::shelf(shelf)?;
    let job = job::job(&options.input, &shelf)?;
    let drawn = pipeline::draw(&job, &shelf)
        .map_err(|it| options.into.with_picture(&job, it))?
        .scribed(options.scribe.scribing());
    let budget = options
        .search
        .budget(drawn.plates.iter().map(|it| it.quantity));
    let mut watch = Watch::new();
    let planned = pipeline::plan(&job, drawn, &budget, &mut |now| {
        watch.control(&now.progress)
    })?;
    let search = watch.end();
    let (outputs, report) = planned.outputs(options.wanted())?;
    if options.from.is_some() {
        is_what_was_cut(&options.into.out, &outputs, &report)?;
    }
    let sources = job.files();
    search.whole(|| options.into.write(&outputs, Command::Cut, &sources))?;
    let showing = Showing {
        width: screen.width(),
        rest: Some(
            "the report has every plate, bolt, margin and finding, and the cautions in full",
        ),
    };
    screen.result(
        || json!(report),
        || {
            format!(
                "{}\n\nwrote {}{}",
                terminal::summary(&report, &showing),
                options.into.out.join("report.html").display(),
                earlier_remnants(&options.into.out, &report)
            )
        },
    )?;
    Ok(search.code(u8::from(!report.unplaced.is_empty())))
}

/// Refuses to go on with a sheet other than the one on the table: the programs in the folder must be those
/// of this run to the byte.
fn is_what_was_cut(out: &Path, outputs: &Outputs, report: &Report) -> Outcome<()> {
    for sheet in &report.sheets {
        let path = format!("sheets/{}.nc", sheet.name);
        let there = out.join(&path);
        let remedy = "give the same file, table and options as when that program was written, and its folder";
        match fs::read(&there) {
            Ok(bytes) if outputs.content(&path) == Some(&bytes) => {}
            Ok(_) => {
                let message = format!("`{}` is not the program of this layout", there.display());
                return Err(Fault::refused(message).remedy(remedy).into());
            }
            Err(_) => {
                let message = format!("there is no program `{}` to go on with", there.display());
                return Err(Fault::refused(message).remedy(remedy).into());
            }
        }
    }
    Ok(())
}

/// How many drawings of remnants an earlier run left in a folder, in words; nothing if there are none.
fn earlier_remnants(out: &Path, report: &Report) -> String {
    let folder = out.join(REMNANTS);
    let now = report
        .sheets
        .iter()
        .filter_map(|it| it.remnant.file.as_ref());
    let now: Vec<_> = now.map(|it| out.join(it)).collect();
    let there = fs::read_dir(&folder).into_iter().flatten().flatten();
    let earlier = there.filter(|it| !now.contains(&it.path())).count();
    let shown = folder.display();
    match earlier {
        0 => String::new(),
        1 => format!(
            "\none remnant of an earlier run stays in {shown}: delete it once it is not on the rack"
        ),
        n => format!(
            "\n{n} remnants of earlier runs stay in {shown}: delete those that are not on the rack"
        ),
    }
}
