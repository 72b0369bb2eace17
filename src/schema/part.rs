//! Parts and jobs: the dimensions of every family on the shelf.

use serde_json::{Map, Value, json};

use super::Need::{May, Must};
use super::{
    Key, block, either, list_from, many, named, one_of, pair, steps, text, truth, value, whole,
};
use crate::fault::Outcome;
use crate::recipe::words::{AllowedRotation, CutOrder, Finish, OUTLINE, Purpose, ShapeWord};
use crate::recipe::{DimensionKind, DimensionSpec, Family, Shelf};
use crate::trade::material;

/// A part file: one part, its table, holding tabs and order.
pub(super) fn part(shelf: &Shelf) -> Outcome<Value> {
    of_parts(shelf, &bare_keys())
}

/// A job file: parts, stock and what holds for all.
pub(super) fn job(shelf: &Shelf) -> Outcome<Value> {
    let part = of_parts(shelf, &[])?;
    let head = [
        ("name", text(), May),
        ("web", value(), May),
        ("margin", value(), May),
        ("shared_cuts", many(&text()), May),
        ("relax", many(&text()), May),
        ("finish", finishes(), May),
    ];
    let mut job = block([
        ("job", block(head.into_iter().chain(bare_keys())), May),
        ("stock", many(&stock()), May),
        ("part", many(&json!({ "$ref": "#/$defs/part" })), Must),
        ("bolted", many(&bolted()), May),
    ]);
    job["$defs"] = json!({ "part": part });
    Ok(job)
}

/// A joint of a job.
pub(super) fn bolted() -> Value {
    block([
        ("name", text(), Must),
        (
            "through",
            list_from(2, &either(&[ply_of_plate(), ply_of_thing()])),
            Must,
        ),
        ("thread", text(), May),
        ("class", text(), May),
        ("nut", text(), May),
        ("washers", whole(0), May),
        ("quantity", whole(1), May),
    ])
}

/// A ply that is a plate of the job.
pub(super) fn ply_of_plate() -> Value {
    block([
        ("plate", text(), Must),
        ("openings", either(&[text(), many(&text())]), Must),
        ("match_drilled", truth(), May),
    ])
}

/// A ply that is something else.
pub(super) fn ply_of_thing() -> Value {
    block([
        ("says", text(), Must),
        ("thickness", value(), Must),
        ("circle", value(), May),
        ("count", whole(1), May),
        ("at", many(&pair()), May),
        ("hole", value(), May),
        ("tapped", truth(), May),
        ("tolerance", value(), May),
        ("room", value(), May),
        ("match_drilled", truth(), May),
    ])
}

/// What a bare part file may say for the job that it is.
fn bare_keys() -> [Key; 3] {
    let tabs = either(&[truth(), tab_keys()]);
    [
        ("table", text(), May),
        ("tabs", tabs, May),
        ("order", one_of::<CutOrder>(), May),
    ]
}

pub(super) fn tab_keys() -> Value {
    block([
        ("width", value(), May),
        ("count", value(), May),
        ("apart", value(), May),
        ("smallest", value(), May),
        ("largest", value(), May),
        ("windows", value(), May),
    ])
}

fn finishes() -> Value {
    let purposes = Purpose::ALL.iter();
    block(purposes.map(|(_, word)| (*word, one_of::<Finish>(), May)))
}

fn stock() -> Value {
    let plain = [
        ("material", material_name(), May),
        ("thickness", value(), Must),
        ("quantity", whole(1), May),
        ("price", json!({ "type": "number" }), May),
        ("price_per_kg", json!({ "type": "number" }), May),
        ("first", truth(), May),
    ];
    let of =
        |key: &'static str, takes: Value| block(plain.iter().cloned().chain([(key, takes, Must)]));
    either(&[of("size", pair()), of("outline", text())])
}

fn material_name() -> Value {
    let names: Vec<&str> = material::names().collect();
    json!({ "type": "string", "examples": names })
}

/// What parts of all kinds may say.
fn common(of_drawing: bool) -> Vec<Key> {
    let mut opening = vec![(
        "finish",
        one_of::<Finish>(),
        if of_drawing { May } else { Must },
    )];
    if of_drawing {
        opening.extend([
            ("purpose", one_of::<Purpose>(), May),
            ("thread", text(), May),
        ]);
    }
    let mut keys = vec![
        ("name", text(), May),
        ("quantity", whole(1), May),
        ("material", material_name(), May),
        ("plates", many(&text()), May),
    ];
    if of_drawing {
        let of_kind = [
            ("layer", text(), May),
            ("diameter", either(&[pair(), value()]), May),
        ];
        let kind = block(of_kind.into_iter().chain(opening.iter().cloned()));
        keys.push(("openings", many(&kind), May));
    }
    keys.push(("opening", named(&block(opening)), May));
    keys
}

