//! `[[note]]`: what a builder should know of a part, with its findings.

use super::reader::Reader;
use super::template::Template;
use crate::toml_text::{Formula, Table, Text};

/// Something to know.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Note {
    /// It is told only if this holds.
    pub(crate) when: Option<Formula>,
    /// It is told for each row of this list.
    pub(crate) each: Option<Text>,
    /// What it is.
    pub(crate) says: Template,
    /// What follows from it.
    pub(crate) remedy: Option<Template>,
    /// Where it comes from.
    pub(crate) source: String,
    /// Name of the openings it is about, if it has a place.
    pub(crate) near: Option<Text>,
    /// The plates that it is about: it is told if one of them is made.
    pub(crate) plates: Vec<Text>,
}

impl Note {
    pub(crate) fn read(mut table: Table, reader: &mut Reader<'_>) -> Option<Self> {
        table.call("[[note]]");
        let each = reader.enter(&mut table);
        let says = reader.template(&mut table, "says", "\"what to know\"");
        let remedy = reader.words(&mut table, "remedy");
        let remedy = remedy.and_then(|text| reader.filled_in(text));
        let source = reader.words(&mut table, "source");
        let near = reader.words(&mut table, "near");
        let plates = reader.plates(&mut table);
        let when = reader.option(&mut table, "when");
        table.finish(reader.faults);
        reader.leave();
        Some(Self {
            when,
            each,
            says: says?,
            remedy,
            source: source.map_or_else(String::new, |text| text.as_str().to_owned()),
            near,
            plates,
        })
    }
}
