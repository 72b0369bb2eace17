//! The page of a part.

use super::answer::{Bench, Parts};
use super::distance;
use super::document::{Block, Document, checksum};
use super::fields::groups;
use super::live::{Look, fault_list};
use super::views::{self, PartPage, Unreadable};
use crate::export::labelled::labelled;
use crate::export::svg;
use crate::fault::{Fault, Outcome};

/// The page of a part of a file.
pub(super) fn page(bench: &Bench<'_>, file: &str, block: Block) -> Outcome<String> {
    let source = bench.source(file)?;
    let document = match Document::read(&source) {
        Ok(document) => document,
        Err(faults) => {
            return views::rendered(&Unreadable {
                file,
                block,
                checksum: checksum(&source.text),
                faults: fault_list(&faults)?,
            });
        }
    };
    let look = Look::at(bench, &source, block, None);
    let family = look.family.as_deref();
    let groups = groups(&document, block, family, look.part.as_ref())?;
    let mut live = look.live(&document, block)?;
    let nothing = "<p>It cannot be drawn with these values.</p>";
    let pictures = live.parts.entry("pictures".to_owned());
    pictures.or_insert_with(|| nothing.to_owned());
    let title = document.typed(block, "name");
    let title = title.filter(|it| !it.is_empty());
    let title = title.or_else(|| Some(look.part.as_ref()?.name.clone()));
    let openings = look.plates().iter().flat_map(distance::names);
    let mut places = vec!["datum".to_owned(), "outside".to_owned()];
    places.extend(openings.flat_map(|it| ["middle", "edge"].map(|what| format!("{what} of {it}"))));
    views::rendered(&PartPage {
        file,
        block,
        checksum: checksum(&source.text),
        title: title.unwrap_or_else(|| file.to_owned()),
        family,
        groups,
        parts: Filled(live.parts),
        plates: look.plates().iter().map(|it| it.name.clone()).collect(),
        places,
    })
}

/// Pieces of a page, where one that is not there is empty.
pub(super) struct Filled(Parts);

impl Filled {
    pub(super) fn get(&self, id: &str) -> &str {
        self.0.get(id).map_or("", String::as_str)
    }

    pub(super) fn note(&self, key: &str) -> &str {
        self.get(&format!("note-{key}"))
    }
}

/// The labelled sketch: every dimension where it is measured.
pub(super) fn sketch(bench: &Bench<'_>, file: &str, block: Block) -> Outcome<String> {
    let look = Look::at(bench, &bench.source(file)?, block, None);
    let Some(part) = look.part else {
        return Err(Fault::refused(format!("{file} cannot be drawn as it is")).into());
    };
    let sketch = crate::sketch::sketch(&part)?;
    Ok(svg(&labelled(&sketch).picture))
}
