//! A run in a screenful: what it comes to, what governs, how many findings of each kind.

use super::figures::{Holding, Report};
use super::rows::fitted;
use super::words::{cost, time};
use crate::finding::Level;
use crate::quantity::format::counted;

/// Lines that an answer may take, cautions aside.
pub const SCREENFUL: usize = 24;
/// A line on stdout that is no terminal is as wide as a usual one when lines are counted.
const USUAL_WIDTH: usize = 80;

/// Whether an answer and what follows it, with a blank line after either, is no more than a screenful.
#[must_use]
pub fn is_screenful(answer: &str, body: &str, width: usize) -> bool {
    lines_taken(&format!("{answer}\n\n{body}\n\n"), width) <= SCREENFUL
}

/// How many lines a text takes on a terminal of a width.
#[must_use]
pub fn lines_taken(text: &str, width: usize) -> usize {
    fitted(text, width.min(USUAL_WIDTH)).lines().count()
}

/// A finding as it is counted: its level in a word, and its check.
pub type Counted<'a> = (&'a str, &'a str);

/// The answer in a line.
#[must_use]
pub fn answer(report: &Report) -> String {
    let totals = &report.totals;
    let unplaced: u32 = report.unplaced.iter().map(|it| it.copies).sum();
    let room = match unplaced {
        0 => String::new(),
        n => format!("; no room for {}", counted(n as usize, "plate")),
    };
    format!(
        "{}: {}, {}, cost {}{room}; {}",
        report.job,
        counted(totals.sheets, "sheet"),
        time(totals.time_s),
        cost(totals),
        levels(&of_report(report))
    )
}

/// The findings of a report, to be counted.
#[must_use]
pub fn of_report(report: &Report) -> Vec<Counted<'_>> {
    let findings = report.plates.iter().flat_map(|it| &it.findings);
    findings
        .map(|it| (it.level.as_str(), it.check.as_str()))
        .collect()
}

/// How many findings of each level: `2 refused, 3 warnings, 1 note`.
#[must_use]
pub fn levels(findings: &[Counted<'_>]) -> String {
    let count = |level: Level| findings.iter().filter(|it| it.0 == level.word()).count();
    let refused = match count(Level::Refuse) {
        0 => "nothing refused".to_owned(),
        n => format!("{n} refused"),
    };
    let rest = [(Level::Warn, "warning"), (Level::Note, "note")];
    let rest = rest.map(|(level, word)| (count(level), word));
    let rest = rest.iter().filter(|it| it.0 > 0);
    let rest = rest.map(|(n, word)| counted(*n, word));
    std::iter::once(refused)
        .chain(rest)
        .collect::<Vec<_>>()
        .join(", ")
}

/// One line a level: how many findings of each check.
#[must_use]
pub fn tally(findings: &[Counted<'_>]) -> Vec<String> {
    let levels = [Level::Refuse, Level::Warn, Level::Note];
    let line = |level: Level| {
        let mut checks: Vec<(&str, usize)> = Vec::new();
        for (_, check) in findings.iter().filter(|it| it.0 == level.word()) {
            match checks.iter_mut().find(|it| it.0 == *check) {
                Some(known) => known.1 += 1,
                None => checks.push((check, 1)),
            }
        }
        let checks: Vec<String> = checks.iter().map(|(it, n)| format!("{n} × {it}")).collect();
        (!checks.is_empty()).then(|| format!("{}: {}", level.word(), checks.join(", ")))
    };
    levels.into_iter().filter_map(line).collect()
}

/// Every plate that carries too little, else the one that is nearest its limit; none where no load is given.
#[must_use]
pub fn governs<'a>(
    plates: impl Iterator<Item = (&'a str, &'a Holding)>,
) -> Vec<(&'a str, &'a Holding)> {
    // The first of its margins is the one nearest its limit.
    let share = |it: &Holding| {
        it.margins
            .first()
            .map_or(f64::INFINITY, |it| it.margin / it.wanted)
    };
    let mut reckoned: Vec<_> = plates.filter(|(_, it)| !it.margins.is_empty()).collect();
    reckoned.sort_by(|a, b| share(a.1).total_cmp(&share(b.1)));
    let is_weak = |it: &Holding| it.margins.iter().any(|it| !it.enough);
    let weak = reckoned.iter().filter(|(_, it)| is_weak(it)).count();
    reckoned.truncate(weak.max(1));
    reckoned
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn findings_are_counted_by_level_and_check() {
        let findings = [
            ("note", "short lead"),
            ("warn", "thin web"),
            ("note", "template"),
            ("note", "short lead"),
        ];
        assert_eq!(levels(&findings), "nothing refused, 1 warning, 3 notes");
        let lines = ["warn: 1 × thin web", "note: 2 × short lead, 1 × template"];
        assert_eq!(tally(&findings), lines);
        assert_eq!(levels(&[]), "nothing refused");
    }
}
