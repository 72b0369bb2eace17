//! How long the machine takes: feeds, starts and stops.
//!
//! In: runs and moves. Out: seconds. The model: the machine starts and stops with a constant
//! acceleration, stops at corners, and rounds bends no faster than the same acceleration allows.

use crate::geometry::Segment;

/// A bend between two pieces of less than this, radians, is taken without stopping.
const SMOOTH: f64 = 0.1;

/// Seconds for a straight move from rest to rest.
pub(super) fn move_time(length: f64, speed: f64, acceleration: f64) -> f64 {
    let ramps = speed * speed / acceleration;
    if length >= ramps {
        length / speed + speed / acceleration
    } else {
        2.0 * (length / acceleration).sqrt()
    }
}

/// Seconds for a run whose pieces have a feed each, from rest to rest.
pub(super) fn run_time(run: &[(Segment, f64)], acceleration: f64) -> f64 {
    let mut time = 0.0;
    let mut stretch = Stretch::default();
    for (index, (segment, feed)) in run.iter().enumerate() {
        let stops = index > 0 && bend(&run[index - 1].0, segment) > SMOOTH;
        if stops {
            time += stretch.time(acceleration);
            stretch = Stretch::default();
        }
        stretch.add(segment, *feed, acceleration);
    }
    time + stretch.time(acceleration)
}

/// Pieces that are run without stopping between them.
#[derive(Debug, Default)]
struct Stretch {
    length: f64,
    /// Seconds at full speed.
    cruising: f64,
}

impl Stretch {
    /// Adds a piece: at the feed, or in a tight arc at the speed where v²/r is the acceleration.
    fn add(&mut self, segment: &Segment, feed: f64, acceleration: f64) {
        let speed = match segment {
            Segment::Line { .. } => feed,
            Segment::Arc { radius, .. } => feed.min((acceleration * radius).sqrt()),
        };
        let length = segment.length();
        self.length += length;
        self.cruising += length / speed;
    }

    fn time(&self, acceleration: f64) -> f64 {
        if self.length <= 0.0 {
            return 0.0;
        }
        move_time(self.length, self.length / self.cruising, acceleration)
    }
}

fn bend(before: &Segment, after: &Segment) -> f64 {
    let (from, to) = (before.direction_at(1.0), after.direction_at(0.0));
    from.turn_to(to).abs()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Contour, Point};

    /// A run at 50 mm/s.
    fn at(run: &[Segment]) -> Vec<(Segment, f64)> {
        run.iter().map(|it| (*it, 50.0)).collect()
    }

    #[test]
    fn a_move_has_two_ramps_or_only_ramps() {
        // 100 mm at 50 mm/s and 100 mm/s²: half a second up, half a second down, 75 mm between.
        assert!((move_time(100.0, 50.0, 100.0) - 2.5).abs() < 1e-12);
        // 1 mm at 100 mm/s² never reaches 50 mm/s: twice sqrt(2 · 0.5 / 100).
        assert!((move_time(1.0, 50.0, 100.0) - 0.2).abs() < 1e-12);
    }

    #[test]
    fn corners_stop_the_machine_and_tight_arcs_slow_it() {
        let line = |x: f64, y: f64, u: f64, v: f64| Segment::Line {
            start: Point::new(x, y),
            end: Point::new(u, v),
        };
        let straight = [line(0.0, 0.0, 50.0, 0.0), line(50.0, 0.0, 100.0, 0.0)];
        assert!((run_time(&at(&straight), 100.0) - 2.5).abs() < 1e-12);
        let corner = [line(0.0, 0.0, 50.0, 0.0), line(50.0, 0.0, 50.0, 50.0)];
        assert!((run_time(&at(&corner), 100.0) - 3.0).abs() < 1e-12);
        // A circle of 1 mm radius at 100 mm/s² is rounded at 10 mm/s.
        let circle = Contour::circle(Point::ORIGIN, 1.0);
        let time = run_time(&at(circle.segments()), 100.0);
        assert!((time - (std::f64::consts::TAU / 10.0 + 0.1)).abs() < 1e-9);
    }
}
