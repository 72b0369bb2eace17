//! Edits of a file: each is made on a text that is told by its checksum, and never loses another.

use super::answer::{Bench, Change, Clash};
use super::document::{Block, Document, Form, checksum};
use super::fields::form_of;
use super::request::Patch;
use super::views::{self, Both};
use crate::fault::{Fault, Outcome};

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
    let form = match form_of(family.as_ref(), &patch.key) {
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

/// A job with one more line of stock.
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
    Ok(changed(
        file,
        document.with_block("stock", &values),
        made_on,
    ))
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
