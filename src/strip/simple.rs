//! Whether an outline and its windows are what they have to be: none crosses itself, each window lies in
//! the outline, and no two windows overlap.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;

use crate::geometry::{Bounds, Point};
use crate::nest::{Polygon, polygon};
use crate::quantity::format::decimal;

/// The overlay engine rounds coordinates to a grid: so far off at most, as a share of the extent.
const GRID: f64 = 1e-8;

/// What is wrong with an outline and its windows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Flaw {
    /// It bounds no area.
    Empty,
    /// The outline crosses itself, where that is known.
    Crossed(Option<Point>),
    /// A window crosses itself.
    WindowCrossed(Option<Point>),
    /// A window leaves the outline.
    Astray(Point),
    /// Two windows overlap.
    Overlap,
}

impl Flaw {
    pub(super) fn says(self) -> String {
        let place = |p: Point| format!(" at [{}, {}]", decimal(p.x, 4), decimal(p.y, 4));
        let somewhere = |p: Option<Point>| p.map(place).unwrap_or_default();
        match self {
            Self::Empty => "its polygon bounds no area".to_owned(),
            Self::Crossed(at) => format!("its outline crosses itself{}", somewhere(at)),
            Self::WindowCrossed(at) => format!("a window crosses itself{}", somewhere(at)),
            Self::Astray(at) => format!("a window leaves its outline{}", place(at)),
            Self::Overlap => "two windows overlap".to_owned(),
        }
    }

    pub(super) fn remedy(self) -> &'static str {
        match self {
            Self::Empty => "give at least three corners as [x, y], in order around the outline",
            Self::Crossed(_) | Self::WindowCrossed(_) => {
                "list the corners in order all around, so that no two edges cross"
            }
            Self::Astray(_) => "keep every window of `holes` within `polygon`",
            Self::Overlap => "draw windows that overlap as one, and list each once",
        }
    }
}

/// What is wrong with an outline and its windows, in this order; what is off by no more than `by` is right.
pub(super) fn flaw(loops: &[Polygon], by: f64) -> Option<Flaw> {
    let (outline, windows) = loops.split_first()?;
    let Some(clean) = polygon::cleaned(outline) else {
        return Some(Flaw::Empty);
    };
    let meeting = first_crossing(loops, by);
    let own = |index: usize| meeting.filter(|it| it.loops == (index, index));
    if let Some(it) = own(0) {
        return Some(Flaw::Crossed(Some(it.at)));
    }
    if crosses_itself(&clean, by) {
        return Some(Flaw::Crossed(None));
    }
    let clean: Vec<Polygon> = windows
        .iter()
        .filter_map(|it| polygon::cleaned(it))
        .collect();
    if let Some(it) = (1..loops.len()).find_map(own) {
        return Some(Flaw::WindowCrossed(Some(it.at)));
    }
    if clean.iter().any(|window| crosses_itself(window, by)) {
        return Some(Flaw::WindowCrossed(None));
    }
    let leaves = |p: &&Point| {
        !polygon::encloses(outline, **p) && polygon::distance_to_edges(outline, **p) > by
    };
    let astray = windows.iter().flatten().find(leaves).copied();
    let through = meeting.filter(|it| it.loops.0 == 0).map(|it| it.at);
    if let Some(at) = astray.or(through) {
        return Some(Flaw::Astray(at));
    }
    let separate: f64 = clean.iter().map(|it| polygon::signed_area(it)).sum();
    let covered = area(&clean, FillRule::NonZero);
    let slack = slack(clean.iter().flatten(), clean.iter().map(around).sum(), by);
    (meeting.is_some() || separate - covered > slack).then_some(Flaw::Overlap)
}

/// Where two edges cross.
#[derive(Clone, Copy)]
struct Crossing {
    /// The loops that the edges are of, the first of them first.
    loops: (usize, usize),
    at: Point,
}

/// An edge, the loop that it is of, and the box around it.
struct Side {
    of: usize,
    ends: (Point, Point),
    bounds: Bounds,
}

/// Two edges that cross clearly, each with its ends farther than `by` from the other's line; those of the
/// first loops first.
fn first_crossing(loops: &[Polygon], by: f64) -> Option<Crossing> {
    let edges = loops.iter().enumerate();
    let edges = edges.flat_map(|(of, ring)| polygon::edges(ring).map(move |ends| (of, ends)));
    let mut sides: Vec<Side> = edges
        .map(|(of, ends)| Side {
            of,
            ends,
            bounds: Bounds::around([ends.0, ends.1]),
        })
        .collect();
    sides.sort_by(|a, b| a.bounds.min.x.total_cmp(&b.bounds.min.x));
    let mut open: Vec<&Side> = Vec::new();
    let mut first: Option<Crossing> = None;
    for side in &sides {
        open.retain(|other| other.bounds.max.x >= side.bounds.min.x);
        for other in open.iter().filter(|it| it.bounds.meets(side.bounds)) {
            let loops = (side.of.min(other.of), side.of.max(other.of));
            let sooner = first.is_none_or(|known| loops < known.loops);
            if sooner && let Some(at) = crossing(side.ends, other.ends, by) {
                first = Some(Crossing { loops, at });
            }
        }
        open.push(side);
    }
    first
}

/// Where two stretches cross clearly.
fn crossing((a, b): (Point, Point), (c, d): (Point, Point), by: f64) -> Option<Point> {
    let off = |p: Point, from: Point, to: Point| {
        (to - from).cross(p - from) / polygon::distance(from, to).max(f64::MIN_POSITIVE)
    };
    let (p, q) = (off(a, c, d), off(b, c, d));
    let (r, s) = (off(c, a, b), off(d, a, b));
    let parts = |x: f64, y: f64| x * y < 0.0 && x.abs().min(y.abs()) > by;
    (parts(p, q) && parts(r, s)).then(|| a.lerp(b, p / (p - q)))
}

/// Whether what a polygon goes around is not what it bounds: some of it more than once, or the other way.
fn crosses_itself(polygon: &Polygon, by: f64) -> bool {
    let bounded = area(std::slice::from_ref(polygon), FillRule::EvenOdd);
    let slack = slack(polygon.iter(), around(polygon), by);
    (bounded - polygon::signed_area(polygon)).abs() > slack
}

/// The area that polygons cover by a rule.
fn area(polygons: &[Polygon], rule: FillRule) -> f64 {
    let contour = |ring: &Polygon| -> Vec<[f64; 2]> { ring.iter().map(|p| [p.x, p.y]).collect() };
    let subject: Vec<Vec<[f64; 2]>> = polygons.iter().map(contour).collect();
    let nothing: Vec<Vec<[f64; 2]>> = Vec::new();
    let covered = subject.overlay(&nothing, OverlayRule::Subject, rule);
    let signed = |ring: &Vec<[f64; 2]>| {
        let points: Polygon = ring.iter().map(|[x, y]| Point::new(*x, *y)).collect();
        polygon::signed_area(&points)
    };
    covered.iter().flatten().map(signed).sum::<f64>().abs()
}

fn around(polygon: &Polygon) -> f64 {
    polygon::edges(polygon)
        .map(|(a, b)| polygon::distance(a, b))
        .sum()
}

/// How much areas may differ where all edges are off by no more than `by` or a step of the grid.
fn slack<'a>(points: impl Iterator<Item = &'a Point>, length: f64, by: f64) -> f64 {
    let bounds = Bounds::around(points.copied());
    let extent = bounds.width().max(bounds.height());
    length * by.max(GRID * extent)
}
