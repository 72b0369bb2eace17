//! Parts that are drawn elsewhere.
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
use super::shelf::Families;
use super::step::{Action, CutAttributes, Drawing, Shape, Step};
use super::template::Template;
use super::words::{AllowedRotation, Hand, Operation};
use crate::fault::Fault;
use crate::toml_text::Table;

/// Reads a part: of a family, or drawn elsewhere.
pub(super) fn part_of_either(
    mut table: Table,
    families: &mut Families,
    faults: &mut Vec<Fault>,
) -> Option<Part> {
    table.call("this part");
    if table.has("drawing") && !table.has("recipe") {
        part(table, faults)
    } else {
        Part::read(table, families, faults)
    }
}

/// Reads a part that names a drawing instead of a recipe.
fn part(mut table: Table, faults: &mut Vec<Fault>) -> Option<Part> {
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
        each: None,
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
        tables: Arc::default(),
        lets: Vec::new(),
        rules: Vec::new(),
        notes: Vec::new(),
        figures: Vec::new(),
        strength_checks: Vec::new(),
        bolts: Vec::new(),
        plans: vec![plan],
        joints: Vec::new(),
        source: Arc::clone(&source),
    };
    Some(Part::new(Arc::new(family), &stem, keys?, (source, span)))
}
