//! Outlines drawn elsewhere, from a DXF file.
//!
//! In: a file of lines, arcs, circles and polylines. Out: the region that its closed chains bound;
//! a chain inside another is an opening. Lines and arcs stay what they are.

use std::fs::File;
use std::io::{self, Read as _};
use std::panic;
use std::path::Path;

use dxf::Drawing;
use dxf::entities::EntityType;
use dxf::enums::Units;

use crate::geometry::{Bounds, Contour, Face, Point, Region, Segment, Turning, arrange};
use crate::layer::Layer;
use crate::toml_text::formula::COORDINATE;

/// Ends nearer than this, mm, are joined. Common practice: drawings close to a few hundredths.
const JOINED: f64 = 0.05;
/// Pieces that are read from one file.
const MOST_PIECES: usize = 20_000;
/// Bytes that are read of one file.
const MOST_BYTES: u64 = 32 << 20;
/// Layers of our own drawings that bound nothing: words, marks and folds.
const NO_EDGES: [Layer; 4] = [Layer::CentreMark, Layer::Scribe, Layer::Bend, Layer::Note];
/// Millimetres of an inch.
const INCH: f64 = 25.4;

/// The region that the closed chains of a DXF file bound, mm; only those of one layer if it is named,
/// else all but those of our own layers for marks and folds.
///
/// The unit of the file is honoured; a file that names none is in millimetres. Fails with one
/// sentence if the file cannot be read, has lines that are neither straight nor circular, or a chain
/// that does not close.
pub fn outlines(path: &Path, layer: Option<&str>) -> Result<Region, String> {
    outlines_in(&bytes(path)?, layer)
}

/// The same of the bytes of a file.
pub fn outlines_in(bytes: &[u8], layer: Option<&str>) -> Result<Region, String> {
    let drawing = drawing(bytes)?;
    let scale = millimetres(drawing.header.default_drawing_units)?;
    let mut closed = Vec::new();
    let mut loose = Vec::new();
    for entity in drawing.entities() {
        let on = |name: &str| name.eq_ignore_ascii_case(&entity.common.layer);
        let is_edge = || !NO_EDGES.iter().any(|it| on(it.name()));
        if !layer.map_or_else(is_edge, on) {
            continue;
        }
        match pieces(&entity.specific, scale)? {
            Pieces::Loop(contour) => closed.push(contour),
            Pieces::Chain(segments) => loose.extend(segments),
            Pieces::None => {}
        }
        if closed.len() + loose.len() > MOST_PIECES {
            return Err(format!("it has more than {MOST_PIECES} lines"));
        }
    }
    closed.extend(chained(loose)?);
    if closed.is_empty() {
        return Err("there is no closed outline in it".to_owned());
    }
    bounded(closed)
}

/// The bytes of an ordinary file that is not too large.
fn bytes(path: &Path) -> Result<Vec<u8>, String> {
    let unreadable = |error: io::Error| format!("it cannot be read ({error})");
    let file = File::open(path).map_err(unreadable)?;
    let found = file.metadata().map_err(unreadable)?;
    if !found.is_file() {
        return Err("it is not a file".to_owned());
    }
    let mut bytes = Vec::new();
    let read = file.take(MOST_BYTES + 1).read_to_end(&mut bytes);
    read.map_err(unreadable)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(format!("it is larger than {} MiB", MOST_BYTES >> 20));
    }
    Ok(bytes)
}

/// What the bytes say, if they are a drawing.
fn drawing(bytes: &[u8]) -> Result<Drawing, String> {
    // The reader is not ours, and files come from anywhere: should one make it stumble, the builder
    // is told that the file is at fault, as it is.
    let read = panic::catch_unwind(|| Drawing::load(&mut &*bytes));
    match read {
        Ok(Ok(drawing)) => Ok(drawing),
        Ok(Err(error)) => Err(format!("it cannot be read as DXF ({error})")),
        Err(_) => Err("it cannot be read as DXF".to_owned()),
    }
}

/// What an entity adds.
enum Pieces {
    Loop(Contour),
    Chain(Vec<Segment>),
    None,
}

impl Pieces {
    /// Itself, unless a coordinate or size is no number or beyond the limit of a recipe's.
    fn within_reach(self) -> Result<Self, String> {
        let segments = match &self {
            Self::Loop(contour) => contour.segments(),
            Self::Chain(segments) => segments,
            Self::None => &[],
        };
        let is_near = |p: Point| p.x.abs().max(p.y.abs()) <= COORDINATE;
        let mut reaches = segments.iter().map(|segment| {
            let Bounds { min, max } = segment.bounds();
            let is_round = match segment {
                Segment::Line { .. } => true,
                Segment::Arc { radius, .. } => radius.is_finite() && *radius > 0.0,
            };
            is_near(min) && is_near(max) && is_round
        });
        if reaches.all(|it| it) {
            Ok(self)
        } else {
            let most = COORDINATE / 1000.0;
            Err(format!(
                "it has a line or arc beyond {most} m, or an arc without a radius"
            ))
        }
    }
}

