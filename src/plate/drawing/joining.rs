//! Lines and arcs joined end to end into closed contours.
//!
//! In: strokes of which no two run along each other. Out: contours, in the order of the drawing, or
//! the place where one does not close or goes on in two ways. Ends that are nearest are joined first,
//! so that short pieces keep their neighbours.

use rstar::RTree;
use rstar::primitives::GeomWithData;

use super::MOST_GAP;
use super::curve::{Curve, Stroke};
use super::model::spot;
use super::telling::Mended;
use super::unit::Unit;
use crate::fault::Refusal;
use crate::geometry::{Contour, Point, Segment};
use crate::quantity::format::millimetres;

/// Ends nearer than this, mm, are joined before all others: what is left of rounding in a file.
const ROUNDED: f64 = 1e-3;
/// A line that ends further than this, mm, from all other ends lacks no neighbour. Common practice, no source.
const APART: f64 = 1.0;
/// Ends within reach of one, at most.
const MOST_NEAR: usize = 64;

/// Contours, and the gaps that were closed for them.
pub(super) struct Joined {
    pub(super) contours: Vec<Contour>,
    /// The first stroke of each.
    pub(super) firsts: Vec<usize>,
    /// Lines across the inside that end nowhere, as centre lines do.
    pub(super) loose: Option<Mended>,
    pub(super) gaps: Option<Mended>,
}

/// Joins all strokes whose ends are within `gap` mm; full circles are contours by themselves.
pub(super) fn joined(strokes: &[Stroke<'_>], unit: Unit, gap: f64) -> Result<Joined, Refusal> {
    let ends = Ends::of(strokes, unit, gap)?;
    let mut made = Joined {
        contours: Vec::new(),
        firsts: Vec::new(),
        loose: None,
        gaps: None,
    };
    let mut is_used = vec![false; strokes.len()];
    let mut open = Vec::new();
    for first in 0..strokes.len() {
        if is_used[first] {
            continue;
        }
        if let Some((centre, radius)) = strokes[first].curve.circle() {
            made.firsts.push(first);
            made.contours.push(Contour::circle(centre, radius));
            continue;
        }
        match ends.chain(first, &mut is_used) {
            Chain::Closed(chain) => made.close(strokes, &chain),
            Chain::Open(from, to) => open.push((from, to)),
        }
    }
    let is_loose = |&(from, to): &(usize, usize)| ends.is_loose(from, to, &made.contours);
    let (loose, open): (Vec<_>, Vec<_>) = open.into_iter().partition(is_loose);
    match open.first() {
        None => {
            for (from, to) in loose {
                let (start, end) = (ends.place(from), ends.place(to));
                Mended::tally(&mut made.loose, start, start.distance(end));
            }
            Ok(made)
        }
        Some(&(from, to)) => Err(ends.refused(from, to, open.len())),
    }
}

/// The ends of strokes: end `2 k` is the start of stroke `k`, `2 k + 1` its end.
struct Ends<'s, 'd> {
    strokes: &'s [Stroke<'d>],
    unit: Unit,
    /// How far apart ends may be that are joined, mm.
    gap: f64,
    /// Which end each is joined to.
    mates: Vec<Option<usize>>,
    index: RTree<GeomWithData<[f64; 2], usize>>,
}

enum Chain {
    /// Strokes in order, each with whether it is taken from its start on.
    Closed(Vec<(usize, bool)>),
    /// Its two free ends.
    Open(usize, usize),
}

