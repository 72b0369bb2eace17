//! From a key to the new picture, in the answer: each family with a dimension typed anew, in a bare file.
//! Wanted: 16 ms at most in nineteen cases of twenty.
//!
//! `cargo bench --bench page -- chain-wheel`: only the families that are named.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use platewright::page::{Answer, Bench, Block, Patch, Request, answer};
use platewright::quantity::Dimension;
use platewright::recipe::{DimensionKind, Shelf, start_text};

/// Keys for each dimension.
const KEYS: usize = 8;

fn main() {
    let shelf = Shelf::built_in();
    let words = std::env::args().skip(1);
    let named: Vec<String> = words.filter(|it| !it.starts_with('-')).collect();
    let is_wanted = |name: &String| named.is_empty() || named.contains(name);
    println!(
        "{:18}{:>10}{:>12}{:>12}",
        "key to picture", "keys", "median", "p95"
    );
    let families = shelf.families().expect("families");
    for family in families.into_iter().filter(|it| is_wanted(&it.name)) {
        let text: Arc<str> = start_text(&family, None).expect("a part file").into();
        let texts = BTreeMap::from([("part.toml".to_owned(), text)]);
        let bench = Bench {
            shelf: &shelf,
            folder: Path::new("."),
            texts: &texts,
            report: None,
            ticks: None,
        };
        let lengths = family.measures.iter();
        let lengths = lengths.filter(|it| it.kind == DimensionKind::Quantity(Dimension::LENGTH));
        let mut took = Vec::new();
        for key in lengths.map(|it| it.name.as_str()) {
            for n in 0..KEYS {
                let request = typed(key, &format!("{} mm", 40 + 7 * n));
                let begun = Instant::now();
                let told = answer(&request, &bench).expect("an answer");
                took.push(begun.elapsed());
                assert!(matches!(told, Answer::Live(_)));
            }
        }
        took.sort();
        let share = |of: usize| took[(took.len() - 1) * of / 100];
        let shown = |it: Duration| format!("{:.1} ms", 1e3 * it.as_secs_f64());
        println!(
            "{:18}{:>10}{:>12}{:>12}",
            family.name,
            took.len(),
            shown(share(50)),
            shown(share(95))
        );
    }
}

/// A dimension as it is typed, with its edges strong.
fn typed(key: &str, text: &str) -> Request {
    Request::Try {
        file: "part.toml".to_owned(),
        block: Block::Whole,
        patch: Some(Patch {
            block: Block::Whole,
            key: key.to_owned(),
            text: text.to_owned(),
            was: String::new(),
            checksum: String::new(),
        }),
        focus: Some(key.to_owned()),
    }
}
