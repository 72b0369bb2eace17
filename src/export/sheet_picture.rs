//! The picture of one sheet: its metal, the plates with their names, every cut path with lead, pierce
//! and place in the order, rapid moves, and what is left over.

use super::picture::{Anchor, Chain, Dash, Ink, Picture, Stroke, Words};
use super::sheet::{Along, CutPlate, CutSheet};
use crate::cut::CutPath;
use crate::geometry::{Bounds, Circle, Point, Vector};
use crate::nest::Placement;
use crate::plate::Plate;
use crate::quantity::format::{both_units, millimetres};

/// How exactly the roomiest place for a name is looked for, as a share of the plate's size.
const NAME_PLACE_PRECISION: f64 = 0.02;

/// The picture of a sheet. `plates` are those of the run, which the sheet's placements point into.
#[must_use]
pub fn sheet_picture(sheet: &CutSheet, plates: &[CutPlate]) -> Picture {
    let view = View::of(sheet);
    let mut picture = Picture::new(format!(
        "{}: {} {} on {}",
        sheet.name,
        sheet.material,
        millimetres(sheet.thickness),
        sheet.stock
    ));
    let edge = view.pen(0.5, Ink::Edge, Dash::Solid);
    picture.region(&sheet.outline, Ink::Sheet, edge);
    for placement in &sheet.placements {
        let face = plates[placement.piece].plate.face.posed(&placement.pose);
        picture.face(&face, Ink::Plate, view.pen(0.15, Ink::Edge, Dash::Solid));
    }
    view.rapids(&mut picture, sheet);
    for (order, (_, path)) in sheet.plan.paths.iter().enumerate() {
        view.cut_path(&mut picture, path, order + 1);
    }
    view.drill_marks(&mut picture, sheet, plates);
    view.names(&mut picture, sheet, plates);
    view.left_over(&mut picture, sheet, plates);
    view.caption(&mut picture, sheet);
    picture.framed(view.unit * 4.0)
}

/// Line widths and letter heights that suit the size of a sheet.
struct View {
    bounds: Bounds,
    /// 1 mm on a picture some 240 mm wide.
    unit: f64,
}

impl View {
    fn of(sheet: &CutSheet) -> Self {
        let bounds = sheet.outline.bounds();
        Self {
            bounds,
            unit: bounds.width().max(bounds.height()) / 240.0,
        }
    }

    fn pen(&self, width: f64, ink: Ink, dash: Dash) -> Stroke {
        Stroke {
            width: width * self.unit,
            ink,
            dash,
        }
    }

    /// Rapid moves from where each path ends to the next pierce.
    fn rapids(&self, picture: &mut Picture, sheet: &CutSheet) {
        let moves = sheet
            .plan
            .paths
            .windows(2)
            .map(|pair| Chain::line(pair[0].1.end(), pair[1].1.pierce()))
            .collect();
        picture.draw(moves, None, Some(self.pen(0.15, Ink::Aid, Dash::Dotted)));
    }

    /// The burn, its lead-in thicker, the pierce as a dot and its place in the order.
    fn cut_path(&self, picture: &mut Picture, path: &CutPath, order: usize) {
        let (lead, run) = path.segments.split_at(path.lead_in);
        if !run.is_empty() {
            let pen = self.pen(0.25, Ink::Burn, Dash::Solid);
            picture.stroke(Chain::open(run.to_vec()), pen);
        }
        if !lead.is_empty() {
            let pen = self.pen(0.45, Ink::Burn, Dash::Solid);
            picture.stroke(Chain::open(lead.to_vec()), pen);
        }
        let dot = Circle {
            centre: path.pierce(),
            radius: 0.5 * self.unit,
        };
        picture.circle(dot, Some(Ink::Burn), None);
        let height = 1.7 * self.unit;
        let away = path.segments[0].direction_at(0.0) * (-2.2 * self.unit);
        picture.write(Words {
            at: path.pierce() + away - Vector::new(0.0, height / 2.0),
            anchor: Anchor::Middle,
            height,
            turn: 0.0,
            ink: Ink::Burn,
            text: order.to_string(),
        });
    }

    /// A small cross where a hole is only centre-marked.
    fn drill_marks(&self, picture: &mut Picture, sheet: &CutSheet, plates: &[CutPlate]) {
        let arm = 0.9 * self.unit;
        let mut crosses = Vec::new();
        for placement in &sheet.placements {
            let drilled = &plates[placement.piece].prepared.drill;
            for hole in drilled.iter().filter(|drill| drill.pilot.is_none()) {
                let at = placement.pose.point(hole.hole.centre);
                for arm in [Vector::new(arm, arm), Vector::new(arm, -arm)] {
                    crosses.push(Chain::line(at - arm, at + arm));
                }
            }
        }
        picture.draw(crosses, None, Some(self.pen(0.25, Ink::Mark, Dash::Solid)));
    }

