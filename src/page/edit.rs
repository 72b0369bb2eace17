//! Edits of a file: each is made on a text that is told by its checksum, and never loses another.

use super::answer::{Bench, Change, Clash};
use super::document::{Block, Document, Form, checksum};
use super::fields::form_of;
use super::request::Patch;
use super::views::{self, Both};
use crate::fault::{Fault, Faults, Outcome};
use crate::recipe::Job;

/// A file with a value changed, or both texts where it was changed elsewhere meanwhile.
pub(super) fn patched(bench: &Bench<'_>, file: &str, patch: &Patch) -> Outcome<Change> {
    let source = bench.source(file)?;
    let now = checksum(&source.text);
    let document = Document::read(&source)?;
    let theirs = document.typed(patch.block, &patch.key).unwrap_or_default();
    // A change elsewhere in the file is no clash: this value is still what it was.
    if now != patch.checksum && theirs != patch.was && theirs != patch.text {
        let html = views::rendered(&Both {
            file,
            key: &patch.key,
            theirs: &theirs,
            yours: &patch.text,
        })?;
        return Ok(Change::Clash(Clash {
            html,
            checksum: now,
            theirs,
        }));
    }
    Ok(Change::Text {
        file: file.to_owned(),
        text: with(bench, &document, patch)?,
        made_on: now,
    })
}

/// The text of a file with a value changed.
pub(super) fn with(bench: &Bench<'_>, document: &Document, patch: &Patch) -> Outcome<String> {
    let plain = |c: char| c.is_ascii_alphanumeric() || c == '_';
    if patch.key.is_empty() || !patch.key.chars().all(plain) {
        return Err(Fault::usage(format!("`{}` is no name of a value", patch.key)).into());
    }
    let recipe = document.typed(patch.block, "recipe");
    let family = recipe.and_then(|it| bench.shelf.family(&it).ok());
    let is_list = document
        .typed(patch.block, &patch.key)
        .is_some_and(|it| it.starts_with('['));
    let form = match form_of(family.as_deref(), &patch.key) {
        Form::Words if is_list => Form::List,
        form => form,
    };
    document.with(patch.block, &patch.key, form, &patch.text)
}

/// A job with one more part: of a recipe, or with the values of a part file.
pub(super) fn with_part(
    bench: &Bench<'_>,
    file: &str,
    like: &str,
    made_on: &str,
) -> Outcome<Change> {
    let document = on(bench, file, made_on)?;
    let Some(text) = bench.texts.get(like) else {
        bench.shelf.family(like)?;
        let text = document.with_block("part", &[("recipe", Form::Words, like)]);
        return Ok(changed(file, text, made_on));
    };
    // A bare part is word for word what a block holds, but for the table, which the job has.
    let source = bench.text_of(like, text.clone());
    let part = Document::read(&source)?;
    let own = part.own_lines(&["table", "tabs"]);
    let text = document.with_block("part", &[]);
    Ok(changed(file, text + &own, made_on))
}

/// A job with one more line of stock, if that can be read.
pub(super) fn with_stock(
    bench: &Bench<'_>,
    file: &str,
    (thickness, size): (&str, &str),
    made_on: &str,
) -> Outcome<Change> {
    let document = on(bench, file, made_on)?;
    let values = [
        ("thickness", Form::Words, thickness),
        ("size", Form::Pair, size),
    ];
    let before = bench.source(file)?.text.len();
    let text = document.with_block("stock", &values);
    let read = Job::from_source(&bench.text_of(file, text.clone()), bench.shelf);
    // What is wrong with the rest of the job was wrong before, and is told there.
    let own = |it: &Fault| it.place.as_ref().is_some_and(|it| it.span.start >= before);
    let faults = read.err().map(Faults::into_vec).unwrap_or_default();
    let faults = faults.into_iter().filter(own);
    // The line that it would be on is on no screen.
    Faults::check(faults.map(|it| Fault { place: None, ..it }).collect())?;
    Ok(changed(file, text, made_on))
}

/// A job without a part or a line of stock.
pub(super) fn without(
    bench: &Bench<'_>,
    file: &str,
    block: Block,
    made_on: &str,
) -> Outcome<Change> {
    let text = on(bench, file, made_on)?.without_block(block)?;
    Ok(changed(file, text, made_on))
}

fn changed(file: &str, text: String, made_on: &str) -> Change {
    Change::Text {
        file: file.to_owned(),
        text,
        made_on: made_on.to_owned(),
    }
}

/// A file that is still what it was when it was asked for: blocks go by number.
fn on(bench: &Bench<'_>, file: &str, made_on: &str) -> Outcome<Document> {
    let source = bench.source(file)?;
    if checksum(&source.text) != made_on {
        let fault = Fault::refused(format!("{file} was changed elsewhere meanwhile"));
        return Err(fault
            .remedy("look at what it says now, and do it again")
            .into());
    }
    Document::read(&source)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::path::Path;

    use super::*;
    use crate::recipe::Shelf;

    #[test]
    fn a_sheet_that_cannot_be_read_is_not_put_into_the_job() {
        let text = "[[part]]\nrecipe = \"flange\"\nquantity = \"many\"\n";
        let texts = BTreeMap::from([("job.toml".to_owned(), text.into())]);
        let bench = Bench {
            shelf: &Shelf::built_in(),
            folder: Path::new("."),
            texts: &texts,
            report: None,
            ticks: None,
        };
        let add = |typed| with_stock(&bench, "job.toml", typed, &checksum(text));
        let Err(said) = add(("6", "1 m x 2 m")) else {
            panic!("6 of what?");
        };
        assert!(
            said.to_string().starts_with("`thickness` must be a length"),
            "{said}"
        );
        let Ok(Change::Text { text, .. }) = add(("6 mm", "1 m x 2 m")) else {
            panic!("what is wrong elsewhere does not matter");
        };
        assert!(
            text.ends_with("thickness = \"6 mm\"\nsize = [\"1 m\", \"2 m\"]\n"),
            "{text}"
        );
    }
}
