//! A piece made ready for collision queries.
//!
//! In: a cleaned outline with its windows, about any origin. Out: a [`RigidShape`] about its own centre,
//! and for each turn a [`RotatedShape`] with boxes around runs of edges, so that two shapes far
//! apart or touching in one place are told apart in few steps.

use std::sync::OnceLock;

use super::convex_parts::{ConvexPart, convex_parts};
use super::discs::Discs;
use super::inscribed_discs::{self, InscribedDisc};
use super::{Polygon, polygon};
use crate::elementary;
use crate::geometry::{Bounds, Point, Vector};

/// Edges boxed together.
const RUN: usize = 6;

/// A shape that fills this share of the circle about it is a disc.
const DISC: f64 = 0.98;

/// A straight edge.
#[derive(Debug, Clone, Copy)]
pub(super) struct PolygonEdge {
    pub(super) from: Point,
    pub(super) to: Point,
}

impl PolygonEdge {
    pub(super) fn bounds(&self) -> Bounds {
        Bounds::around([self.from, self.to])
    }
}

/// A rigid form about its own centre.
#[derive(Debug, Clone)]
pub(super) struct RigidShape {
    /// Solid outlines counter-clockwise, openings clockwise.
    loops: Vec<Polygon>,
    /// Where its centre is in the coordinates it was given in.
    pub(super) centre: Vector,
    /// Its outline as convex parts; made when the search first asks for them.
    parts: OnceLock<Vec<ConvexPart>>,
    /// The widest disc within the metal, if there is one.
    pub(super) widest: Option<InscribedDisc>,
    /// Large discs within the metal, the widest first; made when the search first asks for them.
    inscribed: OnceLock<Vec<InscribedDisc>>,
    /// Area of its solid outlines, mm².
    pub(super) area: f64,
    /// Area of its convex hull, mm².
    pub(super) hull_area: f64,
    /// Its greatest extent, mm.
    pub(super) diameter: f64,
    /// The farthest it reaches from its centre, mm.
    reach: f64,
    /// Of a disc without openings, how far its nearest edge lies from its centre, mm.
    round: Option<f64>,
    /// Its convex hull.
    hull: Polygon,
    /// Directions of its longest hull edges, radians, longest first.
    pub(super) flats: Vec<f64>,
}

impl RigidShape {
    /// A shape from one outline (cleaned, counter-clockwise) and openings in it (the same).
    pub(super) fn new(outline: &[Point], openings: &[Polygon]) -> Self {
        let middle = polygon::bounds(outline).centre() - Point::ORIGIN;
        let centred =
            |points: &[Point]| -> Polygon { points.iter().map(|p| *p - middle).collect() };
        let mut loops = vec![centred(outline)];
        loops.extend(openings.iter().map(|opening| {
            let mut opening = centred(opening);
            opening.reverse();
            opening
        }));
        Self::of(loops, middle)
    }

    /// Several copies as one, each at a turn and with its centre at a place; about the middle of all.
    pub(super) fn joined(&self, places: &[(f64, Vector)]) -> Self {
        let copies = places.iter().flat_map(|(turn, at)| {
            let turned = rotation(*turn);
            self.loops
                .iter()
                .map(move |ring| ring.iter().map(|p| turned(*p) + *at).collect())
        });
        let loops: Vec<Polygon> = copies.collect();
        let middle = Bounds::around(loops.iter().flatten().copied()).centre() - Point::ORIGIN;
        let centred = loops
            .iter()
            .map(|ring| ring.iter().map(|p| *p - middle).collect());
        Self::of(centred.collect(), middle)
    }

