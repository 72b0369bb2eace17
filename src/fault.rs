//! What can go wrong, said so that a builder can put it right.
//!
//! In: a cause, a remedy, and where they apply. Out: one [`Fault`] each, gathered in [`Faults`] so
//! that every independent mistake of a recipe is reported at once. Rendering is the command line's
//! business; nothing here prints.

use std::fmt;
use std::ops::Range;
use std::path::PathBuf;
use std::sync::Arc;

/// What to do about a mistake of the program itself.
pub const REPORT_IT: &str = concat!(
    "send these lines and the files of the job to whoever looks after the program (platewright ",
    env!("CARGO_PKG_VERSION"),
    ")"
);

/// What sort of failure this is; decides the exit code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FaultKind {
    /// The recipe, the part or the plan is refused: exit code 1.
    Refused,
    /// The command line was used wrongly: exit code 2.
    Usage,
    /// A file or folder could not be read or written: exit code 3.
    File,
    /// The program itself is at fault: exit code 5.
    Program,
}

impl FaultKind {
    /// The exit code of the process.
    #[must_use]
    pub const fn exit_code(self) -> u8 {
        match self {
            Self::Refused => 1,
            Self::Usage => 2,
            Self::File => 3,
            Self::Program => 5,
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

/// Why something cannot be and what to do instead, said by code that does not know where it stands.
///
/// Text turns into one without a remedy, and one turns into a [`Fault`] where its place is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Refusal {
    /// What is wrong, one sentence without a full stop.
    pub message: String,
    /// What to write or do instead, if there is something better to say than the message.
    pub remedy: Option<String>,
    /// Places that it is about, in a drawing that was read, mm.
    pub spots: Vec<[f64; 2]>,
}

impl Refusal {
    /// A cause, as yet without a remedy.
    pub fn new(message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            remedy: None,
            spots: Vec::new(),
        }
    }

    /// Adds places of the drawing that it is about, mm.
    #[must_use]
    pub fn about(mut self, spots: impl IntoIterator<Item = [f64; 2]>) -> Self {
        self.spots.extend(spots);
        self
    }

    /// Adds what to write or do instead.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = Some(remedy.into());
        self
    }

    /// The same remedy under a message made of this one, such as one that names what it is about.
    #[must_use]
    pub fn reworded(self, reword: impl FnOnce(&str) -> String) -> Self {
        Self {
            message: reword(&self.message),
            ..self
        }
    }
}

impl From<String> for Refusal {
    fn from(message: String) -> Self {
        Self::new(message)
    }
}

impl From<&str> for Refusal {
    fn from(message: &str) -> Self {
        Self::new(message)
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)?;
        match &self.remedy {
            Some(remedy) => write!(f, "; {remedy}"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for Refusal {}

/// One thing that is wrong: cause, place and remedy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// What sort of failure.
    pub kind: FaultKind,
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
    pub fn refused(cause: impl Into<Refusal>) -> Self {
        Self::new(FaultKind::Refused, cause.into())
    }

    /// A wrong use of the command line.
    pub fn usage(cause: impl Into<Refusal>) -> Self {
        Self::new(FaultKind::Usage, cause.into())
    }

    /// A file or folder that could not be read or written.
    pub fn file(cause: impl Into<Refusal>) -> Self {
        Self::new(FaultKind::File, cause.into())
    }

    /// A mistake in the program itself.
    pub fn program(cause: impl Into<Refusal>) -> Self {
        Self::new(FaultKind::Program, cause.into())
    }

    fn new(
        kind: FaultKind,
        Refusal {
            message, remedy, ..
        }: Refusal,
    ) -> Self {
        Self {
            kind,
            message,
            remedy,
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

impl From<Refusal> for Fault {
    fn from(refusal: Refusal) -> Self {
        Self::refused(refusal)
    }
}

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

    /// The exit code: a mistake in the program outranks a file failure, which outranks wrong usage, which
    /// outranks a refusal.
    #[must_use]
    pub fn exit_code(&self) -> u8 {
        self.0
            .iter()
            .map(|fault| fault.kind.exit_code())
            .max()
            .unwrap_or(1)
    }
}

impl From<Refusal> for Faults {
    fn from(refusal: Refusal) -> Self {
        Fault::from(refusal).into()
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
    let length = word.chars().count();
    let limit = (length / 3).clamp(1, 3);
    let word = word.to_lowercase();
    candidates
        .into_iter()
        // Each edit makes a word longer or shorter by one letter at most.
        .filter(|candidate| candidate.chars().count().abs_diff(length) <= limit)
        .map(|candidate| {
            let distance = strsim::damerau_levenshtein(&word, &candidate.to_lowercase());
            (distance, candidate)
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
    fn a_refusal_carries_its_remedy_into_the_fault() {
        let refusal = Refusal::new("5 is odd: no half").remedy("write 4: it is even");
        assert_eq!(
            refusal.to_string(),
            "5 is odd: no half; write 4: it is even"
        );
        let named = refusal.reworded(|message| format!("`count`: {message}"));
        let fault = Fault::usage(named);
        assert_eq!(fault.message, "`count`: 5 is odd: no half");
        assert_eq!(fault.remedy.as_deref(), Some("write 4: it is even"));
        assert_eq!(Fault::from(Refusal::from("odd")).remedy, None);
    }

    #[test]
    fn places_count_lines_and_characters_from_one() {
        let source = Source::inline("a.toml", "ø = 1\nb = 2");
        assert_eq!(source.line_column(7), (2, 1));
        assert_eq!(source.line_column(2), (1, 2));
    }
}
