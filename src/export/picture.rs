//! A picture for people: shapes with strokes and fills, and words.
//!
//! In: what to show, in mm with y up. Out: a [`Picture`] that any picture format can draw; nothing
//! here knows one. Guaranteed: no meaning rests on colour alone. Inks differ in brightness, and lines
//! in thickness and dashes, so that a black-and-white print and a colour-blind reader lose nothing.

use std::ops::Range;

use super::Ends;
use crate::geometry::{Bounds, Circle, Contour, Face, Point, Pose, Region, Segment, Vector};
use crate::lettering;

/// Thickness of the strokes of letters as a share of the height of a capital (ISO 3098-1, lettering
/// type B: a tenth; from memory).
const LETTER_STROKE: f64 = 0.1;

/// No line is printed thinner than this, mm: the thin line of an ISO 128-2 group (0.18 and 0.35; from
/// memory).
pub const THINNEST: f64 = 0.18;

/// Everything to see, in drawing order.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// What it shows, for people who hear it instead.
    pub title: String,
    /// The part of the plane that is shown, mm.
    pub frame: Bounds,
    /// How many times as large it is meant to be on paper: its lines and letters are made for that.
    pub enlarged: f64,
    /// What is drawn, the first lowest.
    pub items: Vec<Item>,
    /// What belongs together, outer groups before those within them.
    pub groups: Vec<Group>,
}

/// Things in a picture that are one thing to whoever looks: a plate, a run, a dimension.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Group {
    /// Which of the picture's items.
    pub items: Range<usize>,
    /// What it is.
    pub tag: Tag,
}

/// What a group of things in a picture is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tag {
    /// Its kind, in one word: `plate`, `opening`, `run`.
    pub class: &'static str,
    /// The id by which reports point at it, if they do (`export::ids`).
    pub id: Option<String>,
    /// What it is, in plain words; empty where the words in it say it.
    pub says: String,
}

impl Tag {
    /// A kind, told in words.
    pub fn new(class: &'static str, says: impl Into<String>) -> Self {
        Self {
            class,
            id: None,
            says: says.into(),
        }
    }

    /// The same with an id.
    #[must_use]
    pub fn id(mut self, id: String) -> Self {
        self.id = Some(id);
        self
    }
}

/// One thing in a picture.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// Lines and areas.
    Shape(Shape),
    /// Words on one line.
    Words(Words),
}

/// Chains of lines and arcs, filled by the even-odd rule, so that openings stay open.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// The chains.
    pub chains: Vec<Chain>,
    /// What it is filled with, if it is.
    pub fill: Option<Ink>,
    /// How its edge is drawn, if it is.
    pub stroke: Option<Stroke>,
}

/// Lines and arcs end to end.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// The pieces in order, at least one.
    pub segments: Vec<Segment>,
    /// Whether the last ends where the first starts.
    pub ends: Ends,
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Thickness, mm.
    pub width: f64,
    /// Its ink.
    pub ink: Ink,
    /// Its dashes.
    pub dash: Dash,
}

/// Dashes of a line (ISO 128: their lengths follow from the thickness).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dash {
    /// Continuous.
    Solid,
    /// Dashed: fold lines.
    Dashed,
    /// Long dash and dot: centre lines and pitch circles.
    DashDot,
    /// Long dash and two dots: what stands near a plate and is no part of it.
    DashDotDot,
    /// Dotted: rapid moves.
    Dotted,
}

impl Dash {
    /// Lengths of dash and gap in turn, as multiples of the thickness.
    #[must_use]
    pub const fn pattern(self) -> &'static [f64] {
        match self {
            Self::Solid => &[],
            Self::Dashed => &[12.0, 5.0],
            Self::DashDot => &[24.0, 4.0, 1.5, 4.0],
            Self::DashDotDot => &[24.0, 4.0, 1.5, 4.0, 1.5, 4.0],
            Self::Dotted => &[1.5, 4.0],
        }
    }
}

