//! Lines and arcs in place of the many short pieces that stand for them in a drawing.
//!
//! Many programs write an arc as chords, or as a curve, which is read as several arcs. In: a closed
//! contour, and how far its ends may be off. Out: the same contour with each run of such pieces as one
//! line or arc through both of its ends, and how far that is from what was drawn. A run is taken for an
//! arc only if it can hardly be anything else: its chords are short and turn little, and they are many,
//! or equal and tangent to their neighbours. A hexagon stays a hexagon, a chamfer a chamfer.

use super::telling::Recovered;
use crate::elementary;
use crate::geometry::{Contour, Point, Segment, Tolerance};

/// Ends may be so far from the line or arc that is taken for them, mm, unless the builder says otherwise:
/// far less than a table tells apart.
pub const FIT: f64 = 0.01;
/// What the builder may say, mm: more would change what is seen.
pub const MOST_FIT: f64 = 0.5;
/// A chord may stand so far off its arc, mm. Common practice, no source: drawings are exported with 0.01 to
/// 0.5 mm.
const COARSEST: f64 = 0.52;
/// A chord may be of so much of its arc, radians.
const WIDEST: f64 = 100.0 * DEGREE;
/// One of a circle, or of an arc that is not tangent to its neighbours: less than a side of a hexagon has.
const UNSURE: f64 = 55.0 * DEGREE;
/// A few chords that meet their neighbours in a corner are an arc only if each is of less than this.
const FINE: f64 = 20.0 * DEGREE;
/// Directions nearer than this, radians, are one: what a drawing with three decimals leaves of a tangent.
const TANGENT: f64 = 1.0 * DEGREE;
/// Arcs that stand for a curve may turn so much from the one that is taken for them, radians, where it begins
/// and ends.
const SMOOTH: f64 = 0.2 * DEGREE;
/// Chords whose lengths differ by less than this share are equal.
const EQUAL: f64 = 0.02;
/// So many chords whose ends lie on an arc are one.
const MANY: usize = 5;
/// A run may give so many pieces at its end to the one after it.
const GIVEN: usize = 16;
/// An arc this near to a half turn, in radians of half its sweep, is one.
const HALF_TURN: f64 = 5e-4;
const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// The contour with runs of short pieces made one, and what is told of them.
pub(super) fn recovered(contour: Contour, fit: f64, told: &mut Recovered) -> Contour {
    let pieces = contour.segments();
    if fit <= 0.0 || pieces.len() < 3 || contour.as_circle().is_some() {
        return contour;
    }
    let ring = Ring { pieces, fit };
    let runs = ring.runs();
    if runs.len() == pieces.len() {
        return contour;
    }
    let mut own = Recovered::default();
    let mut made = Vec::with_capacity(runs.len());
    for run in &runs {
        let Some(whole) = &run.whole else {
            made.push(*ring.piece(run.from));
            continue;
        };
        made.push(whole.piece);
        if whole.off > Tolerance::SAME || whole.beside > Tolerance::SAME {
            own.add(run.count, whole.off, whole.beside);
        }
    }
    match Contour::new(made) {
        Some(simpler) => {
            told.include(&own);
            simpler
        }
        None => contour,
    }
}

/// How far a chord of a circle of this radius stands off it; `None` if it is no chord that stands for a circle.
pub(super) fn chord_of_circle(length: f64, radius: f64) -> Option<f64> {
    chord(length, radius, UNSURE)
}

fn chord(length: f64, radius: f64, widest: f64) -> Option<f64> {
    let half = length / (2.0 * radius);
    let beside = radius * (1.0 - (1.0 - half * half).max(0.0).sqrt());
    (half < elementary::sin(widest / 2.0) && beside <= COARSEST).then_some(beside)
}

/// Pieces of a closed contour, counted round and round.
struct Ring<'c> {
    pieces: &'c [Segment],
    fit: f64,
}

/// Pieces that follow one another.
#[derive(Clone, Copy)]
struct Run {
    from: usize,
    count: usize,
    /// The one piece that is taken for them, if they are several.
    whole: Option<Whole>,
}

/// One piece in place of several.
#[derive(Clone, Copy)]
struct Whole {
    piece: Segment,
    /// How far an end, or the middle of an arc, is off it, mm.
    off: f64,
    /// How far the middle of a chord is off it, mm.
    beside: f64,
}

