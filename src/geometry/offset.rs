//! Offsets: a region grown or shrunk by a distance.
//!
//! Growing unites the region with a band along each of its edges and a disc at each of its
//! corners; shrinking takes them away. Summed up as closed chains, what the bands and discs share
//! with one another and with the region cancels, and one chain for each contour is left: the
//! offset edges, an arc about each corner that opens, and at each corner that closes a spike to
//! the corner and back. What it winds around is the offset region.

use super::piece::{Chain, Scene, oriented};
use super::tolerance::Tolerance;
use super::{Contour, Point, Region, Segment, Turning, Vector};

/// The scene whose only source winds around the offset region.
pub(super) fn offset_scene(region: &Region, distance: f64, tolerance: &Tolerance) -> Scene {
    let mut chains = Vec::new();
    for contour in oriented(region) {
        let mut outline = Outline {
            distance,
            tolerance,
            segments: Vec::with_capacity(3 * contour.segments().len()),
            discs: Vec::new(),
        };
        outline.follow(&contour);
        let discs = std::mem::take(&mut outline.discs);
        let main = outline.segments;
        chains.extend(std::iter::once(main).chain(discs).map(|segments| Chain {
            source: 0,
            segments,
        }));
    }
    Scene { chains, sources: 1 }
}

/// The chain of one contour in the making.
struct Outline<'a> {
    distance: f64,
    tolerance: &'a Tolerance,
    segments: Vec<Segment>,
    discs: Vec<Vec<Segment>>,
}

/// One edge of the contour and what becomes of it.
struct Side {
    start: Point,
    end: Point,
    /// Unit normals to the right of travel at both ends.
    normals: (Vector, Vector),
    directions: (Vector, Vector),
    /// The offset edge; none for an arc that shrinks to its centre or past it.
    moved: Option<Segment>,
    /// Where an arc without offset edge has gone.
    centre: Point,
}

impl Outline<'_> {
    fn follow(&mut self, contour: &Contour) {
        let sides: Vec<Side> = contour
            .segments()
            .iter()
            .map(|segment| self.side(segment))
            .collect();
        for (i, side) in sides.iter().enumerate() {
            if let Some(segment) = side.moved {
                self.segments.push(segment);
            } else {
                self.line(side.start, side.centre);
                self.line(side.centre, side.end);
            }
            self.corner(side, &sides[(i + 1) % sides.len()]);
        }
    }

    fn side(&self, segment: &Segment) -> Side {
        let (start, end) = (segment.start(), segment.end());
        let directions = (segment.direction_at(0.0), segment.direction_at(1.0));
        let right = |v: Vector| -v.left();
        let normals = (right(directions.0), right(directions.1));
        let (from, to) = (
            start + normals.0 * self.distance,
            end + normals.1 * self.distance,
        );
        let (moved, centre) = match *segment {
            Segment::Line { .. } => (
                Some(Segment::Line {
                    start: from,
                    end: to,
                }),
                start,
            ),
            Segment::Arc {
                centre,
                radius,
                turning,
                ..
            } => {
                let size = radius + self.distance * turning.sign();
                let arc = Segment::Arc {
                    start: from,
                    end: to,
                    centre,
                    radius: size,
                    turning,
                };
                ((size > self.tolerance.join).then_some(arc), centre)
            }
        };
        Side {
            start,
            end,
            normals,
            directions,
            moved,
            centre,
        }
    }

    /// From where one side has ended to where the next starts.
    fn corner(&mut self, before: &Side, after: &Side) {
        let corner = after.start;
        let (from, to) = (
            before.end + before.normals.1 * self.distance,
            corner + after.normals.0 * self.distance,
        );
        let (travel, onward) = (before.directions.1, after.directions.0);
        let turn = travel.turn_to(onward);
        let whole = before.moved.is_some() && after.moved.is_some();
        if whole && from.distance(to) <= self.tolerance.touch {
            return;
        }
        if turn.abs() > std::f64::consts::PI - self.tolerance.cusp {
            // Which way a half turn goes is a matter of rounding: a whole disc is right either way.
            let disc = Contour::circle(corner, self.distance.abs());
            let disc = if self.distance > 0.0 {
                disc
            } else {
                disc.reversed()
            };
            self.discs.push(disc.segments().to_vec());
            self.spike(before, corner, after, from, to);
        } else if turn * self.distance > 0.0 {
            if before.moved.is_none() {
                self.line(corner, from);
            }
            self.arc(from, to, corner, turn);
            if after.moved.is_none() {
                self.line(to, corner);
            }
        } else {
            self.spike(before, corner, after, from, to);
        }
    }

    fn spike(&mut self, before: &Side, corner: Point, after: &Side, from: Point, to: Point) {
        if before.moved.is_some() {
            self.line(from, corner);
        }
        if after.moved.is_some() {
            self.line(corner, to);
        }
    }

    fn arc(&mut self, start: Point, end: Point, centre: Point, turn: f64) {
        self.segments.push(Segment::Arc {
            start,
            end,
            centre,
            radius: self.distance.abs(),
            turning: Turning::of(turn),
        });
    }

    fn line(&mut self, start: Point, end: Point) {
        self.segments.push(Segment::Line { start, end });
    }
}
