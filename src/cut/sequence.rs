//! One sheet's torch work in order.
//!
//! In: where each plate lies, the prepared plates, and the sheet. Out: a [`SheetPlan`] in sheet
//! coordinates, by the law of its table or job: all runs of a plate together, or whatever is shortest.
//! Openings come before the contour around them, a part that sits in a window before that window, every run started where it shortens the way, the runs of a contour with holding tabs one after
//! the other, rapid moves short, and round what is cut out already.

use super::detour::CutOut;
use super::motion;
use super::open_edges;
use super::path::{CutPath, OrderCosts, Placed, PreparedPlate, ScrapCut, SheetLimits, SheetPlan};
use super::settings::{CutSettings, Table};
use super::shared::{self, SharedRun};
use super::starts::{self, Run, Runs};
use super::stop::{Stop, Wishes};
use crate::geometry::{Contour, Point, Segment};
use crate::recipe::CutOrder;

/// Where the torch waits before a sheet: its lower left corner.
const HOME: Point = Point::ORIGIN;

/// How often starts are chosen along the order, and the order mended for the starts, in turn.
const ROUNDS: usize = 4;

/// The torch's work on one sheet, in order, with its lengths and time.
///
/// Rapid moves start at the sheet's origin and end with the last run. The time is that of the torch:
/// laying the sheet and lifting parts out are not in it.
#[must_use]
pub fn sequence(
    placed: &[Placed],
    prepared: &[&PreparedPlate],
    ground: &SheetLimits<'_>,
    settings: &CutSettings,
    table: &Table,
) -> SheetPlan {
    let shared = shared::runs(placed, prepared, settings.kerf);
    let runs = starts::runs(placed, prepared, &shared, ground, settings);
    let waits = waits(placed, prepared, &shared, &runs);
    let planned = |law, mut runs: Runs<'_>| {
        let wishes = Wishes {
            home: HOME,
            spread: table.spread_heat,
            law,
        };
        let mut order = wishes.first(&stops(&runs, &waits));
        for _ in 0..ROUNDS {
            if !starts::choose(&mut runs, &order, &wishes, ground, settings) {
                break;
            }
            order = wishes.mended(&stops(&runs, &waits), order);
        }
        order = wishes.shortened(&stops(&runs, &waits), order);
        starts::choose(&mut runs, &order, &wishes, ground, settings);
        let paths = order.into_iter().flat_map(|run| {
            let run = &runs[run];
            let pose = &placed[run.placement].pose;
            let paths = run.start().paths.iter();
            paths.map(move |path| (run.placement, path.posed(pose)))
        });
        let mut paths: Vec<(usize, CutPath)> = paths.collect();
        open_edges::begin_there(&mut paths, placed, prepared, ground, (settings, table));
        SheetPlan {
            order: law,
            ..plan(paths, placed, table)
        }
    };
    if placed.len() < 2 {
        return planned(table.order, runs);
    }
    // Round what is cut out, the shortest order of straight moves is not always the shortest.
    let shortest = planned(CutOrder::Shortest, runs.clone());
    if table.order == CutOrder::Shortest && table.spread_heat > 0.0 {
        return shortest;
    }
    let by_plates = match table.order {
        CutOrder::SpreadHeat => planned(CutOrder::SpreadHeat, runs),
        CutOrder::PlateByPlate | CutOrder::Shortest => planned(CutOrder::PlateByPlate, runs),
    };
    let beside_shortest = |plan: SheetPlan| SheetPlan {
        order_costs: OrderCosts {
            rapid_length: (plan.rapid_length - shortest.rapid_length).max(0.0),
            time: (plan.time - shortest.time).max(0.0),
        },
        ..plan
    };
    let more = by_plates.rapid_length - shortest.rapid_length;
    match table.order {
        CutOrder::Shortest if more < 0.0 => SheetPlan {
            order: CutOrder::Shortest,
            ..by_plates
        },
        CutOrder::Shortest => shortest,
        CutOrder::PlateByPlate | CutOrder::SpreadHeat => beside_shortest(by_plates),
    }
}

/// The runs as stops of the tour.
fn stops(runs: &Runs<'_>, waits: &[Vec<usize>]) -> Vec<Stop> {
    let both = runs.iter().zip(waits);
    both.map(|(run, waits)| Stop {
        entry: run.start().pierce,
        exit: run.start().end,
        plate: run.placement,
        after: waits.clone(),
    })
    .collect()
}

