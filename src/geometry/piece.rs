//! Closed chains of segments cut into pieces that are monotone in x and y.
//!
//! In: chains, each belonging to a source. Out: points and pieces between them; the pieces of a
//! chain still follow one another point by point, so every chain stays closed whatever happens to
//! the points.

use super::curve::Curve;
use super::tolerance::Tolerance;
use super::{Bounds, Contour, Point, Pose, Region, Segment, Turning, Unresolved, Vector};

/// A closed chain of segments of one source. Unlike a [`Contour`] it may cross itself.
#[derive(Debug, Clone)]
pub(super) struct Chain {
    pub(super) source: usize,
    pub(super) segments: Vec<Segment>,
}

/// Everything that goes into one arrangement.
#[derive(Debug, Clone)]
pub(super) struct Scene {
    pub(super) chains: Vec<Chain>,
    pub(super) sources: usize,
}

/// A line, or an arc of at most a quarter turn within one quadrant of its circle.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    pub(super) source: usize,
    /// Where it starts: a place in [`Pieces::points`].
    pub(super) from: usize,
    /// Where it ends.
    pub(super) to: usize,
    pub(super) curve: Curve,
    pub(super) bounds: Bounds,
}

/// Pieces and the points they run between.
#[derive(Debug, Default)]
pub(super) struct Pieces {
    pub(super) points: Vec<Point>,
    pub(super) pieces: Vec<Piece>,
}

impl Scene {
    /// One source for each region, outsides counter-clockwise and openings clockwise.
    pub(super) fn of_regions(regions: &[Region]) -> Self {
        let mut chains = Vec::new();
        for (source, region) in regions.iter().enumerate() {
            for contour in oriented(region) {
                chains.push(Chain {
                    source,
                    segments: contour.segments().to_vec(),
                });
            }
        }
        Self {
            chains,
            sources: regions.len(),
        }
    }

    /// Refuses coordinates that are no numbers or out of reach.
    pub(super) fn validate(&self, tolerance: &Tolerance) -> Result<(), Unresolved> {
        let sound = |p: Point| p.x.abs() <= tolerance.reach && p.y.abs() <= tolerance.reach;
        let segments = self.chains.iter().flat_map(|chain| &chain.segments);
        for segment in segments {
            let whole = match segment {
                Segment::Line { start, end } => sound(*start) && sound(*end),
                Segment::Arc {
                    start,
                    end,
                    centre,
                    radius,
                    ..
                } => {
                    sound(*start)
                        && sound(*end)
                        && sound(*centre)
                        && (0.0..=tolerance.reach).contains(radius)
                }
            };
            if !whole {
                return Err(Unresolved::Unclear(format!(
                    "a coordinate is not a number or lies beyond {} mm",
                    tolerance.reach
                )));
            }
        }
        Ok(())
    }

    /// The scene turned about the origin, angle in radians.
    pub(super) fn turned(&self, angle: f64) -> Self {
        let pose = Pose::new(angle, Vector::new(0.0, 0.0));
        let chains = self
            .chains
            .iter()
            .map(|chain| Chain {
                source: chain.source,
                segments: chain.segments.iter().map(|s| s.posed(&pose)).collect(),
            })
            .collect();
        Self {
            chains,
            sources: self.sources,
        }
    }

    /// The pieces of every chain.
    pub(super) fn pieces(&self, tolerance: &Tolerance) -> Pieces {
        let mut pieces = Pieces::default();
        for chain in &self.chains {
            pieces.add_chain(chain, tolerance);
        }
        pieces
    }
}

/// The contours of a region as the kernel wants them turned, whichever way they were given.
pub(super) fn oriented(region: &Region) -> impl Iterator<Item = Contour> {
    region.faces.iter().flat_map(|face| {
        let openings = face.openings.iter();
        let openings = openings.map(|opening| opening.with_sense(-1.0));
        std::iter::once(face.outside.with_sense(1.0)).chain(openings)
    })
}

