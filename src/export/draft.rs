//! Drawings of plates and sheets for a table.
//!
//! In: a [`Plate`], or a [`CutSheet`] with the plates that lie on it. Out: the [`Drawing`] of its
//! file. Guaranteed: a plate drawing is net (nominal, without kerf or leads); in a sheet drawing for
//! the torch each cut path is one open chain that starts at its pierce, in a net one its closed
//! contour; both in cutting order, and what only marks the metal comes before what cuts it.

use super::{Drawing, Entity, Polyline};
use crate::cut::Reach;
use crate::geometry::{Bounds, Circle, Point, Pose, Region, Segment, Vector};
use crate::layer::Layer;
use crate::lettering;
use crate::plate::{Bend, Datum, Mark, Opening, Plate, Scribed};
use crate::quantity::format::millimetres;
use crate::sheet::{CutPlate, CutSheet};

/// The net drawing of a plate, its datum at the origin.
#[must_use]
pub fn plate_drawing(plate: &Plate) -> Drawing {
    let datum = plate.datum();
    let home = datum.pose();
    let face = plate.face.posed(&home);
    let mut drawing = Drawing::default();
    drawing.add_contour(Layer::Outside, &face.outside);
    for opening in &face.openings {
        drawing.add_contour(Layer::Inside, opening);
    }
    add_marks(&mut drawing, plate, &home);
    drawing.add(Layer::Note, datum_note(&datum, face.outside.bounds()));
    drawing
}

/// The drawing of a remnant, for the stock of a later job.
#[must_use]
pub fn remnant_drawing(outline: &Region) -> Drawing {
    let mut drawing = Drawing::default();
    for edge in outline.contours() {
        drawing.add(Layer::Sheet, Entity::Polyline(Polyline::closed(edge)));
    }
    drawing
}

/// What a sheet drawing shows of each cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SheetLines {
    /// What the torch runs: lead, kerf-compensated contour, overcut.
    #[default]
    Torch,
    /// The nominal contour alone, for a table or service that adds kerf and leads of its own.
    Net,
}

/// The drawing of a sheet. `plates` are those of the run, which the sheet's placements point into.
#[must_use]
pub fn sheet_drawing(sheet: &CutSheet, plates: &[CutPlate], lines: SheetLines) -> Drawing {
    let mut drawing = Drawing::default();
    for edge in sheet.outline.contours() {
        drawing.add(Layer::Sheet, Entity::Polyline(Polyline::closed(edge)));
    }
    for placement in &sheet.placements {
        let cut = &plates[placement.piece];
        for centre in cut.plate.openings.iter().filter_map(Opening::marked_centre) {
            let centre = placement.pose.point(centre);
            drawing.add(Layer::CentreMark, Entity::Point(centre));
        }
        add_marks(&mut drawing, &cut.plate, &placement.pose);
    }
    if lines == SheetLines::Torch {
        for (at, _) in sheet.plan.drilled_starts() {
            drawing.add(Layer::CentreMark, Entity::Point(at));
        }
    }
    for (_, path) in &sheet.plan.paths {
        match lines {
            SheetLines::Torch => {
                let chain = Polyline::open(&path.segments);
                drawing.add(path.layer, Entity::Polyline(chain));
            }
            SheetLines::Net if path.reach == Reach::AcrossSlug => {}
            SheetLines::Net => drawing.add_contour(path.layer, &path.nominal),
        }
    }
    if lines == SheetLines::Torch {
        for cut in &sheet.plan.scrap {
            let chain = Polyline::open(&cut.segments);
            drawing.add(Layer::Scrap, Entity::Polyline(chain));
        }
    }
    for placement in &sheet.placements {
        let plate = &plates[placement.piece].plate;
        let outside = plate.face.outside.posed(&placement.pose);
        drawing.add(Layer::Note, name_note(&plate.name, outside.bounds()));
    }
    drawing.add(Layer::Note, sheet_note(sheet, lines));
    drawing
}

/// Adds what is scribed, punched or folded on a plate.
fn add_marks(drawing: &mut Drawing, plate: &Plate, pose: &Pose) {
    for scribed in plate.strokes() {
        drawing.add(Layer::Scribe, scribed_entity(scribed, pose));
    }
    for mark in &plate.marks {
        if let Mark::Centre { at } = mark {
            drawing.add(Layer::CentreMark, Entity::Point(pose.point(*at)));
        }
    }
    for Bend { from, to, .. } in &plate.bends {
        let (from, to) = (pose.point(*from), pose.point(*to));
        drawing.add(Layer::Bend, Entity::Line { from, to });
    }
}

/// Lines and arcs, words too: not every table has letters of its own.
fn scribed_entity(scribed: Scribed, pose: &Pose) -> Entity {
    match scribed {
        Scribed::Circle(Circle { centre, radius }) => Entity::Circle(Circle {
            centre: pose.point(centre),
            radius,
        }),
        Scribed::Stroke(pieces) => {
            let pieces: Vec<Segment> = pieces.iter().map(|it| it.posed(pose)).collect();
            match pieces[..] {
                [Segment::Line { start, end }] => Entity::Line {
                    from: start,
                    to: end,
                },
                _ => Entity::Polyline(Polyline::open(&pieces)),
            }
        }
    }
}

/// A plate's name in the middle of the box around it, at most 10 mm high and within the box.
fn name_note(name: &str, around: Bounds) -> Entity {
    /// Share of its height that a letter takes along the line, about.
    const LETTER_WIDTH: f64 = 0.9;
    let letters = name.chars().count() as f64;
    let height = (around.width() / (letters * LETTER_WIDTH)).clamp(1.0, 10.0);
    let back = Vector::new(letters * LETTER_WIDTH * height / 2.0, height / 2.0);
    Entity::Text {
        at: around.centre() - back,
        height,
        turn: 0.0,
        words: name.to_owned(),
    }
}

/// Where x and y count from, below the plate, at most 4 mm high and no wider than the plate.
fn datum_note(datum: &Datum, around: Bounds) -> Entity {
    let words = format!("x 0, y 0 is {}, drawn in mm", datum.says);
    let height = (around.width() / lettering::width(&words, 1.0)).clamp(1.0, 4.0);
    Entity::Text {
        at: Point::new(around.min.x, around.min.y - 2.5 * height),
        height,
        turn: 0.0,
        words,
    }
}

/// What the sheet is and that its numbers are millimetres, small in its lower left corner: R12 has
/// no other place to say so.
fn sheet_note(sheet: &CutSheet, lines: SheetLines) -> Entity {
    let kerf = match lines {
        SheetLines::Torch => format!("kerf {}", millimetres(sheet.kerf)),
        SheetLines::Net => "net, no kerf and no leads".to_owned(),
    };
    let corner = sheet.outline.bounds().min;
    Entity::Text {
        at: Point::new(corner.x + 2.0, corner.y + 2.0),
        height: 4.0,
        turn: 0.0,
        words: format!(
            "{}, {} {}, {kerf}, drawn in mm",
            sheet.name,
            sheet.material,
            millimetres(sheet.thickness)
        ),
    }
}
