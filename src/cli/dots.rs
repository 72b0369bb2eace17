//! A coarse picture of a plate in dots of Braille, for a terminal.

use crate::geometry::{Bounds, Contour, Face, Point};

/// Most dots along the longer side.
const DOTS: f64 = 72.0;
/// Dots of a Braille cell across and down.
const CELL: (usize, usize) = (2, 4);
/// The first Braille character, with no dots.
const BLANK: u32 = 0x2800;

/// The outlines of a face as lines of text.
pub(super) fn dots(face: &Face) -> String {
    let bounds = face.outside.bounds();
    let scale = DOTS / bounds.width().max(bounds.height()).max(1.0);
    let mut grid = Grid::new(bounds, scale);
    grid.draw(&face.outside);
    face.openings.iter().for_each(|opening| grid.draw(opening));
    grid.text()
}

struct Grid {
    bounds: Bounds,
    scale: f64,
    columns: usize,
    cells: Vec<u32>,
}

impl Grid {
    fn new(bounds: Bounds, scale: f64) -> Self {
        let across = (bounds.width() * scale) as usize / CELL.0 + 1;
        let down = (bounds.height() * scale) as usize / CELL.1 + 1;
        Self {
            bounds,
            scale,
            columns: across,
            cells: vec![0; across * down],
        }
    }

    fn draw(&mut self, contour: &Contour) {
        for segment in contour.segments() {
            let steps = (segment.length() * self.scale * 2.0).ceil().max(1.0);
            for k in 0..=steps as u32 {
                self.dot(segment.point_at(f64::from(k) / steps));
            }
        }
    }

    fn dot(&mut self, p: Point) {
        let x = ((p.x - self.bounds.min.x) * self.scale) as usize;
        let y = ((self.bounds.max.y - p.y) * self.scale) as usize;
        let cell = y / CELL.1 * self.columns + x / CELL.0;
        // Dots 1 to 8 of a cell in the order of the Unicode block: three down left, three down
        // right, then the lowest two.
        let bit = match (x % CELL.0, y % CELL.1) {
            (0, 3) => 6,
            (1, 3) => 7,
            (column, row) => column * 3 + row,
        };
        if let Some(cell) = self.cells.get_mut(cell) {
            *cell |= 1 << bit;
        }
    }

    fn text(&self) -> String {
        self.cells
            .chunks(self.columns)
            .map(|row| {
                let line: String = row
                    .iter()
                    .filter_map(|dots| char::from_u32(BLANK + dots))
                    .collect();
                line.trim_end_matches('\u{2800}').to_owned() + "\n"
            })
            .collect()
    }
}
