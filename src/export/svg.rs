//! SVG, from a [`Picture`].
//!
//! Guaranteed: true arcs (`A` commands), one unit is one millimetre, y is flipped once and here.
//! Words are strokes, so that no font is needed, and each carries its text as a title, escaped. A
//! picture has the size on paper that it is made for, up to that of an A3 sheet, and there no line is
//! too thin to print.
//! The text is the same for the same picture, and stands alone as a file as well as inside a page.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::picture::{Chain, Dash, Ink, Item, Picture, Shape, Stroke, Tag, Words};
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
    let usual = None;
    SvgPage { picture, usual }.written(Letters::Strokes)
}

/// The same for a page of text, which has a font: words are words there, each as long as our alphabet takes,
/// so that none grows into another. Lines are written shorter: to what shows on paper, and those that
/// one pen draws one after another as one path.
#[must_use]
pub fn svg_for_page(picture: &Picture) -> String {
    let usual = Some(Usual::of(picture));
    let page = SvgPage { picture, usual };
    page.written(Letters::Font(Grain::of(picture.enlarged)))
}

/// What words are made of.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Letters {
    Strokes,
    Font(Grain),
}

/// Height of a capital as a share of the size of a font (common practice, no source: 0.7 to 0.73).
const CAPITAL: f64 = 0.72;

/// From the plane, y up, to the page, y down.
struct SvgPage<'a> {
    picture: &'a Picture,
    /// What a page says once.
    usual: Option<Usual>,
}

