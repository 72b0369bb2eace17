//! One plate with its dimensions drawn, and their labels in a column to either side.

use std::f64::consts::PI;

use rstar::RTree;

use super::{DRAFT, EDGE, MARGIN, MARK, NAME, WIDTH, name_of};
use crate::export::column::{Beside, Callout, Column, Scene, Target};
use crate::export::drafting::{Crossed, TIGHT};
use crate::export::finding_marks::FindingMarks;
use crate::export::marks;
use crate::export::opening_group::base_name;
use crate::export::picture::{Anchor, Chain, Dash, Ink, Picture, Words};
use crate::export::plate_body;
use crate::export::scaled::Scaled;
use crate::export::shown;
use crate::finding::Finding;
use crate::geometry::{Bounds, Contour, Point, Segment, Turning, Vector};
use crate::plate::{Datum, Mark, Plate};
use crate::quantity::format::{decimal, degrees, millimetres};
use crate::sketch::{Place, Reading, Sketch, Sketched, Station};

/// Room for a plate, mm.
const ROOM: Vector = Vector::new(80.0, 96.0);
/// Nothing is drawn more times as large.
const LARGEST: f64 = 2.0;
/// How far beyond the plate other things are shown, mm: short of the dimension lines.
const SHOWN: f64 = 3.0;
/// Height of the first line of a label and of the further ones, mm.
const LETTERS: [f64; 2] = [2.4, 2.1];
/// What is shorter on paper is no length to draw, mm.
const NOTHING: f64 = 0.4;
/// Dimension lines of one direction lie so far apart, mm.
const TIER: f64 = 3.2;
/// From the plate to the first dimension line outside, mm.
const OFF: f64 = 4.5;
/// How many tiers there are outside.
const TIERS: u32 = 4;

/// The view of a plate; `None` where nothing is read off it.
pub(super) fn view(sketch: &Sketch, index: usize) -> Option<Picture> {
    let title = name_of(sketch, &sketch.plates[index]).to_owned();
    let shown = (&sketch.plates[index], MarkLetters::Scribed);
    seen(sketch, index, shown, title).map(|(_, picture)| picture)
}

/// The same of a plate as it is cut in a job, with its datum and what is found of it; the frame is as wide as
/// what is shown.
pub(super) fn view_of_cut(
    sketch: &Sketch,
    index: usize,
    plate: &Plate,
    findings: &[Finding],
) -> Option<Picture> {
    let (view, mut picture) = seen(sketch, index, (plate, MarkLetters::Words), plate.title())?;
    let datum = plate.datum();
    let at = view.scaled.point(datum.at);
    DRAFT.datum(&mut picture, &Datum { at, ..datum });
    let lines: Vec<Point> = view.lines.iter().copied().flat_map(paced).collect();
    let marks = FindingMarks {
        plate,
        scaled: view.scaled,
        draft: DRAFT,
    };
    marks.draw(&mut picture, findings, &lines);
    picture = picture.framed(1.5);
    picture.enlarged = (PRINTED / picture.frame.width()).min(1.0);
    Some(picture)
}

/// Places along a line, half a millimetre apart.
fn paced((start, end): (Point, Point)) -> Vec<Point> {
    Segment::Line { start, end }.paced(0.5).collect()
}

/// How wide a picture of the page is printed at most, mm: on A4 within its margins.
const PRINTED: f64 = 175.0;

/// How the words of marks are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum MarkLetters {
    /// By the lines that are scribed.
    Scribed,
    /// As words of the picture: a page is smaller for it.
    Words,
}

/// A view, and the picture of it.
fn seen(
    sketch: &Sketch,
    index: usize,
    (plate, letters): (&Plate, MarkLetters),
    title: String,
) -> Option<(View, Picture)> {
    let labels = labels(sketch, index);
    if labels.is_empty() {
        return None;
    }
    let mut view = View::of(plate);
    view.plate(plate, letters);
    let mut callouts = Vec::new();
    let mut told = Vec::new();
    for label in labels {
        let targets = match label.reading {
            LabelAt::Reading(reading) => view.reading(plate, reading),
            LabelAt::Row(opening) => Some(vec![Target::Edge(view.openings[opening].clone())]),
        };
        match targets {
            Some(targets) => callouts.push(Callout {
                lines: label.lines,
                targets,
            }),
            None => told.extend(label.lines),
        }
    }
    if told.is_empty() {
        told.push(format!("{} thick", millimetres(plate.thickness)));
    }
    let title = std::iter::once(title).chain(told);
    let picture = view.finished(callouts, title.collect::<Vec<_>>().join(", "));
    Some((view, picture))
}

