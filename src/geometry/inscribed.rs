//! Circles that fit in a shape: the widest, and whether one of a size does.

use std::collections::BinaryHeap;

use super::{Bounds, Circle, Contour, Face, Point, Vector};

/// The search for the widest circle ends at this share of the shape's extent however precise it is to be: along
/// a groove of even width each length of that size has to be looked at.
const LEAST_SHARE: f64 = 1.0 / 200_000.0;

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
    pub(crate) fn depth(&self, p: Point) -> f64 {
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
/// Squares over the shape are quartered, most promising first, until none can hold a wider circle. A shape so
/// large that [`LEAST_SHARE`] of it is more than `precision` is searched less finely, and the best place then
/// improved by small steps: in a groove of even width that is the widest again.
fn widest_circle(bounds: Bounds, depth: &dyn Fn(Point) -> f64, precision: f64) -> Circle {
    let extent = bounds.width().max(bounds.height());
    let fine = precision.max(extent * LEAST_SHARE);
    let square = |centre: Point, half: f64| Square {
        centre,
        half,
        depth: depth(centre),
    };
    let mut best = square(bounds.centre(), extent / 2.0);
    let mut open = BinaryHeap::from([best]);
    while let Some(whole) = open.pop() {
        if whole.promise() <= best.depth.max(0.0) + fine {
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
    if fine > precision {
        best = improved(best, fine, precision, &square);
    }
    Circle {
        centre: best.centre,
        radius: best.depth.max(0.0),
    }
}

/// A place at least as deep, reached by steps that grow smaller.
fn improved(mut best: Square, from: f64, to: f64, square: &dyn Fn(Point, f64) -> Square) -> Square {
    let mut step = from;
    while step > to / 4.0 {
        let ways = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
        let nexts = ways.map(|(x, y)| square(best.centre + Vector::new(x, y) * step, 0.0));
        match nexts.into_iter().max_by(|a, b| a.depth.total_cmp(&b.depth)) {
            Some(next) if next.depth > best.depth => best = next,
            _ => step /= 2.0,
        }
    }
    best
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

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::*;

    /// Found by fuzzing: 76 m of a groove 105 mm wide took seconds and more than a gigabyte.
    #[test]
    fn a_long_groove_is_searched_soon() {
        let asked = Cell::new(0_u32);
        let depth = |p: Point| {
            asked.set(asked.get() + 1);
            (38_000.0 - p.x.abs()).min(52.5 - (p.y - 3.0).abs())
        };
        let corner = |x: f64, y: f64| Point::new(x, y);
        let bounds = Bounds::around([corner(-38_000.0, -49.5), corner(38_000.0, 55.5)]);
        let found = widest_circle(bounds, &depth, 0.005);
        assert!((found.radius - 52.5).abs() < 0.005, "{found:?}");
        assert!(asked.get() < 2_000_000, "{}", asked.get());
    }
}
