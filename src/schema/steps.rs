//! The steps of a plate: what each action and each shape takes.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

use super::Need::{May, Must};
use super::{
    Key, block, either, list_from, list_of, many, named, one_of, pair, place, text, truth, value,
};
use crate::recipe::words::{
    Anchor, Corners, DrawingUnit, Finish, Fold, Mirror, Purpose, ScribeWord, ShapeWord,
};

/// One step of a plate.
pub(super) fn step() -> Value {
    let mut kinds = Vec::new();
    for (shape, word) in ShapeWord::ALL {
        for forms in shape_keys(*shape) {
            for verb in ["add", "cut", "keep", "show"] {
                let keys = common()
                    .into_iter()
                    .chain([(verb, json!({ "const": word }), Must)]);
                let keys = keys.chain(forms.clone()).chain(placing());
                kinds.push(block(keys.chain(edge(verb))));
            }
        }
    }
    // A round hole for a thread is as wide as its bolt wants it, unless that is given.
    let hole = common().into_iter();
    let hole = hole.chain([("cut", json!({ "const": ShapeWord::Disc.word() }), Must)]);
    let hole = hole.chain(placing()).chain(edge("cut"));
    kinds.push(block(
        hole.chain([("thread", value(), Must), ("diameter", value(), May)]),
    ));
    for (shape, travel) in [
        (ShapeWord::Slot, &["travel"][..]),
        (ShapeWord::CurvedSlot, &["circle", "sweep"]),
    ] {
        let slot = common().into_iter();
        let slot = slot.chain([("cut", json!({ "const": shape.word() }), Must)]);
        let slot = slot.chain(placing()).chain(edge("cut"));
        let own = travel.iter().map(|key| (*key, value(), Must));
        let own = own.chain([("thread", value(), Must), ("width", value(), May)]);
        kinds.push(block(slot.chain(own)));
    }
    let with = common().into_iter().chain([("use", text(), Must)]);
    let with = with.chain([("with", named(&value()), May)]);
    kinds.push(block(with.chain(placing())));
    let plain = |own: Vec<Key>| block(common().into_iter().chain(own));
    kinds.push(plain(vec![
        ("round", one_of::<Corners>(), Must),
        ("radius", value(), Must),
    ]));
    kinds.push(plain(vec![
        ("round", one_of::<Corners>(), Must),
        ("radius", value(), Must),
        ("at", place(), Must),
        ("reach", value(), Must),
    ]));
    kinds.push(plain(vec![("hollow", value(), Must)]));
    kinds.push(plain(vec![
        ("bend", one_of::<Fold>(), Must),
        ("from", place(), Must),
        ("to", place(), Must),
        ("angle", value(), Must),
        ("radius", value(), Must),
    ]));
    for (mark, word) in ScribeWord::ALL {
        let keys = common().into_iter();
        let keys = keys.chain([("scribe", json!({ "const": word }), Must)]);
        kinds.push(block(keys.chain(mark_keys(*mark)).chain(placing())));
    }
    kinds.push(of_alternatives(&kinds));
    either(&kinds)
}

/// A step with `either`: which of its keys stand in the alternatives is for the builder to choose.
fn of_alternatives(kinds: &[Value]) -> Value {
    let mut takes: BTreeMap<&str, Vec<Value>> = BTreeMap::new();
    let keys = kinds.iter().filter_map(|it| it["properties"].as_object());
    for (key, value) in keys.flatten() {
        let known = takes.entry(key.as_str()).or_default();
        if !known.contains(value) {
            known.push(value.clone());
        }
    }
    let keys = takes.into_iter();
    let keys = keys.map(|(key, values)| (key.to_owned(), either(&values)));
    let keys: Map<String, Value> = keys.collect();
    let one = json!({ "type": "object", "properties": keys, "additionalProperties": false });
    let mut step = one.clone();
    step["properties"]["either"] = list_from(2, &one);
    step["required"] = json!(["either"]);
    step
}

/// What every step may say.
fn common() -> [Key; 3] {
    [
        ("name", text(), May),
        ("when", value(), May),
        super::family::each(),
    ]
}

