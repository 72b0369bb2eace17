//! Can it be cut, will it hold: findings with remedies.

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
