//! How far it is from one place of a plate to another.
//!
//! In: two places as they are typed or pointed at in the picture. Out: the distance, and the places in words
//! that can be typed again. A place is a point (`datum`, `middle of hub bolt 1`, `12 mm, 40 mm` from the datum)
//! or an edge (`outside`, `edge of hub bolt 1`, `edge at 12 mm, 40 mm`, which is the nearest line or arc). A
//! place pointed at is the nearest middle or corner if one is near, else the nearest edge, else a point.

use super::answer::{Bench, Live};
use super::document::Block;
use super::live::Look;
use super::readings;
use super::views::{self, Distance};
use crate::fault::{Fault, Faults, Outcome};
use crate::geometry::measure::Gap;
use crate::geometry::{Contour, Point, Segment};
use crate::plate::Plate;
use crate::quantity::format::{both_units, decimal};

/// What is pointed at lies no farther than this from the pointer, mm of the picture on paper.
const NEAR: f64 = 2.5;

/// A place of a plate.
enum Spot<'a> {
    Point(Point),
    Edge(&'a [Segment]),
}

/// Where one place is from the other, by what the file says.
pub(super) fn told(
    bench: &Bench<'_>,
    (file, block): (&str, Block),
    index: usize,
    [from, to]: [&str; 2],
) -> Outcome<Live> {
    let look = Look::at(bench, &bench.source(file)?, block, None);
    let Some(plate) = look.plates().get(index) else {
        let fault = Fault::refused("there is no such plate while the part cannot be drawn");
        return Err(fault.remedy("put right what is told above first").into());
    };
    let [from, to] = [from, to].map(|typed| in_words(&look, index, typed));
    let mut live = Live::default();
    let (from, to) = (from?, to?);
    let mut shown = Distance {
        from: &from,
        to: &to,
        told: None,
    };
    if !from.is_empty() && !to.is_empty() {
        let gap = spot(plate, &from)?.gap_to(&spot(plate, &to)?);
        let run = gap.to - gap.from;
        let across = [run.x, run.y].map(|it| both_units(it.abs()));
        shown.told = Some((both_units(gap.distance), across));
        let mut strong = vec![Vec::new(); index + 1];
        if gap.distance > 0.0 {
            strong[index].push(Segment::Line {
                start: gap.from,
                end: gap.to,
            });
        }
        live = look.pictured(&strong)?;
    }
    live.parts
        .insert("distance".to_owned(), views::rendered(&shown)?);
    live.ends = Some([from, to]);
    Ok(live)
}

/// A place as it can be typed: what was pointed at is put into words, the rest stays.
fn in_words(look: &Look, index: usize, typed: &str) -> Outcome<String> {
    let typed = typed.trim();
    let Some(pointed) = typed.strip_prefix("pointed at ") else {
        return Ok(typed.to_owned());
    };
    let place = pointed.split_once(' ');
    let place = place.and_then(|(x, y)| Some((x.parse::<f64>().ok()?, y.parse::<f64>().ok()?)));
    let place = place.filter(|(x, y)| x.is_finite() && y.is_finite());
    let (Some((x, y)), Some((frame, enlarged))) = (place, look.frame(index)) else {
        return Err(Fault::usage("this is no place in a picture").into());
    };
    let at = Point::new(frame.min.x + x, frame.max.y - y);
    Ok(nearest(&look.plates()[index], at, NEAR / enlarged))
}

