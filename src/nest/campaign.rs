//! From a first layout to a better one.
//!
//! In: sheets as the constructive start filled them. Out: fewer of them, and the last used up on a
//! shorter length. Sheet after sheet is pressed together along its longer side, and what lies on the
//! sheets after it moves into the room that this makes, the last sheet's first.

use rand::SeedableRng;
use rand_pcg::Pcg64;

use super::allot;
use super::clock::Clock;
use super::coarse;
use super::search::room_for::{self, Waiting};
use super::search::strip::Strip;
use super::search::{Kind, Lie, Pack, workers};
use super::sheet::{Cast, Lying, Queue, Sheet};
use super::start::Started;
use super::view::View;
use super::{Progress, Stock};

/// How often a sheet that is not the last is pressed together and filled up again.
const ROUNDS: usize = 3;

/// Share of the budget that goes into pressing the last sheet together in pairs.
const PAIRING: f64 = 0.3;
/// Share of a round that goes into squeezing more onto the sheet, if more waits.
const SQUEEZING: f64 = 0.3;
/// More than this on one sheet stay as the start laid them: what the search knows of every pair would
/// fill the memory.
const TOGETHER: usize = 2_000;

/// What is being improved.
pub(super) struct Campaign<'a> {
    stock: &'a [Stock],
    pub(super) cast: &'a Cast,
    pub(super) sheets: Vec<Sheet>,
    /// Copies of each unit that have no place.
    queue: Queue,
    seed: u64,
    clock: Clock,
}