/// What lines, areas and words are drawn in, by meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// Where nothing is.
    Paper,
    /// Metal of a sheet.
    Sheet,
    /// Metal of a plate.
    Plate,
    /// Edges, and words.
    Edge,
    /// Centre lines, dimensions, rapid moves.
    Aid,
    /// What the torch burns.
    Burn,
    /// Scribed and punched marks, fold lines.
    Mark,
}

impl Ink {
    /// Red, green and blue, 0 to 255. The two hues are a vermilion and a blue that colour-blind
    /// people tell apart (common practice, no source).
    #[must_use]
    pub const fn rgb(self) -> [u8; 3] {
        match self {
            Self::Paper => [0xff, 0xff, 0xff],
            Self::Sheet => [0xf3, 0xf3, 0xf0],
            Self::Plate => [0xdc, 0xe2, 0xe8],
            Self::Edge => [0x16, 0x1a, 0x1d],
            Self::Aid => [0x5c, 0x64, 0x6b],
            Self::Burn => [0xa8, 0x43, 0x00],
            Self::Mark => [0x00, 0x5a, 0x9c],
        }
    }
}

/// Words on one line.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    /// Where the foot of the line is, at `anchor` of its length.
    pub at: Point,
    /// Which part of the line stands there.
    pub anchor: Anchor,
    /// Height of a capital, mm.
    pub height: f64,
    /// Turn, radians counter-clockwise.
    pub turn: f64,
    /// Their ink.
    pub ink: Ink,
    /// The words.
    pub text: String,
}

/// Which part of a line of words stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

impl Words {
    /// How long a text is for capitals of a height, mm.
    #[must_use]
    pub fn length_of(text: &str, height: f64) -> f64 {
        lettering::width(text, height)
    }

    /// How long the line is, mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        Self::length_of(&self.text, self.height)
    }

    /// The words no longer than `most` mm: made smaller where they would be.
    #[must_use]
    pub fn fitted(self, most: f64) -> Self {
        let share = (most / self.length()).min(1.0);
        Self {
            height: self.height * share,
            ..self
        }
    }

    /// A box around the words.
    #[must_use]
    pub fn bounds(&self) -> Bounds {
        /// How far letters hang below their line and stand above a capital, as a share of its height.
        const BELOW: f64 = 0.4;
        const ABOVE: f64 = 0.25;
        let up = Vector::from_angle(self.turn).left();
        let along = Vector::from_angle(self.turn) * self.length();
        let low = self.start() - up * (BELOW * self.height);
        let high = self.start() + up * ((1.0 + ABOVE) * self.height);
        Bounds::around([low, low + along, high, high + along])
    }

    /// The words as strokes of the program's own letters, in their place: they look the same
    /// wherever they are shown.
    #[must_use]
    pub fn strokes(&self) -> Shape {
        let pose = Pose::new(self.turn, self.start() - Point::ORIGIN);
        let placed = |stroke: lettering::Stroke| {
            Chain::open(stroke.iter().map(|piece| piece.posed(&pose)).collect())
        };
        Shape {
            chains: lettering::strokes(&self.text, self.height)
                .into_iter()
                .map(placed)
                .collect(),
            fill: None,
            stroke: Some(self.pen()),
        }
    }

    /// How its strokes are drawn.
    #[must_use]
    pub fn pen(&self) -> Stroke {
        Stroke {
            width: LETTER_STROKE * self.height,
            ink: self.ink,
            dash: Dash::Solid,
        }
    }

    /// The foot of the first letter.
    pub(super) fn start(&self) -> Point {
        let length = self.length();
        let before = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => length / 2.0,
            Anchor::End => length,
        };
        self.at - Vector::from_angle(self.turn) * before
    }
}

impl Stroke {
    /// A line of a thickness in mm.
    #[must_use]
    pub const fn new(width: f64, ink: Ink, dash: Dash) -> Self {
        Self { width, ink, dash }
    }
}

impl Chain {
    /// A closed chain around a contour.
    #[must_use]
    pub fn around(contour: &Contour) -> Self {
        Self {
            segments: contour.segments().to_vec(),
            ends: Ends::Closed,
        }
    }

