//! Installs new files in a folder atomically, with rollback.
//!
//! In: bytes and where they are to go. Out: files in their places. Guaranteed: no file is ever half
//! written under its name; unless the change is committed, everything is put back, whether it failed or
//! panicked. New files are written into a hidden folder of the target first, on the same disk, so that
//! renaming is enough; what they take the place of waits there too. The system's lock on a file in it
//! keeps a second program out until the first is done or dead, so whatever lies there then is left over.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use crate::fault::Fault;

/// The hidden folder that the program keeps in every folder it writes.
pub(super) const HIDDEN: &str = ".platewright";
/// In it: the file that the program which writes holds locked.
const LOCK: &str = "lock";
/// In it: files on their way.
const ON_THEIR_WAY: &str = "on-their-way";

/// A change of a folder that is put back unless it is committed.
pub(super) struct Change<'a> {
    folder: &'a Path,
    /// Where files on their way lie.
    aside: PathBuf,
    /// How many there are.
    count: usize,
    /// How to take back what was done, the last first.
    back: Vec<Back>,
    /// The system lets go of it when the program dies.
    _lock: File,
}

/// A file that was written aside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Staged(PathBuf);

/// How one thing done is taken back.
enum Back {
    RemoveFolder(PathBuf),
    RemoveTree(PathBuf),
    MakeFolder(PathBuf),
    RemoveFile(PathBuf),
    Rename(PathBuf, PathBuf),
}

impl<'a> Change<'a> {
    /// Begins to change a folder, which is made if need be, once no other program does.
    pub(super) fn begin(folder: &'a Path) -> Result<Self, Fault> {
        let mut back = Vec::new();
        make_folders(folder, &mut back)
            .and_then(|()| Self::locked(folder, &mut back))
            .inspect_err(|_| take_back(&mut back))
            .map(|lock| Self {
                folder,
                aside: folder.join(HIDDEN).join(ON_THEIR_WAY),
                count: 0,
                back,
                _lock: lock,
            })
    }

    fn locked(folder: &Path, back: &mut Vec<Back>) -> Result<File, Fault> {
        let hidden = folder.join(HIDDEN);
        if hidden.is_symlink() {
            let message = format!("`{}` is a link to another place", hidden.display());
            return Err(Fault::file(message).remedy("remove it, or choose another folder"));
        }
        make_folders(&hidden, back)?;
        let path = hidden.join(LOCK);
        let is_new = !path.exists();
        let open = || OpenOptions::new().create(true).append(true).open(&path);
        let lock = act(&path, open)?;
        if is_new {
            back.push(Back::RemoveFile(path));
        }
        // Some disks know no locks: there, two programs at once are the builder's to keep apart.
        let _ = lock.lock();
        let aside = hidden.join(ON_THEIR_WAY);
        if aside.exists() {
            act(&aside, || fs::remove_dir_all(&aside))?;
        }
        act(&aside, || fs::create_dir(&aside))?;
        back.push(Back::RemoveTree(aside));
        Ok(lock)
    }

    /// Writes a file aside that is to become `path`.
    pub(super) fn stage(&mut self, path: &str, bytes: &[u8]) -> Result<Staged, Fault> {
        let staged = self.next();
        write_through(&staged, bytes).map_err(|error| fault(&self.folder.join(path), &error))?;
        Ok(Staged(staged))
    }

    fn next(&mut self) -> PathBuf {
        self.count += 1;
        self.aside.join(self.count.to_string())
    }

    /// Moves a file out of the way.
    pub(super) fn set_aside(&mut self, path: &str) -> Result<(), Fault> {
        let (place, aside) = (self.folder.join(path), self.next());
        act(&place, || fs::rename(&place, &aside))?;
        self.back.push(Back::Rename(aside, place));
        Ok(())
    }

    /// Moves a staged file to its place, where there is none.
    pub(super) fn put(&mut self, staged: Staged, path: &str) -> Result<(), Fault> {
        let place = self.folder.join(path);
        make_folders(place.parent().unwrap_or(self.folder), &mut self.back)?;
        act(&place, || fs::rename(staged.0, &place))?;
        self.back.push(Back::RemoveFile(place));
        Ok(())
    }

