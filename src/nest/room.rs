//! A place to put shapes: a sheet's usable area or a window, with what lies in it.

use std::sync::Arc;

use super::clash::{self, Laid, TOUCH, shifted};
use super::shape::Oriented;
use super::{Polygon, polygon};
use crate::geometry::{Bounds, Point, Vector};

/// Walls, and what lies within them.
#[derive(Debug, Clone)]
pub(super) struct Room {
    walls: Oriented,
    walls_at: Vector,
    /// A box needs no look at the edges of the walls.
    is_box: bool,
    bounds: Bounds,
    area: f64,
    things: Vec<(Arc<Oriented>, Vector)>,
    boxes: Vec<Bounds>,
}

impl Room {
    /// An empty room; `None` if the walls bound no area. Avoided spots that bound no area are no
    /// obstacle.
    pub(super) fn new(walls: &[Point], avoid: &[Polygon]) -> Option<Self> {
        let outline = polygon::cleaned(walls)?;
        let bounds = polygon::bounds(&outline);
        let area = polygon::signed_area(&outline);
        let full = bounds.width() * bounds.height();
        let (walls, walls_at) = Oriented::walls(&outline);
        let mut room = Self {
            walls,
            walls_at,
            is_box: outline.len() == 4 && full - area <= full * 1e-12,
            bounds,
            area,
            things: Vec::new(),
            boxes: Vec::new(),
        };
        for spot in avoid.iter().filter_map(|spot| polygon::cleaned(spot)) {
            let (shape, at) = Oriented::fixed(&spot);
            room.put(Arc::new(shape), at);
        }
        Some(room)
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

    /// Adds a shape for good.
    pub(super) fn put(&mut self, shape: Arc<Oriented>, at: Vector) {
        self.boxes.push(shifted(&shape.bounds, at));
        self.things.push((shape, at));
    }

    /// Whether a shape can lie there.
    pub(super) fn is_free(&self, a: Laid) -> bool {
        let bounds = a.bounds();
        self.bounds.grown(TOUCH).holds(bounds)
            && self
                .boxes
                .iter()
                .zip(&self.things)
                .all(|(reach, (shape, at))| {
                    !reach.meets(bounds) || !clash::overlap(a, Laid { shape, at: *at })
                })
            && (self.is_box || clash::within(a, self.wall()))
    }

    /// Where a shape comes to rest when it slides along a unit vector.
    pub(super) fn slid(&self, a: Laid, direction: Vector) -> Vector {
        let bounds = a.bounds();
        let limit = self.distance_to_walls(bounds, direction);
        let mut free = limit;
        let swept = bounds.union(shifted(&bounds, direction * limit));
        // The nearest first: what lies behind them need not be looked at.
        let mut ahead: Vec<(f64, &(Arc<Oriented>, Vector))> = self
            .boxes
            .iter()
            .zip(&self.things)
            .filter(|(reach, _)| reach.meets(swept))
            .map(|(reach, thing)| (gap(&bounds, reach, direction), thing))
            .collect();
        ahead.sort_by(|p, q| p.0.total_cmp(&q.0));
        for (gap, (shape, at)) in ahead {
            if gap >= free {
                break;
            }
            free = clash::travel(a, Laid { shape, at: *at }, direction, free);
        }
        if !self.is_box {
            free = clash::travel(a, self.wall(), direction, free);
        }
        for back_off in [3.0, 30.0] {
            let rest = a.at + direction * (free - back_off * TOUCH);
            if free <= back_off * TOUCH {
                return a.at;
            }
            if self.is_free(Laid { at: rest, ..a }) {
                return rest;
            }
        }
        a.at
    }

    fn wall(&self) -> Laid<'_> {
        Laid {
            shape: &self.walls,
            at: self.walls_at,
        }
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
