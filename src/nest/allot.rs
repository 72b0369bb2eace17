//! Which sheets are used: remnants before full sheets, then the cheapest that do.

use rand::SeedableRng;
use rand_pcg::Pcg64;

use super::item::Item;
use super::sheet::{Queue, Sheet};
use super::{Layout, Piece, SheetLayout, Stock};

/// A complete layout from the left, sheet by sheet.
pub(super) fn first_layout(pieces: &[Piece], stock: &[Stock], seed: u64) -> Layout {
    let items: Vec<Option<Item>> = pieces.iter().map(Item::new).collect();
    let mut order: Vec<usize> = (0..items.len()).collect();
    let rank = |i: usize| items[i].as_ref().map_or(0.0, Item::rank);
    order.sort_by(|a, b| rank(*b).total_cmp(&rank(*a)));
    let mut left: Vec<Option<u32>> = stock.iter().map(|line| line.quantity).collect();
    let mut queue: Queue = items
        .iter()
        .map(|item| item.as_ref().map_or(0, |item| item.quantity))
        .collect();
    let mut sheets = Vec::new();
    while let Some(choice) = choose(stock, &left, &items, &order, &queue, seed) {
        if let Some(quantity) = &mut left[choice.stock] {
            *quantity -= 1;
        }
        queue = choice.queue;
        sheets.push(SheetLayout {
            stock: choice.stock,
            placements: choice.sheet.placements,
        });
    }
    let mut layout = Layout {
        sheets,
        unplaced: pieces
            .iter()
            .enumerate()
            .map(|(i, piece)| {
                let waiting = if items[i].is_some() {
                    queue[i]
                } else {
                    piece.quantity
                };
                (i, waiting)
            })
            .filter(|(_, waiting)| *waiting > 0)
            .collect(),
    };
    number_copies(&mut layout, pieces.len());
    layout
}

/// A sheet of one stock line, filled.
struct Choice {
    stock: usize,
    sheet: Sheet,
    queue: Queue,
    cost: f64,
}

impl Choice {
    fn takes_all(&self) -> bool {
        self.queue.iter().all(|waiting| *waiting == 0)
    }

    /// Cost for each mm² of pieces on it.
    fn rate(&self) -> f64 {
        self.cost / self.sheet.filled
    }
}

/// The next sheet to use; `None` if nothing waits or nothing more fits anywhere.
///
/// Remnants come first. Among equals the cheapest that takes all that waits, else the one that costs
/// least for the area of pieces on it.
fn choose(
    stock: &[Stock],
    left: &[Option<u32>],
    items: &[Option<Item>],
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
            let mut sheet = Sheet::new(&stock[line], items.len())?;
            let mut queue = queue.clone();
            sheet.fill(items, order, &mut queue, &mut random);
            (!sheet.placements.is_empty()).then(|| Choice {
                stock: line,
                cost: stock[line].price.unwrap_or(sheet.area()),
                sheet,
                queue,
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
                        a.rate().total_cmp(&b.rate())
                    }
                })
            })
    })
}

/// Numbers the copies of each piece in the order of sheets and placements.
pub(super) fn number_copies(layout: &mut Layout, pieces: usize) {
    let mut next = vec![0; pieces];
    for placement in layout
        .sheets
        .iter_mut()
        .flat_map(|sheet| &mut sheet.placements)
    {
        placement.copy = next[placement.piece];
        next[placement.piece] += 1;
    }
}
