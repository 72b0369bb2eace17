//! A file of the folder as the page edits it: what stands at a key, and the same text with one changed.
//!
//! In: the text of a part or job file. Out: values as they were typed, and new texts in which everything
//! else stays letter for letter, comments too. A dimension that stands there as a comment is taken out of
//! it, and one that is emptied becomes a comment again.

use std::collections::BTreeMap;
use std::fmt;
use std::ops::Range;
use std::sync::Arc;

use serde::{Deserialize, Serialize};
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, Value};

use crate::export::fnv1a;
use crate::fault::{Fault, Outcome, Source};
use crate::toml_text;

/// A block of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum Block {
    /// All of a file that is one part.
    Whole,
    /// `[job]`.
    Job,
    /// One of the `[[part]]` blocks, from 0.
    Part(usize),
    /// One of the `[[stock]]` blocks, from 0.
    Stock(usize),
}

impl Block {
    /// Reads its word: `whole`, `job`, `part-0`, `stock-2`.
    #[must_use]
    pub fn read(word: &str) -> Option<Self> {
        match word.split_once('-') {
            None if word == "whole" => Some(Self::Whole),
            None if word == "job" => Some(Self::Job),
            Some(("part", index)) => index.parse().ok().map(Self::Part),
            Some(("stock", index)) => index.parse().ok().map(Self::Stock),
            _ => None,
        }
    }
}

impl fmt::Display for Block {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Whole => f.write_str("whole"),
            Self::Job => f.write_str("job"),
            Self::Part(index) => write!(f, "part-{index}"),
            Self::Stock(index) => write!(f, "stock-{index}"),
        }
    }
}

impl TryFrom<String> for Block {
    type Error = String;

    fn try_from(word: String) -> Result<Self, String> {
        Self::read(&word).ok_or_else(|| format!("there is no block `{word}`"))
    }
}

impl From<Block> for String {
    fn from(block: Block) -> Self {
        block.to_string()
    }
}

/// How a value is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// In quotes.
    Words,
    /// As a number where it is one, else in quotes.
    Number,
    /// `true` or `false`.
    Truth,
    /// Two lengths, typed with `x` between them.
    Pair,
    /// As it is written in the file: a list with its brackets.
    List,
}

impl Form {
    fn written(self, typed: &str) -> String {
        let quoted = |words: &str| Value::from(words.trim()).to_string();
        match self {
            Self::Number if typed.parse::<f64>().is_ok_and(f64::is_finite) => {
                typed.trim_start_matches('+').to_owned()
            }
            Self::Truth if matches!(typed, "true" | "yes") => "true".to_owned(),
            Self::Truth if matches!(typed, "false" | "no") => "false".to_owned(),
            Self::Pair => {
                let halves = [" x ", " × ", "×", " by ", ",", "x"];
                let halves = halves.iter().find_map(|it| typed.split_once(it));
                halves.map_or_else(
                    || quoted(typed),
                    |(a, b)| format!("[{}, {}]", quoted(a), quoted(b)),
                )
            }
            Self::List if typed.parse::<Value>().is_ok_and(|it| it.is_array()) => typed.to_owned(),
            _ => quoted(typed),
        }
    }
}

/// The checksum of a text, by which a later one is told from it.
#[must_use]
pub fn checksum(text: &str) -> String {
    fnv1a(text.as_bytes())
}

/// A file that was read.
#[derive(Debug)]
pub struct Document {
    source: Arc<Source>,
    read: toml_edit::Document<String>,
}

impl Document {
    /// Reads a text, or says where it is no TOML.
    pub fn read(source: &Arc<Source>) -> Outcome<Self> {
        toml_text::read(source)?;
        let read = toml_edit::Document::parse(source.text.to_string());
        let read = read.map_err(|error| {
            Fault::refused(format!("{} cannot be edited here: {error}", source.name))
                .remedy("put it right in a text editor")
        })?;
        Ok(Self {
            source: Arc::clone(source),
            read,
        })
    }

    /// Whether it is a job, not a bare part.
    #[must_use]
    pub fn is_job(&self) -> bool {
        let root = self.read.as_table();
        root.contains_key("job") || root.contains_key("part")
    }

