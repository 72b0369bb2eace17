//! The folder: its parts and jobs with their pictures, and the shelf to begin a new one from.

use super::answer::{Bench, Change};
use super::document::{Block, Document};
use super::views::{self, Entry, FolderPage, Offer, Offers};
use crate::export::picture::{Anchor, Ink, Picture, Words};
use crate::export::{bare_plate_picture, svg};
use crate::fault::{Fault, Outcome};
use crate::geometry::Point;
use crate::plate::plates_tried;
use crate::recipe::{Family, Job, Part, grouped, start_text};

/// Longest name of a file, letters.
const LONGEST: usize = 60;

/// The page of the folder.
pub(super) fn page(bench: &Bench<'_>) -> Outcome<String> {
    let entries = entries(bench);
    let (jobs, parts) = entries.into_iter().partition(|it| it.is_job);
    let families = bench.shelf.family_names().into_iter();
    // A recipe of the builder's own that cannot be read is told where it is opened, not here.
    let families = families.filter_map(|name| bench.shelf.family(&name).ok());
    let families: Vec<_> = families.collect();
    let offer = |family: &Family| Offer {
        free: free_name(bench, &family.name),
        name: family.name.clone(),
        title: family.title.clone(),
        about: family.about.clone(),
    };
    let offers = grouped(&families).map(|(group, families)| Offers {
        group,
        families: families.into_iter().map(|it| offer(it)).collect(),
    });
    let name = bench.folder.canonicalize().ok();
    let name = name.as_deref().and_then(std::path::Path::file_name);
    views::rendered(&FolderPage {
        name: name.map_or_else(|| "/".to_owned(), |it| it.to_string_lossy().into_owned()),
        jobs,
        parts,
        offers: offers.collect(),
        free_job: free_name(bench, "job"),
    })
}

/// The parts and jobs of the folder; tables and recipes are none.
pub(super) fn entries(bench: &Bench<'_>) -> Vec<Entry> {
    let entry = |file: &String| {
        let source = bench.source(file).ok()?;
        let document = match Document::read(&source) {
            Ok(document) => document,
            Err(faults) => {
                return Some(Entry {
                    file: file.clone(),
                    is_job: false,
                    title: file.clone(),
                    about: faults.to_string(),
                    can_be_drawn: false,
                });
            }
        };
        let typed = |key| document.typed(Block::Whole, key);
        let (title, about) = if document.is_job() {
            let name = document.typed(Block::Job, "name");
            let (parts, _) = document.blocks();
            let parts = crate::quantity::format::counted(parts, "part");
            (name.unwrap_or_else(|| file.clone()), parts)
        } else {
            let of = document.made_of(Block::Whole)?;
            (typed("name").unwrap_or_else(|| file.clone()), of)
        };
        Some(Entry {
            file: file.clone(),
            is_job: document.is_job(),
            title,
            about,
            can_be_drawn: true,
        })
    };
    bench.texts.keys().filter_map(entry).collect()
}

/// A name that no file of the folder has: the word, or the word with a number.
fn free_name(bench: &Bench<'_>, word: &str) -> String {
    let is_free = |name: &String| !bench.texts.contains_key(&format!("{name}.toml"));
    let numbered = (2..).map(|n| format!("{word}-{n}"));
    let mut names = std::iter::once(word.to_owned()).chain(numbered);
    names.find(is_free).unwrap_or_default()
}

/// The file of a name that the builder typed.
fn file_of(bench: &Bench<'_>, name: &str) -> Outcome<String> {
    let name = name.trim();
    let stem = name.strip_suffix(".toml").unwrap_or(name);
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | ' ' | '.');
    let whole = !stem.is_empty() && stem.chars().count() <= LONGEST && !stem.starts_with('.');
    if !whole || !stem.chars().all(plain) || stem.ends_with([' ', '.']) {
        let fault = Fault::refused(format!("\"{name}\" cannot be the name of a file here"));
        return Err(fault
            .remedy("use letters, digits, hyphens and spaces, such as front-hub")
            .into());
    }
    let file = format!("{stem}.toml");
    if bench.texts.contains_key(&file) {
        let fault = Fault::refused(format!("there is a {file} already"));
        return Err(fault.remedy("give another name").into());
    }
    Ok(file)
}

