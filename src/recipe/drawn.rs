//! Parts that are drawn elsewhere.
//!
//! In: `drawing = "bracket.dxf"` with a thickness. Out: a [`Part`] with a family of its own, whose one step
//! adds the drawing and whose plates are the pieces that it bounds.

use std::path::Path;
use std::sync::Arc;

use super::borrowed;
use super::part::{Of, Part, PartKeys};
use super::plain;
use super::plate_spec::Pieces;
use super::reader::{Reader, optional};
use super::shelf::Families;
use super::step::{Action, CutAttributes, Drawing, Shape, Step};
use super::template::Template;
use super::without_family::{Plain, without_family};
use super::words::Operation;
use crate::fault::{Fault, Place};
use crate::toml_text::Table;

/// Reads a part: of a family, drawn elsewhere, or plain.
pub(super) fn part_of_either(
    mut table: Table,
    families: &mut Families,
    faults: &mut Vec<Fault>,
) -> Option<Part> {
    table.call("this part");
    let mut keys = ["recipe", "drawing", "shape", "job"].into_iter();
    match keys.find(|key| table.has(key)) {
        Some("drawing") => part(table, faults),
        Some("shape") => plain::part(table, faults),
        Some("job") => borrowed::part(table, families, faults),
        _ => Part::read(table, families, faults),
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
        place: Place {
            source: Arc::clone(&source),
            span: span.clone(),
        },
    };
    let plain = Plain {
        called: "drawing",
        title: "Plate drawn elsewhere",
        about: "Cuts what a drawing bounds.",
        thickness: thickness?,
        rotation: rotation?.unwrap_or_default(),
        steps: vec![step],
        pieces: Pieces::Each,
    };
    Some(without_family(plain, keys?, &stem, (source, span)))
}
