//! The report as a terminal shows it.

use super::brief;
use super::figures::{
    FindingFigures, HardwareFigures, Holding, JointFigures, PlateFigures, Report, SheetFigures,
    Totals,
};
use super::rows::Rows;
use super::words::{cost, metres, time};
use crate::plate::FIRST_LOOK;
use crate::quantity::format::{both_units, counted, decimal, millimetres, tenth};
use crate::trade::cautions::Caution;

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
    let body = match showing.rest {
        Some(rest) => short(report, &answer, showing.width, rest),
        None => long(report, showing.width),
    };
    let cautions = cautions(&report.cautions, showing);
    format!("{answer}\n\n{body}\n{cautions}\n\n{answer}")
}

/// Totals, sheets, what has no room, and every plate, bolt and finding.
fn long(report: &Report, width: usize) -> String {
    let mut parts = vec![totals(&report.totals, width)];
    if !report.sheets.is_empty() {
        parts.push(sheets(report, width));
    }
    parts.extend(without_room(report));
    parts.extend(details(report, width));
    parts.join("\n")
}

/// Totals and sheets in a few lines, what has no room, and as much of the rest as a screen takes: all of it, or
/// how many findings there are of each kind, and what governs. Where plates lie in a corner is told if there is room; how
/// long a strip is stands with the sheets.
fn short(report: &Report, answer: &str, width: usize, rest: &str) -> String {
    let body = short_with(report, &corners(report), answer, width, rest);
    if brief::is_screenful(answer, body.trim_end(), width) {
        return body;
    }
    short_with(report, "", answer, width, rest)
}

/// The same with these lines after the sheets.
fn short_with(report: &Report, corners: &str, answer: &str, width: usize, rest: &str) -> String {
    let mut parts = vec![few_totals(&report.totals, width)];
    if !report.sheets.is_empty() {
        parts.push(few_sheets(report, width) + corners);
    }
    parts.extend(without_room(report));
    let all = [&parts[..], &details(report, width)].concat().join("\n");
    let whole = format!("{all}\n{rest}");
    if brief::is_screenful(answer, &whole, width) {
        return whole + "\n";
    }
    parts.extend(joints_in_short(&report.joints));
    parts.extend(brief::tally(&brief::of_report(report)));
    let holding = report.plates.iter().map(|it| (&*it.name, &it.holding));
    parts.extend(governing_in_short(holding));
    parts.push(format!("{rest}\n"));
    parts.join("\n")
}

/// How many of each plate have no room, a line each.
fn without_room(report: &Report) -> impl Iterator<Item = String> + '_ {
    report
        .unplaced
        .iter()
        .map(|it| format!("no room for {} of {}: add stock", it.copies, it.plate))
}

