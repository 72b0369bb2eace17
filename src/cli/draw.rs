//! `draw`: net drawings and pictures of the plates, and what the checks say; no cutting.

use serde_json::json;

use super::args::{DrawArgs, ShelfArgs};
use super::screen::Screen;
use super::{check, job};
use crate::fault::Outcome;
use crate::pipeline;

pub(super) fn run(options: &DrawArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let shelf = job::shelf(shelf)?;
    let drawn = pipeline::draw(&job::job(&options.input, &shelf)?, &shelf)?;
    drawn.outputs(options.dxf.release())?.write(&options.out)?;
    let folder = options.out.join("plates");
    screen.result(
        || {
            json!({
                "schema": 1, "folder": folder.display().to_string(), "plates": check::objects(&drawn),
            })
        },
        || {
            let names: Vec<&str> = drawn.plates.iter().map(|plate| plate.name.as_str()).collect();
            format!(
                "{}\n\nwrote {} (.dxf and .svg) into {}",
                check::text(&drawn),
                names.join(", "),
                folder.display()
            )
        },
    )?;
    Ok(check::code(&drawn))
}