/// A part of each family, of a drawing and of each plain shape, with some keys more.
fn of_parts(shelf: &Shelf, more: &[Key]) -> Outcome<Value> {
    let mut kinds: Vec<Value> = Vec::new();
    for family in shelf.families()? {
        kinds.push(of_family(&family, more));
    }
    let plain = |own: Vec<Key>, of_drawing: bool| {
        let keys = common(of_drawing).into_iter().chain(more.iter().cloned());
        let plate = [
            ("thickness", value(), Must),
            ("turning", one_of::<AllowedRotation>(), May),
        ];
        block(keys.chain(plate).chain(own))
    };
    let borrowed = [("job", text(), Must), ("part", text(), May)].into_iter();
    let borrowed = borrowed.chain(
        common(false)
            .into_iter()
            .filter(|(name, ..)| *name != "opening"),
    );
    kinds.push(block(borrowed.chain(more.iter().cloned())));
    kinds.push(of_another_job(more));
    let drawing = [
        ("drawing", text(), Must),
        ("openings", many(&opening_kind()), May),
    ];
    let drawing = drawing.into_iter();
    kinds.push(plain(drawing.chain(steps::drawing_keys()).collect(), true));
    let mut corners = steps::shape_keys(ShapeWord::Polygon);
    let outline = vec![corners.swap_remove(0), vec![("path", text(), Must)]];
    let of_steps = ShapeWord::ALL.iter();
    let of_steps = of_steps.map(|(shape, word)| (*word, steps::shape_keys(*shape)));
    for (word, forms) in of_steps.chain([(OUTLINE, outline)]) {
        for keys in forms {
            let own = [
                ("shape", json!({ "const": word }), Must),
                ("holes", many(&hole()), May),
            ];
            kinds.push(plain(own.into_iter().chain(keys).collect(), false));
        }
    }
    Ok(either(&kinds))
}

/// A part that stands in another job.
fn of_another_job(more: &[Key]) -> Value {
    let own = [
        ("job", text(), Must),
        ("part", text(), May),
        ("name", text(), May),
        ("quantity", whole(1), May),
        ("material", material_name(), May),
        ("plates", many(&text()), May),
    ];
    block(own.into_iter().chain(more.iter().cloned()))
}

/// What some openings of a drawing are for, by layer or size.
fn opening_kind() -> Value {
    block([
        ("layer", text(), May),
        ("diameter", either(&[value(), pair()]), May),
        ("finish", one_of::<Finish>(), May),
        ("purpose", one_of::<Purpose>(), May),
        ("thread", text(), May),
    ])
}

/// A hole of a plain plate: round, or a step that cuts.
fn hole() -> Value {
    let round = [("name", text(), May), ("diameter", value(), Must)].into_iter();
    let round = round.chain(steps::placing()).chain(steps::edge("cut"));
    let mut kinds = vec![block(round)];
    for (shape, word) in ShapeWord::ALL {
        for keys in steps::shape_keys(*shape) {
            let own = [
                ("cut", json!({ "const": word }), Must),
                ("name", text(), May),
                ("when", value(), May),
            ];
            let keys = own.into_iter().chain(keys).chain(steps::placing());
            kinds.push(block(keys.chain(steps::edge("cut"))));
        }
    }
    either(&kinds)
}

fn of_family(family: &Family, more: &[Key]) -> Value {
    let own = [("recipe", json!({ "const": family.name }), Must)].into_iter();
    let mut schema = block(own.chain(common(false)).chain(more.iter().cloned()));
    let is_choice = |it: &&DimensionSpec| matches!(it.kind, DimensionKind::Choice(_));
    let choices = family.measures.iter().filter(is_choice);
    let choices: Vec<&str> = choices.map(|it| it.name.as_str()).collect();
    let dimensions: Map<String, Value> = family
        .measures
        .iter()
        .map(|it| {
            let mut takes = setting(&it.kind, &choices);
            takes["description"] = json!(it.says);
            (it.name.clone(), takes)
        })
        .collect();
    if let Some(properties) = schema["properties"].as_object_mut() {
        properties.extend(dimensions);
    }
    schema
}

/// What a dimension of a part takes; `choices` are the names of those that are choices.
fn setting(kind: &DimensionKind, choices: &[&str]) -> Value {
    match kind {
        // An expression may choose one, or it may be that of another dimension.
        DimensionKind::Choice(words) => either(&[
            json!({ "enum": words }),
            json!({ "enum": choices }),
            json!({ "type": "string", "pattern": "\\(" }),
        ]),
        DimensionKind::Text => text(),
        DimensionKind::List(columns) => {
            let row = columns.iter().map(|it| {
                let mut takes = setting(&it.kind, choices);
                takes["description"] = json!(it.name);
                (it.name.clone(), takes)
            });
            let row: Map<String, Value> = row.collect();
            let by_name =
                json!({ "type": "object", "properties": row, "additionalProperties": false });
            let in_order = json!({ "type": "array", "maxItems": columns.len() });
            many(&either(&[by_name, in_order]))
        }
        DimensionKind::YesNo
        | DimensionKind::Thread
        | DimensionKind::Count
        | DimensionKind::Quantity(_) => value(),
    }
}