    fn of(loops: Vec<Polygon>, centre: Vector) -> Self {
        let hull = polygon::hull(&loops.concat());
        let solid = || loops.iter().filter(|ring| polygon::signed_area(ring) > 0.0);
        let mut shape = Self {
            widest: inscribed_discs::widest(&loops),
            inscribed: OnceLock::new(),
            parts: OnceLock::new(),
            centre,
            area: solid().map(|ring| polygon::signed_area(ring)).sum(),
            hull_area: polygon::signed_area(&hull),
            diameter: polygon::diameter(&hull),
            reach: farthest(hull.iter().copied()),
            round: None,
            flats: flats(&hull),
            hull,
            loops,
        };
        if let ([ring], true) = (shape.loops.as_slice(), shape.is_disc()) {
            shape.round = Some(polygon::distance_to_edges(ring, Point::ORIGIN));
        }
        shape
    }

    /// Its convex hull, about its centre.
    pub(super) fn hull(&self) -> &[Point] {
        &self.hull
    }

    /// Whether turning it changes nothing to speak of.
    pub(super) fn is_disc(&self) -> bool {
        self.area > DISC * std::f64::consts::PI * (self.diameter / 2.0).powi(2)
    }

    /// The shape turned about its centre, for one place after the other: of its discs it has the widest
    /// alone, the others would take longer to find than they save.
    pub(super) fn turned(&self, turn: f64) -> RotatedShape {
        let mut rotated = RotatedShape::default();
        self.sketch(turn, self.widest.as_slice(), &mut rotated);
        self.complete(&mut rotated);
        rotated
    }

    /// The shape turned about its centre, with all its discs.
    pub(super) fn turned_with_discs(&self, turn: f64) -> RotatedShape {
        let mut rotated = RotatedShape::default();
        self.sketch_into(turn, &mut rotated);
        self.complete(&mut rotated);
        rotated
    }

    /// Its outline as convex parts.
    pub(super) fn parts(&self) -> &[ConvexPart] {
        self.parts.get_or_init(|| {
            let solid = self
                .loops
                .iter()
                .filter(|it| polygon::signed_area(it) > 0.0);
            solid.flat_map(|ring| convex_parts(ring)).collect()
        })
    }

    fn inscribed(&self) -> &[InscribedDisc] {
        self.inscribed
            .get_or_init(|| inscribed_discs::inscribed_discs(&self.loops, self.widest))
    }

    /// The box around the turned shape and its discs, but not its edges: enough to tell most bad
    /// places, at a fraction of the work.
    pub(super) fn sketch_into(&self, turn: f64, rotated: &mut RotatedShape) {
        self.sketch(turn, self.inscribed(), rotated);
    }

    fn sketch(&self, turn: f64, discs: &[InscribedDisc], rotated: &mut RotatedShape) {
        let turned = rotation(turn);
        rotated.edges.clear();
        rotated.runs.clear();
        rotated.bounds = Bounds::EMPTY;
        rotated.slanted = Bounds::EMPTY;
        for p in self.hull.iter().map(|p| turned(*p)) {
            rotated.bounds = rotated.bounds.including(p);
            rotated.slanted = rotated.slanted.including(slanted(p - Point::ORIGIN));
        }
        rotated.discs = Discs::new(discs.iter().map(|disc| InscribedDisc {
            centre: turned(disc.centre),
            radius: disc.radius,
        }));
        rotated.witness = self
            .widest
            .map_or(Point::ORIGIN, |disc| turned(disc.centre));
        rotated.reach = self.reach;
        rotated.round = self.round;
        rotated.turn = turn;
    }

    /// Adds the edges to a sketch.
    pub(super) fn complete(&self, rotated: &mut RotatedShape) {
        let turned = rotation(rotated.turn);
        rotated.edges.clear();
        for ring in &self.loops {
            let Some(last) = ring.last() else { continue };
            let mut from = turned(*last);
            for p in ring {
                let to = turned(*p);
                rotated.edges.push(PolygonEdge { from, to });
                from = to;
            }
        }
        rotated.box_runs();
    }
}

/// A place in coordinates that run along the diagonals: the sum and the difference of the usual ones.
pub(super) fn slanted(p: Vector) -> Point {
    Point::new(p.x + p.y, p.x - p.y)
}

