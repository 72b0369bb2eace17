//! What a run changes in a folder: which files it puts, which it moves away, and what is in its way.
//!
//! In: the files of the run, the folder, and the list of what earlier runs wrote there. Out: a [`Plan`]
//! that is carried out in an order in which old and new files never lie side by side.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use super::manifest::{Command, Listed, Manifest, fnv1a};
use super::obstacle::{Obstacle, Standing, resolved, standing};
use super::staging::Change;
use crate::fault::{Fault, Outcome};

/// How many files a message names.
const NAMED: usize = 5;

/// A file with what becomes of it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Output {
    pub(super) listed: Listed,
    pub(super) bytes: Vec<u8>,
    /// Whether it is for later jobs, and stays when the run is done again.
    pub(super) is_handed_on: bool,
}

/// Where a run's files go.
#[derive(Debug, Clone, Copy)]
pub struct Target<'a> {
    /// The folder, which is made if need be.
    pub folder: &'a Path,
    /// The command whose run it is.
    pub command: Command,
    /// Whether files that are not ours may be overwritten.
    pub replace: bool,
    /// The files that the run was made from: they are never changed or removed.
    pub sources: &'a [PathBuf],
}

/// What became of a folder beside what was asked for.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Written {
    /// An earlier run was killed half way there, and what it left was taken away.
    pub mended: bool,
    /// Commands whose files were taken away, as some of them are no longer what they were.
    pub outdated: Vec<Command>,
}

/// What is to be done to a folder.
pub(super) struct Plan<'a> {
    /// Files that are not there yet as they are to be.
    put: Vec<&'a Output>,
    /// Files of another command's run, which still holds, that are replaced in one step.
    shared: BTreeSet<String>,
    /// Files to move away: those that others take the place of, and those that no longer hold.
    away: Vec<String>,
    /// The folder's list while it is being changed.
    during: Manifest,
    /// The folder's list from then on.
    after: Manifest,
    pub(super) written: Written,
}

impl<'a> Plan<'a> {
    /// Refuses what is in the way.
    pub(super) fn new(files: &'a [Output], target: &Target, before: &Manifest) -> Outcome<Self> {
        let place = FolderNow {
            folder: target.folder,
            before,
            sources: resolved(target.sources),
        };
        let mut put = Vec::new();
        let mut away = Vec::new();
        let mut obstacles = Vec::new();
        for file in files {
            match place.found(&file.listed.path, Some(&file.listed)) {
                Found::Same => continue,
                Found::Nothing => {}
                Found::Ours => away.push(file.listed.path.clone()),
                Found::InTheWay(why) if target.replace && why.yields() => {
                    away.push(file.listed.path.clone());
                }
                Found::InTheWay(why) => obstacles.push((file.listed.path.as_str(), why)),
            }
            put.push(file);
        }
        refuse(target.folder, &obstacles)?;

        let changed: BTreeMap<&str, &Listed> = put
            .iter()
            .map(|it| (it.listed.path.as_str(), &it.listed))
            .collect();
        let changes = |run: &[Listed]| run.iter().any(|it| changed.contains_key(it.path.as_str()));
        let (ended, mut kept): (BTreeMap<_, _>, BTreeMap<_, _>) = before
            .runs
            .clone()
            .into_iter()
            .partition(|(command, run)| target.command.ends(*command, changes(run)));
        let outdated = ended.keys().copied();
        let outdated = outdated.filter(|it| !target.command.ends(*it, false));
        let written = Written {
            mended: !before.unfinished.is_empty(),
            outdated: outdated.collect(),
        };
        // What this run changes of a run that still holds is theirs both from now on.
        let shared = kept.values().flatten();
        let shared = shared.filter(|it| changed.contains_key(it.path.as_str()));
        let shared: BTreeSet<String> = shared.map(|it| it.path.clone()).collect();
        away.retain(|path| !shared.contains(path));
        let before_this = kept.clone();
        for file in kept.values_mut().flatten() {
            if let Some(now) = changed.get(file.path.as_str()) {
                file.clone_from(now);
            }
        }

        let wanted = files.iter().map(|it| it.listed.path.as_str());
        let wanted = wanted.chain(kept.values().flatten().map(|it| it.path.as_str()));
        let wanted: BTreeSet<&str> = wanted.collect();
        let gone = ended.values().flatten().chain(&before.unfinished);
        let mut gone: Vec<Listed> = gone.cloned().collect();
        let stale: BTreeSet<&str> = gone.iter().map(|it| it.path.as_str()).collect();
        let stale = stale.difference(&wanted);
        let stale = stale.filter(|it| matches!(place.found(it, None), Found::Ours));
        away.extend(stale.map(|it| (*it).to_owned()));
        // The report goes first, its page with it.
        away.sort_by_key(|it| (!it.starts_with("report."), it.clone()));

        let mut after = Manifest::of(kept);
        let mut during = after.clone();
        for (command, run) in before_this {
            let either = during.runs.entry(command).or_default();
            either.extend(run.into_iter().filter(|it| shared.contains(&it.path)));
        }
        let new = put.iter().map(|it| it.listed.clone());
        gone.extend(new.filter(|it| !shared.contains(&it.path)));
        during.unfinished = gone;
        let mine = files.iter().filter(|it| !it.is_handed_on);
        let mine = mine.map(|it| it.listed.clone()).collect();
        after.runs.insert(target.command, mine);
        Ok(Self {
            put,
            shared,
            away,
            during,
            after,
            written,
        })
    }

