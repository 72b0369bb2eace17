//! What is scribed on a plate: its name, which way is up, whether it is a left or a right one, ticks
//! where it folds, and the marks of its recipe, as strokes that any table can follow.
//!
//! In: a plate. Out: the plate with words and ticks among its marks, or with nothing to scribe
//! ([`Plate::scribed`]); and its marks as lines and arcs ([`Plate::strokes`]). Guaranteed: a stroke
//! never crosses an edge or lies on an opening; words that find no room are left out.

use std::f64::consts::{FRAC_PI_2, TAU};

use super::{Bend, Mark, Plate};
use crate::geometry::{Bounds, Circle, Clear, Contour, Face, Point, Pose, Segment, Vector};
use crate::lettering;

/// Whether plates are scribed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Scribing {
    /// With their names, the way up, left or right, fold ticks, and the marks of their recipes.
    #[default]
    On,
    /// Not at all; centres to punch stay.
    Off,
}

/// Something to scribe.
#[derive(Debug, Clone, PartialEq)]
pub enum Scribed {
    /// A whole circle.
    Circle(Circle),
    /// Lines and arcs end to end.
    Stroke(Vec<Segment>),
}

/// Heights that a name is tried at, mm: readable at arm's length down to barely (common practice, no
/// source).
const HEIGHTS: [f64; 5] = [8.0, 6.0, 5.0, 4.0, 3.0];
/// How far words keep from edges, openings and other marks, mm.
const ROOM: f64 = 2.0;
/// How far a stroke ends short of an edge, mm: half a wide kerf.
const SHORT_OF_EDGE: f64 = 1.0;
/// Share of the strokes of words that may be lost before it is told: less is rounding.
const LEAST_LOST: f64 = 0.001;
/// Length of a fold tick, mm.
const TICK: f64 = 6.0;
/// How many thicknesses past the inside radius the metal of a fold moves, about (common practice).
const FOLD_REACH: f64 = 2.0;

impl Plate {
    /// The plate with its name, its hand and fold ticks among its marks, or with nothing to scribe.
    #[must_use]
    pub fn scribed(mut self, scribing: Scribing) -> Self {
        match scribing {
            Scribing::Off => self.marks.retain(|it| matches!(it, Mark::Centre { .. })),
            Scribing::On => {
                // A name that leaves no room for the hand tells it too.
                let name = self.words_mark(&self.name);
                self.marks.extend(name);
                let hand = self.hand.word();
                let hand = hand.and_then(|word| {
                    self.words_mark(word)
                        .or_else(|| self.words_mark(&word[..1]))
                });
                self.marks.extend(hand);
                let ticks: Vec<Mark> = self
                    .bends
                    .iter()
                    .flat_map(|it| ticks(&self.face, it))
                    .collect();
                self.marks.extend(ticks);
            }
        }
        self
    }

    /// Whether its name is scribed on it.
    #[must_use]
    pub fn bears_its_name(&self) -> bool {
        let mut marks = self.marks.iter();
        marks.any(|it| matches!(it, Mark::Text { text, .. } if text.ends_with(&self.name)))
    }

    /// Its marks but the centres to punch, as strokes in the metal.
    #[must_use]
    pub fn strokes(&self) -> Vec<Scribed> {
        let metal = Metal::of(&self.face);
        let marks = self.marks.iter();
        marks.flat_map(|mark| strokes(&metal, mark)).collect()
    }

    /// Words of the recipe that do not lie in the metal as a whole: the words, where they begin, and the share
    /// of their strokes that is lost to openings, edges and what lies beyond.
    #[must_use]
    pub fn words_cut_short(&self) -> Vec<(&str, Point, f64)> {
        let words = self.marks.iter().filter_map(|mark| match mark {
            Mark::Text { text, at, .. } => Some((mark, text.as_str(), *at)),
            _ => None,
        });
        let mut words = words.peekable();
        if words.peek().is_none() {
            return Vec::new();
        }
        let metal = Metal::of(&self.face);
        let length = |pieces: &[Segment]| pieces.iter().map(Segment::length).sum::<f64>();
        let lost = words.filter_map(|(mark, text, at)| {
            let whole: f64 = mark.chains().iter().map(|it| length(it)).sum();
            let strokes = strokes(&metal, mark);
            let left = strokes.iter().map(|it| match it {
                Scribed::Stroke(pieces) => length(pieces),
                Scribed::Circle(circle) => TAU * circle.radius,
            });
            let lost = 1.0 - left.sum::<f64>() / whole;
            (lost > LEAST_LOST).then_some((text, at, lost))
        });
        lost.collect()
    }

