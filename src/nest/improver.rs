//! From a first layout to a better one.
//!
//! In: sheets as the constructive start filled them. Out: fewer of them, and the last used up on a
//! shorter length, or, where little lies on it, so that most of it is left. Sheet after sheet is pressed together along its longer side, and what lies on the
//! sheets after it moves into the room that this makes, the last sheet's first.

use rand::SeedableRng;
use rand_pcg::Pcg64;

use super::allot;
use super::clock::Clock;
use super::coarse;
use super::placed::PlacedShape;
use super::search::insert::{self, Waiting};
use super::search::strip::Strip;
use super::search::{Pack, SearchShape, workers};
use super::sheet::{OrientedPieces, Queue, Sheet, SheetPlacement};
use super::start::Started;
use super::{Along, LEAST_KEPT, Layout, Piece, Progress, Stock, TOGETHER, layout};
use crate::elementary;

/// How often a sheet that is not the last is pressed together and filled up again.
const ROUNDS: usize = 3;

/// Share of the budget that goes into pressing the last sheet together in pairs.
const PAIRING: f64 = 0.3;
/// Share of a round that goes into squeezing more onto the sheet, if more waits.
const SQUEEZING: f64 = 0.3;
/// Of a last sheet that is filled to no more than this share, the layout is kept that leaves most of it.
const SMALL: f64 = 0.25;
/// Of the time that is left, the share in which its strip along the usual side is made, and of the rest the share for
/// one along the other; what still is left makes the better of them narrower. The first may try every place that is
/// left, so that no strip is longer than if it were all; the others may try half as many again, each.
const USUALLY: f64 = 0.6;
const OTHERWISE: f64 = 0.5;
const AGAIN: f64 = 0.5;
/// Places tried in the first of the rounds in which a sheet is laid out so that most of it is left, at least: what it
/// takes to make the shapes ready for a round is no more work than that.
const LEAST_ROUND: u64 = 30_000;
/// A strip along the other side is pressed together only where its first layout takes no more than this many times the
/// area of the strip along the usual one: more is hardly ever gained.
const PROMISING: f64 = 1.25;

/// What is being improved.
pub(super) struct Improver<'a> {
    pieces: &'a [Piece],
    stock: &'a [Stock],
    oriented: &'a OrientedPieces,
    sheets: Vec<Sheet>,
    /// Copies of each assembly that have no place.
    queue: Queue,
    seed: u64,
    clock: Clock,
}

impl<'a> Improver<'a> {
    pub(super) fn new(
        pieces: &'a [Piece],
        stock: &'a [Stock],
        started: &'a Started,
        seed: u64,
        clock: &Clock,
    ) -> Self {
        Self {
            pieces,
            stock,
            oriented: &started.oriented,
            sheets: started.sheets.clone(),
            queue: started.queue.clone(),
            seed,
            clock: clock.clone(),
        }
    }

    /// Improves until the budget is spent or the caller says stop.
    pub(super) fn run(&mut self, progress: &mut dyn FnMut(Progress)) {
        self.tell(0.0, progress);
        let mut index = 0;
        while index < self.sheets.len() && !self.clock.is_over() {
            if index + 1 == self.sheets.len() && self.nothing_waits() {
                self.cheapen(index);
                self.use_up(index, progress);
                break;
            }
            for round in 0..ROUNDS {
                let sheets_left = self.sheets.len() - index;
                let share = 1.0 / (sheets_left * ROUNDS - round).max(1) as f64;
                if index + 1 == self.sheets.len() && self.nothing_waits() {
                    self.shorten(index, share, progress);
                } else {
                    let pressing = share * (1.0 - SQUEEZING);
                    self.shorten(index, pressing, progress);
                    self.fill_up(index);
                    let squeezing = share * SQUEEZING / (1.0 - pressing);
                    self.squeeze_in(index, squeezing, progress);
                }
                if self.clock.is_over() {
                    break;
                }
            }
            index += 1;
        }
        self.tell(1.0, progress);
    }

    fn nothing_waits(&self) -> bool {
        self.queue.iter().all(|waiting| *waiting == 0)
    }

    /// Presses a sheet together, first in pairs, with a share of what is left of the budget.
    fn strip(&mut self, index: usize, share: f64, progress: &mut dyn FnMut(Progress)) {
        let pairing = PAIRING * share;
        self.pair_up(index, pairing, progress);
        self.shorten(index, (share - pairing) / (1.0 - pairing), progress);
    }

