//! From what the page asks to what it is told.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use serde::Serialize;

use super::document::Document;
use super::request::Request;
use super::{distance, edit, folder, job, live, part, readings, table};
use crate::fault::{Fault, Outcome, Source};
use crate::recipe::Shelf;

/// What a request is answered from.
#[derive(Debug, Clone, Copy)]
pub struct Bench<'a> {
    /// Where families and tables are looked up.
    pub shelf: &'a Shelf,
    /// The folder, from which paths inside its files count.
    pub folder: &'a Path,
    /// The texts of its TOML files, by name.
    pub texts: &'a BTreeMap<String, Arc<str>>,
    /// `report.json` of its last `cut`, if there was one.
    pub report: Option<&'a str>,
    /// What is ticked off at the table, if anything is.
    pub ticks: Option<&'a str>,
}

/// Pieces of a page by the id of what they take the place of.
pub type Parts = BTreeMap<String, String>;

/// What the page is told.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// A whole page.
    Page(String),
    /// A picture.
    Svg(String),
    /// Pieces of a page.
    Live(Live),
    /// Something is to be written.
    Change(Change),
}

/// Pieces of a page that is open.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Live {
    /// The pieces.
    pub parts: Parts,
    /// Each value as it stands in the file, by its block and key.
    pub typed: BTreeMap<String, String>,
    /// Checksum of the file that they are of.
    pub checksum: String,
    /// Whether the pictures are those of earlier values, as these make none.
    pub stale: bool,
    /// Two places of a plate in words that can be typed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ends: Option<[String; 2]>,
}

/// What is to be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// A file's text in place of that with this checksum.
    Text {
        /// The file.
        file: String,
        /// Its new text.
        text: String,
        /// Checksum of the text that it takes the place of.
        made_on: String,
    },
    /// A file that is not there yet.
    New {
        /// Its name.
        file: String,
        /// Its text.
        text: String,
    },
    /// What is ticked off at the table.
    Ticks {
        /// The text of its file.
        text: String,
    },
    /// Another name for a file.
    Rename {
        /// Its name.
        file: String,
        /// Its new name.
        to: String,
    },
    /// Nothing, as the file was changed meanwhile: both texts are told.
    Clash(Clash),
}

/// A value that was changed in two places.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Clash {
    /// What is told of it.
    pub html: String,
    /// Checksum of the file as it is now.
    pub checksum: String,
    /// What stands there now.
    pub theirs: String,
}

/// Answers a request; writes nothing.
pub fn answer(request: &Request, bench: &Bench<'_>) -> Outcome<Answer> {
    match request {
        Request::Folder => folder::page(bench).map(Answer::Page),
        Request::Open { file, block } => {
            let source = bench.source(file)?;
            let is_job = Document::read(&source).is_ok_and(|it| it.is_job());
            match block {
                Some(block) => part::page(bench, file, *block),
                None if is_job => job::page(bench, file),
                None => part::page(bench, file, super::Block::Whole),
            }
            .map(Answer::Page)
        }
        Request::Try {
            file,
            block,
            patch,
            focus,
        } => live::tried(bench, file, *block, patch.as_ref(), focus.as_deref()).map(Answer::Live),
        Request::Distance {
            file,
            block,
            plate,
            from,
            to,
        } => distance::told(bench, (file, *block), *plate, [from, to]).map(Answer::Live),
        Request::Job { file } => job::live(bench, file).map(Answer::Live),
        Request::Edit { file, patch } => edit::patched(bench, file, patch).map(Answer::Change),
        Request::AddPart {
            file,
            like,
            checksum,
        } => edit::with_part(bench, file, like, checksum).map(Answer::Change),
        Request::AddStock {
            file,
            thickness,
            size,
            checksum,
        } => edit::with_stock(bench, file, (thickness, size), checksum).map(Answer::Change),
        Request::Remove {
            file,
            block,
            checksum,
        } => edit::without(bench, file, *block, checksum).map(Answer::Change),
        Request::Begin { recipe, name } => {
            folder::begun(bench, recipe.as_deref(), name).map(Answer::Change)
        }
        Request::Duplicate { file, name } => {
            folder::duplicated(bench, file, name).map(Answer::Change)
        }
        Request::Rename { file, name } => folder::renamed(bench, file, name).map(Answer::Change),
        Request::Picture { file } => folder::picture(bench, file).map(Answer::Svg),
        Request::Family { recipe } => folder::family_picture(bench, recipe).map(Answer::Svg),
        Request::Table { sheet } => table::page(bench, *sheet).map(Answer::Page),
        Request::Tick { tick, done, sheets } => {
            table::ticked(bench, tick, *done, sheets).map(Answer::Change)
        }
        Request::Redrill => readings::redrill_page(bench).map(Answer::Page),
        Request::Readings => readings::page().map(Answer::Page),
        Request::Clock { .. }
        | Request::Chord { .. }
        | Request::Points { .. }
        | Request::Rise { .. } => readings::told(bench, request).map(Answer::Live),
        Request::Sketch { file, block } => part::sketch(bench, file, *block).map(Answer::Svg),
    }
}

impl Bench<'_> {
    /// The text of a file of the folder.
    pub(super) fn source(&self, file: &str) -> Outcome<Arc<Source>> {
        match self.texts.get(file) {
            Some(text) => Ok(self.text_of(file, Arc::clone(text))),
            None => Err(
                Fault::file(format!("there is no file {file} in this folder"))
                    .remedy("go back to the folder: it may have another name now")
                    .into(),
            ),
        }
    }

    /// Another text for a file.
    pub(super) fn text_of(&self, file: &str, text: impl Into<Arc<str>>) -> Arc<Source> {
        Arc::new(Source {
            name: file.to_owned(),
            text: text.into(),
            path: Some(self.folder.join(file)),
        })
    }
}
