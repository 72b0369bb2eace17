//! The law of the cutting order in figures and words.

use super::figures::{OrderFigures, rounded};
use super::words::{metres, time};
use crate::cut::OrderCosts;
use crate::recipe::CutOrder;

/// Of less rapid travel than this, mm, only that it is less is told.
const HARDLY: f64 = 100.0;

impl OrderFigures {
    /// What a law costs.
    pub(super) fn new(order: CutOrder, costs: OrderCosts) -> Self {
        let law = order.word();
        let more = costs.rapid_length;
        let says = match order {
            CutOrder::Shortest => {
                format!(
                    "{law}: where the way to the next pierce is short, whichever plate it belongs to"
                )
            }
            CutOrder::SpreadHeat => format!(
                "{law}: each plate far from those that are still hot, with {} of rapids and {} more than the \
                 shortest order found",
                metres(more),
                time(costs.time)
            ),
            CutOrder::PlateByPlate if more >= HARDLY => format!(
                "{law}: {} of rapids and {} more than the shortest order found",
                metres(more),
                time(costs.time)
            ),
            CutOrder::PlateByPlate => {
                format!(
                    "{law}: at most {} more of rapids than the shortest order found",
                    metres(HARDLY)
                )
            }
        };
        Self {
            law,
            more_rapid_mm: rounded(more),
            more_time_s: rounded(costs.time),
            says,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_an_order_costs_is_told_where_it_costs_something() {
        let says = |order, rapid_length, time| {
            OrderFigures::new(order, OrderCosts { rapid_length, time }).says
        };
        assert_eq!(
            says(CutOrder::PlateByPlate, 1_260.0, 6.4),
            "plate by plate: 1.3 m of rapids and 6 s more than the shortest order found"
        );
        for hardly in [0.0, 99.0] {
            assert_eq!(
                says(CutOrder::PlateByPlate, hardly, 0.0),
                "plate by plate: at most 0.1 m more of rapids than the shortest order found"
            );
        }
        assert_eq!(
            says(CutOrder::SpreadHeat, 12_600.0, 64.0),
            "spread heat: each plate far from those that are still hot, with 12.6 m of rapids and 1 min 04 s more than \
             the shortest order found"
        );
        let shortest = says(CutOrder::Shortest, 0.0, 0.0);
        assert!(shortest.starts_with("shortest: "), "{shortest}");
    }
}
