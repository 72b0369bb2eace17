//! Reading TOML by hand, so that every message can point at its place.
//!
//! In: a [`Source`]. Out: a [`Table`] whose keys are taken one by one; whatever is left at the end
//! is an unknown key. Faults are gathered, not thrown, so that one run reports all of them: a reader
//! that gives `None` has put its reason into `faults`.
//!
//! ```text
//! let mut table = toml_text::read(&source)?;
//! let title = table.need("title", r#"title = "…""#, faults).and_then(|item| item.text(faults));
//! let kerf = table.take("kerf").and_then(|item| item.formula(faults));
//! table.finish(faults);
//! Faults::check(faults)
//! ```

use std::ops::Range;
use std::sync::Arc;

use toml::de::{DeTable, DeValue};

use super::formula::Formula;
use super::text::Text;
use super::words::Words;
use crate::fault::{Fault, Faults, Outcome, Place, Refusal, Source, nearest};

/// A key as it stands in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Key {
    /// The key, without the names of the tables above it.
    pub(crate) name: String,
    /// Where it stands.
    pub(crate) span: Range<usize>,
}

/// A table: its entries in the order of the file, taken one by one.
#[derive(Debug, Clone)]
pub(crate) struct Table {
    source: Arc<Source>,
    span: Range<usize>,
    what: String,
    pub(super) entries: Vec<(Key, Item)>,
    asked: Vec<String>,
}

/// A value with its place.
#[derive(Debug, Clone)]
pub(crate) struct Item {
    source: Arc<Source>,
    span: Range<usize>,
    pub(super) name: String,
    pub(super) value: Value,
}

/// What stands at a key.
#[derive(Debug, Clone)]
pub(super) enum Value {
    Text(String),
    Whole(Option<i64>),
    Decimal(Option<f64>),
    Truth(bool),
    Date,
    List(Vec<Item>),
    Table(Table),
}

/// Reads a whole file. A text that is not TOML is one fault with its place.
pub(crate) fn read(source: &Arc<Source>) -> Outcome<Table> {
    let parsed = DeTable::parse(&source.text).map_err(|error| not_toml(source, &error))?;
    let span = 0..0;
    Ok(table(source, "the file", span, parsed.into_inner()))
}

impl Table {
    /// The value of a key, if it is there.
    pub(crate) fn take(&mut self, key: &str) -> Option<Item> {
        self.asked.push(key.to_owned());
        let index = self.entries.iter().position(|(k, _)| k.name == key)?;
        Some(self.entries.remove(index).1)
    }

    /// The value of a key that must be there; `example` shows how to write it.
    pub(crate) fn need(
        &mut self,
        key: &str,
        example: &str,
        faults: &mut Vec<Fault>,
    ) -> Option<Item> {
        let item = self.take(key);
        if item.is_some() {
            return item;
        }
        // A mistyped key is told once: not as missing and as unknown.
        let mistyped = |(found, _): &(Key, Item)| nearest(&found.name, [key]).is_some();
        if let Some(index) = self.entries.iter().position(mistyped) {
            let (found, _) = self.entries.remove(index);
            faults.push(self.unknown_key(&found, std::iter::once(key)));
            return None;
        }
        let fault = self.fault(format!("`{key}` is missing from {}", self.what));
        faults.push(fault.remedy(format!("add `{example}`")));
        None
    }

