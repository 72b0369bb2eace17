//! What can go wrong, said so that a builder can put it right.
//!
//! In: a cause, a remedy, and where they apply. Out: one [`Fault`] each, gathered in [`Faults`] so
//! that every independent mistake of a recipe is reported at once. Rendering is the command line's
//! business; nothing here prints.

use std::fmt;
use std::ops::Range;
use std::path::PathBuf;
use std::sync::Arc;

/// What sort of failure this is; decides the exit code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// The recipe, the part or the plan is refused: exit code 1.
    Refused,
    /// The command line was used wrongly: exit code 2.
    Usage,
    /// A file or folder could not be read or written: exit code 3.
    File,
}

impl Kind {
    /// The exit code of the process.
    #[must_use]
    pub const fn exit_code(self) -> u8 {
        match self {
            Self::Refused => 1,
            Self::Usage => 2,
            Self::File => 3,
        }
    }
}

/// A text that messages can point into: a file that was read, a built-in recipe, or an expression
/// typed on the command line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// How the text is called in a message: a path as the builder typed it, or `<expression>`.
    pub name: String,
    /// The whole text.
    pub text: Arc<str>,
    /// The file it came from, if it came from one; relative paths inside resolve against its folder.
    pub path: Option<PathBuf>,
}

impl Source {
    /// A text under a name that is not a file.
    pub fn inline(name: impl Into<String>, text: impl Into<Arc<str>>) -> Arc<Self> {
        Arc::new(Self {
            name: name.into(),
            text: text.into(),
            path: None,
        })
    }

    /// Line and column, both from 1, of a byte offset. The column counts characters.
    #[must_use]
    pub fn line_column(&self, offset: usize) -> (usize, usize) {
        let mut offset = offset.min(self.text.len());
        while !self.text.is_char_boundary(offset) {
            offset -= 1;
        }
        let before = &self.text[..offset];
        let line = before.matches('\n').count() + 1;
        let column = before
            .rsplit('\n')
            .next()
            .map_or(0, |tail| tail.chars().count())
            + 1;
        (line, column)
    }
}

/// A stretch of a [`Source`], in bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The text pointed into.
    pub source: Arc<Source>,
    /// The stretch of it that is at fault, in bytes.
    pub span: Range<usize>,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (line, column) = self.source.line_column(self.span.start);
        write!(f, "{}:{line}:{column}", self.source.name)
    }
}

/// One thing that is wrong: cause, place and remedy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// What sort of failure.
    pub kind: Kind,
    /// What is wrong, one sentence without a full stop.
    pub message: String,
    /// What to write or do instead, if there is something better to say than the message.
    pub remedy: Option<String>,
    /// Where, if it has a place in a text.
    pub place: Option<Place>,
    /// Words set beside the underlined place.
    pub label: Option<String>,
}

impl Fault {
    /// A refused recipe, part or plan.
    pub fn refused(message: impl Into<String>) -> Self {
        Self::new(Kind::Refused, message)
    }

    /// A wrong use of the command line.
    pub fn usage(message: impl Into<String>) -> Self {
        Self::new(Kind::Usage, message)
    }

    /// A file or folder that could not be read or written.
    pub fn file(message: impl Into<String>) -> Self {
        Self::new(Kind::File, message)
    }

    fn new(kind: Kind, message: impl Into<String>) -> Self {
        Self {
            kind,
            message: message.into(),
            remedy: None,
            place: None,
            label: None,
        }
    }

    /// Adds what to write or do instead.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = Some(remedy.into());
        self
    }

    /// Adds where it is.
    #[must_use]
    pub fn at(mut self, source: &Arc<Source>, span: Range<usize>) -> Self {
        self.place = Some(Place {
            source: Arc::clone(source),
            span,
        });
        self
    }

    /// Adds words beside the underlined place.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = Some(label.into());
        self
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(place) = &self.place {
            write!(f, "{place}: ")?;
        }
        f.write_str(&self.message)?;
        if let Some(remedy) = &self.remedy {
            write!(f, "; {remedy}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Fault {}

/// Every independent fault found, never empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Faults(Vec<Fault>);

impl Faults {
    /// `Ok` if nothing is wrong, else all of it.
    pub fn check(faults: Vec<Fault>) -> Result<(), Self> {
        if faults.is_empty() {
            Ok(())
        } else {
            Err(Self(faults))
        }
    }

    /// The faults in the order found.
    #[must_use]
    pub fn as_slice(&self) -> &[Fault] {
        &self.0
    }

    /// The faults themselves.
    #[must_use]
    pub fn into_vec(self) -> Vec<Fault> {
        self.0
    }

    /// The exit code: a file failure outranks wrong usage, which outranks a refusal.
    #[must_use]
    pub fn exit_code(&self) -> u8 {
        self.0
            .iter()
            .map(|fault| fault.kind.exit_code())
            .max()
            .unwrap_or(1)
    }
}

impl From<Fault> for Faults {
    fn from(fault: Fault) -> Self {
        Self(vec![fault])
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, fault) in self.0.iter().enumerate() {
            if index > 0 {
                f.write_str("\n")?;
            }
            write!(f, "{fault}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

/// What most of the crate returns.
pub type Outcome<T> = Result<T, Faults>;

/// The candidate closest to a mistyped word, if one is close enough to suggest.
///
/// Distance is Damerau-Levenshtein (edits and swaps of neighbours), at most a third of the word
/// and never more than three.
#[must_use]
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let limit = (word.chars().count() / 3).clamp(1, 3);
    candidates
        .into_iter()
        .map(|candidate| {
            (
                strsim::damerau_levenshtein(&word.to_lowercase(), &candidate.to_lowercase()),
                candidate,
            )
        })
        .filter(|(distance, _)| *distance <= limit)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mistyped_word_gets_the_near_name() {
        assert_eq!(
            nearest("wheel_cirlce", ["wheel_circle", "hub_circle"]),
            Some("wheel_circle")
        );
        assert_eq!(nearest("zebra", ["wheel_circle", "hub_circle"]), None);
    }

    #[test]
    fn places_count_lines_and_characters_from_one() {
        let source = Source::inline("a.toml", "ø = 1\nb = 2");
        assert_eq!(source.line_column(7), (2, 1));
        assert_eq!(source.line_column(2), (1, 2));
    }
}
