//! `schema`: the JSON schema of a kind of file.

use super::args::{SchemaArgs, ShelfArgs};
use super::job;
use super::screen::Screen;
use crate::fault::Outcome;
use crate::schema::schema;

pub(super) fn run(options: &SchemaArgs, shelf: &ShelfArgs) -> Outcome<u8> {
    let schema = schema(options.of, &job::shelf(shelf)?)?;
    Screen::bytes(format!("{schema:#}\n").as_bytes())?;
    Ok(0)
}
