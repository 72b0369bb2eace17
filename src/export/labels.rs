//! Room for labels on a picture: no two overlap, and each lies as near its place as it can without
//! hiding lines.

use rstar::primitives::Rectangle;
use rstar::{AABB, RTree};

use crate::geometry::{Bounds, Point, Vector, lines_cross};

/// How far from its place a label may move, in picture units, nearest first.
const REACHES: [f64; 12] = [
    1.9, 2.4, 3.0, 3.8, 4.8, 6.0, 7.5, 9.5, 12.0, 15.0, 19.0, 24.0,
];
/// Directions tried at each reach.
const DIRECTIONS: u32 = 16;
/// What it costs to hide a unit of line, against a unit of distance.
const HIDING: f64 = 2.0;
/// What it costs to try the next direction, against a unit of distance.
const TURNING: f64 = 0.03;
/// What it costs that a leader crosses another, or a label hides one, against a unit of distance.
const CROSSING: f64 = 30.0;
/// A label further from its place than this, in picture units, has a leader.
const NEAR: f64 = 1.8;
/// Of so many labels one may have a leader, so that the rest stand beside what they are about.
const FEW: usize = 3;
/// So many leaders can be followed on any picture.
const SEVERAL: usize = 30;
/// Between labels, in picture units.
const APART: f64 = 0.35;

/// What is on a picture already.
pub(super) struct Labels {
    /// 1 mm of the printed picture, mm.
    unit: f64,
    /// Where labels may lie.
    within: Bounds,
    taken: RTree<Rectangle<[f64; 2]>>,
    /// Points along the lines that should stay in sight, about one a unit.
    lines: RTree<[f64; 2]>,
    /// From what a label is about to its middle, where it lies far off.
    leaders: Vec<(Point, Point)>,
    /// How many labels have been placed, and how many found no place.
    placed: usize,
    left_out: usize,
}

impl Labels {
    pub(super) fn new(unit: f64, within: Bounds, lines: &[Point]) -> Self {
        Self {
            unit,
            within,
            taken: RTree::new(),
            lines: RTree::bulk_load(lines.iter().map(|p| [p.x, p.y]).collect()),
            leaders: Vec::new(),
            placed: 0,
            left_out: 0,
        }
    }

    /// Keeps labels off a place.
    pub(super) fn take(&mut self, bounds: Bounds) {
        let Bounds { min, max } = bounds;
        self.taken
            .insert(Rectangle::from_corners([min.x, min.y], [max.x, max.y]));
    }

    /// The middle of a label of a size for a place; `towards` is where it would rather lie. If all
    /// around is full, the label lies as near as it can.
    pub(super) fn place(&mut self, at: Point, size: Vector, towards: Vector) -> Point {
        let middle = self.free_place(at, size, towards);
        middle.unwrap_or_else(|| {
            let middle = at + towards * (REACHES[0] * self.unit);
            self.take(around_middle(middle, size));
            middle
        })
    }

    /// The same for a label that is left out rather than that it lies on another.
    pub(super) fn free_place(&mut self, at: Point, size: Vector, towards: Vector) -> Option<Point> {
        let Some(middle) = self.best(at, size, towards, f64::INFINITY) else {
            self.left_out += 1;
            return None;
        };
        self.placed += 1;
        if self.is_far(at, middle, size) {
            self.leaders.push((at, middle));
        }
        self.take(around_middle(middle, size));
        Some(middle)
    }

    /// Whether a label lies so far off that only a leader tells what it is about.
    pub(super) fn is_far(&self, at: Point, middle: Point, size: Vector) -> bool {
        let gap = Vector::new(
            ((at.x - middle.x).abs() - size.x / 2.0).max(0.0),
            ((at.y - middle.y).abs() - size.y / 2.0).max(0.0),
        );
        gap.length() > NEAR * self.unit
    }

