//! Pieces side by side in shelves right across a sheet: what a builder would lay out of rectangles.
//!
//! In: pieces, how many of each wait, and an empty container. Out: where they lie. The deepest come first, and each
//! goes into the first shelf with room for it; a shelf is as deep as the first piece in it. That is *first fit
//! decreasing height* of Coffman, Garey, Johnson and Tarjan, "Performance bounds for level-oriented two-dimensional
//! packing algorithms", SIAM Journal on Computing 9 (1980), from memory. What counts for a shelf is the box around a
//! piece; which of its sides lies across is found by trying. In the end every piece slides up to what lies before it.

use std::sync::Arc;

use super::clash::TOUCH;
use super::construct::turns;
use super::container::Container;
use super::placed::{PlacedRef, PlacedShape};
use super::prepared::PreparedPiece;
use super::rigid_shape::RotatedShape;
use crate::geometry::Vector;

/// Room to spare between neighbours, mm.
const SPARE: f64 = 10.0 * TOUCH;
/// For so many kinds, the largest, every choice of their sides is tried: where there are more, each matters little.
const TRIED: usize = 6;

/// Copies of one piece, at the turn that takes least along the sheet and at the one that takes least across.
struct Kind {
    assembly: usize,
    copies: u32,
    sides: [Side; 2],
}

/// A piece at a turn, and how much it takes along the sheet and across, mm.
#[derive(Clone)]
struct Side {
    shape: Arc<RotatedShape>,
    depth: f64,
    width: f64,
}

/// So many copies of each kind side by side, each kind by its place in the list.
struct Shelf {
    depth: f64,
    width: f64,
    copies: Vec<(usize, u32)>,
}

/// Where the pieces lie in shelves, each with its place in the list; those that have no room are left out. The large
/// ones come first in `order`.
pub(super) fn laid(
    pieces: &[Option<PreparedPiece>],
    order: &[usize],
    waiting: &[u32],
    container: &Container,
) -> Vec<(usize, PlacedShape)> {
    let width = container.bounds().height() - SPARE;
    let wanted = order.iter().filter(|assembly| waiting[**assembly] > 0);
    let kinds = wanted.filter_map(|&assembly| {
        Some(Kind {
            assembly,
            copies: waiting[assembly],
            sides: sides(pieces[assembly].as_ref()?, width)?,
        })
    });
    let kinds: Vec<Kind> = kinds.collect();
    let chosen = best(&kinds, width);
    let mut filled = container.clone();
    let mut placed = Vec::new();
    let corner = container.bounds().min;
    let mut x = corner.x + SPARE;
    for shelf in shelves(&kinds, &chosen, width) {
        let mut y = corner.y + SPARE;
        for (k, copies) in shelf.copies {
            let side = &kinds[k].sides[chosen[k]];
            for _ in 0..copies {
                let low = side.shape.bounds.min;
                let copy = put(&mut filled, &side.shape, Vector::new(x - low.x, y - low.y));
                placed.extend(copy.map(|copy| (kinds[k].assembly, copy)));
                y += side.width;
            }
        }
        x += shelf.depth;
    }
    placed
}

/// A piece at those of its turns that fit a width at which it takes least along and least across.
fn sides(piece: &PreparedPiece, width: f64) -> Option<[Side; 2]> {
    let turned = turns(piece).into_iter().map(|turn| {
        let shape = Arc::new(piece.shape.turned(turn));
        Side {
            depth: shape.bounds.width() + SPARE,
            width: shape.bounds.height() + SPARE,
            shape,
        }
    });
    let fitting: Vec<Side> = turned.filter(|it| it.width <= width).collect();
    let least = |of: fn(&Side) -> f64| fitting.iter().min_by(|a, b| of(a).total_cmp(&of(b)));
    Some([least(|it| it.depth)?.clone(), least(|it| it.width)?.clone()])
}

/// Which side of each kind lies across, so that the shelves take least length: every choice for the first few kinds
/// is tried, the others all the one way or all the other.
fn best(kinds: &[Kind], width: f64) -> Vec<usize> {
    let tried = kinds.len().min(TRIED);
    let ways = if tried < kinds.len() { 2 } else { 1 };
    let choices = (0..ways << tried).map(|choice| {
        let bit = |k: usize| choice >> k.min(tried) & 1;
        (0..kinds.len()).map(bit).collect::<Vec<usize>>()
    });
    let length = |chosen: &[usize]| -> f64 {
        let shelves = shelves(kinds, chosen, width);
        shelves.iter().map(|it| it.depth).sum()
    };
    let lengths = choices.map(|chosen| (length(&chosen), chosen));
    let best = lengths.min_by(|a, b| a.0.total_cmp(&b.0));
    best.map_or_else(Vec::new, |(_, chosen)| chosen)
}

/// The kinds in shelves, each with the side chosen across, the deepest first and in the first shelf with room.
fn shelves(kinds: &[Kind], chosen: &[usize], width: f64) -> Vec<Shelf> {
    let side = |k: usize| &kinds[k].sides[chosen[k]];
    let mut order: Vec<usize> = (0..kinds.len()).collect();
    order.sort_by(|a, b| side(*b).depth.total_cmp(&side(*a).depth));
    let mut shelves: Vec<Shelf> = Vec::new();
    for k in order {
        let (mut left, mut at) = (kinds[k].copies, 0);
        while left > 0 {
            if at == shelves.len() {
                shelves.push(Shelf {
                    depth: side(k).depth,
                    width: 0.0,
                    copies: Vec::new(),
                });
            }
            let shelf = &mut shelves[at];
            let copies = left.min(((width - shelf.width) / side(k).width) as u32);
            if copies > 0 {
                shelf.width += f64::from(copies) * side(k).width;
                shelf.copies.push((k, copies));
                left -= copies;
            }
            at += 1;
        }
    }
    shelves
}

/// Puts a copy there, if it is free, as far left as it slides.
fn put(container: &mut Container, shape: &Arc<RotatedShape>, at: Vector) -> Option<PlacedShape> {
    let here = PlacedRef { shape, at };
    if !container.is_free(here) {
        return None;
    }
    let copy = PlacedShape {
        at: container.slid(here, Vector::new(-1.0, 0.0)),
        shape: Arc::clone(shape),
    };
    container.put(copy.clone());
    Some(copy)
}
