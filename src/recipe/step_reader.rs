//! Reading the steps of a plate.
//!
//! In: a `[[plate.step]]` block. Out: a [`Step`] whose keys all belong to its shape and whose names
//! are all known, or the faults of all that is wrong with it.

use super::named_shape::NamedShape;
use super::reader::{Reader, ends, optional, pair};
use super::shape_reader;
use super::step::{
    Action, Along, Around, CutAttributes, EdgeRole, Placing, RowStart, Scribe, Stance, Step,
};
use super::words::{Finish, Operation, Purpose, ScribeWord, ShapeWord};
use crate::toml_text::{Item, Table, Text};

/// Reads the rest of a step whose action is chosen by a key, from the value of that key.
type ReadAction = fn(Item, &mut Table, &mut Reader<'_>) -> Option<Action>;

/// The keys of which a step has exactly one, and how each is read.
const ACTIONS: [(&str, ReadAction); 9] = [
    ("add", |item, table, reader| {
        shape(Operation::Add, item, table, reader)
    }),
    ("cut", |item, table, reader| {
        shape(Operation::Cut, item, table, reader)
    }),
    ("keep", |item, table, reader| {
        shape(Operation::Keep, item, table, reader)
    }),
    ("use", |item, table, reader| {
        let used = NamedShape::used(item, table, reader);
        let placing = placing(table, reader);
        let (shape, with) = used?;
        let placing = Box::new(placing?);
        Some(Action::Use {
            shape,
            with,
            placing,
        })
    }),
    ("round", round),
    ("hollow", |item, _, reader| {
        reader.formula(item).map(|wall| Action::Hollow { wall })
    }),
    ("show", |item, table, reader| {
        let word = item.word(reader.faults)?;
        let shape = shape_reader::shape(word, table, reader);
        let placing = placing(table, reader);
        Some(Action::Show {
            shape: Box::new(shape?),
            placing: Box::new(placing?),
        })
    }),
    ("scribe", scribe),
    ("bend", bend),
];

/// Reads one step.
pub(crate) fn step(mut table: Table, reader: &mut Reader<'_>) -> Option<Step> {
    table.call("a step");
    let each = reader.enter(&mut table);
    let step = inside(table, each, reader);
    reader.leave();
    step
}

/// Reads one step, the columns of its list known.
fn inside(mut table: Table, each: Option<Text>, reader: &mut Reader<'_>) -> Option<Step> {
    let place = table.place();
    let name = table.take("name").and_then(|item| item.text(reader.faults));
    let when = reader.option(&mut table, "when");
    let Some((key, read)) = chosen_action(&table, reader) else {
        // What else is wrong with a step depends on what it does.
        return None;
    };
    let action = read(table.take(key)?, &mut table, reader);
    if action.is_some() {
        table.finish(reader.faults);
    }
    Some(Step {
        name,
        when,
        each,
        action: action?,
        place,
    })
}

/// The one of [`ACTIONS`] that a step has.
fn chosen_action(table: &Table, reader: &mut Reader<'_>) -> Option<(&'static str, ReadAction)> {
    let mut there = ACTIONS.into_iter().filter(|(key, _)| table.has(key));
    let keys = ACTIONS.map(|(key, _)| key);
    let wrong = match (there.next(), there.next()) {
        (Some(one), None) => return Some(one),
        (Some((one, _)), Some((other, _))) => table
            .fault(format!(
                "a step does one thing, but this has `{one}` and `{other}`"
            ))
            .remedy("make two steps of it"),
        (None, _) => match table.mistyped(&keys) {
            Some(fault) => fault,
            None => table
                .fault("this step does nothing")
                .remedy(format!("give it one of {}", keys.join(", "))),
        },
    };
    reader.faults.push(wrong);
    None
}

fn shape(
    operation: Operation,
    item: Item,
    table: &mut Table,
    reader: &mut Reader<'_>,
) -> Option<Action> {
    let word = item.word(reader.faults)?;
    shape_of(operation, word, table, reader)
}

/// Reads the rest of a step that cuts a shape.
pub(crate) fn cut_of(
    word: ShapeWord,
    table: &mut Table,
    reader: &mut Reader<'_>,
) -> Option<Action> {
    shape_of(Operation::Cut, word, table, reader)
}

fn shape_of(
    operation: Operation,
    word: ShapeWord,
    table: &mut Table,
    reader: &mut Reader<'_>,
) -> Option<Action> {
    let shape = shape_reader::shape(word, table, reader);
    let placing = placing(table, reader);
    let hole = hole(operation, table, reader);
    Some(Action::Shape {
        operation,
        shape: Box::new(shape?),
        placing: Box::new(placing?),
        hole: hole?,
    })
}

fn hole(operation: Operation, table: &mut Table, reader: &mut Reader<'_>) -> Option<CutAttributes> {
    let edge = match flag(table, "mating", reader)? {
        Some(true) => EdgeRole::Mating,
        _ => EdgeRole::Free,
    };
    if operation != Operation::Cut {
        return Some(CutAttributes {
            edge,
            ..CutAttributes::default()
        });
    }
    let purpose: Option<Purpose> = optional(table, "purpose", |item| item.word(reader.faults))?;
    let finish: Option<Finish> = optional(table, "finish", |item| item.word(reader.faults))?;
    let thread = optional(table, "thread", |item| reader.formula(item))?;
    Some(CutAttributes {
        purpose,
        thread,
        finish: finish.unwrap_or_default(),
        edge,
    })
}

fn placing(table: &mut Table, reader: &mut Reader<'_>) -> Option<Placing> {
    let mirror = optional(table, "mirror", |item| item.word(reader.faults));
    let turn = optional(table, "turn", |item| reader.formula(item));
    let along = optional(table, "along", |item| along(item, reader));
    let around = optional(table, "around", |item| around(item, reader));
    let at = optional(table, "at", |item| reader.position(item));
    Some(Placing {
        mirror: mirror?,
        turn: turn?,
        along: along?,
        around: around?,
        at: at?,
    })
}

fn around(item: Item, reader: &mut Reader<'_>) -> Option<Around> {
    let mut table = item.table(reader.faults)?;
    let count = reader.need(&mut table, "count", "4");
    let circle = optional(&mut table, "circle", |item| reader.formula(item));
    let start = optional(&mut table, "start", |item| reader.formula(item));
    let sweep = optional(&mut table, "sweep", |item| reader.formula(item));
    let skip = optional(&mut table, "skip", |item| {
        let items = item.list(reader.faults)?;
        Some(
            items
                .into_iter()
                .filter_map(|item| reader.formula(item))
                .collect(),
        )
    });
    let upright = flag(&mut table, "upright", reader);
    table.finish(reader.faults);
    Some(Around {
        count: count?,
        circle: circle?,
        start: start?,
        sweep: sweep?,
        skip: skip?.unwrap_or_default(),
        stance: match upright? {
            Some(true) => Stance::Upright,
            _ => Stance::Turned,
        },
    })
}

fn along(item: Item, reader: &mut Reader<'_>) -> Option<Along> {
    let mut table = item.table(reader.faults)?;
    let count = reader.need(&mut table, "count", "3");
    let step = reader.item(&mut table, "step", "[\"25 mm\", \"0 mm\"]");
    let step = step.and_then(|item| pair(item, reader));
    let rows = if table.has("rows") || table.has("row_step") {
        let rows = reader.need(&mut table, "rows", "2");
        let between = reader.item(&mut table, "row_step", "[\"0 mm\", \"25 mm\"]");
        let between = between.and_then(|item| pair(item, reader));
        Some((rows?, between?))
    } else {
        None
    };
    let centred = flag(&mut table, "centred", reader);
    table.finish(reader.faults);
    Some(Along {
        count: count?,
        step: step?,
        rows,
        row: match centred? {
            Some(true) => RowStart::Centred,
            _ => RowStart::FromFirst,
        },
    })
}

fn round(item: Item, table: &mut Table, reader: &mut Reader<'_>) -> Option<Action> {
    let corners = item.word(reader.faults);
    let radius = reader.need(table, "radius", "\"6 mm\"");
    let near = if table.has("at") || table.has("reach") {
        let at = reader.need_position(table, "at");
        let reach = reader.need(table, "reach", "\"10 mm\"");
        Some(Box::new((at?, reach?)))
    } else {
        None
    };
    Some(Action::Round {
        corners: corners?,
        radius: radius?,
        near,
    })
}

fn scribe(item: Item, table: &mut Table, reader: &mut Reader<'_>) -> Option<Action> {
    let mark = match item.word(reader.faults)? {
        ScribeWord::Line => {
            let (from, to) = ends(table, reader);
            from.zip(to).map(|(from, to)| Scribe::Line { from, to })
        }
        ScribeWord::Circle => reader
            .need(table, "diameter", "\"100 mm\"")
            .map(|diameter| Scribe::Circle { diameter }),
        ScribeWord::Centre => Some(Scribe::Centre),
        ScribeWord::Text => {
            let text = reader.template(table, "text", "\"left {thickness}\"");
            let height = reader.need(table, "height", "\"8 mm\"");
            text.zip(height)
                .map(|(text, height)| Scribe::Text { text, height })
        }
    };
    let placing = placing(table, reader);
    Some(Action::Scribe {
        mark: Box::new(mark?),
        placing: Box::new(placing?),
    })
}

fn bend(item: Item, table: &mut Table, reader: &mut Reader<'_>) -> Option<Action> {
    let fold = item.word(reader.faults);
    let (from, to) = ends(table, reader);
    let angle = reader.need(table, "angle", "\"90 deg\"");
    let radius = reader.need(table, "radius", "\"thickness\"");
    Some(Action::Bend {
        fold: fold?,
        from: from?,
        to: to?,
        angle: Box::new(angle?),
        radius: Box::new(radius?),
    })
}

#[expect(
    clippy::option_option,
    reason = "left out, wrong and given are three things"
)]
fn flag(table: &mut Table, key: &str, reader: &mut Reader<'_>) -> Option<Option<bool>> {
    optional(table, key, |item| item.truth(reader.faults))
}
