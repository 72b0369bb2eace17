//! An SVG file as a drawing: its shapes and paths, moved, turned and scaled as it says, y up.
//!
//! In: the text of a file. Out: the same as of a DXF: lines and circular arcs, each with its element, what was
//! left out, and the unit if the page has a size. Basic shapes, paths, groups, `use`, transforms and `viewBox`
//! are those of the published SVG 1.1 recommendation.

use std::collections::HashMap;

use lyon::geom::{Transform, vector};
use roxmltree::{Document, Node, ParsingOptions};
use svgtypes::{Length, LengthUnit, PointsParser, ViewBox};

use super::curve::{Curve, Stroke};
use super::entity::Name;
use super::model::{Model, known_layers};
use super::telling::{LeftOut, Mended, Why};
use super::unit::{PIXEL, Unit};
use super::{GAP, MOST_PIECES, too_many};
use crate::fault::Refusal;
use crate::geometry::{Bounds, Point, Segment, Tolerance};
use crate::plate::shape::fitting::Rounded;
use crate::plate::shape::pen::subpaths;

/// Elements of a file, at most.
const MOST_NODES: u32 = 1_000_000;
/// Attributes of an element, at most.
const MOST_ATTRIBUTES: usize = 1_000;
/// Elements in elements, `use` included, at most.
const DEEPEST: usize = 64;
/// What XML says of a link.
const XLINK: &str = "http://www.w3.org/1999/xlink";

/// An SVG file.
pub(super) struct Svg<'x> {
    xml: Document<'x>,
    /// Millimetres of one unit of the drawing, if the page has a size.
    unit: Option<f64>,
    view: Option<ViewBox>,
}

/// What it draws, and with which element.
#[derive(Default)]
pub(super) struct Drawn {
    elements: Vec<(Name, Vec<String>, Vec<Curve>)>,
    left_out: LeftOut,
    curves: Rounded,
    pieces: usize,
    open: Vec<Open>,
    /// Filled areas that were closed with a straight line.
    areas: Option<Mended>,
}

/// A chain of pieces that does not say that it closes.
struct Open {
    ends: [Point; 2],
    /// The element that it is an area of, if it is one.
    area: Option<usize>,
}

/// The line, from 1, of the first element with more attributes than there may be: the library compares each with
/// all others.
fn crowded(text: &str) -> Option<usize> {
    let mut rest = text;
    while let Some(at) = rest.find('<') {
        rest = &rest[at..];
        let aside = [("<!--", "-->"), ("<![CDATA[", "]]>"), ("<?", "?>")];
        if let Some((_, end)) = aside.iter().find(|(start, _)| rest.starts_with(start)) {
            rest = &rest[rest.find(end)?..];
            continue;
        }
        let (mut count, mut quote, mut length) = (0, None, rest.len());
        for (at, letter) in rest.bytes().enumerate() {
            match (quote, letter) {
                (None, b'>') => {
                    length = at;
                    break;
                }
                (None, b'=') => count += 1,
                (None, b'"' | b'\'') => quote = Some(letter),
                (Some(open), _) if open == letter => quote = None,
                _ => {}
            }
            if count > MOST_ATTRIBUTES {
                let before = text.len() - rest.len();
                return Some(text[..before].matches('\n').count() + 1);
            }
        }
        rest = &rest[length..];
    }
    None
}

/// Whether a file is one, by how it begins.
pub(super) fn is_svg(bytes: &[u8]) -> bool {
    let start = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    start.trim_ascii_start().first() == Some(&b'<')
}

