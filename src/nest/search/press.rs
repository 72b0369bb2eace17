//! Small moves of all shapes at once.
//!
//! In: shapes that nearly fit a frame. Out: whether moving all of them a little, together, makes
//! them fit without overlap, and then where they lie. Between two convex parts that are apart there
//! is a line, and keeping them on their sides of it is a linear bound on the moves; the bounds are
//! satisfied by correcting one after the other, to and fro along the strip.

use std::sync::Arc;

use super::super::clash;
use super::super::clock::Phase;
use super::super::placed::{PlacedShape, shifted};
use super::convex::{Convex, PartingSide, parting_side};
use super::pack::Pack;
use super::shape::{SearchShape, Turns};
use crate::geometry::{Bounds, Point, Vector};

/// How far shapes move in a quick try, as a share of the height of the room.
const LIGHT_REACH: f64 = 0.01;
/// Distance aimed at between shapes, as a share of the height of the room.
const MARGIN: f64 = 2e-6;
/// How much farther than needed each correction goes: speeds up long chains.
const EAGER: f64 = 1.4;
/// Sweeps between looks at whether it leads anywhere.
const LOOK: usize = 40;
/// Sweeps between looks at all bounds, and how near to violated, as a share of the reach, a bound must
/// be to be looked at in between.
const WHOLE: usize = 8;
const NEAR: f64 = 0.25;
/// The worst violation must shrink to this share between two looks.
const GAIN: f64 = 0.9;

/// How the pressing goes about it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Effort {
    /// The farthest any shape moves in one round, mm.
    pub(super) reach: f64,
    /// Rounds of finding the bounds anew; turns are not quite linear.
    pub(super) rounds: usize,
    /// Sweeps over the bounds in a round.
    pub(super) sweeps: usize,
    /// Distance aimed at between shapes, mm.
    pub(super) margin: f64,
}

/// Tries to make everything fit in the frame until the phase ends; changes `lies` only if it does.
/// Adds to `work` about as many as it could have tried places in the same time.
pub(super) fn press(
    pack: &Pack,
    placements: &mut [PlacedShape],
    frame: Bounds,
    effort: Effort,
    phase: &Phase,
    work: &mut u64,
) -> bool {
    let mut bodies: Vec<Body> = placements
        .iter()
        .enumerate()
        .map(|(i, placed)| Body::new(pack.shape_of(i), placed, i >= pack.movable()))
        .collect();
    for _ in 0..effort.rounds {
        let mut bounds = gather(&bodies, frame, effort);
        let middle = |bound: &Bound| bodies[bound.a].at.x + bodies[bound.b].at.x;
        bounds.sort_by(|p, q| middle(q).total_cmp(&middle(p)));
        *work += bounds.len() as u64 / 4;
        let Some(shifts) = relax(&bodies, &bounds, frame, effort, phase, work) else {
            return false;
        };
        for (i, (body, shift)) in bodies.iter_mut().zip(&shifts).enumerate() {
            body.moved(shift, pack.shape_of(i));
        }
        let moved: Vec<PlacedShape> = bodies
            .iter()
            .zip(placements.iter())
            .enumerate()
            .map(|(i, (body, placed))| body.placed(placed, pack.shape_of(i)))
            .collect();
        if fits(&moved, pack.movable(), frame) {
            placements.clone_from_slice(&moved);
            return true;
        }
        if bodies.iter().all(|body| body.spin == 0.0) {
            return false;
        }
    }
    false
}

/// Whether nothing overlaps and all that may move lies in the frame.
fn fits(placements: &[PlacedShape], movable: usize, frame: Bounds) -> bool {
    let boxes: Vec<Bounds> = placements.iter().map(PlacedShape::bounds).collect();
    let frame = frame.grown(clash::TOUCH);
    boxes[..movable].iter().all(|b| frame.holds(*b))
        && (0..placements.len()).all(|i| {
            (0..i.min(movable)).all(|j| {
                !boxes[i].meets(boxes[j])
                    || !clash::overlap(placements[i].borrowed(), placements[j].borrowed())
            })
        })
}

impl Effort {
    /// A quick try, in a room of this height, mm.
    pub(super) fn light(unit: f64) -> Self {
        Self {
            reach: unit * LIGHT_REACH,
            rounds: 3,
            sweeps: 200,
            margin: unit * MARGIN,
        }
    }

    /// A patient try to save `by` mm of length.
    pub(super) fn thorough(unit: f64, by: f64) -> Self {
        Self {
            reach: (by * 2.0).max(unit * LIGHT_REACH / 2.0),
            rounds: 4,
            sweeps: 400,
            margin: unit * MARGIN,
        }
    }
}

/// A shape while it is being moved.
struct Body {
    parts: Arc<Vec<Convex>>,
    bounds: Bounds,
    at: Vector,
    turn: f64,
    /// A turn counts as this many radians for each mm; 0 if it does not turn.
    spin: f64,
    /// Whether it stays where it is.
    fixed: bool,
}

