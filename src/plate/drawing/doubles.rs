//! Lines and arcs that lie on one another, wholly or in part, made into one.
//!
//! In: all strokes of a drawing. Out: strokes of which no two run along each other, in the order of
//! the drawing, and how many there were too many.

use std::f64::consts::TAU;

use rstar::RTree;
use rstar::primitives::{GeomWithData, Rectangle};

use super::curve::{Curve, Stroke};
use super::telling::Mended;
use crate::geometry::{Bounds, Point, Tolerance};

/// Lines and arcs that run beside each other within this, mm, lie on one another: far less than a
/// table tells apart.
const SAME: f64 = 0.01;
/// Lines whose directions differ by less than this, radians, may lie on one another.
const PARALLEL: f64 = 1e-3;

type Boxed = GeomWithData<Rectangle<[f64; 2]>, usize>;

/// The strokes with each stretch once.
pub(super) fn single<'d>(strokes: Vec<Stroke<'d>>) -> (Vec<Stroke<'d>>, Option<Mended>) {
    let mut kept: Vec<Option<Stroke<'d>>> = Vec::with_capacity(strokes.len());
    let mut index: RTree<Boxed> = RTree::new();
    let mut doubled = None;
    for mut stroke in strokes {
        // A stroke grows with each that it lies on, and may then lie on more.
        loop {
            let around = stroke.curve.bounds().grown(SAME).envelope();
            let found = index
                .locate_in_envelope_intersecting(around)
                .find_map(|boxed| {
                    let other = kept[boxed.data]?;
                    let both = united(&other.curve, &stroke.curve)?;
                    Some((boxed.data, both))
                });
            let Some((place, both)) = found else {
                break;
            };
            let Some(other) = kept[place].take() else {
                break;
            };
            index.remove(&boxed(&other.curve, place));
            Mended::tally(&mut doubled, stroke.curve.start(), 0.0);
            stroke = Stroke {
                curve: both,
                of: other.of,
                layer: other.layer,
            };
        }
        index.insert(boxed(&stroke.curve, kept.len()));
        kept.push(Some(stroke));
    }
    (kept.into_iter().flatten().collect(), doubled)
}

fn boxed(curve: &Curve, place: usize) -> Boxed {
    let Bounds { min, max } = curve.bounds();
    GeomWithData::new(
        Rectangle::from_corners([min.x, min.y], [max.x, max.y]),
        place,
    )
}

/// Both as one, if they run along each other for a while.
fn united(a: &Curve, b: &Curve) -> Option<Curve> {
    let least = SAME.min(a.length() / 2.0).min(b.length() / 2.0);
    match (a, b) {
        (Curve::Line { start, end }, Curve::Line { start: p, end: q }) => {
            united_lines([*start, *end], [*p, *q], least)
        }
        (
            Curve::Arc {
                centre,
                radius,
                from,
                sweep,
                ..
            },
            Curve::Arc {
                centre: other,
                radius: other_radius,
                from: other_from,
                sweep: other_sweep,
                ..
            },
        ) => {
            let same = centre.distance(*other) <= SAME && (radius - other_radius).abs() <= SAME;
            let spans = [(*from, *sweep), (*other_from, *other_sweep)];
            let both = same.then(|| united_spans(spans, least / radius))??;
            // What only repeats a part of the other leaves it as it is.
            if both == spans[0] {
                return Some(*a);
            }
            if both == spans[1] {
                return Some(*b);
            }
            Some(Curve::arc(*centre, *radius, both.0, both.1))
        }
        _ => None,
    }
}

fn united_lines(a: [Point; 2], b: [Point; 2], least: f64) -> Option<Curve> {
    let run = a[1] - a[0];
    let (along, length) = (run.unit()?, run.length());
    let other = (b[1] - b[0]).unit()?;
    if along.cross(other).abs() > PARALLEL {
        return None;
    }
    let place = |p: Point| ((p - a[0]).dot(along), along.cross(p - a[0]));
    let (first, last) = (place(b[0]), place(b[1]));
    let (low, high) = (
        first.0.min(last.0).max(0.0),
        first.0.max(last.0).min(length),
    );
    if high - low < least {
        return None;
    }
    let beside = |t: f64| {
        let share = (t - first.0) / (last.0 - first.0);
        (first.1 + (last.1 - first.1) * share).abs()
    };
    if beside(low) > SAME || beside(high) > SAME {
        return None;
    }
    let mut ends = [(0.0, a[0]), (length, a[1]), (first.0, b[0]), (last.0, b[1])];
    ends.sort_by(|p, q| p.0.total_cmp(&q.0));
    // Ends that are a hair apart are those of the first line.
    let near = |end: (f64, Point)| {
        let own = [(0.0, a[0]), (length, a[1])];
        let near = own
            .into_iter()
            .find(|it| (it.0 - end.0).abs() <= SAME / 2.0);
        near.unwrap_or(end).1
    };
    Some(Curve::Line {
        start: near(ends[0]),
        end: near(ends[3]),
    })
}

/// Two spans of angles, each from an angle so far on, as one if they share more than `least`.
fn united_spans([a, b]: [(f64, f64); 2], least: f64) -> Option<(f64, f64)> {
    if a.1 >= TAU {
        return Some(a);
    }
    if b.1 >= TAU {
        return Some(b);
    }
    // From either start the other is met again a full turn on.
    let joined = |(from, sweep): (f64, f64), (other, reach): (f64, f64)| {
        let apart = (other - from).rem_euclid(TAU);
        let apart = if TAU - apart < Tolerance::ROUNDING {
            0.0
        } else {
            apart
        };
        let shared = (apart + reach).min(sweep) - apart;
        (shared >= least).then(|| (from, sweep.max(apart + reach).min(TAU)))
    };
    let ahead = joined(a, b);
    let behind = joined(b, a);
    match (ahead, behind) {
        (Some(one), Some(_)) if one.1 < TAU && one == a => Some(a),
        // Each begins on the other and they are not the same: they meet at both ends.
        (Some(one), Some(two)) => {
            let same_start = (one.0 - two.0).rem_euclid(TAU);
            let same_start =
                same_start < Tolerance::ROUNDING || TAU - same_start < Tolerance::ROUNDING;
            Some(if same_start {
                if one.1 >= two.1 { one } else { two }
            } else {
                (a.0, TAU)
            })
        }
        (one, two) => one.or(two),
    }
}