impl Ring<'_> {
    fn piece(&self, at: usize) -> &Segment {
        &self.pieces[at % self.pieces.len()]
    }

    fn runs(&self) -> Vec<Run> {
        let count = self.pieces.len();
        let start = self.break_between_runs();
        let mut runs: Vec<Run> = Vec::new();
        let mut at = start;
        while at < start + count {
            let mut run = self.longest(at, (count - 1).min(start + count - at));
            if let Some(before) = runs.last_mut() {
                self.settle(before, &mut run);
            }
            at = run.from + run.count;
            runs.push(run);
        }
        self.tangent(&runs)
    }

    /// The runs, and few equal chords between neighbours that are tangent to their arc as one more.
    fn tangent(&self, runs: &[Run]) -> Vec<Run> {
        let mut made: Vec<Run> = Vec::with_capacity(runs.len());
        let mut at = 0;
        while at < runs.len() {
            let is_plain = |it: &Run| it.whole.is_none();
            let left = runs[at..].iter().take(MANY - 1);
            let plain = left.take_while(|it| is_plain(it)).count();
            let found = (2..=plain).rev().find_map(|count| {
                let from = runs[at].from;
                let whole = self.whole(from, count, WIDEST)?;
                let before = made.last().or(runs.last())?;
                let after = runs.get(at + count).or(made.first()).or(runs.first())?;
                let arriving = self.of_run(before).direction_at(1.0);
                let leaving = self.of_run(after).direction_at(0.0);
                let is_arc = matches!(whole.piece, Segment::Arc { .. })
                    && self.are_equal(from, count)
                    && arriving.turn_to(whole.piece.direction_at(0.0)).abs() < TANGENT
                    && whole.piece.direction_at(1.0).turn_to(leaving).abs() < TANGENT;
                let whole = Some(whole);
                is_arc.then_some(Run { from, count, whole })
            });
            match found {
                Some(run) => {
                    at += run.count;
                    made.push(run);
                }
                None => {
                    made.push(runs[at]);
                    at += 1;
                }
            }
        }
        made
    }

    /// The one piece of a run.
    fn of_run(&self, run: &Run) -> Segment {
        run.whole
            .map_or_else(|| *self.piece(run.from), |it| it.piece)
    }

    /// Whether chords are equally long.
    fn are_equal(&self, from: usize, count: usize) -> bool {
        let lengths = (from..from + count).map(|at| self.piece(at).length());
        let (least, most) = lengths.fold((f64::INFINITY, 0.0_f64), |(least, most), it| {
            (least.min(it), most.max(it))
        });
        most - least <= EQUAL * most + 2.0 * self.fit
    }

    /// A piece that begins a run, and does not lie within one: where the first that is sure ends, or after the
    /// longest piece.
    fn break_between_runs(&self) -> usize {
        let count = self.pieces.len();
        let ends = (0..count).find_map(|at| {
            let run = self.longest(at, count - 1);
            run.whole.map(|_| run.from + run.count)
        });
        let lengths = self.pieces.iter().map(Segment::length).enumerate();
        let longest = lengths.max_by(|a, b| a.1.total_cmp(&b.1));
        ends.unwrap_or_else(|| longest.map_or(0, |it| it.0 + 1)) % count
    }

    /// The longest run of at most so many pieces from one on that is one line or arc; the piece alone if there
    /// is none.
    fn longest(&self, from: usize, most: usize) -> Run {
        let fits = |count: usize| self.whole(from, count, UNSURE).is_some();
        let mut low = 1;
        let mut high = 2;
        while high <= most && fits(high) {
            low = high;
            high *= 2;
        }
        high = high.min(most + 1);
        while high - low > 1 {
            let middle = usize::midpoint(low, high);
            if fits(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        let whole = (low > 1).then(|| self.accepted(from, low)).flatten();
        Run {
            from,
            count: if whole.is_some() { low } else { 1 },
            whole,
        }
    }

    /// Moves the place where two runs meet to where both fit best.
    fn settle(&self, before: &mut Run, run: &mut Run) {
        let (Some(one), Some(two)) = (before.whole, run.whole) else {
            return;
        };
        let mut best = one.off.max(two.off);
        let given = GIVEN.min(before.count.saturating_sub(2));
        let (count, from, end) = (before.count, run.from, run.from + run.count);
        for less in 1..=given {
            let shorter = self.whole(before.from, count - less, UNSURE);
            let longer = self.whole(from - less, end - (from - less), UNSURE);
            let (Some(shorter), Some(longer)) = (shorter, longer) else {
                continue;
            };
            let off = shorter.off.max(longer.off);
            if off < 0.5 * best {
                best = off;
                (before.count, before.whole) = (count - less, Some(shorter));
                (run.from, run.count) = (from - less, end - (from - less));
                run.whole = Some(longer);
            }
        }
    }

    /// What stands for a run, if the run can hardly be anything else.
    fn accepted(&self, from: usize, count: usize) -> Option<Whole> {
        let whole = self.whole(from, count, UNSURE)?;
        let is_chords = matches!(self.piece(from), Segment::Line { .. })
            && matches!(whole.piece, Segment::Arc { .. });
        let each = whole.piece.sweep().abs() / count as f64;
        let is_sure = !is_chords
            || count >= MANY
            || (count >= 3 && each < FINE && self.are_equal(from, count));
        is_sure.then_some(whole)
    }

    /// One line or arc through both ends of a run that keeps near enough to all of it; chords may be of so much of
    /// an arc.
    fn whole(&self, from: usize, count: usize, widest: f64) -> Option<Whole> {
        let pieces = || (from..from + count).map(|at| self.piece(at));
        let is_line = |it: &Segment| matches!(it, Segment::Line { .. });
        let lines = is_line(self.piece(from));
        if pieces().any(|it| is_line(it) != lines) {
            return None;
        }
        let (start, end) = (self.piece(from).start(), self.piece(from + count - 1).end());
        if start == end {
            return None;
        }
        if lines {
            let inner: Vec<Point> = pieces().skip(1).map(Segment::start).collect();
            straight(start, end, &inner, self.fit)
                .or_else(|| self.of_chords(start, end, &inner, pieces(), widest))
        } else {
            self.of_arcs(start, end, pieces())
        }
    }

    fn of_chords<'s>(
        &self,
        start: Point,
        end: Point,
        inner: &[Point],
        mut chords: impl Iterator<Item = &'s Segment>,
        widest: f64,
    ) -> Option<Whole> {
        let (piece, off) = arc_through(start, end, inner)?;
        let Segment::Arc { radius, .. } = piece else {
            return None;
        };
        if off > self.fit {
            return None;
        }
        let beside = chords.try_fold(0.0_f64, |most, it| {
            Some(most.max(chord(it.length(), radius, widest)?))
        })?;
        Some(Whole { piece, off, beside })
    }

    fn of_arcs<'s>(
        &self,
        start: Point,
        end: Point,
        arcs: impl Iterator<Item = &'s Segment> + Clone,
    ) -> Option<Whole> {
        let first = arcs.clone().next()?;
        let last = arcs.clone().last()?;
        let sense = first.sweep().signum();
        if arcs.clone().any(|it| it.sweep().signum() != sense) {
            return None;
        }
        let middles = arcs.clone().map(|it| it.point_at(0.5));
        let joints = arcs.skip(1).map(Segment::start);
        let inner: Vec<Point> = middles.chain(joints).collect();
        let (piece, off) = arc_through(start, end, &inner)?;
        let is_smooth = [
            first.direction_at(0.0).turn_to(piece.direction_at(0.0)),
            last.direction_at(1.0).turn_to(piece.direction_at(1.0)),
        ];
        let is_smooth = is_smooth.iter().all(|it| it.abs() < SMOOTH);
        (is_smooth && off <= self.fit).then_some(Whole {
            piece,
            off,
            beside: 0.0,
        })
    }
}

