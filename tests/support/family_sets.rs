//! The families that come with the program, and dimensions of a family at random.

use platewright::recipe::{Family, Part, Shelf};
use rand::RngExt;
use rand_pcg::Pcg64Mcg;

/// The names of all families that come with the program, as it lists them.
pub fn every_family() -> Vec<String> {
    Shelf::built_in().family_names()
}

/// A part of a built-in family with these dimensions.
pub fn part(family: &str, settings: &[&str]) -> Part {
    let mut part = Part::plain(Shelf::built_in().family(family).expect("built in"));
    for setting in settings {
        part.set(setting)
            .unwrap_or_else(|faults| panic!("{faults}"));
    }
    part
}

/// A family as TOML, the blocks of its shared files beside its own, and one block for each word where `@` stands
/// for several: what the language page says, done once more.
pub fn whole(family: &Family) -> toml::Table {
    let mut table: toml::Table = family.source.text.parse().expect("read before");
    by_their_words(&mut table);
    let shared = table.remove("shared");
    for block in shared.iter().flat_map(|it| it.as_array().expect("blocks")) {
        let file = block["file"].as_str().expect("a name");
        let path = format!(
            "{}/part-recipes/shared/{file}.toml",
            env!("CARGO_MANIFEST_DIR")
        );
        let text = std::fs::read_to_string(path).expect("a shared file");
        let mut brought: toml::Table = text.parse().expect("TOML");
        brought.remove("about");
        by_their_words(&mut brought);
        each_word(&mut brought, block.get("each"));
        for (key, value) in brought {
            match (table.get_mut(&key), value) {
                (Some(toml::Value::Array(own)), toml::Value::Array(more)) => own.extend(more),
                (Some(toml::Value::Table(own)), toml::Value::Table(more)) => {
                    for (key, value) in more {
                        own.entry(key).or_insert(value);
                    }
                }
                (_, value) => {
                    table.insert(key, value);
                }
            }
        }
    }
    let words = table.remove("each");
    each_word(&mut table, words.as_ref());
    let dimensions = table.get_mut("dimension");
    usual(
        dimensions
            .and_then(toml::Value::as_table_mut)
            .expect("dimensions"),
    );
    let names: Vec<String> = { &table["dimension"] }
        .as_table()
        .map_or_else(Vec::new, |it| it.keys().cloned().collect());
    let rules = table.get_mut("rule").and_then(toml::Value::as_array_mut);
    if let Some(rules) = rules {
        *rules = rules.drain(..).flat_map(each_remedy).collect();
        for rule in rules.iter_mut() {
            by_its_need(rule, &names);
        }
    }
    table
}

/// Gives a rule without a remedy that of its need: to set the dimension that it limits.
fn by_its_need(rule: &mut toml::Value, dimensions: &[String]) {
    let need = rule.get("need").or(rule.get("practice"));
    let need = need.and_then(toml::Value::as_str).expect("a need");
    let parts: Vec<&str> = need.splitn(3, ' ').collect();
    let [name, ">=" | "<=", limit] = parts[..] else {
        return;
    };
    let otherwise = rule["otherwise"].as_str().expect("words");
    let says_what_to_do = otherwise.split('}').any(|it| {
        let outside = it.split('{').next().unwrap_or_default();
        outside.contains(": ") || outside.contains("; ")
    });
    if dimensions.iter().any(|it| it == name) && !says_what_to_do && rule.get("remedy").is_none() {
        let remedy = format!("set {name} to {{{name} = {limit}}}");
        let rule = rule.as_table_mut().expect("a rule");
        rule.insert("remedy".to_owned(), remedy.into());
    }
}

/// The rules that one with several remedies stands for; under which conditions is left out.
fn each_remedy(rule: toml::Value) -> Vec<toml::Value> {
    let Some(remedies) = rule.get("remedy").and_then(toml::Value::as_array).cloned() else {
        return vec![rule];
    };
    let with = |one: &toml::Value| {
        let mut rule = rule.clone();
        rule["remedy"] = one["says"].clone();
        rule
    };
    remedies.iter().map(with).collect()
}

/// Makes blocks of figures, and of what is not checked, that are written as words and a value.
fn by_their_words(table: &mut toml::Table) {
    let blocks = |named: &toml::Table, short: &str, key: &str| -> Vec<toml::Value> {
        let block = |(says, value): (&String, &toml::Value)| {
            let mut block = value.as_table().cloned().unwrap_or_default();
            let value = block.remove(short).unwrap_or_else(|| value.clone());
            block.insert(key.to_owned(), value);
            block.insert("says".to_owned(), says.clone().into());
            toml::Value::Table(block)
        };
        named.iter().map(block).collect()
    };
    if let Some(figures) = table.get("figure").and_then(toml::Value::as_table) {
        let figures = blocks(figures, "value", "value");
        table.insert("figure".to_owned(), figures.into());
    }
    if let Some(toml::Value::Table(unchecked)) = table.remove("not_checked") {
        let unchecked = blocks(&unchecked, "look", "not_checked");
        let holds = table
            .entry("hold")
            .or_insert_with(|| toml::Value::Array(Vec::new()));
        holds.as_array_mut().expect("blocks").extend(unchecked);
    }
}