impl<'x> Svg<'x> {
    pub(super) fn read(text: &'x str) -> Result<Self, Refusal> {
        if let Some(line) = crowded(text) {
            let message = format!(
                "an element on line {line} of the file has more than {MOST_ATTRIBUTES} attributes"
            );
            return Err(Refusal::new(message).remedy("delete it, or save the drawing again"));
        }
        let options = ParsingOptions {
            allow_dtd: true,
            nodes_limit: MOST_NODES,
            ..ParsingOptions::default()
        };
        let xml = Document::parse_with_options(text, options);
        let xml = xml.map_err(|why| Refusal::new(format!("it is no whole SVG file: {why}")))?;
        let root = xml.root_element();
        if root.tag_name().name() != "svg" {
            let what = root.tag_name().name();
            return Err(Refusal::new(format!(
                "it is no SVG file: it holds <{what}>"
            )));
        }
        let view = root.attribute("viewBox").and_then(|it| it.parse().ok());
        let unit = page_unit(root, view);
        Ok(Self { xml, unit, view })
    }

    /// The unit of the drawing, if the page has a size.
    pub(super) fn unit(&self) -> Option<Unit> {
        self.unit.map(Unit::of_page)
    }

    /// What it draws in this unit; on groups or elements of these ids if some are named.
    pub(super) fn drawn(&self, unit: Unit, layers: &[String]) -> Result<Drawn, Refusal> {
        let (drawn, why) = self.as_far_as(unit, layers);
        why.map_or(Ok(drawn), Err)
    }

    /// The same as far as it can be read, and why it goes no further.
    pub(super) fn as_far_as(&self, unit: Unit, layers: &[String]) -> (Drawn, Option<Refusal>) {
        let ids = self.xml.descendants().filter_map(|it| it.attribute("id"));
        let known = known_layers(ids, layers, "in a group or shape called");
        let named = self.xml.descendants();
        let named = named.filter_map(|it| Some((it.attribute("id")?, it)));
        let lines = self.xml.input_text().match_indices('\n');
        let mut walk = Walk {
            named: named.collect(),
            lines: lines.map(|(at, _)| at).collect(),
            layers,
            looks: 0,
            within: Vec::new(),
            clips: Vec::new(),
            drawn: Drawn::default(),
        };
        let origin = self
            .view
            .map_or(vector(0.0, 0.0), |it| vector(-it.x, -it.y));
        let mm = unit.millimetres;
        let plane = Transform::translation(origin.x, origin.y).then_scale(mm, -mm);
        let mut nodes = self.xml.root_element().children();
        let read = known.and_then(|()| {
            nodes.try_for_each(|node| walk.node(node, &plane, layers.is_empty(), 0))
        });
        walk.drawn.close_areas();
        (walk.drawn, read.err())
    }
}

impl Drawn {
    /// Joins the ends of filled areas that nothing else goes on from.
    fn close_areas(&mut self) {
        for (place, open) in self.open.iter().enumerate() {
            let [end, start] = open.ends;
            let Some(element) = open.area.filter(|_| end.distance(start) > GAP) else {
                continue;
            };
            let near = |p: Point| p.distance(end) <= GAP || p.distance(start) <= GAP;
            let mut others = self.open.iter().enumerate();
            if others.any(|(at, other)| at != place && other.ends.into_iter().any(near)) {
                continue;
            }
            let line = Curve::Line {
                start: end,
                end: start,
            };
            self.elements[element].2.push(line);
            Mended::tally(&mut self.areas, end, end.distance(start));
        }
    }

    pub(super) fn model(&mut self) -> Model<'_> {
        let elements = self.elements.iter().enumerate();
        let strokes = elements.flat_map(|(layer, (of, _, curves))| {
            let curves = curves.iter();
            curves.map(move |&curve| Stroke { curve, of, layer })
        });
        Model {
            strokes: strokes.collect(),
            layers: self.elements.iter().map(|it| it.1.clone()).collect(),
            left_out: std::mem::take(&mut self.left_out),
            ellipses: Rounded::default(),
            curves: self.curves,
            areas: self.areas,
            bands: 0,
        }
    }
}

