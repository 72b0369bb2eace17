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
mod campaign;
mod cheapest;
mod clash;
mod clock;
mod construct;
mod discs;
pub mod footprint;
mod ground;
mod grow;
mod item;
pub mod layout;
pub mod most;
pub mod outlines;
mod parts;
pub mod piece;
mod poles;
mod polygon;
pub mod proof;
mod room;
mod search;
mod shape;
mod sheet;
pub mod sheets;
pub mod stock;
mod unit;
mod view;
mod windows;

use campaign::Campaign;
use clock::Clock;
use item::Item;
pub use layout::{Layout, Placement, SheetLayout};
pub use piece::{Piece, Polygon, Rotation};
use sheet::Cast;
pub use stock::Stock;
use windows::Effort;

/// How long and how the search runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Budget {
    /// Same seed and iterations, same bytes.
    pub seed: u64,
    /// How many places each worker of the search may try for every copy there is to place; the
    /// constructive start counts as none.
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
}

/// What the search tells while it runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// Sheets in the best layout so far.
    pub sheets: usize,
    /// Copies that have found no room so far.
    pub unplaced: u32,
    /// Length used on the last sheet, mm along its longer side.
    pub last_length: f64,
    /// Area of the pieces (windows filled) as a share of the sheets, the last up to its length,
    /// percent.
    pub use_percent: f64,
    /// Share of the budget that is spent, 0 to 1.
    pub spent: f64,
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

/// Places every copy of every piece on the stock, as well as the budget allows.
///
/// `progress` is called with the first layout, with every improvement and now and then in between;
/// answering [`Control::Stop`] keeps the best layout so far.
pub fn place(
    pieces: &[Piece],
    stock: &[Stock],
    budget: &Budget,
    progress: &mut dyn FnMut(Progress) -> Control,
) -> Layout {
    let items: Vec<Option<Item>> = pieces.iter().map(Item::new).collect();
    let copies = pieces.iter().map(|piece| u64::from(piece.quantity)).sum();
    let clock = Clock::start(budget, copies);
    let tell = &mut |now: Progress| {
        if progress(now) == Control::Stop {
            clock.stop();
        }
    };
    let mut effort = Effort::Quick;
    let mut units = windows::loaded(pieces, &items, budget.seed, &effort, &mut || {});
    loop {
        let cast = Cast::new(units, &items);
        let (sheets, queue) = allot::first(&cast, stock, budget.seed);
        if let Some(unloaded) = unit::unloaded(&cast.units, &queue, pieces) {
            units = unloaded;
            continue;
        }
        let mut campaign = Campaign {
            stock,
            cast: &cast,
            sheets,
            queue,
            seed: budget.seed,
            clock: clock.clone(),
        };
        // The first layout is told at once; then the windows are filled with more care.
        let has_windows = pieces.iter().any(|piece| !piece.windows.is_empty());
        if has_windows && matches!(effort, Effort::Quick) && !clock.is_over() {
            campaign.tell(0.0, tell);
            let filling = clock.phase(FILLING);
            let beat = &mut || campaign.tell(FILLING * filling.spent(0), tell);
            effort = Effort::Thorough(filling.clone());
            let fuller = windows::loaded(pieces, &items, budget.seed, &effort, beat);
            if !clock.is_over() {
                units = fuller;
                continue;
            }
        }
        campaign.run(tell);
        return layout::of(&campaign.sheets, &cast, pieces);
    }
}
