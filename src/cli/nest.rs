//! `nest`: plain outlines from a JSON file, placed on a strip.

use serde_json::json;

use super::args::NestArgs;
use super::screen::Screen;
use super::watch::Watch;
use crate::fault::Outcome;
use crate::strip;
use crate::toml_text::file;

/// Bytes of an outline file that are read.
const MOST_BYTES: u64 = 64 << 20;

pub(super) fn run(options: &NestArgs, screen: &Screen) -> Outcome<u8> {
    let source = file::read_up_to(&options.file, MOST_BYTES)?;
    let instance = strip::read(&source)?;
    let budget = options
        .search
        .budget(instance.items.iter().map(|it| it.quantity));
    let mut watch = Watch::new();
    let answer = strip::shortest(&instance, &budget, &mut |now| watch.control(&now))?;
    let search = watch.end();
    screen.result(
        || json!(answer),
        || {
            format!(
                "{}: {} placed, length {:.3}, density {:.2} %",
                instance.name,
                answer.placements.len(),
                answer.length,
                answer.density_percent
            )
        },
    )?;
    Ok(search.code(0))
}
