//! Parts that are plain plates.
//!
//! In: `shape = "rectangle"` with the keys of that shape, its `holes` and a thickness. Out: a [`Part`] with a
//! family of its own, whose steps add the shape and cut the holes.

use super::part::{Of, Part, PartKeys};
use super::plate_spec::Pieces;
use super::reader::{self, Reader, optional};
use super::shape_reader;
use super::step::{Action, CutAttributes, Shape, Step};
use super::step_reader::{cut_of, step};
use super::without_family::{Plain, without_family};
use super::words::{Anchor, OUTLINE, Operation, Purpose, ShapeWord};
use crate::fault::{Fault, Place};
use crate::toml_text::{Formula, Item, Table, Text};

/// The words for the shapes of plain plates: those of a step, and an outline, by its corners or by path data.
pub(crate) fn shape_words() -> impl Iterator<Item = &'static str> {
    let of_steps = ShapeWord::ALL.iter().map(|(_, word)| *word);
    of_steps.chain([OUTLINE])
}

/// The shape of a step that has the same keys.
fn form(word: &Text, table: &Table, faults: &mut Vec<Fault>) -> Option<ShapeWord> {
    let mut known = ShapeWord::ALL.iter();
    match known.find(|(_, known)| *known == word.as_str()) {
        Some((shape, _)) => Some(*shape),
        None if word.as_str() == OUTLINE && table.has("path") => Some(ShapeWord::Drawing),
        None if word.as_str() == OUTLINE => Some(ShapeWord::Polygon),
        None => {
            faults.push(word.not_among(&shape_words().collect::<Vec<_>>()));
            None
        }
    }
}

/// Reads a part that names a shape instead of a recipe.
pub(super) fn part(mut table: Table, faults: &mut Vec<Fault>) -> Option<Part> {
    let item = table.take("shape")?;
    let span = item.span();
    let word = item.text(faults)?;
    let form = form(&word, &table, faults)?;
    let keys = PartKeys::read(&mut table, Of::Recipe, faults);
    let mut reader = Reader::new(vec!["material".to_owned()], faults);
    let thickness = reader.need(&mut table, "thickness", "\"6 mm\"");
    let rotation = optional(&mut table, "turning", |item| item.word(reader.faults));
    let has_anchor = table.has("anchor");
    let shape = shape_reader::shape(form, &mut table, &mut reader);
    let holes = table.take("holes");
    let holes = holes.map_or_else(Vec::new, |item| holes_of(item, &mut reader));
    let source = std::sync::Arc::clone(table.source());
    table.finish(faults);
    let mut shape = shape?;
    if let (Shape::Rectangle { anchor, .. }, false) = (&mut shape, has_anchor) {
        // Holes are measured from a corner.
        *anchor = Anchor::LowerLeft;
    }
    let outside = Step {
        name: None,
        when: None,
        each: None,
        action: Action::Shape {
            operation: Operation::Add,
            shape: Box::new(shape),
            placing: Box::default(),
            hole: CutAttributes::default(),
        },
        place: Place {
            source: std::sync::Arc::clone(&source),
            span: span.clone(),
        },
    };
    let plain = Plain {
        called: word.as_str(),
        title: "Plain plate",
        about: "Cuts a shape and its holes.",
        thickness: thickness?,
        rotation: rotation?.unwrap_or_default(),
        steps: std::iter::once(outside).chain(holes).collect(),
        pieces: Pieces::One,
    };
    Some(without_family(plain, keys?, word.as_str(), (source, span)))
}

/// The holes of a list: round ones for bolts unless they say otherwise.
fn holes_of(item: Item, reader: &mut Reader<'_>) -> Vec<Step> {
    let tables = item.tables(reader.faults);
    let holes = tables.into_iter().filter_map(|table| hole(table, reader));
    holes.collect()
}

fn hole(mut table: Table, reader: &mut Reader<'_>) -> Option<Step> {
    table.call("a hole");
    if table.has("cut") {
        return step(table, reader);
    }
    let place = table.place();
    let name = table.take("name").and_then(|item| item.text(reader.faults));
    let has_purpose = table.has("purpose");
    let thread = optional(&mut table, "thread", |item| thread(item, reader));
    let mut action = cut_of(ShapeWord::Disc, &mut table, reader);
    if let Some(Action::Shape { hole, .. }) = &mut action {
        hole.thread = thread?;
        if !has_purpose {
            hole.purpose = Some(Purpose::Bolt);
        }
    }
    table.finish(reader.faults);
    Some(Step {
        name,
        when: None,
        each: None,
        action: action?,
        place,
    })
}

/// A thread as it is written, as an expression.
fn thread(item: Item, reader: &mut Reader<'_>) -> Option<Formula> {
    let text = reader::thread(item, reader.faults)?;
    let quoted = format!("\"{}\"", text.as_str());
    let words = Text::new(text.source(), text.span(), quoted);
    Formula::parse(words).ok()
}
