//! A container for shapes: a sheet's usable area or a window, with what lies in it.

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::clash::{self, TOUCH};
use super::placed::{PlacedRef, PlacedShape, shifted};
use super::{Polygon, polygon};
use crate::geometry::{Bounds, Point, Vector};

/// From so many shapes on, the boxes that come near are found by their index.
const MANY: usize = 64;
/// How far a slide is looked along at once, as a multiple of the size of what slides.
const STRETCH: f64 = 2.0;

/// The box around a shape, with the shape's place in the list.
type Boxed = GeomWithData<Rectangle<[f64; 2]>, usize>;

/// Walls, and what lies within them.
#[derive(Debug, Clone)]
pub(super) struct Container {
    walls: PlacedShape,
    /// A box needs no look at the edges of the walls.
    is_box: bool,
    bounds: Bounds,
    area: f64,
    placed: Vec<PlacedShape>,
    boxes: Vec<Bounds>,
    /// The boxes once they are many.
    index: RTree<Boxed>,
    /// How far the farthest reaches along x, mm.
    rightmost: f64,
}

impl Container {
    /// An empty container; `None` if the walls bound no area. Avoided spots that bound no area are no
    /// obstacle.
    pub(super) fn new(walls: &[Point], avoid: &[Polygon]) -> Option<Self> {
        let outline = polygon::cleaned(walls)?;
        let bounds = polygon::bounds(&outline);
        let area = polygon::signed_area(&outline);
        let full = bounds.width() * bounds.height();
        let mut container = Self {
            walls: PlacedShape::walls(&outline),
            is_box: outline.len() == 4 && full - area <= full * 1e-12,
            bounds,
            area,
            placed: Vec::new(),
            boxes: Vec::new(),
            index: RTree::new(),
            rightmost: f64::NEG_INFINITY,
        };
        for spot in avoid.iter().filter_map(|spot| polygon::cleaned(spot)) {
            container.put(PlacedShape::fixed(&spot));
        }
        Some(container)
    }

    /// Whether the walls are a box along the axes.
    pub(super) fn is_box(&self) -> bool {
        self.is_box
    }

    /// The box around the walls.
    pub(super) fn bounds(&self) -> Bounds {
        self.bounds
    }

    /// Area within the walls, mm².
    pub(super) fn area(&self) -> f64 {
        self.area
    }

    /// The boxes around everything in it.
    pub(super) fn boxes(&self) -> &[Bounds] {
        &self.boxes
    }

    /// How far what lies in it reaches along x, mm; negative infinity if nothing does.
    pub(super) fn rightmost(&self) -> f64 {
        self.rightmost
    }

    /// Adds a shape.
    pub(super) fn put(&mut self, placed: PlacedShape) {
        let bounds = placed.bounds();
        self.boxes.push(bounds);
        self.placed.push(placed);
        self.rightmost = self.rightmost.max(bounds.max.x);
        match self.boxes.len() {
            MANY => {
                let boxes = self.boxes.iter().enumerate();
                self.index = RTree::bulk_load(boxes.map(|(at, it)| boxed(it, at)).collect());
            }
            count if count > MANY => self.index.insert(boxed(&bounds, count - 1)),
            _ => {}
        }
    }

    /// Takes shapes out again: those at these places, in order and counted from `first`.
    pub(super) fn remove(&mut self, first: usize, places: &[usize]) {
        let all = std::mem::take(&mut self.placed);
        self.boxes.clear();
        self.index = RTree::new();
        self.rightmost = f64::NEG_INFINITY;
        for (at, placed) in all.into_iter().enumerate() {
            if at < first || places.binary_search(&(at - first)).is_err() {
                self.put(placed);
            }
        }
    }

    /// The shapes whose boxes come near a box, each with its own.
    fn near(&self, bounds: Bounds) -> impl Iterator<Item = (&Bounds, &PlacedShape)> {
        let (few, many) = if self.boxes.len() < MANY {
            (Some(0..self.boxes.len()), None)
        } else {
            let corners = AABB::from_corners(corner(bounds.min), corner(bounds.max));
            (
                None,
                Some(self.index.locate_in_envelope_intersecting(corners)),
            )
        };
        let some = many.into_iter().flatten().map(|it| it.data);
        few.into_iter()
            .flatten()
            .chain(some)
            .map(|at| (&self.boxes[at], &self.placed[at]))
            .filter(move |(reach, _)| reach.meets(bounds))
    }

