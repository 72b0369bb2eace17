//! Two copies of a shape laid so close that together they come near to a rectangle.
//!
//! In: an item. Out: the best [`Pair`] found, if it fills the rectangle around it clearly better than
//! one copy fills its own: tapered arms head to tail, angles in one another, triangles along their long
//! sides. A search that moves such pairs first has half as many shapes to place, and plainer ones.

use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::sync::Arc;

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

use super::assembly::same_turn;
use super::clash::{self, TOUCH};
use super::placed::PlacedRef;
use super::prepared::PreparedPiece;
use super::rigid_shape::RotatedShape;
use super::{Rotation, polygon};
use crate::elementary;
use crate::geometry::{Point, Vector};

/// Directions from which the second copy is slid against the first, and lines beside each other.
const DIRECTIONS: usize = 24;
const LINES: usize = 9;
/// Small changes tried to the best, the first of them and how they shrink.
const CHANGES: usize = 120;
const CHANGE: f64 = 0.15;
const SHRINK: f64 = 0.97;
/// A pair must fill the rectangle around it this much better than one copy does.
const GAIN: f64 = 1.06;

/// Two copies as one.
pub(super) struct Pair {
    /// Their common shape and the turns it may take.
    pub(super) item: PreparedPiece,
    /// Turn and place of the centre of each copy when the pair is not turned.
    members: [(f64, Vector); 2],
}

impl Pair {
    /// Where the copies lie when the pair lies at a turn with its centre at a place.
    pub(super) fn members(&self, turn: f64, at: Vector) -> [(f64, Vector); 2] {
        let by = elementary::sin_cos(turn);
        self.members
            .map(|(own, v)| (turn + own, at + v.turned_by(by)))
    }

    /// The best pair of copies of an item, if one is worth it.
    pub(super) fn of(item: &PreparedPiece, seed: u64) -> Option<Self> {
        if item.shape.is_disc() {
            return None;
        }
        let mut random = Pcg64Mcg::seed_from_u64(seed);
        let alone = rectangle(item.shape.hull());
        let search = Search {
            item,
            first: item.shape.turned(0.0),
        };
        let mut best: Option<Found> = None;
        for turn in relative_turns(&item.rotation) {
            let Some(mut found) = search.widely(turn) else {
                continue;
            };
            search.nearby(&mut found, &mut random);
            if best
                .as_ref()
                .is_none_or(|known| found.rectangle < known.rectangle)
            {
                best = Some(found);
            }
        }
        let best = best?;
        if 2.0 * alone < best.rectangle * GAIN {
            return None;
        }
        let shape = item
            .shape
            .joined(&[(0.0, Vector::default()), (best.slide.turn, best.at)]);
        let middle = shape.centre;
        Some(Self {
            members: [(0.0, -middle), (best.slide.turn, best.at - middle)],
            item: PreparedPiece {
                rotation: suiting(&item.rotation, best.slide.turn),
                shape: Arc::new(shape),
            },
        })
    }
}

/// How the second copy comes to the first: at a turn, from a direction, on a line beside the centre.
#[derive(Clone, Copy)]
struct Slide {
    turn: f64,
    direction: f64,
    beside: f64,
}

struct Found {
    slide: Slide,
    at: Vector,
    /// Area of the least rectangle around both, mm².
    rectangle: f64,
}

struct Search<'a> {
    item: &'a PreparedPiece,
    first: RotatedShape,
}

impl Search<'_> {
    /// The best of slides from all sides.
    fn widely(&self, turn: f64) -> Option<Found> {
        let second = self.item.shape.turned(turn);
        let mut best: Option<Found> = None;
        for k in 0..DIRECTIONS {
            for line in 0..LINES {
                let beside = (line as f64 / (LINES - 1) as f64 - 0.5) * self.item.shape.diameter;
                let slide = Slide {
                    turn,
                    direction: k as f64 / DIRECTIONS as f64 * TAU,
                    beside,
                };
                if let Some(found) = self.at(slide, &second)
                    && best
                        .as_ref()
                        .is_none_or(|known| found.rectangle < known.rectangle)
                {
                    best = Some(found);
                }
            }
        }
        best
    }

    /// Small changes of a slide as long as they make it better.
    fn nearby(&self, best: &mut Found, random: &mut Pcg64Mcg) {
        let free = matches!(self.item.rotation, Rotation::Free);
        let mut reach = CHANGE;
        for _ in 0..CHANGES {
            let mut draw = |scale: f64| (random.random::<f64>() * 2.0 - 1.0) * scale * reach;
            let slide = Slide {
                turn: best.slide.turn + if free { draw(1.0) } else { 0.0 },
                direction: best.slide.direction + draw(2.0),
                beside: best.slide.beside + draw(self.item.shape.diameter),
            };
            let second = self.item.shape.turned(slide.turn);
            match self.at(slide, &second) {
                Some(found) if found.rectangle < best.rectangle => *best = found,
                _ => reach *= SHRINK,
            }
        }
    }

    /// Where the second copy comes to lie; `None` if it passes the first.
    fn at(&self, slide: Slide, second: &RotatedShape) -> Option<Found> {
        let far = 2.0 * self.item.shape.diameter;
        let out = Point::ORIGIN.polar(1.0, slide.direction) - Point::ORIGIN;
        let start = out * far + out.left() * slide.beside;
        let fixed = PlacedRef {
            shape: &self.first,
            at: Vector::default(),
        };
        let moved = |at| PlacedRef { shape: second, at };
        let free = clash::travel(moved(start), fixed, -out, 2.0 * far);
        if free >= 2.0 * far {
            return None;
        }
        let at = start - out * (free - 30.0 * TOUCH);
        if clash::overlap(moved(at), fixed) {
            return None;
        }
        let hull = self.item.shape.hull();
        let (sin, cos) = elementary::sin_cos(slide.turn);
        let there = hull
            .iter()
            .map(|p| Point::new(p.x * cos - p.y * sin, p.x * sin + p.y * cos) + at);
        let both: Vec<Point> = hull.iter().copied().chain(there).collect();
        Some(Found {
            slide,
            at,
            rectangle: rectangle(&polygon::hull(&both)),
        })
    }
}

