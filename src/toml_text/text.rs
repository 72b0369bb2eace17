//! Words in quotes, with their place in the file.

use std::ops::Range;
use std::sync::Arc;

use crate::fault::{Fault, Refusal, Source, nearest};

/// Words in quotes; any stretch of them can be pointed at in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Text {
    source: Arc<Source>,
    literal: Range<usize>,
    content: Option<usize>,
    words: String,
}

impl Text {
    /// The words of a literal that stands at `literal` in `source`.
    pub(crate) fn new(source: &Arc<Source>, literal: Range<usize>, text: String) -> Self {
        let content = content_start(&source.text[literal.clone()], &text);
        Self {
            source: Arc::clone(source),
            content: content.map(|start| literal.start + start),
            literal,
            words: text,
        }
    }

    /// The words.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.words
    }

    /// The text they stand in.
    #[must_use]
    pub const fn source(&self) -> &Arc<Source> {
        &self.source
    }

    /// Where they stand, with their quotes.
    #[must_use]
    pub fn span(&self) -> Range<usize> {
        self.literal.clone()
    }

    /// Where a stretch of the words stands in the file: exact unless the literal has escapes, else
    /// the whole literal.
    #[must_use]
    pub fn span_of(&self, stretch: Range<usize>) -> Range<usize> {
        match self.content {
            Some(start) if stretch.end <= self.words.len() => {
                start + stretch.start..start + stretch.end
            }
            _ => self.literal.clone(),
        }
    }

    /// A stretch of the words, still pointing at its place.
    pub(crate) fn slice(&self, stretch: Range<usize>) -> Self {
        Self {
            source: Arc::clone(&self.source),
            literal: self.span_of(stretch.clone()),
            content: self.content.map(|start| start + stretch.start),
            words: self.words[stretch].to_owned(),
        }
    }

    /// A fault at these words.
    pub(crate) fn fault(&self, cause: impl Into<Refusal>) -> Fault {
        Fault::refused(cause).at(&self.source, self.literal.clone())
    }

    /// The fault of words that are not among those possible here.
    pub(crate) fn not_among(&self, words: &[&str]) -> Fault {
        let fault = self.fault(format!(
            "\"{}\" is not one of the words possible here",
            self.words
        ));
        match nearest(&self.words, words.iter().copied()) {
            Some(near) => fault.remedy(format!("did you mean \"{near}\"?")),
            None => fault.remedy(format!("write \"{}\"", words.join("\", \""))),
        }
    }
}

/// Where in the literal its content starts, if it stands there letter for letter.
fn content_start(literal: &str, text: &str) -> Option<usize> {
    let quotes = [
        "\"\"\"\r\n",
        "\"\"\"\n",
        "\"\"\"",
        "'''\r\n",
        "'''\n",
        "'''",
        "\"",
        "'",
        "",
    ];
    quotes
        .into_iter()
        .filter(|quote| literal.starts_with(quote))
        .map(str::len)
        .find(|start| literal[*start..].starts_with(text))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn underlined(literal: &str, text: &str, stretch: Range<usize>) -> String {
        let source = Source::inline("a.toml", literal);
        let text = Text::new(&source, 0..literal.len(), text.to_owned());
        source.text[text.span_of(stretch)].to_owned()
    }

    #[test]
    fn a_stretch_is_found_in_the_file_through_any_quotes() {
        assert_eq!(underlined("\"a + bc\"", "a + bc", 4..6), "bc");
        assert_eq!(underlined("'a + bc'", "a + bc", 4..6), "bc");
        assert_eq!(underlined("\"\"\"\na + bc\"\"\"", "a + bc", 4..6), "bc");
        assert_eq!(underlined("12", "12", 0..2), "12");
    }

    #[test]
    fn with_escapes_the_whole_literal_is_underlined() {
        assert_eq!(
            underlined("\"1-5/8\\\"\"", "1-5/8\"", 0..3),
            "\"1-5/8\\\"\""
        );
    }
}