    /// Presses the last sheet together; more may be left of it than beyond a strip along its usual side if little lies on
    /// it, or if the first layout along the other side takes much less, as that of plates that are longer than the sheet
    /// is wide.
    fn use_up(&mut self, index: usize, progress: &mut dyn FnMut(Progress)) {
        let sheet = &self.sheets[index];
        if self.stock[sheet.stock].metal.is_empty() {
            return self.strip(index, 1.0, progress);
        }
        let other = self.refilled(index, self.stock, sheet.stock, sheet.along.other());
        let takes_less = |it: &Sheet| PROMISING * it.strip_area() <= sheet.strip_area();
        let is_small = sheet.filled(self.oriented) <= SMALL * sheet.area();
        if is_small || other.as_ref().is_some_and(takes_less) {
            self.leave_most(index, other.as_ref(), progress);
        } else {
            self.strip(index, 1.0, progress);
        }
    }

    /// Lays a sheet out so that most of it is left, in rounds from its first layout on: each may try twice as many places
    /// as the one before and the last all there are, so that whoever gives twice as many goes through the same rounds and
    /// one more, and never leaves less.
    fn leave_most(
        &mut self,
        index: usize,
        other: Option<&Sheet>,
        progress: &mut dyn FnMut(Progress),
    ) {
        let (whole, first) = (self.clock.clone(), self.sheets[index].clone());
        if first.left(self.stock).along != first.along {
            self.keep_facing(index, &first);
        }
        for halvings in (0..=whole.halvings(LEAST_ROUND)).rev() {
            if whole.is_late() {
                break;
            }
            let share = elementary::powf(0.5, f64::from(halvings));
            let tell = &mut |now: Progress| {
                let spent = now.between(share / 2.0, share).spent.max(whole.waited());
                progress(Progress { spent, ..now });
            };
            let clock = whole.part(1.0, share);
            let round = self.aside(index, self.stock, first.clone(), clock, tell, |it, tell| {
                it.lay_in_a_corner(0, other, tell);
            });
            self.keep_better(index, &round);
        }
    }

    /// Lays a sheet out as a strip along one side or the other, or in a corner, whichever leaves most of it.
    fn lay_in_a_corner(
        &mut self,
        index: usize,
        other: Option<&Sheet>,
        progress: &mut dyn FnMut(Progress),
    ) {
        let whole = self.clock.clone();
        let (first, second) = (USUALLY, USUALLY + (1.0 - USUALLY) * OTHERWISE);
        self.clock = whole.part(USUALLY, 1.0);
        self.strip(index, 1.0, &mut |now| progress(now.between(0.0, first)));
        self.clock = whole;
        let strip = self.sheets[index].clone();
        if strip.left(self.stock).along != strip.along {
            self.keep_facing(index, &strip);
        }
        if let Some(other) = other {
            let tell = &mut |now: Progress| progress(now.between(first, second));
            self.try_other_side(index, other, tell);
        }
        self.narrow(index, &mut |now| progress(now.between(second, 1.0)));
    }

    /// Makes a strip along the other side of its first layout there, if that leaves more.
    fn try_other_side(&mut self, index: usize, other: &Sheet, progress: &mut dyn FnMut(Progress)) {
        let most = PROMISING * self.sheets[index].strip_area();
        if !self.clock.is_late() && other.strip_area() <= most {
            let clock = self.clock.part(OTHERWISE, AGAIN);
            let other = other.clone();
            let other = self.aside(index, self.stock, other, clock, progress, in_a_strip);
            self.keep_better(index, &other);
        }
    }

    /// Lays a sheet out in a corner: no longer than it is, and as narrow as that goes. That is a strip along the other
    /// side of the part of the sheet that is used.
    fn narrow(&mut self, index: usize, progress: &mut dyn FnMut(Progress)) {
        if self.clock.is_late() {
            return;
        }
        let sheet = &self.sheets[index];
        let narrowest = sheet.filled(self.oriented) / sheet.length();
        if sheet.height() - narrowest < LEAST_KEPT {
            return;
        }
        let (across, line) = (sheet.along.other(), sheet.stock);
        let mut part = self.stock.to_vec();
        part[line].usable = sheet.usable_used(self.stock);
        let as_it_lies = sheet.seen_along(across, &part, self.oriented);
        let anew = self.refilled(index, &part, line, across);
        let starts = [as_it_lies, anew].into_iter().flatten();
        if let Some(start) = starts.min_by(|a, b| a.length().total_cmp(&b.length())) {
            let clock = self.clock.part(1.0, AGAIN);
            let narrow = self.aside(index, &part, start, clock, progress, in_a_strip);
            self.keep_better(index, &narrow);
        }
    }