fn pieces(entity: &EntityType, scale: f64) -> Result<Pieces, String> {
    let at = |x: f64, y: f64| Point::new(x * scale, y * scale);
    let found = match entity {
        EntityType::Line(line) => Pieces::Chain(vec![Segment::Line {
            start: at(line.p1.x, line.p1.y),
            end: at(line.p2.x, line.p2.y),
        }]),
        EntityType::Circle(circle) if circle.radius.is_nan() || circle.radius <= 0.0 => {
            return Err("it has a circle without a radius".to_owned());
        }
        EntityType::Circle(circle) => Pieces::Loop(Contour::circle(
            at(circle.center.x, circle.center.y),
            circle.radius * scale,
        )),
        EntityType::Arc(arc) => {
            let centre = at(arc.center.x, arc.center.y);
            let radius = arc.radius * scale;
            let (from, to) = (arc.start_angle.to_radians(), arc.end_angle.to_radians());
            Pieces::Chain(vec![Segment::Arc {
                start: centre.polar(radius, from),
                end: centre.polar(radius, to),
                centre,
                radius,
                turning: Turning::Left,
            }])
        }
        EntityType::LwPolyline(line) => {
            let vertices = line.vertices.iter().map(|v| (at(v.x, v.y), v.bulge));
            polyline(&vertices.collect::<Vec<_>>(), line.is_closed())
        }
        EntityType::Polyline(line) => {
            let vertices = line
                .vertices()
                .map(|v| (at(v.location.x, v.location.y), v.bulge));
            polyline(&vertices.collect::<Vec<_>>(), line.is_closed())
        }
        EntityType::Spline(_) | EntityType::Ellipse(_) => {
            return Err(
                "it has curves that are no circular arcs: convert them to lines and arcs"
                    .to_owned(),
            );
        }
        // Words, dimensions and points bound nothing.
        _ => Pieces::None,
    };
    found.within_reach()
}

fn polyline(vertices: &[(Point, f64)], closed: bool) -> Pieces {
    let chain = |count: usize| -> Vec<Segment> {
        (0..count)
            .map(|i| {
                let (start, bulge) = vertices[i];
                Segment::from_bulge(start, vertices[(i + 1) % vertices.len()].0, bulge)
            })
            .filter(|segment| segment.length() > 0.0)
            .collect()
    };
    if closed {
        Contour::new(chain(vertices.len())).map_or(Pieces::None, Pieces::Loop)
    } else {
        Pieces::Chain(chain(vertices.len().saturating_sub(1)))
    }
}

/// Loose pieces joined end to end into closed chains.
fn chained(mut loose: Vec<Segment>) -> Result<Vec<Contour>, String> {
    let mut contours = Vec::new();
    while let Some(first) = loose.pop() {
        let mut chain = vec![first];
        loop {
            let end = chain[chain.len() - 1].end();
            if end.distance(chain[0].start()) < JOINED {
                break;
            }
            let next = loose.iter().position(|it| {
                it.start().distance(end) < JOINED || it.end().distance(end) < JOINED
            });
            let Some(next) = next else {
                return Err(format!(
                    "a chain does not close: nothing goes on from x {:.2} mm, y {:.2} mm",
                    end.x, end.y
                ));
            };
            let next = loose.swap_remove(next);
            let forward = next.start().distance(end) <= next.end().distance(end);
            chain.push(if forward { next } else { next.reversed() });
        }
        contours.extend(closed_up(chain));
    }
    Ok(contours)
}

/// The chain with its joints brought together exactly.
fn closed_up(chain: Vec<Segment>) -> Option<Contour> {
    let count = chain.len();
    let starts: Vec<Point> = chain.iter().map(Segment::start).collect();
    let joined = chain.into_iter().enumerate().map(|(i, segment)| {
        let (start, end) = (starts[i], starts[(i + 1) % count]);
        Segment::from_bulge(start, end, segment.bulge())
    });
    Contour::new(joined.collect())
}

/// What an odd number of the contours surround.
pub(super) fn bounded(contours: Vec<Contour>) -> Result<Region, String> {
    let filled: Vec<Region> = contours
        .into_iter()
        .map(|contour| {
            let outside = if contour.signed_area() < 0.0 {
                contour.reversed()
            } else {
                contour
            };
            Region {
                faces: vec![Face {
                    outside,
                    openings: Vec::new(),
                }],
            }
        })
        .collect();
    let odd = |inside: &[bool]| inside.iter().filter(|inside| **inside).count() % 2 == 1;
    let region = arrange(&filled, &odd).map_err(|why| why.to_string())?;
    if region.faces.is_empty() {
        return Err("its outlines surround nothing".to_owned());
    }
    Ok(region)
}

/// Millimetres of one unit of the file.
fn millimetres(units: Units) -> Result<f64, String> {
    Ok(match units {
        Units::Unitless | Units::Millimeters => 1.0,
        Units::Inches => INCH,
        Units::Feet => 12.0 * INCH,
        Units::Centimeters => 10.0,
        Units::Meters => 1000.0,
        other => {
            return Err(format!(
                "its unit ({other:?}) is none of a drawing's: use mm or inch"
            ));
        }
    })
}