    /// Moves a staged file to its place over the one that may be there, in one step.
    pub(super) fn put_over(&mut self, staged: Staged, path: &str) -> Result<(), Fault> {
        let place = self.folder.join(path);
        let back = match fs::read(&place) {
            Ok(before) => Back::Rename(self.stage(path, &before)?.0, place.clone()),
            Err(_) => Back::RemoveFile(place.clone()),
        };
        act(&place, || fs::rename(staged.0, &place))?;
        self.back.push(back);
        Ok(())
    }

    /// Removes a folder if there is nothing in it.
    pub(super) fn remove_if_empty(&mut self, path: &Path) {
        let place = self.folder.join(path);
        // Fails, as it should, while anything is left in it.
        if act(&place, || fs::remove_dir(&place)).is_ok() {
            self.back.push(Back::MakeFolder(place));
        }
    }

    /// Everything is in place: nothing is taken back from here on.
    pub(super) fn commit(mut self) {
        self.back.clear();
        // What is left over does no harm; the next change of the folder removes it.
        let _ = fs::remove_dir_all(&self.aside);
    }
}

impl Drop for Change<'_> {
    fn drop(&mut self) {
        take_back(&mut self.back);
    }
}

/// Takes everything back, the last first. What cannot be taken back is left: there is nothing better to
/// do than to report the failure that led here, and the next run tells what is whose.
fn take_back(back: &mut Vec<Back>) {
    for step in back.drain(..).rev() {
        let _ = match step {
            Back::RemoveFolder(folder) => fs::remove_dir(folder),
            Back::RemoveTree(folder) => fs::remove_dir_all(folder),
            Back::MakeFolder(folder) => fs::create_dir(folder),
            Back::RemoveFile(file) => fs::remove_file(file),
            Back::Rename(from, to) => fs::rename(from, to),
        };
    }
}

/// Makes a folder and what it lies in, as far as they are missing.
fn make_folders(folder: &Path, back: &mut Vec<Back>) -> Result<(), Fault> {
    let missing = folder.ancestors().take_while(|it| !it.is_dir());
    let missing: Vec<&Path> = missing.filter(|it| *it != Path::new("")).collect();
    for folder in missing.into_iter().rev() {
        match act(folder, || fs::create_dir(folder)) {
            // Another program was faster.
            Err(_) if folder.is_dir() => {}
            outcome => {
                outcome?;
                back.push(Back::RemoveFolder(folder.to_owned()));
            }
        }
    }
    Ok(())
}

/// Writes one file beside its place and moves it there, so that it is never there in part. The file
/// beside it is locked meanwhile, so that [`remove_left_over`] can tell it from one that was left.
pub(super) fn replace(path: &Path, bytes: &[u8]) -> Result<(), Fault> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let aside = path.with_file_name(format!(".{name}{HIDDEN}"));
    let mut back = Vec::new();
    make_folders(path.parent().unwrap_or(path), &mut back)
        .and_then(|()| {
            back.push(Back::RemoveFile(aside.clone()));
            write_through(&aside, bytes).map_err(|error| fault(path, &error))
        })
        .and_then(|()| act(path, || fs::rename(&aside, path)))
        .inspect_err(|_| take_back(&mut back))
}

/// Removes the files that the program left half written in a folder when it was killed.
pub fn remove_left_over(folder: &Path) {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    for path in entries.map(|it| it.path()) {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let is_aside = name.starts_with('.') && name.len() > HIDDEN.len() && name.ends_with(HIDDEN);
        let is_left = || File::open(&path).is_ok_and(|it| it.try_lock().is_ok());
        if is_aside && path.is_file() && is_left() {
            // One that cannot be removed does no harm: the next of its name is written over it.
            let _ = fs::remove_file(&path);
        }
    }
}

/// Writes a file and waits until the disk has it: builders pull memory sticks out early.
fn write_through(path: &Path, bytes: &[u8]) -> io::Result<()> {
    fault_point();
    let mut file = File::create(path)?;
    // Some disks know no locks.
    let _ = file.try_lock();
    let (first, second) = bytes.split_at(bytes.len() / 2);
    file.write_all(first)?;
    fault_point();
    file.write_all(second)?;
    file.sync_data()
}

/// One change of the disk.
fn act<T>(path: &Path, change: impl FnOnce() -> io::Result<T>) -> Result<T, Fault> {
    fault_point();
    change().map_err(|error| fault(path, &error))
}

