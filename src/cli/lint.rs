//! `lint`: what is doubtful in a recipe file, for those who write families.

use serde_json::json;

use super::args::{LintArgs, ShelfArgs};
use super::job;
use super::screen::Screen;
use crate::fault::{Faults, Outcome};
use crate::lint;
use crate::recipe::{Family, name};
use crate::toml_text::file;

pub(super) fn run(options: &LintArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let source = file::read(&options.file)?;
    let stem = options.file.file_stem().unwrap_or_default();
    let name = name::safe(&stem.to_string_lossy(), "recipe");
    let family = Family::read_on(&job::shelf(shelf)?, &name, &source)?;
    Faults::check(lint::remarks(&family))?;
    let tried = lint::TRIED;
    screen.result(
        || json!({ "schema": 1, "recipe": family.name, "settings": tried, "remarks": [] }),
        || format!("{}: nothing to remark, at {tried} settings", source.name),
    )?;
    Ok(0)
}