/// A turn about the origin.
fn rotation(turn: f64) -> impl Fn(Point) -> Point {
    let (sin, cos) = elementary::sin_cos(turn);
    move |p| Point::new(p.x * cos - p.y * sin, p.x * sin + p.y * cos)
}

/// How far the farthest of these lies from the origin.
fn farthest(points: impl Iterator<Item = Point>) -> f64 {
    points
        .map(|p| polygon::distance(p, Point::ORIGIN))
        .fold(0.0, f64::max)
}

/// Directions of the longest edges of a hull, radians, longest first, near-equal ones once.
fn flats(hull: &[Point]) -> Vec<f64> {
    let mut sides: Vec<Vector> = polygon::edges(hull).map(|(a, b)| b - a).collect();
    sides.sort_by(|a, b| b.length().total_cmp(&a.length()));
    let mut flats: Vec<f64> = Vec::new();
    for side in sides {
        let angle = side.angle();
        let known = flats.iter().any(|flat| {
            elementary::sin(angle - flat).abs() < 0.02 && elementary::cos(angle - flat) > 0.0
        });
        if !known {
            flats.push(angle);
        }
        if flats.len() == 6 {
            break;
        }
    }
    flats
}

/// A shape at one turn, about its own centre.
#[derive(Debug, Clone)]
pub(super) struct RotatedShape {
    /// The turn, radians.
    pub(super) turn: f64,
    edges: Vec<PolygonEdge>,
    runs: Vec<Bounds>,
    /// The box around it.
    pub(super) bounds: Bounds,
    /// The box around it along the diagonals, in [`slanted`] coordinates; of walls there is none.
    pub(super) slanted: Bounds,
    /// The farthest it reaches from its centre, mm.
    pub(super) reach: f64,
    /// Of a disc without openings, how far its nearest edge lies from its centre, mm.
    pub(super) round: Option<f64>,
    /// A place well within the metal.
    pub(super) witness: Point,
    /// Its inscribed discs.
    pub(super) discs: Discs,
}

impl Default for RotatedShape {
    fn default() -> Self {
        Self {
            turn: 0.0,
            edges: Vec::new(),
            runs: Vec::new(),
            bounds: Bounds::EMPTY,
            slanted: Bounds::EMPTY,
            reach: 0.0,
            round: None,
            witness: Point::ORIGIN,
            discs: Discs::default(),
        }
    }
}

impl RotatedShape {
    /// The edges of an outline about a place, and nothing else.
    pub(super) fn of_edges(outline: &[Point], about: Vector) -> Self {
        let mut rotated = Self::default();
        rotated
            .edges
            .extend(polygon::edges(outline).map(|(from, to)| PolygonEdge {
                from: from - about,
                to: to - about,
            }));
        rotated.box_runs();
        rotated.reach = farthest(rotated.edges.iter().map(|edge| edge.from));
        rotated.bounds = rotated
            .runs
            .iter()
            .fold(Bounds::EMPTY, |all, run| all.union(*run));
        rotated
    }

    #[inline]
    fn box_runs(&mut self) {
        self.runs.clear();
        self.runs.extend(
            self.edges
                .chunks(RUN)
                .map(|run| Bounds::around(run.iter().flat_map(|edge| [edge.from, edge.to]))),
        );
    }

    /// Runs of neighbouring edges, each with the box around it.
    pub(super) fn runs(&self) -> impl Iterator<Item = (&Bounds, &[PolygonEdge])> {
        self.runs.iter().zip(self.edges.chunks(RUN))
    }

    /// Whether a point (about the shape's centre) lies in the metal.
    pub(super) fn encloses(&self, p: Point) -> bool {
        self.edges
            .iter()
            .filter(|edge| polygon::passes_right_of(edge.from, edge.to, p))
            .count()
            % 2
            == 1
    }
}
