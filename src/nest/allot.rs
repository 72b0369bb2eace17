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
