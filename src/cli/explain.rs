//! `explain`: why a finding is one, or what the rules of a recipe demand.

use std::sync::Arc;

use serde_json::json;

use super::args::{ExplainArgs, ShelfArgs};
use super::job;
use super::screen::Screen;
use crate::check::{About, CHECKS, ELSEWHERE};
use crate::fault::{Fault, Outcome, nearest};
use crate::recipe::Family;
use crate::recipe::listing::{RuleExplained, explained_rules};
use crate::report::rows::Rows;

/// Every finding that can be explained.
fn explained() -> impl Iterator<Item = &'static About> {
    let checks = CHECKS.iter().map(|it| &it.about);
    checks.chain(ELSEWHERE.iter().map(|it| &it.about))
}

/// What is said of a finding, under headings.
const fn headed(about: &About) -> [(&'static str, &'static str); 5] {
    [
        ("looks at", about.looks_at),
        ("limit", about.limit),
        ("why", about.why),
        ("if ignored", about.if_ignored),
        ("source", about.source),
    ]
}

pub(super) fn run(options: &ExplainArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let name = options.name.join(" ");
    let shelf = job::shelf(shelf)?;
    if name.is_empty() {
        list(screen)?;
    } else if let Some(found) = explained().find(|it| it.name == name.replace('-', " ")) {
        one(found, screen)?;
    } else {
        let families = shelf.families()?;
        match families.iter().find(|it| it.name == name) {
            Some(family) => rules(family, screen)?,
            None => return Err(unknown(&name, &families).into()),
        }
    }
    Ok(0)
}

fn unknown(name: &str, families: &[Arc<Family>]) -> Fault {
    let known = explained().map(|it| it.name);
    let known: Vec<&str> = known
        .chain(families.iter().map(|it| it.name.as_str()))
        .collect();
    let fault = Fault::usage(format!("no finding and no recipe is called `{name}`"));
    match nearest(name, known.iter().copied()) {
        Some(near) => fault.remedy(format!("did you mean `{near}`?")),
        None => fault
            .remedy("`platewright explain` lists the findings, `platewright recipes` the recipes"),
    }
}

fn list(screen: &Screen) -> Outcome<()> {
    screen.result(
        || {
            let names = explained().map(|it| it.name);
            json!({ "schema": 1, "findings": names.collect::<Vec<_>>() })
        },
        || {
            let mut table = Rows::default();
            for it in explained() {
                table.add([it.name.to_owned(), it.looks_at.to_owned()]);
            }
            let table = table.text(screen.width());
            format!("{table}\n\n`platewright explain NAME` says why; with the name of a recipe, what its rules demand.")
        },
    )
}

fn one(found: &About, screen: &Screen) -> Outcome<()> {
    screen.result(
        || {
            let mut object = json!({ "schema": 1, "name": found.name });
            for (heading, words) in headed(found) {
                object[heading.replace(' ', "_")] = json!(words);
            }
            object
        },
        || {
            let mut table = Rows::default();
            for (heading, words) in headed(found) {
                table.add([heading.to_owned(), words.to_owned()]);
            }
            format!("{}\n\n{}", found.name, table.text(screen.width()))
        },
    )
}

fn rules(family: &Family, screen: &Screen) -> Outcome<()> {
    let rules = explained_rules(family);
    screen.result(
        || json!({ "schema": 1, "recipe": family.name, "rules": rules.iter().map(object).collect::<Vec<_>>() }),
        || {
            let told = rules.iter().map(|it| {
                let when = it.when.as_ref().map_or_else(String::new, |it| format!(" where {it}"));
                let source = if it.source.is_empty() {
                    String::new()
                } else {
                    format!("\n    source: {}", it.source)
                };
                format!("{}: {}{when}\n    else {}{source}", it.level, it.need, it.otherwise)
            });
            let told: Vec<String> = told.collect();
            format!("{}: what must hold\n\n{}", family.title, told.join("\n"))
        },
    )
}

fn object(rule: &RuleExplained) -> serde_json::Value {
    json!({
        "level": rule.level, "need": rule.need, "when": rule.when,
        "otherwise": rule.otherwise, "source": rule.source,
    })
}