    /// How many `[[part]]` and `[[stock]]` blocks there are.
    #[must_use]
    pub fn blocks(&self) -> (usize, usize) {
        let count = |key| self.read.get_blocks(key).map_or(0, ArrayOfTables::len);
        (count("part"), count("stock"))
    }

    fn table(&self, block: Block) -> Option<&Table> {
        match block {
            Block::Whole => Some(self.read.as_table()),
            Block::Job => self.read.as_table().get("job")?.as_table(),
            Block::Part(index) => self.read.get_blocks("part")?.get(index),
            Block::Stock(index) => self.read.get_blocks("stock")?.get(index),
        }
    }

    /// What a part is made of: its recipe, drawing or shape, or the job that it is taken from.
    #[must_use]
    pub fn made_of(&self, block: Block) -> Option<String> {
        let typed = |key| self.typed(block, key);
        let made = ["recipe", "drawing", "shape"].into_iter().find_map(typed);
        made.or_else(|| {
            let job = typed("job")?;
            Some(match typed("part") {
                Some(part) => format!("{part} of {job}"),
                None => job,
            })
        })
    }

    /// The value of a key as it was typed; of a size its sides with `x` between them, of a list all of it
    /// on one line.
    #[must_use]
    pub fn typed(&self, block: Block, key: &str) -> Option<String> {
        let value = self.table(block)?.get(key)?.as_value()?;
        Some(match value {
            Value::String(words) => words.value().clone(),
            Value::Array(list) if key == "size" => {
                let each = list.iter().map(|it| match it {
                    Value::String(words) => words.value().clone(),
                    other => other.clone().decorated("", "").to_string(),
                });
                each.collect::<Vec<_>>().join(" x ")
            }
            // On one line, as a field has it.
            other => {
                let written = &self.source.text[other.span()?];
                let lines = written.lines().map(str::trim);
                lines.collect::<Vec<_>>().join(" ")
            }
        })
    }

