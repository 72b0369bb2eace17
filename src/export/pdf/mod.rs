//! PDF, from pages that pictures lie on.
//!
//! In: a [`Document`] of pages, each with pictures in mm, y up. Out: a file whose page boxes are the
//! paper, which asks viewers not to scale it. Guaranteed: one millimetre of a picture is one
//! millimetre on paper; an arc is drawn as cubic curves that leave it by less than
//! [`ARC_TOLERANCE`]; a coordinate is off by rounding (PDF numbers are single precision) by less
//! than 0.0003 mm up to 3.5 m from the corner of the page; words are strokes of the program's own
//! letters, as fonts in the file, so that they can be found and copied and no font of the system is
//! needed; the same document gives the same bytes.

mod curve;
mod letters;
mod pen;

use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, TextStr};

use super::Exporter;
use super::picture::Picture;
use crate::fault::Outcome;
use crate::geometry::{Bounds, Point, Vector};
use letters::Fonts;
use pen::points;

/// How far a drawn curve may leave its arc, mm.
pub const ARC_TOLERANCE: f64 = 0.0005;

/// How hard pages are packed, from 0 to 10: the fastest. Harder levels take half the time of all files
/// of a run, for a fifth less bytes.
const PACKING: u8 = 1;

/// Pages in order.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// What viewers call it.
    pub title: String,
    /// The pages, at least one.
    pub pages: Vec<PdfPage>,
}

/// A page of paper.
#[derive(Debug, Clone, PartialEq)]
pub struct PdfPage {
    /// Width, mm.
    pub width: f64,
    /// Height, mm.
    pub height: f64,
    /// What lies on it, the first lowest.
    pub views: Vec<PdfView>,
}

/// A picture seen through a window of the page.
#[derive(Debug, Clone, PartialEq)]
pub struct PdfView {
    /// The picture.
    pub picture: Picture,
    /// Where the origin of the picture lies on the page, mm from its lower left corner.
    pub origin: Vector,
    /// Nothing is drawn outside of this, mm from the lower left corner of the page.
    pub window: Bounds,
}

impl PdfPage {
    /// A page as large as the frame of a picture.
    #[must_use]
    pub fn of(picture: Picture) -> Self {
        let Bounds { min, max } = picture.frame;
        let (width, height) = (max.x - min.x, max.y - min.y);
        Self {
            width,
            height,
            views: vec![PdfView {
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
    let mut fonts = Fonts::default();
    let contents = document
        .pages
        .iter()
        .map(|page| pen::contents(page, &mut fonts));
    let contents: Vec<Vec<u8>> = contents.collect();
    // Each page takes two references: its own and its contents'.
    let mut next = INFORMATION.next();
    let pages = document.pages.iter().zip(contents);
    let pages: Vec<_> = pages.map(|it| (next.bump(), next.bump(), it)).collect();
    let fonts = fonts.written(&mut pdf, next);
    let count = i32::try_from(pages.len()).unwrap_or(i32::MAX);
    pdf.pages(TREE)
        .kids(pages.iter().map(|it| it.0))
        .count(count);
    for (own, stream, (page, contents)) in pages {
        let corner = (points(page.width), points(page.height));
        let mut written = pdf.page(own);
        written
            .media_box(Rect::new(0.0, 0.0, corner.0, corner.1))
            .parent(TREE)
            .contents(stream);
        let mut resources = written.resources();
        if !fonts.is_empty() {
            let mut named = resources.fonts();
            for (name, font) in &fonts {
                named.pair(Name(name.as_bytes()), *font);
            }
        }
        resources.finish();
        written.finish();
        let packed = compress_to_vec_zlib(&contents, PACKING);
        pdf.stream(stream, &packed).filter(Filter::FlateDecode);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::picture::{Anchor, Dash, Ink, Stroke, Words};
    use crate::geometry::Circle;
    use pen::POINTS;

    fn contents_of(page: &PdfPage) -> Vec<u8> {
        pen::contents(page, &mut Fonts::default())
    }

    /// Numbers of a text in order.
    fn numbers(line: &str) -> Vec<f64> {
        line.split_whitespace()
            .filter_map(|word| word.parse().ok())
            .collect()
    }

    fn circle_page(radius: f64, at: f64) -> PdfPage {
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
        PdfPage::of(picture.framed(5.0))
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
        assert!(!text.contains("/Font"), "there are no words in it");
        assert_eq!(bytes, pdf(&document));
    }

    #[test]
    fn what_lies_outside_the_window_is_left_out() {
        let mut page = circle_page(20.0, 0.0);
        let curves = |page: &PdfPage| {
            String::from_utf8_lossy(&contents_of(page))
                .matches(" c\n")
                .count()
        };
        assert!(curves(&page) > 0);
        page.views[0].origin = page.views[0].origin + Vector::new(500.0, 0.0);
        assert_eq!(curves(&page), 0);
    }

    #[test]
    fn words_are_in_the_file_as_words_with_fonts_of_their_strokes() {
        let mut picture = Picture::new("words");
        for (height, text) in [(3.0, "hub bolt"), (3.0, "⌀10.5"), (8.0, "Räder")] {
            picture.write(Words {
                at: Point::ORIGIN,
                anchor: Anchor::Start,
                height,
                turn: 0.3,
                ink: Ink::Edge,
                text: text.to_owned(),
            });
        }
        let page = PdfPage::of(picture.framed(5.0));
        let text = String::from_utf8(contents_of(&page)).expect("plain text");
        assert!(text.contains("(hub bolt) Tj"), "{text}");
        let bytes = pdf(&Document {
            title: "words".to_owned(),
            pages: vec![page],
        });
        let file = String::from_utf8_lossy(&bytes);
        // A stroke is a tenth of the height of a capital, but never more than 0.35 mm.
        assert!(file.contains("/L100 ") && file.contains("/L44 "), "{file}");
        assert!(
            file.contains("<80> <2300>"),
            "the sign for a diameter can be found"
        );
    }
}
