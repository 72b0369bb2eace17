//! Sheets as the page shows them, from the plan that their files are written from.

use super::views::{self, SheetsShown};
use crate::export::{layout_picture, sheet_picture, svg};
use crate::fault::Outcome;
use crate::pipeline::{Planned, Searching};
use crate::report::{brief, words};

/// The figures and pictures of the sheets of a plan.
pub(super) fn shown(planned: &Planned) -> Outcome<String> {
    let report = planned.report();
    let totals = &report.totals;
    let kilograms = |mass: f64| format!("{mass:.2} kg");
    let told = vec![
        ("Sheets", totals.sheets.to_string()),
        ("Use of the sheet", format!("{:.1} %", totals.use_percent)),
        ("Plates", kilograms(totals.plate_mass_kg)),
        ("Sheets weigh", kilograms(totals.sheet_mass_kg)),
        ("Pierces", totals.pierces.to_string()),
        ("Cut length", words::metres(totals.cut_length_mm)),
        ("Time", words::time(totals.time_s)),
        ("Cost", words::cost(totals)),
    ];
    let pictures = planned.sheets.iter();
    let pictures = pictures.map(|it| svg(&sheet_picture(it, &planned.plates, &planned.findings)));
    views::rendered(&SheetsShown {
        answer: brief::answer(&report),
        report: &report,
        totals: told,
        pictures: pictures.collect(),
    })
}

/// The sheets of the best layout so far.
pub(super) fn so_far(searching: &Searching<'_>) -> String {
    let sheets = searching.sheets().into_iter();
    let pictures = sheets.map(|sheet| {
        let plates = sheet.plates.iter();
        let picture = layout_picture(sheet.edge, plates.map(|(plate, pose)| (&plate.face, *pose)));
        format!(
            "<figure class=\"sheet\"><div class=\"pan\">{}</div></figure>\n",
            svg(&picture)
        )
    });
    pictures.collect()
}
