//! Drawings: the keys that a shape or a part has for them, and parts that are drawn elsewhere.
//!
//! In: `drawing = "bracket.dxf"` with a thickness. Out: a [`Part`] with a family of its own, whose one step
//! adds the drawing and whose plates are the pieces that it bounds.

use std::path::Path;
use std::sync::Arc;

use super::caution::Caution;
use super::family::Family;
use super::part::{Of, Part, PartKeys};
use super::plate_spec::{Pieces, PlateSpec};
use super::reader::{Reader, optional};
use super::step::{Action, CutAttributes, Shape, Step};
use super::template::Template;
use super::words::{AllowedRotation, DrawingUnit, Hand, Operation};
use crate::fault::Fault;
use crate::toml_text::{Formula, Item, Table, Text};

/// A drawing, and how it is to be read.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Drawing {
    /// The file.
    pub(crate) file: Template,
    /// The layers that count; all that may bound something if there are none.
    pub(crate) layers: Vec<Text>,
    /// What it is in, if the builder says.
    pub(crate) unit: Option<DrawingUnit>,
    /// Its width and height, as far as they are known.
    pub(crate) known: [Option<Formula>; 2],
    /// Whether a drawing that names no unit is refused where the builder names none.
    pub(crate) asks_for_unit: bool,
}

impl Drawing {
    /// Reads the keys beside that of the file.
    pub(super) fn read(file: Template, table: &mut Table, reader: &mut Reader<'_>) -> Option<Self> {
        let layers = optional(table, "layer", |item| layers(item, reader.faults));
        let unit = optional(table, "unit", |item| item.word(reader.faults));
        let known = optional(table, "known", |item| known(item, reader));
        Some(Self {
            file,
            layers: layers?.unwrap_or_default(),
            unit: unit?,
            known: known?.unwrap_or_default(),
            asks_for_unit: false,
        })
    }
}

/// One layer or a list of them.
fn layers(item: Item, faults: &mut Vec<Fault>) -> Option<Vec<Text>> {
    if item.is_list() {
        return Some(item.texts(faults));
    }
    item.text(faults).map(|layer| vec![layer])
}

fn known(item: Item, reader: &mut Reader<'_>) -> Option<[Option<Formula>; 2]> {
    let mut table = item.table(reader.faults)?;
    table.call("`known`");
    let sizes = ["width", "height"].map(|key| reader.option(&mut table, key));
    table.finish(reader.faults);
    Some(sizes)
}

/// Reads a part that names a drawing instead of a recipe.
pub(super) fn part(mut table: Table, faults: &mut Vec<Fault>) -> Option<Part> {
    let source = Arc::clone(table.source());
    let item = table.take("drawing")?;
    let span = item.span();
    let file = item.text(faults)?;
    let stem = Path::new(file.as_str()).file_stem();
    let stem = stem.map_or_else(String::new, |it| it.to_string_lossy().into_owned());
    let keys = PartKeys::read(&mut table, Of::Drawing, faults);
    let mut reader = Reader::new(vec!["material".to_owned()], faults);
    let thickness = reader.need(&mut table, "thickness", "\"6 mm\"");
    let rotation = optional(&mut table, "turning", |item| item.word(reader.faults));
    let drawing = Drawing::read(Template::literal(file), &mut table, &mut reader);
    table.finish(faults);
    let drawing = Drawing {
        asks_for_unit: true,
        ..drawing?
    };
    let step = Step {
        name: None,
        when: None,
        action: Action::Shape {
            operation: Operation::Add,
            shape: Box::new(Shape::Drawing(Box::new(drawing))),
            placing: Box::default(),
            hole: CutAttributes::default(),
        },
        span: span.clone(),
    };
    let plan = PlateSpec {
        name: None,
        when: None,
        quantity: None,
        thickness: Some(thickness?),
        hand: Hand::default(),
        left_when: None,
        right_when: None,
        rotation: rotation?.unwrap_or(AllowedRotation::Free),
        points: Vec::new(),
        steps: vec![step],
        pieces: Pieces::Each,
        span: span.clone(),
    };
    let family = Family {
        name: "drawing".to_owned(),
        title: "Plate drawn elsewhere".to_owned(),
        about: "Cuts what a drawing bounds.".to_owned(),
        // Nobody knows what it will carry.
        cautions: vec![Caution::topic_of_all(
            "safety-critical",
            &source,
            span.clone(),
        )],
        measures: Vec::new(),
        lets: Vec::new(),
        rules: Vec::new(),
        figures: Vec::new(),
        strength_checks: Vec::new(),
        bolts: Vec::new(),
        plans: vec![plan],
        source: Arc::clone(&source),
    };
    Some(Part::new(Arc::new(family), &stem, keys?, (source, span)))
}
