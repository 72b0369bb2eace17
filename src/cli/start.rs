//! `start`: a small part file with its dimensions explained.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use serde_json::json;

use super::args::{ShelfArgs, StartArgs};
use super::screen::Screen;
use super::{folder, job, recipes};
use crate::export::{Over, write_together};
use crate::fault::Outcome;
use crate::recipe::{Part, start_text};

pub(super) fn run(options: &StartArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let family = job::shelf(shelf)?.family(&options.recipe)?;
    // Whoever gives the file a name means the part.
    let out = options.out.as_deref().filter(|it| *it != Path::new("-"));
    let called = out.and_then(Path::file_stem).and_then(OsStr::to_str);
    let text = start_text(&family, called)?;
    let path = match &options.out {
        Some(path) if path == Path::new("-") => {
            Screen::bytes(text.as_bytes())?;
            return Ok(0);
        }
        Some(path) => path.clone(),
        None => PathBuf::from(format!("{}.toml", family.name)),
    };
    let picture = path.with_extension("svg");
    let name = family.name.clone();
    let sketch = recipes::sketch_file(&Part::plain(family), &picture)?;
    let files: [(&Path, &[u8]); 2] = [(&picture, &sketch), (&path, text.as_bytes())];
    write_together(&files, Over::told(options.replace))?;
    folder::note(path.clone());
    let (shown, picture) = (path.display(), picture.display());
    screen.result(
        || {
            json!({
                "schema": 1, "recipe": name, "file": shown.to_string(),
                "sketch": picture.to_string(),
            })
        },
        || {
            format!(
                "wrote {picture}: every dimension where it is measured\n\
                 wrote {shown}: edit it, then `platewright draw {shown}`"
            )
        },
    )?;
    Ok(0)
}