/// What is said of one place.
struct Label<'a> {
    reading: LabelAt<'a>,
    lines: Vec<String>,
    here: Option<String>,
}

/// What a label is about.
#[derive(Debug, Clone, Copy)]
enum LabelAt<'a> {
    /// A dimension is read off there.
    Reading(&'a Reading),
    /// The opening, by its number, that a row of a list makes.
    Row(usize),
}

/// One label a place: the dimensions that are read off there, and what it measures if none of them is
/// just that.
fn labels(sketch: &Sketch, index: usize) -> Vec<Label<'_>> {
    let plate = &sketch.plates[index];
    let mut labels: Vec<Label> = Vec::new();
    for (dimension, place) in sketch.read_off(index) {
        let line = line(dimension, place);
        let here = place.here.map(|amount| here(&place.reading, amount));
        match labels.iter_mut().find(
            |it| matches!(it.reading, LabelAt::Reading(it) if is_same(plate, it, &place.reading)),
        ) {
            Some(label) => {
                label.lines.push(line);
                label.here = label.here.take().or(here);
            }
            None => labels.push(Label {
                reading: LabelAt::Reading(&place.reading),
                lines: vec![line],
                here,
            }),
        }
    }
    for label in &mut labels {
        label.lines.extend(label.here.take());
    }
    labels.extend(rows(sketch, index));
    labels
}

/// One label a row of a list, at the opening that the row makes.
fn rows(sketch: &Sketch, index: usize) -> impl Iterator<Item = Label<'_>> {
    let rows = sketch.dimensions.iter();
    let rows = rows.flat_map(|it| it.rows.iter().map(move |row| (it, row)));
    let here = rows.filter(move |(_, row)| row.plate == index);
    here.map(|(dimension, row)| Label {
        reading: LabelAt::Row(row.opening),
        lines: vec![format!("{}, row {}", dimension.name, row.number)],
        here: None,
    })
}

fn is_same(plate: &Plate, a: &Reading, b: &Reading) -> bool {
    match (a, b) {
        (Reading::Opening(a), Reading::Opening(b)) => is_alike(plate, *a, *b),
        _ => a == b,
    }
}

/// Whether two openings are of one name and size.
fn is_alike(plate: &Plate, a: usize, b: usize) -> bool {
    let name = |index: usize| base_name(&plate.openings[index].name);
    let length = |index: usize| plate.face.openings[index].length();
    name(a) == name(b) && (length(a) - length(b)).abs() < 0.02
}

fn line(dimension: &Sketched, place: &Place) -> String {
    let sign = match (&place.reading, place.here) {
        (Reading::Diameter(..) | Reading::Pitch(_), None) => "⌀",
        (Reading::Radius(..), None) => "R",
        _ => "",
    };
    format!("{} {sign}{}", dimension.name, dimension.short)
}

fn here(reading: &Reading, amount: f64) -> String {
    let shown = match reading {
        Reading::Angle { .. } => degrees(amount),
        Reading::Radius(..) => format!("R{}", decimal(amount, 2)),
        Reading::Length { .. } => format!("{} mm", decimal(amount, 2)),
        _ => format!("⌀{}", decimal(amount, 2)),
    };
    format!("here {shown}")
}

/// A plate on the page, in the making: all in mm on paper.
struct View {
    picture: Picture,
    scaled: Scaled,
    /// The edges of its openings.
    openings: Vec<Contour>,
    /// The box around it.
    around: Bounds,
    /// Points along the edges.
    edges: RTree<[f64; 2]>,
    /// Dimension lines there are.
    lines: Vec<(Point, Point)>,
    /// Radii of the arcs of angles there are.
    arcs: Vec<f64>,
}