impl Pieces {
    fn add_chain(&mut self, chain: &Chain, tolerance: &Tolerance) {
        let first_point = self.points.len();
        let first_piece = self.pieces.len();
        let count = chain.segments.len();
        for (i, segment) in chain.segments.iter().enumerate() {
            let start = segment.start();
            let end = chain.segments[(i + 1) % count].start();
            match *segment {
                Segment::Arc {
                    centre,
                    radius,
                    turning,
                    ..
                } => {
                    let circle = seated(start, end, centre, radius, turning, tolerance);
                    self.add_arc(chain.source, start, end, circle, tolerance);
                }
                Segment::Line { .. } => self.add_line(chain.source, start, end),
            }
        }
        // Close the chain: each piece ends where the next starts.
        let last = self.pieces.len();
        for i in first_piece..last {
            let next = if i + 1 < last { i + 1 } else { first_piece };
            self.pieces[i].to = self.pieces[next].from;
        }
        debug_assert!(last > first_piece || self.points.len() == first_point);
    }

    fn add_line(&mut self, source: usize, start: Point, end: Point) {
        if let Some(curve) = Curve::carrying(&Segment::Line { start, end }) {
            self.push(source, start, end, curve);
        }
    }

    fn add_arc(
        &mut self,
        source: usize,
        start: Point,
        end: Point,
        circle: Curve,
        tolerance: &Tolerance,
    ) {
        let Curve::Circle {
            centre,
            radius,
            turning,
        } = circle
        else {
            return self.add_line(source, start, end);
        };
        let mut at = start;
        for cut in quadrant_cuts(start, end, centre, radius, turning) {
            if cut.distance(at) > tolerance.weld && cut.distance(end) > tolerance.weld {
                self.push(source, at, cut, circle);
                at = cut;
            }
        }
        if at != end {
            self.push(source, at, end, circle);
        }
    }

    fn push(&mut self, source: usize, start: Point, end: Point, curve: Curve) {
        let from = self.points.len();
        self.points.push(start);
        self.pieces.push(Piece {
            source,
            from,
            to: from,
            curve,
            bounds: Bounds::around([start, end]),
        });
    }
}

/// The circle of an arc that truly passes through both ends: as given if it does within `touch`,
/// else of the same radius if that reaches, with the centre moved as little as possible. A line if
/// the ends coincide.
fn seated(
    start: Point,
    end: Point,
    centre: Point,
    radius: f64,
    turning: Turning,
    tolerance: &Tolerance,
) -> Curve {
    let miss = |p: Point| (p.distance(centre) - radius).abs();
    if miss(start).max(miss(end)) <= tolerance.touch {
        return Curve::Circle {
            centre,
            radius,
            turning,
        };
    }
    let chord = end - start;
    let Some(along) = chord.unit() else {
        return Curve::Line {
            origin: start,
            direction: Vector::new(1.0, 0.0),
        };
    };
    let half = chord.length() / 2.0;
    let radius = radius.max(half);
    let rise = ((radius - half) * (radius + half)).max(0.0).sqrt();
    let side = if along.cross(centre - start) >= 0.0 {
        1.0
    } else {
        -1.0
    };
    Curve::Circle {
        centre: start.lerp(end, 0.5) + along.left() * (side * rise),
        radius,
        turning,
    }
}

/// The points straight right, above, left and below the centre that an arc of at most a half turn
/// passes, in order.
fn quadrant_cuts(
    start: Point,
    end: Point,
    centre: Point,
    radius: f64,
    turning: Turning,
) -> impl Iterator<Item = Point> {
    let quarter = std::f64::consts::FRAC_PI_2;
    let from = (start - centre).angle();
    let sweep = Segment::Arc {
        start,
        end,
        centre,
        radius,
        turning,
    }
    .sweep();
    // An arc never sweeps more than a half turn: more is the rounding of nearly nothing.
    let sweep = if sweep.abs() > 3.0 * quarter {
        0.0
    } else {
        sweep
    };
    let low = (from.min(from + sweep) / quarter).ceil() as i64;
    let high = (from.max(from + sweep) / quarter).floor() as i64;
    let count = (high - low + 1).max(0);
    (0..count).map(move |i| {
        let k = if sweep > 0.0 { low + i } else { high - i };
        let (dx, dy) = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)][k.rem_euclid(4) as usize];
        centre + Vector::new(dx, dy) * radius
    })
}
