//! One entity of a DXF file: what it draws, how it is called, whether it is seen.
//!
//! In: a record. Out: an [`Entity`] with its numbers checked, or a refusal that names it. What bounds
//! nothing by its nature (words, dimensions, hatches) is told apart from what might and cannot be read.

use std::fmt;

use super::pairs::{Record, Value, shortened};
use super::space::{Triple, UP};
use crate::fault::Refusal;

/// What an entity is called in a message.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Name {
    kind: String,
    handle: String,
    line: usize,
    /// Its layer, if it is another than the usual one.
    layer: String,
    /// The block it stands in, if it does.
    pub(super) block: Option<String>,
}

impl Name {
    /// Of an element of an SVG file, on a line from 1.
    pub(super) fn of_element(tag: &str, id: Option<&str>, line: usize) -> Self {
        let kind = match id {
            Some(id) => format!("{tag} \"{id}\""),
            None => tag.to_owned(),
        };
        Self {
            kind,
            handle: String::new(),
            line,
            layer: String::new(),
            block: None,
        }
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.kind)?;
        match (self.handle.is_empty(), self.line) {
            (false, 0) => write!(f, " (handle {})", self.handle)?,
            (false, line) => write!(f, " (handle {}, line {line} of the file)", self.handle)?,
            (true, 0) => {}
            (true, line) => write!(f, " (line {line} of the file)")?,
        }
        if !self.layer.is_empty() {
            write!(f, " on the layer \"{}\"", self.layer)?;
        }
        match &self.block {
            Some(block) => write!(f, " of the block \"{block}\""),
            None => Ok(()),
        }
    }
}

/// One entity of a drawing.
#[derive(Debug, Clone)]
pub(super) struct Entity {
    pub(super) name: Name,
    /// Its layer.
    pub(super) layer: String,
    /// Its line type, in capitals; that of its layer if it names none.
    pub(super) line_type: Option<String>,
    /// Whether it lies on a page and not in the drawing itself.
    pub(super) on_paper: bool,
    /// Whether it is switched off by itself.
    pub(super) is_hidden: bool,
    /// What it draws.
    pub(super) drawn: Drawn,
}

/// What an entity draws, in units of the drawing and degrees.
#[derive(Debug, Clone)]
pub(super) enum Drawn {
    Line([Triple; 2]),
    /// A circle, or an arc counter-clockwise between two angles.
    Round {
        facing: Triple,
        centre: Triple,
        radius: f64,
        angles: Option<[f64; 2]>,
    },
    Polyline(Polyline),
    /// An ellipse, or the stretch of one between two parameters, radians.
    Ellipse {
        facing: Triple,
        centre: Triple,
        major: Triple,
        ratio: f64,
        between: [f64; 2],
    },
    /// A spline by its control points.
    Spline {
        degree: usize,
        knots: Vec<f64>,
        points: Vec<Triple>,
        weights: Vec<f64>,
    },
    /// A reference to a block.
    Insert(Insert),
    /// Bounds nothing: one of it, and several.
    Aside(&'static str, &'static str),
    /// Nobody can tell here what it draws; about where, if it says so.
    Unreadable(Option<Triple>),
}

/// A chain of lines and arcs.
#[derive(Debug, Clone)]
pub(super) struct Polyline {
    pub(super) facing: Triple,
    pub(super) vertices: Vec<Vertex>,
    pub(super) is_closed: bool,
    /// Whether its lines are bands.
    pub(super) is_wide: bool,
}

/// A corner of a polyline.
#[derive(Debug, Clone, Copy)]
pub(super) struct Vertex {
    pub(super) at: Triple,
    /// Tangent of a quarter of the angle of the arc that follows.
    pub(super) bulge: f64,
}

/// A reference to a block, or rows and columns of them.
#[derive(Debug, Clone)]
pub(super) struct Insert {
    pub(super) block: String,
    pub(super) facing: Triple,
    pub(super) at: Triple,
    pub(super) scale: Triple,
    pub(super) turn: f64,
    pub(super) columns: u32,
    pub(super) rows: u32,
    pub(super) spacing: [f64; 2],
}

/// Entities that bound nothing, and their words.
const ASIDE: [(&[&str], &str, &str); 6] = [
    (
        &["TEXT", "MTEXT", "ATTDEF", "ATTRIB", "SHAPE", "ACAD_TABLE"],
        "text",
        "texts",
    ),
    (
        &[
            "DIMENSION",
            "ARC_DIMENSION",
            "LARGE_RADIAL_DIMENSION",
            "LEADER",
            "MULTILEADER",
            "MLEADER",
            "TOLERANCE",
        ],
        "dimension",
        "dimensions",
    ),
    (&["HATCH", "MPOLYGON", "SOLID", "TRACE"], "hatch", "hatches"),
    (&["POINT"], "point", "points"),
    (&["XLINE", "RAY"], "construction line", "construction lines"),
    (
        &[
            "VIEWPORT",
            "IMAGE",
            "WIPEOUT",
            "OLEFRAME",
            "OLE2FRAME",
            "LIGHT",
            "SUN",
        ],
        "picture or view",
        "pictures or views",
    ),
];