    /// Whether a key is still there to be taken.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.entries.iter().any(|(k, _)| k.name == key)
    }

    /// Whether a table of keys is at a key.
    pub(crate) fn is_table(&self, key: &str) -> bool {
        let mut found = self.entries.iter().filter(|(k, _)| k.name == key);
        found.any(|(_, item)| matches!(item.value, Value::Table(_)))
    }

    /// Whether a list is at a key.
    pub(crate) fn is_list(&self, key: &str) -> bool {
        let mut found = self.entries.iter().filter(|(k, _)| k.name == key);
        found.any(|(_, item)| item.is_list())
    }

    /// The keys of the table at a key, without taking it.
    pub(crate) fn keys_of(&self, key: &str) -> Vec<String> {
        let found = self.entries.iter().find(|(k, _)| k.name == key);
        match found.map(|(_, item)| &item.value) {
            Some(Value::Table(table)) => {
                table.entries.iter().map(|(k, _)| k.name.clone()).collect()
            }
            _ => Vec::new(),
        }
    }

    /// The names of the tables under another and the words at a key of each, without taking any.
    pub(crate) fn words_under(&self, tables: &str, key: &str) -> Vec<(Key, String)> {
        let table_of = |item: &Item| match &item.value {
            Value::Table(table) => Some(table.clone()),
            _ => None,
        };
        let found = self.entries.iter().find(|(k, _)| k.name == tables);
        let blocks = found.and_then(|(_, item)| table_of(item));
        let blocks = blocks.into_iter().flat_map(Self::rest);
        let words = blocks.filter_map(|(name, item)| {
            let block = table_of(&item)?;
            let (_, found) = block.entries.iter().find(|(k, _)| k.name == key)?;
            Some((name, found.as_words()?.to_owned()))
        });
        words.collect()
    }

    /// Every key still there, with its value, in the order of the file: for tables whose keys are
    /// names that the builder chose.
    pub(crate) fn rest(self) -> Vec<(Key, Item)> {
        self.entries
    }

    /// Reports every key that nobody asked for.
    pub(crate) fn finish(self, faults: &mut Vec<Fault>) {
        for (key, _) in &self.entries {
            faults.push(self.unknown_key(key, self.asked.iter().map(String::as_str)));
        }
    }

    /// The fault of a key that means nothing here, with the nearest of the keys that would.
    pub(crate) fn unknown_key<'a>(
        &self,
        key: &Key,
        known: impl Iterator<Item = &'a str> + Clone,
    ) -> Fault {
        let fault = Fault::refused(format!("unknown key `{}` in {}", key.name, self.what))
            .at(&self.source, key.span.clone());
        if let Some(near) = nearest(&key.name, known.clone()) {
            return fault.remedy(format!("did you mean `{near}`?"));
        }
        let mut all: Vec<&str> = known.collect();
        all.sort_unstable();
        all.dedup();
        fault.remedy(format!("it takes {}", all.join(", ")))
    }

    /// The fault of the first key that looks like one of these, mistyped.
    pub(crate) fn mistyped(&self, wanted: &[&str]) -> Option<Fault> {
        let near = |key: &Key| nearest(&key.name, wanted.iter().copied()).is_some();
        let (key, _) = self.entries.iter().find(|(key, _)| near(key))?;
        Some(self.unknown_key(key, wanted.iter().copied()))
    }

    /// Where it stands: its header, or its braces.
    pub(crate) fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// Puts it elsewhere in the text.
    pub(super) fn set_span(&mut self, span: &Range<usize>) {
        self.span = span.clone();
    }

    /// Makes room for names at a key that is not there yet.
    pub(crate) fn make_room(&mut self, key: &str, span: &Range<usize>) {
        if self.has(key) {
            return;
        }
        let named = Self {
            source: Arc::clone(&self.source),
            span: span.clone(),
            what: format!("`{key}`"),
            entries: Vec::new(),
            asked: Vec::new(),
        };
        let item = Item {
            source: Arc::clone(&self.source),
            span: span.clone(),
            name: key.to_owned(),
            value: Value::Table(named),
        };
        let key = Key {
            name: key.to_owned(),
            span: span.clone(),
        };
        self.entries.push((key, item));
    }

    /// Where it stands, and in which text.
    pub(crate) fn place(&self) -> Place {
        Place {
            source: Arc::clone(&self.source),
            span: self.span.clone(),
        }
    }

    /// The text it stands in.
    pub(crate) fn source(&self) -> &Arc<Source> {
        &self.source
    }

    /// Names it in messages: `[job]`, `a step`.
    pub(crate) fn call(&mut self, what: impl Into<String>) {
        self.what = what.into();
    }

    /// A fault at this table.
    pub(crate) fn fault(&self, cause: impl Into<Refusal>) -> Fault {
        Fault::refused(cause).at(&self.source, self.span.clone())
    }
}

impl Item {
    /// Where it stands.
    pub(crate) fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// A fault at this value.
    pub(crate) fn fault(&self, cause: impl Into<Refusal>) -> Fault {
        Fault::refused(cause).at(&self.source, self.span.clone())
    }

    /// Puts it elsewhere in the text.
    pub(super) fn set_span(&mut self, span: &Range<usize>) {
        self.span = span.clone();
    }

    /// Whether it is a list.
    pub(crate) const fn is_list(&self) -> bool {
        matches!(self.value, Value::List(_))
    }

    /// Whether it is a bare whole number.
    pub(crate) const fn is_whole(&self) -> bool {
        matches!(self.value, Value::Whole(_))
    }

