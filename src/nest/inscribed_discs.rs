//! Discs that stand in for a shape where a rough answer will do.
//!
//! In: loops of a shape. Out: a few large discs within the metal, each as far from the edge and from
//! the discs before it as can be. Two shapes whose discs meet overlap for certain, and how far the
//! discs reach into one another is a smooth measure of how deep.

use std::collections::BinaryHeap;

use super::{Polygon, polygon};
use crate::geometry::{Bounds, Point};

/// The most discs a shape gets.
pub(super) const MOST: usize = 16;
/// Discs are added until they cover this share of the area.
const COVER: f64 = 0.9;
/// The smallest disc worth having, as a share of the largest.
const SMALLEST: f64 = 0.08;
/// Squares looked at for one disc: in a sliver a thousand times as long as wide there is no end of them.
const MOST_CELLS: usize = 2_000;
/// How near to the largest possible radius the search for a disc comes.
const PRECISION: f64 = 0.02;

/// A disc within a shape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct InscribedDisc {
    pub(super) centre: Point,
    pub(super) radius: f64,
}

/// The discs of a shape, the largest first; never empty for loops that bound an area.
pub(super) fn inscribed_discs(
    loops: &[Polygon],
    widest: Option<InscribedDisc>,
) -> Vec<InscribedDisc> {
    let area: f64 = loops.iter().map(|ring| polygon::signed_area(ring)).sum();
    let mut inscribed: Vec<InscribedDisc> = Vec::new();
    let mut covered = 0.0;
    while inscribed.len() < MOST && covered < COVER * area {
        let smallest = inscribed
            .first()
            .map_or(0.0, |first| first.radius * SMALLEST);
        let next = match inscribed.first() {
            None => widest,
            Some(_) => next_disc(loops, &inscribed, smallest),
        };
        let Some(disc) = next else {
            break;
        };
        covered += std::f64::consts::PI * disc.radius * disc.radius;
        inscribed.push(disc);
    }
    inscribed
}

/// The widest disc within the metal, to within [`PRECISION`].
pub(super) fn widest(loops: &[Polygon]) -> Option<InscribedDisc> {
    next_disc(loops, &[], 0.0)
}

/// A square still to be searched: its best possible radius decides its turn.
struct Cell {
    centre: Point,
    half: f64,
    radius: f64,
}

impl Cell {
    fn new(centre: Point, half: f64, loops: &[Polygon], inscribed: &[InscribedDisc]) -> Self {
        Self {
            centre,
            half,
            radius: room_at(centre, loops, inscribed),
        }
    }

    fn best_possible(&self) -> f64 {
        self.radius + self.half * std::f64::consts::SQRT_2
    }
}

impl PartialEq for Cell {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Cell {}

impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Cell {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.best_possible().total_cmp(&other.best_possible())
    }
}

/// The largest disc beside those given, if one is larger than `smallest`: squares are halved, the
/// most promising first, until none can hold a disc larger by more than the precision.
fn next_disc(
    loops: &[Polygon],
    inscribed: &[InscribedDisc],
    smallest: f64,
) -> Option<InscribedDisc> {
    let bounds = loops
        .iter()
        .fold(Bounds::EMPTY, |all, ring| all.union(polygon::bounds(ring)));
    let size = bounds.width().min(bounds.height());
    if size <= 0.0 {
        return None;
    }
    let mut cells = BinaryHeap::new();
    let across = |extent: f64| (extent / size).ceil().clamp(1.0, 64.0) as usize;
    for i in 0..across(bounds.width()) {
        for j in 0..across(bounds.height()) {
            let corner = Point::new(
                bounds.min.x + size * i as f64,
                bounds.min.y + size * j as f64,
            );
            let centre = Point::new(corner.x + size / 2.0, corner.y + size / 2.0);
            cells.push(Cell::new(centre, size / 2.0, loops, inscribed));
        }
    }
    let mut best: Option<InscribedDisc> = None;
    for _ in 0..MOST_CELLS {
        let Some(cell) = cells.pop() else { break };
        let radius = best.map_or(smallest, |disc| disc.radius);
        if cell.best_possible() <= radius * (1.0 + PRECISION) || cell.half < size * 1e-6 {
            break;
        }
        if cell.radius > radius {
            best = Some(InscribedDisc {
                centre: cell.centre,
                radius: cell.radius,
            });
        }
        let half = cell.half / 2.0;
        for (dx, dy) in [(-half, -half), (half, -half), (-half, half), (half, half)] {
            let centre = Point::new(cell.centre.x + dx, cell.centre.y + dy);
            cells.push(Cell::new(centre, half, loops, inscribed));
        }
    }
    best
}

/// The radius of the largest disc about a point that stays in the metal and off the given discs;
/// negative outside.
fn room_at(p: Point, loops: &[Polygon], inscribed: &[InscribedDisc]) -> f64 {
    let inside = loops
        .iter()
        .filter(|ring| polygon::encloses(ring, p))
        .count()
        % 2
        == 1;
    let edge = loops
        .iter()
        .map(|ring| polygon::distance_to_edges(ring, p))
        .fold(f64::INFINITY, f64::min);
    let signed = if inside { edge } else { -edge };
    inscribed
        .iter()
        .map(|disc| polygon::distance(disc.centre, p) - disc.radius)
        .fold(signed, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_pole_of_a_rectangle_is_as_wide_as_its_short_side() {
        let rectangle = [(0.0, 0.0), (30.0, 0.0), (30.0, 10.0), (0.0, 10.0)];
        let loops = vec![rectangle.map(|(x, y)| Point::new(x, y)).to_vec()];
        let inscribed = inscribed_discs(&loops, widest(&loops));
        assert!(inscribed[0].radius <= 5.0 && inscribed[0].radius > 4.8);
        for (i, disc) in inscribed.iter().enumerate() {
            assert!(disc.radius <= polygon::distance_to_edges(&loops[0], disc.centre) + 1e-9);
            for other in &inscribed[..i] {
                let gap = disc.centre.distance(other.centre) - disc.radius - other.radius;
                assert!(gap > -1e-9);
            }
        }
    }
}
