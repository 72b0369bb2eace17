//! Whether patterns of holes go together: which hole meets which, and by how much the worst misses.
//!
//! In: the middles of each ply's holes, and how far a bolt may stand off each. Out: the turn, and the flip
//! where it takes one, that lay one pattern on the other, and whether all bolts go in with the plies shifted
//! and turned as they like. Every bolt stands within a disc about the middle of its hole in each ply, or about the
//! line that a slot runs along, a bent one on its tangent; moves are small
//! once the patterns lie on each other, so these sets are convex, and what meets all of them is found by
//! going from one to the next (the relaxation method of Agmon, Motzkin and Schoenberg, 1954).

use crate::elementary::sin_cos;
use crate::geometry::{Point, Vector};

/// How far a bolt may still be outside its disc when it counts as in, mm: far below what is printed.
const IN: f64 = 1e-3;
/// Rounds in which bolts that go in nearly always are in.
const ROUNDS: usize = 300;
/// More of them where a distance is to be told.
const PATIENT: usize = 600;
/// How far beyond a disc's edge each move goes: past it, so that the end is reached and not only neared.
const OVER: f64 = 1.6;
/// Ways to lay patterns on each other that are looked at closely: not more than so many, and not those that
/// are worse by such a factor when only squares of distances are looked at.
const CLOSELY: usize = 12;
const NEARLY_AS_GOOD: f64 = 2.0;
/// A flip must be better by this, mm, to be told of.
const BETTER: f64 = 0.01;

/// How one pattern lies on another.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// Which hole of it meets each hole of the other.
    pub order: Vec<usize>,
    /// Whether it is turned over, left for right.
    pub flipped: bool,
    /// Sine and cosine of its turn.
    turn: (f64, f64),
    /// Its middle, and the other's.
    middles: (Point, Point),
}

impl Laid {
    /// A pattern that lies on itself.
    pub(super) fn as_it_lies(holes: usize) -> Self {
        Self {
            order: (0..holes).collect(),
            flipped: false,
            turn: (0.0, 1.0),
            middles: (Point::ORIGIN, Point::ORIGIN),
        }
    }

    /// A place of it as a place of the other.
    #[must_use]
    pub fn onto(&self, place: Point) -> Point {
        let off = mirrored(place, self.flipped) - mirrored(self.middles.0, self.flipped);
        self.middles.1 + off.turned_by(self.turn)
    }

    /// A place of the other as a place of it.
    #[must_use]
    pub fn back(&self, place: Point) -> Point {
        let (sin, cos) = self.turn;
        let off = (place - self.middles.1).turned_by((-sin, cos));
        let there = mirrored(self.middles.0, self.flipped) + off;
        mirrored(there, self.flipped)
    }
}

/// The holes of a ply, laid on those of the first.
#[derive(Debug, Clone, PartialEq)]
pub struct Holes {
    /// Their middles, mm.
    pub at: Vec<Point>,
    /// How far a bolt may stand off the middle of each, mm; below 0 where the bolt is the wider.
    pub free: Vec<f64>,
    /// From the middle of a slot to where a bolt at its end stands, mm; nothing of a round hole.
    pub along: Vec<Vector>,
}

impl Holes {
    /// Round ones that leave every bolt as much room.
    #[must_use]
    pub fn round(at: Vec<Point>, free: f64) -> Self {
        Self {
            free: vec![free; at.len()],
            along: vec![Vector::new(0.0, 0.0); at.len()],
            at,
        }
    }

    /// How far a bolt stands off, its way off the middle of a hole given; along a slot that is nothing.
    fn off(&self, hole: usize, way: Vector) -> Vector {
        let run = self.along[hole].length();
        match self.along[hole].unit() {
            Some(along) => way + along * -way.dot(along).clamp(-run, run),
            None => way,
        }
    }
}

fn mirrored(place: Point, flipped: bool) -> Point {
    Point::new(if flipped { -place.x } else { place.x }, place.y)
}

/// The mean of some places.
pub(super) fn middle(of: &[Point]) -> Point {
    let sum = of
        .iter()
        .fold(Vector::new(0.0, 0.0), |sum, it| sum + (*it - Point::ORIGIN));
    Point::ORIGIN + sum * (1.0 / of.len().max(1) as f64)
}

