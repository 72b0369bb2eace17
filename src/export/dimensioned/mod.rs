//! The drawing for whoever drills, bends and measures: sizes, call-outs, a table and a title block.
//!
//! In: a plate, its job and table, and the paper. Out: a picture as large as the paper. Sizes are
//! nominal, in mm and inches; lines follow ISO 128. Guaranteed: the plate is drawn to the scale that
//! is stated; words stand clear of one another and within the frame, smaller where they would not.

mod callout;
mod corner;
mod page;
mod table;

use super::column::{Beside, Callout, Column, Scene};
use super::drafting::{Crossed, OVERALL, PAST};
use super::ids;
use super::marks;
use super::opening_group::{self, OpeningGroup};
use super::picture::{Anchor, Chain, Dash, Ink, Picture, Tag};
use super::scaled::Scaled;
use super::shown;
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
/// A plate so many times as long as it is wide may be turned.
const NARROW: f64 = 2.5;
/// What a turned view says, and the room for it, mm.
const IS_TURNED: &str = "view turned 90° counter-clockwise: x runs up the page, y to the left";
const TURNED: f64 = 6.0;
/// How far beyond the plate other things are shown, mm: short of the sizes.
const SHOWN: f64 = 3.0;
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
    callouts.extend(callout::sizes(plate));
    callouts.extend(corner::corners(plate));
    let layout = Layout::best(plate, paper, &rows, &callouts);
    let mut drawing = DimensionedDrawing {
        page: DrawingPage::new(title(plate), layout.page, rows.len()),
        scaled: layout.scaled(plate),
        plate,
    };
    drawing.view(&groups);
    let scene = Scene {
        scaled: drawing.scaled,
        openings: Scene::boxed(&plate.face.openings),
        lines: plate.bends.iter().map(|it| (it.from, it.to)).collect(),
    };
    let picture = &mut drawing.page.picture;
    layout.column().draw(picture, &callouts, &scene);
    drawing.overall_sizes(layout.room);
    if layout.is_turned {
        drawing.says_turned(layout.room);
    }
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
    /// Whether the plate is turned a quarter counter-clockwise.
    is_turned: bool,
}

impl Layout {
    /// The paper turned or upright, whichever has room for the whole table, and then whichever shows the plate
    /// larger. A narrow plate is turned where that shows it larger still.
    fn best(plate: &Plate, paper: &Paper, rows: &[Row], callouts: &[Callout]) -> Self {
        let papers = [(paper.height, paper.width), (paper.width, paper.height)];
        let size = plate.face.outside.bounds();
        let share = size.width() / size.height();
        let turns: &[bool] = if share.max(1.0 / share) > NARROW {
            &[false, true]
        } else {
            &[false]
        };
        let ways = turns.iter().flat_map(|turn| papers.map(|it| (it, *turn)));
        let layouts = ways.map(|(page, turn)| Self::on(page, turn, plate, rows, callouts));
        let better = |best: Self, other: Self| {
            let key = |it: &Self| (it.holds_table, it.factor);
            if key(&other) > key(&best) {
                other
            } else {
                best
            }
        };
        // There are two papers at least.
        layouts
            .reduce(better)
            .unwrap_or_else(|| Self::on((paper.width, paper.height), false, plate, rows, callouts))
    }

