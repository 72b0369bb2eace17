//! The files of the folder: read whole for each request, written whole or not at all.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::Desk;
use crate::export::{Over, write_file};
use crate::fault::{Fault, Outcome};
use crate::page::Answer;
use crate::page::answer::{Bench, Change, Clash};
use crate::page::{Request, answer, checksum};
use crate::toml_text::file;

/// Texts that an edit took the place of: of each file, the text before and the checksum after.
pub(super) type Undo = BTreeMap<String, Vec<(String, String)>>;

/// The report of the last `cut`.
pub(super) const REPORT: &str = "out/report.json";

/// What is ticked off at the table, beside `out`.
pub(super) const TICKS: &str = "at-the-table.json";

/// Bytes of a report or of ticks that are read.
const LARGEST: u64 = 64 << 20;

/// So many edits of a file can be undone.
const REMEMBERED: usize = 200;

/// The texts of a folder.
pub(super) type Texts = BTreeMap<String, Arc<str>>;

/// The TOML files of a folder; none that a link leads out of it to.
pub(super) fn files(folder: &Path) -> Vec<(String, PathBuf)> {
    let home = || folder.canonicalize().ok();
    let entries = folder.read_dir().into_iter().flatten().flatten();
    let file = |entry: fs::DirEntry| {
        let path = entry.path();
        let name = entry.file_name().into_string().ok()?;
        let is_toml = path.extension().is_some_and(|it| it == "toml");
        let is_link = entry.file_type().ok()?.is_symlink();
        let leads_to = || path.canonicalize().ok()?.parent().map(Path::to_owned);
        let lies_here = || !is_link || leads_to() == home();
        (is_toml && !name.starts_with('.') && lies_here()).then_some((name, path))
    };
    entries.filter_map(file).collect()
}

/// The texts of a folder; a file that cannot be read as text is none of them.
pub(super) fn texts(folder: &Path) -> Texts {
    let read = |(name, path): (String, PathBuf)| {
        let source = file::read(&path).ok()?;
        Some((name, Arc::clone(&source.text)))
    };
    files(folder).into_iter().filter_map(read).collect()
}

/// What became of a change.
pub(super) enum Changed {
    /// It stands in this file.
    File(String),
    /// Nothing was written, as the file was changed elsewhere.
    Clash(Clash),
}

impl Desk {
    /// The answer to a request, from the folder as it is.
    pub(super) fn answered(&self, request: &Request) -> Outcome<Answer> {
        let texts = texts(&self.folder);
        self.answered_from(request, &texts)
    }

    fn answered_from(&self, request: &Request, texts: &Texts) -> Outcome<Answer> {
        let read = |name: &str| {
            let read = file::read_up_to(&self.folder.join(name), LARGEST);
            read.ok().map(|it| Arc::clone(&it.text))
        };
        let wants_table = matches!(request, Request::Table { .. } | Request::Tick { .. });
        let beside = wants_table.then(|| (read(REPORT), read(TICKS)));
        let (report, ticks) = beside.unwrap_or_default();
        let bench = Bench {
            report: report.as_deref(),
            ticks: ticks.as_deref(),
            ..self.bench(texts)
        };
        self.workers.install(|| answer(request, &bench))
    }

    /// The texts of the folder, with nothing of what was cut before.
    pub(super) fn bench<'a>(&'a self, texts: &'a Texts) -> Bench<'a> {
        Bench {
            shelf: &self.shelf,
            folder: &self.folder,
            texts,
            report: None,
            ticks: None,
        }
    }

    /// Does what a request asks for. One at a time: what it was decided on still holds when it is done.
    pub(super) fn change(&self, request: &Request) -> Outcome<Changed> {
        let _one_at_a_time = self.writing.lock();
        let texts = texts(&self.folder);
        let Answer::Change(change) = self.answered_from(request, &texts)? else {
            return Err(Fault::usage("this is nothing to change").into());
        };
        match change {
            Change::Clash(clash) => Ok(Changed::Clash(clash)),
            Change::Text {
                file,
                text,
                made_on,
            } => {
                let before = texts.get(&file).map_or("", |it| &**it);
                if checksum(before) != made_on {
                    let fault = Fault::refused(format!("{file} was changed elsewhere meanwhile"));
                    return Err(fault
                        .remedy("look at what it says now, and do it again")
                        .into());
                }
                if before != text {
                    write_file(&self.folder.join(&file), text.as_bytes(), Over::Itself)?;
                    self.remember(&file, before.to_owned(), checksum(&text));
                }
                Ok(Changed::File(file))
            }
            Change::New { file, text } => {
                write_file(&self.folder.join(&file), text.as_bytes(), Over::Nothing)?;
                Ok(Changed::File(file))
            }
            Change::Ticks { text } => {
                write_file(&self.folder.join(TICKS), text.as_bytes(), Over::Anything)?;
                Ok(Changed::File(TICKS.to_owned()))
            }
            Change::Rename { file, to } => {
                let (from, path) = (self.folder.join(&file), self.folder.join(&to));
                if path.exists() {
                    let fault = Fault::refused(format!("there is a {to} already"));
                    return Err(fault.remedy("give another name").into());
                }
                fs::rename(&from, &path).map_err(|error| {
                    Fault::file(format!("{file} cannot be called {to}: {error}"))
                        .remedy("see whether another program has it open")
                })?;
                if let Ok(mut undo) = self.undo.lock()
                    && let Some(texts) = undo.remove(&file)
                {
                    undo.insert(to.clone(), texts);
                }
                Ok(Changed::File(to))
            }
        }
    }

    fn remember(&self, file: &str, before: String, after: String) {
        if let Ok(mut undo) = self.undo.lock() {
            let texts = undo.entry(file.to_owned()).or_default();
            texts.push((before, after));
            if texts.len() > REMEMBERED {
                texts.remove(0);
            }
        }
    }

    /// Puts back the text that the last edit of a file here took the place of.
    pub(super) fn undo(&self, file: &str) -> Outcome<()> {
        let _one_at_a_time = self.writing.lock();
        let texts = texts(&self.folder);
        let now = texts.get(file).map(|it| checksum(it));
        let mut undo = self.undo.lock().map_err(|_| nothing_to_undo(file))?;
        let known = undo.get_mut(file).ok_or_else(|| nothing_to_undo(file))?;
        let (before, after) = known.last().ok_or_else(|| nothing_to_undo(file))?;
        if now.as_ref() != Some(after) {
            let fault = Fault::refused(format!(
                "{file} was changed elsewhere since the last change here"
            ));
            return Err(fault.remedy("undo it there, or change it by hand").into());
        }
        write_file(&self.folder.join(file), before.as_bytes(), Over::Itself)?;
        known.pop();
        Ok(())
    }
}

fn nothing_to_undo(file: &str) -> Fault {
    Fault::refused(format!("nothing of {file} was changed here yet"))
        .remedy("undo goes back as far as this page was opened")
}