impl<'s, 'd> Ends<'s, 'd> {
    fn of(strokes: &'s [Stroke<'d>], unit: Unit, gap: f64) -> Result<Self, Refusal> {
        let mut ends = Self {
            strokes,
            unit,
            gap,
            mates: vec![None; 2 * strokes.len()],
            index: RTree::new(),
        };
        let all = (0..ends.mates.len()).filter(|end| strokes[end / 2].curve.circle().is_none());
        let all = all.map(|end| {
            let p = ends.place(end);
            GeomWithData::new([p.x, p.y], end)
        });
        ends.index = RTree::bulk_load(all.collect());
        ends.pair(ROUNDED)?;
        ends.pair(gap)?;
        Ok(ends)
    }

    fn place(&self, end: usize) -> Point {
        let curve = &self.strokes[end / 2].curve;
        if end.is_multiple_of(2) {
            curve.start()
        } else {
            curve.end()
        }
    }

    /// Other ends within reach of one, with their distances.
    fn near(&self, end: usize, reach: f64) -> impl Iterator<Item = (f64, usize)> {
        let p = self.place(end);
        let found = self.index.locate_within_distance([p.x, p.y], reach * reach);
        found.filter(move |it| it.data != end).map(move |it| {
            let [x, y] = *it.geom();
            (p.distance(Point::new(x, y)), it.data)
        })
    }

    /// Joins free ends within reach, the nearest first.
    fn pair(&mut self, reach: f64) -> Result<(), Refusal> {
        let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
        for end in 0..self.mates.len() {
            if self.mates[end].is_some() || self.strokes[end / 2].curve.circle().is_some() {
                continue;
            }
            let before = pairs.len();
            for (distance, other) in self.near(end, reach) {
                // The two ends of a short piece are near each other and not to be joined.
                let is_own =
                    other / 2 == end / 2 && self.strokes[end / 2].curve.length() < 4.0 * reach;
                if other > end && self.mates[other].is_none() && !is_own {
                    pairs.push((distance, end, other));
                }
            }
            if pairs.len() - before > MOST_NEAR {
                let place = self.unit.place(self.place(end));
                let message = format!("more than {MOST_NEAR} lines end at {place}");
                return Err(Refusal::new(message)
                    .remedy("draw it with fewer and longer pieces")
                    .about([spot(self.place(end))]));
            }
        }
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        for (_, one, other) in pairs {
            if self.mates[one].is_none() && self.mates[other].is_none() {
                self.mates[one] = Some(other);
                self.mates[other] = Some(one);
            }
        }
        Ok(())
    }

    /// Whether two free ends are those of one straight line that no outline can lack: it ends nowhere near another
    /// end, and its middle lies within an outline that closes.
    fn is_loose(&self, from: usize, to: usize, contours: &[Contour]) -> bool {
        let stroke = &self.strokes[from / 2];
        let is_line = from / 2 == to / 2 && matches!(stroke.curve, Curve::Line { .. });
        let is_alone = || {
            [from, to].iter().all(|&end| {
                let mut near = self.near(end, APART);
                near.all(|(_, other)| other / 2 == end / 2)
            })
        };
        let middle = self.place(from).lerp(self.place(to), 0.5);
        is_line && is_alone() && contours.iter().any(|it| it.encloses(middle))
    }

    /// The chain that a stroke is part of, from that stroke on.
    fn chain(&self, first: usize, is_used: &mut [bool]) -> Chain {
        let mut chain = vec![(first, true)];
        is_used[first] = true;
        let mut end = 2 * first + 1;
        while let Some(next) = self.mates[end] {
            if next / 2 == first {
                return Chain::Closed(chain);
            }
            is_used[next / 2] = true;
            chain.push((next / 2, next.is_multiple_of(2)));
            end = next ^ 1;
        }
        let mut start = 2 * first;
        while let Some(next) = self.mates[start] {
            is_used[next / 2] = true;
            start = next ^ 1;
        }
        Chain::Open(start, end)
    }

    /// What helps an outline that ends at two places: where each has one next to it, a wider gap.
    fn remedy(&self, from: usize, to: usize) -> String {
        let free = |end: usize| {
            let near = self.near(end, MOST_GAP);
            let free = near.filter(|(_, other)| self.mates[*other].is_none());
            free.map(|(distance, _)| distance).min_by(f64::total_cmp)
        };
        let drawn = format!("join its ends within {}", millimetres(self.gap));
        let no_edge = "if it is no edge, delete it or give it the line type of a centre line";
        let widest = free(from).zip(free(to)).map(|(one, other)| one.max(other));
        match widest.map(|it| (it * 100.0 + 1.0).ceil() / 100.0) {
            Some(gap) if gap <= MOST_GAP => format!(
                "{drawn}, or have wider gaps closed, with gap = \"{gap}\" (--gap \"{gap}\" on the command line); {no_edge}",
                gap = millimetres(gap)
            ),
            _ => format!("{drawn}; {no_edge}"),
        }
    }

    /// What is said of outlines that do not close, given the free ends of the first.
    fn refused(&self, from: usize, to: usize, count: usize) -> Refusal {
        let place = |end: usize| self.unit.place(self.place(end));
        let meets = [from, to]
            .into_iter()
            .find(|end| self.near(*end, self.gap).next().is_some());
        if let Some(end) = meets
            && self
                .near(end, self.gap)
                .any(|(_, other)| other / 2 != end / 2)
        {
            let message = format!(
                "more than two lines meet at {}, among them the {}",
                place(end),
                self.strokes[end / 2].of
            );
            let refusal = Refusal::new(message).remedy(
                "an outline goes on in one way only: delete what is no edge, or draw it on a layer of its own",
            );
            return refusal.about([spot(self.place(end))]);
        }
        let more = match count {
            1 => String::new(),
            2 => ", and neither does another".to_owned(),
            count => format!(", and neither do {} others", count - 1),
        };
        let name = &self.strokes[from / 2].of;
        let what = if from / 2 == to / 2 {
            format!("the {name} closes to no outline")
        } else {
            format!("the outline with the {name} does not close")
        };
        let message = format!(
            "{what}: it ends at {} and at {}{more}",
            place(from),
            place(to)
        );
        let refusal = Refusal::new(message).remedy(self.remedy(from, to));
        refusal.about([from, to].map(|end| spot(self.place(end))))
    }
}

