//! The way of new files into a folder: written aside first, then renamed into place, with the means
//! to put everything back.
//!
//! In: bytes and where they are to go. Out: files in their places. What is written aside lies in a
//! hidden folder of the target, on the same disk, so that renaming is enough. A killed program leaves
//! that folder behind; the next run there removes it.

use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::time::Duration;

use tempfile::TempDir;

use crate::fault::Fault;

/// How the names of hidden folders begin.
const PREFIX: &str = ".unfinished-";
/// The file in a hidden folder that its program holds locked while it runs.
const LOCK: &str = "lock";
/// A hidden folder older than this without a lock will get none.
const LOCKED_BY: Duration = Duration::from_secs(60);

/// A hidden folder for files on their way.
pub(super) struct Staging {
    folder: TempDir,
    /// Held until the folder is gone; the system lets go of it when the program dies.
    _lock: File,
}

impl Staging {
    /// A hidden folder inside the target.
    pub(super) fn new(target: &Path) -> Result<Self, Fault> {
        let folder = tempfile::Builder::new().prefix(PREFIX).tempdir_in(target);
        let folder = folder.map_err(|error| fault(target, &error))?;
        let lock = File::create(folder.path().join(LOCK)).map_err(|error| fault(target, &error))?;
        // Some disks know no locks; what is left behind there is left.
        let _ = lock.try_lock();
        Ok(Self {
            folder,
            _lock: lock,
        })
    }

    /// Writes the bytes of the file with that number, which is to become `path` in the target.
    pub(super) fn add(&self, index: usize, path: &str, bytes: &[u8]) -> Result<(), Fault> {
        let target = self.folder.path().parent().unwrap_or(Path::new(""));
        write_through(&self.at(index), bytes).map_err(|error| fault(&target.join(path), &error))
    }

    fn at(&self, index: usize) -> PathBuf {
        self.path(&index.to_string())
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }
}

/// Removes the hidden folders of programs that were killed. What cannot be removed does no harm.
pub(super) fn clean_up(target: &Path) {
    for entry in fs::read_dir(target).into_iter().flatten().flatten() {
        let is_ours = entry.file_name().to_string_lossy().starts_with(PREFIX);
        if is_ours && is_left_behind(&entry.path()) {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}

/// Whether the program of a hidden folder is gone: nobody holds its lock, or it was killed before it
/// had one, or after it took it away again. The lock comes before any other file.
fn is_left_behind(folder: &Path) -> bool {
    match File::open(folder.join(LOCK)) {
        Ok(lock) => lock.try_lock().is_ok(),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            let is_empty = fs::read_dir(folder).is_ok_and(|mut files| files.next().is_none());
            let made = folder.metadata().and_then(|it| it.modified()).ok();
            let age = made.and_then(|it| it.elapsed().ok());
            !is_empty || age.is_some_and(|age| age > LOCKED_BY)
        }
        Err(_) => false,
    }
}

/// New files on their way into a folder, with the means to put everything back.
pub(super) struct Swap<'a> {
    folder: &'a Path,
    staging: &'a Staging,
    done: Vec<Step>,
}

/// One change made to the folder.
enum Step {
    /// A folder made.
    Made(PathBuf),
    /// A file put where there was none.
    Added(PathBuf),
    /// A file replaced or removed: where it was, and where its copy is.
    Replaced(PathBuf, PathBuf),
}

impl<'a> Swap<'a> {
    pub(super) fn new(folder: &'a Path, staging: &'a Staging) -> Self {
        Self {
            folder,
            staging,
            done: Vec::new(),
        }
    }

    /// Moves a staged file to its place.
    pub(super) fn put(&mut self, path: &str, index: usize) -> Result<(), Fault> {
        let place = self.folder.join(path);
        self.make_parent(&place)?;
        let step = if place.exists() {
            Step::Replaced(place.clone(), self.copy_aside(&place)?)
        } else {
            Step::Added(place.clone())
        };
        fs::rename(self.staging.at(index), &place).map_err(|error| fault(&place, &error))?;
        self.done.push(step);
        Ok(())
    }

