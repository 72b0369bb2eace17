//! What is on every page beside the plate: scale bars in both ways, words, crosses to join by, and
//! a key map.

use super::Shows;
use super::tiling::{FOOT, MARGIN, OVERLAP, SIDE, Tiling};
use crate::export::drafting::Drafting;
use crate::export::picture::{Anchor, Chain, Dash, Ink, Picture, Words};
use crate::geometry::{Bounds, Point, Vector};
use crate::lettering;
use crate::plate::Plate;
use crate::quantity::format::both_units;
use crate::trade::paper::Paper;
use crate::trade::unit::INCH;

/// Thickness of bars, crosses, bolt circles and folds, mm.
pub(super) const FINE: f64 = 0.18;
/// Height of ordinary letters, mm.
const LETTERS: f64 = 2.2;
/// Pens and letters of a template, which is in true size.
pub(super) const DRAFT: Drafting = Drafting {
    unit: 1.0,
    thin: FINE,
    letters: LETTERS,
};
/// Height of letters on bars, mm.
const BAR_LETTERS: f64 = 2.0;
/// Height of the letters of notes, mm, and from one line of them to the next.
const NOTE: (f64, f64) = (1.8, 3.0);
/// Arm of a cross to join by, mm: short of the margin that a printer leaves.
const ARM: f64 = 5.0;
/// How far along a joint its words stand from the cross, mm.
const ASIDE: f64 = 8.0;
/// Side of the square that a key map fits in, mm.
const KEY: f64 = 22.0;
/// What is said on every page.
const PRINT: &str =
    "Print at 100 %, do not fit. Measure the bars, both ways, before you trust the sheet.";

/// What the pages of one template have in common.
pub(super) struct PlateShown<'a> {
    /// The plate.
    pub plate: &'a Plate,
    /// What is shown of it.
    pub shows: Shows,
}

/// One tile of a tiling.
pub(super) struct Tile<'a> {
    /// The tiling.
    pub tiling: &'a Tiling,
    /// Its column, from 0.
    pub column: u32,
    /// Its row, from 0.
    pub row: u32,
}

/// Everything on a tile but the plate, in the coordinates of the page.
pub(super) fn furniture(sheet: &PlateShown, tile: &Tile, notes: &[String]) -> Picture {
    let mut page = Furniture::new(sheet.plate.name.clone(), tile.tiling.page);
    page.bars();
    page.words_at_the_foot(sheet, tile);
    page.notes(
        notes,
        Point::new(MARGIN + SIDE, MARGIN + FOOT),
        page.note_width(),
    );
    if !tile.tiling.is_one_page() {
        page.joints(tile);
        let corner = Point::new(tile.tiling.page.0 - MARGIN - KEY, MARGIN + 3.5);
        page.key_map(tile.tiling, Some((tile.column, tile.row)), corner, KEY);
    }
    page.picture
}

/// Height that notes take at the foot of the plate's page, upright and turned, mm.
pub(super) fn notes_height(notes: &[String], paper: &Paper) -> (f64, f64) {
    let height = |width: f64| {
        let lines = lines(notes, width - 2.0 * MARGIN - SIDE);
        let rows = lines.len() as f64;
        if lines.is_empty() {
            0.0
        } else {
            rows * NOTE.1 + 2.0
        }
    };
    (height(paper.width), height(paper.height))
}

/// A page in the making.
pub(super) struct Furniture {
    /// What is drawn so far.
    pub picture: Picture,
    page: (f64, f64),
}

impl Furniture {
    /// An empty page of a width and height in mm.
    pub(super) fn new(title: String, page: (f64, f64)) -> Self {
        let mut picture = Picture::new(title);
        picture.frame = Bounds {
            min: Point::ORIGIN,
            max: Point::new(page.0, page.1),
        };
        Self { picture, page }
    }

    /// Width of the page between the side strip and the margin, mm.
    pub(super) fn note_width(&self) -> f64 {
        self.page.0 - 2.0 * MARGIN - SIDE
    }