    /// Words where they have most room, as high as they fit, with an arrow to the drawing's upper side
    /// unless the plate is round.
    fn words_mark(&self, words: &str) -> Option<Mark> {
        let lines = self.taken();
        let is_round = self.face.outside.as_circle().is_some();
        let turns = [0.0, FRAC_PI_2];
        let rooms = self.face.rooms(&Clear {
            clearance: ROOM,
            turns: &turns,
            lines: &lines,
        });
        for height in HEIGHTS {
            let text = |turn: f64| match (is_round, turn == 0.0) {
                (true, _) => words.to_owned(),
                (false, true) => format!("↑ {words}"),
                (false, false) => format!("→ {words}"),
            };
            // Either arrow has its own width: room for the wider one.
            let widths = turns.map(|turn| lettering::width(&text(turn), height));
            let widest = widths[0].max(widths[1]);
            let Some(room) = rooms.place_for(widest, 1.4 * height) else {
                continue;
            };
            let text = text(room.turn);
            let along = Vector::from_angle(room.turn);
            let back =
                along * (lettering::width(&text, height) / 2.0) + along.left() * (height / 2.0);
            return Some(Mark::Text {
                at: room.middle - back,
                height,
                turn: room.turn,
                text,
            });
        }
        None
    }

    /// What a name keeps off: the marks, and the metal that folds.
    fn taken(&self) -> Vec<Segment> {
        let mut lines = Vec::new();
        for mark in &self.marks {
            match mark {
                Mark::Centre { at } => {
                    lines.extend(Contour::circle(*at, ROOM).segments());
                }
                _ => lines.extend(mark.chains().into_iter().flatten()),
            }
        }
        for bend in &self.bends {
            let aside = (bend.to - bend.from).unit().unwrap_or_default().left()
                * (bend.radius + FOLD_REACH * self.thickness);
            for aside in [aside, Vector::new(0.0, 0.0), -aside] {
                lines.push(Segment::Line {
                    start: bend.from + aside,
                    end: bend.to + aside,
                });
            }
        }
        lines
    }
}

impl Mark {
    /// Its lines and arcs as chains, wherever they lie; none for a centre, which is punched.
    #[must_use]
    pub fn chains(&self) -> Vec<Vec<Segment>> {
        match self {
            Mark::Line { from, to } => vec![vec![Segment::Line {
                start: *from,
                end: *to,
            }]],
            Mark::Circle { centre, diameter } => {
                vec![Contour::circle(*centre, diameter / 2.0).segments().to_vec()]
            }
            Mark::Centre { .. } => Vec::new(),
            Mark::Text {
                at,
                height,
                turn,
                text,
            } => {
                let pose = Pose::new(*turn, *at - Point::ORIGIN);
                let placed =
                    |stroke: Vec<Segment>| stroke.iter().map(|it| it.posed(&pose)).collect();
                lettering::strokes(text, *height)
                    .into_iter()
                    .map(placed)
                    .collect()
            }
        }
    }
}

/// A face with a box around each piece of its edges.
struct Metal<'a> {
    face: &'a Face,
    edges: Vec<(Bounds, &'a Segment)>,
}

impl<'a> Metal<'a> {
    fn of(face: &'a Face) -> Self {
        let edges = face.contours();
        let pieces = edges.flat_map(Contour::segments);
        Self {
            face,
            edges: pieces.map(|it| (it.bounds(), it)).collect(),
        }
    }

    /// The pieces of its edges that a piece may come too near to.
    fn near(&self, piece: &Segment) -> Vec<&'a Segment> {
        let around = piece.bounds().grown(SHORT_OF_EDGE);
        let near = self.edges.iter().filter(|it| it.0.meets(around));
        near.map(|it| it.1).collect()
    }
}

/// What of a mark lies in the metal.
fn strokes(metal: &Metal, mark: &Mark) -> Vec<Scribed> {
    let mut found = Vec::new();
    for chain in mark.chains() {
        let parts: Vec<Vec<Segment>> = chain.iter().map(|it| in_metal(metal, it)).collect();
        let is_whole = parts
            .iter()
            .zip(&chain)
            .all(|(part, piece)| part == &[*piece]);
        match (is_whole, mark) {
            (true, Mark::Circle { centre, diameter }) => found.push(Scribed::Circle(Circle {
                centre: *centre,
                radius: diameter / 2.0,
            })),
            (true, _) => found.push(Scribed::Stroke(chain)),
            (false, _) => {
                let parts = parts.into_iter().flatten();
                found.extend(parts.map(|part| Scribed::Stroke(vec![part])));
            }
        }
    }
    found
}

/// The parts of a piece that lie in the metal, each short of the edges.
fn in_metal(metal: &Metal, piece: &Segment) -> Vec<Segment> {
    let length = piece.length();
    if length == 0.0 {
        return Vec::new();
    }
    let near = metal.near(piece);
    let gap = |p: Point| {
        let gaps = near.iter().map(|edge| edge.gap_to_point(p).distance);
        gaps.fold(f64::INFINITY, f64::min)
    };
    let mut cuts = vec![0.0, 1.0];
    for edge in &near {
        cuts.extend(piece.meeting_points(edge).map(|p| share_of(piece, p)));
    }
    cuts.sort_by(f64::total_cmp);
    let short = SHORT_OF_EDGE / length;
    let mut parts = Vec::new();
    for two in cuts.windows(2) {
        let (mut from, mut to) = (two[0], two[1]);
        if to <= from || !metal.face.contains(piece.point_at(from.midpoint(to))) {
            continue;
        }
        // At a slant, the end must draw back further to be as far from the edge.
        while from < to && gap(piece.point_at(from)) < SHORT_OF_EDGE {
            from += short / 2.0;
        }
        while from < to && gap(piece.point_at(to)) < SHORT_OF_EDGE {
            to -= short / 2.0;
        }
        if from < to {
            parts.push(piece.between(from, to));
        }
    }
    parts
}