/// The best way to lay a pattern on another of as many holes, and the distance by which the worst hole then misses
/// with no clearance at all, mm. `None` for no holes.
#[must_use]
pub fn laid(other: &[Point], own: &[Point]) -> Option<(Laid, f64)> {
    if other.is_empty() || other.len() != own.len() {
        return None;
    }
    let middles = (middle(own), middle(other));
    let from_middle = |it: &&Point| it.distance(middles.1);
    let pivot = other
        .iter()
        .max_by(|a, b| from_middle(a).total_cmp(&from_middle(b)))?;
    let mut ways: Vec<(Laid, f64)> = Vec::new();
    for flipped in [false, true] {
        for hole in own {
            let off = mirrored(*hole, flipped) - mirrored(middles.0, flipped);
            let turn = sin_cos(off.turn_to(*pivot - middles.1));
            let mut way = Laid {
                order: Vec::new(),
                flipped,
                turn,
                middles,
            };
            way.order = nearest_pairs(other, own, &way);
            way.turn = least_squares_turn(other, own, &way);
            let worst = off_by(other, own, &way);
            ways.push((way, worst));
        }
    }
    // Most patterns are drawn to be alike: there is nothing to weigh.
    if let Some(at) = ways.iter().position(|(_, worst)| *worst <= IN) {
        return Some((ways.swap_remove(at).0, 0.0));
    }
    ways.sort_by(|a, b| a.1.total_cmp(&b.1));
    let most = ways.first().map_or(0.0, |it| it.1) * NEARLY_AS_GOOD;
    ways.retain(|it| it.1 <= most);
    ways.truncate(CLOSELY);
    let exact = ways.into_iter().map(|(way, _)| {
        let places: Vec<Point> = way.order.iter().map(|it| way.onto(own[*it])).collect();
        let miss = miss(&[other.to_vec(), places].map(|at| Holes::round(at, 0.0)));
        (way, miss)
    });
    let mut best: Option<(Laid, f64)> = None;
    for (way, miss) in exact {
        let handicap = |way: &Laid| if way.flipped { BETTER } else { 0.0 };
        let is_better = best
            .as_ref()
            .is_none_or(|(known, least)| miss + handicap(&way) < least + handicap(known) - IN);
        if is_better {
            best = Some((way, miss));
        }
    }
    best
}

