//! Every file is read back before anybody gets it, by a reader that shares no code with the writer.
//!
//! In: the bytes of a file, and the [`Drawing`] that they are of. Out: nothing, or the first entity that came
//! back otherwise, as a mistake of the program. What is compared is what a table cuts and marks: each
//! entity's layer, sort, points, radii, angles and bulges. Words are for people and are not compared.

use dxf::entities::{Entity as Read, EntityType};

use super::degrees;
use crate::export::{Drawing, Ends, Entity};
use crate::fault::{Fault, Outcome, REPORT_IT};
use crate::layer::Layer;

/// How far a number may be from the one that was meant, in mm, degrees or as a bulge: more than the writer
/// rounds, and a ten-thousandth of what a table resolves.
const TOLERANCE: f64 = 1e-6;

/// What is compared of an entity: its sort, and its numbers in a fixed order.
type Figures = (&'static str, Vec<f64>);

/// Whether the file holds the drawing.
pub(super) fn check(file: &[u8], drawing: &Drawing) -> Outcome<()> {
    let read = dxf::Drawing::load(&mut &*file).map_err(|why| wrong(&why.to_string()))?;
    let read: Vec<&Read> = read.entities().collect();
    if read.len() != drawing.entities.len() {
        let (has, wanted) = (read.len(), drawing.entities.len());
        return Err(wrong(&format!("it has {has} entities where {wanted} are meant")).into());
    }
    for (number, (read, meant)) in (1..).zip(read.iter().zip(&drawing.entities)) {
        if !is_same(read, meant) {
            let (layer, entity) = meant;
            let what = meant_figures(entity).0;
            let layer = layer.name();
            let why = format!("entity {number}, a {what} on {layer}, is not as it is meant");
            return Err(wrong(&why).into());
        }
    }
    Ok(())
}

fn wrong(why: &str) -> Fault {
    let message = format!("a drawing failed when it was read back: {why}; nothing was written");
    Fault::program(message).remedy(REPORT_IT)
}

fn is_same(read: &Read, (layer, meant): &(Layer, Entity)) -> bool {
    let ((sort, read_numbers), (wanted, numbers)) = (read_figures(read), meant_figures(meant));
    let mut pairs = read_numbers.iter().zip(&numbers);
    read.common.layer == layer.name()
        && sort == wanted
        && read_numbers.len() == numbers.len()
        && pairs.all(|(a, b)| (a - b).abs() <= TOLERANCE)
}

fn meant_figures(entity: &Entity) -> Figures {
    match entity {
        Entity::Line { from, to } => ("line", vec![from.x, from.y, to.x, to.y]),
        Entity::Arc { circle, start, end } => {
            let (centre, radius) = (circle.centre, circle.radius);
            let (start, end) = (degrees(*start), degrees(*end));
            ("arc", vec![centre.x, centre.y, radius, start, end])
        }
        Entity::Circle(it) => ("circle", vec![it.centre.x, it.centre.y, it.radius]),
        Entity::Point(at) => ("point", vec![at.x, at.y]),
        Entity::Polyline(chain) => {
            let vertices = chain.vertices.iter();
            let vertices = vertices.map(|it| [it.at.x, it.at.y, it.bulge]);
            ("chain", chain_of(chain.ends == Ends::Closed, vertices))
        }
        Entity::Text {
            at, height, turn, ..
        } => ("text", vec![at.x, at.y, *height, degrees(*turn)]),
    }
}

fn read_figures(entity: &Read) -> Figures {
    match &entity.specific {
        EntityType::Line(it) => ("line", vec![it.p1.x, it.p1.y, it.p2.x, it.p2.y]),
        EntityType::Arc(it) => {
            let centre = &it.center;
            let (start, end) = (it.start_angle, it.end_angle);
            ("arc", vec![centre.x, centre.y, it.radius, start, end])
        }
        EntityType::Circle(it) => ("circle", vec![it.center.x, it.center.y, it.radius]),
        EntityType::ModelPoint(it) => ("point", vec![it.location.x, it.location.y]),
        EntityType::LwPolyline(it) => {
            let vertices = it.vertices.iter().map(|it| [it.x, it.y, it.bulge]);
            ("chain", chain_of(it.is_closed(), vertices))
        }
        EntityType::Polyline(it) => {
            let vertices = it.vertices();
            let vertices = vertices.map(|it| [it.location.x, it.location.y, it.bulge]);
            ("chain", chain_of(it.is_closed(), vertices))
        }
        EntityType::Text(it) => {
            let (at, turn) = (&it.location, it.rotation);
            ("text", vec![at.x, at.y, it.text_height, turn])
        }
        _ => ("other", Vec::new()),
    }
}

/// Whether it is closed, then x, y and bulge of each vertex.
fn chain_of(is_closed: bool, vertices: impl Iterator<Item = [f64; 3]>) -> Vec<f64> {
    let closed = f64::from(u8::from(is_closed));
    std::iter::once(closed).chain(vertices.flatten()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::{Dxf, Exporter, Polyline, Release};
    use crate::geometry::{Circle, Contour, Point};

    fn drawing() -> Drawing {
        let at = Point::new(1.0 / 3.0, -2.0);
        let mut drawing = Drawing::default();
        let hole = Contour::circle(Point::new(40.0, 0.0), 6.6);
        drawing.add(Layer::Outside, Entity::Polyline(Polyline::closed(&hole)));
        drawing.add(Layer::CentreMark, Entity::Point(at));
        let circle = Circle {
            centre: at,
            radius: 6.6,
        };
        drawing.add(Layer::Inside, Entity::Circle(circle));
        let (start, end) = (-1.0, 9.0);
        drawing.add(Layer::Scribe, Entity::Arc { circle, start, end });
        let to = Point::new(1e5, 0.1);
        drawing.add(Layer::Bend, Entity::Line { from: at, to });
        let words = "50 %% of \u{f8} 5".to_owned();
        let (height, turn) = (4.0, -0.5);
        drawing.add(
            Layer::Note,
            Entity::Text {
                at,
                height,
                turn,
                words,
            },
        );
        drawing
    }

    #[test]
    fn a_file_that_is_not_its_drawing_is_the_programs_mistake() {
        for release in [Release::R12, Release::R2000] {
            let file = Dxf { release }.export(&drawing()).expect("every sort");
            check(&file, &drawing()).expect("is itself");
            let text = String::from_utf8(file).expect("ASCII");
            // One number, one layer, one entity, one ending.
            for (from, to) in [
                (" 40\r\n6.6", " 40\r\n6.61"),
                ("  8\r\nINSIDE", "  8\r\nOUTSIDE"),
                ("  0\r\nPOINT", "  0\r\nWIPEOUT"),
                (" 42\r\n1.0", " 42\r\n0.9"),
                ("0.333333333", "0.3333a"),
            ] {
                let cut = text.find("ENTITIES").expect("has entities");
                let (head, body) = text.split_at(cut);
                let other = head.to_owned() + &body.replacen(from, to, 1);
                assert_ne!(other, text, "{from}");
                let said = check(other.as_bytes(), &drawing()).expect_err(to);
                assert_eq!(said.exit_code(), 5, "{said}");
            }
        }
    }
}
