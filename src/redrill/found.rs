//! What a plate to drill was found to be: its outside, its bore, its holes and the pitch circles they lie on.
//!
//! In: a site. Out: sentences, by which the builder sees whether it is the plate on the bench.

use std::f64::consts::TAU;

use super::Site;
use crate::geometry::{Circle, Point};
use crate::plate::Purpose;
use crate::quantity::format::{both_units, counted, degrees};

/// Lengths that agree within this are the same, mm: what a drawing with two decimals leaves of one.
const ALIKE: f64 = 0.02;
/// Places of a pitch circle of which some may be left out.
const MOST_PLACES: usize = 12;

/// Round holes of one size, as far from the centre of the new pattern as one another.
struct Class {
    diameter: f64,
    reach: f64,
    /// Index of each opening, and its place.
    members: Vec<(usize, Point)>,
}

/// The plate in sentences.
#[must_use]
pub fn found(site: &Site) -> Vec<String> {
    let outside = &site.face.outside;
    let bounds = outside.bounds();
    let mut said = vec![match outside.as_circle() {
        Some(circle) => format!("outside: round, {}", both_units(2.0 * circle.radius)),
        None => format!(
            "outside: {} × {}",
            both_units(bounds.width()),
            both_units(bounds.height())
        ),
    }];
    let bore = site
        .existing
        .iter()
        .position(|it| it.purpose == Purpose::Bore);
    said.push(match bore {
        Some(at) => {
            let edge = &site.face.openings[at];
            let size = edge.as_circle();
            let size =
                size.map_or_else(|| "not round".to_owned(), |it| both_units(2.0 * it.radius));
            format!("bore: {size}")
        }
        None => "bore: none".to_owned(),
    });
    let (classes, others) = classes(site, bore);
    for class in &classes {
        said.push(class.says(site));
    }
    if others > 0 {
        said.push(counted(others, "other opening"));
    }
    said.push(format!(
        "the new holes are centred on {}",
        centre(site, bore)
    ));
    said
}

/// What the middle of the new pattern is.
fn centre(site: &Site, bore: Option<usize>) -> String {
    let near = |p: Point| p.distance(site.centre) < ALIKE;
    if bore.is_some_and(|at| near(site.face.openings[at].middle())) {
        return "the bore".to_owned();
    }
    if near(site.face.outside.middle()) {
        return "the middle of the outside".to_owned();
    }
    let Point { x, y } = site.centre;
    format!("x {}, y {}", both_units(x), both_units(y))
}

/// Round holes by size and distance from the centre, and how many openings are none.
fn classes(site: &Site, bore: Option<usize>) -> (Vec<Class>, usize) {
    let mut classes: Vec<Class> = Vec::new();
    let mut others = 0;
    for (at, edge) in site.face.openings.iter().enumerate() {
        if Some(at) == bore {
            continue;
        }
        let Some(Circle { centre, radius }) = edge.as_circle() else {
            others += 1;
            continue;
        };
        let (diameter, reach) = (2.0 * radius, centre.distance(site.centre));
        let alike = |it: &&mut Class| {
            (it.diameter - diameter).abs() < ALIKE && (it.reach - reach).abs() < ALIKE
        };
        match classes.iter_mut().find(alike) {
            Some(class) => class.members.push((at, centre)),
            None => classes.push(Class {
                diameter,
                reach,
                members: vec![(at, centre)],
            }),
        }
    }
    (classes, others)
}

impl Class {
    fn says(&self, site: &Site) -> String {
        let holes = match self.members.len() {
            1 => "a hole".to_owned(),
            count => format!("{count} holes"),
        };
        let (first, at) = self.members[0];
        let bolt = site.existing[first].thread;
        let bolt = bolt.map_or_else(String::new, |it| format!(" for {}", it.name()));
        let what = format!("{holes} of {}{bolt}", both_units(self.diameter));
        let start = degrees((at - site.centre).angle());
        if self.members.len() == 1 {
            return format!(
                "{what}, {} from the centre at {start}",
                both_units(self.reach)
            );
        }
        let on = format!("on a circle of {}", both_units(2.0 * self.reach));
        match self.places(site) {
            Some(places) if places == self.members.len() => {
                format!("{what}, evenly {on}, the first at {start}")
            }
            Some(places) => format!("{what}, {on} with {places} even places, the first at {start}"),
            None => format!("{what}, not evenly {on}"),
        }
    }

    /// How many even places the holes have on their circle, if they have.
    fn places(&self, site: &Site) -> Option<usize> {
        let first = self.members[0].1 - site.centre;
        let turns = self
            .members
            .iter()
            .map(|(_, p)| first.turn_to(*p - site.centre));
        let turns: Vec<f64> = turns.collect();
        let count = turns.len();
        (count..=count.max(MOST_PLACES)).find(|places| {
            let step = TAU / *places as f64;
            let off = |angle: &f64| (angle - (angle / step).round() * step).abs() * self.reach;
            turns.iter().all(|angle| off(angle) < ALIKE)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::redrill::Pattern;
    use crate::trade::Fit;

    #[test]
    fn pitch_circles_of_holes_of_one_size_are_told_apart() {
        let read = |text: &str| Pattern::read(text, Fit::Normal).expect("a pattern").0;
        let old = [
            (read("4 x 100 mm, M12"), 0.0),
            (read("5 x 130 mm, M12"), 0.2),
            (read("1 x 150 mm, hole 6 mm"), 1.0),
        ];
        let said = found(&Site::typed(190.0, 60.0, 10.0, &old));
        assert_eq!(
            said,
            [
                "outside: round, 190 mm (7.480 in)",
                "bore: 60 mm (2.362 in)",
                "4 holes of 13.5 mm (0.531 in) for M12, evenly on a circle of 100 mm (3.937 in), the first at 0°",
                "5 holes of 13.5 mm (0.531 in) for M12, evenly on a circle of 130 mm (5.118 in), the first at 11.459°",
                "a hole of 6 mm (0.236 in), 75 mm (2.953 in) from the centre at 57.296°",
                "the new holes are centred on the bore",
            ]
        );
    }

    #[test]
    fn places_that_are_left_out_and_holes_that_are_not_even_are_told() {
        let site = |angles: &[f64]| {
            let holes: Vec<_> = angles
                .iter()
                .map(|it| {
                    (
                        Pattern::read("1 x 80 mm, hole 9 mm", Fit::Normal)
                            .expect("one")
                            .0,
                        it.to_radians(),
                    )
                })
                .collect();
            found(&Site::typed(120.0, 0.0, 6.0, &holes))
        };
        let said = site(&[0.0, 90.0, 180.0]);
        assert!(
            said[2].contains("on a circle of 80 mm (3.150 in) with 4 even places"),
            "{said:?}"
        );
        let said = site(&[0.0, 91.0, 180.0]);
        assert!(
            said[2].contains("not evenly on a circle of 80 mm"),
            "{said:?}"
        );
        assert_eq!(said[1], "bore: none");
        assert_eq!(
            said[3],
            "the new holes are centred on the middle of the outside"
        );
    }
}