impl View {
    fn of(plate: &Plate) -> Self {
        let size = plate.face.outside.bounds();
        let fits = (ROOM.x / size.width()).min(ROOM.y / size.height());
        let factor = fits.min(LARGEST);
        let middle = Point::new(WIDTH / 2.0, 0.0) - Point::ORIGIN;
        let scaled = Scaled::upright(factor, middle - (size.centre() - Point::ORIGIN) * factor);
        let contour = |it: &Contour| Contour::new(scaled.contour(it).segments);
        let outside = contour(&plate.face.outside);
        let openings: Vec<Contour> = plate.face.openings.iter().filter_map(contour).collect();
        let all = outside.iter().chain(&openings).flat_map(Contour::segments);
        let points = all.flat_map(|segment| segment.paced(0.5));
        let drawn = plate.marks.iter().filter_map(|it| match it {
            Mark::Line { from, to } => Some((*from, *to)),
            _ => None,
        });
        let drawn = drawn.chain(plate.bends.iter().map(|it| (it.from, it.to)));
        let drawn = drawn.map(|(from, to)| (scaled.point(from), scaled.point(to)));
        let drawn = drawn.flat_map(paced);
        let points = points.chain(drawn).map(|p| [p.x, p.y]);
        let edges = RTree::bulk_load(points.collect());
        Self {
            picture: Picture::new(plate.title()),
            scaled,
            around: scaled.bounds(size),
            openings,
            edges,
            lines: Vec::new(),
            arcs: Vec::new(),
        }
    }

    fn plate(&mut self, plate: &Plate, letters: MarkLetters) {
        let (width, ink, dash) = EDGE;
        let pen = DRAFT.pen(width, ink, dash);
        plate_body::draw(&mut self.picture, plate, self.scaled, pen);
        let holes = plate.openings.iter().filter_map(|it| it.circle);
        let holes: Vec<Crossed> = holes.map(|it| self.scaled.circle(it).into()).collect();
        DRAFT.centre_lines(&mut self.picture, &holes, &[]);
        let (width, ink, dash) = MARK;
        let pen = shown::pen(DRAFT.pen(width, ink, dash));
        let around = self.around.grown(SHOWN);
        shown::draw(&mut self.picture, plate, self.scaled, (around, 1.0), pen);
        for mark in &plate.marks {
            if let (
                Mark::Text {
                    at,
                    height,
                    turn,
                    text,
                },
                MarkLetters::Words,
            ) = (mark, letters)
            {
                self.picture.write(Words {
                    at: self.scaled.point(*at),
                    anchor: Anchor::Start,
                    height: height * self.scaled.factor,
                    turn: *turn,
                    ink: Ink::Mark,
                    text: text.clone(),
                });
                continue;
            }
            let pen = DRAFT.pen(width, ink, dash);
            marks::draw(&mut self.picture, mark, self.scaled, pen, 1.5);
        }
        for bend in &plate.bends {
            let pen = DRAFT.pen(width, ink, Dash::Dashed);
            let (from, to) = (self.scaled.point(bend.from), self.scaled.point(bend.to));
            self.picture.stroke(Chain::line(from, to), pen);
        }
    }

    /// Draws what is read off, and says what the leader of its label may point at; `None` for what
    /// shows on no edge.
    fn reading(&mut self, plate: &Plate, reading: &Reading) -> Option<Vec<Target>> {
        let spots = |view: &Self, spots: &[Point]| -> Vec<Target> {
            let spots = spots.iter().map(|it| Target::Spot(view.scaled.point(*it)));
            spots.collect()
        };
        Some(match reading {
            Reading::Thickness => return None,
            Reading::Opening(index) => {
                let alike = (0..self.openings.len()).filter(|it| is_alike(plate, *index, *it));
                alike
                    .map(|it| Target::Edge(self.openings[it].clone()))
                    .collect()
            }
            Reading::Diameter(_, at) | Reading::Radius(_, at) => spots(self, at),
            Reading::Spot(at) => spots(self, &[*at]),
            Reading::Pitch(circle) => {
                let circle = self.scaled.circle(*circle);
                DRAFT.centre_lines(&mut self.picture, &[], &[circle]);
                let turns = (0..24).map(|k| (f64::from(k) + 0.5) * PI / 12.0);
                let spots = turns.map(|it| circle.centre.polar(circle.radius, it));
                spots.map(Target::Spot).collect()
            }
            Reading::Length { along, from, to } => self.length(*along, [*from, *to]),
            Reading::Angle {
                about,
                turns,
                radius,
            } => self.angle(*about, *turns, *radius),
        })
    }

