//! `start`: a small part file with its dimensions explained.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::args::{ShelfArgs, StartArgs};
use super::job;
use super::screen::Screen;
use crate::export::write_file;
use crate::fault::{Fault, Outcome};
use crate::recipe::start_text;

pub(super) fn run(options: &StartArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let family = job::shelf(shelf)?.family(&options.recipe)?;
    let text = start_text(&family)?;
    let path = match &options.out {
        Some(path) if path == Path::new("-") => {
            Screen::bytes(text.as_bytes())?;
            return Ok(0);
        }
        Some(path) => path.clone(),
        None => PathBuf::from(format!("{}.toml", family.name)),
    };
    if path.exists() && !options.replace {
        let fault = Fault::file(format!("{} is there already", path.display()));
        return Err(fault
            .remedy("give another name with --out, or --replace to write over it")
            .into());
    }
    write_file(&path, text.into_bytes())?;
    let shown = path.display();
    screen.result(
        || json!({ "schema": 1, "recipe": family.name, "file": shown.to_string() }),
        || format!("wrote {shown}: edit it, then `platewright draw {shown}`"),
    )?;
    Ok(0)
}
