//! A drawing to drill by, in true size.
//!
//! In: a site, a pattern and a clocking. Out: a [`Drawing`] of the plate's own edges to lay it on,
//! each new hole as a scribed circle with a cross and a centre mark, and notes; nothing on the cut
//! layers.

use super::{Pattern, Site};
use crate::export::{Drawing, Entity, Polyline};
use crate::geometry::{Circle, Contour, Point, Vector};
use crate::layer::Layer;
use crate::quantity::format::{both_units, degrees};

/// Half a cross reaches this far past its hole, mm.
const PAST: f64 = 3.0;
/// Height of letters, mm.
const LETTERS: f64 = 3.5;
/// Length of the scale bars, mm.
const BAR: f64 = 100.0;

/// The template, in the plate's own coordinates.
#[must_use]
pub fn template(site: &Site, pattern: &Pattern, angle: f64) -> Drawing {
    let mut drawing = Drawing::default();
    for (_, edge) in site.edges() {
        drawing.add(Layer::Note, outline(edge));
    }
    let circle = Circle {
        centre: site.centre,
        radius: pattern.circle / 2.0,
    };
    drawing.add(Layer::Scribe, Entity::Circle(circle));
    for (index, centre) in pattern.centres(site, angle).into_iter().enumerate() {
        hole(&mut drawing, site, pattern, centre);
        let beside = centre + Vector::new(1.0, 1.0) * (pattern.hole / 2.0 + 1.0);
        drawing.add(Layer::Note, words(beside, format!("{}", index + 1)));
    }
    scale_bars(&mut drawing, site);
    notes(&mut drawing, site, pattern, angle);
    drawing
}

fn outline(edge: &Contour) -> Entity {
    edge.as_circle()
        .map_or_else(|| Entity::Polyline(Polyline::closed(edge)), Entity::Circle)
}

/// The hole, a cross along and across its radius, and its centre.
fn hole(drawing: &mut Drawing, site: &Site, pattern: &Pattern, centre: Point) {
    let radius = pattern.hole / 2.0;
    drawing.add(Layer::Scribe, Entity::Circle(Circle { centre, radius }));
    let out = (centre - site.centre)
        .unit()
        .unwrap_or(Vector::new(1.0, 0.0));
    for way in [out, out.left()] {
        let reach = way * (radius + PAST);
        let (from, to) = (centre - reach, centre + reach);
        drawing.add(Layer::Scribe, Entity::Line { from, to });
    }
    drawing.add(Layer::CentreMark, Entity::Point(centre));
}

fn scale_bars(drawing: &mut Drawing, site: &Site) {
    let corner = site.face.outside.bounds().min - Vector::new(0.0, 12.0);
    for way in [Vector::new(BAR, 0.0), Vector::new(0.0, BAR)] {
        let side = Vector::new(-8.0, 0.0);
        let start = corner
            + if way.x == 0.0 {
                side
            } else {
                Vector::default()
            };
        drawing.add(
            Layer::Note,
            Entity::Line {
                from: start,
                to: start + way,
            },
        );
    }
    let told = "each bar is 100 mm: measure both before you trust the print".to_owned();
    drawing.add(Layer::Note, words(corner - Vector::new(0.0, 6.0), told));
}

fn notes(drawing: &mut Drawing, site: &Site, pattern: &Pattern, angle: f64) {
    let corner = site.face.outside.bounds().min - Vector::new(0.0, 26.0);
    let bolt = pattern
        .thread
        .map_or_else(String::new, |thread| format!(" for {}", thread.name()));
    let lines = [
        format!(
            "{} holes of {}{bolt} on a circle of {}",
            pattern.count,
            both_units(pattern.hole),
            both_units(pattern.circle)
        ),
        format!("hole 1 at {} from +x, the others evenly on", degrees(angle)),
        "scale 1:1, drawn in mm".to_owned(),
    ];
    for (row, line) in lines.into_iter().enumerate() {
        let at = corner - Vector::new(0.0, row as f64 * 2.0 * LETTERS);
        drawing.add(Layer::Note, words(at, line));
    }
}

const fn words(at: Point, words: String) -> Entity {
    Entity::Text {
        at,
        height: LETTERS,
        turn: 0.0,
        words,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::Fit;

    #[test]
    fn every_new_hole_has_its_centre_mark_where_it_belongs() {
        let read = |text: &str| Pattern::read(text, Fit::Normal).expect("a pattern").0;
        let site = Site::typed(170.0, 60.0, 10.0, &[(read("4 x 100 mm, M12"), 0.0)]);
        let new = read("5 x 114.3 mm, M12");
        let drawing = template(&site, &new, 0.3);
        let marks = drawing
            .entities
            .iter()
            .filter_map(|(layer, entity)| match entity {
                Entity::Point(at) if *layer == Layer::CentreMark => Some(*at),
                _ => None,
            });
        assert_eq!(marks.collect::<Vec<_>>(), new.centres(&site, 0.3));
        assert!(
            drawing
                .entities
                .iter()
                .all(|(layer, _)| !matches!(layer, Layer::Outside | Layer::Inside))
        );
    }
}