    /// What is made of another layout of a sheet, on these sheets or parts of them, with a budget of its own; who looks on
    /// is shown the one that is kept meanwhile.
    fn aside(
        &self,
        index: usize,
        stock: &[Stock],
        other: Sheet,
        clock: Clock,
        progress: &mut dyn FnMut(Progress),
        make: impl FnOnce(&mut Improver, &mut dyn FnMut(Progress)),
    ) -> Sheet {
        let (told, length) = (Told::new(self, index), self.sheets[index].length());
        let mut aside = Improver {
            pieces: self.pieces,
            stock,
            oriented: self.oriented,
            sheets: vec![other],
            queue: vec![0; self.queue.len()],
            seed: self.seed,
            clock,
        };
        let shown = || self.layout();
        let tell = &mut |now: Progress| progress(told.at(length, now.spent, &shown));
        make(&mut aside, tell);
        aside.sheets.remove(0)
    }

    /// Takes another layout of a sheet, or of a part of it, if it leaves more.
    fn keep_better(&mut self, index: usize, other: &Sheet) {
        let kept = self.sheets[index].left(self.stock);
        if other.left(self.stock).is_more_than(kept) {
            self.keep_facing(index, other);
        }
    }

    /// Takes a layout of a sheet as it is looked at along the side along which it leaves most.
    fn keep_facing(&mut self, index: usize, laid: &Sheet) {
        let along = laid.left(self.stock).along;
        if let Some(facing) = laid.seen_along(along, self.stock, self.oriented) {
            self.sheets[index] = facing;
        }
    }

    /// What lies on a sheet, placed anew on a line of stock and along a side; `None` if not all of it fits.
    fn refilled(&self, index: usize, stock: &[Stock], line: usize, along: Along) -> Option<Sheet> {
        let mut queue: Queue = vec![0; self.queue.len()];
        for it in &self.sheets[index].placed {
            queue[it.assembly] += 1;
        }
        let (order, time) = (self.oriented.by_rank(), self.clock.phase(1.0));
        let empty = Sheet::used_along(along, stock, line)?;
        let (sheet, queue) = empty.filled_with(self.oriented, &order, &queue, self.seed, &time);
        queue.iter().all(|waiting| *waiting == 0).then_some(sheet)
    }

    /// Presses a sheet together with a share of what is left of the budget.
    fn shorten(&mut self, index: usize, share: f64, progress: &mut dyn FnMut(Progress)) {
        let phase = self.clock.phase(share);
        let sheet = &self.sheets[index];
        if !(2..=TOGETHER).contains(&sheet.placed.len()) {
            return;
        }
        let obstacles = sheet.obstacles(self.stock);
        let there = |assembly: usize| sheet.placed.iter().any(|it| it.assembly == assembly);
        let kinds = self.kinds(sheet.along, there);
        let moving: Vec<(&SearchShape, PlacedShape)> = sheet
            .placed
            .iter()
            .filter_map(|it| {
                let kind = kinds[it.assembly].as_ref()?;
                Some((kind, as_searched(kind, &it.placed)))
            })
            .collect();
        let pack = Pack::new(moving, obstacles.fixed(), obstacles.frame);
        let (told, clock) = (Told::new(self, index), &self.clock);
        let (best, places) = workers::shorten(&pack, self.seed, &phase, &mut |best, spent| {
            let layout = || self.layout_with(index, self.pressed(index, best));
            progress(told.at(best.length, clock.spent_with(&phase, spent), &layout));
        });
        self.clock.charge(places);
        if let Some(better) = self.pressed(index, &best) {
            self.sheets[index] = better;
        }
    }

    /// A sheet as it was pressed together, if that made it shorter.
    fn pressed(&self, index: usize, best: &Strip) -> Option<Sheet> {
        let sheet = &self.sheets[index];
        let placed = sheet.placed.iter().zip(&best.placements);
        let placed = placed.map(|(it, placed)| SheetPlacement {
            assembly: it.assembly,
            placed: placed.clone(),
        });
        let shorter = best.length < sheet.length();
        shorter.then(|| sheet.relaid(self.stock, placed.collect()))?
    }

    /// Where everything lies.
    pub(super) fn layout(&self) -> Layout {
        layout::of(&self.sheets, self.oriented, self.pieces)
    }

    /// Where everything lies, a sheet as it is being pressed.
    fn layout_with(&self, index: usize, pressed: Option<Sheet>) -> Layout {
        let mut sheets = self.sheets.clone();
        if let Some(pressed) = pressed {
            sheets[index] = pressed;
        }
        layout::of(&sheets, self.oriented, self.pieces)
    }