/// Millimetres of one unit of the drawing: from the size of the page, where it has one in a length of the world.
fn page_unit(root: Node<'_, '_>, view: Option<ViewBox>) -> Option<f64> {
    let length = |key: &str| -> Option<f64> {
        let length: Length = root.attribute(key)?.parse().ok()?;
        let unit = match length.unit {
            LengthUnit::Mm => 1.0,
            LengthUnit::Cm => 10.0,
            LengthUnit::In => 25.4,
            LengthUnit::Pt => 25.4 / 72.0,
            LengthUnit::Pc => 25.4 / 6.0,
            _ => return None,
        };
        Some(length.number * unit).filter(|it| *it > 0.0 && it.is_finite())
    };
    let (width, height) = (length("width"), length("height"));
    let Some(view) = view else {
        // Without a view a unit is a pixel, whatever the size of the page.
        return width.or(height).map(|_| PIXEL);
    };
    let share = |page: Option<f64>, view: f64| page.map(|it| it / view);
    // The drawing fits the page without being stretched.
    match (share(width, view.w), share(height, view.h)) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

struct Walk<'w, 'x> {
    /// Elements by their ids.
    named: HashMap<&'w str, Node<'w, 'x>>,
    /// Where the lines of the file end.
    lines: Vec<usize>,
    layers: &'w [String],
    looks: u32,
    /// Ids of the elements that are gone through, from the outermost.
    within: Vec<&'w str>,
    /// What cuts off all that lies in them: what is drawn within its box is whole; without one nothing is.
    clips: Vec<Option<Bounds>>,
    drawn: Drawn,
}

impl<'w, 'x> Walk<'w, 'x> {
    /// Follows an element; `is_asked` tells whether what is around it is on a layer that is asked for.
    fn node(
        &mut self,
        node: Node<'w, 'x>,
        plane: &Transform<f64>,
        is_asked: bool,
        depth: usize,
    ) -> Result<(), Refusal> {
        if !node.is_element() {
            return Ok(());
        }
        self.looks += 1;
        if self.looks > MOST_NODES {
            return Err(too_many());
        }
        if depth > DEEPEST {
            return Err(Refusal::new(format!(
                "its elements lie more than {DEEPEST} deep in one another"
            )));
        }
        let id = node.attribute("id").unwrap_or_default();
        let is_asked = is_asked || self.layers.iter().any(|it| it.eq_ignore_ascii_case(id));
        let plane = &transformed(node, plane)?;
        self.within.push(id);
        let before = self.clips.len();
        self.clips.extend(self.clip(node, plane));
        let followed = self.element(node, plane, is_asked, depth);
        self.clips.truncate(before);
        self.within.pop();
        followed
    }

    /// What an element is cut off by, if it is.
    fn clip(&self, node: Node<'w, 'x>, plane: &Transform<f64>) -> Option<Option<Bounds>> {
        if said(node, "mask").is_some_and(|it| it != "none") {
            return Some(None);
        }
        let link = said(node, "clip-path").filter(|it| *it != "none")?;
        let id = link.trim_start_matches("url(").trim_end_matches(')');
        let id = id.trim_matches(['"', '\'', '#', ' ']);
        let clip = self.named.get(id);
        Some(clip.and_then(|clip| clip_box(*clip, plane)))
    }

    /// Follows an element whose place is known.
    fn element(
        &mut self,
        node: Node<'w, 'x>,
        plane: &Transform<f64>,
        is_asked: bool,
        depth: usize,
    ) -> Result<(), Refusal> {
        let tag = node.tag_name().name();
        match tag {
            "g" | "a" | "switch" if is_seen(node) => {
                for child in node.children() {
                    self.node(child, plane, is_asked, depth + 1)?;
                }
            }
            "use" if is_seen(node) => self.used(node, plane, is_asked, depth)?,
            "g" | "a" | "switch" | "use" if is_asked => {
                self.drawn.left_out.count(Why::Hidden, ("group", "groups"));
            }
            "path" | "circle" | "ellipse" | "rect" | "line" | "polyline" | "polygon"
                if is_asked =>
            {
                if is_seen(node) {
                    self.shape(node, plane)?;
                } else {
                    self.drawn.left_out.count(Why::Hidden, nouns(tag));
                }
            }
            "text" | "image" | "foreignObject" if is_asked && is_seen(node) => {
                self.drawn.left_out.count(Why::NoEdge, nouns(tag));
            }
            "svg" if is_asked => {
                return Err(Refusal::new(format!(
                    "the {} cannot be read: it is a drawing in the drawing",
                    called(node)
                ))
                .remedy("take it apart into shapes and paths"));
            }
            _ => {}
        }
        Ok(())
    }

    /// What a `use` shows: another element, moved.
    fn used(
        &mut self,
        node: Node<'w, 'x>,
        plane: &Transform<f64>,
        is_asked: bool,
        depth: usize,
    ) -> Result<(), Refusal> {
        let link = node
            .attribute("href")
            .or_else(|| node.attribute((XLINK, "href")));
        let wanted = link.and_then(|it| it.strip_prefix('#'));
        let Some(&found) = wanted.and_then(|id| self.named.get(id)) else {
            return Err(Refusal::new(format!(
                "the {} shows what is not in the file",
                called(node)
            ))
            .remedy("put into the file what it shows, or delete it"));
        };
        let of = |why| told_of(node, why);
        let (x, y) = (
            number(node, "x").map_err(of)?,
            number(node, "y").map_err(of)?,
        );
        let plane = Transform::translation(x, y).then(plane);
        if found.tag_name().name() == "symbol" {
            for child in found.children() {
                self.node(child, &plane, is_asked, depth + 1)?;
            }
            return Ok(());
        }
        self.node(found, &plane, is_asked, depth + 1)
    }

    fn shape(&mut self, node: Node<'w, 'x>, plane: &Transform<f64>) -> Result<(), Refusal> {
        let of = |why| told_of(node, why);
        let Some(data) = path_data(node).map_err(of)? else {
            return Ok(());
        };
        let (found, curves) = subpaths(&data, plane, MOST_PIECES).map_err(of)?;
        let pieces = found.iter().flat_map(|it| &it.pieces);
        let bounds = pieces.clone().map(Segment::bounds).reduce(Bounds::union);
        let is_whole = |clip: &Option<Bounds>| {
            let inside = |of: Bounds| clip.is_some_and(|clip| clip.grown(GAP).holds(of));
            bounds.is_none_or(inside)
        };
        if !self.clips.iter().all(is_whole) {
            let refusal = Refusal::new("it is cut off by a clip-path or mask");
            return Err(of(refusal.remedy(
                "cut it off where it was drawn, so that its own lines are the edge",
            )));
        }
        let curve: Vec<Curve> = pieces.map(Curve::of_segment).collect();
        let is_area = is_area(node);
        for it in found.iter().filter(|it| !it.is_closed) {
            if let (Some(first), Some(last)) = (it.pieces.first(), it.pieces.last()) {
                let ends = [last.end(), first.start()];
                self.drawn.open.push(Open {
                    ends,
                    area: is_area.then_some(self.drawn.elements.len()),
                });
            }
        }
        self.drawn.curves.include(curves);
        self.drawn.pieces += curve.len();
        if self.drawn.pieces > MOST_PIECES {
            return Err(too_many());
        }
        let line = self.lines.partition_point(|at| *at < node.range().start) + 1;
        let ids = self.within.iter().filter(|it| !it.is_empty());
        let ids = ids.map(|it| it.to_uppercase()).collect();
        self.drawn.elements.push((name(node, line), ids, curve));
        Ok(())
    }
}

/// Pieces of a path that is a box, at most: no more of a longer one is followed.
const OF_A_BOX: usize = 4;

/// The box that a clip lets through, if it is one.
fn clip_box(clip: Node<'_, '_>, plane: &Transform<f64>) -> Option<Bounds> {
    if clip.attribute("clipPathUnits") == Some("objectBoundingBox") {
        return None;
    }
    let mut parts = clip.children().filter(Node::is_element);
    let (Some(part), None) = (parts.next(), parts.next()) else {
        return None;
    };
    let plane = transformed(clip, plane).ok()?;
    let plane = transformed(part, &plane).ok()?;
    let (loops, _) = subpaths(&path_data(part).ok()??, &plane, OF_A_BOX).ok()?;
    let pieces: Vec<&Segment> = loops.iter().flat_map(|it| &it.pieces).collect();
    let is_square = |it: &&Segment| {
        let along = it.end() - it.start();
        matches!(it, Segment::Line { .. }) && along.x.abs().min(along.y.abs()) < Tolerance::ROUNDING
    };
    let is_box = loops.len() == 1 && pieces.len() >= 3 && pieces.iter().all(is_square);
    is_box.then(|| Bounds::around(pieces.iter().map(|it| it.start())))
}

/// The plane of an element in that of what is around it.
fn transformed(node: Node<'_, '_>, plane: &Transform<f64>) -> Result<Transform<f64>, Refusal> {
    let Some(words) = node.attribute("transform") else {
        return Ok(*plane);
    };
    let own: svgtypes::Transform = words.parse().map_err(|why| {
        let refusal = Refusal::new(format!("its transform cannot be read ({why})"));
        told_of(node, refusal)
    })?;
    let own = Transform::new(own.a, own.b, own.c, own.d, own.e, own.f);
    Ok(own.then(plane))
}

/// Whether an element is shown, by what it says itself.
fn is_seen(node: Node<'_, '_>) -> bool {
    let says = |key: &str, wanted: &[&str]| said(node, key).is_some_and(|it| wanted.contains(&it));
    !says("display", &["none"]) && !says("visibility", &["hidden", "collapse"])
}

/// What an element says itself of how it is drawn.
fn said<'x>(node: Node<'x, '_>, key: &str) -> Option<&'x str> {
    let style = node.attribute("style").unwrap_or_default();
    let styled = style.split(';').filter_map(|it| it.split_once(':'));
    let mut styled = styled.map(|(key, value)| (key.trim(), value.trim()));
    let found = styled.find(|(name, _)| *name == key);
    found
        .map(|(_, value)| value)
        .or_else(|| node.attribute(key))
}

/// Whether an element is a filled area without a line around it: its ends are joined by a straight line then, as
/// the recommendation has it. A drawn line that is open is no outline.
fn is_area(node: Node<'_, '_>) -> bool {
    let inherited = |key: &str| node.ancestors().find_map(|it| said(it, key));
    let is_line = inherited("stroke").is_some_and(|it| it != "none");
    // What a style sheet says is not read.
    let is_styled = node.ancestors().any(|it| it.has_attribute("class"));
    !is_line && !is_styled && inherited("fill") != Some("none") && node.tag_name().name() != "line"
}

/// A basic shape as path data, as the recommendation gives it; `None` if it draws nothing.
fn path_data(node: Node<'_, '_>) -> Result<Option<String>, Refusal> {
    let of = |key: &str| number(node, key);
    Ok(match node.tag_name().name() {
        "path" => node.attribute("d").map(str::to_owned),
        "line" => Some(format!(
            "M{} {}L{} {}",
            of("x1")?,
            of("y1")?,
            of("x2")?,
            of("y2")?
        )),
        "circle" => round(of("cx")?, of("cy")?, of("r")?, of("r")?),
        "ellipse" => round(of("cx")?, of("cy")?, of("rx")?, of("ry")?),
        "rect" => rectangle(node)?,
        tag => {
            let points = node.attribute("points").unwrap_or_default();
            let points: Vec<String> = PointsParser::from(points)
                .map(|(x, y)| format!("{x} {y}"))
                .collect();
            let end = if tag == "polygon" { "Z" } else { "" };
            (points.len() > 1).then(|| format!("M{}{end}", points.join("L")))
        }
    })
}

fn round(cx: f64, cy: f64, rx: f64, ry: f64) -> Option<String> {
    let (left, right) = (cx - rx, cx + rx);
    (rx > 0.0 && ry > 0.0)
        .then(|| format!("M{right} {cy}A{rx} {ry} 0 0 1 {left} {cy}A{rx} {ry} 0 0 1 {right} {cy}Z"))
}

fn rectangle(node: Node<'_, '_>) -> Result<Option<String>, Refusal> {
    let of = |key: &str| number(node, key);
    let (x, y, w, h) = (of("x")?, of("y")?, of("width")?, of("height")?);
    if !(w > 0.0 && h > 0.0) {
        return Ok(None);
    }
    // A radius that is not given is as large as the other.
    let given = |key: &str, other: &str| {
        let key = if node.has_attribute(key) { key } else { other };
        of(key)
    };
    let rx = given("rx", "ry")?.clamp(0.0, w / 2.0);
    let ry = given("ry", "rx")?.clamp(0.0, h / 2.0);
    if rx == 0.0 || ry == 0.0 {
        return Ok(Some(format!("M{x} {y}h{w}v{h}h{}Z", -w)));
    }
    let arc = |dx: f64, dy: f64| format!("a{rx} {ry} 0 0 1 {dx} {dy}");
    let (across, down) = (w - 2.0 * rx, h - 2.0 * ry);
    Ok(Some(format!(
        "M{} {y}h{across}{}v{down}{}h{}{}v{}{}Z",
        x + rx,
        arc(rx, ry),
        arc(-rx, ry),
        -across,
        arc(-rx, -ry),
        -down,
        arc(rx, -ry)
    )))
}

/// A length of an element in units of the drawing; 0 if it is not given.
fn number(node: Node<'_, '_>, key: &str) -> Result<f64, Refusal> {
    let Some(words) = node.attribute(key) else {
        return Ok(0.0);
    };
    let wrong = || {
        let refusal = Refusal::new(format!("its {key} \"{words}\" cannot be read"));
        refusal.remedy("write it in mm, or as a number alone")
    };
    let length: Length = words.trim().parse().map_err(|_| wrong())?;
    // In a drawing an absolute unit is so many pixels, and a pixel is one unit.
    let unit = match length.unit {
        LengthUnit::None | LengthUnit::Px => 1.0,
        LengthUnit::Mm => 1.0 / PIXEL,
        LengthUnit::Cm => 10.0 / PIXEL,
        LengthUnit::In => 96.0,
        LengthUnit::Pt => 96.0 / 72.0,
        LengthUnit::Pc => 16.0,
        LengthUnit::Em | LengthUnit::Ex | LengthUnit::Percent => return Err(wrong()),
    };
    Ok(length.number * unit)
}

fn name(node: Node<'_, '_>, line: usize) -> Name {
    Name::of_element(node.tag_name().name(), node.attribute("id"), line)
}

/// A refusal with the element that it is about.
fn told_of(node: Node<'_, '_>, why: Refusal) -> Refusal {
    why.reworded(|why| format!("the {}: {why}", called(node)))
}

/// What an element is called in a message.
fn called(node: Node<'_, '_>) -> String {
    let at = node.document().text_pos_at(node.range().start);
    name(node, at.row as usize).to_string()
}

fn nouns(tag: &str) -> (&'static str, &'static str) {
    match tag {
        "text" => ("text", "texts"),
        "image" => ("image", "images"),
        "path" => ("path", "paths"),
        "circle" => ("circle", "circles"),
        "line" => ("line", "lines"),
        _ => ("shape", "shapes"),
    }
}