/// Move of one body: along x, along y, and turn over spin, mm.
type Shift = [f64; 3];

impl Body {
    fn new(kind: &SearchShape, placed: &PlacedShape, fixed: bool) -> Self {
        let parts = match (&kind.turns, kind.step_of(&placed.shape)) {
            (Turns::Steps(steps), Some(step)) => Arc::clone(&steps[step].parts),
            _ => Arc::new(Convex::all(&kind.shape, placed.shape.turn)),
        };
        Self {
            bounds: placed.shape.bounds,
            parts,
            at: placed.at,
            turn: placed.shape.turn,
            spin: match kind.turns {
                Turns::Free(_) => 3.0 / kind.shape.diameter,
                Turns::Steps(_) => 0.0,
            },
            fixed,
        }
    }

    fn moved(&mut self, [x, y, t]: &Shift, kind: &SearchShape) {
        self.at = self.at + Vector::new(*x, *y);
        if self.spin > 0.0 && *t != 0.0 {
            self.turn += t * self.spin;
            self.parts = Arc::new(Convex::all(&kind.shape, self.turn));
            self.bounds = self
                .parts
                .iter()
                .fold(Bounds::EMPTY, |all, part| all.union(part.bounds));
        }
    }

    fn placed(&self, before: &PlacedShape, kind: &SearchShape) -> PlacedShape {
        PlacedShape {
            at: self.at,
            shape: if self.turn == before.shape.turn {
                Arc::clone(&before.shape)
            } else {
                kind.rotated(self.turn)
            },
        }
    }

    /// How far a push along `normal` at `arm` from the centre turns the body.
    fn lever(&self, arm: Vector, normal: Vector) -> f64 {
        arm.cross(normal) * self.spin
    }
}

/// `gap + normal · (move of b - move of a) + levers · turns >= 0`; a wall if `a` is `b`.
struct Bound {
    a: usize,
    b: usize,
    normal: Vector,
    gap: f64,
    lever_a: f64,
    lever_b: f64,
}

impl Bound {
    /// How far from violated it is after these moves, mm.
    #[inline]
    fn value(&self, shifts: &[Shift]) -> f64 {
        let n = self.normal;
        let along = |s: &Shift, lever: f64| n.x * s[0] + n.y * s[1] + lever * s[2];
        let value = self.gap + along(&shifts[self.b], self.lever_b);
        if self.a == self.b {
            value
        } else {
            value - along(&shifts[self.a], self.lever_a)
        }
    }
}

/// The bounds of all pairs of parts near enough to meet within the reach.
fn gather(bodies: &[Body], frame: Bounds, effort: Effort) -> Vec<Bound> {
    let near = effort.reach * 3.0;
    let mut bounds = Vec::new();
    for b in 0..bodies.len() {
        let there = shifted(&bodies[b].bounds, bodies[b].at).grown(near);
        for a in 0..b {
            if bodies[a].fixed {
                break;
            }
            if shifted(&bodies[a].bounds, bodies[a].at).meets(there) {
                pair(bodies, a, b, near, effort.margin, &mut bounds);
            }
        }
        if bodies[b].spin > 0.0 {
            walls(&bodies[b], b, frame, near, &mut bounds);
        }
    }
    bounds
}

/// The bounds between the parts of two bodies.
fn pair(bodies: &[Body], a: usize, b: usize, near: f64, margin: f64, bounds: &mut Vec<Bound>) {
    let offset = bodies[b].at - bodies[a].at;
    for p in bodies[a].parts.iter() {
        let reach = p.bounds.grown(near);
        for q in bodies[b].parts.iter() {
            if !reach.meets(shifted(&q.bounds, offset)) {
                continue;
            }
            let (side, flipped) = parting_side(p, q, offset);
            if side.gap > near {
                continue;
            }
            if flipped {
                touches(bodies, (b, q), (a, p), side, near, margin, bounds);
            } else {
                touches(bodies, (a, p), (b, q), side, near, margin, bounds);
            }
        }
    }
}

/// The bounds that keep the corners of one part beyond a side of another: the nearest corner, and
/// all near ones if either turns.
fn touches(
    bodies: &[Body],
    (a, p): (usize, &Convex),
    (b, q): (usize, &Convex),
    side: PartingSide,
    near: f64,
    margin: f64,
    bounds: &mut Vec<Bound>,
) {
    let offset = bodies[b].at - bodies[a].at;
    let turning = bodies[a].spin + bodies[b].spin > 0.0;
    let normal = p.normals[side.index];
    let base = p.corners[side.index];
    for corner in &q.corners {
        let touch = *corner + offset;
        let gap = normal.dot(touch - base);
        if gap > near || (!turning && gap > side.gap + 1e-12) {
            continue;
        }
        bounds.push(Bound {
            a,
            b,
            normal,
            gap: gap - margin,
            lever_a: bodies[a].lever(touch - Point::ORIGIN, normal),
            lever_b: bodies[b].lever(*corner - Point::ORIGIN, normal),
        });
        if !turning {
            return;
        }
    }
}

