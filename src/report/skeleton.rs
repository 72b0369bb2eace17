//! What is cut in the skeleton of a sheet, in figures and words.

use super::figures::{SkeletonFigures, rounded};
use crate::cut::{ScrapWork, Table};
use crate::quantity::format::{counted, decimal};
use crate::sheet::CutSheet;

impl SkeletonFigures {
    /// What is cut in the skeleton of a sheet, if anything is.
    pub(super) fn of(sheet: &CutSheet, table: &Table) -> Option<Self> {
        let of_work = |work| {
            let cuts = sheet.plan.scrap.iter();
            cuts.filter(|it| it.work == work).count()
        };
        let (cuts, cut_off_runs) = (of_work(ScrapWork::Skeleton), of_work(ScrapWork::CutOff));
        let mut said = Vec::new();
        if let Some(heaviest) = sheet.rest.heaviest() {
            said.push(format!(
                "{} cut the skeleton into {} of {} kg at most.",
                counted(cuts, "run"),
                counted(sheet.rest.pieces.len(), "piece"),
                decimal((heaviest * 10.0).ceil() / 10.0, 1)
            ));
            let too_heavy = table.lift.filter(|lift| heaviest > *lift);
            said.extend(too_heavy.map(|lift| {
                format!(
                    "That is more than the {} kg asked for: pieces would be too narrow.",
                    decimal(lift, 1)
                )
            }));
        }
        match cut_off_runs {
            0 => {}
            1 => said.push("The last run parts what is left from it.".to_owned()),
            runs => said.push(format!("The last {runs} runs part what is left from it.")),
        }
        (!said.is_empty()).then(|| Self {
            cuts,
            pieces_kg: sheet.rest.pieces.iter().map(|it| rounded(*it)).collect(),
            lift_kg: table.lift,
            cut_off_runs,
            says: said.join(" "),
        })
    }
}
