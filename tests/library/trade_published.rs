//! Trade tables and functions against published values, asked the way a recipe asks.
//!
//! `data/trade/` holds the values by topic. Each table names its source, how far that was verified,
//! how near an answer must come (`within` an amount, or within a `share` of the value), and its
//! checks: what to `ask`, and what it `is`, with the keys of a row in braces. Its `kind` says what the
//! values are: read in a publication, computed by us from a published formula, or from memory; a row
//! with `mem = true` is from memory too. A table whose rows are of several kinds, and does not say
//! which, has the weakest.

#![allow(clippy::print_stdout)] // How many values were checked is part of the answer.

use std::collections::BTreeMap;

use platewright::quantity::{Expression, Nameless, Quantity, Value};
use platewright::trade;

#[derive(serde::Deserialize)]
struct Table {
    source: String,
    verified: String,
    kind: Kind,
    within: Option<String>,
    share: Option<f64>,
    checks: Vec<Check>,
    rows: Vec<Row>,
}

/// What a value is worth as a witness.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
enum Kind {
    #[serde(rename = "published")]
    Published,
    #[serde(rename = "computed")]
    Computed,
    #[serde(rename = "from memory")]
    FromMemory,
}

/// How many kinds there are.
const KINDS: usize = 3;

#[derive(serde::Deserialize)]
struct Check {
    ask: String,
    is: String,
}

type Row = BTreeMap<String, toml::Value>;

/// Every topic with its values.
const TOPICS: [(&str, &str); 13] = [
    ("bends", include_str!("../data/trade/bends.toml")),
    ("bolts", include_str!("../data/trade/bolts.toml")),
    ("chain", include_str!("../data/trade/chain.toml")),
    ("circles", include_str!("../data/trade/circles.toml")),
    ("holes", include_str!("../data/trade/holes.toml")),
    ("materials", include_str!("../data/trade/materials.toml")),
    ("paper", include_str!("../data/trade/paper.toml")),
    ("pipe", include_str!("../data/trade/pipe.toml")),
    ("sheet", include_str!("../data/trade/sheet.toml")),
    ("steering", include_str!("../data/trade/steering.toml")),
    ("strength", include_str!("../data/trade/strength.toml")),
    ("thermal", include_str!("../data/trade/thermal.toml")),
    ("threads", include_str!("../data/trade/threads.toml")),
];

/// The fewest values read in publications that must be checked.
const ENOUGH: usize = 700;

fn evaluate(text: &str) -> Result<Quantity, String> {
    let told = |mistake| format!("{text}: {mistake}");
    let value = Expression::parse(text)
        .map_err(told)?
        .evaluate(&Nameless(trade::functions()))
        .map_err(told)?;
    match value {
        Value::Quantity(quantity) => Ok(quantity),
        other => Err(format!("{text}: {other:?} is no quantity")),
    }
}

/// The text with every `{key}` of the row put in.
fn filled(text: &str, row: &Row) -> String {
    row.iter().fold(text.to_owned(), |text, (key, value)| {
        let plain = match value {
            toml::Value::String(words) => words.clone(),
            other => other.to_string(),
        };
        text.replace(&format!("{{{key}}}"), &plain)
    })
}

/// What is wrong with an answer, if anything.
fn compare(table: &Table, ask: &str, is: &str) -> Result<(), String> {
    let (answer, published) = (evaluate(ask)?, evaluate(is)?);
    if answer.dimension != published.dimension {
        return Err(format!("{ask} is no quantity like {is}"));
    }
    let mut allowed = table.share.unwrap_or(0.0) * published.amount.abs();
    if let Some(within) = &table.within {
        let within = evaluate(within)?;
        if within.dimension != published.dimension {
            return Err(format!("the tolerance of {ask} is of another kind"));
        }
        allowed = allowed.max(within.amount);
    }
    let off = (answer.amount - published.amount).abs();
    if off <= allowed {
        Ok(())
    } else {
        let (got, want) = (answer.amount, published.amount);
        Err(format!(
            "{ask} = {got}, published {is} = {want}, off by {off}"
        ))
    }
}