/// Which hole of the pattern meets each of the other: the nearest pairs first.
fn nearest_pairs(other: &[Point], own: &[Point], way: &Laid) -> Vec<usize> {
    let places: Vec<Point> = own.iter().map(|it| way.onto(*it)).collect();
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (i, there) in other.iter().enumerate() {
        let here = places.iter().enumerate();
        pairs.extend(here.map(|(j, place)| (there.distance(*place), i, j)));
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut meets = vec![None; other.len()];
    let mut taken = vec![false; own.len()];
    for (_, i, j) in pairs {
        if meets[i].is_none() && !taken[j] {
            meets[i] = Some(j);
            taken[j] = true;
        }
    }
    meets.into_iter().flatten().collect()
}

/// The turn about the middles that makes the squares of all distances least.
fn least_squares_turn(other: &[Point], own: &[Point], way: &Laid) -> (f64, f64) {
    let (mut along, mut across) = (0.0, 0.0);
    for (there, index) in other.iter().zip(&way.order) {
        let to = *there - way.middles.1;
        let own = mirrored(own[*index], way.flipped) - mirrored(way.middles.0, way.flipped);
        along += own.dot(to);
        across += own.cross(to);
    }
    let length = Vector::new(along, across).length();
    if length > 0.0 {
        (across / length, along / length)
    } else {
        way.turn
    }
}

fn off_by(other: &[Point], own: &[Point], way: &Laid) -> f64 {
    let pairs = other.iter().zip(&way.order);
    pairs.fold(0.0, |worst: f64, (there, index)| {
        worst.max(there.distance(way.onto(own[*index])))
    })
}

/// The least by which clearances would have to be larger, in a pair of plies together, for all bolts to go in,
/// mm; 0 where they go in. Places of all plies lie on each other, and hole `i` of one meets hole `i` of all.
#[must_use]
pub fn miss(plies: &[Holes]) -> f64 {
    const HALVINGS: usize = 24;
    if goes_together(plies, 0.0, PATIENT) {
        return 0.0;
    }
    let tight = plies
        .iter()
        .flat_map(|it| &it.free)
        .fold(0.0, |least: f64, it| least.min(*it));
    let apart = plies
        .iter()
        .skip(1)
        .flat_map(|own| own.at.iter().zip(&plies[0].at));
    let apart = apart.fold(0.0, |most: f64, (a, b)| most.max(a.distance(*b)));
    let (mut least, mut most) = (0.0, 2.0 * (apart - tight) + IN);
    for _ in 0..HALVINGS {
        let tried = f64::midpoint(least, most);
        if goes_together(plies, tried / 2.0, PATIENT) {
            most = tried;
        } else {
            least = tried;
        }
    }
    most
}

/// Whether all bolts go in.
pub(super) fn all_go_in(plies: &[Holes]) -> bool {
    goes_together(plies, 0.0, ROUNDS)
}

/// A small move of a ply: along x and y, and a turn as the length that it moves a hole at the pattern's radius.
#[derive(Clone, Copy, Default)]
struct Move {
    by: Vector,
    turn: f64,
}

fn goes_together(plies: &[Holes], more: f64, rounds: usize) -> bool {
    let Some(first) = plies.first().map(|it| &it.at) else {
        return true;
    };
    if plies
        .iter()
        .flat_map(|it| &it.free)
        .any(|it| it + more < 0.0)
    {
        return false;
    }
    let centre = middle(first);
    let radius =
        first.iter().map(|it| it.distance(centre)).sum::<f64>() / first.len().max(1) as f64;
    let radius = radius.max(1.0);
    // How far a turn moves a place, over how far it moves a hole at the radius.
    let lever = |place: Point| (place - centre).left() * (1.0 / radius);
    let mut moves: Vec<Move> = plies
        .iter()
        .map(|own| start(first, &own.at, (centre, radius)))
        .collect();
    let moved = |place: Point, it: Move| place + it.by + lever(place) * it.turn;
    let mut bolts: Vec<Point> = (0..first.len())
        .map(|hole| {
            let all = plies.iter().zip(&moves);
            let all: Vec<Point> = all.map(|(own, it)| moved(own.at[hole], *it)).collect();
            middle(&all)
        })
        .collect();
    for _ in 0..rounds {
        let mut worst = 0.0_f64;
        for (ply, own) in plies.iter().enumerate() {
            for (hole, place) in own.at.iter().enumerate() {
                let off = own.off(hole, bolts[hole] - moved(*place, moves[ply]));
                let distance = off.length();
                let outside = distance - (own.free[hole] + more);
                if outside <= 0.0 {
                    continue;
                }
                worst = worst.max(outside);
                let way = off * (1.0 / distance);
                let lever = way.dot(lever(*place));
                // The first ply stays where it is.
                let moves_too = if ply == 0 { 0.0 } else { 1.0 };
                let step = OVER * outside / (1.0 + moves_too * (1.0 + lever * lever));
                bolts[hole] = bolts[hole] + way * -step;
                moves[ply].by = moves[ply].by + way * (moves_too * step);
                moves[ply].turn += moves_too * step * lever;
            }
        }
        if worst <= IN {
            return true;
        }
    }
    false
}

/// The move that makes the squares of a ply's distances from the first least.
fn start(first: &[Point], own: &[Point], (centre, radius): (Point, f64)) -> Move {
    let by = middle(first) - middle(own);
    let (mut across, mut all) = (0.0, 0.0);
    for (to, place) in first.iter().zip(own) {
        let lever = (*place - centre).left() * (1.0 / radius);
        across += lever.dot(*to - (*place + by));
        all += lever.dot(lever);
    }
    let turn = if all > 0.0 { across / all } else { 0.0 };
    Move { by, turn }
}
