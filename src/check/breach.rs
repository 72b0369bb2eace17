//! A place where a plate breaks a limit, and what becomes of several.

use std::borrow::Cow;

use super::{Check, Finding, Level};
use crate::geometry::Point;

/// What is added to a message that a job relaxes.
pub(super) const RELAXED: &str = " (relaxed by the job)";

/// Why a limit holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Basis {
    /// It cannot be made otherwise: never relaxed.
    Physical,
    /// Good practice: a builder who knows better may relax it.
    Judgement,
}

/// A place where a plate breaks a limit.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Breach {
    pub(super) level: Level,
    pub(super) basis: Basis,
    /// What was measured over what is allowed; the smallest is the worst.
    pub(super) share: f64,
    pub(super) message: String,
    pub(super) remedy: String,
    /// Where the limit comes from, if not from the check's own source.
    pub(super) source: Option<Cow<'static, str>>,
    pub(super) at: Point,
}

impl Breach {
    /// A breach where judgement decides.
    pub(super) fn new(level: Level, share: f64, at: Point, message: String) -> Self {
        Self {
            level,
            basis: Basis::Judgement,
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
        self.basis = Basis::Physical;
        self
    }

    /// Names the source of this breach's limit.
    pub(super) fn source(mut self, source: impl Into<Cow<'static, str>>) -> Self {
        self.source = Some(source.into());
        self
    }

    /// The breach when its check is relaxed: a note, unless it is impossible.
    pub(super) fn relaxed(mut self) -> Self {
        if self.basis == Basis::Judgement && self.level > Level::Note {
            self.level = Level::Note;
            self.message += RELAXED;
        }
        self
    }
}

/// One finding per level: the worst breach, with the number of others.
pub(super) fn worst(check: &Check, breaches: &[Breach]) -> Vec<Finding> {
    let of_level = |level: Level| {
        let here = breaches.iter().filter(move |breach| breach.level == level);
        let count = here.clone().count();
        here.min_by(|a, b| a.share.total_cmp(&b.share))
            .map(|breach| finding(check, breach, count - 1))
    };
    [Level::Refuse, Level::Warn, Level::Note]
        .into_iter()
        .filter_map(of_level)
        .collect()
}

/// One finding per breach.
pub(super) fn each(check: &Check, breaches: &[Breach]) -> Vec<Finding> {
    breaches
        .iter()
        .map(|breach| finding(check, breach, 0))
        .collect()
}

fn finding(check: &Check, breach: &Breach, others: usize) -> Finding {
    let more = match others {
        0 => String::new(),
        1 => "; so is 1 more place".to_owned(),
        n => format!("; so are {n} more places"),
    };
    Finding {
        check: check.about.name.to_owned(),
        level: breach.level,
        message: format!("{}{more}", breach.message),
        remedy: breach.remedy.clone(),
        source: breach
            .source
            .as_deref()
            .unwrap_or(check.about.source)
            .to_owned(),
        at: Some(breach.at),
    }
}
