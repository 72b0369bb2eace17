//! How a plate is parted over pages.
//!
//! In: the paper, what every page needs, and the box to show. Out: a [`Tiling`]. Guaranteed: the
//! window of a tile shows its cell of the grid and half the overlap beyond it on every side, so that
//! each corner of a cell, where a cross stands, is on every tile that meets there.

use crate::geometry::{Bounds, Point, Vector};
use crate::trade::paper::{Paper, SIZES};

/// Most printers can print up to this far from the edge of a page, mm: a quarter of an inch and a
/// little (common practice, no source).
pub(super) const MARGIN: f64 = 7.0;
/// Height of the strip with bars and words at the foot of a page, mm.
pub(super) const FOOT: f64 = 27.0;
/// Width of the strip with the upright bars at the left of a page, mm.
pub(super) const SIDE: f64 = 11.0;
/// What two neighbouring tiles both show, mm.
pub(super) const OVERLAP: f64 = 14.0;
/// More tiles than this are no template that anybody joins.
pub(super) const MOST_TILES: u32 = 150;

/// A grid of cells over a plate, each on a page of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Tiling {
    /// Width and height of every page, mm: the paper, upright or turned.
    pub page: (f64, f64),
    /// Where the plate shows on a page, mm from its lower left corner.
    pub window: Bounds,
    /// Cells from left to right.
    pub columns: u32,
    /// Cells from bottom to top.
    pub rows: u32,
    /// Width and height of a cell, mm.
    pub cell: (f64, f64),
    /// Lower left corner of the lowest left cell, in the plate's coordinates, mm.
    pub corner: Point,
}

/// What a tiling has to find room for.
#[derive(Clone, Copy)]
pub(super) struct Room<'a> {
    /// The paper.
    pub paper: &'a Paper,
    /// Height of the notes if they stand on the page of the plate, upright and turned, mm.
    pub notes: (f64, f64),
    /// The box to show, in the plate's coordinates.
    pub content: Bounds,
}

impl Room<'_> {
    /// One page if that does, upright rather than turned; else the fewest tiles.
    pub(super) fn tiling(&self) -> Option<Tiling> {
        let Paper { width, height, .. } = *self.paper;
        let ways = [(width, height, self.notes.0), (height, width, self.notes.1)];
        let single = ways
            .into_iter()
            .find_map(|(width, height, notes)| self.one_page((width, height), notes));
        single.or_else(|| {
            ways.into_iter()
                .filter_map(|(width, height, _)| self.tiles((width, height)))
                .min_by_key(|tiling| tiling.columns * tiling.rows)
        })
    }

    fn one_page(&self, page: (f64, f64), notes: f64) -> Option<Tiling> {
        let window = window(page, notes);
        let fits =
            self.content.width() <= window.width() && self.content.height() <= window.height();
        let cell = (window.width(), window.height());
        fits.then(|| self.grid(page, window, cell, (1, 1)))
    }

    fn tiles(&self, page: (f64, f64)) -> Option<Tiling> {
        let window = window(page, 0.0);
        let cell = (window.width() - OVERLAP, window.height() - OVERLAP);
        let (columns, rows) = self.cells(cell);
        let few = columns * rows <= f64::from(MOST_TILES);
        few.then(|| self.grid(page, window, cell, (columns as u32, rows as u32)))
    }

    /// How many cells of a size the content takes along and up.
    fn cells(&self, cell: (f64, f64)) -> (f64, f64) {
        let count = |length: f64, cell: f64| (length / cell).ceil().max(1.0);
        let content = &self.content;
        (
            count(content.width(), cell.0),
            count(content.height(), cell.1),
        )
    }

    /// How many tiles it would take, however many they are.
    pub(super) fn count(&self) -> f64 {
        let Paper { width, height, .. } = *self.paper;
        let ways = [(width, height), (height, width)].map(|page| {
            let window = window(page, 0.0);
            let (columns, rows) = self.cells((window.width() - OVERLAP, window.height() - OVERLAP));
            columns * rows
        });
        ways[0].min(ways[1])
    }

    /// The smallest paper of the same series on which it takes few enough tiles.
    pub(super) fn larger_paper(&self) -> Option<&'static Paper> {
        let series = |it: &Paper| it.name.trim_end_matches(|c: char| c.is_ascii_digit()).len();
        let is_iso = |it: &Paper| series(it) == 1;
        let is_usual = |it: &&Paper| is_iso(it) == is_iso(self.paper) && !it.name.starts_with('B');
        let does = |it: &&Paper| {
            let room = Room { paper: it, ..*self };
            room.count() <= f64::from(MOST_TILES)
        };
        let area = |it: &Paper| it.width * it.height;
        let papers = SIZES.iter().filter(is_usual).filter(does);
        papers.min_by(|a, b| area(a).total_cmp(&area(b)))
    }

    /// The content in the middle of the grid.
    fn grid(
        &self,
        page: (f64, f64),
        window: Bounds,
        cell: (f64, f64),
        count: (u32, u32),
    ) -> Tiling {
        let (columns, rows) = count;
        let half = Vector::new(cell.0 * f64::from(columns), cell.1 * f64::from(rows)) * 0.5;
        Tiling {
            page,
            window,
            columns,
            rows,
            cell,
            corner: self.content.centre() - half,
        }
    }
}

