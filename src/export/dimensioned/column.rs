//! The column of call-outs beside the view: words one above another, each with a leader to what it
//! is about.

use super::callout::{Callout, Target};
use super::page::{LETTERS, Page};
use crate::export::picture::{Anchor, Words};
use crate::export::scaled::Scaled;
use crate::geometry::{Bounds, Contour, Point, Vector};

/// Height of the further lines, mm.
const FURTHER: f64 = 2.0;
/// From the foot of one line to the next, as a share of the height of its letters.
const LEADING: f64 = 1.75;
/// Between two call-outs, mm.
const GAP: f64 = 1.8;
/// How far a leader climbs where there is room: a level one could be taken for a centre line, mm.
const CLIMB: f64 = 6.0;
/// What it is worth, in mm of leader, to keep one of its samples out of an opening.
const DETOUR: f64 = 12.0;
/// Places that a leader is looked at.
const SAMPLES: u32 = 24;
/// Length of the level end of a leader, mm.
const LANDING: f64 = 3.0;
/// Call-outs are swapped at most this often to part crossing leaders.
const SWAPS: usize = 400;
/// Stacking words, aiming leaders and parting those that cross depend on one another: so often in turn.
const ROUNDS: usize = 4;

/// Where the column is, mm on the page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Column {
    /// Left end of the words.
    pub(super) left: f64,
    /// Longest line.
    pub(super) width: f64,
    /// Lowest and highest place for words.
    pub(super) bottom: f64,
    /// Highest place for words.
    pub(super) top: f64,
}

/// The view that leaders point into.
pub(super) struct View<'a> {
    /// From the plate to the page.
    pub(super) scaled: Scaled,
    /// Openings that leaders go around where they can, in the plate's coordinates, with their boxes.
    pub(super) openings: Vec<(Bounds, &'a Contour)>,
}

impl<'a> View<'a> {
    /// Openings with their boxes.
    pub(super) fn boxed(openings: &'a [Contour]) -> Vec<(Bounds, &'a Contour)> {
        openings.iter().map(|it| (it.bounds(), it)).collect()
    }
}

/// A call-out in its place.
struct Placed<'a> {
    callout: &'a Callout,
    /// Upper edge of its words.
    top: f64,
    /// What its leader points at.
    tip: Point,
}

/// The longest line of some call-outs, mm.
pub(super) fn width(callouts: &[Callout]) -> f64 {
    let lines = callouts.iter().flat_map(|it| {
        let heights = std::iter::once(LETTERS).chain(std::iter::repeat(FURTHER));
        it.lines
            .iter()
            .zip(heights)
            .map(|(line, height)| Words::length_of(line, height))
    });
    lines.fold(0.0, f64::max)
}

fn height(callout: &Callout) -> f64 {
    let further = callout.lines.len().saturating_sub(1) as f64;
    LEADING * (LETTERS + FURTHER * further)
}

impl Column {
    /// Draws as many call-outs as there is room for, the first ones first, and says how many are
    /// left out.
    pub(super) fn draw(&self, page: &mut Page, callouts: &[Callout], view: &View) {
        let shown = self.shown(callouts);
        for placed in self.placed(&callouts[..shown], view) {
            self.write(page, &placed);
        }
        if shown < callouts.len() {
            let text = format!(
                "{} more radii or sizes: see the DXF",
                callouts.len() - shown
            );
            let at = Point::new(self.left, self.bottom + 0.4 * FURTHER);
            page.write(at, Anchor::Start, FURTHER, self.width, &text);
        }
    }

    /// How many fit.
    fn shown(&self, callouts: &[Callout]) -> usize {
        let room = self.top - self.bottom;
        let total =
            |count: usize| -> f64 { callouts[..count].iter().map(|it| height(it) + GAP).sum() };
        if total(callouts.len()) <= room {
            return callouts.len();
        }
        let last_line = FURTHER * LEADING + GAP;
        let fits = |count: &usize| total(*count) + last_line <= room;
        (0..callouts.len()).rev().find(fits).unwrap_or(0)
    }