    /// A dimension line where it is clearest, with lines out to it from what it measures.
    fn length(&mut self, along: Vector, stations: [Station; 2]) -> Vec<Target> {
        let across = along.left();
        let ends = stations.map(|it| [self.scaled.point(it.from), self.scaled.point(it.to)]);
        let s = |p: Point| (p - Point::ORIGIN).dot(along);
        let t = |p: Point| (p - Point::ORIGIN).dot(across);
        let (start, end) = (s(ends[0][0]), s(ends[1][0]));
        if (end - start).abs() < NOTHING {
            return vec![Target::Spot(ends[1][0])];
        }
        let spans = ends.map(|[a, b]| (t(a).min(t(b)), t(a).max(t(b))));
        let at = |s: f64, t: f64| Point::ORIGIN + along * s + across * t;
        let corners = self.around.corners().map(t);
        let low = corners.iter().copied().fold(f64::INFINITY, f64::min);
        let high = corners.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let shared = (spans[0].0.max(spans[1].0), spans[0].1.min(spans[1].1));
        let mut places = vec![spans[0].0, spans[0].1, spans[1].0, spans[1].1];
        if shared.1 > shared.0 {
            let shares = [0.5, 0.3, 0.7, 0.15, 0.85];
            places.extend(shares.map(|it| shared.0 + (shared.1 - shared.0) * it));
        }
        for tier in 0..TIERS {
            let off = OFF + TIER * f64::from(tier);
            places.extend([low - off, high + off]);
        }
        let reach = |t: f64| {
            let out = |(low, high): (f64, f64)| (low - t).max(t - high).max(0.0);
            out(spans[0]) + out(spans[1])
        };
        let cost = |t: f64| 0.3 * reach(t) + self.clutter(at(start, t), at(end, t));
        let costs = places.into_iter().map(|t| (cost(t), t));
        let best = costs.min_by(|a, b| a.0.total_cmp(&b.0));
        let t = best.map_or(low - OFF, |(_, t)| t);
        let (from, to) = (at(start, t), at(end, t));
        for (span, s) in spans.into_iter().zip([start, end]) {
            let nearest = t.clamp(span.0, span.1);
            if let Some(out) = (at(s, t) - at(s, nearest)).unit() {
                let line = Chain::line(at(s, nearest) + out * 0.6, at(s, t) + out * 1.2);
                self.picture.stroke(line, DRAFT.aid());
            }
        }
        self.lines.push((from, to));
        DRAFT.between(&mut self.picture, [from, to]);
        let shares = [0.5, 0.35, 0.65];
        shares.map(|it| Target::Line(from.lerp(to, it))).to_vec()
    }

    /// What speaks against a dimension line in a place: edges under it, and others beside it.
    fn clutter(&self, from: Point, to: Point) -> f64 {
        let length = from.distance(to);
        let steps = length.ceil().max(2.0);
        let inner = (1..steps as u32).map(|k| from.lerp(to, f64::from(k) / steps));
        let on_edges = inner.filter(|p| {
            let near = self.edges.locate_within_distance([p.x, p.y], 0.7 * 0.7);
            near.count() > 0
        });
        let way = (to - from).unit().unwrap_or_default();
        let beside = self.lines.iter().filter(|(a, b)| {
            let is_parallel = (*b - *a).unit().is_some_and(|it| it.cross(way).abs() < 0.1);
            let s = |p: Point| (p - from).dot(way);
            let (low, high) = (s(*a).min(s(*b)), s(*a).max(s(*b)));
            let off = (*a - from).cross(way).abs();
            is_parallel && off < TIER * 0.9 && low < length + 1.0 && high > -1.0
        });
        1.2 * on_edges.count() as f64 + 60.0 * beside.count() as f64
    }