    /// Presses a sheet together with its copies in pairs, if that makes it shorter.
    fn pair_up(&mut self, index: usize, share: f64, progress: &mut dyn FnMut(Progress)) {
        let sheet = &self.sheets[index];
        if !(2..=TOGETHER).contains(&sheet.placed.len()) || self.clock.is_over() {
            return;
        }
        let phase = self.clock.phase(share);
        let (told, clock) = (Told::new(self, index), &self.clock);
        let tell = &mut |best: &Strip, spent: f64| {
            let spent = clock.spent_with(&phase, spent);
            progress(told.at(best.length, spent, &|| self.layout()));
        };
        let found = coarse::pressed(sheet, self.stock, self.oriented, self.seed, &phase, tell);
        if let Some((paired, places)) = found {
            self.clock.charge(places);
            if paired.length() < self.sheets[index].length() {
                self.sheets[index] = paired;
            }
        }
    }

    /// The assemblies that are wanted as the search knows them.
    fn kinds(&self, along: Along, wanted: impl Fn(usize) -> bool) -> Vec<Option<SearchShape>> {
        let items = self.oriented.pieces(along).iter().enumerate();
        items
            .map(|(assembly, item)| {
                item.as_ref()
                    .filter(|_| wanted(assembly))
                    .map(SearchShape::new)
            })
            .collect()
    }

    /// Puts what lies on a sheet on the cheapest stock that takes all of it, if that is cheaper.
    fn cheapen(&mut self, index: usize) {
        let sheet = &self.sheets[index];
        if self.stock[sheet.stock].first {
            return;
        }
        let prices = allot::prices(self.stock);
        let used = |line: usize| self.sheets.iter().filter(|s| s.stock == line).count();
        let there = |line: &usize| {
            let quantity = self.stock[*line].quantity;
            quantity.is_none_or(|quantity| used(*line) < quantity as usize)
        };
        let cheapest = (0..self.stock.len())
            .filter(|line| there(line) && prices[*line] < prices[sheet.stock])
            .filter_map(|line| self.refilled(index, self.stock, line, self.stock[line].along))
            .min_by(|a, b| prices[a.stock].total_cmp(&prices[b.stock]));
        if let Some(cheapest) = cheapest {
            self.sheets[index] = cheapest;
        }
    }

    /// Moves what fits from later sheets, and from the queue, into the room left on this one.
    fn fill_up(&mut self, index: usize) {
        if self.clock.is_late() {
            return;
        }
        let time = self.clock.phase(1.0);
        let before = self.waiting_after(index);
        let mut waiting = before.clone();
        let order = self.oriented.by_rank();
        let mut random = Pcg64::seed_from_u64(self.seed);
        self.sheets[index].fill(self.oriented, &order, &mut waiting, &time, &mut random);
        self.take_all_away(&before, &waiting, index);
    }

    /// Moves more onto this sheet, where what lies there can be parted to make room for it.
    fn squeeze_in(&mut self, index: usize, share: f64, progress: &mut dyn FnMut(Progress)) {
        let waiting = self.waiting_after(index);
        let sheet = &self.sheets[index];
        if sheet.placed.len() > TOGETHER {
            return;
        }
        let phase = self.clock.phase(share);
        let lying = |assembly: usize| {
            sheet
                .placed
                .iter()
                .filter(|it| it.assembly == assembly)
                .count() as u32
        };
        let kinds = self.kinds(sheet.along, |assembly| {
            waiting[assembly] + lying(assembly) > 0
        });
        let (mut assemblies, mut guests) = (Vec::new(), Vec::new());
        for assembly in self.oriented.by_rank() {
            if let Some(kind) = &kinds[assembly] {
                let copies = waiting[assembly] + lying(assembly);
                assemblies.push(assembly);
                guests.push(Waiting { kind, copies });
            }
        }
        let known = sheet.placed.iter().filter_map(|it| {
            let index = assemblies
                .iter()
                .position(|assembly| *assembly == it.assembly)?;
            Some((index, as_searched(guests[index].kind, &it.placed)))
        });
        let obstacles = sheet.obstacles(self.stock);
        let told = Told::new(self, index);
        let (clock, length) = (&self.clock, sheet.length());
        let (more, places) = insert::as_many(
            &guests,
            known.collect(),
            (&obstacles.fixed(), obstacles.frame),
            sheet.area() - sheet.filled(self.oriented),
            (insert::ON_SHEET, self.seed),
            &phase,
            &mut || {
                let spent = clock.spent_with(&phase, phase.spent(0));
                progress(told.at(length, spent, &|| self.layout()));
            },
        );
        let squeezed: Vec<SheetPlacement> = more
            .iter()
            .map(|(index, placed)| SheetPlacement {
                assembly: assemblies[*index],
                placed: placed.clone(),
            })
            .collect();
        let mut after = waiting.clone();
        for it in &squeezed[sheet.placed.len()..] {
            after[it.assembly] -= 1;
        }
        let fuller = if after == waiting {
            None
        } else {
            sheet.relaid(self.stock, squeezed)
        };
        self.clock.charge(places);
        if let Some(fuller) = fuller {
            self.sheets[index] = fuller;
            self.take_all_away(&waiting, &after, index);
        }
    }