    /// The lines from each point to the next.
    #[must_use]
    pub fn through(points: &[Point]) -> Self {
        let line = |two: &[Point]| Segment::Line {
            start: two[0],
            end: two[1],
        };
        Self::open(points.windows(2).map(line).collect())
    }

    /// The lines from each point to the next, and back to the first.
    #[must_use]
    pub fn polygon(corners: &[Point]) -> Self {
        let mut corners = corners.to_vec();
        corners.extend(corners.first().copied());
        Self {
            ends: Ends::Closed,
            ..Self::through(&corners)
        }
    }

    /// A straight line.
    #[must_use]
    pub fn line(start: Point, end: Point) -> Self {
        Self::open(vec![Segment::Line { start, end }])
    }

    /// An open chain.
    #[must_use]
    pub const fn open(segments: Vec<Segment>) -> Self {
        Self {
            segments,
            ends: Ends::Open,
        }
    }
}

impl Picture {
    /// A picture of nothing yet.
    pub fn new(title: impl Into<String>) -> Self {
        Self {
            title: title.into(),
            frame: Bounds::EMPTY,
            enlarged: 1.0,
            items: Vec::new(),
            groups: Vec::new(),
        }
    }

    /// Draws what belongs together.
    pub fn grouped<T>(&mut self, tag: Tag, draw: impl FnOnce(&mut Self) -> T) -> T {
        let (first, place) = (self.items.len(), self.groups.len());
        let items = first..first;
        self.groups.push(Group { items, tag });
        let drawn = draw(self);
        self.groups[place].items.end = self.items.len();
        if self.groups[place].items.is_empty() {
            self.groups.remove(place);
        }
        drawn
    }

    /// Takes in all of another picture, moved.
    pub(super) fn take_in(&mut self, other: &Self, by: Vector) {
        let first = self.items.len();
        self.groups.extend(other.groups.iter().map(|it| Group {
            items: it.items.start + first..it.items.end + first,
            tag: it.tag.clone(),
        }));
        self.items.extend(other.items.iter().map(|it| it.moved(by)));
    }

    /// Draws chains.
    pub fn draw(&mut self, chains: Vec<Chain>, fill: Option<Ink>, stroke: Option<Stroke>) {
        if chains.is_empty() {
            return;
        }
        self.items.push(Item::Shape(Shape {
            chains,
            fill,
            stroke,
        }));
    }

    /// Draws one open line or chain.
    pub fn stroke(&mut self, chain: Chain, stroke: Stroke) {
        self.draw(vec![chain], None, Some(stroke));
    }

    /// Draws a face with its openings open.
    pub fn face(&mut self, face: &Face, fill: Ink, stroke: Stroke) {
        let chains = face.contours();
        self.draw(
            chains.map(Chain::around).collect(),
            Some(fill),
            Some(stroke),
        );
    }

    /// Draws a region with its openings open.
    pub fn region(&mut self, region: &Region, fill: Ink, stroke: Stroke) {
        let chains = region.contours().map(Chain::around).collect();
        self.draw(chains, Some(fill), Some(stroke));
    }

    /// The straight lines drawn so far.
    pub(super) fn straight_lines(&self) -> impl Iterator<Item = (Point, Point)> {
        let shapes = self.items.iter().filter_map(|it| match it {
            Item::Shape(shape) if shape.fill.is_none() => Some(shape),
            _ => None,
        });
        let segments = shapes.flat_map(|it| &it.chains).flat_map(|it| &it.segments);
        segments.filter_map(|it| match it {
            Segment::Line { start, end } => Some((*start, *end)),
            Segment::Arc { .. } => None,
        })
    }

    /// Draws a circle.
    pub fn circle(&mut self, circle: Circle, fill: Option<Ink>, stroke: Option<Stroke>) {
        let contour = Contour::circle(circle.centre, circle.radius);
        self.draw(vec![Chain::around(&contour)], fill, stroke);
    }

    /// Writes words.
    pub fn write(&mut self, words: Words) {
        self.items.push(Item::Words(words));
    }

    /// A stroke as it is drawn: as thick as it is meant, but never too thin to print.
    #[must_use]
    pub fn printable(&self, stroke: Stroke) -> Stroke {
        Stroke {
            width: stroke.width.max(THINNEST / self.enlarged),
            ..stroke
        }
    }

