//! The closed kerf path around one contour, in the direction of travel.
//!
//! In: a nominal contour grown or shrunk by half the kerf, and the side its scrap lies on. Out:
//! places where a lead may join it ([`PathPoint`]), and the run from one of them all the way round.

use crate::geometry::{Contour, Point, Segment, Turning, Vector};

/// A closed kerf path in the direction of travel.
#[derive(Debug, Clone)]
pub(super) struct KerfPath {
    segments: Vec<Segment>,
    /// On which side of the travel the scrap lies: leads come from there.
    pub(super) scrap: Turning,
}

/// What kind of contour a kerf path goes around.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum EdgeKind {
    /// The outside of a plate: the scrap is around it.
    Outside,
    /// An opening: the scrap is in it.
    Opening,
}

/// A place on a kerf path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PathPoint {
    /// Where.
    pub(super) at: Point,
    /// Direction of travel there.
    pub(super) direction: Vector,
    /// The segment it lies on.
    segment: usize,
    /// How far along that segment, 0 to 1.
    share: f64,
}

/// Splitting a kerf path nearer than this to a corner, mm, would leave a sliver: the corner is taken.
const SLIVER: f64 = 1e-3;

impl KerfPath {
    /// The kerf path along a closed contour, so run that its scrap lies on the side `scrap`.
    pub(super) fn new(contour: &Contour, edge: EdgeKind, scrap: Turning) -> Self {
        let scrap_is_enclosed = edge == EdgeKind::Opening;
        let run_left = (scrap == Turning::Left) == scrap_is_enclosed;
        let run = if run_left == (contour.signed_area() > 0.0) {
            contour.clone()
        } else {
            contour.reversed()
        };
        Self {
            segments: run.segments().to_vec(),
            scrap,
        }
    }

    /// Whether it is one circle.
    pub(super) fn is_round(&self) -> bool {
        let first = match self.segments[0] {
            Segment::Line { .. } => return false,
            Segment::Arc { centre, radius, .. } => (centre, radius),
        };
        self.segments.iter().all(|segment| {
            matches!(*segment, Segment::Arc { centre, radius, .. } if (centre, radius) == first)
        })
    }

    /// Length round it, mm.
    pub(super) fn length(&self) -> f64 {
        self.segments.iter().map(Segment::length).sum()
    }

    /// Places to start from: about `count` of them at even distances, and the middle of every piece.
    pub(super) fn spots(&self, count: u32) -> Vec<PathPoint> {
        let step = self.length() / f64::from(count.max(1));
        let mut spots = Vec::new();
        let mut next = 0.0;
        for (index, segment) in self.segments.iter().enumerate() {
            let length = segment.length();
            spots.push(self.spot(index, 0.5));
            while next < length {
                spots.push(self.spot(index, next / length));
                next += step;
            }
            next -= length;
        }
        spots
    }

    /// The place a share of the way along a piece; the corner itself if that is nearer than a sliver.
    fn spot(&self, segment: usize, share: f64) -> PathPoint {
        let length = self.segments[segment].length();
        let (segment, share) = if length * (1.0 - share) <= SLIVER {
            ((segment + 1) % self.segments.len(), 0.0)
        } else if length * share <= SLIVER {
            (segment, 0.0)
        } else {
            (segment, share)
        };
        let piece = &self.segments[segment];
        PathPoint {
            at: piece.point_at(share),
            direction: piece.direction_at(share),
            segment,
            share,
        }
    }

    /// How far along the kerf path a spot lies, mm.
    pub(super) fn position(&self, spot: &PathPoint) -> f64 {
        let before: f64 = self.segments[..spot.segment]
            .iter()
            .map(Segment::length)
            .sum();
        before + spot.share * self.segments[spot.segment].length()
    }

    /// The place so many mm along the kerf path, which goes round and round.
    pub(super) fn at(&self, position: f64) -> PathPoint {
        let mut left = position.rem_euclid(self.length());
        for (index, segment) in self.segments.iter().enumerate() {
            let length = segment.length();
            if left < length {
                return self.spot(index, left / length);
            }
            left -= length;
        }
        self.spot(0, 0.0)
    }

    /// The unit vector from a spot into the scrap.
    pub(super) fn towards_scrap(&self, spot: &PathPoint) -> Vector {
        spot.direction.left() * self.scrap.sign()
    }

    /// How the edge bends at a spot.
    pub(super) fn bend(&self, spot: &PathPoint) -> Curvature {
        match self.segments[spot.segment] {
            Segment::Line { .. } => Curvature::Straight,
            Segment::Arc { turning, .. } if turning == self.scrap => Curvature::AroundScrap,
            Segment::Arc { .. } => Curvature::AroundPart,
        }
    }

    /// Distance from a spot to the nearer corner of its piece, mm; infinite if the kerf path runs on
    /// smoothly at both ends. An arc of less than `tight` mm radius is a corner too.
    pub(super) fn margin(&self, spot: &PathPoint, tight: f64) -> f64 {
        let count = self.segments.len();
        let piece = &self.segments[spot.segment];
        let before = &self.segments[(spot.segment + count - 1) % count];
        let after = &self.segments[(spot.segment + 1) % count];
        if is_tight(piece, tight) {
            return 0.0;
        }
        let room = |share: f64, smooth: bool| {
            if smooth {
                f64::INFINITY
            } else {
                piece.length() * share
            }
        };
        let behind = room(
            spot.share,
            runs_on(before, piece) && !is_tight(before, tight),
        );
        let ahead = room(
            1.0 - spot.share,
            runs_on(piece, after) && !is_tight(after, tight),
        );
        behind.min(ahead)
    }

    /// Once all the way round from a spot.
    pub(super) fn round_from(&self, spot: &PathPoint) -> Vec<Segment> {
        let (before, after) = self.segments.split_at(spot.segment);
        if spot.share == 0.0 {
            return [after, before].concat();
        }
        let (head, tail) = split(&after[0], spot.share);
        [&[tail], &after[1..], before, &[head]].concat()
    }
}

/// How an edge bends where a lead may join it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Curvature {
    /// Not at all.
    Straight,
    /// The part bulges here.
    AroundPart,
    /// The part is hollow here.
    AroundScrap,
}

/// A bend of less than this, radians, is no corner.
const SMOOTH: f64 = 0.1;

fn runs_on(before: &Segment, after: &Segment) -> bool {
    let (from, to) = (before.direction_at(1.0), after.direction_at(0.0));
    from.turn_to(to).abs() < SMOOTH
}

fn is_tight(segment: &Segment, tight: f64) -> bool {
    matches!(segment, Segment::Arc { radius, .. } if *radius < tight)
}

/// The first `length` mm of a run; all of it if it is shorter.
pub(super) fn beginning(run: &[Segment], length: f64) -> Vec<Segment> {
    let mut left = length;
    let mut taken = Vec::new();
    for segment in run {
        if left <= SLIVER {
            break;
        }
        let own = segment.length();
        taken.push(if own > left {
            split(segment, left / own).0
        } else {
            *segment
        });
        left -= own;
    }
    taken
}

/// A piece in two at a share of its length.
fn split(segment: &Segment, share: f64) -> (Segment, Segment) {
    let middle = segment.point_at(share);
    match *segment {
        Segment::Line { start, end } => (
            Segment::Line { start, end: middle },
            Segment::Line { start: middle, end },
        ),
        Segment::Arc {
            start,
            end,
            centre,
            radius,
            turning,
        } => {
            let part = |start, end| Segment::Arc {
                start,
                end,
                centre,
                radius,
                turning,
            };
            (part(start, middle), part(middle, end))
        }
    }
}