    /// What the file is called.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.source.name
    }

    /// Every value of a block as it was typed.
    #[must_use]
    pub fn all_typed(&self, block: Block) -> BTreeMap<String, String> {
        let keys = self.table(block).into_iter().flat_map(Table::iter);
        let typed = keys.filter_map(|(key, _)| Some((key.to_owned(), self.typed(block, key)?)));
        typed.collect()
    }

    /// The lines of a bare part's values, for a block of a job; some keys are left out. What stands in blocks of
    /// its own becomes a value in one line.
    #[must_use]
    pub fn own_lines(&self, without: &[&str]) -> String {
        let mut blocks = self.read.clone().into_mut();
        let root = self.read.as_table();
        let own = root.iter().filter(|(key, _)| !without.contains(key));
        let lines = own.filter_map(|(key, item)| {
            let value = match item.as_value().and_then(Value::span) {
                Some(at) => self.source.text[at].to_owned(),
                None => in_one_line(blocks.remove(key)?)?.to_string(),
            };
            Some(format!("{key} = {}\n", value.trim()))
        });
        lines.collect()
    }

    /// The key of a block whose line holds a place of the text.
    #[must_use]
    pub fn key_at(&self, block: Block, place: usize) -> Option<String> {
        let table = self.table(block)?;
        let holds = |(key, item): (&str, &Item)| {
            let value = item.as_value()?.span()?;
            let start = table.key(key)?.span()?.start;
            (start..=value.end).contains(&place).then(|| key.to_owned())
        };
        table.iter().find_map(holds)
    }

    /// The text with a key set to what was typed, or without it where nothing was.
    pub fn with(&self, block: Block, key: &str, form: Form, typed: &str) -> Outcome<String> {
        let typed = typed.trim();
        let text = &*self.source.text;
        let table = self.table(block).ok_or_else(|| self.changed_shape())?;
        let there = table.get(key).map(|item| {
            let value = item.as_value().and_then(Value::span);
            value.zip(table.key(key).and_then(toml_edit::Key::span))
        });
        let new = match (there, typed.is_empty()) {
            (None, true) => text.to_owned(),
            (None, false) => return self.added(block, key, &form.written(typed)),
            // A comment inside a list would be lost.
            (Some(Some((value, _))), false)
                if text[value.clone()].contains('\n') && text[value.clone()].contains('#') =>
            {
                return Err(self.by_hand(key).into());
            }
            (Some(Some((value, _))), false) => replaced(text, value, &form.written(typed)),
            (Some(Some((value, name))), true) => {
                if text[name.start..value.end].contains('\n') {
                    return Err(self.by_hand(key).into());
                }
                replaced(text, name.start..name.start, "# ")
            }
            (Some(None), _) => return Err(self.by_hand(key).into()),
        };
        self.sound(new, block, key, form, typed)
    }

    /// The text with a key that is not there yet: in place of the comment that shows it, else after the
    /// others of its block.
    fn added(&self, block: Block, key: &str, written: &str) -> Outcome<String> {
        let text = &*self.source.text;
        let line = format!("{key} = {written}");
        for at in commented(text, key) {
            let new = replaced(text, at, &line);
            let source = Source::inline(self.source.name.clone(), new.clone());
            let read = Self::read(&source);
            let stands_there = |it: &Self| {
                it.typed(block, key).is_some() && it.others(block, key) == self.others(block, key)
            };
            if read.is_ok_and(|it| stands_there(&it)) {
                return Ok(new);
            }
        }
        let mut document = self.edited()?;
        let value: Value = written.parse().map_err(|_| self.by_hand(key))?;
        let table = in_block(&mut document, block).ok_or_else(|| self.changed_shape())?;
        table.insert(key, Item::Value(value));
        Ok(document.to_string())
    }

    /// Every other value of a block, to see that an edit met the right one.
    fn others(&self, block: Block, key: &str) -> Vec<(String, String)> {
        let table = self.table(block).into_iter().flat_map(Table::iter);
        let others = table.filter(|(name, _)| *name != key);
        let others = others.map(|(name, item)| (name.to_owned(), item.to_string()));
        others.collect()
    }

    /// A text that came out as it was meant to, or a fault.
    fn sound(
        &self,
        new: String,
        block: Block,
        key: &str,
        form: Form,
        typed: &str,
    ) -> Outcome<String> {
        let source = Source::inline(self.source.name.clone(), new.clone());
        let found = Self::read(&source).map(|it| it.typed(block, key));
        let wanted = (!typed.is_empty()).then(|| form.written(typed));
        match (found, wanted) {
            (Ok(None), None) | (Ok(Some(_)), Some(_)) => Ok(new),
            _ => Err(self.by_hand(key).into()),
        }
    }

    /// The text with one more block at its end: `[[part]]` or `[[stock]]` with these values.
    pub fn with_block(&self, kind: &str, values: &[(&str, Form, &str)]) -> String {
        let mut text = self.source.text.to_string();
        if !text.ends_with('\n') && !text.is_empty() {
            text.push('\n');
        }
        text.push_str(&format!("\n[[{kind}]]\n"));
        for (key, form, typed) in values {
            text.push_str(&format!("{key} = {}\n", form.written(typed)));
        }
        text
    }

    /// The text without a block.
    pub fn without_block(&self, block: Block) -> Outcome<String> {
        let mut document = self.edited()?;
        let (kind, index) = match block {
            Block::Part(index) => ("part", index),
            Block::Stock(index) => ("stock", index),
            Block::Whole | Block::Job => return Err(self.changed_shape().into()),
        };
        let blocks = document
            .get_mut(kind)
            .and_then(Item::as_array_of_tables_mut)
            .filter(|it| it.get(index).is_some());
        blocks.ok_or_else(|| self.changed_shape())?.remove(index);
        Ok(document.to_string())
    }

    fn edited(&self) -> Outcome<DocumentMut> {
        let document = self.source.text.parse::<DocumentMut>();
        Ok(document.map_err(|error| Fault::refused(error.to_string()))?)
    }

    fn changed_shape(&self) -> Fault {
        Fault::refused(format!("{} has no such block any more", self.source.name))
            .remedy("open it anew from the folder")
    }

    fn by_hand(&self, key: &str) -> Fault {
        let name = &self.source.name;
        Fault::refused(format!(
            "`{key}` of {name} is written in a way that the page does not edit"
        ))
        .remedy("change it in a text editor: the page follows")
    }
}

