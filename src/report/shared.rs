//! What cutting edges once for two plates saves, in figures and words.

use super::figures::{SharedCutFigures, rounded};
use super::words::metres;
use crate::cut::{Reach, RunStart};
use crate::geometry::Segment;
use crate::sheet::{CutPlate, CutSheet};

/// Sides of a rectangle.
const SIDES: usize = 4;

impl SharedCutFigures {
    /// Of one sheet or several, if any edge is cut for two plates.
    pub(super) fn of(sheets: &[CutSheet], plates: &[CutPlate]) -> Option<Self> {
        let (mut edges, mut starts, mut length) = (0, 0, 0.0);
        for sheet in sheets {
            let paths = sheet.plan.paths.iter();
            for (placement, path) in paths.filter(|it| it.1.reach == Reach::BesideCut) {
                let around = path.around();
                let lines = around
                    .iter()
                    .filter(|it| matches!(it, Segment::Line { .. }));
                edges += SIDES - lines.count();
                starts += usize::from(path.start == RunStart::Edge);
                let piece = sheet.placements[*placement].piece;
                let whole = plates[piece].prepared.paths.last();
                length += whole.map_or(0.0, |whole| whole.length() - path.length());
            }
        }
        (edges > 0).then(|| Self {
            edges,
            pierces_saved: starts,
            length_saved_mm: rounded(length),
            says: format!(
                "{} cut once for two plates, so that {} in the slot of another instead of with a pierce, and {} of cut \
                 is saved.",
                match edges {
                    1 => "1 edge is".to_owned(),
                    _ => format!("{edges} edges are"),
                },
                match starts {
                    1 => "1 run begins".to_owned(),
                    _ => format!("{starts} runs begin"),
                },
                metres(length)
            ),
        })
    }
}
