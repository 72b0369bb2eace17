//! Which sheets are used: remnants before full sheets, then the cheapest that do.

use rand::SeedableRng;
use rand_pcg::Pcg64;

use super::Stock;
use super::sheet::{Cast, Queue, Sheet};

/// Sheets with everything placed that fits, one after the other, and the queue that is left.
pub(super) fn first(cast: &Cast, stock: &[Stock], seed: u64) -> (Vec<Sheet>, Queue) {
    let order = cast.by_rank();
    let mut left: Vec<Option<u32>> = stock.iter().map(|line| line.quantity).collect();
    let mut queue = cast.queue();
    let mut sheets = Vec::new();
    while let Some(choice) = choose(stock, &left, cast, &order, &queue, seed) {
        if let Some(quantity) = &mut left[choice.sheet.stock] {
            *quantity -= 1;
        }
        queue = choice.queue;
        sheets.push(choice.sheet);
    }
    (sheets, queue)
}

/// What a sheet costs; without a price, its area.
pub(super) fn cost(stock: &[Stock], sheet: &Sheet) -> f64 {
    stock[sheet.stock].price.unwrap_or(sheet.area())
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

/// The next sheet to use; `None` if nothing waits or nothing more fits anywhere.
///
/// Remnants come first. Among equals the cheapest that takes all that waits, else the one that costs
/// least for the area of pieces on it.
fn choose(
    stock: &[Stock],
    left: &[Option<u32>],
    cast: &Cast,
    order: &[usize],
    queue: &Queue,
    seed: u64,
) -> Option<Choice> {
    if queue.iter().all(|waiting| *waiting == 0) {
        return None;
    }
    [true, false].into_iter().find_map(|remnant| {
        let filled = |line: usize| {
            let mut random = Pcg64::seed_from_u64(seed);
            let mut sheet = Sheet::new(stock, line)?;
            let mut queue = queue.clone();
            sheet.fill(cast, order, &mut queue, &mut random);
            (!sheet.lying.is_empty()).then(|| {
                let cost = cost(stock, &sheet);
                Choice {
                    rate: cost / sheet.filled(cast),
                    cost,
                    sheet,
                    queue,
                }
            })
        };
        (0..stock.len())
            .filter(|line| stock[*line].remnant == remnant && left[*line] != Some(0))
            .filter_map(filled)
            .min_by(|a, b| {
                b.takes_all().cmp(&a.takes_all()).then_with(|| {
                    if a.takes_all() {
                        a.cost.total_cmp(&b.cost)
                    } else {
                        a.rate.total_cmp(&b.rate)
                    }
                })
            })
    })
}
