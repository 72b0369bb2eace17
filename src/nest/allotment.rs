//! Sheets being taken from the stock, one after the other.
//!
//! In: pieces that wait, and lines of stock with what each sheet of them costs. Out: sheets with
//! everything placed that fits.

use super::Stock;
use super::clock::Phase;
use super::sheet::{OrientedPieces, Queue, Sheet};

/// Sheets being taken from the stock.
#[derive(Clone)]
pub(super) struct Allotment<'a> {
    pub(super) oriented: &'a OrientedPieces,
    pub(super) stock: &'a [Stock],
    pub(super) prices: &'a [f64],
    /// The assemblies in the order in which they are placed.
    order: &'a [usize],
    seed: u64,
    /// When it is over, everything goes to the first place that will do.
    pub(super) time: &'a Phase,
    /// How many are left of each line; `None` for as many as needed.
    left: Vec<Option<u32>>,
    pub(super) queue: Queue,
    pub(super) sheets: Vec<Sheet>,
    /// Of each line the sheet that was filled last, and what waited then.
    filled: Vec<Option<(Queue, Choice)>>,
}

impl<'a> Allotment<'a> {
    /// The whole stock, and everything waiting; prices of its lines, and the assemblies in the order in which
    /// they are placed.
    pub(super) fn of(
        oriented: &'a OrientedPieces,
        stock: &'a [Stock],
        (prices, order): (&'a [f64], &'a [usize]),
        (seed, time): (u64, &'a Phase),
    ) -> Self {
        Self {
            oriented,
            stock,
            prices,
            order,
            seed,
            time,
            left: stock.iter().map(|line| line.quantity).collect(),
            queue: oriented.queue(),
            sheets: Vec::new(),
            filled: vec![None; stock.len()],
        }
    }

    pub(super) fn nothing_waits(&self) -> bool {
        self.queue.iter().all(|waiting| *waiting == 0)
    }

    /// How many sheets of a line are left.
    pub(super) fn left_of(&self, line: usize) -> usize {
        self.left[line].map_or(usize::MAX, |left| left as usize)
    }

    /// The same with these sheets taken too, filled as they are.
    pub(super) fn with(mut self, sheets: &[Sheet]) -> Self {
        for sheet in sheets {
            let mut queue = self.queue.clone();
            for it in &sheet.placed {
                queue[it.assembly] -= 1;
            }
            self.put(sheet.clone(), queue);
        }
        self
    }

    /// Takes sheet after sheet of the lines meant, as long as something fits.
    pub(super) fn take(&mut self, meant: impl Fn(&Stock) -> bool) {
        while !self.nothing_waits() {
            let lines = (0..self.stock.len()).filter(|line| meant(&self.stock[*line]));
            let lines: Vec<usize> = lines.filter(|line| self.left[*line] != Some(0)).collect();
            let Some(choice) = self.best_of(&lines) else {
                return;
            };
            self.put(choice.sheet, choice.queue);
        }
    }

    /// Takes a sheet with what is on it.
    fn put(&mut self, sheet: Sheet, queue: Queue) {
        if let Some(quantity) = &mut self.left[sheet.stock] {
            *quantity -= 1;
        }
        self.queue = queue;
        self.sheets.push(sheet);
    }

    /// Takes one sheet of a line and fills it, unless nothing fits on it.
    pub(super) fn take_one(&mut self, line: usize) {
        if let Some(choice) = self.filled(line) {
            self.put(choice.sheet, choice.queue);
        }
    }

    fn filled(&mut self, line: usize) -> Option<Choice> {
        if let Some((before, choice)) = &self.filled[line]
            && let Some(queue) = choice.again(before, &self.queue)
        {
            return Some(Choice {
                queue,
                ..choice.clone()
            });
        }
        let (sheet, queue) = Sheet::new(self.stock, line)?.filled_with(
            self.oriented,
            self.order,
            &self.queue,
            self.seed,
            self.time,
        );
        let cost = self.prices[line];
        let choice = (!sheet.placed.is_empty()).then(|| Choice {
            rate: cost / sheet.filled(self.oriented),
            cost,
            sheet,
            queue,
        });
        self.filled[line] = choice.clone().map(|it| (self.queue.clone(), it));
        choice
    }

    /// The cheapest that takes all that waits, else the one that costs least for the area of pieces
    /// on it; `None` if nothing more fits on any.
    fn best_of(&mut self, lines: &[usize]) -> Option<Choice> {
        let filled = lines.iter().filter_map(|line| self.filled(*line));
        filled.min_by(|a, b| {
            b.takes_all().cmp(&a.takes_all()).then_with(|| {
                if a.takes_all() {
                    a.cost.total_cmp(&b.cost)
                } else {
                    a.rate.total_cmp(&b.rate)
                }
            })
        })
    }
}

/// A sheet of one stock line, filled.
#[derive(Clone)]
struct Choice {
    sheet: Sheet,
    queue: Queue,
    cost: f64,
    /// Cost for each mm² of pieces on it.
    rate: f64,
}

impl Choice {
    /// What waits after a sheet that is filled as this one was, if with what waits now it comes out the
    /// same: of each assembly there is as much as before, or then as now more than goes on it.
    fn again(&self, before: &Queue, now: &Queue) -> Option<Queue> {
        let each = before.iter().zip(&self.queue).zip(now);
        let after = each.map(|((before, after), now)| {
            let placed = before - after;
            let same = now == before || (*after > 0 && *now > placed);
            same.then(|| now - placed)
        });
        after.collect()
    }

