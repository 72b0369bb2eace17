//! Proof that a finished layout is sound, by other code than that which made it.
//!
//! In: a layout, and either the polygons it was made from or the true lines and arcs of what the
//! torch burns. Out: every [`Flaw`] found; none means that no two parts come too near one another
//! and that everything lies within its sheet. Double precision throughout; quadratic and slow on
//! purpose, because there is nothing clever in it to go wrong.

use std::fmt;

use super::{Layout, Piece, Polygon, SheetLayout, Stock, layout, polygon};
use crate::geometry::{Bounds, Contour, Point, Region, Vector};

/// Polygons may reach this far into one another, mm: rounding of poses, nothing more.
const OVERLAP: f64 = 1e-5;
/// True outlines may come nearer than the web by this much, mm.
const NEARNESS: f64 = 1e-4;

/// What is wrong with a layout.
#[derive(Debug, Clone, PartialEq)]
pub struct Flaw {
    /// Index of the sheet.
    pub sheet: usize,
    /// Index of the placement on it.
    pub placement: usize,
    /// What it runs into.
    pub with: Obstacle,
    /// How near they come, mm, where that was measured; 0 for an overlap.
    pub distance: f64,
}

/// What a placement can run into.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Obstacle {
    /// Another placement on the same sheet.
    Placement(usize),
    /// The edge of the usable area.
    Edge,
    /// A spot to avoid, by its index.
    Avoided(usize),
}

impl fmt::Display for Flaw {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "sheet {}: placement {} comes within {:.4} mm of ",
            self.sheet + 1,
            self.placement + 1,
            self.distance
        )?;
        match self.with {
            Obstacle::Placement(other) => write!(f, "placement {}", other + 1),
            Obstacle::Edge => f.write_str("the edge of the sheet"),
            Obstacle::Avoided(_) => f.write_str("a spot to avoid"),
        }
    }
}

/// Every overlap of the polygons a layout was made from, and every one that leaves its sheet.
#[must_use]
pub fn on_polygons(pieces: &[Piece], stock: &[Stock], layout: &Layout) -> Vec<Flaw> {
    let mut flaws = Vec::new();
    let pieces = layout::by_index(pieces);
    for (sheet, laid) in layout.sheets.iter().enumerate() {
        let shapes: Vec<Loops> =
            laid.placements
                .iter()
                .map(|placement| {
                    let piece = pieces[&placement.piece];
                    let rings = std::iter::once(&piece.outline).chain(&piece.windows);
                    Loops::new(rings.map(|ring| {
                        polygon::posed(ring, placement.pose.turn, placement.pose.shift)
                    }))
                })
                .collect();
        let line = &stock[laid.stock];
        let usable = Loops::new(std::iter::once(line.usable.clone()));
        let avoid: Vec<Loops> = line
            .avoid
            .iter()
            .map(|spot| Loops::new(std::iter::once(spot.clone())))
            .collect();
        let flaw = |placement, with| Flaw {
            sheet,
            placement,
            with,
            distance: 0.0,
        };
        for (i, shape) in shapes.iter().enumerate() {
            if !shape.lies_in(&usable) {
                flaws.push(flaw(i, Obstacle::Edge));
            }
            let others = (0..i).map(|j| (Obstacle::Placement(j), &shapes[j]));
            let spots = avoid.iter().enumerate();
            let obstacles = others.chain(spots.map(|(k, spot)| (Obstacle::Avoided(k), spot)));
            for (with, other) in obstacles {
                if shape.overlaps(other) {
                    flaws.push(flaw(i, with));
                }
            }
        }
    }
    flaws
}

/// A region as loops; a place is inside if an odd number of loops go round it.
struct Loops {
    rings: Vec<Polygon>,
    bounds: Bounds,
}

impl Loops {
    fn new(rings: impl Iterator<Item = Polygon>) -> Self {
        let rings: Vec<Polygon> = rings.collect();
        let bounds = rings
            .iter()
            .fold(Bounds::EMPTY, |all, ring| all.union(polygon::bounds(ring)));
        Self { rings, bounds }
    }

    fn edges(&self) -> impl Iterator<Item = (Point, Point)> {
        self.rings.iter().flat_map(|ring| polygon::edges(ring))
    }

    /// Whether a point lies inside and farther than the tolerance from every edge.
    fn holds_well(&self, p: Point) -> bool {
        self.holds(p)
            && self
                .edges()
                .all(|(a, b)| polygon::distance_to_stretch(p, a, b) > OVERLAP)
    }

    fn holds(&self, p: Point) -> bool {
        self.rings
            .iter()
            .filter(|ring| polygon::encloses(ring, p))
            .count()
            % 2
            == 1
    }

    /// Points of the edge between its meetings with the edges of another: if the two overlap, some
    /// such point of one lies in the other, unless one is a copy of the other in the same place.
    fn samples<'a>(&'a self, other: &'a Self) -> impl Iterator<Item = Point> + 'a {
        self.edges()
            .filter(|(a, b)| Bounds::around([*a, *b]).grown(OVERLAP).meets(other.bounds))
            .flat_map(|(a, b)| {
                let mut cuts = vec![0.0, 1.0];
                cuts.extend(other.edges().filter_map(|(c, d)| crossing(a, b, c, d)));
                cuts.sort_by(f64::total_cmp);
                cuts.windows(2)
                    .map(|pair| a.lerp(b, f64::midpoint(pair[0], pair[1])))
                    .collect::<Vec<_>>()
            })
    }

    fn overlaps(&self, other: &Self) -> bool {
        self.bounds.meets(other.bounds)
            && (self.samples(other).any(|p| other.holds_well(p))
                || other.samples(self).any(|p| self.holds_well(p))
                || self.same_place_as(other))
    }

