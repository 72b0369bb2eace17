//! The list of what the program wrote into a folder, which it keeps there.
//!
//! A file is ours if it is listed here and has still the checksum that it is listed with. While a run
//! puts its files in place, the list says so: a folder whose program was killed meanwhile is recognised
//! by it, and the next run takes away what the killed one left.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use serde::{Deserialize, Serialize};

use super::obstacle::stays_inside;
use super::staging::HIDDEN;

/// Version of the list.
const SCHEMA: u32 = 1;
/// The list, in the hidden folder.
const LIST: &str = "files.json";

/// The commands that write into a folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Command {
    /// Sheets, plates and the report.
    Cut,
    /// Plates and their drawings.
    Draw,
    /// Templates.
    Paper,
    /// A template to drill by.
    Redrill,
    /// A picture of a steering linkage.
    Steering,
    /// The place where a drawing could not be read, of a run that wrote nothing else.
    Place,
}

impl Command {
    /// Its word on the command line.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Cut => "cut",
            Self::Draw => "draw",
            Self::Paper => "paper",
            Self::Redrill => "redrill",
            Self::Steering => "steering",
            Self::Place => "place",
        }
    }

    /// Whether its run takes the place of the last run of a command, some of whose files it may change.
    /// `cut` writes everything that `draw` and `paper` do; sheets whose plates are drawn otherwise since
    /// are no longer good.
    pub(super) fn ends(self, other: Self, changes_it: bool) -> bool {
        match (self, other) {
            (Self::Cut, Self::Draw | Self::Paper) => true,
            (Self::Cut | Self::Draw | Self::Paper | Self::Redrill, Self::Place) => true,
            (Self::Draw, Self::Cut) => changes_it,
            _ => self == other,
        }
    }
}

/// A file with its checksum.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Listed {
    /// Path in the output folder, with `/` between folders.
    pub path: String,
    /// 64-bit FNV-1a checksum of its bytes, in hexadecimal.
    pub fnv1a: String,
}

/// What the program wrote into a folder.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Manifest {
    schema: u32,
    /// The files of the last run of each command.
    pub(super) runs: BTreeMap<Command, Vec<Listed>>,
    /// What a run that has not ended takes away or puts: old files, new ones, or some of both.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) unfinished: Vec<Listed>,
}

impl Manifest {
    /// A list of these runs, all of them ended.
    pub(super) const fn of(runs: BTreeMap<Command, Vec<Listed>>) -> Self {
        Self {
            schema: SCHEMA,
            runs,
            unfinished: Vec::new(),
        }
    }

    /// The list in a folder; an empty one if there is none that can be read. Names that lead out of the
    /// folder are left out.
    pub(super) fn read(folder: &Path) -> Self {
        let read = fs::read(folder.join(Self::path())).ok();
        let read = read.and_then(|bytes| serde_json::from_slice::<Self>(&bytes).ok());
        let mut manifest = read
            .filter(|it| it.schema == SCHEMA)
            .unwrap_or_else(|| Self::of(BTreeMap::new()));
        let lists = manifest.runs.values_mut();
        for list in lists.chain([&mut manifest.unfinished]) {
            list.retain(|file| stays_inside(&file.path));
        }
        manifest
    }

    /// Where it lies in a folder.
    pub(super) fn path() -> String {
        format!("{HIDDEN}/{LIST}")
    }

    /// Its bytes.
    pub(super) fn bytes(&self) -> Vec<u8> {
        serde_json::to_vec_pretty(self).expect("lists of text always print")
    }

    /// Every file listed, whatever for.
    pub(super) fn files(&self) -> impl Iterator<Item = &Listed> {
        self.runs.values().flatten().chain(&self.unfinished)
    }
}

/// 64-bit FNV-1a (Fowler, Noll and Vo): enough to see that a file was edited.
#[must_use]
pub fn fnv1a(bytes: &[u8]) -> String {
    let hash = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("{hash:016x}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_checksum_is_the_published_one() {
        // Test vectors of draft-eastlake-fnv: the empty text, "a" and "foobar".
        assert_eq!(fnv1a(b""), "cbf29ce484222325");
        assert_eq!(fnv1a(b"a"), "af63dc4c8601ec8c");
        assert_eq!(fnv1a(b"foobar"), "85944171f73967e8");
    }
}
