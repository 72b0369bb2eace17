//! `start`: a small part file with its dimensions explained.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::args::{ShelfArgs, StartArgs};
use super::screen::Screen;
use super::{folder, job};
use crate::export::{Over, write_file};
use crate::fault::Outcome;
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
    let over = if options.replace {
        Over::Anything
    } else {
        Over::Nothing
    };
    write_file(&path, text.as_bytes(), over)?;
    folder::note(path.clone());
    let shown = path.display();
    screen.result(
        || json!({ "schema": 1, "recipe": family.name, "file": shown.to_string() }),
        || format!("wrote {shown}: edit it, then `platewright draw {shown}`"),
    )?;
    Ok(0)
}
