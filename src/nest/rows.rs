//! Many copies of one shape in rows: what a builder would lay out by hand.
//!
//! In: a piece and an empty container. Out: regular layouts, those with most copies first: every row has
//! one pitch, each row is moved along against the one before, either to and fro or always on, and comes as
//! near to it as it can. Two copies that lie well in one another ([`Pair`]) are laid as one, too. The pitch
//! may be wider than it must be: rows of discs that use up their length lie closer together.

use std::sync::Arc;

use super::clash::{TOUCH, travel};
use super::construct::turns;
use super::container::Container;
use super::pairs::Pair;
use super::placed::{PlacedRef, PlacedShape};
use super::prepared::PreparedPiece;
use super::rigid_shape::RotatedShape;
use crate::geometry::Vector;

/// Moves of a row against the one before that are tried, evenly over a pitch.
const MOVES: u32 = 24;
/// How many of the layouts are worth laying out.
const BEST: usize = 6;
/// Room to spare between neighbours, mm.
const SPARE: f64 = 10.0 * TOUCH;

/// A regular layout.
struct Rows<'a> {
    body: &'a Body,
    /// The way along the rows, and across them.
    ways: (Vector, Vector),
    pitch: f64,
    /// How far each row is moved along, and how far across it lies.
    rows: Vec<(f64, f64)>,
    copies: usize,
}

/// What is repeated: one copy or a pair, at a turn.
struct Body {
    shape: Arc<RotatedShape>,
    /// The copies in it, about its centre.
    members: Vec<PlacedShape>,
}

/// Regular layouts of a piece in a container, the fullest first.
pub(super) fn layouts(
    piece: &PreparedPiece,
    container: &Container,
    seed: u64,
) -> Vec<Vec<PlacedShape>> {
    let bodies = bodies(piece, seed);
    let mut all: Vec<Rows> = bodies
        .iter()
        .flat_map(|body| body.layouts(container))
        .collect();
    all.sort_by_key(|rows| std::cmp::Reverse(rows.copies));
    let best = all.iter().take(BEST);
    best.map(|rows| rows.laid_out(container)).collect()
}

/// The piece, and a pair of it, at each turn worth trying.
fn bodies(piece: &PreparedPiece, seed: u64) -> Vec<Body> {
    let single = turns(piece).into_iter().map(|turn| {
        let shape = Arc::new(piece.shape.turned(turn));
        let alone = PlacedShape {
            shape: Arc::clone(&shape),
            at: Vector::default(),
        };
        Body {
            shape,
            members: vec![alone],
        }
    });
    let mut bodies: Vec<Body> = single.collect();
    if let Some(pair) = Pair::of(piece, seed) {
        bodies.extend(turns(&pair.item).into_iter().map(|turn| {
            Body {
                shape: Arc::new(pair.item.shape.turned(turn)),
                members: pair
                    .members(turn, Vector::default())
                    .map(|(turn, at)| PlacedShape {
                        shape: Arc::new(piece.shape.turned(turn)),
                        at,
                    })
                    .to_vec(),
            }
        }));
    }
    bodies
}