    /// Does it.
    pub(super) fn carry_out(&self, change: &mut Change, before: &Manifest) -> Result<(), Fault> {
        if self.put.is_empty() && self.away.is_empty() && self.after == *before {
            return Ok(());
        }
        let list = Manifest::path();
        let staged = self.put.iter().map(|file| {
            let path = file.listed.path.as_str();
            Ok((change.stage(path, &file.bytes)?, path))
        });
        let staged = staged.collect::<Result<Vec<_>, Fault>>()?;
        let during = change.stage(&list, &self.during.bytes())?;
        let after = change.stage(&list, &self.after.bytes())?;
        change.put_over(during, &list)?;
        for path in &self.away {
            change.set_aside(path)?;
        }
        for (staged, path) in staged {
            if self.shared.contains(path) {
                change.put_over(staged, path)?;
            } else {
                change.put(staged, path)?;
            }
        }
        for folder in folders_of(before) {
            change.remove_if_empty(folder);
        }
        change.put_over(after, &list)
    }
}

/// A folder as it is before a run's files come.
struct FolderNow<'a> {
    folder: &'a Path,
    before: &'a Manifest,
    /// What the run was made from.
    sources: Vec<PathBuf>,
}

/// What is found where a file is to go, or where one was.
enum Found {
    Nothing,
    /// The very bytes that are to be there.
    Same,
    /// A file of ours that nobody touched since.
    Ours,
    InTheWay(Obstacle),
}

impl FolderNow<'_> {
    /// What is found at a path; `wanted` is what is to be there, if anything.
    fn found(&self, path: &str, wanted: Option<&Listed>) -> Found {
        let (bytes, is_protected) = match standing(self.folder, Path::new(path)) {
            Standing::Nothing => return Found::Nothing,
            Standing::Other(obstacle) => return Found::InTheWay(obstacle),
            Standing::File {
                bytes,
                is_protected,
            } => (bytes, is_protected),
        };
        let sum = fnv1a(&bytes);
        if wanted.is_some_and(|it| it.fnv1a == sum) {
            return Found::Same;
        }
        if self.is_source(path) {
            return Found::InTheWay(Obstacle::Source);
        }
        let listed = self.before.files().filter(|it| it.path == path);
        let sums: Vec<&str> = listed.map(|it| it.fnv1a.as_str()).collect();
        if is_protected {
            Found::InTheWay(Obstacle::Protected)
        } else if sums.contains(&sum.as_str()) {
            Found::Ours
        } else if sums.is_empty() {
            Found::InTheWay(Obstacle::NotOurs)
        } else {
            Found::InTheWay(Obstacle::Changed)
        }
    }

    fn is_source(&self, path: &str) -> bool {
        let place = self.folder.join(path).canonicalize();
        place.is_ok_and(|place| self.sources.contains(&place))
    }
}

/// The folders of the files that are listed, the inner ones first.
fn folders_of(manifest: &Manifest) -> Vec<&Path> {
    let folders = manifest
        .files()
        .flat_map(|it| Path::new(&it.path).ancestors().skip(1));
    let folders: BTreeSet<&Path> = folders.filter(|it| *it != Path::new("")).collect();
    folders.into_iter().rev().collect()
}

/// One message for all that is in the way.
fn refuse(folder: &Path, obstacles: &[(&str, Obstacle)]) -> Result<(), Fault> {
    let told = |(path, why): &(&str, Obstacle)| format!("`{}` {why}", folder.join(path).display());
    let message = match obstacles {
        [] => return Ok(()),
        [one] => format!("a file cannot be written: {}", told(one)),
        several => {
            let named: Vec<String> = several.iter().take(NAMED).map(told).collect();
            let more = match several.len().saturating_sub(NAMED) {
                0 => String::new(),
                more => format!("; and {more} more"),
            };
            format!("files cannot be written: {}{more}", named.join("; "))
        }
    };
    let away = if obstacles.len() == 1 { "it" } else { "them" };
    let remedy = if obstacles.iter().all(|(_, why)| why.yields()) {
        format!(
            "move {away} away, choose another folder with --out, or add --replace to write over {away}"
        )
    } else {
        format!("move {away} away, or choose another folder with --out")
    };
    Err(Fault::file(message).remedy(remedy))
}