    /// Whether a shape can lie there.
    pub(super) fn is_free(&self, a: PlacedRef) -> bool {
        let bounds = a.bounds();
        self.bounds.grown(TOUCH).holds(bounds)
            && self
                .near(bounds)
                .all(|(_, other)| !clash::overlap(a, other.borrowed()))
            && (self.is_box || clash::within(a, self.walls.borrowed()))
    }

    /// Where a shape comes to rest when it slides along a unit vector.
    pub(super) fn slid(&self, a: PlacedRef, direction: Vector) -> Vector {
        let bounds = a.bounds();
        let limit = self.distance_to_walls(bounds, direction);
        let mut free = limit;
        // Stretch by stretch: what lies behind the first that is met need not be looked at.
        let mut stretch = STRETCH * bounds.width().max(bounds.height());
        loop {
            let reach = stretch.min(limit);
            free = free.min(self.free_within(a, bounds, direction, reach, limit));
            if free <= reach || reach >= limit {
                break;
            }
            stretch *= 4.0;
        }
        if !self.is_box {
            free = clash::travel(a, self.walls.borrowed(), direction, free);
        }
        for back_off in [3.0, 30.0] {
            let rest = a.at + direction * (free - back_off * TOUCH);
            if free <= back_off * TOUCH {
                return a.at;
            }
            if self.is_free(PlacedRef { at: rest, ..a }) {
                return rest;
            }
        }
        a.at
    }

    /// How far a shape can slide before it meets one of those within `reach`, mm; at most `limit`.
    fn free_within(
        &self,
        a: PlacedRef,
        bounds: Bounds,
        direction: Vector,
        reach: f64,
        limit: f64,
    ) -> f64 {
        let swept = bounds.union(shifted(&bounds, direction * reach));
        let near = self.near(swept);
        let gaps = near.map(|(other, placed)| (gap(&bounds, other, direction), placed));
        // The nearest first.
        let mut ahead: Vec<(f64, &PlacedShape)> = gaps.collect();
        ahead.sort_by(|p, q| p.0.total_cmp(&q.0));
        let mut free = limit;
        for (gap, other) in ahead {
            if gap >= free {
                break;
            }
            free = clash::travel(a, other.borrowed(), direction, free);
        }
        free
    }

    /// How far a box can move along one of the axes and stay in the box of the walls.
    fn distance_to_walls(&self, bounds: Bounds, direction: Vector) -> f64 {
        let along = |step: f64, low: f64, high: f64| {
            if step > 0.0 {
                high / step
            } else if step < 0.0 {
                low / -step
            } else {
                f64::INFINITY
            }
        };
        along(
            direction.x,
            bounds.min.x - self.bounds.min.x,
            self.bounds.max.x - bounds.max.x,
        )
        .min(along(
            direction.y,
            bounds.min.y - self.bounds.min.y,
            self.bounds.max.y - bounds.max.y,
        ))
        .max(0.0)
    }
}

fn corner(p: Point) -> [f64; 2] {
    [p.x, p.y]
}

fn boxed(bounds: &Bounds, at: usize) -> Boxed {
    let corners = Rectangle::from_corners(corner(bounds.min), corner(bounds.max));
    GeomWithData::new(corners, at)
}

/// How far a box can surely move along one of the axes before it meets another, mm.
fn gap(from: &Bounds, to: &Bounds, direction: Vector) -> f64 {
    let along = |step: f64, low: f64, high: f64| {
        if step > 0.0 {
            high
        } else if step < 0.0 {
            low
        } else {
            0.0
        }
    };
    along(direction.x, from.min.x - to.max.x, to.min.x - from.max.x)
        .max(along(
            direction.y,
            from.min.y - to.max.y,
            to.min.y - from.max.y,
        ))
        .max(0.0)
}