    fn takes_all(&self) -> bool {
        self.queue.iter().all(|waiting| *waiting == 0)
    }
}

#[cfg(test)]
mod tests {
    use super::super::clock::{Clock, Time};
    use super::super::prepared::PreparedPiece;
    use super::super::{Along, Budget, Piece, Rotation, assembly};
    use super::*;
    use crate::geometry::Point;

    /// Sheets that are taken over from the one before lie as if each had been filled.
    #[test]
    fn sheets_filled_again_are_as_if_filled_anew() {
        let outline = |corners: &[(f64, f64)]| -> Vec<Point> {
            corners.iter().map(|(x, y)| Point::new(*x, *y)).collect()
        };
        let angle = [
            (0.0, 0.0),
            (90.0, 0.0),
            (90.0, 30.0),
            (30.0, 30.0),
            (30.0, 70.0),
            (0.0, 70.0),
        ];
        let kinds = [&angle[..], &[(0.0, 0.0), (50.0, 0.0), (0.0, 40.0)]];
        let mut taken_over = 0;
        for quantities in [[37, 0], [40, 200], [5, 300]] {
            let pieces: Vec<Piece> = (kinds.iter().zip(quantities).enumerate())
                .map(|(index, (corners, quantity))| Piece {
                    index,
                    id: index.to_string(),
                    quantity,
                    outline: outline(corners),
                    windows: Vec::new(),
                    rotation: Rotation::Free,
                })
                .collect();
            let line = |width: f64| Stock {
                along: Along::X,
                id: "sheet".into(),
                quantity: None,
                usable: outline(&[(0.0, 0.0), (width, 0.0), (width, 200.0), (0.0, 200.0)]),
                avoid: Vec::new(),
                metal: Vec::new(),
                price: Some(width),
                first: false,
            };
            let stock = [line(260.0), line(300.0)];
            let items: Vec<_> = pieces.iter().map(PreparedPiece::new).collect();
            let bare = pieces.iter().enumerate();
            let bare = bare.map(|(index, piece)| assembly::Assembly::bare(index, piece));
            let oriented = OrientedPieces::new(bare.collect(), &items);
            let clock = Clock::start(&Budget::FIRST_LAYOUT, 1, Time::told_by(|| 0.0));
            let time = clock.phase(1.0);
            let (prices, order) = ([260.0, 300.0], oriented.by_rank());
            let fresh = || Allotment::of(&oriented, &stock, (&prices, &order), (7, &time));
            let mut all = fresh();
            all.take(|_| true);
            assert!(all.nothing_waits());
            let mut queue = oriented.queue();
            for sheet in &all.sheets {
                let mut anew = fresh();
                anew.queue.clone_from(&queue);
                let lines: Vec<usize> = (0..stock.len()).collect();
                let choice = anew.best_of(&lines).expect("something fits");
                let lying = |sheet: &Sheet| -> Vec<(usize, f64, f64, f64)> {
                    let placed = sheet.placed.iter();
                    placed
                        .map(|it| {
                            (
                                it.assembly,
                                it.placed.shape.turn,
                                it.placed.at.x,
                                it.placed.at.y,
                            )
                        })
                        .collect()
                };
                assert_eq!(sheet.stock, choice.sheet.stock);
                assert_eq!(lying(sheet), lying(&choice.sheet));
                queue = choice.queue;
            }
            let known = all.sheets.windows(2);
            taken_over += known
                .filter(|two| two[0].placed.len() == two[1].placed.len())
                .count();
        }
        assert!(taken_over > 10, "{taken_over}");
    }
}
