//! Runs: stretches of a boundary along one curve, re-joined from the edges they were split into.

use std::f64::consts::{PI, TAU};

use super::curve::Curve;
use super::tolerance::Tolerance;
use super::{Contour, Point, Segment, Turning};

/// A stretch along one curve. An arc may sweep any angle: its extent tells, not its ends.
#[derive(Debug, Clone, Copy)]
pub(super) struct Run {
    curve: Curve,
    start: Point,
    end: Point,
    /// Length along the curve, mm.
    extent: f64,
    /// The longest edge in it; its curve is the run's.
    longest: f64,
}

impl Run {
    /// The stretch of one edge, at most a half turn.
    pub(super) fn new(curve: Curve, start: Point, end: Point) -> Self {
        let extent = curve.along(start, end).max(0.0);
        Self {
            curve,
            start,
            end,
            extent,
            longest: extent,
        }
    }

    fn chord(&self) -> f64 {
        self.start.distance(self.end)
    }

    /// Whether another run goes on along the same curve.
    fn continues_in(&self, next: &Self, tolerance: &Tolerance) -> bool {
        match (self.curve, next.curve) {
            (
                Curve::Line { direction, .. },
                Curve::Line {
                    direction: other, ..
                },
            ) => {
                direction.dot(other) > 0.0
                    && self.curve.left_of(next.end).abs() <= tolerance.join
                    && next.curve.left_of(self.start).abs() <= tolerance.join
            }
            (
                Curve::Circle {
                    centre,
                    radius,
                    turning,
                },
                Curve::Circle {
                    centre: other,
                    radius: size,
                    turning: way,
                },
            ) => {
                turning == way
                    && centre.distance(other) <= tolerance.join
                    && (radius - size).abs() <= tolerance.join
            }
            _ => false,
        }
    }

    fn append(&mut self, next: &Self) {
        self.end = next.end;
        self.extent += next.extent;
        if next.longest > self.longest {
            self.longest = next.longest;
            self.curve = next.curve;
        }
    }

    /// The segments of the run; an arc of more than a half turn becomes several.
    fn segments(&self) -> Vec<Segment> {
        let (start, end) = (self.start, self.end);
        let Curve::Circle {
            centre,
            radius,
            turning,
        } = self.curve
        else {
            return vec![Segment::Line { start, end }];
        };
        let sweep = self.extent / radius;
        let count = (sweep / PI - Tolerance::ROUNDING).ceil().max(1.0) as usize;
        let sign = turning.sign();
        let first = (start - centre).angle();
        let at = |i: usize| match i {
            0 => start,
            i if i == count => end,
            i => centre.polar(radius, first + sign * sweep * i as f64 / count as f64),
        };
        (0..count)
            .map(|i| Segment::Arc {
                start: at(i),
                end: at(i + 1),
                centre,
                radius,
                turning,
            })
            .collect()
    }
}

/// The contour of a closed sequence of runs: joined, corners put where the curves truly meet,
/// starting from its lowest left corner. `None` if it is nothing but a speck.
pub(super) fn contour_of(mut runs: Vec<Run>, tolerance: &Tolerance) -> Option<Contour> {
    runs.retain(|run| run.chord() > tolerance.weld);
    if runs.len() < 2 {
        return None;
    }
    link(&mut runs);
    let mut runs = joined(&runs, tolerance);
    if let [whole] = runs[..] {
        return circle_of(&whole);
    }
    settle_corners(&mut runs, tolerance);
    let first = (0..runs.len()).min_by(|&i, &j| {
        let (p, q) = (runs[i].start, runs[j].start);
        let rounded = |v: f64| (v / tolerance.join).round();
        (rounded(p.x).total_cmp(&rounded(q.x)))
            .then(rounded(p.y).total_cmp(&rounded(q.y)))
            .then(i.cmp(&j))
    })?;
    runs.rotate_left(first);
    Contour::new(runs.iter().flat_map(Run::segments).collect())
}

/// Lets every run start where the one before it ends.
fn link(runs: &mut [Run]) {
    let mut at = runs[runs.len() - 1].end;
    for run in runs {
        run.start = at;
        at = run.end;
    }
}

fn joined(runs: &[Run], tolerance: &Tolerance) -> Vec<Run> {
    let count = runs.len();
    let before = |i: usize| &runs[(i + count - 1) % count];
    let first = (0..count).find(|&i| !before(i).continues_in(&runs[i], tolerance));
    let mut result: Vec<Run> = Vec::with_capacity(count);
    for i in 0..count {
        let run = &runs[(first.unwrap_or(0) + i) % count];
        match result.last_mut() {
            Some(last) if last.continues_in(run, tolerance) => last.append(run),
            _ => result.push(*run),
        }
    }
    result
}

/// A whole circle, if the run is one.
fn circle_of(run: &Run) -> Option<Contour> {
    let Curve::Circle {
        centre,
        radius,
        turning,
    } = run.curve
    else {
        return None;
    };
    if (run.extent / radius - TAU).abs() > 0.1 {
        return None;
    }
    let circle = Contour::circle(centre, radius);
    Some(match turning {
        Turning::Left => circle,
        Turning::Right => circle.reversed(),
    })
}

/// Moves every corner to where its two curves meet, if that is no farther than welding can have
/// moved it.
fn settle_corners(runs: &mut [Run], tolerance: &Tolerance) {
    let count = runs.len();
    for i in 0..count {
        let following = (i + 1) % count;
        let corner = runs[i].end;
        let settled = meeting(&runs[i].curve, &runs[following].curve, corner);
        if settled.distance(corner) <= 3.0 * tolerance.join {
            runs[i].end = settled;
            runs[following].start = settled;
        }
    }
    for run in runs {
        if let Curve::Circle { radius, .. } = run.curve {
            // A corner moves far less than a turn: the sweep stays that of the edges it came from.
            let ends = run.curve.along(run.start, run.end);
            let turns = ((run.extent - ends) / (TAU * radius)).round();
            run.extent = ends + turns * TAU * radius;
        }
    }
}

/// The point near `p` on both curves: Newton's method where they cross, the mean of the two feet
/// where they touch.
fn meeting(a: &Curve, b: &Curve, p: Point) -> Point {
    let mut at = p;
    for _ in 0..3 {
        let (n, m) = (a.direction_at(at).left(), b.direction_at(at).left());
        let (miss_a, miss_b) = (a.left_of(at), b.left_of(at));
        let cross = n.cross(m);
        if cross.abs() < Tolerance::TANGENT {
            at = a.foot(at).lerp(b.foot(at), 0.5);
            continue;
        }
        // n · step = -miss_a and m · step = -miss_b.
        let x = (-miss_a * m.y + miss_b * n.y) / cross;
        let y = (-miss_b * n.x + miss_a * m.x) / cross;
        at = Point::new(at.x + x, at.y + y);
    }
    at
}
