//! How the runs of a sheet begin, where not all of them pierce.

use super::figures::{StartFigures, rounded};
use crate::cut::RunStart;
use crate::quantity::format::{counted, decimal};
use crate::sheet::CutSheet;

/// How a run begins, where it does not pierce.
pub(super) const fn word(start: RunStart) -> Option<&'static str> {
    match start {
        RunStart::Pierce => None,
        RunStart::Drilled(_) => Some("drilled"),
        RunStart::Edge => Some("edge"),
    }
}

impl StartFigures {
    /// Of a sheet, if there is anything to tell.
    pub(super) fn of(sheet: &CutSheet) -> Option<Self> {
        let drilled: Vec<_> = sheet.plan.drilled_starts().collect();
        if let Some((_, drill)) = drilled.first() {
            let places = drilled.iter().map(|(at, _)| [rounded(at.x), rounded(at.y)]);
            let says = format!(
                "Before it is cut, drill {} of {} mm where runs begin: the drawing marks them on CENTRE_MARK.",
                counted(drilled.len(), "hole"),
                decimal(*drill, 2)
            );
            return Some(Self {
                drilled_mm: places.collect(),
                says,
            });
        }
        let paths = &sheet.plan.paths;
        let edge = paths
            .iter()
            .filter(|it| it.1.start == RunStart::Edge)
            .count();
        (edge > 0).then(|| Self {
            drilled_mm: Vec::new(),
            says: format!(
                "Of its runs {edge} begin at an open edge, and {} pierce.",
                sheet.plan.pierced()
            ),
        })
    }
}
