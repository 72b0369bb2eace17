//! SVG, from a [`Picture`].
//!
//! Guaranteed: true arcs (`A` commands), one unit is one millimetre, y is flipped once and here.
//! Words are strokes, so that no font is needed, and each carries its text as a title, escaped. A
//! picture has the size on paper that it is made for, up to that of an A3 sheet, and there no line is
//! too thin to print.
//! The text is the same for the same picture, and stands alone as a file as well as inside a page.

use std::fmt::Write as _;

use super::picture::{Chain, Dash, Ink, Item, Picture, Shape, Stroke, Words};
use super::{Ends, Exporter};
use crate::fault::Outcome;
use crate::geometry::{Bounds, Point, Segment, Turning};

/// The longest side that a picture has on paper, mm: that of A3 (ISO 216).
const LARGEST: f64 = 420.0;

/// Numbers of more thousandths than this are not counted in them: far beyond any picture.
const MOST_THOUSANDTHS: f64 = 1e15;

/// The SVG format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Svg;

impl Exporter<Picture> for Svg {
    fn extension(&self) -> &'static str {
        "svg"
    }

    fn export(&self, picture: &Picture) -> Outcome<Vec<u8>> {
        Ok(svg(picture).into_bytes())
    }
}

/// A picture as SVG text.
#[must_use]
pub fn svg(picture: &Picture) -> String {
    let page = SvgPage { picture };
    let (width, height) = (picture.frame.width(), picture.frame.height());
    let scale = picture.enlarged.min(LARGEST / width.max(height));
    let (across, down) = (number(width * scale), number(height * scale));
    let (width, height) = (number(width), number(height));
    let title = escaped(&picture.title);
    let paper = colour(Ink::Paper);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" width=\"{across}mm\" \
         height=\"{down}mm\" viewBox=\"0 0 {width} {height}\" \
         stroke-linejoin=\"round\" stroke-linecap=\"round\">\n\
         <title>{title}</title>\n\
         <rect width=\"{width}\" height=\"{height}\" fill=\"{paper}\"/>\n"
    );
    for item in &picture.items {
        match item {
            Item::Shape(shape) => page.shape(&mut out, shape),
            Item::Words(words) => page.words(&mut out, words),
        }
    }
    out.push_str("</svg>\n");
    out
}

/// From the plane, y up, to the page, y down.
struct SvgPage<'a> {
    picture: &'a Picture,
}

impl SvgPage<'_> {
    fn shape(&self, out: &mut String, shape: &Shape) {
        out.push_str("<path ");
        self.path(out, shape);
        out.push_str("/>\n");
    }

    /// The strokes of words, with the words for whoever points at or hears them.
    fn words(&self, out: &mut String, words: &Words) {
        out.push_str("<path ");
        self.path(out, &words.strokes());
        let text = escaped(&words.text);
        put(out, format_args!("><title>{text}</title></path>\n"));
    }

    /// The attributes of a path.
    fn path(&self, out: &mut String, shape: &Shape) {
        out.push_str("d=\"");
        for chain in &shape.chains {
            self.chain(out, chain);
        }
        let fill = shape.fill.map_or_else(|| "none".to_owned(), colour);
        put(out, format_args!("\" fill=\"{fill}\""));
        if shape.fill.is_some() && shape.chains.len() > 1 {
            out.push_str(" fill-rule=\"evenodd\"");
        }
        if let Some(pen) = shape.stroke {
            out.push_str(&stroke(self.picture.printable(pen)));
        }
    }

    fn chain(&self, out: &mut String, chain: &Chain) {
        if let Some(first) = chain.segments.first() {
            out.push('M');
            self.point(out, first.start());
        }
        for segment in &chain.segments {
            self.segment(out, segment);
        }
        if chain.ends == Ends::Closed {
            out.push('Z');
        }
    }

    fn segment(&self, out: &mut String, segment: &Segment) {
        match segment {
            Segment::Line { .. } => out.push('L'),
            Segment::Arc {
                radius, turning, ..
            } => {
                let large = u8::from(segment.is_large());
                // The page looks at the plane upright, so left turns stay left turns: flag 0.
                let sweep = match turning {
                    Turning::Left => 0,
                    Turning::Right => 1,
                };
                out.push('A');
                write_number(out, *radius);
                out.push(' ');
                write_number(out, *radius);
                put(out, format_args!(" 0 {large} {sweep} "));
            }
        }
        self.point(out, segment.end());
    }

    fn point(&self, out: &mut String, p: Point) {
        let Bounds { min, max } = self.picture.frame;
        write_number(out, p.x - min.x);
        out.push(' ');
        write_number(out, max.y - p.y);
    }
}

fn put(out: &mut String, text: std::fmt::Arguments) {
    out.write_fmt(text)
        .expect("writing to a string cannot fail");
}

