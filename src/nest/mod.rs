//! Placing pieces on sheets.
//!
//! In: pieces with quantities ([`Piece`]) and stock ([`Stock`]). Out: a [`Layout`]: poses for every
//! copy that fits, the rest listed as unplaced. The search never sees plates or jobs; it works on
//! polygons that were flattened outward, so that nothing is under-estimated. [`footprint`] makes
//! pieces from prepared plates and [`sheets`] makes stock from what a job says; [`proof`] checks a
//! finished layout on the polygons and on the true arcs.
//!
//! Guaranteed of every layout: no two outlines overlap, every outline lies in the usable area of its
//! sheet or in a window of another piece, every copy is placed or listed, and the same pieces, stock,
//! seed and iterations give the same layout.

mod allot;
mod allotment;
mod along;
mod assembly;
mod cheapest;
mod clash;
mod clock;
mod coarse;
mod construct;
mod container;
mod convex_parts;
mod discs;
pub mod footprint;
pub(crate) mod grow;
mod improver;
mod inscribed_discs;
pub mod layout;
mod left;
pub mod most;
mod obstacles;
mod pairs;
pub mod piece;
mod placed;
pub(crate) mod polygon;
mod prepared;
pub mod proof;
mod rigid_shape;
mod rows;
mod search;
mod sheet;
pub mod sheets;
mod shelves;
mod start;
pub mod stock;
mod windows;

use std::time::Instant;

pub use along::Along;
pub(crate) use along::{beyond, short_of};
use clock::{Clock, Time};
use improver::Improver;
pub use layout::{Layout, Placement, SheetLayout};
pub use left::LEAST_KEPT;
pub use piece::{Piece, Polygon, Rotation};
use prepared::PreparedPiece;
use start::Start;
pub use stock::Stock;
use windows::Effort;

/// How long and how the search runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Budget {
    /// Same seed and iterations, same bytes.
    pub seed: u64,
    /// How many places each worker of the search may try for every copy there is to place; the
    /// constructive start counts as none. What leaves most of a last sheet of which little is used may take three times
    /// as many again.
    pub iterations: u64,
    /// Stop after this many seconds even if iterations are left.
    pub seconds: Option<f64>,
}

impl Budget {
    /// No search: the first layout only.
    pub const FIRST_LAYOUT: Self = Self {
        seed: 0,
        iterations: 0,
        seconds: None,
    };

    /// The budget of the first of several searches still to come, each for so many copies: of the time
    /// that is left, its share of the copies.
    #[must_use]
    pub fn share_of_rest(&self, started: Instant, copies: impl Iterator<Item = f64>) -> Self {
        let mut copies = copies.peekable();
        let first = copies.peek().copied().unwrap_or(0.0);
        let share = first / copies.sum::<f64>().max(1.0);
        let left = |seconds: f64| (seconds - started.elapsed().as_secs_f64()).max(0.0) * share;
        Self {
            seconds: self.seconds.map(left),
            ..self.clone()
        }
    }
}

/// What the search tells while it runs.
#[derive(Clone, Copy)]
pub struct Progress<'a> {
    /// Sheets in the best layout so far.
    pub sheets: usize,
    /// Copies that have found no room so far.
    pub unplaced: u32,
    /// Length used on the last sheet, mm along the side that it is used up along.
    pub last_length: f64,
    /// Area of the pieces (windows filled) as a share of the sheets, the last up to its length,
    /// percent.
    pub use_percent: f64,
    /// Share of the budget that is spent, 0 to 1.
    pub spent: f64,
    /// Works out the best layout so far, for those who look at it.
    pub layout: &'a dyn Fn() -> Layout,
}

impl Progress<'_> {
    /// The same as a part of something longer: its share of the whole begins and ends here.
    #[must_use]
    pub fn between(self, begins: f64, ends: f64) -> Self {
        Self {
            spent: begins + (ends - begins) * self.spent,
            ..self
        }
    }
}

/// What the caller answers to [`Progress`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Control {
    /// Go on.
    Continue,
    /// Stop and keep the best layout so far.
    Stop,
}