/// Where blocks of a name lie.
trait Blocks {
    fn get_blocks(&self, key: &str) -> Option<&ArrayOfTables>;
}

impl Blocks for toml_edit::Document<String> {
    fn get_blocks(&self, key: &str) -> Option<&ArrayOfTables> {
        self.as_table().get(key)?.as_array_of_tables()
    }
}

fn in_block(document: &mut DocumentMut, block: Block) -> Option<&mut Table> {
    let blocks = |document, key| {
        let root: &mut DocumentMut = document;
        root.get_mut(key).and_then(Item::as_array_of_tables_mut)
    };
    match block {
        Block::Whole => Some(document.as_table_mut()),
        Block::Job => {
            let job = document.entry("job").or_insert_with(toml_edit::table);
            job.as_table_mut()
        }
        Block::Part(index) => blocks(document, "part")?.get_mut(index),
        Block::Stock(index) => blocks(document, "stock")?.get_mut(index),
    }
}

fn replaced(text: &str, at: Range<usize>, by: &str) -> String {
    [&text[..at.start], by, &text[at.end..]].concat()
}

/// Lines that hold a key as a comment: `# outside = "170 mm"`.
fn commented(text: &str, key: &str) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let shown = line.trim_end_matches(['\n', '\r']);
        let bare = shown.trim_start().strip_prefix('#').map(str::trim_start);
        let name = bare.and_then(|it| it.split_once('=')).map(|(name, _)| name);
        if name.is_some_and(|it| it.trim_end() == key) {
            found.push(start..start + shown.len());
        }
        start += line.len();
    }
    found
}

