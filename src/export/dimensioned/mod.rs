//! The drawing for whoever drills, bends and measures: sizes, call-outs, a table and a title block.
//!
//! In: a plate, its job and table, and the paper. Out: a picture as large as the paper. Sizes are
//! nominal, in mm and inches; lines follow ISO 128. Guaranteed: the plate is drawn to the scale that
//! is stated; words stand clear of one another and within the frame, smaller where they would not.

mod callout;
mod page;
mod table;

use super::column::{Beside, Callout, Column, Scene};
use super::drafting::PAST;
use super::ids;
use super::marks;
use super::opening_group::{self, OpeningGroup};
use super::picture::{Chain, Dash, Ink, Picture, Tag};
use super::scaled::Scaled;
use crate::cut::Table;
use crate::geometry::{Bounds, Circle, Point, Vector};
use crate::plate::{Plate, Purpose};
use crate::quantity::format::{both_units, decimal};
use crate::trade::cautions::{Made, applying};
use crate::trade::paper::Paper;
use crate::trade::{material, thermal};
use callout::both;
use page::{DRAFT, DrawingPage, LETTERS, THICK, THIN};
use table::Row;

/// Times as large, as a rule can read them: those of ISO 5455 (from memory).
const SCALES: [f64; 13] = [
    10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001,
];
/// Room beside the plate for the height, and below it for the width, mm.
const SIZES: f64 = 15.0;
/// Room for leaders between the plate and the column of call-outs, mm.
const LEADERS: f64 = 12.0;
/// Height of the lines of call-outs, mm.
const CALLOUT: [f64; 2] = [LETTERS, 2.0];

/// The dimensioned drawing of a plate. `job` is what the builder calls the job.
#[must_use]
pub fn dimensioned(plate: &Plate, job: &str, table: &Table, paper: &Paper) -> Picture {
    let groups = opening_group::groups(plate);
    let rows = table::rows(plate, &groups);
    let mut callouts: Vec<Callout> = groups.iter().map(|group| group.callout(plate)).collect();
    callouts.extend(callout::folds(plate));
    callouts.extend(callout::radii(plate));
    let layout = Layout::best(plate, paper, &rows, &callouts);
    let mut drawing = DimensionedDrawing {
        page: DrawingPage::new(title(plate), layout.page, rows.len()),
        scaled: layout.scaled(plate),
        plate,
    };
    drawing.view(&groups);
    drawing.overall_sizes(layout.room);
    let scene = Scene {
        scaled: drawing.scaled,
        openings: Scene::boxed(&plate.face.openings),
    };
    let picture = &mut drawing.page.picture;
    layout.column().draw(picture, &callouts, &scene);
    drawing
        .page
        .table(&rows, &plate.datum().says, table::left_out);
    let cells = cells(plate, job, table, layout.factor);
    drawing.page.title_block(&cells);
    drawing.page.picture
}

fn title(plate: &Plate) -> String {
    format!("{}, dimensioned drawing", plate.name)
}

/// Where things go on the page.
struct Layout {
    page: (f64, f64),
    /// What is left of the page beside title block and table.
    room: Bounds,
    /// Width of the column of call-outs at the right of the room, mm.
    column: f64,
    /// The plate is drawn this many times as large.
    factor: f64,
    /// Whether every row of the table has room.
    holds_table: bool,
}

impl Layout {
    /// The paper upright or turned, whichever has room for the whole table, and then whichever shows the plate
    /// larger; turned if it is the same.
    fn best(plate: &Plate, paper: &Paper, rows: &[Row], callouts: &[Callout]) -> Self {
        let upright = Self::on((paper.width, paper.height), plate, rows, callouts);
        let turned = Self::on((paper.height, paper.width), plate, rows, callouts);
        let is_better = match (upright.holds_table, turned.holds_table) {
            (true, false) => true,
            (false, true) => false,
            _ => upright.factor > turned.factor,
        };
        if is_better { upright } else { turned }
    }

