//! Circles that fit in a shape: the widest, and whether one of a size does.

use std::collections::BinaryHeap;

use super::{Bounds, Circle, Contour, Face, Point, Vector};

impl Contour {
    /// A circle inside the loop whose radius is at most `precision` mm less than that of the widest
    /// there is.
    #[must_use]
    pub fn widest_circle(&self, precision: f64) -> Circle {
        self.as_circle()
            .unwrap_or_else(|| widest_circle(self.bounds(), &|p| self.depth(p), precision))
    }

    /// Whether a circle of a radius in mm fits inside the loop; one that does by less than `precision`
    /// mm may be overlooked.
    #[must_use]
    pub fn holds_circle(&self, radius: f64, precision: f64) -> bool {
        match self.as_circle() {
            Some(circle) => circle.radius >= radius,
            None => holds_circle(self.bounds(), &|p| self.depth(p), radius, precision),
        }
    }

    /// How far inside the loop a point lies, mm; negative outside.
    fn depth(&self, p: Point) -> f64 {
        signed(self.gap_to_point(p).distance, self.encloses(p))
    }
}

impl Face {
    /// A circle in the metal whose radius is at most `precision` mm less than that of the widest
    /// there is.
    #[must_use]
    pub fn widest_circle(&self, precision: f64) -> Circle {
        widest_circle(self.outside.bounds(), &|p| self.depth(p), precision)
    }

    /// Whether a circle of a radius in mm fits in the metal; one that does by less than `precision` mm
    /// may be overlooked.
    #[must_use]
    pub fn holds_circle(&self, radius: f64, precision: f64) -> bool {
        let bounds = self.outside.bounds();
        holds_circle(bounds, &|p| self.depth(p), radius, precision)
    }

    /// How deep in the metal a point lies, mm; negative outside of it.
    fn depth(&self, p: Point) -> f64 {
        let edge = self
            .openings
            .iter()
            .map(|opening| opening.gap_to_point(p).distance)
            .fold(self.outside.gap_to_point(p).distance, f64::min);
        signed(edge, self.contains(p))
    }
}

fn signed(distance: f64, inside: bool) -> f64 {
    if inside { distance } else { -distance }
}

/// The widest circle in a shape, to within `precision` mm of radius, given how deep a point lies
/// inside (negative outside).
///
/// Squares over the shape are quartered, most promising first, until none can hold a wider circle.
fn widest_circle(bounds: Bounds, depth: &dyn Fn(Point) -> f64, precision: f64) -> Circle {
    let square = |centre: Point, half: f64| Square {
        centre,
        half,
        depth: depth(centre),
    };
    let mut best = square(bounds.centre(), bounds.width().max(bounds.height()) / 2.0);
    let mut open = BinaryHeap::from([best]);
    while let Some(whole) = open.pop() {
        if whole.promise() <= best.depth.max(0.0) + precision {
            break;
        }
        for (dx, dy) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
            let half = whole.half / 2.0;
            let quarter = square(whole.centre + Vector::new(dx, dy) * half, half);
            if quarter.depth > best.depth {
                best = quarter;
            }
            open.push(quarter);
        }
    }
    Circle {
        centre: best.centre,
        radius: best.depth.max(0.0),
    }
}

/// Whether a circle of a radius fits in a shape, given how deep a point lies inside: the search of
/// [`widest_circle`], which ends as soon as it is decided.
fn holds_circle(bounds: Bounds, depth: &dyn Fn(Point) -> f64, radius: f64, precision: f64) -> bool {
    let square = |centre: Point, half: f64| Square {
        centre,
        half,
        depth: depth(centre),
    };
    let half = bounds.width().max(bounds.height()) / 2.0;
    let mut open = BinaryHeap::from([square(bounds.centre(), half)]);
    while let Some(whole) = open.pop() {
        if whole.depth >= radius {
            return true;
        }
        if whole.promise() < radius {
            return false;
        }
        if whole.half < precision {
            continue;
        }
        for (dx, dy) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
            let half = whole.half / 2.0;
            open.push(square(whole.centre + Vector::new(dx, dy) * half, half));
        }
    }
    false
}

/// A square of the search for the widest circle.
#[derive(Clone, Copy, PartialEq)]
struct Square {
    centre: Point,
    half: f64,
    /// How deep the centre lies inside, mm; negative outside.
    depth: f64,
}

impl Square {
    /// The deepest that any of its points could lie.
    fn promise(&self) -> f64 {
        self.depth + self.half * std::f64::consts::SQRT_2
    }
}

impl Eq for Square {}

impl Ord for Square {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.promise().total_cmp(&other.promise())
    }
}

impl PartialOrd for Square {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
