//! One sheet being filled.
//!
//! In: a stock line and assemblies. Out: where they lie, as the sheet is looked at ([`Along`]).

use std::cmp::Reverse;
use std::sync::Arc;

use rand::SeedableRng;
use rand_pcg::Pcg64;

use super::assembly::{Assembly, exact};
use super::clock::Phase;
use super::construct::Finder;
use super::container::Container;
use super::left::Left;
use super::obstacles::FixedObstacles;
use super::placed::PlacedShape;
use super::prepared::PreparedPiece;
use super::{Along, Piece, Placement, Polygon, Stock, TOGETHER, polygon, rows, shelves, short_of};
use crate::geometry::{Bounds, Point, Pose};

/// How many copies of each assembly still have no place.
pub(super) type Queue = Vec<u32>;

/// Units and their items as each view sees them.
#[derive(Debug, Clone)]
pub(super) struct OrientedPieces {
    pub(super) assemblies: Vec<Assembly>,
    pieces: [Vec<Option<PreparedPiece>>; 2],
}

impl OrientedPieces {
    /// `items` are those of the pieces.
    pub(super) fn new(assemblies: Vec<Assembly>, items: &[Option<PreparedPiece>]) -> Self {
        let seen = |along: Along| {
            assemblies
                .iter()
                .map(|assembly| {
                    let item = items[assembly.piece].as_ref()?;
                    Some(item.with_turns(&assembly.rotation, along.turn()))
                })
                .collect()
        };
        Self {
            pieces: Along::ALL.map(seen),
            assemblies,
        }
    }

    /// The items as a view sees them, in the order of the assemblies.
    pub(super) fn pieces(&self, along: Along) -> &[Option<PreparedPiece>] {
        &self.pieces[along.index()]
    }

    /// The assemblies, large ones first.
    pub(super) fn by_rank(&self) -> Vec<usize> {
        let items = self.pieces(Along::X);
        let rank = |index: usize| items[index].as_ref().map_or(0.0, PreparedPiece::rank);
        let mut order: Vec<usize> = (0..self.assemblies.len()).collect();
        order.sort_by(|a, b| rank(*b).total_cmp(&rank(*a)));
        order
    }

    /// Copies of every assembly that can be placed at all.
    pub(super) fn queue(&self) -> Queue {
        let items = self.pieces(Along::X).iter().zip(&self.assemblies);
        items
            .map(|(item, assembly)| item.as_ref().map_or(0, |_| assembly.quantity))
            .collect()
    }
}

/// An assembly on a sheet, as the sheet is looked at.
#[derive(Debug, Clone)]
pub(super) struct SheetPlacement {
    pub(super) assembly: usize,
    pub(super) placed: PlacedShape,
}

/// A sheet and what lies on it.
#[derive(Debug, Clone)]
pub(super) struct Sheet {
    /// Index of the stock line.
    pub(super) stock: usize,
    pub(super) along: Along,
    pub(super) placed: Vec<SheetPlacement>,
    container: Container,
}

impl Sheet {
    /// An empty sheet; `None` if that is none.
    pub(super) fn new(stock: &[Stock], line: usize) -> Option<Self> {
        Self::used_along(stock[line].along, stock, line)
    }

    /// An empty sheet that is used up along this side.
    pub(super) fn used_along(along: Along, stock: &[Stock], line: usize) -> Option<Self> {
        Some(Self {
            stock: line,
            along,
            placed: Vec::new(),
            container: empty(&stock[line], along)?,
        })
    }