impl Body {
    fn layouts(&self, container: &Container) -> Vec<Rows<'_>> {
        let (x, y) = (Vector::new(1.0, 0.0), Vector::new(0.0, 1.0));
        let mut layouts = Vec::new();
        for (along, across) in [(x, y), (y, x)] {
            let room = self.room(container);
            let (long, wide) = (room.dot(along), room.dot(across));
            if long < 0.0 || wide < 0.0 {
                continue;
            }
            let least = self.nearest(along, Vector::default());
            let most = (long / least).floor();
            // The least pitch, and those that use up the length with rows that begin together or half a
            // pitch apart.
            let spread = [most, most - 0.5, most - 1.0].map(|count| long / count);
            for pitch in spread.into_iter().chain([least]) {
                if !pitch.is_finite() || pitch < least {
                    continue;
                }
                for step in 0..MOVES {
                    let shift = pitch * f64::from(step) / f64::from(MOVES);
                    for on in [false, true] {
                        let rows = self.rows((along, across), pitch, (shift, on), wide);
                        let in_row = |(offset, _): &(f64, f64)| {
                            if long < *offset {
                                0
                            } else {
                                ((long - offset) / pitch + 1e-9) as usize + 1
                            }
                        };
                        let copies = rows.iter().map(in_row).sum::<usize>() * self.members.len();
                        layouts.push(Rows {
                            body: self,
                            ways: (along, across),
                            pitch,
                            rows,
                            copies,
                        });
                    }
                }
            }
        }
        layouts
    }

    /// How far it can move in a container along x and along y.
    fn room(&self, container: &Container) -> Vector {
        let (walls, own) = (container.bounds(), self.shape.bounds);
        let slack = Vector::new(2.0 * SPARE, 2.0 * SPARE);
        Vector::new(walls.width() - own.width(), walls.height() - own.height()) - slack
    }

    /// How near another comes from afar along a way, moved aside first.
    fn nearest(&self, way: Vector, aside: Vector) -> f64 {
        let far = 2.0 * self.shape.reach + 1.0;
        let here = PlacedRef {
            shape: &self.shape,
            at: Vector::default(),
        };
        let other = PlacedRef {
            at: aside + way * far,
            ..here
        };
        let free = travel(other, here, -way, 2.0 * far);
        if free < 2.0 * far {
            far - free + SPARE
        } else {
            f64::NEG_INFINITY
        }
    }

    /// The rows that fit one above the other: how far each is moved along, to and fro or on and on by
    /// `shift`, and how far across it lies.
    fn rows(
        &self,
        (along, across): (Vector, Vector),
        pitch: f64,
        (shift, on): (f64, bool),
        wide: f64,
    ) -> Vec<(f64, f64)> {
        // How far above a row another comes that is moved along by so much.
        let above = |by: f64| {
            let by = by.rem_euclid(pitch);
            let reach = (2.0 * self.shape.reach / pitch).ceil() as i32;
            let neighbours = (-reach..=reach).map(|k| by + pitch * f64::from(k));
            let heights = neighbours.map(|by| self.nearest(across, along * by));
            heights.fold(f64::NEG_INFINITY, f64::max)
        };
        let next = [above(shift), above(-shift)];
        let after_next = if on { above(2.0 * shift) } else { above(0.0) };
        let mut rows: Vec<(f64, f64)> = Vec::new();
        let (mut offset, mut height) = (0.0, 0.0);
        while height <= wide {
            rows.push((offset, height));
            let to = usize::from(!on && offset != 0.0);
            offset = match (on, to) {
                (true, _) => (offset + shift).rem_euclid(pitch),
                (false, 0) => shift,
                (false, _) => 0.0,
            };
            let before = rows.len().checked_sub(2).map(|at| rows[at].1 + after_next);
            let least = (height + next[to]).max(before.unwrap_or(f64::NEG_INFINITY));
            if !least.is_finite() || least <= height {
                break;
            }
            height = least;
        }
        rows
    }
}

impl Rows<'_> {
    /// Where every copy lies that is free there.
    fn laid_out(&self, container: &Container) -> Vec<PlacedShape> {
        let (walls, own) = (container.bounds(), self.body.shape.bounds);
        let corner = walls.min - own.min + Vector::new(SPARE, SPARE);
        let room = self.body.room(container);
        let (along, across) = self.ways;
        let mut filled = container.clone();
        let mut placed = Vec::new();
        for (offset, height) in &self.rows {
            let mut by = *offset;
            while by <= room.dot(along) + SPARE {
                let at = corner + along * by + across * *height;
                for member in &self.body.members {
                    let copy = PlacedShape {
                        shape: Arc::clone(&member.shape),
                        at: at + member.at,
                    };
                    if filled.is_free(copy.borrowed()) {
                        filled.put(copy.clone());
                        placed.push(copy);
                    }
                }
                by += self.pitch;
            }
        }
        placed
    }
}
