//! What follows a dimension: the edges that differ where it is a little larger.

use super::moving;
use crate::geometry::{Contour, Point, Segment, Tolerance};
use crate::plate::{OutlineSteps, Plate, outline_steps, plates_of_other_outlines};
use crate::quantity::{Dimension, Scope, Value};
use crate::recipe::{DimensionKind, DimensionSpec, Part, unruled};

/// A dimension of a part on the move: begun before the plates as they are need be there.
pub struct Moving<'a> {
    part: &'a Part,
    measure: &'a DimensionSpec,
    value: Value,
    /// What makes the plates' outlines as they are, if that can be worked out.
    steps: Option<OutlineSteps>,
    /// The plates where it is moved as is likeliest; none if that cannot be made, or depends on the plates.
    first: Option<Vec<Plate>>,
}

impl<'a> Moving<'a> {
    /// Expands a part with a dimension moved a little; nothing for one that it does not have.
    pub fn begun(part: &'a Part, dimension: &str) -> Option<Self> {
        let evaluated = unruled(part).ok()?;
        let value = evaluated.names.value(dimension);
        let (measure, value) = part.family.measure(dimension).zip(value)?;
        let mut moving = Self {
            part,
            measure,
            value,
            steps: outline_steps(part, &evaluated).ok(),
            first: None,
        };
        if !moving.is_measured_on_plates() {
            let others = moving::others(measure, &moving.value, &[]);
            moving.first = others.first().and_then(|it| moving.to(it));
        }
        Some(moving)
    }

    /// How far an angle is moved depends on how large the plates are.
    fn is_measured_on_plates(&self) -> bool {
        matches!(self.measure.kind, DimensionKind::Quantity(Dimension::ANGLE))
    }

    /// The plates with another value; none where there are none, or their outlines stay.
    fn to(&self, value: &Value) -> Option<Vec<Plate>> {
        let part = moving::with(self.part, &self.measure.name, value)?;
        let other = plates_of_other_outlines(&part, self.steps.as_ref()).ok()?;
        Some(other?.plates)
    }

    /// The edges of each of the part's plates that move with it; none where it moves none. Dimensions that
    /// follow from it move along.
    #[must_use]
    pub fn edges(mut self, plates: &[Plate]) -> Vec<Vec<Segment>> {
        let first = self.first.take();
        let tried = usize::from(!self.is_measured_on_plates());
        let others = moving::others(self.measure, &self.value, plates).into_iter();
        let others = others.skip(tried).filter_map(|it| self.to(&it));
        let moves = |other: &Vec<Plate>| {
            let mut pairs = plates.iter().zip(other);
            pairs.any(|(old, new)| old.face != new.face)
        };
        let moved = first.into_iter().chain(others).find(moves);
        let Some(moved) = moved else {
            return vec![Vec::new(); plates.len()];
        };
        let pairs = plates.iter().enumerate();
        let edges = |(index, old)| moved.get(index).map_or_else(Vec::new, |new| lost(old, new));
        pairs.map(edges).collect()
    }
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