    /// An arc between two directions, where no other is.
    fn angle(&mut self, about: Point, [from, to]: [f64; 2], radius: f64) -> Vec<Target> {
        let about = self.scaled.point(about);
        let mut radius = (radius * self.scaled.factor).max(6.0);
        while self.arcs.iter().any(|it| (it - radius).abs() < TIER) && radius > 2.0 * TIER {
            radius -= TIER;
        }
        self.arcs.push(radius);
        let at = |turn: f64| about.polar(radius, turn);
        if (to - from).abs() * radius < NOTHING {
            return vec![Target::Spot(at(to))];
        }
        let pen = DRAFT.pen(DRAFT.thin, Ink::Aid, Dash::DashDot);
        for turn in [from, to] {
            let line = Chain::line(about, about.polar(radius + 2.0, turn));
            self.picture.stroke(line, pen);
        }
        // In halves: an arc has no more than a half turn.
        let middle = f64::midpoint(from, to);
        let arc = |from: f64, to: f64| Segment::Arc {
            start: at(from),
            end: at(to),
            centre: about,
            radius,
            turning: Turning::of(to - from),
        };
        let halves = vec![arc(from, middle), arc(middle, to)];
        self.picture.stroke(Chain::open(halves), DRAFT.aid());
        if (to - from).abs() * radius > TIGHT {
            let way = if to > from { 1.0 } else { -1.0 };
            let tangent = |turn: f64| Vector::from_angle(turn).left() * way;
            DRAFT.arrow(&mut self.picture, at(from), -tangent(from));
            DRAFT.arrow(&mut self.picture, at(to), tangent(to));
        }
        let turns = [0.5, 0.35, 0.65].map(|it| from + (to - from) * it);
        turns.map(|it| Target::Line(at(it))).to_vec()
    }

    /// The picture with its labels to either side, and the plate's name above.
    fn finished(&mut self, callouts: Vec<Callout>, title: String) -> Picture {
        let mut picture = std::mem::replace(&mut self.picture, Picture::new(""));
        let drawn = picture.items.iter();
        let drawn = drawn.fold(Bounds::EMPTY, |all, item| all.union(item.bounds()));
        let [left, right] = self.shared_out(callouts);
        let mut columns = [Beside::Left, Beside::Right].map(|beside| {
            let (start, end) = match beside {
                Beside::Left => (MARGIN, drawn.min.x - Column::LEADERS),
                Beside::Right => (drawn.max.x + Column::LEADERS, WIDTH - MARGIN),
            };
            Column {
                beside,
                draft: DRAFT,
                letters: LETTERS,
                left: start,
                width: end - start,
                bottom: drawn.min.y,
                top: drawn.max.y,
            }
        });
        let middle = drawn.centre().y;
        let mut around = drawn;
        for (column, callouts) in columns.iter_mut().zip([&left, &right]) {
            let height = column.height_of(callouts).max(drawn.height());
            column.bottom = middle - height / 2.0;
            column.top = middle + height / 2.0;
            around.min.y = around.min.y.min(column.bottom);
            around.max.y = around.max.y.max(column.top);
        }
        let scene = Scene {
            scaled: Scaled::TRUE,
            openings: Scene::boxed(&self.openings),
            lines: Vec::new(),
        };
        for (column, callouts) in columns.iter().zip([&left, &right]) {
            column.draw(&mut picture, callouts, &scene);
        }
        around.max.y += NAME + 3.0;
        let at = Point::new(MARGIN, around.max.y - NAME);
        let words = DRAFT.words(at, Anchor::Start, NAME, title);
        picture.write(words.fitted(WIDTH - 2.0 * MARGIN));
        picture.frame = Bounds {
            min: Point::new(0.0, around.min.y - 1.0),
            max: Point::new(WIDTH, around.max.y + 1.0),
        };
        picture
    }

    /// Labels for the left and for the right: each on the side where it points, those that can point
    /// to both where there are fewer.
    fn shared_out(&self, callouts: Vec<Callout>) -> [Vec<Callout>; 2] {
        let middle = self.around.centre().x;
        let x = |target: &Target| match target {
            Target::Edge(edge) => edge.bounds().centre().x,
            Target::Spot(p) | Target::Line(p) | Target::End(p, _) => p.x,
        };
        let lines = |them: &[Callout]| them.iter().map(|it| it.lines.len() + 1).sum::<usize>();
        let mut sides = [Vec::new(), Vec::new()];
        let mut either = Vec::new();
        let half = callouts.iter().map(|it| it.lines.len() + 1).sum::<usize>() / 2;
        for callout in callouts {
            let lefts = callout
                .targets
                .iter()
                .filter(|it| x(it) < middle - 2.0)
                .count();
            let rights = callout
                .targets
                .iter()
                .filter(|it| x(it) > middle + 2.0)
                .count();
            match (lefts, rights) {
                (1.., 0) if lines(&sides[0]) < half + 3 => sides[0].push(callout),
                (0, 1..) if lines(&sides[1]) < half + 3 => sides[1].push(callout),
                _ => either.push(callout),
            }
        }
        for callout in either {
            let side = usize::from(lines(&sides[0]) > lines(&sides[1]));
            sides[side].push(callout);
        }
        sides
    }
}
