//! A sheet laid anew with its copies in pairs.
//!
//! In: a sheet with what lies on it. Out: the same copies on the same sheet, those of shapes that pair
//! well ([`Pair`]) two by two, pressed together as such. Half as many shapes, and plainer ones, come
//! near their best sooner; afterwards every copy may go its own way again.

use rand::SeedableRng;
use rand_pcg::Pcg64;

use super::Rotation;
use super::Stock;
use super::clock::Phase;
use super::construct::Finder;
use super::item::Item;
use super::pairs::Pair;
use super::search::strip::Strip;
use super::search::{Kind, Lie, Pack, workers};
use super::sheet::{Cast, Lying, Sheet};
use super::unit::same_turn;

/// What moves as one: a unit, or a pair of them.
struct Body<'a> {
    unit: usize,
    item: &'a Item,
    pair: Option<&'a Pair>,
    copies: usize,
}

/// What a sheet holds, pressed together in pairs until the phase ends; `None` if nothing on it pairs
/// well, or if the pairs do not all fit. The places tried by each worker come back too.
pub(super) fn pressed(
    sheet: &Sheet,
    stock: &[Stock],
    cast: &Cast,
    seed: u64,
    phase: &Phase,
    tell: &mut dyn FnMut(&Strip, f64),
) -> Option<(Sheet, u64)> {
    let items = cast.items(sheet.view);
    let copies = |unit: usize| sheet.lying.iter().filter(|it| it.unit == unit).count();
    let pairs: Vec<Option<Pair>> = items
        .iter()
        .enumerate()
        .map(|(unit, item)| Pair::of(item.as_ref().filter(|_| copies(unit) > 1)?, seed))
        .collect();
    if pairs.iter().all(Option::is_none) {
        return None;
    }
    let mut bodies = Vec::new();
    for (unit, item) in items.iter().enumerate() {
        let Some(item) = item else { continue };
        let (pair, copies) = (pairs[unit].as_ref(), copies(unit));
        let twos = if pair.is_some() { copies / 2 } else { 0 };
        let single = Body {
            unit,
            item,
            pair: None,
            copies: copies - 2 * twos,
        };
        let double = pair.map(|pair| Body {
            unit,
            item: &pair.item,
            pair: Some(pair),
            copies: twos,
        });
        bodies.extend([Some(single), double].into_iter().flatten());
    }
    bodies.retain(|body| body.copies > 0);
    bodies.sort_by(|a, b| b.item.rank().total_cmp(&a.item.rank()));
    let kinds: Vec<Kind> = bodies.iter().map(|body| Kind::new(body.item)).collect();
    let laid = laid(sheet, stock, &bodies, &kinds, seed, phase)?;
    let ground = sheet.ground(stock);
    let moving = laid.iter().map(|(k, lie)| (&kinds[*k], lie.clone()));
    let pack = Pack::new(moving.collect(), ground.fixed(), ground.frame);
    let (best, places) = workers::shorten(&pack, seed, phase, tell);
    let apart = laid.iter().zip(&best.lies).flat_map(|((k, _), lie)| {
        let body = &bodies[*k];
        let rotation = items[body.unit].as_ref().map(|item| &item.rotation);
        singles(body, lie).into_iter().map(move |it| Lying {
            turn: rotation.map_or(it.turn, |rotation| allowed(it.turn, rotation)),
            ..it
        })
    });
    // In the order in which they lay before, so that the copies keep their numbers.
    let mut apart: Vec<Lying> = apart.collect();
    apart.sort_by_key(|it| it.unit);
    Some((sheet.relaid(stock, cast, apart)?, places))
}

/// All bodies on the empty sheet, each with its index; `None` if one finds no room.
fn laid(
    sheet: &Sheet,
    stock: &[Stock],
    bodies: &[Body],
    kinds: &[Kind],
    seed: u64,
    phase: &Phase,
) -> Option<Vec<(usize, Lie)>> {
    let mut room = sheet.emptied(stock)?;
    let mut random = Pcg64::seed_from_u64(seed);
    let mut laid = Vec::new();
    for (k, body) in bodies.iter().enumerate() {
        let mut finder = Finder::new(body.item);
        for _ in 0..body.copies {
            let place = finder.find(&room, phase, &mut random)?;
            let form = kinds[k].form(place.shape.turn);
            laid.push((k, Lie { form, at: place.at }));
            room.put(place.shape, place.at);
        }
    }
    Some(laid)
}

/// The copies in a body.
fn singles(body: &Body, lie: &Lie) -> Vec<Lying> {
    let lying = |(turn, at)| Lying {
        unit: body.unit,
        turn,
        at,
    };
    match body.pair {
        Some(pair) => pair.members(lie.form.turn, lie.at).map(lying).to_vec(),
        None => vec![lying((lie.form.turn, lie.at))],
    }
}

/// The turn as the item lists it, free of the rounding of sums.
fn allowed(turn: f64, rotation: &Rotation) -> f64 {
    match rotation {
        Rotation::Free => turn,
        Rotation::Steps(steps) => {
            let listed = steps.iter().copied().find(|step| same_turn(*step, turn));
            listed.unwrap_or(turn)
        }
    }
}
