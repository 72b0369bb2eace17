//! Corners of outsides in thick plate: the torch runs on past one, turns in the scrap and comes back, so that its
//! arc, which trails at the lower side of a thick plate, does not cut the corner off; and the feed near corners.
//!
//! In: a run along a kerf path, and what the settings ask. Out: the same run with a loop at each sharp corner that
//! stands out and has room for it ([`CornerLoop`]); and its pieces each with its feed ([`paced`]).

use super::edges::Edges;
use super::path::{CornerLoop, CutPath};
use super::settings::CutSettings;
use crate::elementary;
use crate::geometry::{Segment, Tolerance};

/// A corner that turns by less than this, radians, 60 degrees, gets no loop: it would be large and gain little.
/// Common practice, no source.
const SHARP: f64 = std::f64::consts::FRAC_PI_3;

/// One that turns by more, radians, 150 degrees, gets none either: its two ways would lie side by side.
const NEEDLE: f64 = 5.0 / 6.0 * std::f64::consts::PI;

/// A bend between two pieces of less than this, radians, is run without slowing down.
const SMOOTH: f64 = 0.1;

/// Pieces shorter than this, mm, are not parted further.
const SHORTEST: f64 = 1e-3;

/// A run along an outside with loops at its corners; they are told by where they begin in it.
pub(super) fn with_loops(
    around: Vec<Segment>,
    finished: &Edges,
    settings: &CutSettings,
) -> (Vec<Segment>, Vec<CornerLoop>) {
    let Some(past) = settings.corner_loop else {
        return (around, Vec::new());
    };
    let mut run = Vec::with_capacity(around.len());
    let mut loops = Vec::new();
    for piece in around {
        let turned = corner_loop(&piece, past, settings.kerf);
        let fits = |it: &[Segment; 3]| {
            it.iter()
                .all(|s| finished.are_whole_beside(s, settings.kerf))
        };
        match turned.filter(fits) {
            Some(turned) => {
                loops.push(CornerLoop {
                    first: run.len(),
                    corner: piece,
                });
                run.extend(turned);
            }
            None => run.push(piece),
        }
    }
    (run, loops)
}

/// On past a sharp corner, round in the scrap and back onto the next edge; `None` if a piece is no such corner.
fn corner_loop(piece: &Segment, past: f64, kerf: f64) -> Option<[Segment; 3]> {
    let Segment::Arc {
        radius, turning, ..
    } = *piece
    else {
        return None;
    };
    let turn = piece.sweep().abs();
    if (radius - kerf / 2.0).abs() > Tolerance::SAME || !(SHARP..=NEEDLE).contains(&turn) {
        return None;
    }
    // The straight ways on and back cross where the sharp corner of the kerf path would be.
    let half = elementary::tan(turn / 2.0);
    let on = radius * half + past;
    let (came, goes) = (piece.direction_at(0.0), piece.direction_at(1.0));
    let (away, back) = (piece.start() + came * on, piece.end() - goes * on);
    let wide = past / half;
    let (aside, turning) = (-came.left() * turning.sign(), turning.reversed());
    Some([
        Segment::Line {
            start: piece.start(),
            end: away,
        },
        Segment::Arc {
            start: away,
            end: back,
            centre: away + aside * wide,
            radius: wide,
            turning,
        },
        Segment::Line {
            start: back,
            end: piece.end(),
        },
    ])
}

/// The pieces of a run, each with its feed, mm/s: slower near corners where the settings ask.
pub(super) fn paced(path: &CutPath) -> Vec<(Segment, f64)> {
    let Some(slow) = path.slow else {
        return path.segments.iter().map(|it| (*it, path.feed)).collect();
    };
    let mut slow_ways: Vec<(f64, f64)> = Vec::new();
    let mut at = 0.0;
    for (index, piece) in path.segments.iter().enumerate() {
        let length = piece.length();
        let bends = index > path.lead_in && {
            let (from, to) = (
                path.segments[index - 1].direction_at(1.0),
                piece.direction_at(0.0),
            );
            from.turn_to(to).abs() > SMOOTH
        };
        if bends {
            slow_ways.push((at - slow.reach, at + slow.reach));
        }
        // Round a sharp corner of the part the kerf path is an arc of half a kerf.
        let is_corner = matches!(piece, Segment::Arc { radius, .. } if *radius <= slow.tight + Tolerance::SAME)
            && piece.sweep().abs() > SMOOTH;
        if is_corner && index >= path.lead_in {
            slow_ways.push((at - slow.reach, at + length + slow.reach));
        }
        at += length;
    }
    let mut paced = Vec::with_capacity(path.segments.len());
    let mut at = 0.0;
    for piece in &path.segments {
        let length = piece.length();
        let ends = slow_ways.iter().flat_map(|(from, to)| [*from, *to]);
        let mut cuts: Vec<f64> = ends
            .map(|end| end - at)
            .filter(|end| (SHORTEST..length - SHORTEST).contains(end))
            .chain([0.0, length])
            .collect();
        cuts.sort_by(f64::total_cmp);
        cuts.dedup_by(|a, b| *a - *b < SHORTEST);
        for two in cuts.windows(2) {
            let middle = at + f64::midpoint(two[0], two[1]);
            let is_slow = slow_ways
                .iter()
                .any(|(from, to)| *from < middle && middle < *to);
            let feed = if is_slow {
                path.feed * slow.share
            } else {
                path.feed
            };
            paced.push((piece.between(two[0] / length, two[1] / length), feed));
        }
        at += length;
    }
    paced
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Contour, Point, Turning};

    #[test]
    fn a_loop_runs_on_turns_and_comes_back_without_a_bend() {
        // Clockwise round the upper right corner of a square at the origin, half a kerf of 1 mm beside it.
        let corner = Segment::Arc {
            start: Point::new(0.0, 1.0),
            end: Point::new(1.0, 0.0),
            centre: Point::ORIGIN,
            radius: 1.0,
            turning: Turning::Right,
        };
        let [on, round, back] = corner_loop(&corner, 6.0, 2.0).expect("a right angle");
        // The sharp corner of the way would be at 1,1: on for 6 mm from there, a circle of 6 mm, back.
        assert!(on.end().distance(Point::new(7.0, 1.0)) < 1e-9);
        assert!(back.start().distance(Point::new(1.0, 7.0)) < 1e-9);
        assert!((round.sweep().abs() - 1.5 * std::f64::consts::PI).abs() < 1e-9);
        for (before, after) in [(on, round), (round, back)] {
            assert!(before.end().distance(after.start()) < 1e-9);
            assert!(
                before
                    .direction_at(1.0)
                    .turn_to(after.direction_at(0.0))
                    .abs()
                    < 1e-9
            );
        }
        assert!((round.point_at(0.5).distance(Point::new(7.0, 7.0)) - 6.0).abs() < 1e-9);
        let flat = Contour::circle(Point::ORIGIN, 1.0);
        assert!(
            corner_loop(&flat.segments()[0], 6.0, 2.0).is_none(),
            "a half turn"
        );
    }
}
