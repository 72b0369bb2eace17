//! What stands where a file is to go, and whether it may be written over.
//!
//! The one rule of every command that writes files: a file of our own that nobody touched since may be
//! replaced or removed; anything else only if the builder says so; a folder, or a way through a link,
//! never.

use std::fmt;
use std::fs;
use std::path::{Component, Path, PathBuf};

/// What stands in a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Standing {
    /// Nothing.
    Nothing,
    /// A plain file.
    File {
        /// What is in it.
        bytes: Vec<u8>,
        /// Whether it is write-protected.
        is_protected: bool,
    },
    /// Something else.
    Other(Obstacle),
}

/// Why a place may not be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Obstacle {
    /// The program never wrote this file.
    NotOurs,
    /// The program wrote it, and somebody changed it since.
    Changed,
    /// It is write-protected.
    Protected,
    /// It is a link to another place.
    Link,
    /// It cannot be read.
    Unreadable,
    /// It is a folder.
    Folder,
    /// A folder on the way to it is a link or a file.
    Way,
    /// The run was made from it.
    Source,
}

impl Obstacle {
    /// Whether the builder may have it written over by saying so.
    pub(super) const fn yields(self) -> bool {
        !matches!(self, Self::Folder | Self::Way | Self::Source)
    }
}

impl fmt::Display for Obstacle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NotOurs => "was not written by this program",
            Self::Changed => "was changed since this program wrote it",
            Self::Protected => "is write-protected",
            Self::Link => "is a link to another place",
            Self::Unreadable => "is not readable",
            Self::Folder => "is a folder, not a file",
            Self::Way => "lies behind a link or a file, not in a folder",
            Self::Source => "is what this very run was made from",
        })
    }
}

/// What stands at a path below a folder, without following links below it.
pub(super) fn standing(folder: &Path, path: &Path) -> Standing {
    let mut place = folder.to_owned();
    let mut parts = path.components().peekable();
    while let Some(part) = parts.next() {
        place.push(part);
        let Ok(found) = place.symlink_metadata() else {
            return Standing::Nothing;
        };
        if parts.peek().is_some() {
            if !found.is_dir() {
                return Standing::Other(Obstacle::Way);
            }
            continue;
        }
        return if found.is_dir() {
            Standing::Other(Obstacle::Folder)
        } else if found.is_symlink() {
            Standing::Other(Obstacle::Link)
        } else if !found.is_file() {
            Standing::Other(Obstacle::NotOurs)
        } else if let Ok(bytes) = fs::read(&place) {
            let is_protected = found.permissions().readonly();
            Standing::File {
                bytes,
                is_protected,
            }
        } else {
            Standing::Other(Obstacle::Unreadable)
        };
    }
    Standing::Other(Obstacle::Folder)
}

/// Whether a path names something below the folder it is relative to.
pub(super) fn stays_inside(path: &str) -> bool {
    let mut parts = Path::new(path).components().peekable();
    parts.peek().is_some() && parts.all(|part| matches!(part, Component::Normal(_)))
}

/// The files that exist of those named, as the system knows them, to be told from others.
pub(super) fn resolved(files: &[PathBuf]) -> Vec<PathBuf> {
    files
        .iter()
        .filter_map(|it| it.canonicalize().ok())
        .collect()
}