/// For each run, those that must come before it: those of parts in its window, and for an outside
/// contour all of its own openings and everything in them, and the outsides of those whose cuts it shares.
fn waits(
    placed: &[Placed],
    prepared: &[&PreparedPlate],
    shared: &[Option<SharedRun>],
    runs: &Runs<'_>,
) -> Vec<Vec<usize>> {
    let mut runs_of = vec![Vec::new(); placed.len()];
    for (at, run) in runs.iter().enumerate() {
        runs_of[run.placement].push(at);
    }
    let mut guests_of = vec![Vec::new(); placed.len()];
    for (guest, spot) in placed.iter().enumerate() {
        if let Some(host) = spot.inside {
            guests_of[host].push(guest);
        }
    }
    // The run's own contour is looked at on the sheet only where a guest lies in its plate.
    let middle_of = |guest: usize| {
        let outside = prepared[placed[guest].plate].paths.last();
        outside.map(|path| placed[guest].pose.point(path.nominal.segments()[0].start()))
    };
    let sits_in = |guest: usize, run: &Run<'_>| {
        let window: Contour = run.nominal().posed(&placed[run.placement].pose);
        middle_of(guest).is_some_and(|middle| window.encloses(middle))
    };
    let before = |run: &Run<'_>| {
        let host = run.placement;
        let guests = guests_of[host].iter();
        let guests = guests.filter(|guest| run.opening().is_none() || sits_in(**guest, run));
        let guests = guests.flat_map(|guest| &runs_of[*guest]);
        let own = runs_of[host].iter();
        let own = own.filter(|at| run.opening().is_none() && runs[**at].opening().is_some());
        let beside = shared[host].iter().filter(|_| run.opening().is_none());
        let beside = beside.flat_map(|it| &it.after);
        let beside = beside.flat_map(|other| &runs_of[*other]);
        let beside = beside.filter(|at| runs[**at].opening().is_none());
        let before = own.chain(guests).chain(beside);
        let mut before: Vec<usize> = before.copied().collect();
        before.sort_unstable();
        before
    };
    runs.iter().map(before).collect()
}

impl SheetPlan {
    /// With cuts in the skeleton after all plates are cut out, each from where it is started on.
    #[must_use]
    pub fn followed_by(mut self, cuts: Vec<ScrapCut>, placed: &[Placed], table: &Table) -> Self {
        let mut cut_out = CutOut::default();
        for (placement, path) in &self.paths {
            cut_out.add(*placement, path, placed);
        }
        let mut here = self.paths.last().map_or(HOME, |(_, path)| path.end());
        for cut in &cuts {
            let way = cut_out.way(here, cut.start());
            for leg in way.windows(2) {
                let mm = leg[0].distance(leg[1]);
                self.rapid_length += mm;
                self.time += motion::move_time(mm, table.rapid, table.acceleration);
            }
            self.rapids.push(way);
            self.cut_length += cut.length();
            let paced: Vec<(Segment, f64)> =
                cut.segments.iter().map(|it| (*it, cut.feed)).collect();
            self.time += cut.pierce_time + motion::run_time(&paced, table.acceleration);
            here = cut.end();
        }
        self.scrap.extend(cuts);
        self
    }
}

fn plan(paths: Vec<(usize, CutPath)>, placed: &[Placed], table: &Table) -> SheetPlan {
    let mut cut_out = CutOut::default();
    let mut rapids: Vec<Vec<Point>> = Vec::with_capacity(paths.len());
    let mut here = HOME;
    for (placement, path) in &paths {
        rapids.push(cut_out.way(here, path.pierce()));
        here = path.end();
        cut_out.add(*placement, path, placed);
    }
    let legs = || {
        rapids
            .iter()
            .flat_map(|way| way.windows(2))
            .map(|leg| leg[0].distance(leg[1]))
    };
    let rapid_time: f64 = legs()
        .map(|mm| motion::move_time(mm, table.rapid, table.acceleration))
        .sum();
    let cut_time: f64 = paths
        .iter()
        .map(|(_, path)| path.pierce_time + motion::run_time(&path.paced(), table.acceleration))
        .sum();
    SheetPlan {
        cut_length: paths.iter().map(|(_, path)| path.length()).sum(),
        rapid_length: legs().sum(),
        time: rapid_time + cut_time,
        paths,
        rapids,
        ..SheetPlan::default()
    }
}