    /// Whether it is `true` or `false`.
    pub(crate) const fn is_truth(&self) -> bool {
        matches!(self.value, Value::Truth(_))
    }

    /// The words, if it is words in quotes.
    pub(crate) fn as_words(&self) -> Option<&str> {
        match &self.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    /// The value as it is typed in the file.
    pub(crate) fn literal(&self) -> Text {
        let typed = self.source.text[self.span.clone()].to_owned();
        Text::new(&self.source, self.span.clone(), typed)
    }

    /// Words in quotes, as they stand.
    pub(crate) fn text(self, faults: &mut Vec<Fault>) -> Option<Text> {
        match self.value {
            Value::Text(text) => Some(Text::new(&self.source, self.span, text)),
            _ => self.wrong("words in quotes", faults),
        }
    }

    /// An expression: in quotes, or a bare number or `true` / `false`.
    pub(crate) fn formula(self, faults: &mut Vec<Fault>) -> Option<Formula> {
        let text = match &self.value {
            Value::Text(text) => Text::new(&self.source, self.span, text.clone()),
            Value::Whole(Some(_)) | Value::Decimal(Some(_)) | Value::Truth(_) => {
                let bare = self.source.text[self.span.clone()].replace('_', "");
                Text::new(&self.source, self.span, bare)
            }
            _ => return self.wrong("a value in quotes, such as \"12 mm\"", faults),
        };
        Formula::parse(text)
            .map_err(|fault| faults.push(fault))
            .ok()
    }

    /// `true` or `false`.
    pub(crate) fn truth(self, faults: &mut Vec<Fault>) -> Option<bool> {
        match self.value {
            Value::Truth(truth) => Some(truth),
            _ => self.wrong("true or false, without quotes", faults),
        }
    }

    /// A whole number from `least` up.
    pub(crate) fn whole(self, least: u32, faults: &mut Vec<Fault>) -> Option<u32> {
        match self.value {
            Value::Whole(Some(n)) if n >= i64::from(least) && n <= i64::from(u32::MAX) => {
                Some(n as u32)
            }
            _ => self.wrong(
                &format!("a whole number from {least} up, without quotes"),
                faults,
            ),
        }
    }

    /// A plain number.
    pub(crate) fn number(self, faults: &mut Vec<Fault>) -> Option<f64> {
        match self.value {
            Value::Whole(Some(n)) => Some(n as f64),
            Value::Decimal(Some(n)) if n.is_finite() => Some(n),
            _ => self.wrong("a number, without quotes", faults),
        }
    }

    /// One of a closed list of words.
    pub(crate) fn word<W: Words>(self, faults: &mut Vec<Fault>) -> Option<W> {
        let text = self.text(faults)?;
        let known = W::ALL.iter().find(|(_, word)| *word == text.as_str());
        if known.is_none() {
            let words: Vec<&str> = W::ALL.iter().map(|(_, word)| *word).collect();
            faults.push(text.not_among(&words));
        }
        known.map(|(value, _)| *value)
    }

    /// A list, of any length.
    pub(crate) fn list(self, faults: &mut Vec<Fault>) -> Option<Vec<Self>> {
        match self.value {
            Value::List(items) => Some(items),
            _ => self.wrong("a list in [ ]", faults),
        }
    }

    /// A list of exactly two.
    pub(crate) fn pair(self, faults: &mut Vec<Fault>) -> Option<[Self; 2]> {
        let wrong = self.fault(format!("`{}` takes a list of two values", self.name));
        let items = self.list(faults)?;
        <[Self; 2]>::try_from(items)
            .map_err(|items| {
                faults.push(wrong.remedy(format!("write two values in [ ], not {}", items.len())));
            })
            .ok()
    }

    /// A list of words in quotes.
    pub(crate) fn texts(self, faults: &mut Vec<Fault>) -> Vec<Text> {
        let items = self.list(faults).unwrap_or_default();
        items
            .into_iter()
            .filter_map(|item| item.text(faults))
            .collect()
    }

    /// A table.
    pub(crate) fn table(self, faults: &mut Vec<Fault>) -> Option<Table> {
        match self.value {
            Value::Table(table) => Some(table),
            _ => self.wrong("a table of keys", faults),
        }
    }

    /// A list of tables: `[[name]]` blocks.
    pub(crate) fn tables(self, faults: &mut Vec<Fault>) -> Vec<Table> {
        let wanted = format!("blocks headed [[{}]]", self.name);
        let Value::List(items) = self.value else {
            self.wrong::<()>(&wanted, faults);
            return Vec::new();
        };
        items
            .into_iter()
            .filter_map(|item| item.table(faults))
            .collect()
    }

    fn wrong<T>(&self, wanted: &str, faults: &mut Vec<Fault>) -> Option<T> {
        let found = match &self.value {
            Value::Text(_) => "words in quotes",
            Value::Whole(Some(_)) if wanted.starts_with("a whole number") => {
                &self.source.text[self.span.clone()]
            }
            Value::Whole(Some(_)) => "a whole number",
            Value::Decimal(Some(_)) => "a decimal number",
            Value::Whole(None) | Value::Decimal(None) => "a number too large to use",
            Value::Truth(_) => "true or false",
            Value::Date => "a date",
            Value::List(_) => "a list",
            Value::Table(_) => "a table",
        };
        let fault = self.fault(format!("`{}` takes {wanted}, not {found}", self.name));
        faults.push(match &self.value {
            Value::Whole(Some(_)) | Value::Decimal(Some(_)) if wanted.starts_with("words") => {
                let written = &self.source.text[self.span.clone()];
                fault.remedy(format!("write `{} = \"{written}\"`", self.name))
            }
            Value::Text(_) if wanted.starts_with("a whole number") => {
                fault.remedy(format!("write `{} = 2`, for example", self.name))
            }
            _ => fault,
        });
        None
    }
}

/// The first ten faults in the order of the text, or `value` if there are none.
pub(crate) fn settle<T>(value: Option<T>, mut faults: Vec<Fault>) -> Outcome<T> {
    faults.sort_by_key(|fault| fault.place.as_ref().map(|place| place.span.start));
    faults.dedup();
    faults.truncate(MOST_FAULTS);
    Faults::check(faults)?;
    value.ok_or_else(|| Fault::refused("the file could not be read").into())
}

/// How many faults of one file are reported at once.
pub(crate) const MOST_FAULTS: usize = 10;

fn table(source: &Arc<Source>, what: &str, span: Range<usize>, entries: DeTable<'_>) -> Table {
    let mut entries: Vec<(Key, Item)> = entries
        .into_iter()
        .map(|(key, value)| {
            let key = Key {
                span: key.span(),
                name: key.into_inner().into_owned(),
            };
            let item = item(source, &key.name, value.span(), value.into_inner());
            (key, item)
        })
        .collect();
    entries.sort_by_key(|(key, _)| key.span.start);
    Table {
        source: Arc::clone(source),
        span,
        what: what.to_owned(),
        entries,
        asked: Vec::new(),
    }
}

fn item(source: &Arc<Source>, name: &str, span: Range<usize>, value: DeValue<'_>) -> Item {
    let value = match value {
        DeValue::String(text) => Value::Text(text.into_owned()),
        DeValue::Integer(n) => Value::Whole(i64::from_str_radix(n.as_str(), n.radix()).ok()),
        DeValue::Float(n) => {
            Value::Decimal(n.as_str().parse().ok().filter(|n: &f64| n.is_finite()))
        }
        DeValue::Boolean(truth) => Value::Truth(truth),
        DeValue::Datetime(_) => Value::Date,
        DeValue::Array(items) => Value::List(
            items
                .into_iter()
                .map(|entry| item(source, name, entry.span(), entry.into_inner()))
                .collect(),
        ),
        DeValue::Table(entries) => {
            Value::Table(table(source, &format!("`{name}`"), span.clone(), entries))
        }
    };
    Item {
        source: Arc::clone(source),
        span,
        name: name.to_owned(),
        value,
    }
}

/// A syntax error in the builder's terms; the usual one is a value with a unit but no quotes.
fn not_toml(source: &Arc<Source>, error: &toml::de::Error) -> Fault {
    let span = error.span().unwrap_or(0..0);
    let fault = |message: String| Fault::refused(message).at(source, span.clone());
    let is_twice = error.message().starts_with("duplicate key");
    match unquoted(source, span.start).filter(|_| !is_twice) {
        Some((key, value)) => fault(format!("the value of `{key}` has no quotes"))
            .remedy(format!("write `{key} = \"{value}\"`")),
        None => {
            let fault = fault(format!("this line cannot be read: {}", error.message()));
            match usual_slip(source, span.start, error.message()) {
                Some(remedy) => fault.remedy(remedy),
                None => fault,
            }
        }
    }
}

/// What to write where a line has one of the usual slips.
fn usual_slip(source: &Source, offset: usize, message: &str) -> Option<&'static str> {
    let start = source.text.get(..offset)?.rfind('\n');
    let line = source.text[start.map_or(0, |at| at + 1)..].lines().next()?;
    let code = line.split('#').next().unwrap_or(line);
    if message.starts_with("duplicate key") {
        Some("keep one of the two lines")
    } else if code.matches('"').count() % 2 == 1 {
        Some("close the words with a second `\"`")
    } else if !code.contains('=') && !code.trim_start().starts_with('[') {
        Some(
            "write a name, `=` and a value, such as `outside = \"180 mm\"`, or begin a remark with `#`",
        )
    } else {
        None
    }
}

