//! One sheet being filled.
//!
//! In: a stock line and units. Out: where they lie, as the sheet is looked at ([`View`]).

use std::sync::Arc;

use rand_pcg::Pcg64;

use super::clock::Phase;
use super::construct::Finder;
use super::ground::Ground;
use super::item::Item;
use super::room::Room;
use super::view::View;
use super::{Piece, Placement, Stock};
use crate::geometry::{Pose, Vector};

use super::unit::Unit;

/// How many copies of each unit still have no place.
pub(super) type Queue = Vec<u32>;

/// Units and their items as each view sees them.
#[derive(Debug, Clone)]
pub(super) struct Cast {
    pub(super) units: Vec<Unit>,
    items: [Vec<Option<Item>>; 2],
}

impl Cast {
    /// `items` are those of the pieces.
    pub(super) fn new(units: Vec<Unit>, items: &[Option<Item>]) -> Self {
        let seen = |view: View| {
            units
                .iter()
                .map(|unit| {
                    let item = items[unit.piece].as_ref()?;
                    Some(item.with_turns(&unit.rotation, view.turn()))
                })
                .collect()
        };
        Self {
            items: View::ALL.map(seen),
            units,
        }
    }

    /// The items as a view sees them, in the order of the units.
    pub(super) fn items(&self, view: View) -> &[Option<Item>] {
        &self.items[view.index()]
    }

    /// The units, large ones first.
    pub(super) fn by_rank(&self) -> Vec<usize> {
        let items = self.items(View::AlongX);
        let rank = |index: usize| items[index].as_ref().map_or(0.0, Item::rank);
        let mut order: Vec<usize> = (0..self.units.len()).collect();
        order.sort_by(|a, b| rank(*b).total_cmp(&rank(*a)));
        order
    }

    /// Copies of every unit that can be placed at all.
    pub(super) fn queue(&self) -> Queue {
        let items = self.items(View::AlongX).iter().zip(&self.units);
        items
            .map(|(item, unit)| item.as_ref().map_or(0, |_| unit.quantity))
            .collect()
    }
}

/// A unit on a sheet, as the sheet is looked at.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Lying {
    pub(super) unit: usize,
    pub(super) turn: f64,
    /// Where the centre of its shape lies.
    pub(super) at: Vector,
}

/// A sheet and what lies on it.
#[derive(Debug, Clone)]
pub(super) struct Sheet {
    /// Index of the stock line.
    pub(super) stock: usize,
    pub(super) view: View,
    pub(super) lying: Vec<Lying>,
    room: Room,
}

impl Sheet {
    /// An empty sheet; `None` if its usable area is none.
    pub(super) fn new(stock: &[Stock], line: usize) -> Option<Self> {
        let view = View::of(&stock[line].usable);
        Some(Self {
            stock: line,
            view,
            lying: Vec::new(),
            room: empty(&stock[line], view)?,
        })
    }

    /// The room on it with nothing in it.
    pub(super) fn emptied(&self, stock: &[Stock]) -> Option<Room> {
        empty(&stock[self.stock], self.view)
    }

    /// What may not be touched on it, as it is looked at.
    pub(super) fn ground(&self, stock: &[Stock]) -> Ground {
        let line = &stock[self.stock];
        let spots = line.avoid.iter().map(|spot| self.view.polygon(spot));
        Ground::new(&self.view.polygon(&line.usable), &spots.collect::<Vec<_>>())
    }

    /// Area of the usable part, mm².
    pub(super) fn area(&self) -> f64 {
        self.room.area()
    }

    /// Size across the view, mm.
    pub(super) fn height(&self) -> f64 {
        self.room.bounds().height()
    }

    /// Area of the outlines on it, mm².
    pub(super) fn filled(&self, cast: &Cast) -> f64 {
        let items = cast.items(self.view);
        let areas = self.lying.iter().filter_map(|it| items[it.unit].as_ref());
        areas.map(|item| item.shape.area).sum()
    }

    /// Length used along the view, mm.
    pub(super) fn length(&self) -> f64 {
        let spots = self.room.boxes().len() - self.lying.len();
        let left = self.room.bounds().min.x;
        let boxes = self.room.boxes()[spots..].iter();
        boxes.map(|reach| reach.max.x - left).fold(0.0, f64::max)
    }

    /// Places as many of the queue as fit, in the given order of units, and takes them off it.
    pub(super) fn fill(
        &mut self,
        cast: &Cast,
        order: &[usize],
        queue: &mut Queue,
        time: &Phase,
        random: &mut Pcg64,
    ) {
        for &unit in order {
            let Some(item) = &cast.items(self.view)[unit] else {
                continue;
            };
            let mut finder = Finder::new(item);
            while queue[unit] > 0 {
                let Some(place) = finder.find(&self.room, time, random) else {
                    break;
                };
                self.lying.push(Lying {
                    unit,
                    turn: place.shape.turn,
                    at: place.at,
                });
                self.room.put(place.shape, place.at);
                queue[unit] -= 1;
            }
        }
    }

    /// The same sheet with these on it instead; `None` if something would overlap.
    pub(super) fn relaid(&self, stock: &[Stock], cast: &Cast, lying: Vec<Lying>) -> Option<Self> {
        let mut sheet = Self::new(stock, self.stock)?;
        for it in &lying {
            let item = cast.items(self.view)[it.unit].as_ref()?;
            let shape = Arc::new(item.shape.turned(it.turn));
            let free = sheet.room.is_free(super::clash::Laid {
                shape: &shape,
                at: it.at,
            });
            if !free {
                return None;
            }
            sheet.room.put(shape, it.at);
        }
        sheet.lying = lying;
        Some(sheet)
    }

    /// Everything on it as placements in the sheet's own coordinates, copies not yet numbered.
    pub(super) fn placements(&self, cast: &Cast, pieces: &[Piece]) -> Vec<Placement> {
        let mut placements = Vec::new();
        for it in &self.lying {
            if let Some(item) = &cast.items(self.view)[it.unit] {
                let pose = Pose::new(it.turn, item.origin(it.turn, it.at));
                cast.units[it.unit].unload(&self.view.pose(pose), pieces, &mut placements);
            }
        }
        placements
    }
}

/// The room on an empty sheet, as it is looked at; `None` if its usable area is none.
fn empty(line: &Stock, view: View) -> Option<Room> {
    let avoid: Vec<_> = line.avoid.iter().map(|spot| view.polygon(spot)).collect();
    Room::new(&view.polygon(&line.usable), &avoid)
}