fn stroke(stroke: Stroke) -> String {
    let mut text = format!(
        " stroke=\"{}\" stroke-width=\"{}\"",
        colour(stroke.ink),
        number(stroke.width)
    );
    if stroke.dash != Dash::Solid {
        let lengths: Vec<String> = stroke
            .dash
            .pattern()
            .iter()
            .map(|multiple| number(multiple * stroke.width))
            .collect();
        put(
            &mut text,
            format_args!(
                " stroke-linecap=\"butt\" stroke-dasharray=\"{}\"",
                lengths.join(" ")
            ),
        );
    }
    text
}

fn colour(ink: Ink) -> String {
    let [r, g, b] = ink.rgb();
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// To a thousandth of a millimetre, without trailing zeros or a negative zero.
fn number(value: f64) -> String {
    let mut text = String::new();
    write_number(&mut text, value);
    text
}

/// Writes a number as [`number`] gives it. Pictures are mostly numbers: whole thousandths are put down
/// digit by digit, which takes a fifth of the time that rounding in general does.
fn write_number(out: &mut String, value: f64) {
    let thousandths = (value * 1000.0).round();
    if thousandths.abs() >= MOST_THOUSANDTHS || thousandths.is_nan() {
        put(out, format_args!("{value}"));
        return;
    }
    let whole = thousandths as i64;
    if whole < 0 {
        out.push('-');
    }
    let (before, after) = (whole.unsigned_abs() / 1000, whole.unsigned_abs() % 1000);
    put(out, format_args!("{before}"));
    if after == 0 {
        return;
    }
    let digits = [after / 100, after / 10 % 10, after % 10];
    let last = digits.iter().rposition(|digit| *digit != 0).unwrap_or(0);
    out.push('.');
    for digit in &digits[..=last] {
        out.push(char::from(b'0' + *digit as u8));
    }
}

/// Words made safe inside XML; control characters, which XML has no form for, become spaces.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\u{fffe}' | '\u{ffff}' => out.push(' '),
            _ if letter.is_control() => out.push(' '),
            _ => out.push(letter),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Circle, Contour};

    fn thin() -> Stroke {
        Stroke {
            width: 0.25,
            ink: Ink::Edge,
            dash: Dash::Solid,
        }
    }

    #[test]
    fn a_page_is_as_large_as_its_frame_in_millimetres() {
        let mut picture = Picture::new("a < b & \"c\"");
        let circle = Circle {
            centre: Point::new(100.0, 50.0),
            radius: 20.0,
        };
        picture.circle(circle, Some(Ink::Plate), Some(thin()));
        let text = svg(&picture.framed(5.0));
        assert!(text.contains("width=\"50mm\" height=\"50mm\" viewBox=\"0 0 50 50\""));
        assert!(text.contains("<title>a &lt; b &amp; &quot;c&quot;</title>"));
    }

    #[test]
    fn arcs_are_arcs_and_y_points_down_once() {
        // A quarter turn to the left from (10, 0) to (0, 10) about the origin.
        let arc = Segment::Arc {
            start: Point::new(10.0, 0.0),
            end: Point::new(0.0, 10.0),
            centre: Point::ORIGIN,
            radius: 10.0,
            turning: Turning::Left,
        };
        let mut picture = Picture::new("arc");
        picture.stroke(Chain::open(vec![arc]), thin());
        let text = svg(&picture.framed(0.0));
        assert!(text.contains("d=\"M10 10A10 10 0 0 0 0 0\""), "{text}");
    }

    #[test]
    fn openings_stay_open() {
        let mut picture = Picture::new("ring");
        let ring = [20.0, 10.0].map(|r| Chain::around(&Contour::circle(Point::ORIGIN, r)));
        picture.draw(ring.to_vec(), Some(Ink::Plate), None);
        assert!(svg(&picture.framed(0.0)).contains("fill-rule=\"evenodd\""));
    }

    #[test]
    fn a_picture_of_a_large_sheet_is_shrunk_to_a3() {
        let mut picture = Picture::new("sheet");
        picture.stroke(
            Chain::line(Point::ORIGIN, Point::new(1220.0, 2440.0)),
            thin(),
        );
        let text = svg(&picture.framed(0.0));
        let head = "width=\"210mm\" height=\"420mm\" viewBox=\"0 0 1220 2440\"";
        assert!(text.contains(head), "{text}");
    }

    #[test]
    fn numbers_are_rounded_to_thousandths_without_what_they_do_not_need() {
        for (value, text) in [
            (0.0, "0"),
            (-0.000_4, "0"),
            (-0.000_6, "-0.001"),
            (1.5, "1.5"),
            (-1220.05, "-1220.05"),
            (12.345_6, "12.346"),
            (99.999_9, "100"),
            (1e18, "1000000000000000000"),
        ] {
            assert_eq!(number(value), text);
        }
    }

    #[test]
    fn control_characters_do_not_break_the_file() {
        assert_eq!(escaped("a\u{1}b\nc\u{ffff}'"), "a b c &#39;");
    }
}
