//! A DXF file as a whole: its unit, layers, line types, blocks and entities.

use std::collections::HashMap;

use super::entity::{Drawn, Entity, Fields};
use super::pairs::{Record, Records, damaged, no_dxf};
use super::space::Triple;
use super::{MOST_PIECES, too_many};
use crate::fault::Refusal;

/// Lines and arcs that are kept of one file, with those of blocks that nothing refers to.
const MOST_KEPT: usize = 10 * MOST_PIECES;

/// What a file says.
#[derive(Debug, Default)]
pub(super) struct Document {
    /// The code of its unit; 0 if it names none.
    pub(super) unit: f64,
    /// Its layers by their names in capitals.
    pub(super) layers: HashMap<String, Layer>,
    /// Whether a line type, by its name in capitals, has gaps.
    line_types: HashMap<String, bool>,
    /// Its blocks by their names in capitals.
    pub(super) blocks: HashMap<String, Block>,
    /// What it draws.
    pub(super) entities: Vec<Entity>,
}

/// A layer.
#[derive(Debug, Clone, Default)]
pub(super) struct Layer {
    /// As the file writes it.
    pub(super) name: String,
    pub(super) is_off: bool,
    pub(super) is_frozen: bool,
    line_type: Option<String>,
}

/// Entities that are drawn wherever a reference says so.
#[derive(Debug)]
pub(super) struct Block {
    /// The place in it that comes to lie where it is put.
    pub(super) base: Triple,
    /// Whether it stands in another file.
    pub(super) is_elsewhere: bool,
    pub(super) entities: Vec<Entity>,
}

/// Names of line types with gaps, for files that use them without saying what they are.
const WITH_GAPS: [&str; 8] = [
    "CENTER", "CENTRE", "DASH", "HIDDEN", "PHANTOM", "DOT", "DIVIDE", "BORDER",
];

impl Document {
    pub(super) fn read(bytes: &[u8]) -> Result<Self, Refusal> {
        let mut reader = Reader::default();
        let mut is_any = false;
        for record in Records::of(bytes) {
            is_any = true;
            let record = record?;
            if record.kind == "EOF" {
                break;
            }
            reader.take(&record)?;
        }
        if !is_any {
            return Err(no_dxf());
        }
        if !reader.section.is_empty() {
            return Err(damaged("it ends in the middle"));
        }
        Ok(reader.document)
    }

    /// Whether lines of this type have gaps.
    fn has_gaps(&self, line_type: &str) -> bool {
        let known = self.line_types.get(line_type).copied();
        known.unwrap_or_else(|| WITH_GAPS.iter().any(|it| line_type.contains(it)))
    }

    /// The name of the line type of an entity, if its lines have gaps: what is drawn so is a centre
    /// line, a hidden edge or the like (ISO 128-2).
    pub(super) fn gaps<'a>(&'a self, line_type: Option<&'a str>, layer: &str) -> Option<&'a str> {
        let of_layer = || self.layers.get(layer)?.line_type.as_deref();
        let line_type = line_type.or_else(of_layer)?;
        self.has_gaps(line_type).then_some(line_type)
    }
}

/// What is being read.
#[derive(Default)]
struct Reader {
    document: Document,
    /// The section, empty between sections.
    section: String,
    /// The block, its name and what it holds.
    block: Option<(String, Block)>,
    /// A polyline whose vertices come in records of their own.
    polyline: Option<Entity>,
    kept: usize,
}