/// Key and value of the line at `offset`, if it is a plain `key = value` without quotes.
fn unquoted(source: &Source, offset: usize) -> Option<(&str, &str)> {
    let start = source
        .text
        .get(..offset)?
        .rfind('\n')
        .map_or(0, |at| at + 1);
    let line = source.text[start..].lines().next()?;
    let (key, value) = line.split_once('=')?;
    let value = value.split('#').next()?.trim();
    let plain = !value.is_empty() && !value.contains(['"', '\'', '[', '{', ']', '}', '\\']);
    plain.then(|| (key.trim(), value))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn first(text: &str) -> String {
        let source = Source::inline("a.toml", text);
        read(&source).unwrap_err().as_slice()[0].to_string()
    }

    #[test]
    fn a_value_without_quotes_is_told_how_to_be_written() {
        let said = first("recipe = \"disc\"\noutside = 120 mm # rim\n");
        assert!(said.starts_with("a.toml:2:"), "{said}");
        assert!(
            said.ends_with("the value of `outside` has no quotes; write `outside = \"120 mm\"`"),
            "{said}"
        );
    }

    #[test]
    fn a_line_with_a_usual_slip_is_told_what_to_write() {
        for (text, remedy) in [
            ("outside = \"180 mm\n", "close the words with a second `\"`"),
            ("hello\n", "or begin a remark with `#`"),
            ("a = 1\na = 2\n", "keep one of the two lines"),
        ] {
            let said = first(text);
            assert!(said.ends_with(remedy), "{said}");
        }
    }

    #[test]
    fn keys_come_in_the_order_of_the_file_and_leftovers_are_unknown() {
        let source = Source::inline("a.toml", "zeta = 1\nalpha = 2\nkerv = \"1 mm\"\n");
        let mut table = read(&source).unwrap();
        let mut faults = Vec::new();
        assert!(table.take("kerf").is_none());
        let names: Vec<_> = table
            .clone()
            .rest()
            .into_iter()
            .map(|(k, _)| k.name)
            .collect();
        assert_eq!(names, ["zeta", "alpha", "kerv"]);
        table.take("zeta");
        table.take("alpha");
        table.finish(&mut faults);
        assert_eq!(
            faults[0].to_string(),
            "a.toml:3:1: unknown key `kerv` in the file; did you mean `kerf`?"
        );
    }

    #[test]
    fn wrong_kinds_say_what_was_wanted_and_what_was_found() {
        let source = Source::inline("a.toml", "n = \"5\"\n[[block]]\nlist = 1979-05-27\n");
        let mut table = read(&source).unwrap();
        let mut faults = Vec::new();
        table.take("n").and_then(|item| item.whole(1, &mut faults));
        let mut block = table.take("block").unwrap().tables(&mut faults).remove(0);
        block.take("list").and_then(|item| item.list(&mut faults));
        block.need("name", "name = \"…\"", &mut faults);
        let said: Vec<String> = faults.iter().map(ToString::to_string).collect();
        assert_eq!(
            said,
            [
                "a.toml:1:5: `n` takes a whole number from 1 up, without quotes, not words in quotes; \
                 write `n = 2`, for example",
                "a.toml:3:8: `list` takes a list in [ ], not a date",
                "a.toml:2:1: `name` is missing from `block`; add `name = \"…\"`",
            ]
        );
    }

    #[test]
    fn deep_nesting_is_a_fault_and_not_a_crash() {
        let deep = format!("a = {}{}", "[".repeat(100_000), "]".repeat(100_000));
        assert!(first(&deep).contains("a.toml:1:"));
        let dotted = format!("{} = 1", vec!["a"; 50_000].join("."));
        let source = Source::inline("a.toml", dotted);
        drop(read(&source));
    }
}