/// The fields of a record.
pub(super) struct Fields<'r, 'a> {
    record: &'r Record<'a>,
    name: Name,
}

impl<'r, 'a> Fields<'r, 'a> {
    pub(super) fn of(record: &'r Record<'a>) -> Self {
        let words = |wanted: i32| {
            let found = record.pairs.iter().find(|(code, _)| *code == wanted);
            found.map(|(_, it)| it.words()).unwrap_or_default()
        };
        let layer = words(8);
        let name = Name {
            kind: record.kind.clone(),
            handle: words(5),
            line: record.line,
            layer: if layer == "0" { String::new() } else { layer },
            block: None,
        };
        Self { record, name }
    }

    fn value(&self, code: i32) -> Option<&'r Value<'a>> {
        let mut pairs = self.record.pairs.iter();
        pairs.find(|(found, _)| *found == code).map(|(_, it)| it)
    }

    pub(super) fn words(&self, code: i32) -> Option<String> {
        self.value(code).map(Value::words)
    }

    fn checked(&self, code: i32, value: &Value<'_>) -> Result<f64, Refusal> {
        value.number().ok_or_else(|| {
            let found = match value {
                Value::Text(text) => shortened(text.trim_ascii()),
                Value::Number(number) => number.to_string(),
            };
            let message = format!(
                "the {} has \"{found}\" for a number (group code {code})",
                self.name
            );
            Refusal::new(message).remedy(if found.contains(',') {
                "numbers of a DXF file have points: save it again without commas in them"
            } else {
                "delete it and draw it again"
            })
        })
    }

    /// A number, or what it is where none is given.
    pub(super) fn number(&self, code: i32, usual: f64) -> Result<f64, Refusal> {
        self.value(code)
            .map_or(Ok(usual), |value| self.checked(code, value))
    }

    fn flags(&self, code: i32) -> Result<i64, Refusal> {
        Ok(self.number(code, 0.0)? as i64)
    }

    /// x, y and z; what is not given is taken from `usual`.
    fn triple(&self, code: i32, usual: Triple) -> Result<Triple, Refusal> {
        Ok([
            self.number(code, usual[0])?,
            self.number(code + 10, usual[1])?,
            self.number(code + 20, usual[2])?,
        ])
    }

    /// A place, its z that of the entity where it has none.
    fn place(&self, code: i32) -> Result<Triple, Refusal> {
        self.triple(code, [0.0, 0.0, self.number(38, 0.0)?])
    }

    fn facing(&self) -> Result<Triple, Refusal> {
        self.triple(210, UP)
    }

    /// The entity; a polyline of the old form has no vertices yet.
    pub(super) fn entity(self) -> Result<Entity, Refusal> {
        let line_type = self.words(6).map(|it| it.to_uppercase());
        Ok(Entity {
            layer: self.words(8).unwrap_or_else(|| "0".to_owned()),
            line_type: line_type.filter(|it| it != "BYLAYER"),
            on_paper: self.flags(67)? == 1,
            is_hidden: self.flags(60)? == 1,
            drawn: self.drawn()?,
            name: self.name,
        })
    }

    fn drawn(&self) -> Result<Drawn, Refusal> {
        Ok(match self.record.kind.as_str() {
            "LINE" | "3DLINE" => Drawn::Line([self.place(10)?, self.place(11)?]),
            kind @ ("CIRCLE" | "ARC") => Drawn::Round {
                facing: self.facing()?,
                centre: self.place(10)?,
                radius: self.number(40, 0.0)?,
                angles: match kind {
                    "ARC" => Some([self.number(50, 0.0)?, self.number(51, 360.0)?]),
                    _ => None,
                },
            },
            "ELLIPSE" => Drawn::Ellipse {
                facing: self.facing()?,
                centre: self.place(10)?,
                major: self.triple(11, [1.0, 0.0, 0.0])?,
                ratio: self.number(40, 1.0)?,
                between: [
                    self.number(41, 0.0)?,
                    self.number(42, std::f64::consts::TAU)?,
                ],
            },
            "LWPOLYLINE" => Drawn::Polyline(self.light_polyline()?),
            "POLYLINE" => self.old_polyline()?,
            "SPLINE" => self.spline()?,
            "INSERT" => Drawn::Insert(Insert {
                block: self.words(2).unwrap_or_default(),
                facing: self.facing()?,
                at: self.place(10)?,
                scale: [
                    self.number(41, 1.0)?,
                    self.number(42, 1.0)?,
                    self.number(43, 1.0)?,
                ],
                turn: self.number(50, 0.0)?,
                columns: self.number(70, 1.0)?.max(1.0) as u32,
                rows: self.number(71, 1.0)?.max(1.0) as u32,
                spacing: [self.number(44, 0.0)?, self.number(45, 0.0)?],
            }),
            kind => {
                let is_of = |(kinds, _, _): &&(&[&str], _, _)| kinds.contains(&kind);
                match ASIDE.iter().find(is_of) {
                    Some((_, one, several)) => Drawn::Aside(one, several),
                    None => self.unreadable()?,
                }
            }
        })
    }