    fn on(page: (f64, f64), plate: &Plate, rows: &[Row], callouts: &[Callout]) -> Self {
        let drawn = DrawingPage::new(title(plate), page, rows.len());
        let room = drawn.room();
        let most = room.width() * 0.45;
        let column = Column::width(callouts, CALLOUT, 1.0).min(most);
        let free = Vector::new(
            room.width() - column - SIZES - LEADERS - 2.0 * PAST,
            room.height() - SIZES - 2.0 * PAST,
        );
        let size = plate.face.outside.bounds();
        let fits =
            |factor: &f64| size.width() * factor <= free.x && size.height() * factor <= free.y;
        let smallest = (free.x / size.width()).min(free.y / size.height());
        let factor = SCALES.into_iter().find(fits).unwrap_or(smallest);
        Self {
            page,
            room,
            column,
            factor,
            holds_table: drawn.holds(rows.len()),
        }
    }

    /// The plate in the middle of what the column leaves.
    fn scaled(&self, plate: &Plate) -> Scaled {
        let free = Bounds {
            min: self.room.min + Vector::new(SIZES, SIZES),
            max: self.room.max - Vector::new(self.column + LEADERS, 0.0),
        };
        let middle = plate.face.outside.bounds().centre() - Point::ORIGIN;
        Scaled {
            factor: self.factor,
            shift: free.centre() - Point::ORIGIN - middle * self.factor,
        }
    }

    fn column(&self) -> Column {
        Column {
            beside: Beside::Right,
            draft: DRAFT,
            letters: CALLOUT,
            left: self.room.max.x - self.column,
            width: self.column,
            bottom: self.room.min.y,
            top: self.room.max.y,
        }
    }
}

/// A drawing in the making.
struct DimensionedDrawing<'a> {
    page: DrawingPage,
    scaled: Scaled,
    plate: &'a Plate,
}

impl DimensionedDrawing<'_> {
    fn view(&mut self, groups: &[OpeningGroup]) {
        let face = &self.plate.face;
        let edges = face.contours();
        let edges: Vec<Chain> = edges.map(|edge| self.scaled.contour(edge)).collect();
        let pen = DRAFT.pen(THICK, Ink::Edge, Dash::Solid);
        let plate = self.plate;
        let tag = Tag::new("plate", plate.title()).id(ids::plate(&plate.name));
        self.page.picture.grouped(tag, |picture| {
            let mut edges = edges.into_iter();
            picture.draw(edges.by_ref().take(1).collect(), None, Some(pen));
            for (index, (edge, opening)) in edges.zip(&plate.openings).enumerate() {
                let tag = Tag::new("opening", opening.name.as_str());
                picture.grouped(tag.id(ids::opening(&plate.name, index)), |picture| {
                    picture.draw(vec![edge], None, Some(pen));
                });
            }
        });
        self.centre_lines(groups);
        for bend in &self.plate.bends {
            let (from, to) = (self.scaled.point(bend.from), self.scaled.point(bend.to));
            let pen = DRAFT.pen(THIN, Ink::Mark, Dash::Dashed);
            let tag = Tag::new("fold", bend.label());
            let picture = &mut self.page.picture;
            picture.grouped(tag, |picture| picture.stroke(Chain::line(from, to), pen));
        }
        for mark in &self.plate.marks {
            let pen = DRAFT.pen(THIN, Ink::Mark, Dash::Solid);
            self.page
                .picture
                .grouped(Tag::new("mark", "mark"), |picture| {
                    marks::draw(picture, mark, self.scaled, pen, 1.5);
                });
        }
        let mut datum = self.plate.datum();
        datum.at = self.scaled.point(datum.at);
        DRAFT.datum(&mut self.page.picture, &datum);
    }

    fn centre_lines(&mut self, groups: &[OpeningGroup]) {
        let plate = self.plate;
        let openings = plate.openings.iter().enumerate();
        let fitting = openings.filter(|(_, opening)| opening.purpose != Purpose::Window);
        let around = fitting.map(|(index, opening)| {
            let size = plate.face.openings[index].bounds();
            opening.circle.unwrap_or(Circle {
                centre: plate.middle_of(index),
                radius: size.width().max(size.height()) / 2.0,
            })
        });
        let outside = self.plate.face.outside.as_circle();
        let circles: Vec<Circle> = outside
            .into_iter()
            .chain(around)
            .map(|it| self.scaled.circle(it))
            .collect();
        let pitches = groups.iter().filter_map(OpeningGroup::bolt_circle);
        let pitches: Vec<Circle> = pitches.map(|it| self.scaled.circle(it)).collect();
        DRAFT.centre_lines(&mut self.page.picture, &circles, &pitches);
    }

    /// Width below and height to the left, the width as a diameter if the outside is round.
    fn overall_sizes(&mut self, room: Bounds) {
        let outside = &self.plate.face.outside;
        let size = outside.bounds();
        let around = Bounds {
            min: self.scaled.point(size.min),
            max: self.scaled.point(size.max),
        };
        let sign = outside.as_circle().map_or("", |_| "⌀");
        let words = [format!("{sign}{}", both(size.width())), both(size.height())];
        DRAFT.overall_sizes(&mut self.page.picture, around, words, room);
    }
}

