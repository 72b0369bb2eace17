//! JSON schemas of the files that a builder writes, so that editors complete and check their keys.
//!
//! In: the shelf. Out: a schema (JSON Schema, draft 2020-12) of recipes, parts, jobs, tables or shared blocks. Words and the
//! keys of tables come from where they are read; the other keys are told by the readers themselves, which a test
//! compares. A schema knows keys, kinds and closed lists of words; names and units only the program knows.

mod family;
mod part;
mod steps;
mod table;

use serde_json::{Map, Value, json};

use crate::fault::Outcome;
use crate::recipe::Shelf;
use crate::toml_text::words::{Words, words};

words! {
    /// The kinds of files that have a schema.
    SchemaOf {
        /// A recipe: a family of parts.
        Recipe = "recipe",
        /// A part.
        Part = "part",
        /// A job: parts, stock and table.
        Job = "job",
        /// The settings of a table.
        Table = "table",
        /// Blocks that several families share.
        Shared = "shared",
    }
}

/// The schema of a kind of file. Parts are those of the families on the shelf, with their dimensions.
pub fn schema(of: SchemaOf, shelf: &Shelf) -> Outcome<Value> {
    let mut schema = match of {
        SchemaOf::Recipe => family::schema(),
        SchemaOf::Part => part::part(shelf)?,
        SchemaOf::Job => part::job(shelf)?,
        SchemaOf::Table => table::schema(),
        SchemaOf::Shared => family::blocks(),
    };
    let title = match of {
        SchemaOf::Shared => "Platewright: blocks that families share".to_owned(),
        _ => format!("Platewright: a {}", of.word()),
    };
    if let Some(object) = schema.as_object_mut() {
        object.insert(
            "$schema".to_owned(),
            json!("https://json-schema.org/draft/2020-12/schema"),
        );
        object.insert("title".to_owned(), json!(title));
    }
    Ok(schema)
}

/// A key of a block: its name, what it takes, whether it must be there.
type Key = (&'static str, Value, Need);

/// Whether a key must be there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Need {
    Must,
    May,
}

/// A table of these keys and no others.
fn block(keys: impl IntoIterator<Item = Key>) -> Value {
    let mut properties = Map::new();
    let mut required = Vec::new();
    for (name, takes, need) in keys {
        properties.insert(name.to_owned(), takes);
        if need == Need::Must {
            required.push(name);
        }
    }
    json!({
        "type": "object", "properties": properties, "required": required, "additionalProperties": false,
    })
}

/// A table whose keys are names that the builder chooses.
fn named(takes: &Value) -> Value {
    json!({ "type": "object", "additionalProperties": takes })
}

/// `[[…]]` blocks or a list.
fn many(takes: &Value) -> Value {
    json!({ "type": "array", "items": takes })
}

/// A list of so many or more.
fn list_from(least: usize, takes: &Value) -> Value {
    json!({ "type": "array", "items": takes, "minItems": least })
}

/// A list of so many.
fn list_of(count: usize, takes: &Value) -> Value {
    json!({ "type": "array", "items": takes, "minItems": count, "maxItems": count })
}

/// One of several.
fn either(takes: &[Value]) -> Value {
    json!({ "anyOf": takes })
}

/// Words in quotes.
fn text() -> Value {
    json!({ "type": "string" })
}

/// `true` or `false`.
fn truth() -> Value {
    json!({ "type": "boolean" })
}

/// A value: an expression in quotes, or a bare number or yes-no.
fn value() -> Value {
    json!({ "type": ["string", "number", "boolean"] })
}

/// A whole number from `least` up.
fn whole(least: u32) -> Value {
    json!({ "type": "integer", "minimum": least })
}

/// One of a closed list of words.
fn one_of<W: Words>() -> Value {
    let words: Vec<&str> = W::ALL.iter().map(|(_, word)| *word).collect();
    json!({ "enum": words })
}

/// Two values: a place, a step, a size.
fn pair() -> Value {
    list_of(2, &value())
}

/// A place: the name of a point, or x and y.
fn place() -> Value {
    either(&[text(), pair()])
}

#[cfg(test)]
mod tests;