/// What lies nearest to a point, if it is no farther than `near`, mm.
fn nearest(plate: &Plate, at: Point, near: f64) -> String {
    let middles = (0..plate.openings.len()).map(|index| {
        let name = &plate.openings[index].name;
        (format!("middle of {name}"), plate.middle_of(index))
    });
    let datum = plate.datum();
    let corners = plate.face.contours().flat_map(Contour::segments);
    let corners = corners.map(|it| (coordinates(plate, it.start()), it.start()));
    let points = [("datum".to_owned(), datum.at)].into_iter();
    let points = points.chain(middles).chain(corners);
    let nearest = points
        .map(|(says, point)| (says, point.distance(at)))
        .filter(|(_, distance)| *distance <= near)
        .min_by(|a, b| a.1.total_cmp(&b.1));
    if let Some((says, _)) = nearest {
        return says;
    }
    let edge = plate
        .face
        .contours()
        .map(|it| it.gap_to_point(at))
        .min_by(|a, b| a.distance.total_cmp(&b.distance))
        .filter(|it| it.distance <= near);
    match edge {
        Some(edge) => format!("edge at {}", coordinates(plate, edge.from)),
        None => coordinates(plate, at),
    }
}

/// A point from the datum: `12 mm, 40 mm`.
fn coordinates(plate: &Plate, at: Point) -> String {
    let at = plate.datum().place(at);
    format!("{} mm, {} mm", decimal(at.x, 3), decimal(at.y, 3))
}

/// The names of its openings, in order.
pub(super) fn names(plate: &Plate) -> Vec<&str> {
    let mut names: Vec<&str> = plate.openings.iter().map(|it| it.name.as_str()).collect();
    names.sort_unstable();
    names
}

/// The place that words name.
fn spot<'a>(plate: &'a Plate, says: &str) -> Outcome<Spot<'a>> {
    let point = |typed: &str| {
        if !typed.contains(',') {
            let fault = Fault::refused(format!("\"{typed}\" is no place of this plate"));
            return Err(Faults::from(fault.remedy(
                "write datum, outside, middle of NAME, edge of NAME, or x and y from the datum, \
                 such as 12 mm, 40 mm",
            )));
        }
        Ok(plate.datum().at + (readings::point(typed)? - Point::ORIGIN))
    };
    let opening = |name: &str| {
        let index = plate.openings.iter().position(|it| it.name == name);
        index.ok_or_else(|| {
            let fault = Fault::refused(format!("{} has no opening \"{name}\"", plate.name));
            match names(plate).as_slice() {
                [] => fault.remedy("it has no openings at all"),
                there => fault.remedy(format!("there are {}", there.join(", "))),
            }
        })
    };
    if says == "datum" {
        Ok(Spot::Point(plate.datum().at))
    } else if says == "outside" {
        Ok(Spot::Edge(plate.face.outside.segments()))
    } else if let Some(name) = says.strip_prefix("middle of ") {
        Ok(Spot::Point(plate.middle_of(opening(name)?)))
    } else if let Some(name) = says.strip_prefix("edge of ") {
        Ok(Spot::Edge(plate.face.openings[opening(name)?].segments()))
    } else if let Some(typed) = says.strip_prefix("edge at ") {
        let at = point(typed)?;
        let segments = plate.face.contours().flat_map(Contour::segments);
        let nearest = segments.min_by(|a, b| {
            let [a, b] = [a, b].map(|it| it.gap_to_point(at).distance);
            a.total_cmp(&b)
        });
        Ok(Spot::Edge(nearest.map_or(&[], std::slice::from_ref)))
    } else {
        Ok(Spot::Point(point(says)?))
    }
}