impl Reader {
    fn take(&mut self, record: &Record<'_>) -> Result<(), Refusal> {
        let fields = || Fields::of(record);
        match (self.section.as_str(), record.kind.as_str()) {
            ("", "SECTION") => {
                self.section = fields().words(2).unwrap_or_else(|| "?".to_owned());
                if self.section == "HEADER" {
                    self.header(record);
                }
            }
            ("", _) => return Err(no_dxf()),
            (_, "ENDSEC") => {
                self.finish_polyline()?;
                self.finish_block();
                self.section.clear();
            }
            ("TABLES", "LAYER") => self.layer(&fields())?,
            ("TABLES", "LTYPE") => {
                let name = fields().words(2).unwrap_or_default().to_uppercase();
                let has_gaps = record.pairs.iter().any(|(code, _)| *code == 49);
                self.document.line_types.insert(name, has_gaps);
            }
            ("BLOCKS", "BLOCK") => {
                self.finish_block();
                let fields = fields();
                let flags = fields.number(70, 0.0)? as i64;
                let block = Block {
                    base: [
                        fields.number(10, 0.0)?,
                        fields.number(20, 0.0)?,
                        fields.number(30, 0.0)?,
                    ],
                    is_elsewhere: flags & (4 | 8) != 0,
                    entities: Vec::new(),
                };
                self.block = Some((fields.words(2).unwrap_or_default(), block));
            }
            ("BLOCKS", "ENDBLK") => {
                self.finish_polyline()?;
                self.finish_block();
            }
            ("BLOCKS" | "ENTITIES", kind) => self.entity(kind, fields())?,
            _ => {}
        }
        Ok(())
    }

    fn header(&mut self, record: &Record<'_>) {
        let mut pairs = record.pairs.iter();
        let is_unit = |(code, value): &(i32, super::pairs::Value<'_>)| {
            *code == 9 && value.words().eq_ignore_ascii_case("$INSUNITS")
        };
        if pairs.any(is_unit)
            && let Some((_, value)) = pairs.next()
        {
            // What is no number is no unit that anybody knows.
            self.document.unit = value.number().unwrap_or(-1.0);
        }
    }

    fn layer(&mut self, fields: &Fields<'_, '_>) -> Result<(), Refusal> {
        const FROZEN: i64 = 1;
        let name = fields.words(2).unwrap_or_default();
        let capitals = name.to_uppercase();
        let layer = Layer {
            name,
            is_off: fields.number(62, 7.0)? < 0.0,
            is_frozen: fields.number(70, 0.0)? as i64 & FROZEN != 0,
            line_type: fields.words(6).map(|it| it.to_uppercase()),
        };
        self.document.layers.insert(capitals, layer);
        Ok(())
    }

    fn entity(&mut self, kind: &str, fields: Fields<'_, '_>) -> Result<(), Refusal> {
        match (kind, &mut self.polyline) {
            ("VERTEX", Some(polyline)) => {
                let vertex = fields.vertex()?;
                if let (Some(vertex), Drawn::Polyline(line)) = (vertex, &mut polyline.drawn) {
                    line.vertices.push(vertex);
                }
                self.kept += 1;
                return self.few_enough();
            }
            ("SEQEND", _) => return self.finish_polyline(),
            // Of a mesh, which nobody reads.
            ("VERTEX", None) => return Ok(()),
            _ => {}
        }
        self.finish_polyline()?;
        let entity = fields.entity()?;
        if kind == "POLYLINE" && matches!(entity.drawn, Drawn::Polyline(_)) {
            self.polyline = Some(entity);
            return Ok(());
        }
        self.keep(entity)
    }

    fn finish_polyline(&mut self) -> Result<(), Refusal> {
        match self.polyline.take() {
            Some(polyline) => self.keep(polyline),
            None => Ok(()),
        }
    }

    fn keep(&mut self, mut entity: Entity) -> Result<(), Refusal> {
        self.kept += entity.size();
        match (&mut self.block, self.section.as_str()) {
            (Some((name, block)), _) => {
                entity.name.block = Some(name.clone());
                block.entities.push(entity);
            }
            (None, "ENTITIES") => self.document.entities.push(entity),
            (None, _) => {}
        }
        self.few_enough()
    }

    fn few_enough(&self) -> Result<(), Refusal> {
        if self.kept > MOST_KEPT {
            return Err(too_many());
        }
        Ok(())
    }

    fn finish_block(&mut self) {
        if let Some((name, block)) = self.block.take() {
            self.document.blocks.insert(name.to_uppercase(), block);
        }
    }
}
