//! The keys of a table's settings file. A field of [`Table`](super::Table) or of a row is declared once,
//! with its unit, range, example and what holds without it: the struct, reading, writing and the values
//! between two rows come from that declaration.

use toml_edit::Value;

use crate::fault::Fault;
use crate::quantity::Dimension;
use crate::quantity::format::decimal;
use crate::toml_text::words::Words;
use crate::toml_text::{self, Item, Names};

/// A key of a settings file, and the field of `S` that it stands for.
pub(super) struct Key<S: 'static> {
    /// As it is written.
    pub(super) name: &'static str,
    /// A value as it is written.
    pub(super) example: &'static str,
    pub(super) unless_given: Unless<S>,
    pub(super) kind: SettingValue<S>,
}

/// What holds where a key is left out.
pub(super) enum Unless<S> {
    /// It must be there.
    Needed,
    /// The field's default.
    Default,
    /// What is worked out from the keys before it.
    WorkedOut(fn(&mut S)),
}

/// What a key's value is.
pub(super) enum SettingValue<S> {
    Number {
        dimension: Dimension,
        range: Range,
        get: fn(&S) -> Option<f64>,
        set: fn(&mut S, Option<f64>),
    },
    /// A length along x and one along y.
    Size(fn(&mut S, (f64, f64))),
    /// One of a few words.
    Word {
        read: fn(&mut S, Item, &mut Vec<Fault>) -> Option<()>,
        get: fn(&S) -> &'static str,
        all: fn(&S) -> Vec<&'static str>,
    },
    Text {
        get: fn(&S) -> &str,
        set: fn(&mut S, &str),
    },
    /// Words for the reader of the file.
    Remark,
}

/// What a number may be.
#[derive(Debug, Clone, Copy)]
pub(super) enum Range {
    /// More than 0.
    Positive,
    /// 0 or more.
    ZeroUp,
    /// More than 0 and at most 1.
    Share,
}

impl Range {
    fn holds(self, amount: f64) -> bool {
        match self {
            Self::Positive => amount > 0.0 && amount.is_finite(),
            Self::ZeroUp => amount >= 0.0 && amount.is_finite(),
            Self::Share => amount > 0.0 && amount <= 1.0,
        }
    }

    const fn says(self) -> &'static str {
        match self {
            Self::Positive => "it must be more than 0",
            Self::ZeroUp => "it must be 0 or more",
            Self::Share => "it must be more than 0 and at most 1",
        }
    }
}

/// A number that may be left out or not.
pub(super) trait Amount {
    fn amount(&self) -> Option<f64>;
    fn put(&mut self, amount: Option<f64>);
}

impl Amount for f64 {
    fn amount(&self) -> Option<f64> {
        Some(*self)
    }

    fn put(&mut self, amount: Option<f64>) {
        *self = amount.unwrap_or(*self);
    }
}

impl Amount for Option<f64> {
    fn amount(&self) -> Option<f64> {
        *self
    }

    fn put(&mut self, amount: Option<f64>) {
        *self = amount;
    }
}

