//! Recipes: dimensions, values, rules, margins and plates.

use serde_json::{Value, json};

use super::Need::{May, Must};
use super::{Key, block, either, list_of, many, named, one_of, pair, place, steps, text, value};
use crate::finding::Level;
use crate::recipe::words::{AllowedRotation, Group, Hand};
use crate::trade::cautions;

pub(super) fn schema() -> Value {
    let topics: Vec<&str> = cautions::topics().collect();
    let topic = json!({ "enum": topics });
    let mut schema = block([
        ("title", text(), Must),
        ("each", many(&text()), May),
        ("shared", many(&shared()), May),
        ("about", text(), May),
        ("group", one_of::<Group>(), May),
        ("cautions", many(&topic), May),
        ("dimension", named(&dimension()), Must),
        ("table", named(&lookup()), May),
        ("point", named(&pair()), May),
        ("let", named(&value()), May),
        ("rule", many(&rule()), May),
        ("note", many(&note()), May),
        ("figure", either(&[many(&figure()), figures()]), May),
        ("not_checked", not_checked(), May),
        ("hold", many(&hold()), May),
        ("bolt", many(&bolt()), May),
        (
            "caution",
            many(&block([("topic", topic, Must), ("when", value(), Must)])),
            May,
        ),
        ("shape", many(&shape()), May),
        ("joint", many(&joint()), May),
        ("plate", many(&plate()), Must),
    ]);
    schema["$defs"] = json!({ "step": steps::step() });
    schema
}

/// What several families share.
pub(super) fn blocks() -> Value {
    let mut schema = schema();
    if let Some(keys) = schema["properties"].as_object_mut() {
        keys.retain(|key, _| {
            !["title", "group", "cautions", "plate", "each", "shared"].contains(&&**key)
        });
    }
    schema["required"] = json!([]);
    schema
}

pub(super) fn shared() -> Value {
    block([("file", text(), Must), ("each", many(&text()), May)])
}

/// A list to go through, or the words that the block is written out for.
pub(super) fn each() -> Key {
    ("each", either(&[text(), many(&text())]), May)
}

pub(super) fn size() -> Value {
    block([
        ("when", value(), May),
        ("from", place(), Must),
        ("to", place(), Must),
        ("says", text(), Must),
    ])
}

fn steps() -> Key {
    ("step", many(&json!({ "$ref": "#/$defs/step" })), Must)
}

/// What a column of a list or lookup table is.
fn columns() -> Value {
    let table = block([
        ("kind", text(), May),
        ("choices", either(&[text(), many(&text())]), May),
        ("default", json!({}), May),
    ]);
    named(&either(&[text(), many(&text()), table]))
}

pub(super) fn dimension() -> Value {
    let kinds = json!([
        "length", "angle", "number", "count", "thread", "choice", "yes-no", "text", "force",
        "torque", "stress", "list",
    ]);
    block([
        ("says", text(), May),
        ("default", json!({}), May),
        ("kind", json!({ "enum": kinds }), May),
        ("choices", either(&[text(), many(&text())]), May),
        ("columns", columns(), May),
        ("range", pair(), May),
        ("min", value(), May),
        ("max", value(), May),
        ("when", value(), May),
        ("drawn", drawn(), May),
    ])
}

fn drawn() -> Value {
    let plate = ("plate", text(), May);
    either(&[
        block([
            plate.clone(),
            ("from", place(), Must),
            ("to", place(), Must),
        ]),
        block([
            plate.clone(),
            ("about", place(), Must),
            ("from", value(), Must),
            ("to", value(), Must),
            ("radius", value(), Must),
        ]),
        block([plate, ("at", place(), Must)]),
    ])
}

fn lookup() -> Value {
    block([
        ("columns", columns(), Must),
        ("source", text(), Must),
        ("rows", named(&many(&json!({}))), Must),
    ])
}

/// What is said for each row of a list, where it holds, and which openings it is about.
fn about() -> [Key; 4] {
    let [each, when, plate] = whose();
    [each, when, plate, ("near", text(), May)]
}

pub(super) fn rule() -> Value {
    block(about().into_iter().chain([
        ("need", value(), May),
        ("practice", value(), May),
        ("otherwise", text(), Must),
        ("remedy", either(&[text(), many(&remedy())]), May),
        ("level", one_of::<Level>(), May),
        ("source", text(), May),
        ("check", text(), May),
    ]))
}

/// One of several remedies of a rule.
fn remedy() -> Value {
    block([("when", value(), May), ("says", text(), Must)])
}

pub(super) fn note() -> Value {
    block(about().into_iter().chain([
        ("says", text(), Must),
        ("remedy", text(), May),
        ("source", text(), May),
    ]))
}

pub(super) fn figure() -> Value {
    block([
        each(),
        ("when", value(), May),
        ("says", text(), Must),
        ("value", value(), Must),
    ])
}

/// Figures by their words.
fn figures() -> Value {
    let keys = [each(), ("when", value(), May), ("value", value(), Must)];
    named(&either(&[value(), block(keys)]))
}

/// What is not checked, by its words.
fn not_checked() -> Value {
    let keys = whose().into_iter().chain([("look", text(), Must)]);
    named(&either(&[text(), block(keys)]))
}

/// The plate that a margin or bolts stand with.
fn whose() -> [Key; 3] {
    [
        each(),
        ("when", value(), May),
        ("plate", either(&[text(), many(&text())]), May),
    ]
}

pub(super) fn hold() -> Value {
    let worked_out = whose().into_iter().chain([
        ("says", text(), Must),
        ("load", value(), Must),
        ("carries", value(), Must),
        ("margin", value(), May),
        ("formula", text(), May),
        ("source", text(), May),
        ("remedy", text(), Must),
        ("near", text(), May),
    ]);
    let left = whose().into_iter();
    let left = left.chain([("says", text(), Must), ("not_checked", text(), Must)]);
    either(&[block(worked_out), block(left)])
}

pub(super) fn bolt() -> Value {
    block(whose().into_iter().chain([
        ("says", text(), Must),
        ("thread", value(), May),
        ("class", value(), May),
        ("fastener", value(), May),
        ("count", value(), May),
        ("grip", value(), Must),
        ("tightening", value(), May),
        ("washers", value(), May),
        ("nut", text(), May),
        ("near", text(), May),
    ]))
}

pub(super) fn shape() -> Value {
    block([
        ("name", text(), Must),
        ("takes", named(&value()), May),
        steps(),
    ])
}

pub(super) fn joint() -> Value {
    let line = || {
        [
            ("plate", text(), Must),
            ("from", place(), Must),
            ("to", place(), Must),
        ]
    };
    let tabs = line().into_iter();
    let tabs = tabs.chain([("count", value(), Must), ("width", value(), Must)]);
    block([
        ("says", text(), Must),
        ("when", value(), May),
        ("tabs", block(tabs), Must),
        ("slots", block(line()), Must),
        ("reach", value(), May),
        ("clearance", value(), May),
    ])
}

pub(super) fn plate() -> Value {
    block([
        ("name", text(), May),
        ("when", value(), May),
        ("quantity", value(), May),
        ("thickness", value(), May),
        ("hand", one_of::<Hand>(), May),
        ("left_when", value(), May),
        ("right_when", value(), May),
        ("turning", one_of::<AllowedRotation>(), May),
        ("point", named(&list_of(2, &value())), May),
        (
            "datum",
            block([("at", place(), Must), ("says", text(), Must)]),
            May,
        ),
        ("dimension", many(&size()), May),
        steps(),
    ])
}