/// A new part of a recipe, as `start` writes it, or an empty job.
pub(super) fn begun(bench: &Bench<'_>, recipe: Option<&str>, name: &str) -> Outcome<Change> {
    let file = file_of(bench, name)?;
    let text = match recipe {
        Some(recipe) => {
            let family = bench.shelf.family(recipe)?;
            start_text(&family, file.strip_suffix(".toml"))?
        }
        None => {
            let name = toml_edit::Value::from(name.trim());
            format!("[job]\nname = {name}\n")
        }
    };
    Ok(Change::New { file, text })
}

/// A copy of a file.
pub(super) fn duplicated(bench: &Bench<'_>, file: &str, name: &str) -> Outcome<Change> {
    let text = bench.source(file)?.text.to_string();
    let file = file_of(bench, name)?;
    Ok(Change::New { file, text })
}

/// Another name for a file.
pub(super) fn renamed(bench: &Bench<'_>, file: &str, name: &str) -> Outcome<Change> {
    bench.source(file)?;
    Ok(Change::Rename {
        file: file.to_owned(),
        to: file_of(bench, name)?,
    })
}

/// The picture of the first plate of a file.
pub(super) fn picture(bench: &Bench<'_>, file: &str) -> Outcome<String> {
    let source = bench.source(file)?;
    let job = Job::from_source(&source, bench.shelf);
    let first = job.and_then(|job| first(job.parts));
    // What is wrong is told where the file is opened.
    Ok(first.unwrap_or_else(|_| svg(&not_drawn())))
}

/// The picture of what cannot be drawn.
fn not_drawn() -> Picture {
    let mut picture = Picture::new("it cannot be drawn as it is");
    for (line, text) in ["it cannot be", "drawn as it is"].into_iter().enumerate() {
        picture.write(Words {
            at: Point::new(0.0, -4.0 * line as f64),
            anchor: Anchor::Middle,
            height: 2.5,
            turn: 0.0,
            ink: Ink::Aid,
            text: text.to_owned(),
        });
    }
    picture.framed(8.0)
}

/// The picture of the first plate of a recipe as it comes.
pub(super) fn family_picture(bench: &Bench<'_>, recipe: &str) -> Outcome<String> {
    first(vec![Part::plain(bench.shelf.family(recipe)?)])
}

fn first(parts: Vec<Part>) -> Outcome<String> {
    let part = parts.into_iter().next();
    let plates = part.map_or_else(
        || Ok(Vec::new()),
        |it| plates_tried(&it).map(|it| it.plates),
    )?;
    let picture = plates.first().map(|it| svg(&bare_plate_picture(it)));
    picture.ok_or_else(|| Fault::refused("there is no plate to show").into())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::path::Path;

    use super::*;
    use crate::recipe::Shelf;

    #[test]
    fn every_family_is_shown_with_all_its_openings() {
        let shelf = Shelf::built_in();
        let bench = Bench {
            shelf: &shelf,
            folder: Path::new("."),
            texts: &BTreeMap::new(),
            report: None,
            ticks: None,
        };
        for family in shelf.families().expect("families") {
            let name = family.name.clone();
            let picture = family_picture(&bench, &name).expect("a picture");
            let read = roxmltree::Document::parse(&picture)
                .unwrap_or_else(|error| panic!("{name}: {error}\n{picture}"));
            let made = plates_tried(&Part::plain(family)).expect("plates").plates;
            let openings = read
                .descendants()
                .filter(|it| it.attribute("class") == Some("opening"));
            assert_eq!(openings.count(), made[0].openings.len(), "{name}");
        }
    }
}