    fn line(&mut self, from: Point, to: Point) {
        let pen = DRAFT.pen(FINE, Ink::Edge, Dash::Solid);
        self.picture.stroke(Chain::line(from, to), pen);
    }

    /// Words that are made smaller if they are longer than `most` mm.
    pub(super) fn write(&mut self, at: Point, height: f64, most: f64, text: &str) {
        self.turned(at, height, most, 0.0, text);
    }

    fn turned(&mut self, at: Point, height: f64, most: f64, turn: f64, text: &str) {
        let words = Words {
            turn,
            ..DRAFT.words(at, Anchor::Start, height, text.to_owned())
        };
        self.picture.write(words.fitted(most));
    }

    /// Bars of 100 mm and 4 in, along the foot and up the side.
    pub(super) fn bars(&mut self) {
        let (across, up) = (Vector::new(1.0, 0.0), Vector::new(0.0, 1.0));
        let foot = Point::new(MARGIN + SIDE, MARGIN);
        self.bar(foot + up * 19.5, across, -up, 10.0, "100 mm");
        self.bar(foot + up * 11.0, across, -up, INCH / 2.0, "4 in");
        let side = Point::new(MARGIN, MARGIN + FOOT);
        self.bar(side + across * 2.8, up, across, 10.0, "100 mm");
        self.bar(side + across * 8.6, up, across, INCH / 2.0, "4 in");
    }

    /// A bar along `way` with a tick at every `step` to one side, and words on the other.
    fn bar(&mut self, start: Point, way: Vector, ticks: Vector, step: f64, words: &str) {
        let count = if step < INCH / 2.0 { 10 } else { 8 };
        self.line(start, start + way * (step * f64::from(count)));
        for k in 0..=count {
            let long = if k == 0 || k == count { 2.4 } else { 1.2 };
            let at = start + way * (step * f64::from(k));
            self.line(at, at + ticks * long);
        }
        let middle = start + way * 44.0 - ticks * 0.7;
        let turn = way.angle();
        self.turned(middle, BAR_LETTERS, 40.0, turn, words);
    }

    fn words_at_the_foot(&mut self, sheet: &PlateShown, tile: &Tile) {
        let plate = sheet.plate;
        let left = MARGIN + SIDE + 108.0;
        let key = if tile.tiling.is_one_page() {
            0.0
        } else {
            KEY + 3.0
        };
        let most = self.page.0 - MARGIN - key - left;
        let at = |up: f64| Point::new(left, MARGIN + up);
        self.write(at(20.0), 3.2, most, &plate.title());
        let metal = format!("{} {}", plate.material, both_units(plate.thickness));
        self.write(at(15.5), LETTERS, most, &metal);
        let shows = match sheet.shows {
            Shows::Plate => "true size, face up; the ring is x 0, y 0",
            Shows::HoleCentres => "hole centres only: lay by the dashed edges, punch the crosses",
        };
        self.write(at(11.5), LETTERS, most, shows);
        if !tile.tiling.is_one_page() {
            let tiling = tile.tiling;
            let number = tiling.number(tile.column, tile.row);
            let words = format!("tile {number} of {}", tiling.columns * tiling.rows);
            self.write(at(6.5), 3.2, most, &words);
        }
        let foot = Point::new(MARGIN + SIDE, MARGIN + 0.8);
        self.write(foot, LETTERS, self.note_width() - key, PRINT);
    }

    /// Lines of notes upward from a lower left corner; gives their height, mm.
    pub(super) fn notes(&mut self, notes: &[String], corner: Point, width: f64) -> f64 {
        let lines = lines(notes, width);
        let count = lines.len();
        for (index, line) in lines.into_iter().enumerate() {
            let up = NOTE.1 * (count - index) as f64 - NOTE.0;
            self.write(corner + Vector::new(0.0, up), NOTE.0, width, &line);
        }
        NOTE.1 * count as f64
    }