/// Gives dimensions that leave out words or a default what the usual one of their name has.
fn usual(dimensions: &mut toml::Table) {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/part-recipes/shared/usual-dimensions.toml"
    );
    let text = std::fs::read_to_string(path).expect("a shared file");
    let known: toml::Table = text.parse().expect("TOML");
    for (name, block) in dimensions {
        let block = block.as_table_mut().expect("a block");
        ends_of_range(block);
        if block.contains_key("says") && block.contains_key("default") {
            continue;
        }
        let known = known["dimension"].as_table().expect("dimensions");
        let of_ending = known
            .iter()
            .find(|(known, _)| known.strip_prefix('@').is_some_and(|it| name.ends_with(it)));
        let found = known.get(name).or(of_ending.map(|(_, it)| it));
        for (key, value) in found.expect(name).as_table().expect("a block") {
            block.entry(key.clone()).or_insert(value.clone());
        }
        ends_of_range(block);
    }
}

/// Parts a range into its ends, where an end does not stand by itself.
fn ends_of_range(block: &mut toml::Table) {
    if let Some(toml::Value::Array(ends)) = block.remove("range") {
        for (key, end) in ["min", "max"].into_iter().zip(ends) {
            block.entry(key).or_insert(end);
        }
    }
}

fn each_word(table: &mut toml::Table, words: Option<&toml::Value>) {
    for (_, value) in table.iter_mut() {
        match value {
            toml::Value::Array(blocks) if blocks.iter().all(toml::Value::is_table) => {
                *blocks = blocks
                    .drain(..)
                    .flat_map(|mut block| {
                        let inside = block.as_table_mut().expect("a table");
                        let name = inside.get("name").and_then(toml::Value::as_str);
                        let is_named = name.is_some_and(|it| it.contains('@'));
                        for key in ["step", "point"].into_iter().filter(|_| !is_named) {
                            if let Some(part) = inside.remove(key) {
                                let mut alone = toml::Table::from_iter([(key.to_owned(), part)]);
                                each_word(&mut alone, words);
                                inside.extend(alone);
                            }
                        }
                        let own = inside.get("each").filter(|it| it.is_array()).cloned();
                        if own.is_some() {
                            inside.remove("each");
                        }
                        written_out(block, own.as_ref().or(words))
                    })
                    .collect();
            }
            toml::Value::Table(named) => {
                for (key, value) in std::mem::take(named) {
                    if key.contains('@') {
                        let words = words.and_then(toml::Value::as_array);
                        for word in words.into_iter().flatten() {
                            let word = word.as_str().expect("a word");
                            let with = value.to_string().replace('@', word);
                            let with = format!("it = {with}").parse::<toml::Table>();
                            let with = with.expect("a value").remove("it").expect("it");
                            named.insert(key.replace('@', word), with);
                        }
                    } else {
                        named.insert(key, value);
                    }
                }
            }
            _ => {}
        }
    }
}

fn written_out(block: toml::Value, words: Option<&toml::Value>) -> Vec<toml::Value> {
    let written = format!("it = {block}");
    let words = words.and_then(toml::Value::as_array);
    match words.filter(|_| written.contains('@')) {
        None => vec![block],
        Some(words) => words
            .iter()
            .map(|word| {
                let written = written.replace('@', word.as_str().expect("a word"));
                let mut made: toml::Table = written.parse().expect("a block");
                made.remove("it").expect("it")
            })
            .collect(),
    }
}

/// Whether it reads as nothing but a thread, such as M10.
fn is_thread(default: &toml::Value) -> bool {
    let size = default.as_str().and_then(|it| it.strip_prefix('M'));
    size.is_some_and(|it| {
        it.chars()
            .all(|c| c.is_ascii_digit() || c == 'x' || c == '.')
    })
}

/// The word for the kind of a dimension, if that is not seen from its default alone.
pub fn kind(block: &toml::Table) -> Option<&str> {
    match block.get("kind").and_then(toml::Value::as_str) {
        None if block.contains_key("choices") => Some("choice"),
        None if block["default"].is_bool() => Some("yes-no"),
        None if block["default"].is_integer() => Some("count"),
        None if is_thread(&block["default"]) => Some("thread"),
        kind => kind,
    }
}

/// A setting at random: lengths, angles and numbers some way off their default. Of a choice from a lookup
/// table it is the default, as the table is no part of the block.
pub fn at_random(name: &str, block: &toml::Table, random: &mut Pcg64Mcg) -> String {
    const THREADS: [&str; 6] = ["M5", "M8", "M12x1.5", "3/8-16", "1/2 in", "M16"];
    let value = match kind(block) {
        Some("yes-no") => random.random_bool(0.5).to_string(),
        Some("thread") => THREADS[random.random_range(0..THREADS.len())].to_owned(),
        Some("count") => random.random_range(0..10).to_string(),
        Some("choice") => {
            let chosen = match block["choices"].as_array() {
                Some(choices) => &choices[random.random_range(0..choices.len())],
                None => &block["default"],
            };
            chosen.as_str().expect("words").to_owned()
        }
        // A list is more than a number to be scaled: its rows as they are.
        _ if block.contains_key("columns") => block["default"].to_string(),
        _ => {
            let factor: f64 = random.random_range(0.5..2.0);
            let default = block["default"].as_str().expect("an expression");
            format!("({default}) * {factor}")
        }
    };
    format!("{name}={value}")
}
