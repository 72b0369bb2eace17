//! PDF, from pages that pictures lie on.
//!
//! In: a [`Document`] of pages, each with pictures in mm, y up. Out: a file whose page boxes are the
//! paper, which asks viewers not to scale it. Guaranteed: one millimetre of a picture is one
//! millimetre on paper; an arc is drawn as cubic curves that leave it by less than
//! [`ARC_TOLERANCE`]; a coordinate is off by rounding (PDF numbers are single precision) by less
//! than 0.0003 mm up to 3.5 m from the corner of the page; words are strokes, so no font is needed;
//! the same document gives the same bytes.

use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::{LineCapStyle, LineJoinStyle};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, TextStr};

use super::picture::{Chain, Dash, Ink, Item, Picture, Shape, Stroke, THINNEST, Words};
use super::{Ends, Exporter};
use crate::fault::Outcome;
use crate::geometry::{Bounds, Point, Segment, Turning, Vector};

/// How far a drawn curve may leave its arc, mm.
pub const ARC_TOLERANCE: f64 = 0.0005;

/// Points (1/72 in) of a millimetre.
const POINTS: f64 = 72.0 / 25.4;

/// No stroke of a word is thicker than this, mm.
const THICKEST_LETTER: f64 = 0.35;

/// How hard pages are packed, from 0 to 10: the fastest. Harder levels take half the time of all files
/// of a run, for a fifth less bytes.
const PACKING: u8 = 1;

/// Pages in order.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// What viewers call it.
    pub title: String,
    /// The pages, at least one.
    pub pages: Vec<Page>,
}

/// A page of paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Width, mm.
    pub width: f64,
    /// Height, mm.
    pub height: f64,
    /// What lies on it, the first lowest.
    pub views: Vec<View>,
}

/// A picture seen through a window of the page.
#[derive(Debug, Clone, PartialEq)]
pub struct View {
    /// The picture.
    pub picture: Picture,
    /// Where the origin of the picture lies on the page, mm from its lower left corner.
    pub origin: Vector,
    /// Nothing is drawn outside of this, mm from the lower left corner of the page.
    pub window: Bounds,
}

impl Page {
    /// A page as large as the frame of a picture.
    #[must_use]
    pub fn of(picture: Picture) -> Self {
        let Bounds { min, max } = picture.frame;
        let (width, height) = (max.x - min.x, max.y - min.y);
        Self {
            width,
            height,
            views: vec![View {
                picture,
                origin: Point::ORIGIN - min,
                window: Bounds {
                    min: Point::ORIGIN,
                    max: Point::new(width, height),
                },
            }],
        }
    }
}

/// The PDF format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PdfFile;

impl Exporter<Document> for PdfFile {
    fn extension(&self) -> &'static str {
        "pdf"
    }

    fn export(&self, document: &Document) -> Outcome<Vec<u8>> {
        Ok(pdf(document))
    }
}

const CATALOG: Ref = Ref::new(1);
const TREE: Ref = Ref::new(2);
const INFORMATION: Ref = Ref::new(3);

/// The bytes of a document.
#[must_use]
pub fn pdf(document: &Document) -> Vec<u8> {
    let mut pdf = Pdf::new();
    catalog(&mut pdf, document);
    // Each page takes two references after the first three: its own and its contents'.
    let numbers = || {
        (4..)
            .step_by(2)
            .map(|first: i32| (Ref::new(first), Ref::new(first + 1)))
    };
    let kids = || {
        document
            .pages
            .iter()
            .zip(numbers())
            .map(|(_, (own, _))| own)
    };
    let count = kids().fold(0, |count, _| count + 1);
    pdf.pages(TREE).kids(kids()).count(count);
    for (page, (own, contents)) in document.pages.iter().zip(numbers()) {
        let corner = (points(page.width), points(page.height));
        let mut written = pdf.page(own);
        written
            .media_box(Rect::new(0.0, 0.0, corner.0, corner.1))
            .parent(TREE)
            .contents(contents)
            .resources();
        written.finish();
        let packed = compress_to_vec_zlib(&contents_of(page), PACKING);
        pdf.stream(contents, &packed).filter(Filter::FlateDecode);
    }
    pdf.finish()
}

fn catalog(pdf: &mut Pdf, document: &Document) {
    let mut catalog = pdf.catalog(CATALOG);
    catalog.pages(TREE).lang(TextStr("en"));
    let mut wishes = catalog.viewer_preferences();
    wishes.display_doc_title(true);
    // Printing dialogues then start at actual size.
    wishes.pair(Name(b"PrintScaling"), Name(b"None"));
    wishes.finish();
    catalog.finish();
    pdf.document_info(INFORMATION)
        .title(TextStr(&document.title))
        .creator(TextStr("platewright"));
}