/// Area of the least rectangle around a hull, mm².
fn rectangle(hull: &[Point]) -> f64 {
    let around = |along: Vector| {
        let extent = |way: Vector| {
            let reach = hull.iter().map(|p| way.dot(*p - Point::ORIGIN));
            let (low, high) = reach.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
                (low.min(v), high.max(v))
            });
            high - low
        };
        extent(along) * extent(along.left())
    };
    polygon::edges(hull)
        .filter_map(|(a, b)| (b - a).unit())
        .map(around)
        .fold(f64::INFINITY, f64::min)
}

/// Turns of the second copy against the first that are worth trying.
fn relative_turns(rotation: &Rotation) -> Vec<f64> {
    let quarters = [PI, 0.0, FRAC_PI_2, -FRAC_PI_2];
    let suits = |turn: &f64| match rotation {
        Rotation::Free => true,
        Rotation::Steps(_) => {
            matches!(suiting(rotation, *turn), Rotation::Steps(steps) if !steps.is_empty())
        }
    };
    quarters.into_iter().filter(suits).collect()
}

/// The turns of a pair whose second copy is turned by `turn` against the first.
fn suiting(rotation: &Rotation, turn: f64) -> Rotation {
    match rotation {
        Rotation::Free => Rotation::Free,
        Rotation::Steps(steps) => {
            let suits = |step: &&f64| steps.iter().any(|other| same_turn(**step + turn, *other));
            Rotation::Steps(steps.iter().filter(suits).copied().collect())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Piece;
    use super::*;

    fn item(corners: &[(f64, f64)], rotation: Rotation) -> PreparedPiece {
        let piece = Piece {
            index: 0,
            id: "part".into(),
            quantity: 2,
            outline: corners.iter().map(|(x, y)| Point::new(*x, *y)).collect(),
            windows: Vec::new(),
            rotation,
        };
        PreparedPiece::new(&piece).expect("it bounds an area")
    }

    fn overlap(item: &PreparedPiece, members: &[(f64, Vector); 2]) -> bool {
        let [(turn, at), (other, there)] = *members;
        let (first, second) = (item.shape.turned(turn), item.shape.turned(other));
        let placements = PlacedRef { shape: &first, at };
        clash::overlap(
            placements,
            PlacedRef {
                shape: &second,
                at: there,
            },
        )
    }

    #[test]
    fn two_right_triangles_are_a_rectangle_or_nearly() {
        let halves = Rotation::Steps(vec![0.0, PI]);
        for rotation in [Rotation::Free, halves] {
            let triangle = item(&[(0.0, 0.0), (90.0, 0.0), (0.0, 60.0)], rotation);
            let pair = Pair::of(&triangle, 1).expect("triangles pair");
            assert!((pair.item.shape.area - 5400.0).abs() < 1e-6);
            assert!(rectangle(pair.item.shape.hull()) < 5400.0 * 1.05);
            for turn in [0.0, PI] {
                let members = pair.members(turn, Vector::new(7.0, -3.0));
                assert!(!overlap(&triangle, &members));
            }
        }
    }

    #[test]
    fn rectangles_gain_nothing_and_grain_keeps_its_turns() {
        let pad = item(
            &[(0.0, 0.0), (60.0, 0.0), (60.0, 45.0), (0.0, 45.0)],
            Rotation::Free,
        );
        assert!(Pair::of(&pad, 1).is_none());
        let grain = Rotation::Steps(vec![0.0]);
        let angle = item(
            &[
                (0.0, 0.0),
                (90.0, 0.0),
                (90.0, 20.0),
                (20.0, 20.0),
                (20.0, 90.0),
                (0.0, 90.0),
            ],
            grain.clone(),
        );
        let pair = Pair::of(&angle, 1).expect("angles lie in one another");
        assert_eq!(pair.item.rotation, grain);
        assert_eq!(pair.members.map(|(turn, _)| turn), [0.0, 0.0]);
    }
}
