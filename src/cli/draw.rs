//! `draw`: net drawings and pictures of the plates, and what the checks say; no cutting.

use serde_json::json;

use super::args::{DrawArgs, ShelfArgs};
use super::screen::Screen;
use super::{check, job};
use crate::export::{Command, PictureFiles};
use crate::fault::Outcome;
use crate::pipeline;
use crate::report::terminal::Showing;
use crate::trade::cautions::Made;

pub(super) fn run(options: &DrawArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let shelf = job::shelf(shelf)?;
    let job = job::job(&options.input, &shelf)?;
    let drawn = pipeline::draw(&job, &shelf)
        .map_err(|it| options.into.with_picture(&job, it))?
        .scribed(options.scribe.scribing());
    let pictures = options.pictures.files();
    let outputs = drawn.outputs(&job.name, options.dxf.release(), pictures, &options.paper)?;
    let into = &options.into;
    into.write(&outputs, Command::Draw, &job.files())?;
    let folder = into.out.join("plates");
    screen.result(
        || {
            json!({
                "schema": 1, "folder": folder.display().to_string(), "plates": check::objects(&drawn, Made::CutFile),
            })
        },
        || {
            let (plates, drawings) = match pictures {
                PictureFiles::Svg => (".dxf and .svg", ".svg and .pdf"),
                PictureFiles::SvgAndPng => (".dxf, .svg and .png", ".svg, .png and .pdf"),
            };
            let showing = Showing {
                width: screen.width(),
                rest: Some("`platewright estimate --all` tells every finding, and the cautions in full"),
            };
            let names: Vec<&str> = drawn.plates.iter().map(|plate| plate.name.as_str()).collect();
            format!(
                "{}\n\nwrote {} ({plates}) into {}\nwrote their dimensioned drawings ({drawings}) into {}",
                check::text(&drawn, Made::CutFile, false, &showing),
                names.join(", "),
                folder.display(),
                into.out.join("drawings").display()
            )
        },
    )?;
    Ok(check::code(&drawn))
}