impl Spot<'_> {
    /// The nearest approach.
    fn gap_to(&self, other: &Self) -> Gap {
        let nearer = |gaps: &mut dyn Iterator<Item = Gap>| gaps.reduce(Gap::or_nearer);
        let gap = match (self, other) {
            (Self::Point(a), Self::Point(b)) => Some(Gap::between(*a, *b)),
            (Self::Edge(edge), Self::Point(p)) | (Self::Point(p), Self::Edge(edge)) => {
                nearer(&mut edge.iter().map(|it| it.gap_to_point(*p)))
            }
            (Self::Edge(a), Self::Edge(b)) => nearer(
                &mut a
                    .iter()
                    .flat_map(|one| b.iter().map(move |other| one.gap_to(other))),
            ),
        };
        gap.unwrap_or_else(|| Gap::between(Point::ORIGIN, Point::ORIGIN))
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::path::Path;
    use std::sync::Arc;

    use super::*;
    use crate::recipe::Shelf;

    /// 80 by 40 mm with two holes of 8 mm, at 10, 10 and at 70, 30.
    const PLATE: &str = r#"
shape = "rectangle"
width = "80 mm"
height = "40 mm"
thickness = "6 mm"
holes = [
  { name = "left", diameter = "8 mm", at = ["10 mm", "10 mm"] },
  { name = "right", diameter = "8 mm", at = ["70 mm", "30 mm"] },
]
"#;

    fn with<T>(work: impl FnOnce(&Bench<'_>) -> T) -> T {
        let texts = BTreeMap::from([("plate.toml".to_owned(), Arc::from(PLATE))]);
        work(&Bench {
            shelf: &Shelf::built_in(),
            folder: Path::new("."),
            texts: &texts,
            report: None,
            ticks: None,
        })
    }

    fn told(from: &str, to: &str) -> Outcome<Live> {
        with(|bench| super::told(bench, ("plate.toml", Block::Whole), 0, [from, to]))
    }

    /// What is told of two places.
    fn distance(from: &str, to: &str) -> String {
        told(from, to).expect("a distance").parts["distance"].clone()
    }

    #[test]
    fn places_by_name_are_as_far_apart_as_their_coordinates_say() {
        // By Pythagoras: 60 along and 20 across.
        let middles = distance("middle of left", "middle of right");
        assert!(middles.contains("<strong>63.246 mm"), "{middles}");
        assert!(middles.contains("60 mm (2.362 in"), "{middles}");
        // Less the two radii of 4 mm.
        let edges = distance("edge of left", "edge of right");
        assert!(edges.contains("<strong>55.246 mm"), "{edges}");
        assert!(distance("outside", "middle of left").contains("<strong>10 mm"));
        assert!(distance("outside", "edge of left").contains("<strong>6 mm"));
        // The right edge from the hole's middle: 80 - 10.
        assert!(distance("edge at 80 mm, 20 mm", "middle of left").contains("<strong>70 mm"));
        assert!(distance("0 mm, 0 mm", "1 in, 0 mm").contains("<strong>25.4 mm"));
    }

    #[test]
    fn what_is_pointed_at_is_the_middle_the_corner_or_the_edge_that_is_near() {
        let (frame, enlarged) = with(|bench| {
            let source = bench.source("plate.toml").expect("there");
            let look = Look::at(bench, &source, Block::Whole, None);
            look.frame(0).expect("a picture")
        });
        let pointed = |x: f64, y: f64| {
            let (x, y) = (x - frame.min.x, frame.max.y - y);
            let live = told(&format!("pointed at {x} {y}"), "").expect("a place");
            live.ends.expect("ends")[0].clone()
        };
        let off = 0.5 * NEAR / enlarged;
        assert_eq!(pointed(10.0 + off, 10.0), "middle of left");
        assert_eq!(pointed(80.0 - off, 40.0), "80 mm, 40 mm");
        assert_eq!(pointed(80.0 - off, 20.0), "edge at 80 mm, 20 mm");
        assert_eq!(pointed(40.0, 20.0), "40 mm, 20 mm");
        // What it answers can be asked again.
        assert!(distance("middle of left", &pointed(80.0 - off, 20.0)).contains("<strong>70 mm"));
    }

    #[test]
    fn a_place_that_is_none_is_told_with_what_there_is() {
        for (place, wanted) in [
            ("middle of rite", "there are left, right"),
            ("somewhere", "such as 12 mm, 40 mm"),
            ("12, ", "write `12 mm`"),
            ("pointed at NaN 3", "no place in a picture"),
            ("pointed at 3", "no place in a picture"),
        ] {
            let faults = told(place, "datum").expect_err(place).to_string();
            assert!(faults.contains(wanted), "{place}: {faults}");
        }
    }
}