/// Where tests break the program off: in a debug build, the `N`-th of these places in a run ends it at
/// once if the environment has `PLATEWRIGHT_BREAK="kill N"`, as a power cut would, and panics with
/// `"panic N"`.
pub fn fault_point() {
    #[cfg(debug_assertions)]
    {
        use std::sync::atomic::{AtomicUsize, Ordering};
        static PASSED: AtomicUsize = AtomicUsize::new(0);
        let passed = PASSED.fetch_add(1, Ordering::Relaxed) + 1;
        let wanted = std::env::var("PLATEWRIGHT_BREAK").unwrap_or_default();
        match wanted.split_once(' ') {
            Some(("kill", at)) if at == passed.to_string() => std::process::abort(),
            Some(("panic", at)) if at == passed.to_string() => panic!("broken off at {at}"),
            _ => {}
        }
    }
}

/// Whether another program has the file open and lets nobody change it meanwhile, as Windows has it:
/// `ERROR_SHARING_VIOLATION` and `ERROR_LOCK_VIOLATION` of its list of system error codes. Other systems
/// use these numbers for other things.
fn is_held(error: &io::Error) -> bool {
    cfg!(windows) && matches!(error.raw_os_error(), Some(32 | 33))
}

/// What a failure to write at `path` means to a builder.
pub(super) fn fault(path: &Path, error: &io::Error) -> Fault {
    let place = path.display();
    if is_held(error) {
        return Fault::file(format!("`{place}` is open in another program"))
            .remedy("close it there, and run this again");
    }
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
        io::ErrorKind::FileTooLarge => Fault::file(format!(
            "`{place}` would be larger than a file may be here"
        ))
        .remedy("raise the limit (`ulimit -f unlimited`), or choose a folder on another disk"),
        _ => Fault::file(format!("cannot write `{place}`: {error}"))
            .remedy("check the folder and the disk, or choose another folder"),
    }
}

#[cfg(test)]
mod tests {
    use tempfile::TempDir;

    use super::*;

    #[test]
    fn a_failure_half_way_leaves_the_folder_as_it_was() {
        let dir = TempDir::new().expect("a temporary folder");
        let folder = dir.path().join("made/out");
        fs::create_dir(dir.path().join("made")).expect("makes");
        let mut change = Change::begin(&folder).expect("begins");
        let staged = ["one", "two"].map(|it| change.stage(it, it.as_bytes()).expect("stages"));
        let [one, two] = staged;
        change.put(one, "plates/one").expect("puts");
        // A file where a folder is to be.
        let said = change
            .put(two, "plates/one/two")
            .expect_err("it cannot be put");
        assert!(said.message.contains("a file is in the way"), "{said}");
        assert!(folder.join("plates/one").exists());
        drop(change);
        assert!(!folder.exists() && dir.path().join("made").exists());
    }

    #[test]
    fn a_half_written_file_that_was_left_is_removed_and_no_other() {
        let dir = TempDir::new().expect("a temporary folder");
        let at = |name: &str| dir.path().join(name);
        for name in [
            ".left.toml.platewright",
            ".at-work.toml.platewright",
            ".mine",
            "part.toml",
        ] {
            fs::write(at(name), "half").expect("writes");
        }
        fs::create_dir(at(".platewright")).expect("makes");
        let at_work = File::open(at(".at-work.toml.platewright")).expect("opens");
        at_work.lock().expect("locks");
        remove_left_over(dir.path());
        assert!(!at(".left.toml.platewright").exists());
        for name in [
            ".at-work.toml.platewright",
            ".mine",
            "part.toml",
            ".platewright",
        ] {
            assert!(at(name).exists(), "{name} is gone");
        }
        drop(at_work);
        remove_left_over(dir.path());
        assert!(!at(".at-work.toml.platewright").exists());
    }

    #[test]
    fn what_a_dead_program_left_is_removed() {
        let dir = TempDir::new().expect("a temporary folder");
        let left = dir.path().join(HIDDEN).join(ON_THEIR_WAY);
        fs::create_dir_all(&left).expect("makes");
        fs::write(left.join("1"), "half").expect("writes");
        let mut change = Change::begin(dir.path()).expect("begins");
        let staged = change.stage("one", b"one").expect("stages");
        change.put(staged, "one").expect("puts");
        change.commit();
        assert!(!left.exists() && dir.path().join("one").exists());
    }
}