impl Joined {
    /// The chain as a contour, its joints brought together exactly.
    fn close(&mut self, strokes: &[Stroke<'_>], chain: &[(usize, bool)]) {
        let mut segments: Vec<Segment> = Vec::with_capacity(chain.len());
        for &(stroke, forward) in chain {
            let pieces = strokes[stroke].curve.segments();
            if forward {
                segments.extend(pieces);
            } else {
                segments.extend(pieces.iter().rev().map(Segment::reversed));
            }
        }
        let count = segments.len();
        let joints: Vec<Point> = (0..count)
            .map(|i| self.joint(&segments[(i + count - 1) % count], &segments[i]))
            .collect();
        let closed = segments.iter().enumerate();
        let closed = closed.map(|(i, it)| brought(it, joints[i], joints[(i + 1) % count]));
        if let Some(contour) = Contour::new(closed.collect()) {
            self.contours.push(contour);
            self.firsts.push(chain[0].0);
        }
    }

    /// Where one piece ends and the next begins: an arc keeps its end, a line goes to it, and two lines to where
    /// they would meet if that is next to both.
    fn joint(&mut self, before: &Segment, next: &Segment) -> Point {
        let (end, start) = (before.end(), next.start());
        let gap = end.distance(start);
        if gap > ROUNDED {
            Mended::tally(&mut self.gaps, start, gap);
        }
        let is_near = |it: &Point| it.distance(end).max(it.distance(start)) <= gap;
        let corner = corner(before, next).filter(|it| gap > ROUNDED && is_near(it));
        corner.unwrap_or(match (before, next) {
            (Segment::Arc { .. }, Segment::Line { .. }) => end,
            _ => start,
        })
    }
}

/// Where two straight lines would meet.
fn corner(before: &Segment, next: &Segment) -> Option<Point> {
    let (
        Segment::Line { start, end },
        Segment::Line {
            start: from,
            end: to,
        },
    ) = (before, next)
    else {
        return None;
    };
    let (along, across) = (*end - *start, *to - *from);
    let turned = along.cross(across);
    (turned.abs() > 0.0).then(|| *start + along * ((*from - *start).cross(across) / turned))
}

/// A piece between two joints, true as it is where they are its ends.
fn brought(segment: &Segment, start: Point, end: Point) -> Segment {
    match *segment {
        Segment::Line { .. } => Segment::Line { start, end },
        Segment::Arc { .. } if segment.start() == start && segment.end() == end => *segment,
        Segment::Arc { .. } => Segment::from_bulge(start, end, segment.bulge()),
    }
}