/// How far along a piece a point of it lies, 0 at its start and 1 at its end.
fn share_of(piece: &Segment, p: Point) -> f64 {
    let share = match piece {
        Segment::Line { start, end } => {
            let run = *end - *start;
            (p - *start).dot(run) / run.dot(run)
        }
        Segment::Arc { start, centre, .. } => {
            let (a, b) = (*start - *centre, p - *centre);
            let turn = a.turn_to(b);
            let sweep = piece.sweep();
            (turn * sweep.signum()).rem_euclid(TAU) / sweep.abs()
        }
    };
    share.clamp(0.0, 1.0)
}

/// A short line at either end of a fold, in the metal: a line scribed right across it would be where a
/// crack starts (common practice, no source).
fn ticks(face: &Face, bend: &Bend) -> Vec<Mark> {
    let fold = Segment::Line {
        start: bend.from,
        end: bend.to,
    };
    let parts = in_metal(&Metal::of(face), &fold);
    let (Some(first), Some(last)) = (parts.first(), parts.last()) else {
        return Vec::new();
    };
    let tick = |part: &Segment, from: Point, to: Point| {
        let share = (TICK / part.length()).min(1.0);
        Mark::Line {
            from,
            to: from.lerp(to, share),
        }
    };
    vec![
        tick(first, first.start(), first.end()),
        tick(last, last.end(), last.start()),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bar of 200 by 30 mm with a hole of 16 mm in its middle.
    fn bar() -> Face {
        let corners = [
            (-100.0, -15.0),
            (100.0, -15.0),
            (100.0, 15.0),
            (-100.0, 15.0),
        ];
        let corners = corners.map(|(x, y)| Point::new(x, y));
        Face {
            outside: Contour::polygon(&corners).expect("a bar"),
            openings: vec![Contour::circle(Point::ORIGIN, 8.0).reversed()],
        }
    }

    fn line(from: (f64, f64), to: (f64, f64)) -> Mark {
        Mark::Line {
            from: Point::new(from.0, from.1),
            to: Point::new(to.0, to.1),
        }
    }

    fn lengths(mark: &Mark) -> Vec<f64> {
        let strokes = strokes(&Metal::of(&bar()), mark)
            .into_iter()
            .map(|it| match it {
                Scribed::Circle(circle) => TAU * circle.radius,
                Scribed::Stroke(pieces) => pieces.iter().map(Segment::length).sum(),
            });
        strokes.collect()
    }

    #[test]
    fn a_line_over_a_hole_and_past_the_edge_stays_in_the_metal() {
        let found = lengths(&line((-120.0, 0.0), (120.0, 0.0)));
        // From 1 mm within the edge to 1 mm before the hole, on either side.
        assert_eq!(found.len(), 2);
        for length in found {
            assert!((length - 90.0).abs() < 1.0, "{length}");
        }
    }

    #[test]
    fn what_lies_in_the_metal_stays_as_it_is() {
        assert_eq!(lengths(&line((20.0, 0.0), (80.0, 5.0))).len(), 1);
        let circle = |diameter| Mark::Circle {
            centre: Point::ORIGIN,
            diameter,
        };
        let face = bar();
        assert!(matches!(
            strokes(&Metal::of(&face), &circle(22.0))[..],
            [Scribed::Circle(_)]
        ));
        // A circle that leaves the bar at four places is two arcs or more, none of them whole.
        let arcs = strokes(&Metal::of(&face), &circle(60.0));
        assert!(arcs.len() >= 2 && arcs.iter().all(|it| matches!(it, Scribed::Stroke(_))));
        let in_bar = |p: Point| p.y.abs() <= 14.0 + 1e-6;
        for arc in arcs {
            let Scribed::Stroke(pieces) = arc else {
                continue;
            };
            for piece in pieces {
                assert!(
                    (0..=8).all(|k| in_bar(piece.point_at(f64::from(k) / 8.0))),
                    "{piece:?}"
                );
            }
        }
    }

    #[test]
    fn a_fold_is_ticked_at_its_ends_only() {
        let bend = Bend {
            from: Point::new(40.0, -15.0),
            to: Point::new(40.0, 15.0),
            angle: FRAC_PI_2,
            radius: 6.0,
            fold: crate::plate::Fold::Up,
        };
        let found = ticks(&bar(), &bend);
        let [Mark::Line { from, to }, Mark::Line { from: other, .. }] = &found[..] else {
            panic!("{found:?}");
        };
        assert!((from.distance(*to) - TICK).abs() < 1e-9);
        assert!(from.y < -13.0 && from.y > -14.6 && other.y > 13.0 && other.y < 14.6);
    }
}