    fn names(&self, picture: &mut Picture, sheet: &CutSheet, plates: &[CutPlate]) {
        let rooms: Vec<Rooms> = plates.iter().map(|cut| Rooms::of(&cut.plate)).collect();
        for placement in &sheet.placements {
            let text = label(&plates[placement.piece].plate, placement);
            let (room, height) = rooms[placement.piece].for_words(&text, self.unit);
            let middle = placement.pose.point(room.centre);
            picture.write(Words {
                at: middle - Vector::new(0.0, height / 2.0),
                anchor: Anchor::Middle,
                height,
                turn: 0.0,
                ink: Ink::Edge,
                text,
            });
        }
    }

    /// How far the sheet is used, along its lower or its right edge, and the remnant beyond.
    fn left_over(&self, picture: &mut Picture, sheet: &CutSheet, plates: &[CutPlate]) {
        let Bounds { min, max } = self.bounds;
        let used = sheet.used_length(plates);
        // From a corner along the edge that is measured, and away from the sheet.
        let (corner, along, across, away) = match sheet.along() {
            Along::X => (
                min,
                Vector::new(1.0, 0.0),
                Vector::new(0.0, max.y - min.y),
                Vector::new(0.0, -1.0),
            ),
            Along::Y => (
                Point::new(max.x, min.y),
                Vector::new(0.0, 1.0),
                Vector::new(min.x - max.x, 0.0),
                Vector::new(1.0, 0.0),
            ),
        };
        let height = 2.6 * self.unit;
        let words = |at: Point, turn: f64, text: String| Words {
            at,
            anchor: Anchor::Middle,
            height,
            turn,
            ink: Ink::Edge,
            text,
        };
        let thin = self.pen(0.2, Ink::Aid, Dash::Solid);
        let low = corner + away * (5.0 * self.unit);
        picture.stroke(Chain::line(low, low + along * used), thin);
        for end in [corner, corner + along * used] {
            let tick = Chain::line(end + away * self.unit, end + away * (6.0 * self.unit));
            picture.stroke(tick, thin);
        }
        let inward = -away * self.unit;
        let said = format!("used {}", both_units(used));
        picture.write(words(
            low + along * (used / 2.0) + inward,
            along.angle(),
            said,
        ));
        let Some(rest) = sheet.remnant(plates) else {
            return;
        };
        let line = Chain::line(corner + along * used, corner + along * used + across);
        picture.stroke(line, self.pen(0.3, Ink::Edge, Dash::Dashed));
        let said = format!(
            "left {} × {}",
            millimetres(rest.length),
            millimetres(rest.width)
        );
        let middle = (corner + along * used + across).lerp(
            match sheet.along() {
                Along::X => Point::new(max.x, min.y),
                Along::Y => max,
            },
            0.5,
        );
        let fits = Words::length_of(&said, height) < rest.length;
        picture.write(if fits {
            words(middle, 0.0, said)
        } else {
            let beside = Vector::new(self.unit, 0.0);
            words(middle + beside, std::f64::consts::FRAC_PI_2, said)
        });
    }

    fn caption(&self, picture: &mut Picture, sheet: &CutSheet) {
        let min = self.bounds.min;
        let lines = [
            (4.0, sheet.name.clone()),
            (
                2.6,
                format!(
                    "{}, {} {}, {} × {}, kerf {}",
                    sheet.stock,
                    sheet.material,
                    both_units(sheet.thickness),
                    millimetres(sheet.length()),
                    millimetres(sheet.width()),
                    millimetres(sheet.kerf)
                ),
            ),
        ];
        let mut y = min.y - 8.0 * self.unit;
        for (height, text) in lines {
            y -= (height + 2.0) * self.unit;
            picture.write(Words {
                at: Point::new(min.x, y),
                anchor: Anchor::Start,
                height: height * self.unit,
                turn: 0.0,
                ink: Ink::Edge,
                text,
            });
        }
    }
}

/// Where on a plate its name has most room: in the metal, and anywhere within the outside.
struct Rooms {
    metal: Circle,
    within: Circle,
}

impl Rooms {
    fn of(plate: &Plate) -> Self {
        let bounds = plate.face.outside.bounds();
        let precision = bounds.width().min(bounds.height()) * NAME_PLACE_PRECISION;
        Self {
            metal: plate.face.widest_circle(precision),
            within: plate.face.outside.widest_circle(precision),
        }
    }

    /// The room for some words and the height they can have there: in the metal if they stay
    /// readable, else across the openings.
    fn for_words(&self, text: &str, unit: f64) -> (Circle, f64) {
        let height = |room: Circle| {
            let fitting = 2.0 * room.radius / Words::length_of(text, 1.0);
            fitting.min(3.2 * unit)
        };
        let least = 1.8 * unit;
        if height(self.metal) >= least {
            (self.metal, height(self.metal))
        } else {
            (self.within, height(self.within).max(least / 2.0))
        }
    }
}

/// A plate's name, and which copy it is if there are several.
fn label(plate: &Plate, placement: &Placement) -> String {
    if plate.quantity > 1 {
        format!("{} {}", plate.name, placement.copy + 1)
    } else {
        plate.name.clone()
    }
}