fn contents_of(page: &Page) -> Vec<u8> {
    let mut pen = Pen {
        content: Content::new(),
        origin: Vector::default(),
    };
    for view in &page.views {
        pen.view(view);
    }
    pen.content.finish().into_vec()
}

fn points(mm: f64) -> f32 {
    (mm * POINTS) as f32
}

/// Draws on one page.
struct Pen {
    content: Content,
    origin: Vector,
}

impl Pen {
    fn view(&mut self, view: &View) {
        let Bounds { min, max } = view.window;
        self.origin = view.origin;
        self.content.save_state();
        self.content.rect(
            points(min.x),
            points(min.y),
            points(max.x - min.x),
            points(max.y - min.y),
        );
        self.content.clip_nonzero().end_path();
        self.content
            .set_line_cap(LineCapStyle::RoundCap)
            .set_line_join(LineJoinStyle::RoundJoin);
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
        for chain in &shape.chains {
            self.chain(chain);
        }
        if let Some(ink) = shape.fill {
            let [r, g, b] = rgb(ink);
            self.content.set_fill_rgb(r, g, b);
        }
        if let Some(stroke) = shape.stroke {
            self.stroke(stroke);
        }
        match (shape.fill, shape.stroke) {
            (Some(_), Some(_)) => self.content.fill_even_odd_and_stroke(),
            (Some(_), None) => self.content.fill_even_odd(),
            (None, Some(_)) => self.content.stroke(),
            (None, None) => self.content.end_path(),
        };
    }

    fn stroke(&mut self, stroke: Stroke) {
        let [r, g, b] = rgb(stroke.ink);
        let width = stroke.width.max(THINNEST);
        let dashes = stroke.dash.pattern().iter();
        let dashes = dashes.map(|multiple| points(multiple * width));
        // Round ends would fill the gaps of dashes.
        let ends = match stroke.dash {
            Dash::Solid => LineCapStyle::RoundCap,
            Dash::Dashed | Dash::DashDot | Dash::Dotted => LineCapStyle::ButtCap,
        };
        self.content
            .set_stroke_rgb(r, g, b)
            .set_line_width(points(width))
            .set_line_cap(ends)
            .set_dash_pattern(dashes, 0.0);
    }

    fn chain(&mut self, chain: &Chain) {
        let Some(first) = chain.segments.first() else {
            return;
        };
        let (x, y) = self.place(first.start());
        self.content.move_to(x, y);
        for segment in &chain.segments {
            self.segment(segment);
        }
        if chain.ends == Ends::Closed {
            self.content.close_path();
        }
    }

    fn segment(&mut self, segment: &Segment) {
        match *segment {
            Segment::Line { end, .. } => {
                let (x, y) = self.place(end);
                self.content.line_to(x, y);
            }
            Segment::Arc {
                start,
                end,
                centre,
                radius,
                turning,
            } => {
                let sweep = segment.sweep().abs();
                let count = curves(radius, sweep);
                let step = sweep / f64::from(count);
                let way = match turning {
                    Turning::Left => step,
                    Turning::Right => -step,
                };
                let from = (start - centre).angle();
                for i in 1..=count {
                    let angles = (from + way * f64::from(i - 1), from + way * f64::from(i));
                    let to = if i == count {
                        end
                    } else {
                        centre.polar(radius, angles.1)
                    };
                    self.curve(centre.polar(radius, angles.0), to, angles, radius);
                }
            }
        }
    }

    /// The cubic curve of an arc between two angles: its handles are tangents of
    /// `4/3 tan(sweep / 4)` radii.
    fn curve(&mut self, from: Point, to: Point, (a, b): (f64, f64), radius: f64) {
        let handle = 4.0 / 3.0 * ((b - a) / 4.0).tan() * radius;
        let (x1, y1) = self.place(from + Vector::from_angle(a).left() * handle);
        let (x2, y2) = self.place(to - Vector::from_angle(b).left() * handle);
        let (x3, y3) = self.place(to);
        self.content.cubic_to(x1, y1, x2, y2, x3, y3);
    }

    fn words(&mut self, words: &Words) {
        let mut shape = words.strokes();
        if let Some(stroke) = &mut shape.stroke {
            stroke.width = stroke.width.min(THICKEST_LETTER);
        }
        if !shape.chains.is_empty() {
            self.shape(&shape);
        }
    }

