//! The labelled sketch: the plates of a part with its dimensions where they are measured, each with its
//! name and value, and what each of them is.
//!
//! In: a [`Sketch`]. Out: a picture as wide as a page of A4, or the view of one plate. Not to scale.
//! Guaranteed: words stand beside the view in columns of their own, on no line and on no other word.

mod list;
mod view;

use super::pdf::{PdfPage, PdfView};
use super::picture::{Anchor, Dash, Ink, Picture};
use super::{Document, Drafting};
use crate::finding::Finding;
use crate::geometry::{Bounds, Point, Vector};
use crate::plate::Plate;
use crate::sketch::Sketch;
use crate::trade::paper::Paper;

/// Lines and letters: the page is in true size.
const DRAFT: Drafting = Drafting {
    unit: 1.0,
    thin: 0.18,
    letters: 2.4,
};
/// Width of the page, mm.
const WIDTH: f64 = 210.0;
/// From the edge of the page to what is on it, mm.
const MARGIN: f64 = 8.0;
/// Between two plates, mm.
const BETWEEN: f64 = 8.0;
/// Heights of the title and of the name of a plate, mm.
const TITLE: f64 = 4.0;
const NAME: f64 = 3.0;

/// A labelled sketch: one picture, and where it may be parted into pages.
#[derive(Debug, Clone, PartialEq)]
pub struct LabelledSketch {
    /// All of it, y up from the foot.
    pub picture: Picture,
    /// Heights of the upper ends of what belongs together, from the top down, and of the foot.
    breaks: Vec<f64>,
}

/// The labelled sketch of a part: every plate, and the list of its dimensions.
#[must_use]
pub fn labelled(sketch: &Sketch) -> LabelledSketch {
    let title = format!("{}: its dimensions, not to scale", sketch.title);
    let mut picture = Picture::new(title.clone());
    let mut y = -MARGIN - TITLE;
    let words = DRAFT.words(Point::new(MARGIN, y), Anchor::Start, TITLE, title);
    picture.write(words.fitted(WIDTH - 2.0 * MARGIN));
    let mut breaks = vec![0.0];
    for index in 0..sketch.plates.len() {
        let Some(block) = view::view(sketch, index) else {
            continue;
        };
        let around = block.frame;
        y -= BETWEEN;
        if breaks.len() > 1 || breaks[0] < y {
            breaks.push(y + BETWEEN / 2.0);
        }
        let down = Vector::new(0.0, y - around.max.y);
        picture.take_in(&block, down);
        y -= around.height();
    }
    for block in list::blocks(sketch) {
        y -= BETWEEN / 2.0;
        breaks.push(y);
        let down = Vector::new(0.0, y);
        picture.take_in(&block, down);
        y -= block.frame.height();
    }
    y -= MARGIN;
    breaks.push(y);
    picture.frame = Bounds {
        min: Point::new(0.0, y),
        max: Point::new(WIDTH, 0.0),
    };
    LabelledSketch { picture, breaks }
}

/// A plate as it is cut in a job, with the part's dimensions where they are measured on it, its datum and the
/// numbers of what is found of it; `None` where nothing is read off it.
#[must_use]
pub fn labelled_plate(sketch: &Sketch, plate: &Plate, findings: &[Finding]) -> Option<Picture> {
    let is_it = |it: &Plate| it.face == plate.face && it.hand == plate.hand;
    let index = sketch.plates.iter().position(is_it)?;
    view::view_of_cut(sketch, index, plate, findings)
}

impl LabelledSketch {
    /// The same on pages of a paper, as many as it takes.
    #[must_use]
    pub fn document(&self, paper: &Paper) -> Document {
        let mut pages = Vec::new();
        let mut top = self.breaks[0];
        let mut rest = self.breaks[1..].iter().copied().peekable();
        while let Some(mut foot) = rest.next() {
            while let Some(next) = rest.next_if(|next| top - next <= paper.height) {
                foot = next;
            }
            pages.push(self.page(top, foot, paper));
            top = foot;
        }
        Document {
            title: self.picture.title.clone(),
            pages,
        }
    }

    /// The page of a stretch; taller than the paper where one thing is.
    fn page(&self, top: f64, foot: f64, paper: &Paper) -> PdfPage {
        let height = paper.height.max(top - foot);
        let left = (paper.width - WIDTH) / 2.0;
        PdfPage {
            width: paper.width,
            height,
            views: vec![PdfView {
                picture: self.picture.clone(),
                origin: Vector::new(left, height - top),
                window: Bounds {
                    min: Point::new(0.0, height - (top - foot)),
                    max: Point::new(paper.width, height),
                },
            }],
        }
    }
}

/// What the name of a plate is below the name of its part.
fn name_of<'a>(sketch: &'a Sketch, plate: &'a Plate) -> &'a str {
    if sketch.plates.len() > 1 {
        plate.name.as_str()
    } else {
        sketch.title.as_str()
    }
}

/// The pens of edges, and of what is scribed or folded.
const EDGE: (f64, Ink, Dash) = (0.4, Ink::Edge, Dash::Solid);
const MARK: (f64, Ink, Dash) = (0.25, Ink::Mark, Dash::Solid);
