//! What can be measured on a plate: circles, straight lines and spots, each found again on the plate
//! where a dimension is moved.

use std::f64::consts::TAU;

use super::moving;
use crate::geometry::{Circle, Contour, Point, Segment, Tolerance};
use crate::plate::form::{self, Form};
use crate::plate::{Mark, Plate};

/// A feature is found again if it moves less than so many times as far as the dimension.
const FOLLOWS: f64 = 40.0;
/// Arcs of less than this, radians, have no middle that anybody measures from: a half turn, nearly.
const ENDS: f64 = 2.9;

/// The openings of a plate that another does not have as they are.
pub(super) fn gone(old: &Plate, new: &Plate) -> Vec<usize> {
    let is_same = |a: &Contour, b: &Contour| {
        a.middle().distance(b.middle()) + (a.length() - b.length()).abs() < Tolerance::SAME
    };
    let is_gone = |edge: &Contour| !new.face.openings.iter().any(|it| is_same(it, edge));
    let edges = old.face.openings.iter().enumerate();
    edges.filter(|it| is_gone(it.1)).map(|it| it.0).collect()
}

/// The number that the name of an opening ends with.
pub(super) fn number_of(plate: &Plate, opening: usize) -> Option<usize> {
    let name = &plate.openings[opening].name;
    name.rsplit(' ').next()?.parse().ok()
}

/// A feature before the move and after.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Pair<T> {
    pub(super) old: T,
    pub(super) new: T,
}

/// The part of a circle that is edge.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Round {
    pub(super) circle: Circle,
    /// How much of it is edge, radians.
    pub(super) sweep: f64,
    /// The opening that it is all of.
    pub(super) opening: Option<usize>,
    /// The middles of its arcs.
    pub(super) spots: Vec<Point>,
}

/// A straight edge, mark or fold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Straight {
    pub(super) from: Point,
    pub(super) to: Point,
    pub(super) is_edge: bool,
}

/// All of a plate, matched.
#[derive(Debug, Clone, Default)]
pub(super) struct Pairs {
    pub(super) rounds: Vec<Pair<Round>>,
    pub(super) lines: Vec<Pair<Straight>>,
    /// Middles of holes, of round ends, and ends of marks.
    pub(super) spots: Vec<Pair<Point>>,
    /// Middles of openings of other forms: for angles.
    pub(super) middles: Vec<Pair<Point>>,
    /// Middles of holes of one name.
    pub(super) patterns: Vec<Vec<Pair<Point>>>,
}

/// Matches the features of a plate with those where a dimension is moved `by` so much.
pub(super) fn matched(old: &Plate, new: &Plate, by: f64) -> Pairs {
    let reach = FOLLOWS * by.abs().max(moving::STEP);
    let mut pairs = Pairs {
        rounds: nearest(rounds(old), &rounds(new), reach, |a, b| {
            if a.opening.is_some() != b.opening.is_some() {
                return f64::INFINITY;
            }
            a.circle.centre.distance(b.circle.centre) + (a.circle.radius - b.circle.radius).abs()
        }),
        lines: nearest(lines(old), &lines(new), reach, |a, b| {
            a.from.distance(b.from) + a.to.distance(b.to)
        }),
        ..Pairs::default()
    };
    let (before, after) = (middles(old), middles(new));
    for (name, at, is_hole) in before {
        let Some((_, moved, _)) = after.iter().find(|it| it.0 == name) else {
            continue;
        };
        let pair = Pair {
            old: at,
            new: *moved,
        };
        if is_hole {
            pairs.spots.push(pair.clone());
        }
        pairs.middles.push(pair);
    }
    let ends = nearest(ends(old), &ends(new), reach, |a, b| a.distance(*b));
    pairs.spots.extend(ends);
    pairs.patterns = patterns(old, new);
    pairs
}

fn nearest<T: Clone>(
    old: Vec<T>,
    new: &[T],
    reach: f64,
    apart: impl Fn(&T, &T) -> f64,
) -> Vec<Pair<T>> {
    let found = old.into_iter().filter_map(|old| {
        let each = new.iter().map(|it| (apart(&old, it), it));
        let (away, new) = each.min_by(|a, b| a.0.total_cmp(&b.0))?;
        let new = new.clone();
        (away < reach).then_some(Pair { old, new })
    });
    found.collect()
}

fn contours(plate: &Plate) -> impl Iterator<Item = (Option<usize>, &Contour)> {
    let openings = plate.face.openings.iter().enumerate();
    let openings = openings.map(|(index, it)| (Some(index), it));
    std::iter::once((None, &plate.face.outside)).chain(openings)
}

