//! `check`: what the rules and checks say; nothing is written.

use std::cmp::Reverse;

use serde_json::{Value, json};

use super::args::{CheckArgs, ShelfArgs};
use super::cautions;
use super::job;
use super::screen::Screen;
use crate::check::WILL_IT_HOLD;
use crate::fault::Outcome;
use crate::finding::{Finding, Level};
use crate::pipeline::{self, Drawn};
use crate::plate::{Plate, Scribing};
use crate::quantity::format::counted;
use crate::report::brief::{self, Counted};
use crate::report::figures::JointFigures;
use crate::report::holding;
use crate::report::terminal::{self, Showing};
use crate::trade::cautions::{Made, applying};

/// The exit code of a part that a check refuses.
const REFUSED: u8 = 1;

pub(super) fn run(options: &CheckArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let shelf = job::shelf(shelf)?;
    let drawn = pipeline::draw(&job::job(&options.input, &shelf)?, &shelf)?;
    let drawn = drawn.scribed(Scribing::On);
    screen.result(
        || object(&drawn),
        || {
            let rest = "`--all` tells every finding, and the cautions in full; `--margins` every way that a plate may fail";
            let rest = (!options.all && !options.margins).then_some(rest);
            let showing = Showing { width: screen.width(), rest };
            text(&drawn, Made::Words, options.margins, &showing)
        },
    )?;
    Ok(code(&drawn))
}

fn object(drawn: &Drawn) -> Value {
    let mut object = json!({ "schema": 1, "plates": objects(drawn, Made::Words) });
    if !drawn.joints.is_empty() {
        object["joints"] = json!(joints(drawn));
    }
    object
}

/// The joints of the job as the report has them.
fn joints(drawn: &Drawn) -> Vec<JointFigures> {
    drawn.joints.iter().map(holding::joint).collect()
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
/// than a screenful, the gravest, how many there are and what governs; then the cautions, and what it comes to
/// again.
pub(super) fn text(drawn: &Drawn, made: Made, all_margins: bool, showing: &Showing) -> String {
    let answer = answer(drawn);
    let all = whole(drawn, all_margins).join("\n");
    let body = match showing.rest {
        Some(rest) => {
            let whole = format!("{all}\n{rest}");
            if brief::is_screenful(&answer, &whole, showing.width) {
                whole
            } else {
                format!("{}\n{rest}", in_short(drawn, showing.width))
            }
        }
        None => all,
    };
    let topics = drawn.plates.iter().flat_map(Plate::topics);
    let cautions = terminal::cautions(&applying(topics, &[made]), showing);
    format!("{answer}\n\n{body}\n\n{cautions}\n\n{answer}")
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
    if !drawn.joints.is_empty() {
        lines.push(terminal::joints(&joints(drawn)));
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

/// What is refused and the warnings as far as there is room, how many of each, and what governs.
fn in_short(drawn: &Drawn, width: usize) -> String {
    /// Lines for joints and for findings in full.
    const ROOM: usize = 10;
    let plates = drawn.plates.iter().zip(&drawn.findings);
    let pairs = plates.flat_map(|(plate, them)| them.iter().map(move |it| (plate, it)));
    let mut graver: Vec<_> = pairs.filter(|(_, it)| it.level > Level::Note).collect();
    // Last those that what governs tells of too.
    graver.sort_by_key(|(_, it)| (Reverse(it.level), it.check == WILL_IT_HOLD));
    let graver = graver
        .into_iter()
        .map(|(plate, it)| told(plate, it).join("\n"));
    let graver: Vec<String> = graver.collect();
    let joints = terminal::joints_in_short(&joints(drawn));
    let room = ROOM.saturating_sub(brief::lines_taken(&joints.join("\n"), width));
    let mut lines: Vec<String> = Vec::new();
    for finding in &graver {
        let with_it = [&lines[..], std::slice::from_ref(finding)]
            .concat()
            .join("\n");
        if !lines.is_empty() && brief::lines_taken(&with_it, width) > room {
            break;
        }
        lines.push(finding.clone());
    }
    match graver.len() - lines.len() {
        0 => {}
        n => lines.push(format!("and {n} more")),
    }
    if !lines.is_empty() {
        lines.push(String::new());
    }
    lines.extend(joints);
    lines.extend(brief::tally(&counted_findings(drawn)));
    let holding: Vec<_> = drawn.plates.iter().map(holding::holding).collect();
    let named = drawn.plates.iter().map(|it| &*it.name).zip(&holding);
    lines.extend(terminal::governing_in_short(named));
    lines.join("\n")
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