#[test]
fn answers_are_the_published_values() {
    let (mut checked, mut wrong) = ([0; KINDS], Vec::new());
    for (topic, text) in TOPICS {
        let tables: BTreeMap<String, Table> = toml::from_str(text).expect(topic);
        let mut of_topic = [0; KINDS];
        for (name, table) in &tables {
            assert!(
                !table.source.is_empty() && !table.verified.is_empty(),
                "{name}"
            );
            assert!(table.within.is_some() || table.share.is_some(), "{name}");
            for row in &table.rows {
                let kind = match row.get("mem") {
                    Some(toml::Value::Boolean(true)) => Kind::FromMemory,
                    _ => table.kind,
                };
                for check in &table.checks {
                    let (ask, is) = (filled(&check.ask, row), filled(&check.is, row));
                    let outcome = compare(table, &ask, &is);
                    wrong.extend(outcome.err().map(|why| format!("{topic}, {name}: {why}")));
                    of_topic[kind as usize] += 1;
                }
            }
        }
        println!("{topic}: {}", counted(of_topic));
        for (all, some) in checked.iter_mut().zip(of_topic) {
            *all += some;
        }
    }
    println!("checked: {}; {} wrong", counted(checked), wrong.len());
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let published = checked[Kind::Published as usize];
    assert!(published >= ENOUGH, "only {published} values");
}

/// `12 published, 3 computed, 0 from memory`.
fn counted(values: [usize; KINDS]) -> String {
    let [published, computed, remembered] = values;
    format!("{published} published, {computed} computed, {remembered} from memory")
}

#[test]
fn known_misprints_are_not_repeated() {
    #[derive(serde::Deserialize)]
    struct Misprint {
        item: String,
        ask: String,
        wrong: String,
        right: String,
    }
    #[derive(serde::Deserialize)]
    struct Misprints {
        rows: Vec<Misprint>,
    }
    let misprints: Misprints =
        toml::from_str(include_str!("../data/trade/misprints.toml")).expect("the rows read");
    for Misprint {
        item,
        ask,
        wrong,
        right,
    } in &misprints.rows
    {
        let amount = |text: &str| evaluate(text).expect(item).amount;
        let (answer, wrong, right) = (amount(ask), amount(wrong), amount(right));
        let near = |a: f64, b: f64| (a - b).abs();
        assert!(
            4.0 * near(answer, right) < near(answer, wrong),
            "{item}: {ask} = {answer}, right is {right}, not {wrong}"
        );
    }
    println!("{} misprints avoided", misprints.rows.len());
}

/// ASME B18.2.8 gives the loose hole's least and largest size; looked up in Machinery's Handbook
/// 31st ed. p. 1743.
#[test]
fn loose_inch_holes_lie_in_the_range_of_the_standard() {
    for (size, least, most) in [
        ("1/4", 0.297, 0.311),
        ("5/16", 0.359, 0.373),
        ("7/16", 0.484, 0.500),
        ("1/2", 0.609, 0.625),
        ("5/8", 0.734, 0.754),
        ("7/8", 1.031, 1.051),
        ("1", 1.156, 1.181),
    ] {
        let hole = evaluate(&format!("clearance(\"{size}\", \"loose\")")).expect(size);
        let inches = hole.amount / 25.4;
        // The least size is printed to three places.
        assert!(
            (least - 0.0005..=most).contains(&inches),
            "{size}: {inches}"
        );
    }
}

#[test]
fn the_inner_wheel_turns_more_whatever_the_vehicle() {
    for wheelbase in [900, 1500, 2700] {
        for inner in [1, 5, 20, 45, 80] {
            let outer = evaluate(&format!(
                "ackermann_outer({inner} deg, 1000 mm, {wheelbase} mm)"
            ));
            let outer = outer.expect("a fair question").amount.to_degrees();
            assert!(outer > 0.0 && outer < f64::from(inner), "{inner}: {outer}");
        }
    }
}
