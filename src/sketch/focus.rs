//! What follows a dimension: the edges that differ where it is a little larger.

use super::moving;
use crate::fault::Outcome;
use crate::geometry::{Contour, Point, Segment, Tolerance};
use crate::plate::Plate;
use crate::quantity::Scope;
use crate::recipe::{Part, unruled};

/// The edges of each plate of a part that move with a dimension; none where it moves none, and none
/// of a dimension that it does not have. Dimensions that follow from it move along.
pub fn edges_moved_by(
    part: &Part,
    plates: &[Plate],
    dimension: &str,
) -> Outcome<Vec<Vec<Segment>>> {
    let names = unruled(part)?.names;
    let none = vec![Vec::new(); plates.len()];
    let measure = part.family.measure(dimension);
    let Some((measure, value)) = measure.zip(names.value(dimension)) else {
        return Ok(none);
    };
    let tries = moving::others(measure, &value, plates).into_iter();
    let mut moved = tries.filter_map(|other| moving::moved(part, dimension, &other));
    let moves = |other: &Vec<Plate>| {
        let mut pairs = plates.iter().zip(other);
        pairs.any(|(old, new)| old.face != new.face)
    };
    Ok(moved.find(moves).map_or(none, |moved| {
        let pairs = plates.iter().enumerate();
        pairs
            .map(|(index, old)| moved.get(index).map_or_else(Vec::new, |new| lost(old, new)))
            .collect()
    }))
}

/// The edges of a plate that another does not have.
fn lost(old: &Plate, new: &Plate) -> Vec<Segment> {
    let kept: Vec<Segment> = edges(new).copied().collect();
    let is_kept = |edge: &&Segment| !kept.iter().any(|it| is_same(it, edge));
    edges(old).filter(is_kept).copied().collect()
}

fn edges(plate: &Plate) -> impl Iterator<Item = &Segment> {
    let contours = plate.face.contours();
    contours.flat_map(Contour::segments)
}

fn is_same(a: &Segment, b: &Segment) -> bool {
    let near = |p: Point, q: Point| p.distance(q) < Tolerance::SAME;
    near(a.start(), b.start()) && near(a.end(), b.end()) && near(a.point_at(0.5), b.point_at(0.5))
}