    fn on(
        page: (f64, f64),
        is_turned: bool,
        plate: &Plate,
        rows: &[Row],
        callouts: &[Callout],
    ) -> Self {
        let drawn = DrawingPage::new(title(plate), page, rows.len());
        let mut room = drawn.room();
        if is_turned {
            room.max.y -= TURNED;
        }
        let most = room.width() * 0.45;
        let column = Column::width(callouts, CALLOUT, 1.0).min(most);
        let free = Vector::new(
            room.width() - column - SIZES - LEADERS - 2.0 * PAST,
            room.height() - SIZES - 2.0 * PAST,
        );
        let view = Scaled {
            is_turned,
            ..Scaled::TRUE
        };
        let size = view.bounds(plate.face.outside.bounds());
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
            is_turned,
        }
    }

    /// The plate in the middle of what the column leaves.
    fn scaled(&self, plate: &Plate) -> Scaled {
        let free = Bounds {
            min: self.room.min + Vector::new(SIZES, SIZES),
            max: self.room.max - Vector::new(self.column + LEADERS, 0.0),
        };
        let about_origin = Scaled {
            is_turned: self.is_turned,
            ..Scaled::upright(self.factor, Vector::new(0.0, 0.0))
        };
        let middle = about_origin.point(plate.face.outside.bounds().centre());
        Scaled {
            shift: free.centre() - middle,
            ..about_origin
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
            let ends = [bend.from, bend.to].map(|it| self.scaled.point(it));
            let pen = DRAFT.pen(THIN, Ink::Mark, Dash::Dashed);
            DRAFT.fold(&mut self.page.picture, bend.label(), ends, pen);
        }
        for mark in &self.plate.marks {
            let pen = DRAFT.pen(THIN, Ink::Mark, Dash::Solid);
            self.page
                .picture
                .grouped(Tag::new("mark", "mark"), |picture| {
                    marks::draw(picture, mark, self.scaled, pen, 1.5);
                });
        }
        let pen = shown::pen(DRAFT.pen(THIN, Ink::Mark, Dash::Solid));
        let around = self.scaled.bounds(self.plate.face.outside.bounds());
        let around = (around.grown(SHOWN), 1.0);
        shown::draw(&mut self.page.picture, self.plate, self.scaled, around, pen);
        for size in &self.plate.beside.sizes {
            let ends = [size.from, size.to].map(|it| self.scaled.point(it));
            let tag = Tag::new("size", size.says.as_str());
            let picture = &mut self.page.picture;
            picture.grouped(tag, |picture| DRAFT.between(picture, ends));
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
            let size = self.scaled.bounds(plate.face.openings[index].bounds());
            opening.circle.map_or_else(
                || Crossed {
                    middle: self.scaled.point(plate.middle_of(index)),
                    reach: Vector::new(size.width(), size.height()) * 0.5,
                },
                |it| self.scaled.circle(it).into(),
            )
        });
        let outside = self.plate.face.outside.as_circle();
        let outside = outside.map(|it| self.scaled.circle(it).into());
        let crossed: Vec<Crossed> = outside.into_iter().chain(around).collect();
        // A few holes may lie on a circle that is far larger than the plate: it would leave the page.
        let size = plate.face.outside.bounds();
        let around = size.grown(size.width().min(size.height()) / 10.0);
        let near = |it: &Circle| around.holds(Bounds::around([it.centre]).grown(it.radius));
        let pitches = groups.iter().filter_map(OpeningGroup::bolt_circle);
        let pitches = pitches.filter(near);
        let pitches: Vec<Circle> = pitches.map(|it| self.scaled.circle(it)).collect();
        DRAFT.centre_lines(&mut self.page.picture, &crossed, &pitches);
    }

    /// Width below and height to the left, or the other way round if the view is turned; the width as a diameter
    /// if the outside is round.
    fn overall_sizes(&mut self, room: Bounds) {
        let outside = &self.plate.face.outside;
        let size = outside.bounds();
        let around = self.scaled.bounds(size);
        let sign = outside.as_circle().map_or("", |_| "⌀");
        let words = [format!("{sign}{}", both(size.width())), both(size.height())];
        let [width, height] = words;
        let mut sizes = [(OVERALL[0], width), (OVERALL[1], height)];
        if self.scaled.is_turned {
            sizes.reverse();
        }
        DRAFT.overall_sizes(&mut self.page.picture, around, sizes, room);
    }

    /// That the view is turned, in the upper left corner.
    fn says_turned(&mut self, room: Bounds) {
        let at = Point::new(room.min.x, room.max.y + TURNED - LETTERS);
        let words = DRAFT.words(at, Anchor::Start, LETTERS, IS_TURNED.to_owned());
        self.page.picture.write(words);
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
    format!(
        "{}: platewright check --all says each in full",
        topics.join(", ")
    )
}
