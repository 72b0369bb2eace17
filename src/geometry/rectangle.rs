//! The largest rectangle along x and y within polygons.
//!
//! In: rings, one inside of another being a hole. Out: the rectangle with most area that lies in them: exact
//! where all sides run along x and y, otherwise nearly so, and never too large. The plane is cut into cells
//! along the coordinates of the corners; cells that lie wholly inside are stacked row by row, and the largest
//! rectangle of cells is found from the heights of the stacks.

use super::tolerance::Tolerance;
use super::{Bounds, Point};

/// Lines along x and along y that the plane is cut by, at most.
const LINES: usize = 160;
/// The largest rectangle; `None` if there is none.
pub(crate) fn largest_rectangle(rings: &[Vec<Point>]) -> Option<Bounds> {
    let xs = lines(rings.iter().flatten().map(|p| p.x));
    let ys = lines(rings.iter().flatten().map(|p| p.y));
    let columns = xs.len().checked_sub(1)?;
    let mut heights = vec![0; columns];
    let mut best: Option<(f64, Bounds)> = None;
    for top in 1..ys.len() {
        for (column, height) in heights.iter_mut().enumerate() {
            let cell = Bounds {
                min: Point::new(xs[column], ys[top - 1]),
                max: Point::new(xs[column + 1], ys[top]),
            };
            *height = if is_inside(rings, cell) {
                *height + 1
            } else {
                0
            };
        }
        for from in 0..columns {
            let mut low = usize::MAX;
            for to in from..columns {
                low = low.min(heights[to]);
                if low == 0 {
                    break;
                }
                let found = Bounds {
                    min: Point::new(xs[from], ys[top - low]),
                    max: Point::new(xs[to + 1], ys[top]),
                };
                let area = found.width() * found.height();
                if best.is_none_or(|(most, _)| area > most) {
                    best = Some((area, found));
                }
            }
        }
    }
    best.map(|(_, found)| found)
}

/// Coordinates in order, each once; of very many some, evenly, with the first and last.
fn lines(coordinates: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut all: Vec<f64> = coordinates.collect();
    all.sort_by(f64::total_cmp);
    all.dedup_by(|a, b| *a - *b < Tolerance::SAME);
    if all.len() <= LINES {
        return all;
    }
    let last = all.len() - 1;
    (0..LINES).map(|k| all[k * last / (LINES - 1)]).collect()
}

/// Whether a cell lies in the rings: its middle does, and no side passes through it.
fn is_inside(rings: &[Vec<Point>], cell: Bounds) -> bool {
    let middle = cell.centre();
    let mut odd = false;
    for ring in rings {
        for (k, a) in ring.iter().enumerate() {
            let b = ring[(k + 1) % ring.len()];
            if passes_through(*a, b, cell) {
                return false;
            }
            let above = |p: Point| p.y > middle.y;
            if above(*a) != above(b) {
                let x = a.x + (middle.y - a.y) / (b.y - a.y) * (b.x - a.x);
                odd ^= middle.x < x;
            }
        }
    }
    odd
}

/// Whether a side passes through the inside of a cell: clipped to the cell, something is left of it (Liang
/// and Barsky, 1984).
fn passes_through(a: Point, b: Point, cell: Bounds) -> bool {
    let cell = Bounds {
        min: Point::new(cell.min.x + Tolerance::SAME, cell.min.y + Tolerance::SAME),
        max: Point::new(cell.max.x - Tolerance::SAME, cell.max.y - Tolerance::SAME),
    };
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (from, to, low, high) in [
        (a.x, b.x, cell.min.x, cell.max.x),
        (a.y, b.y, cell.min.y, cell.max.y),
    ] {
        let along = to - from;
        if along == 0.0 {
            if from <= low || from >= high {
                return false;
            }
            continue;
        }
        let (first, second) = ((low - from) / along, (high - from) / along);
        enter = enter.max(first.min(second));
        leave = leave.min(first.max(second));
    }
    enter < leave
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_rectangle_in_a_disc_is_nearly_a_square() {
        let disc: Vec<Point> = (0..400)
            .map(|k| Point::ORIGIN.polar(100.0, f64::from(k) / 400.0 * std::f64::consts::TAU))
            .collect();
        let found = largest_rectangle(&[disc]).expect("a rectangle");
        // The square in a circle of radius r has an area of two r squared.
        let area = found.width() * found.height();
        assert!(area <= 20_000.0 && area > 19_000.0, "{area}");
    }

    #[test]
    fn a_hole_is_kept_off() {
        let ring = |low: f64, high: f64| {
            [(low, low), (high, low), (high, high), (low, high)]
                .map(|(x, y)| Point::new(x, y))
                .to_vec()
        };
        let found = largest_rectangle(&[ring(0.0, 100.0), ring(40.0, 50.0)]).expect("a rectangle");
        assert_eq!(found.width() * found.height(), 5_000.0);
    }
}
