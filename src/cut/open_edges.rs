//! Outsides of thick plate started from an open edge instead of a pierce.
//!
//! In: the runs of a sheet in their order, where its plates lie, and its edge. Out: the same runs, those of outsides
//! begun at the edge of the sheet or in the slot around a plate that is cut by then, with a straight cut from there to
//! where they would be pierced; the shortest such cut that keeps half a kerf off every finished edge. A run that
//! finds none, and every opening, is pierced.

use super::edges::Edges;
use super::path::{CutPath, Placed, PreparedPlate, Reach, RunStart, SheetLimits};
use super::settings::{CutOff, CutSettings, StartFrom, Table};
use crate::geometry::{Contour, Point, Region, Segment};

/// A straight cut to a start may be this long, mm. Common practice, no source: longer ones cost more than a pierce.
const LONGEST: f64 = 150.0;

/// So far within the edge of the sheet a run begins, as a share of the kerf: the torch's arc is at the edge then.
const WITHIN: f64 = 0.25;

/// Begins the runs of outsides at open edges where the settings ask for it.
pub(super) fn begin_there(
    paths: &mut [(usize, CutPath)],
    placed: &[Placed],
    prepared: &[&PreparedPlate],
    ground: &SheetLimits<'_>,
    (settings, table): (&CutSettings, &Table),
) {
    if settings.start != StartFrom::Edge {
        return;
    }
    let edges = placed.iter().enumerate().flat_map(|(placement, spot)| {
        let contours = prepared[spot.plate].contours();
        contours.filter_map(move |runs| {
            let contour = &runs.last()?.nominal;
            Some((placement, contour.posed(&spot.pose)))
        })
    });
    let edges: Vec<(usize, Contour)> = edges.collect();
    let edges = Edges::owned(edges.iter().map(|(placement, edge)| (*placement, edge)));
    // Along an outline what is kept reaches down between plates: a cut in from the edge of the sheet would mar it.
    let rim = (table.cut_off != CutOff::Outline).then_some(ground.metal);
    // The outsides that are cut, each with a slot around it.
    let mut cut: Vec<Contour> = Vec::new();
    for (placement, path) in paths.iter_mut() {
        if path.opening.is_some() || placed[*placement].inside.is_some() {
            continue;
        }
        if path.reach == Reach::Whole {
            let pierce = path.pierce();
            let in_slots = cut.iter().filter_map(|edge| {
                let nearest = edge.gap_to_point(pierce).from;
                towards(nearest, pierce, settings.kerf)
            });
            let at_rim = rim
                .into_iter()
                .flat_map(Region::contours)
                .filter_map(|edge| {
                    let nearest = edge.gap_to_point(pierce).from;
                    towards(nearest, pierce, WITHIN * settings.kerf)
                });
            let from = at_rim.chain(in_slots);
            let clear = |from: &Point| {
                let way = Segment::Line {
                    start: *from,
                    end: pierce,
                };
                way.length() <= LONGEST && edges.are_whole_beside(&way, settings.kerf)
            };
            let shortest = from.filter(clear).min_by(|a, b| {
                let length = |it: &Point| it.distance(pierce);
                length(a).total_cmp(&length(b))
            });
            if let Some(from) = shortest {
                path.begin_at(from);
            }
        }
        cut.push(path.nominal.clone());
    }
}

/// The place so far from one place towards another; `None` if that is not as far.
fn towards(from: Point, to: Point, by: f64) -> Option<Point> {
    let way = to - from;
    (way.length() > by).then(|| way.unit().map(|it| from + it * by))?
}

impl CutPath {
    /// With a straight cut from an open edge to where it was pierced.
    fn begin_at(&mut self, from: Point) {
        let start = self.pierce();
        self.segments.insert(
            0,
            Segment::Line {
                start: from,
                end: start,
            },
        );
        self.lead_in += 1;
        for it in &mut self.loops {
            it.first += 1;
        }
        self.start = RunStart::Edge;
    }
}
