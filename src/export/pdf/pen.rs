//! What a page is drawn with: the strokes, fills and words of its pictures.

use pdf_writer::types::{LineCapStyle, LineJoinStyle};
use pdf_writer::{Content, Name, Str};

use super::curve::Trace;
use super::letters::Fonts;
use super::{ARC_TOLERANCE, PdfPage, PdfView};
use crate::elementary;
use crate::export::picture::{Chain, Dash, Ink, Item, Shape, Stroke, THINNEST, Words};
use crate::geometry::{Bounds, Point, Vector};

/// Points (1/72 in) of a millimetre.
pub(super) const POINTS: f64 = 72.0 / 25.4;

/// Coordinates are written to so many parts of a point: a part is 0.000 035 mm.
const PARTS: f64 = 1e4;

/// No stroke of a word is thicker than this, mm.
const THICKEST_LETTER: f64 = 0.35;

/// The drawing commands of a page; the letters of its words are added to `fonts`.
pub(super) fn contents(page: &PdfPage, fonts: &mut Fonts) -> Vec<u8> {
    let mut pen = Pen {
        content: Content::new(),
        origin: Vector::default(),
        held: Held::default(),
        fonts,
    };
    for view in &page.views {
        pen.view(view);
    }
    pen.content.finish().into_vec()
}

/// A length on paper in points.
pub(super) fn points(mm: f64) -> f32 {
    ((mm * POINTS * PARTS).round() / PARTS) as f32
}

/// Draws on one page.
struct Pen<'a> {
    content: Content,
    origin: Vector,
    held: Held,
    fonts: &'a mut Fonts,
}

/// What was set last, so that it is not set again.
#[derive(Debug, Clone, PartialEq, Default)]
struct Held {
    stroke: Option<Stroke>,
    fill: Option<Ink>,
    font: Option<(String, f64)>,
}

impl Pen<'_> {
    fn view(&mut self, view: &PdfView) {
        let Bounds { min, max } = view.window;
        self.origin = view.origin;
        self.held = Held::default();
        self.content.save_state();
        self.content.rect(
            points(min.x),
            points(min.y),
            points(max.x - min.x),
            points(max.y - min.y),
        );
        self.content.clip_nonzero().end_path();
        self.content.set_line_join(LineJoinStyle::RoundJoin);
        for item in &view.picture.items {
            let around = item.bounds().grown(reach(item));
            let on_page = Bounds::around([around.min + view.origin, around.max + view.origin]);
            if on_page.meets(view.window) {
                self.item(item);
            }
        }
        self.content.restore_state();
    }

    fn item(&mut self, item: &Item) {
        match item {
            Item::Shape(shape) => self.shape(shape),
            Item::Words(words) => self.words(words),
        }
    }

    fn shape(&mut self, shape: &Shape) {
        // State cannot change while a path is under way.
        if let Some(ink) = shape.fill {
            self.fill(ink);
        }
        if let Some(stroke) = shape.stroke {
            self.stroke(stroke);
        }
        for chain in &shape.chains {
            self.chain(chain);
        }
        match (shape.fill, shape.stroke) {
            (Some(_), Some(_)) => self.content.fill_even_odd_and_stroke(),
            (Some(_), None) => self.content.fill_even_odd(),
            (None, Some(_)) => self.content.stroke(),
            (None, None) => self.content.end_path(),
        };
    }

    fn fill(&mut self, ink: Ink) {
        if self.held.fill != Some(ink) {
            let [r, g, b] = rgb(ink);
            self.content.set_fill_rgb(r, g, b);
            self.held.fill = Some(ink);
        }
    }

    fn stroke(&mut self, stroke: Stroke) {
        let held = self.held.stroke.replace(stroke);
        if held == Some(stroke) {
            return;
        }
        if held.is_none_or(|it| it.ink != stroke.ink) {
            let [r, g, b] = rgb(stroke.ink);
            self.content.set_stroke_rgb(r, g, b);
        }
        let width = stroke.width.max(THINNEST);
        let dashes = stroke.dash.pattern().iter();
        let dashes = dashes.map(|multiple| points(multiple * width));
        // Round ends would fill the gaps of dashes.
        let ends = match stroke.dash {
            Dash::Solid => LineCapStyle::RoundCap,
            Dash::Dashed | Dash::DashDot | Dash::DashDotDot | Dash::Dotted => LineCapStyle::ButtCap,
        };
        self.content
            .set_line_width(points(width))
            .set_line_cap(ends)
            .set_dash_pattern(dashes, 0.0);
    }

    fn chain(&mut self, chain: &Chain) {
        let origin = self.origin;
        let trace = Trace {
            place: |p| place(p, origin),
            tolerance: ARC_TOLERANCE,
        };
        trace.chain(&mut self.content, chain);
    }

    /// Words in the letters of a font; as strokes where the fonts have no room for another letter.
    fn words(&mut self, words: &Words) {
        let mut pen = words.pen();
        pen.width = pen.width.clamp(THINNEST, THICKEST_LETTER);
        let Some((font, codes)) = self.fonts.coded(&words.text, pen.width / words.height) else {
            return self.shape(&Shape {
                stroke: Some(pen),
                ..words.strokes()
            });
        };
        // Some viewers draw letters in the ink of strokes, some in that of fills.
        self.fill(words.ink);
        self.stroke(pen);
        let (x, y) = place(words.start(), self.origin);
        let (sin, cos) = elementary::sin_cos(words.turn);
        let (sin, cos) = (sin as f32, cos as f32);
        self.content.begin_text();
        let wanted = Some((font, words.height));
        if self.held.font != wanted {
            self.held.font = wanted;
            if let Some((font, height)) = &self.held.font {
                self.content
                    .set_font(Name(font.as_bytes()), points(*height));
            }
        }
        self.content
            .set_text_matrix([cos, sin, -sin, cos, x, y])
            .show(Str(&codes))
            .end_text();
    }
}

fn place(p: Point, origin: Vector) -> (f32, f32) {
    let p = p + origin;
    (points(p.x), points(p.y))
}

/// How far ink may stand out from the box around an item, mm.
fn reach(item: &Item) -> f64 {
    match item {
        Item::Shape(shape) => shape.stroke.map_or(0.0, |stroke| stroke.width / 2.0),
        Item::Words(words) => words.height,
    }
}

fn rgb(ink: Ink) -> [f32; 3] {
    ink.rgb().map(|byte| f32::from(byte) / 255.0)
}
