//! A plate in true size on paper, to lay on the hub and look through the holes.
//!
//! In: a plate, the paper, and whether all of it or only hole centres are wanted. Out: a [`Template`]:
//! one page if the plate fits on one, else tiles to join by their crosses and a page that says how.
//! Guaranteed: every page carries bars of 100 mm and 4 in both ways, and every cross of a joint is on
//! all tiles that meet there.

mod cover;
mod furniture;
mod outline;
mod tiling;

pub use tiling::Tiling;

use super::pdf::{Document, PdfPage, PdfView};
use super::picture::Picture;
use crate::fault::Fault;
use crate::geometry::{Bounds, Point, Vector};
use crate::plate::Plate;
use crate::quantity::format::both_units;
use crate::trade::cautions::{self, Made};
use crate::trade::paper::Paper;
use furniture::{PlateShown, Tile};

/// What a template shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shows {
    /// Outlines, centres and bolt circles, for a plate to be made or checked.
    Plate,
    /// Hole centres to punch through the paper, and dashed edges to lay it by, for a plate that
    /// exists.
    HoleCentres,
}

/// Where the template of a plate lies in an output folder: the usual one in `paper/`, others in folders
/// below it, so that none takes the place of another.
#[must_use]
pub fn path(plate: &Plate, paper: &Paper, shows: Shows) -> String {
    let mut folder = "paper/".to_owned();
    if *paper != Paper::default() {
        folder += &format!("{}/", paper.name.to_lowercase());
    }
    if shows == Shows::HoleCentres {
        folder += "drill/";
    }
    format!("{folder}{}.pdf", plate.name)
}

/// A template, page by page.
#[derive(Debug, Clone, PartialEq)]
pub struct Template {
    /// The pages: the tiles row by row from the lower left, then a page of words if there is one.
    pub document: Document,
    /// How the plate is parted over the tiles.
    pub tiling: Tiling,
}

/// The template of a plate on paper; a fault if it takes more pages than anybody joins.
pub fn template(plate: &Plate, paper: &Paper, shows: Shows) -> Result<Template, Fault> {
    let picture = outline::outline(plate, shows);
    let notes = notes(plate);
    let sheet = PlateShown { plate, shows };
    let room = tiling::Room {
        paper,
        notes: furniture::notes_height(&notes, paper),
        content: outline::extent(&picture),
    };
    let tiling = room.tiling().ok_or_else(|| too_large(plate, &room))?;
    let mut pages: Vec<PdfPage> = tiling
        .tiles()
        .map(|(column, row)| {
            let tile = Tile {
                tiling: &tiling,
                column,
                row,
            };
            let words = if tiling.is_one_page() {
                &notes[..]
            } else {
                &[]
            };
            tile_page(&picture, furniture::furniture(&sheet, &tile, words), &tile)
        })
        .collect();
    if !tiling.is_one_page() {
        pages.push(PdfPage::of(cover::cover(&sheet, &tiling, &picture, &notes)));
    }
    let document = Document {
        title: format!("{} in true size", plate.name),
        pages,
    };
    Ok(Template { document, tiling })
}

/// The plate seen through the window of a tile, below what is on every page.
fn tile_page(plate: &Picture, furniture: Picture, tile: &Tile) -> PdfPage {
    let tiling = tile.tiling;
    let (width, height) = tiling.page;
    let whole = Bounds {
        min: Point::ORIGIN,
        max: Point::new(width, height),
    };
    PdfPage {
        width,
        height,
        views: vec![
            PdfView {
                picture: plate.clone(),
                origin: tiling.origin_on(tile.column, tile.row),
                window: tiling.window,
            },
            PdfView {
                picture: furniture,
                origin: Vector::default(),
                window: whole,
            },
        ],
    }
}

/// What is to be heeded of this plate and of every template.
fn notes(plate: &Plate) -> Vec<String> {
    let applying = cautions::applying(plate.topics(), &[Made::Template]).into_iter();
    let mut notes: Vec<String> = applying
        .map(|it| format!("{}: {}", it.topic, it.text))
        .collect();
    if let Some(first) = notes.first_mut() {
        first.insert_str(0, "CAUTIONS. ");
    }
    notes
}

fn too_large(plate: &Plate, room: &tiling::Room) -> Fault {
    let size = plate.face.outside.bounds();
    let message = format!(
        "{} ({} × {}) would take {} pages of {}, more than the {} that can be joined",
        plate.name,
        both_units(size.width()),
        both_units(size.height()),
        room.count(),
        room.paper.name,
        tiling::MOST_TILES,
    );
    let remedy = room.larger_paper().map_or_else(
        || "print it by its DXF on a plotter".to_owned(),
        |paper| format!("print it on larger paper, with `--paper {}`", paper.name),
    );
    Fault::refused(message).remedy(remedy)
}
