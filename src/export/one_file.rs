//! Putting a single file where the builder named it, whole or not at all.

use std::fs;
use std::path::Path;

use super::obstacle::{Obstacle, Standing, standing};
use super::staging;
use crate::fault::{Fault, Outcome};

/// What a single file may take the place of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Over {
    /// Nothing: there must be no such file.
    Nothing,
    /// The file that was read to make this one of it.
    Itself,
    /// Any file.
    Anything,
}

impl Over {
    /// Any file if the builder says so, else nothing.
    #[must_use]
    pub const fn told(replace: bool) -> Self {
        if replace {
            Self::Anything
        } else {
            Self::Nothing
        }
    }
}

/// Writes one file, so that it is whole under its name or not there at all.
pub fn write_file(path: &Path, bytes: &[u8], over: Over) -> Outcome<()> {
    write_together(&[(path, bytes)], over)
}

/// Writes some files, each whole, and none if one of them may not be written.
pub fn write_together(files: &[(&Path, &[u8])], over: Over) -> Outcome<()> {
    let may_be = files.iter().map(|(path, _)| may_be_written(path, over));
    let are_new = may_be.collect::<Outcome<Vec<bool>>>()?;
    let mut made = Undone(Vec::new());
    for ((path, bytes), is_new) in files.iter().zip(are_new) {
        staging::replace(path, bytes)?;
        made.0.extend(is_new.then_some(*path));
    }
    made.0.clear();
    Ok(())
}

/// New files that are removed again unless all came to an end, whatever ended it.
struct Undone<'a>(Vec<&'a Path>);

impl Drop for Undone<'_> {
    fn drop(&mut self) {
        for path in &self.0 {
            // What led here is told, not that a file could not be removed.
            let _ = fs::remove_file(path);
        }
    }
}

/// Whether nothing is there yet, or why a file may not be written.
fn may_be_written(path: &Path, over: Over) -> Outcome<bool> {
    let Some(name) = path.file_name() else {
        let message = format!("`{}` is not a file name", path.display());
        return Err(Fault::file(message)
            .remedy("give the name of a file to write")
            .into());
    };
    let folder = path.parent().unwrap_or(Path::new(""));
    let shown = path.display();
    let why = match standing(folder, Path::new(name)) {
        Standing::Nothing => return Ok(true),
        Standing::File { .. } if over == Over::Nothing => {
            let fault = Fault::file(format!("{shown} is there already"));
            return Err(fault
                .remedy("give another name, or --replace to write over it")
                .into());
        }
        Standing::File { is_protected, .. } => is_protected.then_some(Obstacle::Protected),
        Standing::Other(why) => Some(why),
    };
    match why {
        Some(why) if !(over == Over::Anything && why.yields()) => {
            let fault = Fault::file(format!("{shown} cannot be written: it {why}"));
            Err(fault.remedy("give another name, or move it away").into())
        }
        _ => Ok(false),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_two_files_none_is_written_if_one_may_not_be() {
        let dir = tempfile::tempdir().expect("a temporary folder");
        let (one, two) = (dir.path().join("one"), dir.path().join("two"));
        fs::write(&two, "mine").expect("writes");
        let files: [(&Path, &[u8]); 2] = [(&one, b"1"), (&two, b"2")];
        let said = write_together(&files, Over::Nothing).expect_err("the second is there");
        assert!(said.to_string().contains("is there already"), "{said}");
        assert!(!one.exists());
        write_together(&files, Over::Anything).expect("writes");
        assert_eq!(fs::read_to_string(&two).expect("reads"), "2");
    }

    #[test]
    fn one_file_is_written_whole_and_over_others_only_if_told() {
        let dir = tempfile::tempdir().expect("a temporary folder");
        let path = dir.path().join("new/part.toml");
        write_file(&path, b"one", Over::Nothing).expect("writes");
        let said = write_file(&path, b"two", Over::Nothing).expect_err("it is there");
        assert!(said.to_string().contains("is there already"), "{said}");
        write_file(&path, b"two", Over::Itself).expect("writes");
        let mut permissions = fs::metadata(&path).expect("is there").permissions();
        permissions.set_readonly(true);
        fs::set_permissions(&path, permissions).expect("sets");
        let said = write_file(&path, b"three", Over::Itself).expect_err("it is protected");
        assert!(said.to_string().contains("it is write-protected"), "{said}");
        let text = || fs::read_to_string(&path).expect("reads");
        assert_eq!(text(), "two");
        write_file(&path, b"three", Over::Anything).expect("writes");
        assert_eq!(text(), "three");
        let left = fs::read_dir(dir.path().join("new")).expect("reads").count();
        assert_eq!(left, 1, "nothing is left beside it");
        let nameless = write_file(Path::new("/"), b"", Over::Anything);
        assert_eq!(nameless.expect_err("no name").exit_code(), 3);
    }
}