    /// Whether all labels so far have a place, and but some of them one far off.
    pub(super) fn are_legible(&self) -> bool {
        self.left_out == 0 && self.leaders.len() <= SEVERAL.max(self.placed / FEW)
    }

    /// How many leaders a label would cross with its own, or hide, and how many labels its own would run over.
    fn crossed(&self, at: Point, middle: Point, size: Vector) -> usize {
        let leads = self.is_far(at, middle, size);
        let label = around_middle(middle, size);
        let crossed = self.leaders.iter().filter(|(from, to)| {
            (leads && lines_cross(at, middle, *from, *to)) || passes(label, *from, *to)
        });
        let over = if leads { self.passed(at, middle) } else { 0 };
        crossed.count() + over
    }

    /// How many labels a leader would run over.
    fn passed(&self, at: Point, middle: Point) -> usize {
        let near = Bounds::around([at, middle]).envelope();
        let near = self.taken.locate_in_envelope_intersecting(near);
        let passed = near.filter(|it| {
            let label = boxed(it);
            !label.meets(Bounds::around([at])) && passes(label, at, middle)
        });
        passed.count()
    }

    /// The same for a label that is left out rather than that it hides a line or another label.
    pub(super) fn clear_place(
        &mut self,
        at: Point,
        size: Vector,
        towards: Vector,
    ) -> Option<Point> {
        let middle = self.best(at, size, towards, 0.0)?;
        self.take(around_middle(middle, size));
        Some(middle)
    }

    /// The best place that hides no more than so many of the points along lines.
    fn best(&self, at: Point, size: Vector, towards: Vector, most_hidden: f64) -> Option<Point> {
        let mut best: Option<(f64, Point)> = None;
        for (effort, middle) in candidates(at, size, towards, self.unit) {
            let least = best.map_or(f64::INFINITY, |(least, _)| least);
            if effort >= least {
                break;
            }
            let label = around_middle(middle, size).grown(APART * self.unit);
            let envelope = label.envelope();
            if !self.within.holds(label) || is_any_of(&self.taken, envelope) {
                continue;
            }
            // More than this many make no better place: no need to count on.
            let most = most_hidden.min((least - effort) / HIDING);
            let hidden = self.lines.locate_in_envelope(envelope);
            let hidden = hidden.take((most + 1.0) as usize).count() as f64;
            let crossed = self.crossed(at, middle, size) as f64;
            let cost = effort + HIDING * hidden + CROSSING * crossed;
            if hidden <= most_hidden && cost < least {
                best = Some((cost, middle));
            }
        }
        best.map(|(_, middle)| middle)
    }
}

/// Places around a point and what each costs, the nearest and likeliest first. A wide label stands
/// further off sideways.
fn candidates(
    at: Point,
    size: Vector,
    towards: Vector,
    unit: f64,
) -> impl Iterator<Item = (f64, Point)> {
    let wide = ((size.x - size.y) / 2.0).max(0.0);
    REACHES.into_iter().flat_map(move |reach| {
        (0..DIRECTIONS).map(move |k| {
            let half_turns = if k % 2 == 0 { k / 2 } else { k.div_ceil(2) };
            let sign = if k % 2 == 0 { 1.0 } else { -1.0 };
            let turn = sign * f64::from(half_turns) * std::f64::consts::TAU / f64::from(DIRECTIONS);
            let way = Vector::from_angle(towards.angle() + turn);
            let middle = at + way * (reach * unit) + Vector::new(way.x * wide, 0.0);
            (reach + TURNING * f64::from(k), middle)
        })
    })
}

/// Whether a line goes through a box.
pub(super) fn passes(label: Bounds, from: Point, to: Point) -> bool {
    let [a, b, c, d] = label.corners();
    lines_cross(from, to, a, c) || lines_cross(from, to, b, d)
}

/// Whether a box meets any of some others.
fn is_any_of(taken: &RTree<Rectangle<[f64; 2]>>, envelope: AABB<[f64; 2]>) -> bool {
    let mut met = taken.locate_in_envelope_intersecting(envelope);
    met.next().is_some()
}