    /// Sets the frame around everything drawn so far, with a margin in mm.
    #[must_use]
    pub fn framed(mut self, margin: f64) -> Self {
        self.frame = self
            .items
            .iter()
            .fold(Bounds::EMPTY, |bounds, item| bounds.union(item.bounds()))
            .grown(margin);
        self
    }
}

impl Item {
    /// The same elsewhere.
    pub(super) fn moved(&self, by: Vector) -> Self {
        match self {
            Self::Words(words) => {
                let mut words = words.clone();
                words.at = words.at + by;
                Self::Words(words)
            }
            Self::Shape(shape) => {
                let pose = Pose::shifted(by);
                let mut shape = shape.clone();
                for segment in shape.chains.iter_mut().flat_map(|it| &mut it.segments) {
                    *segment = segment.posed(&pose);
                }
                Self::Shape(shape)
            }
        }
    }

    /// The smallest box around it, without the thickness of its lines.
    #[must_use]
    pub fn bounds(&self) -> Bounds {
        match self {
            Self::Words(words) => words.bounds(),
            Self::Shape(shape) => shape.bounds(),
        }
    }
}

impl Shape {
    /// The smallest box around it, without the thickness of its lines.
    pub(super) fn bounds(&self) -> Bounds {
        let segments = self.chains.iter().flat_map(|chain| &chain.segments);
        segments.fold(Bounds::EMPTY, |bounds, segment| {
            bounds.union(segment.bounds())
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance of an ink (IEC 61966-2-1 transfer, BT.709 weights): what is left of it on
    /// a black-and-white print.
    fn luminance(ink: Ink) -> f64 {
        let linear = |byte: u8| {
            let c = f64::from(byte) / 255.0;
            if c <= 0.040_45 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        };
        let [r, g, b] = ink.rgb().map(linear);
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    #[test]
    fn lines_and_words_stand_out_from_every_ground_without_colour() {
        for line in [Ink::Edge, Ink::Aid, Ink::Burn, Ink::Mark] {
            for ground in [Ink::Paper, Ink::Sheet, Ink::Plate] {
                let contrast = (luminance(ground) + 0.05) / (luminance(line) + 0.05);
                // WCAG 2.1: words need a contrast of 4.5 to 1 (1.4.3), graphics of 3 to 1 (1.4.11).
                assert!(contrast > 4.5, "{line:?} on {ground:?}: {contrast}");
            }
        }
    }

    #[test]
    fn words_are_strokes_within_their_box_whatever_their_turn() {
        for (anchor, turn) in [
            (Anchor::Start, 0.0),
            (Anchor::Middle, 1.0),
            (Anchor::End, -2.0),
        ] {
            let words = Words {
                at: Point::new(3.0, 4.0),
                anchor,
                height: 5.0,
                turn,
                ink: Ink::Edge,
                text: "4 × ⌀10.5 (jolly)".to_owned(),
            };
            let strokes = words.strokes();
            let drawn = Item::Shape(strokes.clone()).bounds();
            assert!(words.bounds().holds(drawn), "{drawn:?}");
            assert_eq!(strokes.stroke.map(|it| it.width), Some(0.5));
        }
    }

    #[test]
    fn the_frame_holds_shapes_and_words() {
        let mut picture = Picture::new("test");
        let circle = Circle {
            centre: Point::ORIGIN,
            radius: 10.0,
        };
        picture.circle(circle, Some(Ink::Plate), None);
        picture.write(Words {
            at: Point::new(0.0, -20.0),
            anchor: Anchor::End,
            height: 5.0,
            turn: 0.0,
            ink: Ink::Edge,
            text: "twenty".to_owned(),
        });
        let frame = picture.framed(1.0).frame;
        assert_eq!(frame.max, Point::new(11.0, 11.0));
        let length = Words::length_of("twenty", 5.0);
        assert!((frame.min.x + length + 1.0).abs() < 1e-9 && frame.min.y < -22.0);
    }
}