    /// A sheet with as many of the queue as fit, one after another in the given order of assemblies or in shelves,
    /// whichever holds more or takes less length; and what then still waits.
    pub(super) fn filled_with(
        mut self,
        oriented: &OrientedPieces,
        order: &[usize],
        queue: &Queue,
        seed: u64,
        time: &Phase,
    ) -> (Self, Queue) {
        let fill = |sheet: &mut Self, queue: &mut Queue| {
            sheet.fill(
                oriented,
                order,
                queue,
                time,
                &mut Pcg64::seed_from_u64(seed),
            );
        };
        let (empty, mut rest) = (self.clone(), queue.clone());
        let mut queue = queue.clone();
        fill(&mut self, &mut queue);
        if self.placed.len() > TOGETHER || time.is_late() {
            return (self, queue);
        }
        let shelves = shelves::laid(oriented.pieces(self.along), order, &rest, &empty.container);
        let mut in_shelves = empty;
        for (assembly, placed) in shelves {
            in_shelves.put(SheetPlacement { assembly, placed });
            rest[assembly] -= 1;
        }
        fill(&mut in_shelves, &mut rest);
        let is_better = if rest == queue {
            in_shelves.length() < self.length()
        } else {
            in_shelves.filled(oriented) > self.filled(oriented)
        };
        if is_better {
            (in_shelves, rest)
        } else {
            (self, queue)
        }
    }

    /// The same area with nothing on it.
    pub(super) fn emptied(&self, stock: &[Stock]) -> Option<Container> {
        empty(&stock[self.stock], self.along)
    }

    /// What may not be touched on it, as it is looked at.
    pub(super) fn obstacles(&self, stock: &[Stock]) -> FixedObstacles {
        let line = &stock[self.stock];
        let spots = line.avoid.iter().map(|spot| self.along.polygon(spot));
        FixedObstacles::new(
            &self.along.polygon(&line.usable),
            &spots.collect::<Vec<_>>(),
        )
    }

    /// Area of the usable part, mm².
    pub(super) fn area(&self) -> f64 {
        self.container.area()
    }

    /// Size across the view, mm.
    pub(super) fn height(&self) -> f64 {
        self.container.bounds().height()
    }

    /// Area of the outlines on it, mm².
    pub(super) fn filled(&self, oriented: &OrientedPieces) -> f64 {
        let items = oriented.pieces(self.along);
        let areas = self
            .placed
            .iter()
            .filter_map(|it| items[it.assembly].as_ref());
        areas.map(|item| item.shape.area).sum()
    }

    /// Length used along the view, mm.
    pub(super) fn length(&self) -> f64 {
        let left = self.container.bounds().min.x;
        let boxes = self.container.boxes()[self.obstacles_first()..].iter();
        boxes.map(|reach| reach.max.x - left).fold(0.0, f64::max)
    }

    /// Places as many of the queue as fit, in the given order of assemblies, and takes them off it.
    pub(super) fn fill(
        &mut self,
        oriented: &OrientedPieces,
        order: &[usize],
        queue: &mut Queue,
        time: &Phase,
        random: &mut Pcg64,
    ) {
        for &assembly in order {
            let Some(item) = &oriented.pieces(self.along)[assembly] else {
                continue;
            };
            let mut finder = Finder::new(item);
            while queue[assembly] > 0 {
                let Some(placed) = finder.find(&self.container, time, random) else {
                    break;
                };
                self.put(SheetPlacement { assembly, placed });
                queue[assembly] -= 1;
            }
        }
    }

    /// The same sheet with the only piece in rows, the fullest of several ways; `None` if it holds none.
    pub(super) fn in_rows(
        &self,
        oriented: &OrientedPieces,
        queue: &Queue,
        seed: u64,
        time: &Phase,
    ) -> Option<Self> {
        let piece = oriented.pieces(self.along)[0].as_ref()?;
        let layouts = rows::layouts(piece, &self.container, seed);
        let filled = layouts.into_iter().map(|layout| {
            let mut sheet = self.clone();
            let mut waiting = queue.clone();
            for placed in layout.into_iter().take(queue[0] as usize) {
                waiting[0] -= 1;
                let assembly = 0;
                sheet.put(SheetPlacement { assembly, placed });
            }
            let mut random = Pcg64::seed_from_u64(seed);
            sheet.fill(oriented, &[0], &mut waiting, time, &mut random);
            sheet
        });
        let fullest = filled.min_by_key(|it| Reverse(it.placed.len()))?;
        (!fullest.placed.is_empty()).then_some(fullest)
    }

