//! Small pieces into the windows of large ones, before anything is laid on a sheet.
//!
//! In: pieces with windows. Out: [`Unit`]s, so that every piece in a window travels with its host.
//! Hosts with small windows come first, so that a loaded one may itself go into a larger window.
//! Each window gets the fullest of several fillings.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use super::construct;
use super::item::Item;
use super::room::Room;
use super::unit::Unit;
use super::{Piece, Polygon, Rotation, polygon};
use crate::geometry::Pose;

/// Fillings tried for each window.
const FILLINGS: usize = 6;
/// How far chance moves a piece in the order of a filling: its rank is multiplied by up to this.
const SHUFFLE: f64 = 8.0;

/// Every piece, in as many windows as have room for one. `items` are those of the pieces.
pub(super) fn loaded(pieces: &[Piece], items: &[Option<Item>], seed: u64) -> Vec<Unit> {
    let mut random = Pcg64::seed_from_u64(seed);
    let mut units: Vec<Unit> = pieces
        .iter()
        .enumerate()
        .map(|(index, piece)| Unit::bare(index, piece))
        .collect();
    let mut hosts: Vec<(usize, Vec<Polygon>)> = pieces
        .iter()
        .enumerate()
        .filter(|(index, _)| items[*index].is_some())
        .map(|(index, piece)| (index, windows(piece)))
        .filter(|(_, windows)| !windows.is_empty())
        .collect();
    let room = |windows: &[Polygon]| windows.iter().map(|w| polygon::signed_area(w)).sum::<f64>();
    hosts.sort_by(|a, b| room(&a.1).total_cmp(&room(&b.1)));
    for (host, windows) in hosts {
        load_all(host, &windows, items, &mut units, &mut random);
    }
    units.retain(|unit| unit.quantity > 0);
    units
}

/// The windows of a piece, cleaned, the largest first.
fn windows(piece: &Piece) -> Vec<Polygon> {
    let windows = piece.windows.iter();
    let mut windows: Vec<Polygon> = windows.filter_map(|w| polygon::cleaned(w)).collect();
    windows.sort_by(|a, b| polygon::signed_area(b).total_cmp(&polygon::signed_area(a)));
    windows
}

/// Loads the copies of one piece; the same load as often as there are pieces for it.
fn load_all(
    host: usize,
    windows: &[Polygon],
    items: &[Option<Item>],
    units: &mut Vec<Unit>,
    random: &mut Pcg64,
) {
    while units[host].quantity > 0 {
        let mut loaded = Unit {
            quantity: 0,
            ..units[host].clone()
        };
        let mut taken = vec![0_u32; units.len()];
        for window in windows {
            let filling = fullest(&loaded, window, items, units, &taken, random);
            for (guest, pose) in filling {
                loaded.load(&units[guest], &pose);
                taken[guest] += 1;
            }
        }
        if loaded.cargo.is_empty() {
            return;
        }
        let times = taken.iter().zip(units.iter()).filter(|(n, _)| **n > 0);
        let times = times.map(|(n, unit)| unit.quantity / n).min().unwrap_or(0);
        loaded.quantity = times.min(units[host].quantity);
        for (n, unit) in taken.iter().zip(units.iter_mut()) {
            unit.quantity -= n * loaded.quantity;
        }
        units[host].quantity -= loaded.quantity;
        units.push(loaded);
    }
}

type Filling = Vec<(usize, Pose)>;

/// The filling of a window with the most area in it.
fn fullest(
    host: &Unit,
    window: &Polygon,
    items: &[Option<Item>],
    units: &[Unit],
    taken: &[u32],
    random: &mut Pcg64,
) -> Filling {
    // The host is loaded as it lies at one of its turns; its guests keep to theirs by that.
    let lying = match &host.rotation {
        Rotation::Free => 0.0,
        Rotation::Steps(steps) => steps.first().copied().unwrap_or(0.0),
    };
    let guests: Vec<(usize, Item)> = (0..units.len())
        .filter(|index| units[*index].quantity > taken[*index])
        .filter(|index| units[*index].piece != host.piece)
        .filter_map(|index| {
            let item = items[units[index].piece].as_ref()?;
            let fits = item.shape.area < polygon::signed_area(window);
            fits.then(|| (index, item.with_turns(&units[index].rotation, lying)))
        })
        .collect();
    let mut best = Filling::new();
    let mut fullest = 0.0;
    for filling in 0..FILLINGS {
        let mut order: Vec<(f64, &(usize, Item))> = guests
            .iter()
            .map(|guest| {
                let luck = if filling == 0 {
                    1.0
                } else {
                    SHUFFLE.powf(random.random::<f64>())
                };
                (guest.1.rank() * luck, guest)
            })
            .collect();
        order.sort_by(|a, b| b.0.total_cmp(&a.0));
        let Some(mut room) = Room::new(window, &[]) else {
            return best;
        };
        let mut filled = 0.0;
        let mut found = Filling::new();
        for (_, (index, item)) in order {
            for _ in taken[*index]..units[*index].quantity {
                let Some(place) = construct::find(&room, item, random) else {
                    break;
                };
                let turn = place.shape.turn;
                found.push((*index, Pose::new(turn, item.origin(turn, place.at))));
                filled += item.shape.area;
                room.put(place.shape, place.at);
            }
        }
        if filled > fullest {
            fullest = filled;
            best = found;
        }
        if best.is_empty() {
            break;
        }
    }
    best
}
