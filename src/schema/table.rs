//! The settings of a table: its keys as they are read.

use serde_json::Value;

use super::Need::{May, Must};
use super::part::tab_keys;
use super::{Key, block, many, one_of, pair, text, value};
use crate::cut::settings::{row_keys, table_keys};
use crate::cut::{ProgramUnit, SettingKey, Takes, line_keys};
use serde_json::json;

pub(super) fn schema() -> Value {
    let blocks = [
        ("tabs", tab_keys(), May),
        ("program", program(), May),
        ("cut", many(&row()), Must),
    ];
    block(table_keys().iter().map(key).chain(blocks))
}

pub(super) fn row() -> Value {
    block(row_keys().iter().map(key))
}

pub(super) fn program() -> Value {
    let lines = line_keys().map(|name| (name, many(&text()), May));
    block(lines.chain([
        ("unit", one_of::<ProgramUnit>(), May),
        ("declared", many(&text()), May),
        ("scribe_feed", value(), May),
    ]))
}

fn key(of: &SettingKey) -> Key {
    let takes = match &of.takes {
        Takes::Value => value(),
        Takes::Size => pair(),
        Takes::Word(words) => json!({ "enum": words }),
        Takes::Text => text(),
    };
    (of.name, takes, if of.needed { Must } else { May })
}