/// Share of the time that goes into filling windows, at most.
const FILLING: f64 = 0.25;

/// More than this on one sheet stay as the start laid them: what the search knows of every pair would
/// fill the memory.
const TOGETHER: usize = 2_000;

/// The length that one piece takes by itself over what all together would if they filled the width of the
/// widest stock. The more it is above 1, the sooner a layout is as short as it can be.
#[must_use]
pub fn length_lower_bound_ratio(pieces: &[Piece], stock: &[Stock]) -> f64 {
    let across = |it: &Stock| {
        let bounds = polygon::bounds(&it.usable);
        bounds.width().min(bounds.height())
    };
    let width = stock.iter().map(across).fold(0.0, f64::max);
    let area = |it: &Piece| f64::from(it.quantity) * polygon::signed_area(&it.outline).abs();
    let lengths = pieces
        .iter()
        .map(|it| polygon::least_width(&polygon::hull(&it.outline)));
    lengths.fold(0.0, f64::max) * width / pieces.iter().map(area).sum::<f64>()
}

/// Places every copy of every piece on the stock, as well as the budget allows.
///
/// `progress` is called with the first layout, with every improvement and now and then in between, what
/// is spent never less than before; answering [`Control::Stop`] keeps the best layout so far.
pub fn place(
    pieces: &[Piece],
    stock: &[Stock],
    budget: &Budget,
    progress: &mut dyn FnMut(Progress) -> Control,
) -> Layout {
    placed(pieces, stock, budget, Time::on_the_wall(), false, progress)
}

/// The same for many copies, which rows may hold better than one placed after another.
fn place_many(
    pieces: &[Piece],
    stock: &[Stock],
    budget: &Budget,
    progress: &mut dyn FnMut(Progress) -> Control,
) -> Layout {
    placed(pieces, stock, budget, Time::on_the_wall(), true, progress)
}

