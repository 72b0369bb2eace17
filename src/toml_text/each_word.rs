//! Blocks that are written once and stand for several words: `@` in them is each word in turn.

use super::Key;
use super::table::{Item, Table, Value};

/// Stands for a word.
pub(crate) const SIGN: char = '@';

impl Item {
    /// Whether the sign stands in it somewhere.
    pub(crate) fn has_sign(&self) -> bool {
        match &self.value {
            Value::Text(text) => text.contains(SIGN),
            Value::List(items) => items.iter().any(Self::has_sign),
            Value::Table(table) => table.has_sign(),
            _ => false,
        }
    }

    /// The same with a word in place of the sign.
    pub(crate) fn with_word(&self, word: &str) -> Self {
        let value = match &self.value {
            Value::Text(text) => Value::Text(text.replace(SIGN, word)),
            Value::List(items) => {
                Value::List(items.iter().map(|item| item.with_word(word)).collect())
            }
            Value::Table(table) => Value::Table(table.with_word(word)),
            other => other.clone(),
        };
        let mut made = self.clone();
        made.value = value;
        made
    }

    /// The blocks of a list, to be changed.
    pub(crate) fn blocks_mut(&mut self) -> Option<&mut Vec<Self>> {
        match &mut self.value {
            Value::List(items) => Some(items),
            _ => None,
        }
    }

    /// The table that it is, to be changed.
    pub(crate) fn table_mut(&mut self) -> Option<&mut Table> {
        match &mut self.value {
            Value::Table(table) => Some(table),
            _ => None,
        }
    }
}

impl Table {
    /// Whether the sign stands in it somewhere.
    pub(crate) fn has_sign(&self) -> bool {
        let mut entries = self.entries.iter();
        entries.any(|(key, item)| key.name.contains(SIGN) || item.has_sign())
    }

    /// The same with a word in place of the sign.
    pub(crate) fn with_word(&self, word: &str) -> Self {
        let entries = self.entries.iter();
        let entries = entries.map(|(key, item)| (key.with_word(word), item.with_word(word)));
        let entries = entries.collect();
        let mut made = self.clone();
        made.entries = entries;
        made
    }

    /// Its keys and values, to be changed.
    pub(crate) const fn entries_mut(&mut self) -> &mut Vec<(Key, Item)> {
        &mut self.entries
    }

    /// The value of a key, to be changed.
    pub(crate) fn get_mut(&mut self, key: &str) -> Option<&mut Item> {
        let mut entries = self.entries.iter_mut();
        let (_, item) = entries.find(|(known, _)| known.name == key)?;
        Some(item)
    }
}

/// Values made of others, for what a file leaves out.
impl Item {
    /// An expression or words as they are written in the file; `None` for lists and tables.
    pub(crate) fn written(&self) -> Option<String> {
        match &self.value {
            Value::Text(text) => Some(text.clone()),
            Value::List(_) | Value::Table(_) => None,
            _ => Some(self.literal().as_str().to_owned()),
        }
    }

    /// Other words at its place; `None` for lists and tables.
    pub(crate) fn rewritten(&self, words: &str) -> Option<Self> {
        self.written()?;
        let mut made = self.clone();
        made.value = Value::Text(words.to_owned());
        Some(made)
    }
}

impl Item {
    /// Makes a list of blocks of it.
    pub(crate) fn set_blocks(&mut self, blocks: Vec<Self>) {
        self.value = Value::List(blocks);
    }
}

impl Table {
    /// A block for each of its entries: the entry's name is what the block `says`; its value stands at the second
    /// key, or is a table of keys, of which the first is the second.
    pub(crate) fn as_blocks(&self, (short, key): (&str, &str)) -> Vec<Item> {
        let entries = self.entries.iter();
        let block = entries.map(|(name, item)| {
            let mut block = match &item.value {
                Value::Table(keys) => keys.clone(),
                _ => {
                    let mut block = self.clone();
                    block.entries = vec![(name.clone(), item.clone())];
                    block
                }
            };
            block.set_span(&name.span);
            for (own, inside) in &mut block.entries {
                if own.name == short || own.name == name.name {
                    key.clone_into(&mut own.name);
                    key.clone_into(&mut inside.name);
                }
            }
            let mut says = item.clone();
            says.set_span(&name.span);
            says.value = Value::Text(name.name.clone());
            block.put("says", says);
            let mut made = item.clone();
            made.value = Value::Table(block);
            made
        });
        block.collect()
    }

    /// Gives a key a value, unless it has one; a fault of the key stands at the table.
    pub(crate) fn put(&mut self, key: &str, mut item: Item) {
        if self.has(key) {
            return;
        }
        key.clone_into(&mut item.name);
        let name = key.to_owned();
        let span = self.span();
        self.entries.push((Key { name, span }, item));
    }
}

impl Key {
    /// The same with a word in place of the sign.
    pub(crate) fn with_word(&self, word: &str) -> Self {
        Self {
            name: self.name.replace(SIGN, word),
            span: self.span.clone(),
        }
    }
}