    /// Every call-out in its place, from top to bottom, leaders not crossing where they can be parted.
    fn placed<'a>(&self, callouts: &'a [Callout], view: &View) -> Vec<Placed<'a>> {
        let far = Point::new(self.left, f64::midpoint(self.bottom, self.top));
        let mut order: Vec<Placed> = callouts
            .iter()
            .map(|callout| Placed {
                callout,
                top: 0.0,
                tip: tip(callout, far, view),
            })
            .collect();
        order.sort_by(|a, b| b.tip.y.total_cmp(&a.tip.y));
        for _ in 0..ROUNDS {
            self.stack(&mut order);
            self.aim(&mut order, view);
            self.part(&mut order);
        }
        order
    }

    /// Swaps neighbours whose leaders cross.
    fn part(&self, order: &mut [Placed]) {
        for _ in 0..SWAPS {
            let crossing = (1..order.len()).find(|&i| self.cross(&order[i - 1], &order[i]));
            let Some(lower) = crossing else { break };
            order.swap(lower - 1, lower);
            self.stack(order);
        }
    }

    /// Puts words as near to the height of their tips as their order and the room allow.
    fn stack(&self, order: &mut [Placed]) {
        let mut ceiling = self.top;
        for placed in order.iter_mut() {
            placed.top = (placed.tip.y + LETTERS * LEADING / 2.0 + CLIMB).min(ceiling);
            ceiling = placed.top - height(placed.callout) - GAP;
        }
        let mut floor = self.bottom;
        for placed in order.iter_mut().rev() {
            placed.top = placed.top.max(floor + height(placed.callout));
            floor = placed.top + GAP;
        }
    }

    /// Points every leader at the nearest of its targets.
    fn aim(&self, order: &mut [Placed], view: &View) {
        for placed in order {
            placed.tip = tip(placed.callout, self.elbow(placed), view);
        }
    }

    fn elbow(&self, placed: &Placed) -> Point {
        Point::new(
            self.left - 1.0 - LANDING,
            placed.top - LETTERS * LEADING / 2.0,
        )
    }

    fn cross(&self, a: &Placed, b: &Placed) -> bool {
        let (p, q) = (self.elbow(a), self.elbow(b));
        let side = |from: Point, to: Point, of: Point| (to - from).cross(of - from);
        side(p, a.tip, q) * side(p, a.tip, b.tip) < 0.0
            && side(q, b.tip, p) * side(q, b.tip, a.tip) < 0.0
    }

    fn write(&self, page: &mut Page, placed: &Placed) {
        let elbow = self.elbow(placed);
        let tip = placed.tip;
        page.thin(elbow, elbow + Vector::new(LANDING, 0.0));
        page.thin(tip, elbow);
        if let Some(pointing) = (tip - elbow).unit() {
            page.arrow(tip, pointing);
        }
        let mut y = placed.top;
        for (index, line) in placed.callout.lines.iter().enumerate() {
            let height = if index == 0 { LETTERS } else { FURTHER };
            y -= LEADING * height;
            let at = Point::new(self.left, y + 0.45 * height);
            page.write(at, Anchor::Start, height, self.width, line);
        }
    }
}

/// The place that a leader from a point of the page best points at, on the page: near, and such that
/// the leader does not run over openings on its way.
fn tip(callout: &Callout, near: Point, view: &View) -> Point {
    let Scaled { factor, shift } = view.scaled;
    let from = Point::ORIGIN + (near - Point::ORIGIN - shift) * (1.0 / factor);
    let spots = callout.targets.iter().flat_map(|target| match target {
        Target::Edge(edge) => {
            let around = edge.segments().iter();
            let around = around.flat_map(|it| [0.0, 0.25, 0.5, 0.75].map(|t| it.point_at(t)));
            let mut spots: Vec<Point> = around.collect();
            spots.push(edge.gap_to_point(from).from);
            spots
        }
        Target::Spot(spot) => vec![*spot],
    });
    // How many samples of a leader to a spot lie in openings.
    let inside = |spot: Point| {
        (1..SAMPLES)
            .map(|k| spot.lerp(from, f64::from(k) / f64::from(SAMPLES)))
            .filter(|p| view.openings.iter().any(|it| holds(it, *p)))
            .count()
    };
    let away = |spot: Point| spot.distance(from) * factor;
    let mut nearest: Vec<(f64, Point)> = spots.map(|spot| (away(spot), spot)).collect();
    nearest.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best: Option<(f64, Point)> = None;
    for (away, spot) in nearest {
        // No leader costs less than its length, and those that follow are longer still.
        if best.is_some_and(|(cost, _)| cost <= away) {
            break;
        }
        let cost = away + DETOUR * inside(spot) as f64;
        if best.is_none_or(|(least, _)| cost < least) {
            best = Some((cost, spot));
        }
    }
    best.map_or(near, |(_, spot)| view.scaled.point(spot))
}

fn holds((around, opening): &(Bounds, &Contour), p: Point) -> bool {
    around.meets(Bounds::around([p])) && opening.encloses(p)
}