    fn place(&self, p: Point) -> (f32, f32) {
        let p = p + self.origin;
        (points(p.x), points(p.y))
    }
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

/// How many cubic curves an arc takes. One over `sweep` leaves its circle by at most
/// `2/27 sin^6(sweep/4) / cos^2(sweep/4)` radii (plane geometry: the cubic touches the circle at its
/// middle and its ends).
fn curves(radius: f64, sweep: f64) -> u32 {
    let leaves = |count: u32| {
        let (sin, cos) = (sweep / f64::from(count) / 4.0).sin_cos();
        2.0 / 27.0 * sin.powi(6) / (cos * cos) * radius
    };
    let quarters = (sweep / std::f64::consts::FRAC_PI_2).ceil().max(1.0) as u32;
    let mut count = quarters;
    while leaves(count) > ARC_TOLERANCE {
        count += 1;
    }
    count
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{FRAC_PI_2, PI};

    use super::*;
    use crate::geometry::Circle;

    /// Numbers of a text in order.
    fn numbers(line: &str) -> Vec<f64> {
        line.split_whitespace()
            .filter_map(|word| word.parse().ok())
            .collect()
    }

    fn circle_page(radius: f64, at: f64) -> Page {
        let mut picture = Picture::new("circle");
        let circle = Circle {
            centre: Point::new(at, at),
            radius,
        };
        let pen = Stroke {
            width: 0.2,
            ink: Ink::Edge,
            dash: Dash::Solid,
        };
        picture.circle(circle, None, Some(pen));
        Page::of(picture.framed(5.0))
    }

    /// The largest distance of the drawn curves from their circle, mm, seen at 32 places of each.
    fn worst(radius: f64) -> f64 {
        let page = circle_page(radius, 0.0);
        let text = String::from_utf8(contents_of(&page)).expect("plain text");
        let centre = (page.width / 2.0, page.height / 2.0);
        let mut at = (0.0, 0.0);
        let mut worst: f64 = 0.0;
        for line in text.lines() {
            let it = numbers(line);
            if line.ends_with(" m") {
                at = (it[0], it[1]);
            }
            if !line.ends_with(" c") {
                continue;
            }
            for k in 0..=32 {
                let t = f64::from(k) / 32.0;
                let u = 1.0 - t;
                let mix = |a: f64, b: f64, c: f64, d: f64| {
                    u * u * u * a + 3.0 * u * u * t * b + 3.0 * u * t * t * c + t * t * t * d
                };
                let x = mix(at.0, it[0], it[2], it[4]) / POINTS - centre.0;
                let y = mix(at.1, it[1], it[3], it[5]) / POINTS - centre.1;
                worst = worst.max((x.hypot(y) - radius).abs());
            }
            at = (it[4], it[5]);
        }
        worst
    }

    #[test]
    fn curves_stay_on_their_arcs() {
        for radius in [1.0, 10.0, 85.0, 450.0, 1500.0] {
            let worst = worst(radius);
            assert!(worst < 0.001, "radius {radius}: off by {worst} mm");
            assert!(worst > 0.0);
        }
    }

    #[test]
    fn a_quarter_turn_in_one_curve_leaves_its_circle_as_published() {
        // 2.7e-4 of the radius: the usual figure for four curves to a circle (from memory).
        let (sin, cos) = (FRAC_PI_2 / 4.0).sin_cos();
        let leaves = 2.0 / 27.0 * sin.powi(6) / (cos * cos);
        assert!((leaves - 2.73e-4).abs() < 1e-6, "{leaves}");
        assert_eq!(curves(1.0, FRAC_PI_2), 1);
        assert!(curves(450.0, PI) > 4);
    }

    #[test]
    fn the_page_box_is_the_paper_and_scaling_is_off() {
        let mut page = circle_page(20.0, 0.0);
        (page.width, page.height) = (215.9, 279.4);
        let document = Document {
            title: "template".to_owned(),
            pages: vec![page],
        };
        let bytes = pdf(&document);
        let text = String::from_utf8_lossy(&bytes);
        assert!(text.contains("/MediaBox [0 0 612 792]"), "{text}");
        assert!(text.contains("/PrintScaling /None"));
        assert!(!text.contains("/Font"), "letters are strokes");
        assert_eq!(bytes, pdf(&document));
    }

    #[test]
    fn what_lies_outside_the_window_is_left_out() {
        let mut page = circle_page(20.0, 0.0);
        let curves = |page: &Page| {
            String::from_utf8_lossy(&contents_of(page))
                .matches(" c\n")
                .count()
        };
        assert!(curves(&page) > 0);
        page.views[0].origin = page.views[0].origin + Vector::new(500.0, 0.0);
        assert_eq!(curves(&page), 0);
    }
}