/// The line between two points, if others follow it in order.
fn straight(start: Point, end: Point, inner: &[Point], fit: f64) -> Option<Whole> {
    let along = (end - start).unit()?;
    let (mut off, mut reached) = (0.0_f64, 0.0);
    for p in inner.iter().chain([&end]) {
        let far = (*p - start).dot(along);
        if far < reached {
            return None;
        }
        reached = far;
        off = off.max((*p - start).cross(along).abs());
    }
    let piece = Segment::Line { start, end };
    let beside = 0.0;
    (off <= fit).then_some(Whole { piece, off, beside })
}

/// The arc between two points that passes others best, and how far it is off the worst of them.
///
/// A chord that goes from one end over a point of an arc to the other turns there by half the arc's sweep
/// (the inscribed angle, Euclid III.20): each point tells the sweep, those far from both ends best.
fn arc_through(start: Point, end: Point, inner: &[Point]) -> Option<(Segment, f64)> {
    let (mut sum, mut weights) = (0.0, 0.0);
    for &p in inner {
        let (a, b) = (p - start, end - p);
        let weight = (1.0 / a.length() + 1.0 / b.length()).powi(-2);
        sum += weight * a.turn_to(b);
        weights += weight;
    }
    let half = sum / weights;
    // A half turn is one, and not a hair more.
    let quarter = std::f64::consts::FRAC_PI_2;
    let half = if (half.abs() - quarter).abs() < HALF_TURN {
        quarter.copysign(half)
    } else {
        half
    };
    // Also false for what is not a number.
    if !(half.abs() > Tolerance::ROUNDING && half.abs() < std::f64::consts::PI - WIDEST / 8.0) {
        return None;
    }
    let piece = Segment::from_bulge(start, end, elementary::tan(half / 2.0));
    let Segment::Arc { centre, radius, .. } = piece else {
        return None;
    };
    let off = inner
        .iter()
        .map(|p| (p.distance(centre) - radius).abs())
        .fold(0.0, f64::max);
    Some((piece, off))
}
