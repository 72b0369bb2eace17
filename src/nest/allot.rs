//! Which sheets are used: those that come first, then the cheapest set that does.

use rand::SeedableRng;
use rand_pcg::Pcg64;

use super::sheet::{Cast, Queue, Sheet};
use super::{Stock, cheapest, polygon};

/// Sheets with everything placed that fits, one after the other, and the queue that is left.
pub(super) fn first(cast: &Cast, stock: &[Stock], seed: u64) -> (Vec<Sheet>, Queue) {
    let mut allotment = Allotment {
        cast,
        stock,
        prices: &prices(stock),
        order: &cast.by_rank(),
        seed,
        left: stock.iter().map(|line| line.quantity).collect(),
        queue: cast.queue(),
        sheets: Vec::new(),
    };
    allotment.take(|line| line.first);
    let before = allotment.clone();
    allotment.take(|line| !line.first);
    if allotment.nothing_waits() {
        cheapest::make_cheaper(&mut allotment, before);
    }
    (allotment.sheets, allotment.queue)
}

/// What each line costs: its price, or its area at what the lines with a price cost for theirs.
pub(super) fn prices(stock: &[Stock]) -> Vec<f64> {
    let area = |line: &Stock| polygon::signed_area(&line.usable).abs();
    let priced = stock.iter().filter_map(|line| Some((line.price?, line)));
    let (mut money, mut areas) = (0.0, 0.0);
    for (price, line) in priced {
        money += price.max(0.0);
        areas += area(line);
    }
    let rate = if areas > 0.0 { money / areas } else { 1.0 };
    let cost = |line: &Stock| line.price.map_or(rate * area(line), |price| price.max(0.0));
    stock.iter().map(cost).collect()
}

/// Sheets being taken from the stock.
#[derive(Debug, Clone)]
pub(super) struct Allotment<'a> {
    pub(super) cast: &'a Cast,
    pub(super) stock: &'a [Stock],
    pub(super) prices: &'a [f64],
    /// The units in the order in which they are placed.
    order: &'a [usize],
    seed: u64,
    /// How many are left of each line; `None` for as many as needed.
    left: Vec<Option<u32>>,
    pub(super) queue: Queue,
    pub(super) sheets: Vec<Sheet>,
}

impl Allotment<'_> {
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
            for it in &sheet.lying {
                queue[it.unit] -= 1;
            }
            self.put(sheet.clone(), queue);
        }
        self
    }

    /// Takes sheet after sheet of the lines meant, as long as something fits.
    fn take(&mut self, meant: impl Fn(&Stock) -> bool) {
        while !self.nothing_waits() {
            let lines = (0..self.stock.len()).filter(|line| meant(&self.stock[*line]));
            let lines = lines.filter(|line| self.left[*line] != Some(0));
            let Some(choice) = self.best_of(lines) else {
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

    fn filled(&self, line: usize) -> Option<Choice> {
        let mut random = Pcg64::seed_from_u64(self.seed);
        let mut sheet = Sheet::new(self.stock, line)?;
        let mut queue = self.queue.clone();
        sheet.fill(self.cast, self.order, &mut queue, &mut random);
        let cost = self.prices[line];
        (!sheet.lying.is_empty()).then(|| Choice {
            rate: cost / sheet.filled(self.cast),
            cost,
            sheet,
            queue,
        })
    }

    /// The cheapest that takes all that waits, else the one that costs least for the area of pieces
    /// on it; `None` if nothing more fits on any.
    fn best_of(&self, lines: impl Iterator<Item = usize>) -> Option<Choice> {
        lines.filter_map(|line| self.filled(line)).min_by(|a, b| {
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
struct Choice {
    sheet: Sheet,
    queue: Queue,
    cost: f64,
    /// Cost for each mm² of pieces on it.
    rate: f64,
}

impl Choice {
    fn takes_all(&self) -> bool {
        self.queue.iter().all(|waiting| *waiting == 0)
    }
}