/// What is left of a page for the plate.
fn window((width, height): (f64, f64), notes: f64) -> Bounds {
    Bounds {
        min: Point::new(MARGIN + SIDE, MARGIN + FOOT + notes),
        max: Point::new(width - MARGIN, height - MARGIN),
    }
}

impl Tiling {
    /// Whether the plate is on one page, together with all words.
    #[must_use]
    pub fn is_one_page(&self) -> bool {
        // Tiles leave an overlap even if there is only one; a single page does not.
        self.columns * self.rows == 1 && self.cell.0 >= self.window.width()
    }

    /// Column and row of every tile, row by row from the lower left.
    pub fn tiles(&self) -> impl Iterator<Item = (u32, u32)> + use<> {
        let columns = self.columns;
        (0..self.rows).flat_map(move |row| (0..columns).map(move |column| (column, row)))
    }

    /// The number of a tile, from 1.
    #[must_use]
    pub fn number(&self, column: u32, row: u32) -> u32 {
        row * self.columns + column + 1
    }

    /// The cell of a tile on its page.
    #[must_use]
    pub fn cell_on_page(&self) -> Bounds {
        let (width, height) = self.cell;
        let min = self.window.centre() - Vector::new(width, height) * 0.5;
        Bounds {
            min,
            max: min + Vector::new(width, height),
        }
    }

    /// A corner of cells, in the plate's coordinates: the lower left one of the cell of that column
    /// and row.
    #[must_use]
    pub fn corner_of(&self, column: u32, row: u32) -> Point {
        self.corner
            + Vector::new(
                self.cell.0 * f64::from(column),
                self.cell.1 * f64::from(row),
            )
    }

    /// Where the plate's origin lies on a tile, mm from the lower left corner of the page.
    #[must_use]
    pub fn origin_on(&self, column: u32, row: u32) -> Vector {
        self.cell_on_page().min - self.corner_of(column, row)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::paper;

    fn tiling(paper: &str, width: f64, height: f64) -> Tiling {
        let room = Room {
            paper: paper::find(paper).expect("a size"),
            notes: (30.0, 25.0),
            content: Bounds {
                min: Point::new(-10.0, 5.0),
                max: Point::new(width - 10.0, height + 5.0),
            },
        };
        room.tiling().expect("few enough")
    }

    #[test]
    fn the_page_is_turned_where_that_saves_paper() {
        assert_eq!(tiling("A4", 20.0, 20.0).page, (210.0, 297.0));
        assert_eq!(tiling("A4", 250.0, 100.0).page, (297.0, 210.0));
        let long = tiling("A4", 510.0, 140.0);
        assert_eq!((long.page.0, long.columns * long.rows), (297.0, 2));
        assert!(!long.is_one_page());
    }

    #[test]
    fn tiles_cover_the_plate_and_meet_at_their_crosses() {
        for paper in ["A4", "Letter"] {
            let it = tiling(paper, 900.0, 640.0);
            let far = it.corner_of(it.columns, it.rows);
            assert!(it.corner.x <= -10.0 && it.corner.y <= 5.0);
            assert!(far.x >= 890.0 && far.y >= 645.0);
            // The cross between four tiles, on each of their pages.
            let cross = it.corner_of(1, 1);
            for (column, row) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
                let on_page = cross + it.origin_on(column, row);
                let inside = it.window.grown(-OVERLAP / 2.0 + 1e-9);
                assert!(inside.holds(Bounds::around([on_page])), "{on_page:?}");
            }
        }
    }

    #[test]
    fn a_plate_of_a_hundred_metres_is_no_template() {
        let room = Room {
            paper: paper::find("A4").expect("a size"),
            notes: (0.0, 0.0),
            content: Bounds {
                min: Point::ORIGIN,
                max: Point::new(1e5, 1e5),
            },
        };
        assert_eq!(room.tiling(), None);
    }
}