/// The same by any clock, with or without rows to begin with.
fn placed(
    pieces: &[Piece],
    stock: &[Stock],
    budget: &Budget,
    time: Time,
    in_rows: bool,
    progress: &mut dyn FnMut(Progress) -> Control,
) -> Layout {
    let items: Vec<Option<PreparedPiece>> = pieces.iter().map(PreparedPiece::new).collect();
    let copies = pieces.iter().map(|piece| u64::from(piece.quantity)).sum();
    let clock = Clock::start(budget, copies, time);
    let seed = budget.seed;
    let mut spent: f64 = 0.0;
    let tell = &mut |now: Progress| {
        spent = spent.max(now.spent);
        if progress(Progress { spent, ..now }) == Control::Stop {
            clock.stop();
        }
    };
    let job = Start {
        pieces,
        items: &items,
        stock,
        seed,
        clock: &clock,
        in_rows,
    };
    let (first, fuller);
    first = job.with(&Effort::Quick(clock.phase(1.0)), &mut || {});
    let mut improver = Improver::new(pieces, stock, &first, seed, &clock);
    // The first layout is told at once; then the windows are filled with more care.
    let has_windows = pieces.iter().any(|piece| !piece.windows.is_empty());
    if has_windows && !clock.is_over() {
        improver.tell(0.0, tell);
        let filling = clock.phase(FILLING);
        let beat = &mut || improver.tell(clock.spent_with(&filling, 0.0), tell);
        fuller = job.with(&Effort::Thorough(filling.clone()), beat);
        if !clock.is_late() {
            improver = Improver::new(pieces, stock, &fuller, seed, &clock);
        }
    }
    improver.run(tell);
    improver.layout()
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;
    use std::sync::atomic::{AtomicU64, Ordering};

    use super::*;
    use crate::geometry::Point;

    /// Rings, pads for their windows and arms, on sheets that hold a part of them each.
    fn job(each: u32) -> (Vec<Piece>, Vec<Stock>) {
        let disc = |radius: f64| -> Polygon {
            let corner =
                |k: u32| Point::ORIGIN.polar(radius, f64::from(k) * std::f64::consts::TAU / 48.0);
            (0..48).map(corner).collect()
        };
        let outline = |corners: &[(f64, f64)]| -> Polygon {
            corners.iter().map(|(x, y)| Point::new(*x, *y)).collect()
        };
        let piece = |id: &str, outline: Polygon, windows: Vec<Polygon>| Piece {
            index: 0,
            id: id.into(),
            quantity: each,
            outline,
            windows,
            rotation: Rotation::Free,
        };
        let mut pieces = vec![
            piece("ring", disc(90.0), vec![disc(70.0)]),
            piece(
                "pad",
                outline(&[(0.0, 0.0), (60.0, 0.0), (60.0, 45.0), (0.0, 45.0)]),
                Vec::new(),
            ),
            piece(
                "arm",
                outline(&[
                    (0.0, -25.0),
                    (180.0, -14.0),
                    (190.0, 0.0),
                    (180.0, 14.0),
                    (0.0, 25.0),
                ]),
                Vec::new(),
            ),
        ];
        for (index, piece) in pieces.iter_mut().enumerate() {
            piece.index = index;
        }
        let stock = Stock {
            along: Along::X,
            id: "sheet".into(),
            quantity: None,
            usable: outline(&[(0.0, 0.0), (900.0, 0.0), (900.0, 600.0), (0.0, 600.0)]),
            avoid: Vec::new(),
            metal: Vec::new(),
            price: None,
            first: false,
        };
        (pieces, vec![stock])
    }

    /// A clock that goes on by a second with every look at it: long steps look between their parts, so
    /// that the looks after the end count what is still done then.
    fn looks_after(seconds: u64, pieces: &[Piece], stock: &[Stock]) -> u64 {
        let looks = Arc::new(AtomicU64::new(0));
        let counted = Arc::clone(&looks);
        let time = Time::told_by(move || counted.fetch_add(1, Ordering::Relaxed) as f64);
        let budget = Budget {
            seed: 1,
            iterations: u64::MAX / 1024,
            seconds: Some(seconds as f64),
        };
        let alone = rayon::ThreadPoolBuilder::new().num_threads(1).build();
        let layout = alone.expect("a thread").install(|| {
            placed(pieces, stock, &budget, time, false, &mut |_| {
                Control::Continue
            })
        });
        assert!(layout.unplaced.is_empty(), "after {seconds} looks");
        assert_eq!(proof::on_polygons(pieces, stock, &layout), []);
        looks.load(Ordering::Relaxed).saturating_sub(seconds)
    }

    #[test]
    fn one_long_piece_rules_where_the_others_are_few() {
        let (mut pieces, stock) = job(1);
        // The ring, 180 mm across, on 600 mm of width; beside it so much area.
        let area = |pieces: &[Piece]| -> f64 {
            let each = pieces
                .iter()
                .map(|it| f64::from(it.quantity) * polygon::signed_area(&it.outline));
            each.sum()
        };
        let alone = length_lower_bound_ratio(&pieces, &stock);
        assert!((alone - 180.0 * 600.0 / area(&pieces)).abs() < 0.01 * alone);
        assert!(alone > 1.0);
        pieces[1].quantity = 60;
        let many = length_lower_bound_ratio(&pieces, &stock);
        assert!((many - 180.0 * 600.0 / area(&pieces)).abs() < 0.01 * many);
        assert!(many < 1.0);
    }

    #[test]
    fn little_is_done_when_the_time_is_over() {
        // Sheets of which it counts what is left take a few steps more.
        for (each, metal, steps) in [(30, false, 0), (3, true, 10)] {
            let (pieces, mut stock) = job(each);
            if metal {
                stock[0].metal = vec![stock[0].usable.clone()];
            }
            let copies = 3 * u64::from(each);
            for seconds in [0, 1, 7, 50, 120, 200, 300, 1_000, 5_000] {
                let after = looks_after(seconds, &pieces, &stock);
                // Every copy that has no place yet takes a look, and so does every step on the way out.
                assert!(after <= 2 * copies + steps, "{after} looks after {seconds}");
            }
        }
    }
}