    /// Takes a file away, if it is there, until its new one is put.
    pub(super) fn withdraw(&mut self, path: &str) -> Result<(), Fault> {
        if self.folder.join(path).is_file() {
            self.remove(path)?;
        }
        Ok(())
    }

    /// Removes the folder that a file was in, if it was a folder within the output and is now empty.
    pub(super) fn remove_if_empty(&self, path: &str) {
        if let Some(parent) = Path::new(path).parent()
            && parent != Path::new("")
        {
            // Fails, as it should, while anything is left in it.
            let _ = fs::remove_dir(self.folder.join(parent));
        }
    }

    /// Removes a file of an earlier run.
    pub(super) fn remove(&mut self, path: &str) -> Result<(), Fault> {
        let place = self.folder.join(path);
        let copy = self.copy_aside(&place)?;
        fs::remove_file(&place).map_err(|error| fault(&place, &error))?;
        self.done.push(Step::Replaced(place, copy));
        Ok(())
    }

    fn make_parent(&mut self, place: &Path) -> Result<(), Fault> {
        let parent = place.parent().unwrap_or(self.folder);
        let missing: Vec<&Path> = parent.ancestors().take_while(|dir| !dir.exists()).collect();
        for dir in missing.into_iter().rev() {
            fs::create_dir(dir).map_err(|error| fault(dir, &error))?;
            self.done.push(Step::Made(dir.to_owned()));
        }
        Ok(())
    }

    fn copy_aside(&self, place: &Path) -> Result<PathBuf, Fault> {
        if place.is_dir() {
            let message = format!("`{}` is a folder, not a file", place.display());
            return Err(Fault::file(message).remedy("move it away, or choose another folder"));
        }
        let copy = self.staging.path(&format!("before-{}", self.done.len()));
        fs::copy(place, &copy).map_err(|error| fault(place, &error))?;
        Ok(copy)
    }

    /// Takes every change back, last first. What cannot be taken back is left: there is nothing
    /// better to do than to report the failure that led here.
    pub(super) fn undo(self) {
        for step in self.done.into_iter().rev() {
            let _ = match step {
                Step::Made(dir) => fs::remove_dir(dir),
                Step::Added(place) => fs::remove_file(place),
                Step::Replaced(place, copy) => fs::rename(copy, place),
            };
        }
    }
}

/// Writes a file and waits until the disk has it: builders pull memory sticks out early.
fn write_through(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = fs::File::create(path)?;
    file.write_all(bytes)?;
    file.sync_data()
}

/// What a failure to write at `path` means to a builder.
pub(super) fn fault(path: &Path, error: &io::Error) -> Fault {
    let place = path.display();
    match error.kind() {
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
            Fault::file(format!("not allowed to write `{place}`"))
                .remedy("choose a folder that you may write in")
        }
        io::ErrorKind::NotADirectory | io::ErrorKind::AlreadyExists => {
            Fault::file(format!("`{place}` cannot be made: a file is in the way"))
                .remedy("choose another folder, or move that file away")
        }
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
            Fault::file(format!("no room left on the disk to write `{place}`"))
                .remedy("free some room, or choose a folder on another disk")
        }
        _ => Fault::file(format!("cannot write `{place}`: {error}"))
            .remedy("check the folder and the disk, or choose another folder"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_a_dead_program_left_is_cleaned_up() {
        let target = TempDir::new().expect("a temporary folder");
        let alive = Staging::new(target.path()).expect("a hidden folder");
        let dead = target.path().join(".unfinished-dead");
        fs::create_dir(&dead).expect("makes");
        fs::write(dead.join(LOCK), "").expect("writes");
        fs::write(dead.join("0"), "half").expect("writes");
        let going = target.path().join(".unfinished-going");
        fs::create_dir(&going).expect("makes");
        fs::write(going.join("0"), "whole").expect("writes");
        clean_up(target.path());
        assert!(!dead.exists() && !going.exists() && alive.folder.path().exists());
    }
}