    /// A spline; one that only names places to pass through is for its own program to draw.
    fn spline(&self) -> Result<Drawn, Refusal> {
        let all = |code: i32| -> Result<Vec<f64>, Refusal> {
            let own = self.record.pairs.iter().filter(|(found, _)| *found == code);
            own.map(|(_, value)| self.checked(code, value)).collect()
        };
        let (x, y, mut z) = (all(10)?, all(20)?, all(30)?);
        z.resize(x.len(), 0.0);
        if x.is_empty() || x.len() != y.len() {
            return self.unreadable();
        }
        let points = x.iter().zip(&y).zip(&z).map(|((x, y), z)| [*x, *y, *z]);
        Ok(Drawn::Spline {
            degree: self.number(71, 3.0)?.max(0.0) as usize,
            knots: all(40)?,
            points: points.collect(),
            weights: all(41)?,
        })
    }

    fn unreadable(&self) -> Result<Drawn, Refusal> {
        let place = self.value(10).map(|_| self.place(10)).transpose()?;
        Ok(Drawn::Unreadable(place))
    }

    fn light_polyline(&self) -> Result<Polyline, Refusal> {
        let z = self.number(38, 0.0)?;
        let mut vertices: Vec<Vertex> = Vec::new();
        let mut is_wide = self.number(43, 0.0)? > 0.0;
        for (code, value) in &self.record.pairs {
            let last = vertices.last_mut();
            match (code, last) {
                (10, _) => vertices.push(Vertex {
                    at: [self.checked(10, value)?, 0.0, z],
                    bulge: 0.0,
                }),
                (20, Some(last)) => last.at[1] = self.checked(20, value)?,
                (42, Some(last)) => last.bulge = self.checked(42, value)?,
                (40 | 41, _) => is_wide |= self.checked(*code, value)? > 0.0,
                _ => {}
            }
        }
        Ok(Polyline {
            facing: self.facing()?,
            vertices,
            is_closed: self.flags(70)? & 1 != 0,
            is_wide,
        })
    }

    /// A polyline of the old form: its vertices are records of their own.
    fn old_polyline(&self) -> Result<Drawn, Refusal> {
        const CLOSED: i64 = 1;
        const IN_SPACE: i64 = 8;
        const MESH: i64 = 16 | 64;
        let flags = self.flags(70)?;
        if flags & MESH != 0 {
            return self.unreadable();
        }
        let facing = if flags & IN_SPACE == 0 {
            self.facing()?
        } else {
            UP
        };
        Ok(Drawn::Polyline(Polyline {
            facing,
            vertices: Vec::new(),
            is_closed: flags & CLOSED != 0,
            is_wide: self.number(40, 0.0)? > 0.0 || self.number(41, 0.0)? > 0.0,
        }))
    }

    /// A vertex of a polyline of the old form; `None` if it only steers a curve.
    pub(super) fn vertex(&self) -> Result<Option<Vertex>, Refusal> {
        const STEERS: i64 = 16;
        if self.flags(70)? & STEERS != 0 {
            return Ok(None);
        }
        Ok(Some(Vertex {
            at: self.place(10)?,
            bulge: self.number(42, 0.0)?,
        }))
    }
}

impl Entity {
    /// What one of its kind is called, and several.
    pub(super) fn nouns(&self) -> (&'static str, &'static str) {
        match &self.drawn {
            Drawn::Line(_) => ("line", "lines"),
            Drawn::Round { angles: None, .. } => ("circle", "circles"),
            Drawn::Round { .. } => ("arc", "arcs"),
            Drawn::Polyline(_) => ("polyline", "polylines"),
            Drawn::Spline { .. } => ("spline", "splines"),
            Drawn::Ellipse { .. } => ("ellipse", "ellipses"),
            Drawn::Insert(_) => ("block", "blocks"),
            Drawn::Aside(one, several) => (one, several),
            Drawn::Unreadable(_) => ("other thing", "other things"),
        }
    }

    /// How many lines and arcs it takes to read.
    pub(super) fn size(&self) -> usize {
        match &self.drawn {
            Drawn::Polyline(line) => line.vertices.len().max(1),
            Drawn::Spline { knots, .. } => knots.len().max(1),
            _ => 1,
        }
    }
}
