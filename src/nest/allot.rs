//! Which sheets are used: those that come first, then the cheapest set that does.

use super::allotment::Allotment;
use super::clock::Phase;
use super::sheet::{OrientedPieces, Queue, Sheet};
use super::{Stock, cheapest, polygon};

/// Sheets with everything placed that fits, one after the other, and the queue that is left.
pub(super) fn first(
    oriented: &OrientedPieces,
    stock: &[Stock],
    seed: u64,
    time: &Phase,
) -> (Vec<Sheet>, Queue) {
    let (prices, order) = (prices(stock), oriented.by_rank());
    let mut allotment = Allotment::of(oriented, stock, (&prices, &order), (seed, time));
    allotment.take(|line| line.first);
    let before = allotment.clone();
    allotment.take(|line| !line.first);
    if allotment.nothing_waits() {
        cheapest::make_cheaper(&mut allotment, before);
    }
    (allotment.sheets, allotment.queue)
}

/// Sheets with copies of the only piece in rows, and more of them where there is room beside the rows; each
/// line as often as it is there, those without a number once.
pub(super) fn in_rows(
    oriented: &OrientedPieces,
    stock: &[Stock],
    seed: u64,
    time: &Phase,
) -> (Vec<Sheet>, Queue) {
    let (mut sheets, mut queue) = (Vec::new(), oriented.queue());
    for (line, there) in stock.iter().enumerate() {
        let Some(empty) = Sheet::new(stock, line) else {
            continue;
        };
        for _ in 0..there.quantity.unwrap_or(1) {
            // Sheets of a line are alike: what is best for one is so for the next.
            let same = sheets.last().filter(|it: &&Sheet| it.stock == line);
            let Some(full) = same
                .filter(|it| it.placed.len() <= queue[0] as usize)
                .cloned()
                .or_else(|| empty.in_rows(oriented, &queue, seed, time))
            else {
                break;
            };
            queue[0] -= full.placed.len() as u32;
            sheets.push(full);
        }
    }
    (sheets, queue)
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