/// Plates, bolts, margins and findings.
fn details(report: &Report, width: usize) -> Vec<String> {
    let mut parts = vec![plates(report, width)];
    parts.extend((!report.joints.is_empty()).then(|| joints(&report.joints)));
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

/// The cautions: each in full if all is shown, else the gist of each in a line.
#[must_use]
pub fn cautions(cautions: &[Caution], showing: &Showing) -> String {
    let line = match showing.rest {
        Some(_) => Caution::short_line,
        None => Caution::line,
    };
    cautions.iter().map(line).collect::<Vec<_>>().join("\n")
}

/// Totals that are not in the answer.
fn few_totals(totals: &Totals, width: usize) -> String {
    let mut table = Rows::default();
    let rows = [
        ("use", format!("{:.1} %", totals.use_percent)),
        ("mass", masses(totals)),
        (
            "cutting",
            format!(
                "{}, cut length {}, rapids {}",
                counted(totals.pierces, "pierce"),
                metres(totals.cut_length_mm),
                metres(totals.rapid_length_mm)
            ),
        ),
    ];
    let shared = totals.shared_cuts.iter();
    let shared = shared.map(|it| ("shared cuts", it.says.clone()));
    for (name, value) in rows.into_iter().chain(shared) {
        table.add([name.to_owned(), value]);
    }
    format!("{}\n", table.text(width))
}

fn masses(totals: &Totals) -> String {
    format!(
        "{:.2} kg of plates from {:.2} kg of sheet ({:.2} kg remnant)",
        totals.plate_mass_kg, totals.sheet_mass_kg, totals.remnant_mass_kg
    )
}

/// The first sheets, each in a line if there is room.
fn few_sheets(report: &Report, width: usize) -> String {
    /// More sheets than these leave no room for the rest.
    const MOST: usize = 5;
    let mut table = Rows::under(&["sheet", "size", "used", "use", "cut", "time"]);
    let (first, more) = report.sheets.split_at(report.sheets.len().min(MOST));
    let cells = |it: &SheetFigures| {
        [
            it.name.clone(),
            format!(
                "{} × {}",
                decimal(it.length_mm, 1),
                millimetres(tenth(it.width_mm))
            ),
            millimetres(tenth(it.used_length_mm)),
            format!("{:.1} %", it.use_percent),
            metres(it.cut_length_mm),
            time(it.time_s),
        ]
    };
    for sheet in first {
        table.add(cells(sheet));
    }
    let mut text = table.text(width);
    if brief::lines_taken(&text, width) > first.len() + 1 {
        let lines = first.iter().map(|it| {
            let [name, size, used, share, cut, time] = cells(it);
            format!("{name}: {size}, {used} used, use {share}, cut {cut}, {time}\n")
        });
        text = lines.collect();
    }
    let text = text.trim_end();
    match more.len() {
        0 => format!("{text}\n"),
        n => {
            let seconds = more.iter().map(|it| it.time_s).sum();
            format!(
                "{text}\nand {}: {}\n",
                counted(n, "more sheet"),
                time(seconds)
            )
        }
    }
}

/// What is used of each sheet, and what is left, a line each.
fn left(report: &Report) -> String {
    let line = |it: &SheetFigures| {
        let left = it.remnant.says.as_ref()?;
        Some(format!("{}: used {}, left {left}\n", it.name, it.used))
    };
    report.sheets.iter().filter_map(line).collect()
}

/// Which plates lie in a corner, and how much that leaves, a line each.
fn corners(report: &Report) -> String {
    let corners = report.sheets.iter().filter(|it| it.corner_mm.is_some());
    let line = |it: &SheetFigures| {
        let area = decimal(it.remnant.area_mm2 / 1e6, 3);
        format!("{}: used {}, left {area} m²\n", it.name, it.used)
    };
    corners.map(line).collect()
}

fn totals(totals: &Totals, width: usize) -> String {
    let mut table = Rows::default();
    let rows = [
        ("sheets", totals.sheets.to_string()),
        ("use", format!("{:.1} %", totals.use_percent)),
        ("mass", masses(totals)),
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

fn sheets(report: &Report, width: usize) -> String {
    let mut table = Rows::under(&[
        "sheet",
        "size",
        "used length",
        "use",
        "pierces",
        "cut",
        "time",
    ]);
    for sheet in &report.sheets {
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
    format!("{}\n{}", table.text(width), left(report))
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

/// The plates that carry too little, else the one nearest its limit; of many the weakest.
#[must_use]
pub fn governing_in_short<'a>(
    plates: impl Iterator<Item = (&'a str, &'a Holding)>,
) -> Option<String> {
    /// More plates than these leave no room for the rest.
    const MOST: usize = 3;
    let plates = brief::governs(plates);
    let more = plates.len().saturating_sub(MOST);
    let mut text = governing(plates.into_iter().take(MOST))?;
    match more {
        0 => {}
        1 => text += "  and 1 more plate is too weak\n",
        n => text += &format!("  and {n} more plates are too weak\n"),
    }
    Some(text)
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

/// The joints of a job, one a line.
#[must_use]
pub fn joints(joints: &[JointFigures]) -> String {
    let lines = joints.iter().map(|it| {
        let through = it.through.join(" + ");
        format!(
            "joint, {}: {}; {}\n",
            it.name,
            bought(&it.bolts, &format!("through {through}")),
            it.fit
        )
    });
    lines.collect()
}

/// The same in a few words each.
pub fn joints_in_short(joints: &[JointFigures]) -> Vec<String> {
    /// More joints than these leave no room for the rest.
    const MOST: usize = 3;
    let line = |it: &JointFigures| {
        let bolts = &it.bolts;
        let length = bolts.length.as_ref().map(|it| format!(" × {it}"));
        format!(
            "joint, {}: {} × {}{}; {}",
            it.name,
            bolts.count,
            bolts.thread,
            length.unwrap_or_default(),
            it.fit
        )
    };
    // Of many, those that leave nothing to chance are counted.
    let is_sure = |it: &JointFigures| it.worst_spare_mm.is_none_or(|spare| spare >= 0.0);
    let sure = match joints.len() {
        0..=MOST => 0,
        _ => joints.iter().filter(|it| is_sure(it)).count(),
    };
    let counted_ones = match sure {
        0 => None,
        n if n == joints.len() => Some(format!("joints: all {n} go together even at the worst")),
        n => Some(format!(
            "joints: {n} of {} go together even at the worst",
            joints.len()
        )),
    };
    let told: Vec<&JointFigures> = joints
        .iter()
        .filter(|it| sure == 0 || !is_sure(it))
        .collect();
    let mut lines: Vec<String> = counted_ones.into_iter().collect();
    lines.extend(told.iter().take(MOST).map(|it| line(it)));
    match told.len().saturating_sub(MOST) {
        0 => {}
        n => lines.push(format!("and {}", counted(n, "more joint"))),
    }
    lines
}

/// The bolts of a plate; `None` if it has none.
fn bolts(plate: &PlateFigures) -> Option<String> {
    if plate.hardware.is_empty() {
        return None;
    }
    let lines = plate.hardware.iter().map(|it| {
        let what_for = format!("for {}", it.says);
        format!("bolts, {}: {}\n", plate.name, bought(it, &what_for))
    });
    Some(lines.collect())
}

/// Bolts to get, and how hard they are tightened.
fn bought(it: &HardwareFigures, what_for: &str) -> String {
    let length = it
        .length
        .as_ref()
        .map_or_else(String::new, |length| format!(", {length} {}", it.length_is));
    format!(
        "{} × {} {} {what_for}, grip {}{length}{}",
        it.count,
        it.thread,
        it.class,
        both_units(it.grip_mm),
        tightened(it),
    )
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
