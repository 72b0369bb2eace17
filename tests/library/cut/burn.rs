//! A torch of our own for tests: burns paths with a disc of the kerf on fine chords, with an engine
//! that the library's cut paths know nothing of.

#![allow(unreachable_pub, reason = "shared by test files")]

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use platewright::geometry::{Contour, Point, Segment, Turning, Vector};
use rstar::primitives::Line;
use rstar::{PointDistance, RTree};

/// Chord tolerance of paths and of the kerf's disc, mm.
pub const CHORD: f64 = 0.002;

type Ring = Vec<[f64; 2]>;

/// A piece of metal left over: its outline and the holes in it, as polygons.
pub type Piece = Vec<Vec<Point>>;

/// What is left of a sheet after some torch runs.
pub fn burn<'a>(
    sheet: &[Point],
    runs: impl IntoIterator<Item = &'a [Segment]>,
    kerf: f64,
) -> Vec<Piece> {
    let subject: Vec<Ring> = vec![ring(sheet)];
    let burnt: Vec<Ring> = runs
        .into_iter()
        .flatten()
        .flat_map(|segment| {
            let chain = segment.flattened(CHORD);
            chain
                .windows(2)
                .map(|w| stadium(w[0], w[1], kerf / 2.0))
                .collect::<Vec<_>>()
        })
        .collect();
    subject
        .overlay(&burnt, OverlayRule::Difference, FillRule::NonZero)
        .into_iter()
        .map(|piece| {
            piece
                .iter()
                .map(|r| r.iter().map(|p| Point::new(p[0], p[1])).collect())
                .collect()
        })
        .collect()
}

/// Everything within `radius` of a chord; the round ends as chords with their corners on the circle.
fn stadium(from: Point, to: Point, radius: f64) -> Ring {
    let heading = (to - from).angle();
    let steps = (std::f64::consts::PI / (2.0 * (1.0 - CHORD / radius).acos())).ceil() as u32;
    let end = |centre: Point, start: f64| {
        (0..=steps).map(move |i| {
            let angle = start + std::f64::consts::PI * f64::from(i) / f64::from(steps);
            let p = centre + Vector::from_angle(angle) * radius;
            [p.x, p.y]
        })
    };
    let quarter = std::f64::consts::FRAC_PI_2;
    end(to, heading - quarter)
        .chain(end(from, heading + quarter))
        .collect()
}

fn ring(points: &[Point]) -> Ring {
    points.iter().map(|p| [p.x, p.y]).collect()
}

/// Whether a piece holds a point.
pub fn holds(piece: &Piece, p: Point) -> bool {
    piece.iter().filter(|ring| encloses(ring, p)).count() % 2 == 1
}

fn encloses(ring: &[Point], p: Point) -> bool {
    (0..ring.len()).fold(false, |inside, i| {
        let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
        let crosses =
            (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x);
        inside ^ crosses
    })
}

/// The edge of a piece, to measure from.
pub struct Rim(RTree<Line<[f64; 2]>>);

impl Rim {
    /// The edge of a piece.
    pub fn of(piece: &Piece) -> Self {
        let sides = piece.iter().flat_map(|ring| {
            (0..ring.len()).map(move |i| {
                let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
                Line::new([a.x, a.y], [b.x, b.y])
            })
        });
        Self(RTree::bulk_load(sides.collect()))
    }

    /// Distance of a point from it, mm.
    pub fn gap(&self, p: Point) -> f64 {
        let p = [p.x, p.y];
        let nearest = self.0.nearest_neighbor(p).expect("a piece has an edge");
        nearest.distance_2(&p).sqrt()
    }
}

/// Where an edge is hollow at a sharp corner, seen from the metal: a round kerf leaves a fillet there
/// that reaches `kerf / 2 / tan(half the angle of the gap)` from the corner.
pub struct Fillet {
    pub corner: Point,
    pub reach: f64,
}

/// The fillets that a kerf leaves along a contour that runs with its metal on the left: in its hollow
/// corners, and where a hollow arc is tighter than half the kerf.
pub fn fillets(contour: &Contour, kerf: f64) -> Vec<Fillet> {
    let mut fillets = in_corners(contour, kerf);
    fillets.extend(
        contour
            .segments()
            .iter()
            .filter_map(|it| in_tight_arc(it, kerf)),
    );
    fillets
}

/// The fillet in the corner that a hollow arc rounds less than the kerf does.
fn in_tight_arc(segment: &Segment, kerf: f64) -> Option<Fillet> {
    let Segment::Arc {
        centre,
        radius,
        turning: Turning::Right,
        ..
    } = *segment
    else {
        return None;
    };
    let half = segment.sweep().abs() / 2.0;
    (radius < kerf / 2.0 && half < 1.5).then(|| {
        let out = (segment.point_at(0.5) - centre) * (1.0 / radius);
        Fillet {
            corner: centre + out * (radius / half.cos()),
            reach: kerf / 2.0 * half.tan(),
        }
    })
}

fn in_corners(contour: &Contour, kerf: f64) -> Vec<Fillet> {
    let segments = contour.segments();
    (0..segments.len())
        .filter_map(|i| {
            let (before, after) = (&segments[i], &segments[(i + 1) % segments.len()]);
            let (from, to) = (before.direction_at(1.0), after.direction_at(0.0));
            let turn = from.cross(to).atan2(from.dot(to));
            // Metal on the left: a turn to the right makes the gap narrower than a half turn.
            (turn < -1e-4).then(|| {
                let gap = std::f64::consts::PI + turn;
                let arcs = [before, after]
                    .iter()
                    .any(|s| matches!(s, Segment::Arc { .. }));
                let straight = kerf / 2.0 / (gap / 2.0).tan();
                // Curved sides close in or open up: allow for it.
                Fillet {
                    corner: before.end(),
                    reach: if arcs {
                        straight * 1.6 + 0.05
                    } else {
                        straight
                    },
                }
            })
        })
        .collect()
}