/// A block as a value without line breaks and comments.
fn in_one_line(block: Item) -> Option<Value> {
    let mut value = block.into_value().ok()?;
    if let Value::InlineTable(table) = &mut value {
        let keys: Vec<String> = table.iter().map(|(key, _)| key.to_owned()).collect();
        for key in keys {
            let inner = table.remove(&key)?;
            table.insert(key, in_one_line(Item::Value(inner))?);
        }
        table.fmt();
    }
    value.decor_mut().clear();
    Some(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn document(text: &str) -> Document {
        Document::read(&Source::inline("a.toml", text)).expect("readable")
    }

    #[test]
    fn a_value_changes_and_every_comment_stays() {
        let text = "# mine\nrecipe = \"flange\"   # round\noutside = \"7 in\" # measured twice\n";
        let new = document(text).with(Block::Whole, "outside", Form::Words, " 180 mm ");
        let expected = text.replace("7 in", "180 mm");
        assert_eq!(new, Ok(expected));
    }

    #[test]
    fn a_commented_dimension_is_taken_out_of_its_comment_and_put_back() {
        let text = "recipe = \"flange\"\n\n# how large\n# outside = \"150 mm\"\n\n# how thick\n# thickness = \"6 mm\"\n";
        let set = document(text)
            .with(Block::Whole, "outside", Form::Words, "7 in")
            .expect("set");
        assert_eq!(
            set,
            text.replace("# outside = \"150 mm\"", "outside = \"7 in\"")
        );
        let emptied = document(&set)
            .with(Block::Whole, "outside", Form::Words, "")
            .expect("emptied");
        assert_eq!(emptied, text.replace("150 mm", "7 in"));
    }

    #[test]
    fn only_the_block_that_is_meant_changes() {
        let text = "[job]\nname = \"a\"\n[[part]]\nrecipe = \"flange\"\n# bolt = \"M8\"\n[[part]]\nrecipe = \"flange\"\n# bolt = \"M10\"\n";
        let new = document(text)
            .with(Block::Part(1), "bolt", Form::Words, "M6")
            .expect("set");
        assert_eq!(new, text.replace("# bolt = \"M10\"", "bolt = \"M6\""));
        let new = document(text)
            .with(Block::Part(0), "quantity", Form::Number, "4")
            .expect("set");
        assert_eq!(
            document(&new).typed(Block::Part(0), "quantity").as_deref(),
            Some("4")
        );
        assert_eq!(document(&new).typed(Block::Part(1), "quantity"), None);
        assert!(new.contains("quantity = 4\n"), "{new}");
    }

    #[test]
    fn sizes_are_pairs_and_truths_are_no_words() {
        assert_eq!(
            Form::Pair.written("48 in x 4-1/2 ft"),
            "[\"48 in\", \"4-1/2 ft\"]"
        );
        assert_eq!(Form::Truth.written("yes"), "true");
        assert_eq!(Form::Number.written("6"), "6");
        assert_eq!(Form::Number.written("hub_count"), "\"hub_count\"");
        assert_eq!(Form::Words.written("4\" x"), "'4\" x'");
    }

    #[test]
    fn lists_are_edited_as_they_are_written() {
        let text = "recipe = \"a\"\nholes = [\n  [\"10 mm\", 4],\n  [\"1 in\", 2],\n]\n";
        let typed = document(text).typed(Block::Whole, "holes");
        assert_eq!(typed.as_deref(), Some("[ [\"10 mm\", 4], [\"1 in\", 2], ]"));
        let new = document(text)
            .with(Block::Whole, "holes", Form::List, "[[\"12 mm\", 4]]")
            .expect("set");
        assert_eq!(new, "recipe = \"a\"\nholes = [[\"12 mm\", 4]]\n");
        let commented = text.replace("4],", "4], # by the hub");
        let said = document(&commented).with(Block::Whole, "holes", Form::List, "[]");
        assert!(said.is_err_and(|it| it.to_string().contains("text editor")));
    }

    #[test]
    fn what_is_written_in_another_way_is_left_to_an_editor() {
        let text = "recipe = \"flange\"\ntabs = { width = \"1 mm\" }\nbolt = \"\"\"\nM8\"\"\"\n";
        let said = document(text).with(Block::Whole, "bolt", Form::Words, "");
        assert!(said.is_err_and(|it| it.to_string().contains("text editor")));
    }

    #[test]
    fn a_place_tells_its_key() {
        let text = "recipe = \"flange\"\noutside = \"7 inn\"\n";
        let at = text.find("inn").expect("there");
        assert_eq!(
            document(text).key_at(Block::Whole, at).as_deref(),
            Some("outside")
        );
        assert_eq!(document(text).key_at(Block::Part(3), at), None);
    }

    #[test]
    fn blocks_have_words() {
        for block in [Block::Whole, Block::Job, Block::Part(3), Block::Stock(0)] {
            assert_eq!(Block::read(&block.to_string()), Some(block));
        }
        assert_eq!(Block::read("part-x"), None);
    }

    #[test]
    fn blocks_are_added_and_removed() {
        let text = "[job]\nname = \"a\"\n\n[[part]]\nrecipe = \"flange\" # first\n\n# second\n[[part]]\nrecipe = \"flange\"\n";
        let more = document(text).with_block("stock", &[("size", Form::Pair, "1 m x 2 m")]);
        assert_eq!(document(&more).blocks(), (2, 1));
        let less = document(&more)
            .without_block(Block::Part(1))
            .expect("removed");
        assert_eq!(document(&less).blocks(), (1, 1));
        assert!(less.contains("# first") && less.contains("[\"1 m\", \"2 m\"]"));
        assert!(document(text).without_block(Block::Part(2)).is_err());
    }

    #[test]
    fn a_part_goes_into_a_job_with_its_blocks() {
        let text = "recipe = \"flange\"\noutside = \"7 in\" # measured\n\n[opening.\"bolt 2\"] # the odd one\nfinish = \"drill\"\n";
        let own = document(text).own_lines(&["table"]);
        let expected = "recipe = \"flange\"\noutside = \"7 in\"\nopening = { \"bolt 2\" = { finish = \"drill\" } }\n";
        assert_eq!(own, expected);
    }
}
