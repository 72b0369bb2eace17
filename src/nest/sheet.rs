//! Filling one sheet, and the windows of what lies on it, from a queue of pieces.

use rand_pcg::Pcg64;

use super::construct;
use super::item::Item;
use super::room::Room;
use super::{Placement, Stock, polygon};
use crate::geometry::Pose;

/// How many copies of each piece still have no place.
pub(super) type Queue = Vec<u32>;

/// A sheet being filled.
pub(super) struct Sheet {
    rooms: Vec<Opening>,
    /// What lies on it; copies are numbered later.
    pub(super) placements: Vec<Placement>,
    /// Area of the pieces on it, mm².
    pub(super) filled: f64,
}

/// A room, and the placement it is a window of.
struct Opening {
    room: Room,
    host: Option<usize>,
    /// Pieces that found no room here: they will not find any later either.
    refused: Vec<bool>,
}

impl Sheet {
    /// An empty sheet; `None` if its usable area is none.
    pub(super) fn new(stock: &Stock, items: usize) -> Option<Self> {
        Some(Self {
            rooms: vec![Opening {
                room: Room::new(&stock.usable, &stock.avoid)?,
                host: None,
                refused: vec![false; items],
            }],
            placements: Vec::new(),
            filled: 0.0,
        })
    }

    /// Area of the usable part, mm².
    pub(super) fn area(&self) -> f64 {
        self.rooms[0].room.area()
    }

    /// Places as many of the queue as fit, in the given order of items, and takes them off it.
    pub(super) fn fill(
        &mut self,
        items: &[Option<Item>],
        order: &[usize],
        queue: &mut Queue,
        random: &mut Pcg64,
    ) {
        for &index in order {
            let Some(item) = &items[index] else { continue };
            while queue[index] > 0 && self.place(index, item, random) {
                queue[index] -= 1;
            }
        }
    }

    /// Places one copy, in a window if one has room.
    fn place(&mut self, index: usize, item: &Item, random: &mut Pcg64) -> bool {
        for opening in (0..self.rooms.len()).rev() {
            if self.rooms[opening].refused[index] {
                continue;
            }
            let Some(place) = construct::find(&self.rooms[opening].room, item, random) else {
                self.rooms[opening].refused[index] = true;
                continue;
            };
            self.open_windows(item, place.shape.turn, place.at);
            self.placements.push(Placement {
                piece: index,
                copy: 0,
                pose: Pose::new(place.shape.turn, item.origin(place.shape.turn, place.at)),
                inside: self.rooms[opening].host,
            });
            self.filled += item.shape.area;
            self.rooms[opening].room.put(place.shape, place.at);
            return true;
        }
        false
    }

    /// Opens the windows of the piece about to be placed.
    fn open_windows(&mut self, item: &Item, turn: f64, at: crate::geometry::Vector) {
        let items = self.rooms[0].refused.len();
        for window in &item.windows {
            let walls = polygon::posed(window, turn, at);
            if let Some(room) = Room::new(&walls, &[]) {
                self.rooms.push(Opening {
                    room,
                    host: Some(self.placements.len()),
                    refused: vec![false; items],
                });
            }
        }
    }
}