    /// Crosses at the corners of the cell, its sides to cut along, and which tile comes where.
    fn joints(&mut self, tile: &Tile) {
        let tiling = tile.tiling;
        let Bounds { min, max } = tiling.cell_on_page();
        for x in [min.x, max.x] {
            for y in [min.y, max.y] {
                let at = Point::new(x, y);
                for arm in [Vector::new(ARM, 0.0), Vector::new(0.0, ARM)] {
                    self.line(at - arm, at + arm);
                }
            }
        }
        let beyond = OVERLAP / 2.0 - 1.0 - LETTERS;
        let (column, row) = (tile.column, tile.row);
        let sides = [
            (
                column > 0,
                (-1, 0),
                Point::new(min.x - beyond, min.y + ASIDE),
                1.0,
            ),
            (
                column + 1 < tiling.columns,
                (1, 0),
                Point::new(max.x + beyond + LETTERS, min.y + ASIDE),
                1.0,
            ),
            (
                row > 0,
                (0, -1),
                Point::new(min.x + ASIDE, min.y - beyond - LETTERS),
                0.0,
            ),
            (
                row + 1 < tiling.rows,
                (0, 1),
                Point::new(min.x + ASIDE, max.y + beyond),
                0.0,
            ),
        ];
        for (is_joint, (dx, dy), at, quarters) in sides {
            if !is_joint {
                continue;
            }
            let number = tiling.number(
                column.saturating_add_signed(dx),
                row.saturating_add_signed(dy),
            );
            let words = format!("joins tile {number}");
            self.turned(
                at,
                LETTERS,
                40.0,
                quarters * std::f64::consts::FRAC_PI_2,
                &words,
            );
        }
        let cut = DRAFT.pen(FINE, Ink::Aid, Dash::Dotted);
        let corners = [
            (row > 0, min, Point::new(max.x, min.y)),
            (row + 1 < tiling.rows, Point::new(min.x, max.y), max),
            (column > 0, min, Point::new(min.x, max.y)),
            (column + 1 < tiling.columns, Point::new(max.x, min.y), max),
        ];
        for (is_joint, from, to) in corners {
            if is_joint {
                let along = (to - from).unit().unwrap_or_default() * (ARM + 1.0);
                self.picture
                    .stroke(Chain::line(from + along, to - along), cut);
            }
        }
    }

    /// The grid with the tiles' numbers, in a square of `side` mm; one tile may be marked. Gives
    /// what a mm of the plate is on the map, mm.
    pub(super) fn key_map(
        &mut self,
        tiling: &Tiling,
        marked: Option<(u32, u32)>,
        corner: Point,
        side: f64,
    ) -> f64 {
        let (columns, rows) = (f64::from(tiling.columns), f64::from(tiling.rows));
        let scale = side / (tiling.cell.0 * columns).max(tiling.cell.1 * rows);
        let cell = (tiling.cell.0 * scale, tiling.cell.1 * scale);
        let height = (cell.1 * 0.45).min(cell.0 * 0.3);
        for (column, row) in tiling.tiles() {
            let at = corner + Vector::new(cell.0 * f64::from(column), cell.1 * f64::from(row));
            let is_marked = marked == Some((column, row));
            self.cell(at, cell, is_marked);
            let number = tiling.number(column, row).to_string();
            let foot = at + Vector::new(cell.0 / 2.0, (cell.1 - height) / 2.0);
            self.picture.write(Words {
                ink: if is_marked { Ink::Paper } else { Ink::Edge },
                ..DRAFT.words(foot, Anchor::Middle, height, number)
            });
        }
        scale
    }

    fn cell(&mut self, at: Point, (width, height): (f64, f64), is_marked: bool) {
        let far = at + Vector::new(width, height);
        let edge = Chain::polygon(&Bounds { min: at, max: far }.corners());
        let stroke = DRAFT.pen(FINE, Ink::Edge, Dash::Solid);
        let fill = is_marked.then_some(Ink::Edge);
        self.picture.draw(vec![edge], fill, Some(stroke));
    }
}

/// Notes broken into lines no longer than `width` mm.
fn lines(notes: &[String], width: f64) -> Vec<String> {
    let lines = notes.iter();
    lines
        .flat_map(|note| lettering::wrapped(note, " ", NOTE.0, width))
        .collect()
}
