//! `check`: what the rules and checks say; nothing is written.

use serde_json::{Value, json};

use super::args::{CheckArgs, ShelfArgs};
use super::cautions;
use super::job;
use super::screen::Screen;
use crate::fault::Outcome;
use crate::finding::{Finding, Level};
use crate::pipeline::{self, Drawn};
use crate::plate::Plate;
use crate::quantity::format::counted;
use crate::report::brief::{self, Counted};
use crate::report::{holding, terminal};
use crate::trade::cautions::{Made, applying};

/// The exit code of a part that a check refuses.
const REFUSED: u8 = 1;

pub(super) fn run(options: &CheckArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let shelf = job::shelf(shelf)?;
    let drawn = pipeline::draw(&job::job(&options.input, &shelf)?, &shelf)?;
    screen.result(
        || json!({ "schema": 1, "plates": objects(&drawn, Made::Words) }),
        || {
            let rest = "`--all` tells every finding, `--margins` every way that a plate may fail";
            let rest = (!options.all && !options.margins).then_some(rest);
            text(&drawn, Made::Words, options.margins, rest)
        },
    )?;
    Ok(code(&drawn))
}

/// 1 if a check refuses any plate.
pub(super) fn code(drawn: &Drawn) -> u8 {
    let refused = |finding: &Finding| finding.level == Level::Refuse;
    if drawn.findings.iter().flatten().any(refused) {
        REFUSED
    } else {
        0
    }
}

/// Each plate with its findings and cautions, for `--json`.
pub(super) fn objects(drawn: &Drawn, made: Made) -> Vec<Value> {
    let pairs = drawn.plates.iter().zip(&drawn.findings);
    pairs
        .map(|(plate, findings)| {
            let size = plate.face.outside.bounds();
            let datum = plate.datum();
            let findings = findings.iter().map(|finding| {
                let at = finding.at.map(|at| datum.place(at));
                json!({
                    "check": finding.check, "level": finding.level.word(),
                    "message": finding.message, "remedy": finding.remedy,
                    "source": finding.source,
                    "x_mm": at.map(|at| at.x), "y_mm": at.map(|at| at.y),
                })
            });
            let holding = holding::holding(plate);
            json!({
                "name": plate.name, "quantity": plate.quantity, "material": plate.material,
                "thickness_mm": plate.thickness, "width_mm": size.width(), "height_mm": size.height(),
                "net_area_mm2": plate.net_area(), "datum": datum.says, "openings": plate.openings.len(),
                "findings": findings.collect::<Vec<_>>(),
                "governing": holding.governing, "margins": holding.margins,
                "not_checked": holding.not_checked, "hardware": holding::hardware(plate),
                "cautions": cautions::objects(&applying(plate.topics(), &[made])),
            })
        })
        .collect()
}

/// What it comes to, the findings and what is nearest its limit or all ways to fail; or, where they are more
/// than a screenful, what governs and how many there are; then the cautions, and what it comes to again.
/// `rest` says where all is told.
pub(super) fn text(drawn: &Drawn, made: Made, all_margins: bool, rest: Option<&str>) -> String {
    let answer = answer(drawn);
    let mut lines = vec![answer.clone(), String::new()];
    let all = whole(drawn, all_margins);
    match rest {
        Some(rest) if all.iter().map(|it| it.lines().count()).sum::<usize>() > brief::SCREENFUL => {
            lines.extend(in_short(drawn));
            lines.push(rest.to_owned());
        }
        _ => lines.extend(all),
    }
    lines.push(String::new());
    let topics = drawn.plates.iter().flat_map(Plate::topics);
    lines.extend(cautions::lines(&applying(topics, &[made])));
    lines.extend([String::new(), answer]);
    lines.join("\n")
}

fn counted_findings(drawn: &Drawn) -> Vec<Counted<'_>> {
    let all = drawn.findings.iter().flatten();
    all.map(|it| (it.level.word(), it.check.as_str())).collect()
}

/// `4 plates: nothing refused, 1 warning`.
fn answer(drawn: &Drawn) -> String {
    let what = match drawn.plates.as_slice() {
        [one] => one.name.clone(),
        several => counted(several.len(), "plate"),
    };
    format!("{what}: {}", brief::levels(&counted_findings(drawn)))
}

/// Every finding of a plate, and what is nearest its limit or all ways to fail.
fn whole(drawn: &Drawn, all_margins: bool) -> Vec<String> {
    let mut lines = Vec::new();
    for (plate, findings) in drawn.plates.iter().zip(&drawn.findings) {
        if findings.is_empty() {
            lines.push(format!("{}: nothing to say", plate.name));
        }
        let told = findings.iter().flat_map(|it| told(plate, it));
        lines.extend(told);
    }
    let holding: Vec<_> = drawn.plates.iter().map(holding::holding).collect();
    let named = drawn.plates.iter().map(|it| &*it.name).zip(&holding);
    if all_margins {
        lines.extend(named.filter_map(|(name, it)| terminal::ways_to_fail(name, it)));
    } else {
        lines.extend(terminal::governing(named));
    }
    lines
}

/// What is refused, the first warnings, how many of each, and what governs.
fn in_short(drawn: &Drawn) -> Vec<String> {
    /// So many warnings are told in full.
    const WARNINGS: usize = 4;
    let pairs = || {
        let plates = drawn.plates.iter().zip(&drawn.findings);
        plates.flat_map(|(plate, them)| them.iter().map(move |it| (plate, it)))
    };
    let refused = pairs().filter(|(_, it)| it.level == Level::Refuse);
    let warned = pairs().filter(|(_, it)| it.level == Level::Warn);
    let graver = refused.chain(warned.take(WARNINGS));
    let mut lines: Vec<String> = graver.flat_map(|(plate, it)| told(plate, it)).collect();
    lines.push(String::new());
    lines.extend(brief::tally(&counted_findings(drawn)));
    let holding: Vec<_> = drawn.plates.iter().map(holding::holding).collect();
    let named = drawn.plates.iter().map(|it| &*it.name).zip(&holding);
    lines.extend(terminal::governing(brief::governs(named).into_iter()));
    lines
}

fn told(plate: &Plate, finding: &Finding) -> [String; 2] {
    let source = if finding.source.is_empty() {
        String::new()
    } else {
        format!(" ({})", finding.source)
    };
    let (level, check) = (finding.level.word(), &finding.check);
    [
        terminal::finding_line(level, &plate.name, check, &finding.message),
        format!("    {}{source}", finding.remedy),
    ]
}
