//! The letters of a document's words, as fonts in its file.
//!
//! In: words, and how thick their strokes are. Out: the codes to show them by, and fonts (PDF's type 3:
//! each letter is drawn by commands) whose letters are the strokes of [`lettering`]. Guaranteed: only
//! letters that are used are in a font, and each tells which character it is, so that words can be found
//! and copied.

use std::collections::BTreeMap;

use pdf_writer::types::{LineCapStyle, LineJoinStyle, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str};

use super::curve::Trace;
use crate::export::picture::Chain;
use crate::geometry::Point;
use crate::lettering;

/// Height of a capital in a font, so that whole numbers place its lines finely enough.
const CAPITAL: f64 = 1000.0;

/// How far a curve of a letter may leave its arc: 0.0006 mm at a height of 3 mm.
const TOLERANCE: f64 = 0.2;

/// What is not plain ASCII has codes from here on.
const FIRST_OTHER: u8 = 128;

/// Fonts by the thickness of their strokes, in thousandths of the height of a capital.
#[derive(Debug, Default)]
pub(super) struct Fonts(BTreeMap<u16, Letters>);

/// The characters of a font by their codes.
#[derive(Debug, Default)]
struct Letters {
    codes: BTreeMap<char, u8>,
    others: u8,
}

impl Fonts {
    /// The name of the font for strokes of a share of the height of a capital, and the codes of a text
    /// in it; `None` if it has no room for another letter.
    pub(super) fn coded(&mut self, text: &str, stroke: f64) -> Option<(String, Vec<u8>)> {
        let thickness = (stroke * CAPITAL).round() as u16;
        let letters = self.0.entry(thickness).or_default();
        let codes: Option<Vec<u8>> = text.chars().map(|c| letters.code(c)).collect();
        Some((name(thickness), codes?))
    }

    /// Writes the fonts, with references from `next` on; gives their names and references.
    pub(super) fn written(self, pdf: &mut Pdf, next: Ref) -> Vec<(String, Ref)> {
        let mut next = next;
        let fonts = self.0.into_iter().map(|(thickness, letters)| {
            let own = next.bump();
            letters.write(pdf, own, &mut next, thickness);
            (name(thickness), own)
        });
        fonts.collect()
    }
}

fn name(thickness: u16) -> String {
    format!("L{thickness}")
}

impl Letters {
    /// The code of a character: its own if it is plain ASCII.
    fn code(&mut self, c: char) -> Option<u8> {
        if let Some(code) = self.codes.get(&c) {
            return Some(*code);
        }
        let code = if (' '..='~').contains(&c) {
            c as u8
        } else {
            let code = FIRST_OTHER.checked_add(self.others)?;
            self.others += 1;
            code
        };
        self.codes.insert(c, code);
        Some(code)
    }

    fn write(&self, pdf: &mut Pdf, own: Ref, next: &mut Ref, thickness: u16) {
        let mut by_code: Vec<(u8, char)> = self.codes.iter().map(|(c, code)| (*code, *c)).collect();
        by_code.sort_unstable();
        let glyphs: Vec<(String, Ref)> = by_code
            .iter()
            .map(|(code, c)| {
                let glyph = next.bump();
                pdf.stream(glyph, &drawn(*c, thickness));
                (format!("g{code}"), glyph)
            })
            .collect();
        let unicode = next.bump();
        let system = SystemInfo {
            registry: Str(b"Platewright"),
            ordering: Str(b"Letters"),
            supplement: 0,
        };
        let mut characters = UnicodeCmap::<u8>::new(Name(b"Letters"), system);
        for (code, c) in &by_code {
            characters.pair(*code, *c);
        }
        pdf.cmap(unicode, &characters.finish());
        let (first, last) = match (by_code.first(), by_code.last()) {
            (Some(first), Some(last)) => (first.0, last.0),
            _ => (0, 0),
        };
        let mut font = pdf.type3_font(own);
        // An empty box: viewers then look at what each letter draws.
        font.bbox(Rect::new(0.0, 0.0, 0.0, 0.0))
            .matrix([
                1.0 / CAPITAL as f32,
                0.0,
                0.0,
                1.0 / CAPITAL as f32,
                0.0,
                0.0,
            ])
            .first_char(first)
            .last_char(last)
            .widths((first..=last).map(|code| {
                let known = by_code.binary_search_by_key(&code, |it| it.0);
                known.map_or(0.0, |at| advance(by_code[at].1))
            }))
            .to_unicode(unicode);
        let mut encoding = font.encoding_custom();
        let mut codes = encoding.differences();
        for ((code, _), (name, _)) in by_code.iter().zip(&glyphs) {
            codes.consecutive(*code, [Name(name.as_bytes())]);
        }
        codes.finish();
        encoding.finish();
        let mut procedures = font.char_procs();
        for (name, glyph) in &glyphs {
            procedures.pair(Name(name.as_bytes()), *glyph);
        }
        procedures.finish();
        font.resources();
    }
}

/// From the start of a letter to that of the next.
fn advance(c: char) -> f32 {
    lettering::advance(c, CAPITAL).round() as f32
}

/// The commands that draw a letter.
fn drawn(c: char, thickness: u16) -> Vec<u8> {
    let mut content = Content::new();
    content
        .start_color_glyph(advance(c))
        .set_line_width(f32::from(thickness))
        .set_line_cap(LineCapStyle::RoundCap)
        .set_line_join(LineJoinStyle::RoundJoin)
        .set_dash_pattern([], 0.0);
    let trace = Trace {
        place: |p: Point| (p.x.round() as f32, p.y.round() as f32),
        tolerance: TOLERANCE,
    };
    let mut buffer = [0; 4];
    let strokes = lettering::strokes(c.encode_utf8(&mut buffer), CAPITAL);
    let is_empty = strokes.is_empty();
    for stroke in strokes {
        trace.chain(&mut content, &Chain::open(stroke));
    }
    if !is_empty {
        content.stroke();
    }
    content.finish().into_vec()
}