    fn put(&mut self, it: SheetPlacement) {
        self.container.put(it.placed.clone());
        self.placed.push(it);
    }

    /// The same sheet with these on it instead; `None` if something would overlap.
    pub(super) fn relaid(&self, stock: &[Stock], placed: Vec<SheetPlacement>) -> Option<Self> {
        let mut sheet = Self::used_along(self.along, stock, self.stock)?;
        for it in placed {
            if !sheet.container.is_free(it.placed.borrowed()) {
                return None;
            }
            sheet.put(it);
        }
        Some(sheet)
    }

    /// The same sheet, or a part of it, looked at along a side; `None` if something lies beyond that part.
    pub(super) fn seen_along(
        &self,
        along: Along,
        stock: &[Stock],
        oriented: &OrientedPieces,
    ) -> Option<Self> {
        let items = oriented.pieces(along);
        let placed = self.placed.iter().map(|it| {
            let item = items[it.assembly].as_ref()?;
            let turn = it.placed.shape.turn + self.along.turn() - along.turn();
            let on_sheet = self.along.pose(Pose::new(0.0, it.placed.at)).shift;
            let at = along.polygon(&[Point::ORIGIN + on_sheet])[0] - Point::ORIGIN;
            let shape = Arc::new(item.shape.turned(exact(turn, &item.rotation)));
            Some(SheetPlacement {
                assembly: it.assembly,
                placed: PlacedShape { shape, at },
            })
        });
        let empty = Self::used_along(along, stock, self.stock)?;
        empty.relaid(stock, placed.collect::<Option<Vec<_>>>()?)
    }

    /// What is left of it.
    pub(super) fn left(&self, stock: &[Stock]) -> Left {
        let line = &stock[self.stock];
        let boxes = self.container.boxes()[self.obstacles_first()..].iter();
        let corners = boxes.flat_map(|it| it.corners()).map(|p| {
            let on_sheet = self.along.pose(Pose::new(0.0, p - Point::ORIGIN)).shift;
            Point::ORIGIN + on_sheet
        });
        let used = Bounds::around(corners).max;
        Left::of(&line.metal, used, line.along)
    }

    /// Area of a strip right across it as long as what is used, mm².
    pub(super) fn strip_area(&self) -> f64 {
        self.length() * self.height()
    }

    /// The part of its usable area that lies within the length used.
    pub(super) fn usable_used(&self, stock: &[Stock]) -> Polygon {
        let usable = &stock[self.stock].usable;
        let ends = self.along.of(polygon::bounds(usable).min) + self.length();
        short_of(usable, self.along, ends)
    }

    /// Takes off what stands at these places, in order; the rest stays where it lies.
    pub(super) fn take_off(&mut self, places: &[usize]) {
        if !places.is_empty() {
            self.container.remove(self.obstacles_first(), places);
            let mut at = 0..;
            self.placed.retain(|_| {
                at.next()
                    .is_none_or(|at| places.binary_search(&at).is_err())
            });
        }
    }

    /// How many spots to avoid stand before what was placed.
    fn obstacles_first(&self) -> usize {
        self.container.boxes().len() - self.placed.len()
    }

    /// Everything on it as placements in the sheet's own coordinates, copies not yet numbered.
    pub(super) fn placements(&self, oriented: &OrientedPieces, pieces: &[Piece]) -> Vec<Placement> {
        let mut placements = Vec::new();
        for it in &self.placed {
            if let Some(item) = &oriented.pieces(self.along)[it.assembly] {
                let turn = it.placed.shape.turn;
                let pose = Pose::new(turn, item.origin(turn, it.placed.at));
                oriented.assemblies[it.assembly].place(
                    &self.along.pose(pose),
                    pieces,
                    &mut placements,
                );
            }
        }
        placements
    }
}

/// The usable area of an empty sheet, as it is looked at; `None` if that is none.
fn empty(line: &Stock, along: Along) -> Option<Container> {
    let avoid: Vec<_> = line.avoid.iter().map(|spot| along.polygon(spot)).collect();
    Container::new(&along.polygon(&line.usable), &avoid)
}
