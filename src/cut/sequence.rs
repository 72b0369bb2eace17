//! One sheet's torch work in order.
//!
//! In: where each plate lies, and the prepared plates. Out: a [`SheetPlan`] in sheet coordinates:
//! openings before the contour around them, a part that sits in a window before that window, and
//! rapid moves short.

use super::motion;
use super::path::{CutPath, Placed, PreparedPlate, SheetPlan};
use super::route::{self, Stop};
use super::settings::Table;
use crate::geometry::{Contour, Point};

/// Where the torch waits before a sheet: its lower left corner.
const HOME: Point = Point::ORIGIN;

/// The torch's work on one sheet, in order, with its lengths and time.
///
/// Rapid moves start at the sheet's origin and end with the last run. The time is that of the torch:
/// laying the sheet and lifting parts out are not in it.
#[must_use]
pub fn sequence(placed: &[Placed], prepared: &[&PreparedPlate], table: &Table) -> SheetPlan {
    let runs: Vec<(usize, CutPath)> = placed
        .iter()
        .enumerate()
        .flat_map(|(index, spot)| {
            let paths = prepared[spot.plate].paths.iter();
            paths.map(move |path| (index, path.posed(&spot.pose)))
        })
        .collect();
    let stops: Vec<Stop> = runs
        .iter()
        .map(|(index, path)| Stop {
            entry: path.pierce(),
            exit: path.end(),
            after: before(*index, path, placed, &runs),
        })
        .collect();
    let order = route::short_tour(&stops, HOME);
    plan(&runs, &stops, &order, table)
}

/// The runs that must come before one: those of parts in its window, and for an outside contour all
/// of its own openings and everything in them.
fn before(
    index: usize,
    path: &CutPath,
    placed: &[Placed],
    runs: &[(usize, CutPath)],
) -> Vec<usize> {
    let is_guest = |other: usize| placed[other].inside == Some(index);
    let comes_before = |(other, run): &(usize, CutPath)| match path.opening {
        None => (*other == index && run.opening.is_some()) || is_guest(*other),
        Some(_) => is_guest(*other) && lies_in(&run.nominal, &path.nominal),
    };
    runs.iter()
        .enumerate()
        .filter(|(_, run)| comes_before(run))
        .map(|(at, _)| at)
        .collect()
}

fn lies_in(inner: &Contour, outer: &Contour) -> bool {
    outer.encloses(inner.segments()[0].start())
}

fn plan(runs: &[(usize, CutPath)], stops: &[Stop], order: &[usize], table: &Table) -> SheetPlan {
    let paths: Vec<(usize, CutPath)> = order.iter().map(|stop| runs[*stop].clone()).collect();
    let rapids: Vec<f64> = route::rapid_moves(stops, order, HOME).collect();
    let rapid_time: f64 = rapids
        .iter()
        .map(|mm| motion::move_time(*mm, table.rapid, table.acceleration))
        .sum();
    let cut_time: f64 = paths
        .iter()
        .map(|(_, path)| {
            path.pierce_time + motion::run_time(&path.segments, path.feed, table.acceleration)
        })
        .sum();
    SheetPlan {
        cut_length: paths.iter().map(|(_, path)| path.length()).sum(),
        rapid_length: rapids.iter().sum(),
        time: rapid_time + cut_time,
        paths,
    }
}