    /// Copies of each assembly in the queue and on the sheets after this one.
    fn waiting_after(&self, index: usize) -> Queue {
        let mut waiting = self.queue.clone();
        for it in self.sheets[index + 1..].iter().flat_map(|s| &s.placed) {
            waiting[it.assembly] += 1;
        }
        waiting
    }

    /// Takes what was placed once more on this sheet, and no longer waits, from where it was: off the queue,
    /// or else off the last sheet that has one.
    fn take_all_away(&mut self, before: &Queue, waiting: &Queue, index: usize) {
        let mut gone: Vec<Vec<usize>> = vec![Vec::new(); self.sheets.len()];
        for (assembly, (before, after)) in before.iter().zip(waiting).enumerate() {
            let queued = self.queue[assembly].min(before - after);
            self.queue[assembly] -= queued;
            let mut left = (before - after - queued) as usize;
            for later in (index + 1..self.sheets.len()).rev() {
                let placed = self.sheets[later].placed.iter().enumerate();
                let own = placed.filter(|(_, it)| it.assembly == assembly);
                let own: Vec<usize> = own.map(|(at, _)| at).collect();
                let kept = own.len() - own.len().min(left);
                left -= own.len() - kept;
                gone[later].extend(&own[kept..]);
            }
        }
        for (sheet, mut places) in self.sheets.iter_mut().zip(gone) {
            places.sort_unstable();
            sheet.take_off(&places);
        }
        self.sheets.retain(|sheet| !sheet.placed.is_empty());
    }

    /// Tells how things stand.
    pub(super) fn tell(&self, spent: f64, progress: &mut dyn FnMut(Progress)) {
        let last = self.sheets.len().saturating_sub(1);
        let length = self.sheets.last().map_or(0.0, Sheet::length);
        progress(Told::new(self, last).at(length, spent, &|| self.layout()));
    }
}

/// The only sheet pressed together with all of the budget.
fn in_a_strip(improver: &mut Improver, progress: &mut dyn FnMut(Progress)) {
    improver.strip(0, 1.0, progress);
}

/// A placed shape as the search knows it, which turns to one of its steps only.
fn as_searched(shape: &SearchShape, placed: &PlacedShape) -> PlacedShape {
    PlacedShape {
        shape: shape.rotated(placed.shape.turn),
        at: placed.at,
    }
}

/// What is told while one sheet is being pressed together.
struct Told {
    sheets: usize,
    unplaced: u32,
    /// Area of pieces, and of sheets without the one in work, mm².
    filled: f64,
    sheets_area: f64,
    /// Height of the sheet in work, mm.
    height: f64,
    last_length: f64,
    is_last: bool,
}

impl Told {
    fn new(improver: &Improver, index: usize) -> Self {
        let sheets = &improver.sheets;
        let waiting = improver.oriented.assemblies.iter().zip(&improver.queue);
        let others = sheets.iter().enumerate().filter(|(i, _)| *i != index);
        Self {
            sheets: sheets.len(),
            unplaced: waiting
                .map(|(assembly, n)| n * (1 + assembly.contents.len() as u32))
                .sum(),
            filled: sheets
                .iter()
                .map(|sheet| sheet.filled(improver.oriented))
                .sum(),
            sheets_area: others.map(|(_, sheet)| sheet.area()).sum(),
            height: sheets.get(index).map_or(0.0, Sheet::height),
            last_length: sheets.last().map_or(0.0, Sheet::length),
            is_last: index + 1 == sheets.len(),
        }
    }

    fn at<'a>(&self, length: f64, spent: f64, layout: &'a dyn Fn() -> Layout) -> Progress<'a> {
        let area = self.sheets_area + length * self.height;
        Progress {
            sheets: self.sheets,
            unplaced: self.unplaced,
            last_length: if self.is_last {
                length
            } else {
                self.last_length
            },
            use_percent: if area > 0.0 {
                100.0 * self.filled / area
            } else {
                0.0
            },
            spent,
            layout,
        }
    }
}