    /// Whether the two are the same outline: then no edge of one lies inside the other.
    fn same_place_as(&self, other: &Self) -> bool {
        let on_edge = |p: Point| {
            other
                .edges()
                .any(|(a, b)| polygon::distance_to_stretch(p, a, b) <= OVERLAP)
        };
        self.samples(other).all(on_edge) && self.rings.iter().flatten().all(|p| on_edge(*p))
    }

    /// Whether it lies within `walls`, to the tolerance.
    fn lies_in(&self, walls: &Self) -> bool {
        let outside = |p: Point| {
            !walls.holds(p)
                && walls
                    .edges()
                    .all(|(a, b)| polygon::distance_to_stretch(p, a, b) > OVERLAP)
        };
        !self.samples(walls).any(outside)
            && !self.rings.iter().flatten().any(|p| outside(*p))
            && !walls.samples(self).any(|p| self.holds_well(p))
    }
}

/// Where along the first stretch, 0 to 1, it meets the second.
fn crossing(a: Point, b: Point, c: Point, d: Point) -> Option<f64> {
    let (u, v) = (b - a, d - c);
    let turn = u.cross(v);
    if turn == 0.0 {
        return None;
    }
    let (s, t) = ((c - a).cross(v) / turn, (c - a).cross(u) / turn);
    ((0.0..=1.0).contains(&s) && (-1e-9..=1.0 + 1e-9).contains(&t)).then_some(s)
}

/// What the torch burns for one piece, in the piece's own coordinates.
#[derive(Debug, Clone, Copy)]
pub struct TrueShape<'a> {
    /// What is burnt and pierced around the outside, without openings.
    pub outline: &'a Region,
    /// The room left in its openings.
    pub rooms: &'a [(usize, Region)],
}

/// The true edge of a sheet, and how far to stay away from it.
#[derive(Debug, Clone, Copy)]
pub struct TrueSheet<'a> {
    /// The sheet or remnant, with any holes in it.
    pub edge: &'a Region,
    /// Least distance from its edge, mm.
    pub margin: f64,
}

/// Every pair of true outlines on one sheet that come nearer than `web` mm, and every one nearer to
/// the edge of the sheet than its margin. `shapes` are indexed as the placements name their pieces.
///
/// Distances are exact on lines and arcs; a shortfall of a ten-thousandth of a millimetre is let
/// pass as rounding.
#[must_use]
pub fn on_arcs(
    sheet: usize,
    layout: &SheetLayout,
    shapes: &[TrueShape],
    edge: TrueSheet,
    web: f64,
) -> Vec<Flaw> {
    let placed: Vec<Region> = layout
        .placements
        .iter()
        .map(|placement| shapes[placement.piece].outline.posed(&placement.pose))
        .collect();
    let rooms_of = |i: usize| {
        let placement = &layout.placements[i];
        shapes[placement.piece]
            .rooms
            .iter()
            .map(move |(_, room)| room.posed(&placement.pose))
    };
    let mut flaws = Vec::new();
    for (i, region) in placed.iter().enumerate() {
        let mut report = |with, distance| {
            flaws.push(Flaw {
                sheet,
                placement: i,
                with,
                distance,
            });
        };
        let room = distance_within(region, edge.edge);
        if room < edge.margin - NEARNESS {
            report(Obstacle::Edge, room.max(0.0));
        }
        for (j, other) in placed[..i].iter().enumerate() {
            let mut apart = distance_between(region, other, web);
            for (host, guest) in [(i, other), (j, region)] {
                if apart < web - NEARNESS {
                    apart = rooms_of(host)
                        .map(|room| distance_within(guest, &room))
                        .fold(apart, f64::max);
                }
            }
            if apart < web - NEARNESS {
                report(Obstacle::Placement(j), apart.max(0.0));
            }
        }
    }
    flaws
}

/// How near two regions come, mm; 0 if they overlap. Anything beyond `far` may be given as `far`.
fn distance_between(a: &Region, b: &Region, far: f64) -> f64 {
    if !a.bounds().grown(far).meets(b.bounds()) {
        return far;
    }
    if holds_a_point_of(a, b) || holds_a_point_of(b, a) {
        return 0.0;
    }
    edge_distance(a, b)
}

/// How far a region stays from the edge of one that is to hold it, mm; negative if it leaves it.
fn distance_within(inner: &Region, outer: &Region) -> f64 {
    let inside = inner.faces.iter().all(|face| {
        let start = face.outside.segments()[0].start();
        outer.contains(start)
    });
    let swallows_an_opening = outer
        .faces
        .iter()
        .flat_map(|face| &face.openings)
        .any(|opening| inner.contains(opening.segments()[0].start()));
    if inside && !swallows_an_opening {
        edge_distance(inner, outer)
    } else {
        -1.0
    }
}

fn holds_a_point_of(a: &Region, b: &Region) -> bool {
    b.faces
        .iter()
        .any(|face| a.contains(face.outside.segments()[0].start()))
}

fn edge_distance(a: &Region, b: &Region) -> f64 {
    let gaps = a
        .contours()
        .flat_map(|one| b.contours().map(move |other| one.gap_to(other).distance));
    gaps.fold(f64::INFINITY, f64::min)
}

/// A straight-sided sheet as a region, corners at the origin and at `size` mm.
#[must_use]
pub fn rectangle(size: Vector) -> Option<Region> {
    let corners = [
        Point::ORIGIN,
        Point::new(size.x, 0.0),
        Point::new(size.x, size.y),
        Point::new(0.0, size.y),
    ];
    Some(Region {
        faces: vec![crate::geometry::Face {
            outside: Contour::polygon(&corners)?,
            openings: Vec::new(),
        }],
    })
}
