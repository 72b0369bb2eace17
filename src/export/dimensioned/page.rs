//! The paper of a drawing: its frame, title block and table, and what is left for the view.

use super::table::Row;
use crate::export::drafting::Drafting;
use crate::export::picture::{Anchor, Chain, Dash, Ink, Picture};
use crate::geometry::{Bounds, Point, Vector};

/// From the edge of the paper to the frame, mm.
const FRAME: f64 = 8.0;
/// Width of the title block, mm.
const TITLE: f64 = 112.0;
/// Height of a row of the title block, mm, and how many there are.
const TITLE_ROW: (f64, u32) = (8.5, 5);
/// Height of a row of the table, mm.
const ROW: f64 = 3.9;
/// Height of the heading of the table, mm.
const HEADING: f64 = 10.0;
/// Pages wider than this, mm, have the table beside the title block, others above it.
const WIDE: f64 = 250.0;
/// Most of the height of the page that table and title block may take.
const SHARE: f64 = 0.65;
/// Heights of captions and of ordinary letters, mm.
pub(super) const SMALL: f64 = 1.8;
pub(super) const LETTERS: f64 = 2.3;
/// Widths of the columns of the table as shares, in their order.
const COLUMNS: [f64; 4] = [0.05, 0.24, 0.37, 0.34];

/// Thickness of lines, mm (ISO 128: thick is twice thin).
pub(super) const THICK: f64 = 0.5;
pub(super) const THIN: f64 = 0.18;
/// Pens and letters of a page, which is in true size.
pub(super) const DRAFT: Drafting = Drafting {
    unit: 1.0,
    thin: THIN,
    letters: LETTERS,
};

/// A page in the making.
pub(super) struct DrawingPage {
    /// What is drawn so far, mm from the lower left corner.
    pub(super) picture: Picture,
    /// Inside of the frame.
    frame: Bounds,
    /// Height of the table, mm.
    table: f64,
    /// How many rows the table has room for.
    rows: usize,
}

/// A value of the title block under its caption.
pub(super) type Cell<'a> = (&'a str, String);

impl DrawingPage {
    /// An empty page with room for a table of so many rows, or as many of them as fit.
    pub(super) fn new(title: String, (width, height): (f64, f64), rows: usize) -> Self {
        let mut picture = Picture::new(title);
        picture.frame = Bounds {
            min: Point::ORIGIN,
            max: Point::new(width, height),
        };
        let frame = picture.frame.grown(-FRAME);
        let title = TITLE_ROW.0 * f64::from(TITLE_ROW.1);
        let beneath = if width > WIDE { 0.0 } else { title };
        let most = ((height * SHARE - beneath - HEADING) / ROW)
            .floor()
            .max(1.0);
        let rows = rows.min(most as usize);
        Self {
            picture,
            frame,
            table: HEADING + ROW * rows as f64,
            rows,
        }
    }

    /// Whether a table of so many rows is shown whole.
    pub(super) const fn holds(&self, rows: usize) -> bool {
        rows <= self.rows
    }

    /// What is left for the view, mm.
    pub(super) fn room(&self) -> Bounds {
        let title = TITLE_ROW.0 * f64::from(TITLE_ROW.1);
        let foot = if self.is_wide() {
            self.table.max(title)
        } else {
            self.table + title
        };
        Bounds {
            min: self.frame.min + Vector::new(2.0, foot + 2.0),
            max: self.frame.max + Vector::new(-2.0, -2.0),
        }
    }

    fn is_wide(&self) -> bool {
        self.picture.frame.width() > WIDE
    }

    /// Words, made smaller where they are longer than `most` mm.
    fn write(&mut self, at: Point, height: f64, most: f64, text: &str) {
        if !text.is_empty() {
            let words = DRAFT.words(at, Anchor::Start, height, text.to_owned());
            self.picture.write(words.fitted(most));
        }
    }

    fn rectangle(&mut self, around: Bounds, width: f64) {
        let pen = DRAFT.pen(width, Ink::Edge, Dash::Solid);
        let edge = Chain::polygon(&around.corners());
        self.picture.draw(vec![edge], None, Some(pen));
    }

    /// The frame, and the title block in its lower right corner: rows of cells from the top, each
    /// cell with its share of the width.
    pub(super) fn title_block(&mut self, rows: &[Vec<(f64, Cell)>]) {
        self.rectangle(self.frame, THICK);
        let width = if self.is_wide() {
            TITLE
        } else {
            self.frame.width()
        };
        let left = self.frame.max.x - width;
        let mut top = self.frame.min.y + TITLE_ROW.0 * rows.len() as f64;
        for row in rows {
            let mut x = left;
            for (share, (caption, value)) in row {
                let size = Vector::new(share * width, TITLE_ROW.0);
                let min = Point::new(x, top - TITLE_ROW.0);
                self.rectangle(
                    Bounds {
                        min,
                        max: min + size,
                    },
                    THIN,
                );
                let most = size.x - 3.0;
                let caption_at = min + Vector::new(1.5, TITLE_ROW.0 - SMALL - 1.0);
                self.write(caption_at, SMALL, most, caption);
                self.write(min + Vector::new(1.5, 1.5), LETTERS, most, value);
                x += size.x;
            }
            top -= TITLE_ROW.0;
        }
    }

    /// The table: rows of which as many are shown as there is room for.
    pub(super) fn table(&mut self, rows: &[Row], datum: &str, left_out: fn(usize) -> Row) {
        let title = TITLE_ROW.0 * f64::from(TITLE_ROW.1);
        let (width, foot) = if self.is_wide() {
            (self.frame.width() - TITLE, 0.0)
        } else {
            (self.frame.width(), title)
        };
        let corner = self.frame.min + Vector::new(0.0, foot);
        let max = corner + Vector::new(width, self.table);
        self.rectangle(Bounds { min: corner, max }, THIN);
        let note =
            format!("Openings and folds; x and y from {datum}, angles from +x, counter-clockwise");
        let head = Point::new(corner.x + 1.5, max.y - SMALL - 1.2);
        self.write(head, SMALL, width - 3.0, &note);
        let mut shown = rows.to_vec();
        if rows.len() > self.rows {
            shown.truncate(self.rows.saturating_sub(1));
            shown.push(left_out(rows.len() - shown.len()));
        }
        let mut y = max.y - 2.0 * (SMALL + 1.2) - 2.0;
        self.row(corner.x, y, width, &["", "size", "place", "how it is made"]);
        let rule = Chain::line(Point::new(corner.x, y - 1.2), Point::new(max.x, y - 1.2));
        self.picture.stroke(rule, DRAFT.aid());
        y -= 0.6;
        for row in &shown {
            y -= ROW;
            self.row(
                corner.x,
                y,
                width,
                &[&row.tag, &row.size, &row.place, &row.made],
            );
        }
    }

    fn row(&mut self, left: f64, y: f64, width: f64, words: &[&str; 4]) {
        let mut x = left;
        for (text, share) in words.iter().zip(COLUMNS) {
            let most = share * width - 3.0;
            self.write(Point::new(x + 1.5, y), 2.0, most, text);
            x += share * width;
        }
    }
}
