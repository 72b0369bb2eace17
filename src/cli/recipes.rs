//! `recipes`: what can be made, or the dimensions of one family with a picture.

use std::path::Path;
use std::sync::Arc;

use serde_json::json;

use super::args::{RecipesArgs, ShelfArgs};
use super::screen::Screen;
use super::{dots, folder, job};
use crate::export::labelled::labelled;
use crate::export::shelf_page::{Shelved, shelf_page};
use crate::export::{Exporter, Over, PdfFile, Png, Svg, write_file};
use crate::fault::{Fault, Outcome};
use crate::plate;
use crate::recipe::listing::{Explained, explained};
use crate::recipe::{Family, Part, grouped};
use crate::report::rows::Rows;
use crate::sketch::sketch;
use crate::trade::paper::Paper;

pub(super) fn run(options: &RecipesArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let shelf = job::shelf(shelf)?;
    let Some(name) = &options.name else {
        list(&shelf.families()?, options, screen)?;
        return Ok(0);
    };
    if options.sheet.is_some() {
        let families = shelf.families()?.into_iter();
        let found: Vec<Arc<Family>> = families.filter(|it| speaks_of(it, name)).collect();
        if !found.is_empty() {
            list(&found, options, screen)?;
            return Ok(0);
        }
    }
    match shelf.family(name) {
        Ok(family) => one(&family, options, screen)?,
        Err(unknown) => {
            // A word that is no name may be what a family speaks of.
            let families = shelf.families()?.into_iter();
            let found: Vec<Arc<Family>> = families.filter(|it| speaks_of(it, name)).collect();
            if found.is_empty() || options.sketch.is_some() {
                return Err(unknown);
            }
            list(&found, options, screen)?;
        }
    }
    Ok(0)
}

/// Whether a word stands in what a family says of itself and its dimensions.
fn speaks_of(family: &Family, word: &str) -> bool {
    let word = word.to_lowercase();
    let said = [&family.name, &family.title, &family.about].map(String::as_str);
    let dimensions = family.measures.iter().map(|it| it.says.as_str());
    let mut all = said.into_iter().chain(dimensions);
    all.any(|it| it.to_lowercase().contains(&word))
}

/// The families in the order of their groups, as they stand on a page.
fn sheet(families: &[Arc<Family>], path: &Path) -> Outcome<Vec<u8>> {
    let ending = path.extension().unwrap_or_default();
    if !ending.eq_ignore_ascii_case("pdf") {
        let fault = Fault::usage(format!("{} is no PDF", path.display()));
        return Err(fault.remedy("give a name that ends in .pdf").into());
    }
    let mut shelved = Vec::new();
    for (group, families) in grouped(families) {
        for family in families {
            shelved.push(Shelved {
                name: family.name.clone(),
                group,
                about: family.about.clone(),
                plates: plate::plates(&Part::plain(family.clone()))?.plates,
            });
        }
    }
    PdfFile.export(&shelf_page(&shelved, &Paper::default()))
}

/// The families by group, in the order of the groups; on a page too if that is wanted.
fn list(families: &[Arc<Family>], options: &RecipesArgs, screen: &Screen) -> Outcome<()> {
    if let Some(path) = &options.sheet {
        write_file(path, &sheet(families, path)?, Over::told(options.replace))?;
        folder::note(path.clone());
    }
    screen.result(
        || {
            let entries = families.iter().map(|family| {
                json!({
                    "name": family.name, "title": family.title, "about": family.about,
                    "group": family.group.word(),
                })
            });
            let mut object = json!({ "schema": 1, "recipes": entries.collect::<Vec<_>>() });
            if let Some(path) = &options.sheet {
                object["sheet"] = json!(path.display().to_string());
            }
            object
        },
        || {
            let mut text = String::new();
            for (group, families) in grouped(families) {
                let mut table = Rows::default();
                for family in families {
                    table.add([format!("  {}", family.name), family.about.clone()]);
                }
                text.push_str(&format!("{group}\n{}\n\n", table.text(screen.width())));
            }
            if let Some(path) = &options.sheet {
                text.push_str(&format!("wrote {}: each with its picture\n", path.display()));
            }
            text + "`platewright recipes NAME` explains one, `platewright recipes WORD` finds those that speak of it; `platewright start NAME` begins a part file."
        },
    )
}

fn one(family: &Family, options: &RecipesArgs, screen: &Screen) -> Outcome<()> {
    let lines = explained(family)?;
    let part = Part::plain(family.clone());
    let made = plate::plates(&part)?;
    if let Some(path) = &options.sketch {
        let mut part = part;
        for typed in &options.set {
            part.set(typed)?;
        }
        let bytes = sketch_file(&part, path)?;
        write_file(path, &bytes, Over::told(options.replace))?;
        folder::note(path.clone());
    }
    let sketch = options.sketch.as_ref().map(|it| it.display().to_string());
    screen.result(
        || {
            let dimensions = lines.iter().map(|line| {
                json!({
                    "name": line.name, "says": line.says, "kind": line.kind,
                    "default": line.default, "range": line.range,
                })
            });
            let mut object = json!({
                "schema": 1, "name": family.name, "title": family.title, "about": family.about,
                "dimensions": dimensions.collect::<Vec<_>>(),
                "plates": made.plates.iter().map(|plate| plate.name.as_str()).collect::<Vec<_>>(),
            });
            if let Some(path) = &sketch {
                object["sketch"] = json!(path);
            }
            object
        },
        || {
            let pictures = made.plates.iter().map(|plate| {
                let size = plate.face.outside.bounds();
                format!(
                    "{}, {:.1} × {:.1} mm\n{}",
                    plate.name,
                    size.width(),
                    size.height(),
                    dots::dots(&plate.face)
                )
            });
            let name = &family.name;
            let sketch = match &sketch {
                Some(path) => format!("wrote {path}: every dimension where it is measured"),
                None => format!(
                    "`platewright recipes {name} --sketch {name}.pdf` draws every dimension where it is measured."
                ),
            };
            format!(
                "{}: {}\n\n{}\n{}\n\n{sketch}\n`platewright start {name}` begins a part file.",
                family.title,
                family.about,
                pictures.collect::<Vec<_>>().join("\n"),
                dimension_table(&lines, screen.width()),
            )
        },
    )
}

/// The labelled sketch of a part as a file of the kind that its name ends in.
pub(super) fn sketch_file(part: &Part, path: &Path) -> Outcome<Vec<u8>> {
    let ending = path.extension().unwrap_or_default().to_ascii_lowercase();
    let labelled = || sketch(part).map(|it| labelled(&it));
    match ending.to_str() {
        Some("svg") => Svg.export(&labelled()?.picture),
        Some("png") => Png.export(&labelled()?.picture),
        Some("pdf") => PdfFile.export(&labelled()?.document(&Paper::default())),
        _ => {
            let message = format!("{} is no picture that can be written", path.display());
            let fault = Fault::usage(message);
            Err(fault
                .remedy("give a name that ends in .svg, .pdf or .png")
                .into())
        }
    }
}

fn dimension_table(lines: &[Explained], width: usize) -> String {
    let header = [
        "dimension",
        "what it is",
        "unless you say otherwise",
        "range",
    ];
    let mut table = Rows::under(&header);
    for line in lines {
        let range = line.range.clone().unwrap_or_default();
        let (name, says, shown) = (&line.name, &line.says, &line.shown);
        table.add([name.clone(), says.clone(), shown.clone(), range]);
    }
    table.text(width)
}