/// Bounds that keep a turning shape in the frame.
fn walls(body: &Body, b: usize, frame: Bounds, near: f64, bounds: &mut Vec<Bound>) {
    for corner in body.parts.iter().flat_map(|part| &part.corners) {
        let p = *corner + body.at;
        for (normal, gap) in [
            (Vector::new(1.0, 0.0), p.x - frame.min.x),
            (Vector::new(-1.0, 0.0), frame.max.x - p.x),
            (Vector::new(0.0, 1.0), p.y - frame.min.y),
            (Vector::new(0.0, -1.0), frame.max.y - p.y),
        ] {
            if gap < near {
                bounds.push(Bound {
                    a: b,
                    b,
                    normal,
                    gap,
                    lever_a: 0.0,
                    lever_b: body.lever(*corner - Point::ORIGIN, normal),
                });
            }
        }
    }
}

/// How far a body may move along x, along y, and turn.
type Limits = [(f64, f64); 3];

fn limits(body: &Body, frame: Bounds, reach: f64) -> Limits {
    if body.fixed {
        return [(0.0, 0.0); 3];
    }
    let free = (-reach, reach);
    if body.spin > 0.0 {
        return [free; 3];
    }
    let b = shifted(&body.bounds, body.at);
    let within = |low: f64, high: f64| (low.max(-reach), high.min(reach));
    [
        within(frame.min.x - b.min.x, frame.max.x - b.max.x),
        within(frame.min.y - b.min.y, frame.max.y - b.max.y),
        (0.0, 0.0),
    ]
}

/// The moves that satisfy all bounds, found by correcting one bound after the other; `None` if that
/// leads nowhere.
fn relax(
    bodies: &[Body],
    bounds: &[Bound],
    frame: Bounds,
    effort: Effort,
    phase: &Phase,
    work: &mut u64,
) -> Option<Vec<Shift>> {
    let limits: Vec<Limits> = bodies
        .iter()
        .map(|body| limits(body, frame, effort.reach))
        .collect();
    let mut shifts: Vec<Shift> = vec![[0.0; 3]; bodies.len()];
    for (shift, limits) in shifts.iter_mut().zip(&limits) {
        push(shift, [0.0; 3], limits);
    }
    let mut seen = f64::INFINITY;
    let mut active: Vec<&Bound> = Vec::new();
    let mut settled = false;
    for sweep in 0..effort.sweeps {
        // Most bounds never bind: now and then all are looked at, in between those that nearly do.
        let whole = settled || sweep % WHOLE == 0;
        if whole {
            let near = |bound: &&Bound| bound.value(&shifts) < effort.reach * NEAR;
            active = bounds.iter().filter(near).collect();
            *work += bounds.len() as u64 / 200;
        }
        *work += active.len() as u64 / 100;
        let mut worst: f64 = 0.0;
        let mut visit = |bound: &&Bound| worst = worst.max(correct(bound, &mut shifts, &limits));
        if sweep % 2 == 0 {
            active.iter().for_each(&mut visit);
        } else {
            active.iter().rev().for_each(&mut visit);
        }
        if worst < effort.margin / 2.0 && whole {
            return Some(shifts);
        }
        settled = worst < effort.margin / 2.0;
        if sweep % LOOK == LOOK - 1 {
            if worst > seen * GAIN || phase.is_late() {
                return None;
            }
            seen = worst;
        }
    }
    None
}

/// Moves the two bodies of a bound apart if it does not hold; by how much it did not.
fn correct(bound: &Bound, shifts: &mut [Shift], limits: &[Limits]) -> f64 {
    let value = bound.value(shifts);
    if value >= 0.0 {
        return 0.0;
    }
    let Bound {
        a,
        b,
        normal: n,
        lever_a,
        lever_b,
        ..
    } = *bound;
    let wall = a == b;
    let mut mass = 1.0 + lever_b * lever_b;
    if !wall {
        mass += 1.0 + lever_a * lever_a;
    }
    let by = -EAGER * value / mass;
    if !wall {
        push(
            &mut shifts[a],
            [-n.x * by, -n.y * by, -lever_a * by],
            &limits[a],
        );
    }
    push(
        &mut shifts[b],
        [n.x * by, n.y * by, lever_b * by],
        &limits[b],
    );
    -value
}

fn push(shift: &mut Shift, by: Shift, limits: &Limits) {
    for k in 0..3 {
        let (low, high) = limits[k];
        shift[k] = (shift[k] + by[k]).min(high).max(low);
    }
}