fn rounds(plate: &Plate) -> Vec<Round> {
    let mut found = Vec::new();
    for (owner, edge) in contours(plate) {
        for (circle, sweep) in form::arcs(edge) {
            let lies_on_it = |it: &&Segment| {
                matches!(it, Segment::Arc { centre, radius, .. }
                    if centre.distance(circle.centre) < 0.01 && (radius - circle.radius).abs() < 0.01)
            };
            let arcs = edge.segments().iter().filter(lies_on_it);
            let spots = if sweep > TAU - 0.01 {
                let turns = (0..24).map(|k| f64::from(k) * TAU / 24.0);
                turns
                    .map(|turn| circle.centre.polar(circle.radius, turn))
                    .collect()
            } else {
                arcs.flat_map(|it| [0.5, 0.25, 0.75].map(|t| it.point_at(t)))
                    .collect()
            };
            found.push(Round {
                circle,
                sweep,
                opening: owner.filter(|_| sweep > TAU - 0.01),
                spots,
            });
        }
    }
    found
}

fn lines(plate: &Plate) -> Vec<Straight> {
    let edges = contours(plate).flat_map(|(_, edge)| edge.segments());
    let edges = edges.filter_map(|segment| match *segment {
        Segment::Line { start, end } => Some(Straight {
            from: start,
            to: end,
            is_edge: true,
        }),
        Segment::Arc { .. } => None,
    });
    let drawn = marks(plate).map(|(from, to)| Straight {
        from,
        to,
        is_edge: false,
    });
    edges.chain(drawn).collect()
}

/// Lines that are scribed, and folds.
fn marks(plate: &Plate) -> impl Iterator<Item = (Point, Point)> {
    let marks = plate.marks.iter().filter_map(|it| match it {
        Mark::Line { from, to } => Some((*from, *to)),
        _ => None,
    });
    marks.chain(plate.bends.iter().map(|it| (it.from, it.to)))
}

/// Name and middle of every opening, and whether it is a hole that has one to measure from.
fn middles(plate: &Plate) -> Vec<(String, Point, bool)> {
    let openings = plate.openings.iter().enumerate();
    let middle = |(index, it): (usize, &crate::plate::Opening)| {
        let edge = &plate.face.openings[index];
        let has_middle = !matches!(form::form(edge, it.purpose), Form::Free { .. });
        let at = if has_middle {
            plate.middle_of(index)
        } else {
            centroid(edge)
        };
        (it.name.clone(), at, has_middle)
    };
    openings.map(middle).collect()
}

/// The middle of an edge, which turns with it.
fn centroid(edge: &Contour) -> Point {
    let (mut sum, mut length) = (crate::geometry::Vector::default(), 0.0);
    for segment in edge.segments() {
        let steps = 8;
        for k in 0..steps {
            let at = segment.point_at((f64::from(k) + 0.5) / f64::from(steps));
            sum = sum + (at - Point::ORIGIN) * (segment.length() / f64::from(steps));
        }
        length += segment.length();
    }
    Point::ORIGIN + sum * (1.0 / length)
}

/// Middles of round ends, ends of marks and their middles.
fn ends(plate: &Plate) -> Vec<Point> {
    let rounds = contours(plate).flat_map(|(_, edge)| form::arcs(edge));
    let rounds = rounds.filter(|(_, sweep)| (ENDS..TAU - 0.01).contains(sweep));
    let rounds = rounds.map(|(circle, _)| circle.centre);
    let marks = marks(plate).flat_map(|(from, to)| [from, to]);
    let circles = plate.marks.iter().filter_map(|it| match it {
        Mark::Circle { centre, .. } | Mark::Centre { at: centre } => Some(*centre),
        _ => None,
    });
    rounds.chain(marks).chain(circles).collect()
}

/// Middles of holes by the name they share.
fn patterns(old: &Plate, new: &Plate) -> Vec<Vec<Pair<Point>>> {
    let (before, after) = (middles(old), middles(new));
    let mut patterns: Vec<(String, Vec<Pair<Point>>)> = Vec::new();
    for (name, at, _) in before {
        let Some((_, moved, _)) = after.iter().find(|it| it.0 == name) else {
            continue;
        };
        let pair = Pair {
            old: at,
            new: *moved,
        };
        let base = base(&name).to_owned();
        match patterns.iter_mut().find(|(known, _)| *known == base) {
            Some((_, them)) => them.push(pair),
            None => patterns.push((base, vec![pair])),
        }
    }
    let several = patterns.into_iter().filter(|(_, them)| them.len() > 1);
    several.map(|(_, them)| them).collect()
}

/// A name without the number at its end.
fn base(name: &str) -> &str {
    name.trim_end_matches(|c: char| c.is_ascii_digit())
        .trim_end()
}

/// The first opening of a name that is there in another number, or that is of another size.
pub(super) fn changed_opening(old: &Plate, new: &Plate) -> Option<usize> {
    let count = |plate: &Plate, name: &str| {
        let names = plate.openings.iter().filter(|it| base(&it.name) == name);
        names.count()
    };
    (0..old.openings.len()).find(|&index| {
        let opening = &old.openings[index];
        let name = base(&opening.name);
        let other = new.openings.iter().position(|it| it.name == opening.name);
        let resized = other.is_some_and(|other| {
            let (was, is) = (&old.face.openings[index], &new.face.openings[other]);
            (was.length() - is.length()).abs() > moving::STEP / 10.0
        });
        resized || count(old, name) != count(new, name)
    })
}
