//! A sheet laid anew with its copies in pairs.
//!
//! In: a sheet with what lies on it. Out: the same copies on the same sheet, those of shapes that pair
//! well ([`Pair`]) two by two, pressed together as such. Half as many shapes, and plainer ones, come
//! near their best sooner; afterwards every copy may go its own way again.

use std::sync::Arc;

use rand::SeedableRng;
use rand_pcg::Pcg64;

use super::Stock;
use super::assembly::exact;
use super::clock::Phase;
use super::construct::Finder;
use super::pairs::Pair;
use super::placed::PlacedShape;
use super::prepared::PreparedPiece;
use super::search::strip::Strip;
use super::search::{Pack, SearchShape, workers};
use super::sheet::{OrientedPieces, Sheet, SheetPlacement};

/// What moves as one: an assembly, or a pair of them.
struct Body<'a> {
    assembly: usize,
    single: &'a PreparedPiece,
    item: &'a PreparedPiece,
    pair: Option<&'a Pair>,
    copies: usize,
}

/// What a sheet holds, pressed together in pairs until the phase ends; `None` if nothing on it pairs
/// well, or if the pairs do not all fit. The places tried by each worker come back too.
pub(super) fn pressed(
    sheet: &Sheet,
    stock: &[Stock],
    oriented: &OrientedPieces,
    seed: u64,
    phase: &Phase,
    tell: &mut dyn FnMut(&Strip, f64),
) -> Option<(Sheet, u64)> {
    let items = oriented.pieces(sheet.along);
    let copies = |assembly: usize| {
        sheet
            .placed
            .iter()
            .filter(|it| it.assembly == assembly)
            .count()
    };
    let pairs: Vec<Option<Pair>> = items
        .iter()
        .enumerate()
        .map(|(assembly, item)| Pair::of(item.as_ref().filter(|_| copies(assembly) > 1)?, seed))
        .collect();
    if pairs.iter().all(Option::is_none) {
        return None;
    }
    let mut bodies = Vec::new();
    for (assembly, item) in items.iter().enumerate() {
        let Some(item) = item else { continue };
        let (pair, copies) = (pairs[assembly].as_ref(), copies(assembly));
        let twos = if pair.is_some() { copies / 2 } else { 0 };
        let single = Body {
            assembly,
            single: item,
            item,
            pair: None,
            copies: copies - 2 * twos,
        };
        let double = pair.map(|pair| Body {
            assembly,
            single: item,
            item: &pair.item,
            pair: Some(pair),
            copies: twos,
        });
        bodies.extend([Some(single), double].into_iter().flatten());
    }
    bodies.retain(|body| body.copies > 0);
    bodies.sort_by(|a, b| b.item.rank().total_cmp(&a.item.rank()));
    let kinds: Vec<SearchShape> = bodies
        .iter()
        .map(|body| SearchShape::new(body.item))
        .collect();
    let laid = laid(sheet, stock, &bodies, &kinds, seed, phase)?;
    let obstacles = sheet.obstacles(stock);
    let moving = laid.iter().map(|(k, placed)| (&kinds[*k], placed.clone()));
    let pack = Pack::new(moving.collect(), obstacles.fixed(), obstacles.frame);
    let (best, places) = workers::shorten(&pack, seed, phase, tell);
    let apart = laid
        .iter()
        .zip(&best.placements)
        .flat_map(|((k, _), placed)| {
            let body = &bodies[*k];
            singles(body, placed)
        });
    // In the order in which they lay before, so that the copies keep their numbers.
    let mut apart: Vec<SheetPlacement> = apart.collect();
    apart.sort_by_key(|it| it.assembly);
    Some((sheet.relaid(stock, apart)?, places))
}

/// All bodies on the empty sheet, each with its index; `None` if one finds no room.
fn laid(
    sheet: &Sheet,
    stock: &[Stock],
    bodies: &[Body],
    kinds: &[SearchShape],
    seed: u64,
    phase: &Phase,
) -> Option<Vec<(usize, PlacedShape)>> {
    let mut container = sheet.emptied(stock)?;
    let mut random = Pcg64::seed_from_u64(seed);
    let mut laid = Vec::new();
    for (k, body) in bodies.iter().enumerate() {
        let mut finder = Finder::new(body.item);
        for _ in 0..body.copies {
            let placed = finder.find(&container, phase, &mut random)?;
            let shape = kinds[k].rotated(placed.shape.turn);
            let at = placed.at;
            container.put(placed);
            laid.push((k, PlacedShape { shape, at }));
        }
    }
    Some(laid)
}

/// The copies in a body.
fn singles(body: &Body, placed: &PlacedShape) -> Vec<SheetPlacement> {
    let single = |(turn, at)| SheetPlacement {
        assembly: body.assembly,
        placed: PlacedShape {
            shape: Arc::new(body.single.shape.turned(exact(turn, &body.single.rotation))),
            at,
        },
    };
    let turn = placed.shape.turn;
    match body.pair {
        Some(pair) => pair.members(turn, placed.at).map(single).to_vec(),
        None => vec![single((turn, placed.at))],
    }
}
