//! What stands near a plate and is no part of it, in pictures: a brake disc, a tube, a chain. Never in what is cut.
//!
//! Lines are thin, a long dash and two dots (ISO 128-2 line 05.1: outlines of adjacent parts; from memory), and end
//! at a box around the plate, so that a large thing does not make the plate small.

use super::picture::{Chain, Dash, Ink, Picture, Stroke, Tag};
use super::scaled::Scaled;
use crate::geometry::{Bounds, Point, Segment};
use crate::plate::Plate;

/// No piece of such a line is farther from what it stands for, mm on paper.
const CHORDS: f64 = 0.02;
/// Lines are cut to the box at points so far apart, mm on paper.
const PACE: f64 = 0.2;

/// The pen that such lines are drawn with, by one that is as thin.
pub(super) const fn pen(thin: Stroke) -> Stroke {
    Stroke {
        ink: Ink::Mark,
        dash: Dash::DashDotDot,
        ..thin
    }
}

/// Draws what is shown beside a plate, as far as it lies in a box; `unit` is a millimetre of the paper.
pub(super) fn draw(
    picture: &mut Picture,
    plate: &Plate,
    scaled: Scaled,
    (within, unit): (Bounds, f64),
    pen: Stroke,
) {
    for shown in &plate.beside.shown {
        let runs = shown.region.contours().flat_map(|contour| {
            let line = scaled.contour(contour);
            runs(&line.segments, within, unit)
        });
        let runs: Vec<Chain> = runs.collect();
        let tag = Tag::new("beside", shown.says.as_str());
        picture.grouped(tag, |picture| {
            for run in runs {
                picture.stroke(run, pen);
            }
        });
    }
}

/// The stretches of a line that lie in a box.
fn runs(line: &[Segment], within: Bounds, unit: f64) -> Vec<Chain> {
    let mut runs: Vec<Vec<Point>> = vec![Vec::new()];
    for segment in line {
        let chords = segment.flattened(CHORDS * unit);
        for pair in chords.windows(2) {
            let steps = (pair[0].distance(pair[1]) / (PACE * unit)).ceil().max(1.0);
            for k in 0..=steps as u32 {
                let p = pair[0].lerp(pair[1], f64::from(k) / steps);
                if within.holds(Bounds::around([p])) {
                    if let Some(run) = runs.last_mut() {
                        run.push(p);
                    }
                } else if runs.last().is_some_and(|it| !it.is_empty()) {
                    runs.push(Vec::new());
                }
            }
        }
    }
    runs.retain(|it| it.len() > 1);
    runs.iter().map(|it| Chain::through(it)).collect()
}