impl SvgPage<'_> {
    fn written(&self, letters: Letters) -> String {
        let picture = self.picture;
        let (width, height) = (picture.frame.width(), picture.frame.height());
        let scale = picture.enlarged.min(LARGEST / width.max(height));
        let (across, down) = (number(width * scale), number(height * scale));
        let (width, height) = (number(width), number(height));
        let title = escaped(&picture.title);
        let paper = colour(Ink::Paper);
        // What a path does not say is as the page's pens have it: no area.
        let usual = self.usual.as_ref().map(|Usual { width, size }| {
            format!("fill=\"none\" stroke-width=\"{width}\" font-size=\"{size}\" ")
        });
        let usual = usual.unwrap_or_default();
        // In a page of HTML it is known what `svg` means.
        let space = match letters {
            Letters::Strokes => "xmlns=\"http://www.w3.org/2000/svg\" ",
            Letters::Font(_) => "",
        };
        let mut out = format!(
            "<svg {space}role=\"img\" width=\"{across}mm\" \
             height=\"{down}mm\" viewBox=\"0 0 {width} {height}\" \
             {usual}stroke-linejoin=\"round\" stroke-linecap=\"round\">\n\
             <title>{title}</title>\n\
             <rect width=\"{width}\" height=\"{height}\" fill=\"{paper}\"/>\n"
        );
        let mut groups = picture.groups.iter().peekable();
        let mut ends: Vec<usize> = Vec::new();
        let mut index = 0;
        while let Some(item) = picture.items.get(index) {
            let mut is_drawn = false;
            while let Some(group) = groups.next_if(|it| it.items.start == index) {
                let end = group.items.end.min(picture.items.len());
                let within = &picture.items[index..end];
                let next = groups.peek().map(|it| it.items.start);
                let is_innermost = next.is_none_or(|next| next >= group.items.end);
                let as_one = match letters {
                    Letters::Font(grain) if is_innermost => Some((grain, one_pen(within))),
                    _ => None,
                };
                match as_one.filter(|(_, drawn)| drawn.len() == within.len()) {
                    _ if letters != Letters::Strokes && says_nothing_more(&group.tag, within) => {}
                    // A thing that is one path is that path.
                    Some((grain, drawn)) => {
                        index += drawn.len() - 1;
                        self.short_shape(&mut out, &drawn, grain, Some(&group.tag));
                        is_drawn = true;
                        break;
                    }
                    None => {
                        open(&mut out, &group.tag);
                        ends.push(group.items.end);
                    }
                }
            }
            match (item, letters) {
                _ if is_drawn => {}
                (Item::Shape(shape), Letters::Strokes) => self.shape(&mut out, shape),
                (Item::Shape(_), Letters::Font(grain)) => {
                    let starts = groups.peek().map(|it| it.items.start);
                    let until = starts.into_iter().chain(ends.last().copied()).min();
                    let all = picture.items.len();
                    let until = until.unwrap_or(all).min(all);
                    let drawn = one_pen(&picture.items[index..until]);
                    self.short_shape(&mut out, &drawn, grain, None);
                    index += drawn.len() - 1;
                }
                (Item::Words(words), Letters::Strokes) => self.words(&mut out, words),
                (Item::Words(words), Letters::Font(grain)) => self.text(&mut out, words, grain),
            }
            index += 1;
            while ends.pop_if(|end| *end == index).is_some() {
                out.push_str("</g>\n");
            }
        }
        out.push_str("</svg>\n");
        out
    }

    fn shape(&self, out: &mut String, shape: &Shape) {
        out.push_str("<path ");
        self.path(out, shape);
        out.push_str("/>\n");
    }

    /// Shapes of one pen as one path.
    fn short_shape(&self, out: &mut String, shapes: &[&Shape], grain: Grain, tag: Option<&Tag>) {
        let Bounds { min, max } = self.picture.frame;
        out.push_str("<path");
        if let Some(tag) = tag {
            class_and_id(out, tag);
        }
        out.push_str(" d=\"");
        let mut pen = ShortPath::from(Point::new(min.x, max.y), grain);
        for chain in shapes.iter().flat_map(|it| &it.chains) {
            pen.chain(out, chain);
        }
        out.push('"');
        let first = shapes[0];
        if let Some(ink) = first.fill {
            let ink = colour(ink);
            let ink = if ink == "#ffffff" { "#fff" } else { &ink };
            put(out, format_args!(" fill=\"{ink}\""));
            if shapes.iter().any(|it| it.chains.len() > 1) {
                out.push_str(" fill-rule=\"evenodd\"");
            }
        }
        if let Some(pen) = first.stroke {
            let pen = self.picture.printable(pen);
            let usual = self
                .usual
                .as_ref()
                .is_some_and(|it| it.width == number(pen.width));
            let width = (!usual).then_some(pen.width);
            out.push_str(&stroke(pen, width));
        }
        match tag {
            Some(tag) if !tag.says.is_empty() => {
                let says = escaped(&tag.says);
                put(out, format_args!("><title>{says}</title></path>"));
            }
            _ => out.push_str("/>"),
        }
    }

    /// The strokes of words, with the words for whoever points at or hears them.
    fn words(&self, out: &mut String, words: &Words) {
        out.push_str("<path ");
        self.path(out, &words.strokes());
        let text = escaped(&words.text);
        put(
            out,
            format_args!(" class=\"label\" data-says=\"{text}\"><title>{text}</title></path>\n"),
        );
    }

    /// Words in a font.
    fn text(&self, out: &mut String, words: &Words, grain: Grain) {
        let Bounds { min, max } = self.picture.frame;
        let start = words.start();
        let short = |mm: f64| grain.short(grain.steps(mm));
        let (x, y) = (short(start.x - min.x), short(max.y - start.y));
        put(out, format_args!("<text x=\"{x}\" y=\"{y}\""));
        let size = hundredth(words.height / CAPITAL);
        if self.usual.as_ref().is_none_or(|it| it.size != size) {
            put(out, format_args!(" font-size=\"{size}\""));
        }
        let length = short(words.length());
        put(out, format_args!(" textLength=\"{length}\""));
        if words.turn != 0.0 {
            let turn = hundredth(-words.turn.to_degrees());
            put(out, format_args!(" transform=\"rotate({turn} {x} {y})\""));
        }
        let ink = (words.ink != Ink::Edge).then(|| format!(" fill=\"{}\"", colour(words.ink)));
        let ink = ink.unwrap_or_default();
        let text = escaped(&words.text);
        put(out, format_args!("{ink}>{text}</text>"));
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
            let pen = self.picture.printable(pen);
            out.push_str(&stroke(pen, Some(pen.width)));
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

/// What most lines and words of a picture have.
struct Usual {
    /// Thickness of lines.
    width: String,
    /// Size of the font.
    size: String,
}

impl Usual {
    fn of(picture: &Picture) -> Self {
        let mut widths: BTreeMap<String, usize> = BTreeMap::new();
        let mut sizes: BTreeMap<String, usize> = BTreeMap::new();
        for item in &picture.items {
            match item {
                Item::Shape(shape) => {
                    if let Some(pen) = shape.stroke {
                        let width = number(picture.printable(pen).width);
                        *widths.entry(width).or_default() += 1;
                    }
                }
                Item::Words(words) => {
                    let size = hundredth(words.height / CAPITAL);
                    *sizes.entry(size).or_default() += 1;
                }
            }
        }
        let most = |counts: BTreeMap<String, usize>| {
            let most = counts.into_iter().max_by_key(|(_, count)| *count);
            most.map_or_else(|| "1".to_owned(), |(value, _)| value)
        };
        Self {
            width: most(widths),
            size: most(sizes),
        }
    }
}

/// The first of some items, and those after it that the same pen can draw as one with it: lines and nothing
/// else, or small areas that lie apart.
fn one_pen(items: &[Item]) -> Vec<&Shape> {
    let shapes = items.iter().map_while(|item| match item {
        Item::Shape(shape) => Some(shape),
        Item::Words(_) => None,
    });
    let mut drawn: Vec<&Shape> = Vec::new();
    for shape in shapes {
        let is_one = drawn.first().is_none_or(|first| {
            let apart =
                || shape.stroke.is_none() && shape.chains.len() == 1 && drawn.len() < MOST_AREAS;
            first.fill == shape.fill
                && first.stroke == shape.stroke
                && (shape.fill.is_none()
                    || apart() && !drawn.iter().any(|it| it.bounds().meets(shape.bounds())))
        });
        if !is_one {
            break;
        }
        drawn.push(shape);
    }
    drawn
}

/// So many areas at most are looked at whether they lie apart.
const MOST_AREAS: usize = 16;

/// How finely a picture on a page is written: steps a millimetre of it.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Grain(f64);

impl Grain {
    /// Fine enough that a step is no more than a fiftieth of a millimetre on paper.
    fn of(enlarged: f64) -> Self {
        Self(if enlarged <= 0.2 { 10.0 } else { 100.0 })
    }

    fn steps(self, mm: f64) -> i64 {
        (mm * self.0).round() as i64
    }

    /// Steps as a decimal without zeros that it does not need.
    fn short(self, steps: i64) -> String {
        short(steps * (100.0 / self.0) as i64)
    }
}

/// Paths in few letters: each place from the one before, in steps, without drift.
struct ShortPath {
    /// The upper left corner of the picture.
    corner: Point,
    grain: Grain,
    /// Where the pen is, steps.
    at: (i64, i64),
    /// Where the chain began.
    first: (i64, i64),
    /// The last command, which need not be written again.
    last: char,
}

impl ShortPath {
    fn from(corner: Point, grain: Grain) -> Self {
        Self {
            corner,
            grain,
            at: (0, 0),
            first: (0, 0),
            last: ' ',
        }
    }

    fn chain(&mut self, out: &mut String, chain: &Chain) {
        let Some(first) = chain.segments.first() else {
            return;
        };
        self.last = ' ';
        let (x, y) = self.way(first.start());
        self.command(out, 'm', &[x, y]);
        self.first = self.at;
        let count = chain.segments.len();
        for (index, segment) in chain.segments.iter().enumerate() {
            let (x, y) = self.way(segment.end());
            match segment {
                // The end of the chain is drawn by its closing.
                Segment::Line { .. } if index + 1 == count && chain.ends == Ends::Closed => {}
                Segment::Line { .. } if y == 0 => self.command(out, 'h', &[x]),
                Segment::Line { .. } if x == 0 => self.command(out, 'v', &[y]),
                Segment::Line { .. } => self.command(out, 'l', &[x, y]),
                Segment::Arc {
                    radius, turning, ..
                } => {
                    let large = u8::from(segment.is_large());
                    let sweep = u8::from(*turning == Turning::Right);
                    let radius = self.grain.steps(*radius);
                    self.command(out, 'a', &[radius, radius]);
                    // Flags are one letter each and need no space behind them.
                    put(
                        out,
                        format_args!(" 0 {large}{sweep}{}", self.grain.short(x)),
                    );
                    self.number(out, y);
                }
            }
        }
        if chain.ends == Ends::Closed {
            out.push('z');
            self.at = self.first;
        }
    }

    fn command(&mut self, out: &mut String, command: char, steps: &[i64]) {
        let mut steps = steps.iter();
        if command != self.last {
            out.push(command);
            if let Some(first) = steps.next() {
                out.push_str(&self.grain.short(*first));
            }
        }
        for step in steps {
            self.number(out, *step);
        }
        self.last = command;
    }

    /// A number after another.
    fn number(&self, out: &mut String, steps: i64) {
        if steps >= 0 {
            out.push(' ');
        }
        out.push_str(&self.grain.short(steps));
    }

    /// The way to a point.
    fn way(&mut self, to: Point) -> (i64, i64) {
        let to = (
            self.grain.steps(to.x - self.corner.x),
            self.grain.steps(self.corner.y - to.y),
        );
        let way = (to.0 - self.at.0, to.1 - self.at.1);
        self.at = to;
        way
    }
}

/// A length to a hundredth in few letters.
fn hundredth(mm: f64) -> String {
    short((mm * 100.0).round() as i64)
}

/// Hundredths as a decimal without zeros that it does not need.
fn short(hundredths: i64) -> String {
    let text = number(hundredths as f64 / 100.0);
    match text.strip_prefix("0.") {
        Some(rest) => format!(".{rest}"),
        None => text.replacen("-0.", "-.", 1),
    }
}

/// The start of a group.
fn open(out: &mut String, tag: &Tag) {
    out.push_str("<g");
    class_and_id(out, tag);
    out.push('>');
    if !tag.says.is_empty() {
        put(out, format_args!("<title>{}</title>", escaped(&tag.says)));
    }
    out.push('\n');
}

fn class_and_id(out: &mut String, tag: &Tag) {
    put(out, format_args!(" class=\"{}\"", tag.class));
    if let Some(id) = &tag.id {
        put(out, format_args!(" id=\"{id}\""));
    }
}

/// Whether nobody points at a group, and its title is what the words in it say anyway, or its kind.
fn says_nothing_more(tag: &Tag, items: &[Item]) -> bool {
    let words = items.iter().filter_map(|it| match it {
        Item::Words(words) => Some(words.text.as_str()),
        Item::Shape(_) => None,
    });
    let is_said = || words.collect::<Vec<_>>().join(", ") == tag.says;
    tag.id.is_none() && (tag.says == tag.class || is_said())
}

fn put(out: &mut String, text: std::fmt::Arguments) {
    out.write_fmt(text)
        .expect("writing to a string cannot fail");
}

/// How a line is drawn; its thickness where it is to be said.
fn stroke(stroke: Stroke, width: Option<f64>) -> String {
    let mut text = format!(" stroke=\"{}\"", colour(stroke.ink));
    if let Some(width) = width {
        put(
            &mut text,
            format_args!(" stroke-width=\"{}\"", number(width)),
        );
    }
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
    fn groups_nest_and_say_what_they_are() {
        let mut picture = Picture::new("groups");
        let circle = |radius| Circle {
            centre: Point::ORIGIN,
            radius,
        };
        let plate = Tag::new("plate", "a < b").id("p.a".to_owned());
        picture.grouped(plate, |picture| {
            picture.circle(circle(20.0), None, Some(thin()));
            picture.grouped(Tag::new("opening", "bore"), |picture| {
                picture.circle(circle(5.0), None, Some(thin()));
            });
            picture.grouped(Tag::new("mark", "nothing"), |_| ());
        });
        picture.circle(circle(1.0), None, Some(thin()));
        let text = svg(&picture.framed(0.0));
        let outline: Vec<&str> = text
            .lines()
            .skip(3)
            .map(|it| it.split(" d=").next().unwrap_or(it))
            .collect();
        let wanted = [
            "<g class=\"plate\" id=\"p.a\"><title>a &lt; b</title>",
            "<path",
            "<g class=\"opening\"><title>bore</title>",
            "<path",
            "</g>",
            "</g>",
            "<path",
            "</svg>",
        ];
        assert_eq!(outline, wanted);
    }

    #[test]
    fn a_page_has_words_as_words_and_short_paths_without_drift() {
        let mut picture = Picture::new("page");
        let points = (0..=300).map(|k| Point::new(f64::from(k) * 0.333, 0.0));
        let points: Vec<Point> = points.collect();
        picture.stroke(Chain::through(&points), thin());
        picture.write(Words {
            at: Point::new(10.0, 5.0),
            anchor: crate::export::picture::Anchor::Start,
            height: 3.6,
            turn: std::f64::consts::FRAC_PI_2,
            ink: Ink::Mark,
            text: "fold & more".to_owned(),
        });
        let text = svg_for_page(&picture.framed(0.0));
        assert!(text.contains(">fold &amp; more</text>"), "{text}");
        assert!(
            text.contains("font-size=\"5\"") && text.contains("rotate(-90 "),
            "{text}"
        );
        // The steps of the path add up to where it ends, 99.9, to a hundredth.
        let path = text
            .split("d=\"m")
            .nth(1)
            .and_then(|it| it.split('"').next());
        let steps = path.expect("a path").split('h').nth(1).expect("steps");
        let x: f64 = steps
            .split(' ')
            .map(|it| it.parse::<f64>().expect("a number"))
            .sum();
        assert!((x - 99.9).abs() < 1e-6, "{x}");
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
