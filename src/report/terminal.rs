//! The report as a terminal shows it.

use super::brief;
use super::figures::{FindingFigures, HardwareFigures, Holding, PlateFigures, Report, Totals};
use super::rows::Rows;
use super::words::{cost, metres, time};
use crate::plate::FIRST_LOOK;
use crate::quantity::format::{both_units, counted, decimal, millimetres};

/// How much a terminal shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Showing<'a> {
    /// Width of its lines, letters.
    pub width: usize,
    /// Everything, or where the rest is told.
    pub rest: Option<&'a str>,
}

/// The answer, totals, sheets, what governs and how many findings; or all of it, plate by plate. Then the
/// cautions, and the answer again.
#[must_use]
pub fn summary(report: &Report, showing: &Showing) -> String {
    let answer = brief::answer(report);
    let mut parts = vec![format!("{answer}\n"), totals(&report.totals, showing.width)];
    if !report.sheets.is_empty() {
        parts.push(sheets(report, showing));
    }
    for unplaced in &report.unplaced {
        parts.push(format!(
            "no room for {} of {}: add stock",
            unplaced.copies, unplaced.plate
        ));
    }
    let all = whole(report, showing.width);
    let lines: usize = all.iter().map(|it| it.lines().count()).sum();
    match showing.rest {
        Some(rest) if lines > brief::SCREENFUL => {
            parts.extend(brief::tally(&brief::of_report(report)));
            let holding = report.plates.iter().map(|it| (&*it.name, &it.holding));
            parts.extend(governing(brief::governs(holding).into_iter()));
            parts.push(format!("{rest}\n"));
        }
        _ => parts.extend(all),
    }
    parts.push(cautions(report));
    parts.push(String::new());
    parts.push(answer);
    parts.join("\n")
}

/// Plates, bolts, margins and findings.
fn whole(report: &Report, width: usize) -> Vec<String> {
    let mut parts = vec![plates(report, width)];
    parts.extend(report.plates.iter().filter_map(bolts));
    let holding = report.plates.iter();
    parts.extend(governing(holding.map(|it| (&*it.name, &it.holding))));
    let findings = findings(&report.plates);
    if !findings.is_empty() {
        parts.push(findings);
    }
    parts
}

/// What the checks say, plate by plate; empty if they say nothing.
#[must_use]
pub fn findings(plates: &[PlateFigures]) -> String {
    let mut lines = Vec::new();
    for plate in plates {
        for finding in &plate.findings {
            let FindingFigures {
                level,
                check,
                message,
                ..
            } = finding;
            lines.push(finding_line(level, &plate.name, check, message));
            if !finding.remedy.is_empty() {
                lines.push(format!("    {}", finding.remedy));
            }
        }
    }
    if !lines.is_empty() {
        lines.push(String::new());
    }
    lines.join("\n")
}

/// A finding in a line, without its remedy.
#[must_use]
pub fn finding_line(level: &str, plate: &str, check: &str, message: &str) -> String {
    format!("{level}: {plate} [{check}] {message}")
}

/// The cautions, one a line.
#[must_use]
pub fn cautions(report: &Report) -> String {
    let lines = report
        .cautions
        .iter()
        .map(|it| format!("caution, {}: {}", it.topic, it.text));
    lines.collect::<Vec<_>>().join("\n")
}

fn totals(totals: &Totals, width: usize) -> String {
    let mut table = Rows::default();
    let rows = [
        ("sheets", totals.sheets.to_string()),
        ("use", format!("{:.1} %", totals.use_percent)),
        (
            "mass",
            format!(
                "{:.2} kg of plates from {:.2} kg of sheet ({:.2} kg remnant)",
                totals.plate_mass_kg, totals.sheet_mass_kg, totals.remnant_mass_kg
            ),
        ),
        ("pierces", totals.pierces.to_string()),
        ("cut length", metres(totals.cut_length_mm)),
        ("rapids", metres(totals.rapid_length_mm)),
        ("order", totals.order.says.clone()),
        ("time", time(totals.time_s)),
        ("cost", cost(totals)),
    ];
    for (name, value) in rows {
        table.add([name.to_owned(), value]);
    }
    format!("{}\n", table.text(width))
}

fn sheets(report: &Report, showing: &Showing) -> String {
    /// More sheets than these are more than a screenful.
    const MOST: usize = 12;
    let mut table = Rows::under(&[
        "sheet",
        "size",
        "used length",
        "use",
        "pierces",
        "cut",
        "time",
    ]);
    let most = showing.rest.map_or(usize::MAX, |_| MOST);
    for sheet in report.sheets.iter().take(most) {
        table.add([
            sheet.name.clone(),
            format!(
                "{} × {}",
                millimetres(sheet.length_mm),
                millimetres(sheet.width_mm)
            ),
            both_units(sheet.used_length_mm),
            format!("{:.1} %", sheet.use_percent),
            sheet.pierces.to_string(),
            metres(sheet.cut_length_mm),
            time(sheet.time_s),
        ]);
    }
    let more = match report.sheets.len().saturating_sub(most) {
        0 => String::new(),
        n => format!("and {}\n", counted(n, "sheet more")),
    };
    format!("{}\n{more}", table.text(showing.width))
}

