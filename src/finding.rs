//! What a check or a rule says about a plate: how serious, what, and what to do about it.

use crate::geometry::Point;

/// How serious a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Worth knowing.
    Note,
    /// Think before you cut.
    Warn,
    /// Will not be cut until it is put right.
    Refuse,
}

impl Level {
    /// Every level with its word in recipes and reports.
    pub const ALL: &'static [(Self, &'static str)] = &[
        (Self::Note, "note"),
        (Self::Warn, "warn"),
        (Self::Refuse, "refuse"),
    ];

    /// Its word in recipes and reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warn => "warn",
            Self::Refuse => "refuse",
        }
    }
}

/// What a check says about a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The check's name, by which a job may relax it.
    pub check: String,
    /// How serious.
    pub level: Level,
    /// What was found, with figures.
    pub message: String,
    /// What to do about it.
    pub remedy: String,
    /// Where the limit comes from.
    pub source: String,
    /// Where on the plate, if it has a place, mm in plate coordinates.
    pub at: Option<Point>,
}