/// Declares a part of a settings file with its keys, and fields that are read elsewhere.
macro_rules! keyed {
    (
        $(#[$about:meta])*
        $name:ident, $keys:ident, remark $remark:ident
        { $( $(#[$says:meta])* $field:ident : $type:ty = $kind:ident $how:tt; )* }
        { $( $(#[$more:meta])* $other:ident : $kept:ty; )* }
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name {
            $( $(#[$says])* pub $field: $type, )*
            $( $(#[$more])* pub $other: $kept, )*
        }

        /// Its keys, in the order in which they are read and written.
        pub(super) const $keys: &[Key<$name>] = &[
            Key {
                name: stringify!($remark),
                example: "\"…\"",
                unless_given: Unless::Default,
                kind: SettingValue::Remark,
            },
            $( key!($field $kind $how), )*
        ];

        impl $name {
            /// Nothing read yet.
            pub(super) fn blank() -> Self {
                Self {
                    $( $field: Default::default(), )*
                    $( $other: Default::default(), )*
                }
            }
        }
    };
}

macro_rules! key {
    ($field:ident number ($dimension:ident, $range:ident, $unless:expr, $example:literal)) => {
        key!(@ $field, $example, $unless, SettingValue::Number {
            dimension: Dimension::$dimension,
            range: Range::$range,
            get: |it| it.$field.amount(),
            set: |it, amount| it.$field.put(amount),
        })
    };
    ($field:ident size ($example:literal)) => {
        key!(@ $field, $example, Unless::Needed, SettingValue::Size(|it, size| it.$field = size))
    };
    ($field:ident word ($unless:expr, $example:literal)) => {
        key!(@ $field, $example, $unless, SettingValue::Word {
            read: |it, item, faults| item.word(faults).map(|word| it.$field = word),
            get: |it| word_of(it.$field),
            all: |it| words_of(it.$field),
        })
    };
    ($field:ident text ($example:literal)) => {
        key!(@ $field, $example, Unless::Needed, SettingValue::Text {
            get: |it| &it.$field,
            set: |it, text| it.$field = text.to_owned(),
        })
    };
    (@ $field:ident, $example:literal, $unless:expr, $kind:expr) => {
        Key {
            name: stringify!($field),
            example: $example,
            unless_given: $unless,
            kind: $kind,
        }
    };
}

pub(super) use {key, keyed};

/// How a value is written.
pub(super) fn word_of<W: Words + PartialEq>(value: W) -> &'static str {
    let mut all = W::ALL.iter();
    all.find(|(it, _)| *it == value)
        .map_or("", |(_, word)| word)
}

/// All words of a value's kind.
pub(super) fn words_of<W: Words>(_: W) -> Vec<&'static str> {
    W::ALL.iter().map(|(_, word)| *word).collect()
}

/// A key of a settings file, told to those who write one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SettingKey {
    /// As it is written.
    pub name: &'static str,
    /// Whether it must be there.
    pub needed: bool,
    /// What it takes.
    pub takes: Takes,
}

/// What a key of a settings file takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Takes {
    /// A number with its unit.
    Value,
    /// Two lengths, along x and y.
    Size,
    /// One of these words.
    Word(Vec<&'static str>),
    /// Words.
    Text,
}

/// The keys of a part of the file; `blank` is one with nothing read.
pub(super) fn told<S>(keys: &'static [Key<S>], blank: &S) -> Vec<SettingKey> {
    let keys = keys.iter();
    keys.map(|key| SettingKey {
        name: key.name,
        needed: matches!(key.unless_given, Unless::Needed),
        takes: match key.kind {
            SettingValue::Number { .. } => Takes::Value,
            SettingValue::Size(_) => Takes::Size,
            SettingValue::Word { all, .. } => Takes::Word(all(blank)),
            SettingValue::Text { .. } | SettingValue::Remark => Takes::Text,
        },
    })
    .collect()
}

/// Reads some keys of a block; whether all of them could be read.
pub(super) fn read<S>(
    keys: &[Key<S>],
    block: &mut toml_text::Table,
    into: &mut S,
    faults: &mut Vec<Fault>,
) -> bool {
    // Every key is looked at, so that all faults of a file are told at once.
    let read: Vec<_> = keys
        .iter()
        .map(|key| key.read(block, into, faults))
        .collect();
    read.iter().all(Option::is_some)
}

/// What lies between two: numbers in proportion, all else as in the nearer one.
pub(super) fn between<S: Clone>(keys: &[Key<S>], low: &S, high: &S, share: f64) -> S {
    let mut made = if share < 0.5 { low } else { high }.clone();
    for key in keys {
        if let SettingValue::Number { get, set, .. } = key.kind {
            let ends = get(low).zip(get(high));
            set(
                &mut made,
                ends.map(|(low, high)| low + (high - low) * share),
            );
        }
    }
    made
}

impl<S> Key<S> {
    /// It and its example, as a line of the file.
    fn line(&self) -> String {
        format!("{} = {}", self.name, self.example)
    }

    fn read(
        &self,
        block: &mut toml_text::Table,
        into: &mut S,
        faults: &mut Vec<Fault>,
    ) -> Option<()> {
        let item = match self.unless_given {
            Unless::Needed => Some(block.need(self.name, &self.line(), faults)?),
            Unless::Default | Unless::WorkedOut(_) => block.take(self.name),
        };
        let Some(item) = item else {
            if let Unless::WorkedOut(work_out) = self.unless_given {
                work_out(into);
            }
            return Some(());
        };
        match self.kind {
            SettingValue::Number {
                dimension,
                range,
                set,
                ..
            } => set(into, Some(self.amount(item, dimension, range, faults)?)),
            SettingValue::Size(set) => {
                let [x, y] = item.pair(faults)?;
                let mut side = |item| self.amount(item, Dimension::LENGTH, Range::Positive, faults);
                let (x, y) = (side(x), side(y));
                set(into, (x?, y?));
            }
            SettingValue::Word { read, .. } => read(into, item, faults)?,
            SettingValue::Text { set, .. } => set(into, item.text(faults)?.as_str()),
            SettingValue::Remark => drop(item.text(faults)?),
        }
        Some(())
    }

    fn amount(
        &self,
        item: Item,
        dimension: Dimension,
        range: Range,
        faults: &mut Vec<Fault>,
    ) -> Option<f64> {
        let formula = item.formula(faults)?;
        let what = format!("`{}`", self.name);
        match formula.amount(&Names::none(), dimension, &what) {
            Ok(amount) if range.holds(amount) => Some(amount),
            Ok(_) => {
                let message = format!("{what} is {}", formula.text().as_str());
                faults.push(formula.fault(message).remedy(range.says()));
                None
            }
            Err(fault) => {
                faults.push(fault);
                None
            }
        }
    }

    /// Its value as it is written into a file, if it has one.
    pub(super) fn written(&self, of: &S) -> Option<Value> {
        match self.kind {
            SettingValue::Number { dimension, get, .. } => Some(number(get(of)?, dimension)),
            SettingValue::Word { get, .. } => Some(get(of).into()),
            SettingValue::Text { get, .. } => Some(get(of).into()),
            SettingValue::Size(_) | SettingValue::Remark => None,
        }
    }
}

/// A number in the unit that settings files have it in.
fn number(amount: f64, dimension: Dimension) -> Value {
    /// Seconds of a minute: speeds are written per minute.
    const MINUTE: f64 = 60.0;
    match dimension {
        Dimension::LENGTH => format!("{} mm", decimal(amount, 3)).into(),
        Dimension::SPEED => format!("{} mm/min", decimal(amount * MINUTE, 0)).into(),
        Dimension::ACCELERATION => format!("{} mm/s2", decimal(amount, 1)).into(),
        Dimension::MASS => format!("{} kg", decimal(amount, 3)).into(),
        Dimension::TIME => format!("{} s", decimal(amount, 2)).into(),
        _ => Value::from((amount * 1e3).round() / 1e3),
    }
}

#[cfg(test)]
mod tests {
    use super::super::program_words::{RUN_LINES, WHOLE_LINES};
    use super::super::settings::{ROW_KEYS, TABLE_KEYS};
    use super::super::{CutSettings, Table};
    use super::*;
    use crate::fault::Source;

    /// The example of a settings file in the guide to recipes, jobs and tables.
    fn guide() -> &'static str {
        let text = include_str!("../../part-recipes/README.md");
        let (_, rest) = text.split_once("## A table").expect("a chapter");
        let (_, rest) = rest.split_once("```toml\n").expect("an example");
        rest.split_once("```").expect("its end").0
    }

    fn keys_of(table: &toml::Table) -> Vec<&str> {
        let mut keys: Vec<&str> = table.keys().map(String::as_str).collect();
        keys.sort_unstable();
        keys
    }

    fn sorted<'a>(keys: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
        let mut keys: Vec<&str> = keys.into_iter().collect();
        keys.sort_unstable();
        keys
    }

    #[test]
    fn the_guide_lists_the_keys_that_there_are_and_no_other() {
        let file: toml::Table = guide().parse().expect("TOML");
        let blocks = ["tabs", "program", "cut"];
        let of_table = TABLE_KEYS.iter().map(|key| key.name);
        assert_eq!(keys_of(&file), sorted(of_table.chain(blocks)));
        let row = file["cut"][0].as_table().expect("a row");
        assert_eq!(keys_of(row), sorted(ROW_KEYS.iter().map(|key| key.name)));
        let program = file["program"].as_table().expect("a block");
        let lines = WHOLE_LINES.iter().map(|(name, _)| *name);
        let lines = lines.chain(RUN_LINES.iter().map(|(name, _)| *name));
        assert_eq!(
            keys_of(program),
            sorted(lines.chain(["unit", "declared", "scribe_feed"]))
        );
        Table::read(&Source::inline("guide.toml", guide())).expect("it reads as a table");
    }

    #[test]
    fn the_guide_says_of_each_key_whether_it_may_be_left_out() {
        for (name, is_needed) in needs(TABLE_KEYS).chain(needs(ROW_KEYS)) {
            let lines: Vec<&str> = guide().lines().collect();
            let begins = |line: &&str| line.starts_with(&format!("{name} = "));
            let at = lines.iter().position(begins).expect("a line");
            // A remark goes on in the lines below it.
            let more = lines[at + 1..].iter().take_while(|it| it.starts_with(' '));
            let words = std::iter::once(&lines[at]).chain(more);
            let words = words.copied().collect::<Vec<_>>().join(" ");
            let says = ["optional", "unless given", "likewise", "or \""];
            let says_so = says.iter().any(|word| words.contains(word));
            assert!(says_so || is_needed, "{name}: {words}");
            let needed =
                is_needed && (words.contains("optional") || words.contains("unless given"));
            assert!(!needed, "{name} must be given: {words}");
        }
    }

    fn needs<S>(keys: &'static [Key<S>]) -> impl Iterator<Item = (&'static str, bool)> {
        let needs = |key: &Key<S>| (key.name, matches!(key.unless_given, Unless::Needed));
        keys.iter().map(needs)
    }

    #[test]
    fn examples_are_in_range_and_what_is_written_reads_back() {
        let example: Vec<String> = ROW_KEYS.iter().map(Key::line).collect();
        let head: Vec<String> = TABLE_KEYS.iter().map(Key::line).collect();
        let text = format!("{}\n[[cut]]\n{}\n", head.join("\n"), example.join("\n"));
        let row = |text: &str| -> CutSettings {
            let table = Table::read(&Source::inline("t.toml", text)).expect("sound");
            table.rows[0].clone()
        };
        let first = row(&text);
        let written = ROW_KEYS.iter().filter_map(|key| {
            let value = key.written(&first)?;
            Some(format!("{} = {value}", key.name))
        });
        let written: Vec<String> = written.collect();
        assert_eq!(written.len() + 1, ROW_KEYS.len(), "all but the remark");
        let again = format!("{}\n[[cut]]\n{}\n", head.join("\n"), written.join("\n"));
        assert_eq!(row(&again), first);
    }
}
