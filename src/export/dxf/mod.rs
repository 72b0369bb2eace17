//! DXF, as releases R12 (AC1009) and 2000 (AC1015), written from the published group codes.
//!
//! In: a [`Drawing`]. Out: an ASCII file in millimetres that an independent auditor opens without
//! errors or repairs, the same bytes every time. Chains are `LWPOLYLINE` in 2000 and
//! `POLYLINE`/`VERTEX`/`SEQEND` in R12; arcs stay arcs, as bulges. An independent reader has read each file
//! back before it leaves this room.
//!
//! ```
//! use platewright::layer::Layer;
//! use platewright::export::{Drawing, Dxf, Entity, Exporter, Release};
//! use platewright::geometry::{Circle, Point};
//!
//! let mut drawing = Drawing::default();
//! let centre = Point::new(0.0, 0.0);
//! drawing.add(Layer::Outside, Entity::Circle(Circle { centre, radius: 85.0 }));
//! drawing.add(Layer::Inside, Entity::Circle(Circle { centre, radius: 32.0 }));
//! let file = Dxf { release: Release::R2000 }.export(&drawing)?;
//! assert!(file.starts_with(b"  0\r\nSECTION\r\n"));
//! # Ok::<(), platewright::fault::Faults>(())
//! ```

mod frame;
mod groups;
mod read_back;

use frame::{Frame, MODEL_SPACE};
use groups::Groups;

use super::{Drawing, Ends, Entity, Exporter, Polyline};
use crate::fault::Outcome;
use crate::geometry::Point;
use crate::layer::Layer;

/// The DXF format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Dxf {
    /// Which release is written.
    pub release: Release,
}

/// A release of the format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Release {
    /// R12, for old controllers. Its header has no unit: a comment says that it is in millimetres.
    R12,
    /// 2000: says that it is in millimetres.
    #[default]
    R2000,
}

impl Exporter<Drawing> for Dxf {
    fn extension(&self) -> &'static str {
        "dxf"
    }

    fn export(&self, drawing: &Drawing) -> Outcome<Vec<u8>> {
        let mut entities = Entities::new(self.release);
        for (layer, entity) in &drawing.entities {
            entities.write(*layer, entity);
        }
        let frame = Frame {
            bounds: drawing.bounds(),
            next_handle: entities.next_handle,
            has_scrap: drawing.entities.iter().any(|it| it.0 == Layer::Scrap),
        };
        let mut file = Groups::default();
        match self.release {
            Release::R12 => frame.write_r12(&mut file, &entities.groups),
            Release::R2000 => frame.write_r2000(&mut file, &entities.groups),
        }
        let file = file.into_bytes()?;
        read_back::check(&file, drawing)?;
        Ok(file)
    }
}

/// The entities of one file, written one after another.
struct Entities {
    release: Release,
    groups: Groups,
    next_handle: u32,
}

impl Entities {
    fn new(release: Release) -> Self {
        Self {
            release,
            groups: Groups::default(),
            next_handle: frame::FIRST_FREE_HANDLE,
        }
    }

    fn write(&mut self, layer: Layer, entity: &Entity) {
        match entity {
            Entity::Line { from, to } => {
                self.start("LINE", "AcDbLine", layer)
                    .point_in_space(10, *from)
                    .point_in_space(11, *to);
            }
            Entity::Arc { circle, start, end } => {
                self.start("ARC", "AcDbCircle", layer)
                    .point_in_space(10, circle.centre)
                    .real(40, circle.radius);
                self.subclass("AcDbArc")
                    .real(50, degrees(*start))
                    .real(51, degrees(*end));
            }
            Entity::Circle(circle) => {
                self.start("CIRCLE", "AcDbCircle", layer)
                    .point_in_space(10, circle.centre)
                    .real(40, circle.radius);
            }
            Entity::Point(at) => {
                self.start("POINT", "AcDbPoint", layer)
                    .point_in_space(10, *at);
            }
            Entity::Polyline(chain) => match self.release {
                Release::R12 => self.polyline(layer, chain),
                Release::R2000 => self.light_polyline(layer, chain),
            },
            Entity::Text {
                at,
                height,
                turn,
                words,
            } => {
                self.start("TEXT", "AcDbText", layer)
                    .point_in_space(10, *at)
                    .real(40, *height)
                    .words(1, words)
                    .real(50, degrees(*turn));
                // The reference has the marker twice: alignment would follow the second.
                self.subclass("AcDbText");
            }
        }
    }

    /// A chain in the form of R12: a header, a vertex each, an end.
    fn polyline(&mut self, layer: Layer, chain: &Polyline) {
        self.start("POLYLINE", "", layer)
            .pair(66, 1)
            .point_in_space(10, Point::ORIGIN)
            .pair(70, closed_flag(chain.ends));
        for vertex in &chain.vertices {
            self.start("VERTEX", "", layer)
                .point_in_space(10, vertex.at)
                .bulge(vertex.bulge);
        }
        self.start("SEQEND", "", layer);
    }

    /// A chain in the form of 2000: one entity with all its vertices.
    fn light_polyline(&mut self, layer: Layer, chain: &Polyline) {
        let groups = self.start("LWPOLYLINE", "AcDbPolyline", layer);
        groups
            .pair(90, chain.vertices.len())
            .pair(70, closed_flag(chain.ends));
        for vertex in &chain.vertices {
            groups.point(10, vertex.at).bulge(vertex.bulge);
        }
    }

    /// The head of an entity: what it is, its handle and owner (2000 only) and its layer.
    fn start(&mut self, kind: &str, subclass: &str, layer: Layer) -> &mut Groups {
        self.groups.pair(0, kind);
        if self.release == Release::R2000 {
            self.groups
                .handle(5, self.next_handle)
                .handle(330, MODEL_SPACE)
                .pair(100, "AcDbEntity");
            self.next_handle += 1;
        }
        self.groups.pair(8, layer.name());
        self.subclass(subclass)
    }

    /// A subclass marker, which R12 does not have.
    fn subclass(&mut self, name: &str) -> &mut Groups {
        if self.release == Release::R2000 {
            self.groups.pair(100, name);
        }
        &mut self.groups
    }
}

/// Group 70 of a chain.
fn closed_flag(ends: Ends) -> u8 {
    match ends {
        Ends::Closed => 1,
        Ends::Open => 0,
    }
}

/// An angle as the format wants it: degrees from 0 to 360.
fn degrees(radians: f64) -> f64 {
    radians.to_degrees().rem_euclid(360.0)
}
