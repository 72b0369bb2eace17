//! The cheapest set of sheets that takes everything.
//!
//! In: sheets as they were taken one after the other, each the best by itself. Out: others if they
//! cost less. Every set of the last few that is cheaper and has the area is tried, the cheapest first.

use super::Along;
use super::allotment::Allotment;
use super::polygon;

/// How many sheets are chosen together, at most.
const TOGETHER: usize = 8;
/// Sets that are looked at, at most.
const SETS: usize = 20_000;
/// A set that saves no more than this share saves nothing.
const ROUNDING: f64 = 1e-9;
/// Copies that are laid in trying sets, about, and the fewest and most sets that are tried.
const LAID: usize = 4_000;
const TRIES: (usize, usize) = (2, 40);

/// Takes cheaper sheets if there are some that do; `before` is how things stood before any sheet was
/// taken that does not come first.
pub(super) fn make_cheaper<'a>(found: &mut Allotment<'a>, before: Allotment<'a>) {
    let taken = found.sheets.len() - before.sheets.len();
    let kept = found.sheets.len() - taken.min(TOGETHER);
    let start = before.with(&found.sheets[found.sheets.len() - taken..kept]);
    let open = |line: &usize| !start.stock[*line].first && start.left_of(*line) > 0;
    let lines: Vec<usize> = (0..start.stock.len()).filter(open).collect();
    if taken == 0 || lines.len() < 2 {
        return;
    }
    let last = found.sheets[kept..].iter();
    let most: f64 = last.map(|sheet| found.prices[sheet.stock]).sum();
    let copies: usize = start.queue.iter().map(|n| *n as usize).sum();
    let tries = (LAID / copies.max(1)).clamp(TRIES.0, TRIES.1);
    for set in sets(&start, &lines, most * (1.0 - ROUNDING))
        .into_iter()
        .take(tries)
    {
        if start.time.is_late() {
            return;
        }
        let mut other = start.clone();
        for line in set.lines {
            other.take_one(line);
        }
        if other.nothing_waits() {
            *found = other;
            return;
        }
    }
}

/// Some sheets, by their lines, the largest first.
struct Set {
    cost: f64,
    lines: Vec<usize>,
}

/// Sets cheaper than `most` with the area for all that waits, the cheapest first and of equals the one
/// with fewer sheets.
fn sets(start: &Allotment, lines: &[usize], most: f64) -> Vec<Set> {
    let area = |line: usize| polygon::signed_area(&start.stock[line].usable).abs();
    let mut lines = lines.to_vec();
    lines.sort_by(|a, b| area(*b).total_cmp(&area(*a)));
    let needed = needed(start);
    let mut sets = Vec::new();
    let mut open: Vec<(usize, f64, f64, Vec<usize>)> = vec![(0, 0.0, 0.0, Vec::new())];
    let mut seen = 0;
    while let Some((from, cost, room, chosen)) = open.pop() {
        seen += 1;
        if seen > SETS {
            break;
        }
        if room >= needed {
            sets.push(Set {
                cost,
                lines: chosen.clone(),
            });
        }
        for (next, line) in lines.iter().enumerate().skip(from) {
            let used = chosen.iter().filter(|known| *known == line).count();
            let there = start.left_of(*line) > used;
            let dearer = cost + start.prices[*line];
            if there && dearer < most && chosen.len() < 2 * TOGETHER {
                let mut more = chosen.clone();
                more.push(*line);
                open.push((next, dearer, room + area(*line), more));
            }
        }
    }
    sets.sort_by(|a, b| {
        let fewer = a.lines.len().cmp(&b.lines.len());
        a.cost
            .total_cmp(&b.cost)
            .then(fewer)
            .then_with(|| a.lines.cmp(&b.lines))
    });
    sets
}

/// Area of the outlines that wait, mm².
fn needed(start: &Allotment) -> f64 {
    let items = start.oriented.pieces(Along::X).iter();
    items
        .zip(&start.queue)
        .filter_map(|(item, waiting)| Some(item.as_ref()?.shape.area * f64::from(*waiting)))
        .sum()
}
