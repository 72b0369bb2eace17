//! `recipes`: what can be made, or the dimensions of one family with a picture.

use comfy_table::Table;
use comfy_table::presets::NOTHING;
use serde_json::json;

use super::args::{RecipesArgs, ShelfArgs};
use super::screen::Screen;
use super::{job, sketch};
use crate::fault::Outcome;
use crate::plate;
use crate::recipe::listing::{Explained, explained};
use crate::recipe::{Family, Part};

pub(super) fn run(options: &RecipesArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let shelf = job::shelf(shelf)?;
    match &options.name {
        Some(name) => one(&shelf.family(name)?, screen)?,
        None => list(&shelf.families()?, screen)?,
    }
    Ok(0)
}

fn list(families: &[Family], screen: &Screen) -> Outcome<()> {
    screen.result(
        || {
            let entries = families.iter().map(|family| {
                json!({ "name": family.name, "title": family.title, "about": family.about })
            });
            json!({ "schema": 1, "recipes": entries.collect::<Vec<_>>() })
        },
        || {
            let mut table = bare();
            for family in families {
                table.add_row([&family.name, &family.about]);
            }
            format!("{table}\n\n`platewright recipes NAME` explains one; `platewright start NAME` begins a part file.")
        },
    )
}

fn one(family: &Family, screen: &Screen) -> Outcome<()> {
    let lines = explained(family)?;
    let made = plate::plates(&Part::plain(family.clone()))?;
    screen.result(
        || {
            let dimensions = lines.iter().map(|line| {
                json!({
                    "name": line.name, "says": line.says, "kind": line.kind,
                    "default": line.default, "range": line.range,
                })
            });
            json!({
                "schema": 1, "name": family.name, "title": family.title, "about": family.about,
                "dimensions": dimensions.collect::<Vec<_>>(),
                "plates": made.plates.iter().map(|plate| plate.name.as_str()).collect::<Vec<_>>(),
            })
        },
        || {
            let pictures = made.plates.iter().map(|plate| {
                let size = plate.face.outside.bounds();
                format!(
                    "{}, {:.1} × {:.1} mm\n{}",
                    plate.name,
                    size.width(),
                    size.height(),
                    sketch::sketch(&plate.face)
                )
            });
            format!(
                "{}: {}\n\n{}\n{}\n\n`platewright start {}` begins a part file.",
                family.title,
                family.about,
                pictures.collect::<Vec<_>>().join("\n"),
                dimension_table(&lines),
                family.name
            )
        },
    )
}

fn dimension_table(lines: &[Explained]) -> String {
    let mut table = bare();
    table.set_header([
        "dimension",
        "what it is",
        "unless you say otherwise",
        "range",
    ]);
    for line in lines {
        let range = line.range.clone().unwrap_or_default();
        table.add_row([&line.name, &line.says, &line.shown, &range]);
    }
    table.to_string()
}

fn bare() -> Table {
    let mut table = Table::new();
    table.load_style(NOTHING);
    table
}
