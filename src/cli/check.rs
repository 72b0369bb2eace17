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
use crate::report::{holding, terminal};
use crate::trade::cautions::{Made, applying};

/// The exit code of a part that a check refuses.
const REFUSED: u8 = 1;

pub(super) fn run(options: &CheckArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let shelf = job::shelf(shelf)?;
    let drawn = pipeline::draw(&job::job(&options.input, &shelf)?, &shelf)?;
    screen.result(
        || json!({ "schema": 1, "plates": objects(&drawn, Made::Words) }),
        || text(&drawn, Made::Words, options.margins),
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

/// The findings, what is nearest its limit or all ways to fail, and the cautions as text.
pub(super) fn text(drawn: &Drawn, made: Made, all_margins: bool) -> String {
    let mut lines = Vec::new();
    for (plate, findings) in drawn.plates.iter().zip(&drawn.findings) {
        if findings.is_empty() {
            lines.push(format!("{}: nothing to say", plate.name));
        }
        for finding in findings {
            let Finding {
                check,
                message,
                remedy,
                source,
                ..
            } = finding;
            lines.push(format!(
                "{}: {} [{check}] {message}",
                finding.level.word(),
                plate.name
            ));
            let source = if source.is_empty() {
                String::new()
            } else {
                format!(" ({source})")
            };
            lines.push(format!("    {remedy}{source}"));
        }
    }
    let holding: Vec<_> = drawn.plates.iter().map(holding::holding).collect();
    let named = drawn.plates.iter().map(|it| &*it.name).zip(&holding);
    if all_margins {
        lines.extend(named.filter_map(|(name, it)| terminal::ways_to_fail(name, it)));
    } else {
        lines.extend(terminal::governing(named));
    }
    let topics = drawn.plates.iter().flat_map(Plate::topics);
    lines.extend(cautions::lines(&applying(topics, &[made])));
    lines.join("\n")
}