/// What a step that cuts or adds says of its edge.
pub(super) fn edge(verb: &str) -> Vec<Key> {
    if verb == "show" {
        return Vec::new();
    }
    let mut keys = vec![("mating", truth(), May)];
    if verb == "cut" {
        keys.extend([
            ("purpose", one_of::<Purpose>(), May),
            ("thread", value(), May),
            ("finish", one_of::<Finish>(), May),
        ]);
    }
    keys
}

/// Where a shape or a mark goes, and how often.
pub(super) fn placing() -> [Key; 5] {
    let around = block([
        ("count", value(), Must),
        ("circle", value(), May),
        ("start", value(), May),
        ("sweep", value(), May),
        ("skip", many(&value()), May),
        ("upright", truth(), May),
    ]);
    let along = block([
        ("count", value(), Must),
        ("step", pair(), Must),
        ("rows", value(), May),
        ("row_step", pair(), May),
        ("centred", truth(), May),
    ]);
    [
        ("mirror", one_of::<Mirror>(), May),
        ("turn", value(), May),
        ("at", place(), May),
        ("around", around, May),
        ("along", along, May),
    ]
}

/// The keys of a shape, in each of the forms that it may be written in.
pub(super) fn shape_keys(shape: ShapeWord) -> Vec<Vec<Key>> {
    let needs = |names: &[&'static str]| -> Vec<Key> {
        names.iter().map(|name| (*name, value(), Must)).collect()
    };
    let with = |mut keys: Vec<Key>, more: Vec<Key>| {
        keys.extend(more);
        keys
    };
    let ends = || vec![("from", place(), Must), ("to", place(), Must)];
    match shape {
        ShapeWord::Disc => vec![needs(&["diameter"])],
        ShapeWord::Ring => vec![needs(&["outside", "inside"])],
        ShapeWord::Rectangle => vec![with(
            needs(&["width", "height"]),
            vec![
                ("corner", value(), May),
                ("anchor", one_of::<Anchor>(), May),
            ],
        )],
        ShapeWord::Polygon => {
            let corner = either(&[pair(), list_of(3, &value())]);
            vec![
                vec![("points", many(&corner), Must)],
                needs(&["sides", "across"]),
            ]
        }
        ShapeWord::Bar => vec![
            with(needs(&["width"]), ends()),
            with(needs(&["from_width", "to_width"]), ends()),
        ],
        ShapeWord::Hull => {
            let disc = either(&[pair(), list_of(3, &value())]);
            vec![vec![("discs", many(&disc), Must)]]
        }
        ShapeWord::Slot => vec![needs(&["travel", "width"]), with(needs(&["width"]), ends())],
        ShapeWord::CurvedSlot => vec![needs(&["circle", "sweep", "width"])],
        ShapeWord::Sector => vec![with(
            needs(&["outside", "sweep"]),
            vec![("inside", value(), May), ("corner", value(), May)],
        )],
        ShapeWord::Bow => vec![
            with(needs(&["rise", "width"]), ends()),
            with(needs(&["rise", "from_width", "to_width"]), ends()),
        ],
        ShapeWord::Teeth => vec![needs(&["pitch", "roller", "count"])],
        ShapeWord::Text => vec![with(
            needs(&["height", "stroke"]),
            vec![("text", text(), Must)],
        )],
        ShapeWord::Drawing => vec![
            with(vec![("file", text(), Must)], drawing_keys()),
            vec![("path", text(), Must)],
        ],
    }
}

/// What is said of a drawing beside its file.
pub(super) fn drawing_keys() -> Vec<Key> {
    let known = block([("width", value(), May), ("height", value(), May)]);
    vec![
        ("layer", either(&[text(), many(&text())]), May),
        ("unit", one_of::<DrawingUnit>(), May),
        ("scale", value(), May),
        ("known", known, May),
        ("fit", value(), May),
        ("gap", value(), May),
    ]
}

fn mark_keys(mark: ScribeWord) -> Vec<Key> {
    match mark {
        ScribeWord::Line => vec![("from", place(), Must), ("to", place(), Must)],
        ScribeWord::Circle => vec![("diameter", value(), Must)],
        ScribeWord::Centre => Vec::new(),
        ScribeWord::Text => vec![("text", text(), Must), ("height", value(), Must)],
    }
}