/// The box of a size around a middle.
pub(super) fn around_middle(middle: Point, size: Vector) -> Bounds {
    Bounds::around([middle - size * 0.5, middle + size * 0.5])
}

fn boxed(corners: &Rectangle<[f64; 2]>) -> Bounds {
    let ends = [corners.lower(), corners.upper()];
    Bounds::around(ends.map(|[x, y]| Point::new(x, y)))
}

#[cfg(test)]
fn in_box(bounds: Bounds, p: Point) -> bool {
    p.x >= bounds.min.x && p.x <= bounds.max.x && p.y >= bounds.min.y && p.y <= bounds.max.y
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page() -> Bounds {
        Bounds::around([Point::ORIGIN, Point::new(200.0, 200.0)])
    }

    const SIZE: Vector = Vector::new(3.0, 2.0);
    const RIGHT: Vector = Vector::new(1.0, 0.0);

    #[test]
    fn forty_labels_for_one_place_lie_apart_and_on_the_page() {
        let mut labels = Labels::new(1.0, page(), &[]);
        let at = Point::new(10.0, 10.0);
        for _ in 0..40 {
            labels.place(at, SIZE, RIGHT);
        }
        let taken: Vec<Bounds> = labels.taken.iter().map(boxed).collect();
        for (i, label) in taken.iter().enumerate() {
            assert!(page().holds(*label));
            for other in &taken[..i] {
                assert!(!label.meets(*other), "{label:?} {other:?}");
            }
        }
    }

    #[test]
    fn leaders_do_not_cross_while_there_is_another_way() {
        // Two rows of places in a strip with no room for labels: all of them are led out of it.
        let mut labels = Labels::new(1.0, page(), &[]);
        labels.take(Bounds::around([
            Point::new(50.0, 97.0),
            Point::new(150.0, 103.0),
        ]));
        for k in 0..30 {
            labels.place(Point::new(70.0 + 2.0 * f64::from(k), 100.0), SIZE, RIGHT);
        }
        assert!(labels.leaders.len() >= 20 && labels.are_legible());
        let leaders = &labels.leaders;
        let crossings = leaders.iter().enumerate().flat_map(|(at, (a, b))| {
            leaders[..at]
                .iter()
                .filter(|(c, d)| lines_cross(*a, *b, *c, *d))
        });
        let crossings = crossings.count();
        assert!(
            crossings * 20 < leaders.len(),
            "{crossings} of {}",
            leaders.len()
        );
        // Twice as many are more than anybody follows.
        labels.leaders.extend(labels.leaders.clone());
        assert!(!labels.are_legible());
    }

    #[test]
    fn a_label_without_room_is_left_out_and_that_is_known() {
        let small = Bounds::around([Point::ORIGIN, Point::new(8.0, 8.0)]);
        let mut labels = Labels::new(1.0, small, &[]);
        let at = Point::new(4.0, 4.0);
        assert!(labels.free_place(at, SIZE, RIGHT).is_some() && labels.are_legible());
        let left_out = (0..9).filter(|_| labels.free_place(at, SIZE, RIGHT).is_none());
        assert!(left_out.count() > 0 && !labels.are_legible());
    }

    #[test]
    fn a_label_lies_where_it_would_rather_unless_it_hides_a_line() {
        let at = Point::new(100.0, 100.0);
        let free = Labels::new(1.0, page(), &[]).place(at, SIZE, RIGHT);
        assert!(free.x > at.x + 1.9 && (free.y - at.y).abs() < 1e-9);
        let line = (0..20).map(|k| Point::new(102.4, 95.0 + 0.5 * f64::from(k)));
        let line: Vec<Point> = line.collect();
        let moved = Labels::new(1.0, page(), &line).place(at, SIZE, RIGHT);
        let label = around_middle(moved, SIZE);
        assert!(!line.iter().any(|p| in_box(label, *p)), "{moved:?}");
    }
}
