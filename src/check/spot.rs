//! A place where a plate breaks a limit, and what becomes of several.

use std::borrow::Cow;

use super::{Check, Finding, Level};
use crate::geometry::Point;

/// What is added to a message that a job relaxes.
pub(super) const RELAXED: &str = " (relaxed by the job)";

/// Why a limit holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ground {
    /// It cannot be made otherwise: never relaxed.
    Physical,
    /// Good practice: a builder who knows better may relax it.
    Judgement,
}

/// A place where a plate breaks a limit.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Spot {
    pub(super) level: Level,
    pub(super) ground: Ground,
    /// What was measured over what is allowed; the smallest is the worst.
    pub(super) share: f64,
    pub(super) message: String,
    pub(super) remedy: String,
    /// Where the limit comes from, if not from the check's own source.
    pub(super) source: Option<Cow<'static, str>>,
    pub(super) at: Point,
}

impl Spot {
    /// A spot where judgement decides.
    pub(super) fn new(level: Level, share: f64, at: Point, message: String) -> Self {
        Self {
            level,
            ground: Ground::Judgement,
            share,
            message,
            remedy: String::new(),
            source: None,
            at,
        }
    }

    /// Adds what to do about it.
    pub(super) fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = remedy.into();
        self
    }

    /// Marks it as impossible rather than unwise.
    pub(super) const fn physical(mut self) -> Self {
        self.ground = Ground::Physical;
        self
    }

    /// Names the source of this spot's limit.
    pub(super) fn source(mut self, source: impl Into<Cow<'static, str>>) -> Self {
        self.source = Some(source.into());
        self
    }

    /// The spot when its check is relaxed: a note, unless it is impossible.
    pub(super) fn relaxed(mut self) -> Self {
        if self.ground == Ground::Judgement && self.level > Level::Note {
            self.level = Level::Note;
            self.message += RELAXED;
        }
        self
    }
}

/// One finding per level: the worst spot, with the number of others.
pub(super) fn worst(check: &Check, spots: &[Spot]) -> Vec<Finding> {
    let of_level = |level: Level| {
        let here = spots.iter().filter(move |spot| spot.level == level);
        let count = here.clone().count();
        here.min_by(|a, b| a.share.total_cmp(&b.share))
            .map(|spot| finding(check, spot, count - 1))
    };
    [Level::Refuse, Level::Warn, Level::Note]
        .into_iter()
        .filter_map(of_level)
        .collect()
}

/// One finding per spot.
pub(super) fn each(check: &Check, spots: &[Spot]) -> Vec<Finding> {
    spots.iter().map(|spot| finding(check, spot, 0)).collect()
}

fn finding(check: &Check, spot: &Spot, others: usize) -> Finding {
    let more = match others {
        0 => String::new(),
        1 => "; so is 1 more place".to_owned(),
        n => format!("; so are {n} more places"),
    };
    Finding {
        check: check.name.to_owned(),
        level: spot.level,
        message: format!("{}{more}", spot.message),
        remedy: spot.remedy.clone(),
        source: spot.source.as_deref().unwrap_or(check.source).to_owned(),
        at: Some(spot.at),
    }
}