impl<'a> Campaign<'a> {
    pub(super) fn new(stock: &'a [Stock], started: &'a Started, seed: u64, clock: &Clock) -> Self {
        Self {
            stock,
            cast: &started.cast,
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
            let last = index + 1 == self.sheets.len() && self.nothing_waits();
            let rounds = if last { 1 } else { ROUNDS };
            if last {
                self.cheapen(index);
                self.pair_up(index, progress);
            }
            for round in 0..rounds {
                let sheets_left = self.sheets.len() - index;
                let share = 1.0 / (sheets_left * rounds - round).max(1) as f64;
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

    /// Presses a sheet together with a share of what is left of the budget.
    fn shorten(&mut self, index: usize, share: f64, progress: &mut dyn FnMut(Progress)) {
        let phase = self.clock.phase(share);
        let sheet = &self.sheets[index];
        if !(2..=TOGETHER).contains(&sheet.lying.len()) {
            return;
        }
        let ground = sheet.ground(self.stock);
        let there = |unit: usize| sheet.lying.iter().any(|it| it.unit == unit);
        let kinds = self.kinds(sheet.view, there);
        let moving: Vec<(&Kind, Lie)> = sheet
            .lying
            .iter()
            .filter_map(|it| {
                let kind = kinds[it.unit].as_ref()?;
                let form = kind.form(it.turn);
                Some((kind, Lie { form, at: it.at }))
            })
            .collect();
        let pack = Pack::new(moving, ground.fixed(), ground.frame);
        let mut told = Told::new(self, index);
        let (best, places) = workers::shorten(&pack, self.seed, &phase, &mut |best, spent| {
            progress(told.with(best, spent));
        });
        self.clock.charge(places);
        let lying = sheet
            .lying
            .iter()
            .zip(&best.lies)
            .map(|(it, lie)| Lying {
                unit: it.unit,
                turn: lie.form.turn,
                at: lie.at,
            })
            .collect();
        if best.length < sheet.length()
            && let Some(better) = sheet.relaid(self.stock, self.cast, lying)
        {
            self.sheets[index] = better;
        }
    }

    /// Presses a sheet together with its copies in pairs, if that makes it shorter.
    fn pair_up(&mut self, index: usize, progress: &mut dyn FnMut(Progress)) {
        let sheet = &self.sheets[index];
        if !(2..=TOGETHER).contains(&sheet.lying.len()) || self.clock.is_over() {
            return;
        }
        let phase = self.clock.phase(PAIRING);
        let mut told = Told::new(self, index);
        let tell = &mut |best: &Strip, spent: f64| {
            progress(told.with(best, spent));
        };
        let found = coarse::pressed(sheet, self.stock, self.cast, self.seed, &phase, tell);
        if let Some((paired, places)) = found {
            self.clock.charge(places);
            if paired.length() < self.sheets[index].length() {
                self.sheets[index] = paired;
            }
        }
    }

    /// The units that are wanted as the search knows them.
    fn kinds(&self, view: View, wanted: impl Fn(usize) -> bool) -> Vec<Option<Kind>> {
        let items = self.cast.items(view).iter().enumerate();
        items
            .map(|(unit, item)| item.as_ref().filter(|_| wanted(unit)).map(Kind::new))
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
        let order = self.cast.by_rank();
        let time = self.clock.phase(1.0);
        let refilled = |line: usize| {
            let mut queue: Queue = vec![0; self.queue.len()];
            for it in &sheet.lying {
                queue[it.unit] += 1;
            }
            let mut random = Pcg64::seed_from_u64(self.seed);
            let mut other = Sheet::new(self.stock, line)?;
            if prices[line] >= prices[sheet.stock] {
                return None;
            }
            other.fill(self.cast, &order, &mut queue, &time, &mut random);
            queue.iter().all(|waiting| *waiting == 0).then_some(other)
        };
        let cheapest = (0..self.stock.len())
            .filter(there)
            .filter_map(refilled)
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
        let order = self.cast.by_rank();
        let mut random = Pcg64::seed_from_u64(self.seed);
        self.sheets[index].fill(self.cast, &order, &mut waiting, &time, &mut random);
        self.take_all_away(&before, &waiting, index);
    }

    /// Moves more onto this sheet, where what lies there can be parted to make room for it.
    fn squeeze_in(&mut self, index: usize, share: f64, progress: &mut dyn FnMut(Progress)) {
        let waiting = self.waiting_after(index);
        let sheet = &self.sheets[index];
        if sheet.lying.len() > TOGETHER {
            return;
        }
        let phase = self.clock.phase(share);
        let lying = |unit: usize| sheet.lying.iter().filter(|it| it.unit == unit).count() as u32;
        let kinds = self.kinds(sheet.view, |unit| waiting[unit] + lying(unit) > 0);
        let (mut units, mut guests) = (Vec::new(), Vec::new());
        for unit in self.cast.by_rank() {
            if let Some(kind) = &kinds[unit] {
                let copies = waiting[unit] + lying(unit);
                units.push(unit);
                guests.push(Waiting { kind, copies });
            }
        }
        let known = sheet.lying.iter().filter_map(|it| {
            let index = units.iter().position(|unit| *unit == it.unit)?;
            let form = guests[index].kind.form(it.turn);
            Some((index, Lie { form, at: it.at }))
        });
        let ground = sheet.ground(self.stock);
        let now = Told::new(self, index).at(sheet.length(), phase.spent(0));
        let (more, places) = room_for::as_many(
            &guests,
            known.collect(),
            (&ground.fixed(), ground.frame),
            sheet.area() - sheet.filled(self.cast),
            (room_for::ON_SHEET, self.seed),
            &phase,
            &mut || progress(now),
        );
        let squeezed: Vec<Lying> = more
            .iter()
            .map(|(index, lie)| Lying {
                unit: units[*index],
                turn: lie.form.turn,
                at: lie.at,
            })
            .collect();
        let mut after = waiting.clone();
        for it in &squeezed[sheet.lying.len()..] {
            after[it.unit] -= 1;
        }
        let fuller = if after == waiting {
            None
        } else {
            sheet.relaid(self.stock, self.cast, squeezed)
        };
        self.clock.charge(places);
        if let Some(fuller) = fuller {
            self.sheets[index] = fuller;
            self.take_all_away(&waiting, &after, index);
        }
    }

    /// Copies of each unit in the queue and on the sheets after this one.
    fn waiting_after(&self, index: usize) -> Queue {
        let mut waiting = self.queue.clone();
        for it in self.sheets[index + 1..].iter().flat_map(|s| &s.lying) {
            waiting[it.unit] += 1;
        }
        waiting
    }

    /// Takes what was placed once more, and no longer waits, from where it was.
    fn take_all_away(&mut self, before: &Queue, waiting: &Queue, index: usize) {
        for (unit, (before, after)) in before.iter().zip(waiting).enumerate() {
            for _ in 0..before - after {
                self.take_away(unit, index);
            }
        }
        self.sheets.retain(|sheet| !sheet.lying.is_empty());
    }

    /// Takes a copy that was placed once more off the queue, or off the last sheet that has one.
    fn take_away(&mut self, unit: usize, after: usize) {
        if self.queue[unit] > 0 {
            self.queue[unit] -= 1;
            return;
        }
        for index in (after + 1..self.sheets.len()).rev() {
            let mut lying = self.sheets[index].lying.clone();
            if let Some(place) = lying.iter().rposition(|it| it.unit == unit) {
                lying.remove(place);
                let fewer = self.sheets[index].relaid(self.stock, self.cast, lying);
                self.sheets[index] = fewer.expect("what is left on a sheet still lies free");
                return;
            }
        }
    }

    /// Tells how things stand.
    pub(super) fn tell(&self, spent: f64, progress: &mut dyn FnMut(Progress)) {
        let last = self.sheets.len().saturating_sub(1);
        progress(Told::new(self, last).at(self.sheets.last().map_or(0.0, Sheet::length), spent));
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
    fn new(campaign: &Campaign, index: usize) -> Self {
        let sheets = &campaign.sheets;
        let waiting = campaign.cast.units.iter().zip(&campaign.queue);
        let others = sheets.iter().enumerate().filter(|(i, _)| *i != index);
        Self {
            sheets: sheets.len(),
            unplaced: waiting
                .map(|(unit, n)| n * (1 + unit.cargo.len() as u32))
                .sum(),
            filled: sheets.iter().map(|sheet| sheet.filled(campaign.cast)).sum(),
            sheets_area: others.map(|(_, sheet)| sheet.area()).sum(),
            height: sheets.get(index).map_or(0.0, Sheet::height),
            last_length: sheets.last().map_or(0.0, Sheet::length),
            is_last: index + 1 == sheets.len(),
        }
    }

    fn with(&mut self, best: &Strip, spent: f64) -> Progress {
        self.at(best.length, spent)
    }

    fn at(&self, length: f64, spent: f64) -> Progress {
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
            spent: spent.min(1.0),
        }
    }
}