fn plates(report: &Report, width: usize) -> String {
    let header = [
        "plate", "off", "material", "size", "mass", "pierces", "drill",
    ];
    let mut table = Rows::under(&header).right(&[1, 4, 5, 6]);
    for plate in &report.plates {
        table.add([
            plate.name.clone(),
            plate.quantity.to_string(),
            format!("{} {}", plate.material, millimetres(plate.thickness_mm)),
            format!(
                "{} × {} mm",
                decimal(plate.width_mm, 1),
                decimal(plate.height_mm, 1)
            ),
            format!("{:.3} kg", plate.mass_kg),
            plate.pierces.to_string(),
            match plate.drill_list.len() {
                0 => String::new(),
                holes => holes.to_string(),
            },
        ]);
    }
    format!("{}\n", table.text(width))
}

/// What is nearest its limit in each plate, one a line; `None` if no family says anything.
#[must_use]
pub fn governing<'a>(plates: impl Iterator<Item = (&'a str, &'a Holding)>) -> Option<String> {
    let line =
        |(name, it): (&str, &Holding)| Some(format!("  {name}: {}\n", it.governing.as_ref()?));
    let lines: String = plates.filter_map(line).collect();
    (!lines.is_empty()).then(|| format!("will it hold: {FIRST_LOOK}\n{lines}"))
}

/// Every way a plate may fail, the one nearest its limit first; `None` if its family says nothing.
#[must_use]
pub fn ways_to_fail(name: &str, holding: &Holding) -> Option<String> {
    holding.governing.as_ref()?;
    let margins = holding.margins.iter().map(|it| {
        let verdict = match (it.enough, it.typical) {
            (false, _) => ": too little",
            (true, true) => ": by a usual strength, which no standard guarantees",
            (true, false) => "",
        };
        let reckoned = [("asked", &it.load_reckoned), ("carries", &it.carries_reckoned)];
        let reckoned = reckoned.iter().filter(|(_, numbers)| !numbers.is_empty());
        let reckoned = reckoned.map(|(what, numbers)| format!("      {what}: {numbers}\n"));
        let steps = it.steps.iter().map(|step| format!("        {step}\n"));
        let reckoned = reckoned.chain(steps);
        let remedy = if it.remedy.is_empty() {
            String::new()
        } else {
            format!("      {}\n", it.remedy)
        };
        format!(
            "  {}: carries {}, asked {}, margin {:.2} ({:.2} wanted){verdict}\n      {}; {}\n{}{remedy}",
            it.says,
            it.carries,
            it.load,
            it.margin,
            it.wanted,
            it.formula,
            it.source,
            reckoned.collect::<String>(),
        )
    });
    let not_checked = holding.not_checked.iter().map(|it| {
        let why = it
            .why
            .as_ref()
            .map_or_else(String::new, |why| format!(" ({why})"));
        format!("  {}: not checked{why}: {}\n", it.says, it.look)
    });
    let ways: String = margins.chain(not_checked).collect();
    Some(format!("will it hold, {name}: {FIRST_LOOK}\n{ways}"))
}

/// The bolts of a plate; `None` if it has none.
fn bolts(plate: &PlateFigures) -> Option<String> {
    if plate.hardware.is_empty() {
        return None;
    }
    let lines = plate.hardware.iter().map(|it| {
        let length = it.length_mm.map_or_else(String::new, |length| {
            format!(", {} {}", both_units(length), it.length_is)
        });
        format!(
            "bolts, {}: {} × {} {} for {}, grip {}{length}{}\n",
            plate.name,
            it.count,
            it.thread,
            it.class,
            it.says,
            both_units(it.grip_mm),
            tightened(it),
        )
    });
    Some(lines.collect())
}

/// With what and how hard bolts are tightened.
pub(super) fn tightened(bolts: &HardwareFigures) -> String {
    let nut = bolts.nut.as_ref().map(|nut| format!("; {nut}"));
    let washers = format!("; {}", counted(bolts.washers as usize, "washer"));
    let torque = bolts.torque_nm.map(|torque| {
        format!(
            "; tighten to {} N.m (factor {}, as bought, not oiled)",
            decimal(torque, usize::from(torque < 10.0)),
            bolts.torque_factor
        )
    });
    [nut, Some(washers), torque].into_iter().flatten().collect()
}