/// The cells of the title block, row by row, each with its share of the width.
fn cells<'a>(
    plate: &Plate,
    job: &str,
    table: &Table,
    factor: f64,
) -> Vec<Vec<(f64, (&'a str, String))>> {
    vec![
        vec![
            (0.7, ("part", plate.name.clone())),
            (0.3, ("scale", scale(factor))),
        ],
        vec![
            (0.7, ("job", job.to_owned())),
            (0.3, ("quantity", quantity(plate))),
        ],
        vec![
            (0.36, ("material", plate.material.clone())),
            (0.3, ("thickness", both_units(plate.thickness))),
            (0.34, ("mass of one", mass(plate))),
        ],
        vec![
            (0.66, ("general tolerance", tolerance(plate, table))),
            (0.34, ("sizes", "nominal, mm (inches)".to_owned())),
        ],
        vec![(1.0, ("cautions", cautions(plate)))],
    ]
}

fn quantity(plate: &Plate) -> String {
    let hand = plate.hand.word();
    let hand = hand.map_or_else(String::new, |it| format!(", {it}"));
    format!("{}{hand}", plate.quantity)
}

fn scale(factor: f64) -> String {
    if factor >= 1.0 {
        format!("{}:1", decimal(factor, 2))
    } else {
        format!("1:{}", decimal(1.0 / factor, 2))
    }
}

fn mass(plate: &Plate) -> String {
    match material::find(&plate.material) {
        Ok(found) => {
            let mass = found.mass(plate.net_area(), plate.thickness);
            format!(
                "{} kg at {} kg/m3",
                decimal(mass, 2),
                decimal(found.density, 0)
            )
        }
        Err(_) => "density not known".to_owned(),
    }
}

/// What a cut edge may be off at the largest size of the plate.
fn tolerance(plate: &Plate, table: &Table) -> String {
    let size = plate.face.outside.bounds();
    let class = if table.process.edges_need_drilling() {
        2
    } else {
        1
    };
    match thermal::deviation(plate.thickness, size.width().max(size.height()), class) {
        Ok(off) => format!("cut edges ISO 9013 class {class}: ±{} overall", both(off)),
        Err(_) => "as agreed; ISO 9013 ends below this size".to_owned(),
    }
}

/// The topics; their sentences are too long for a drawing.
fn cautions(plate: &Plate) -> String {
    let applying = applying(plate.topics(), &[Made::CutFile]);
    let topics: Vec<&str> = applying.iter().map(|it| it.topic).collect();
    format!("{}: platewright check says each in full", topics.join(", "))
}
