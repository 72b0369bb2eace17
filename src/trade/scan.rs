//! Reading the sizes that are written in words: `1-1/4`, `#10`, `0.5`, `1/2"`.
//!
//! In: text as a builder types it. Out: numbers, with the rest of the text still to read.

use crate::quantity::mixed_number;

/// Text being read from the left.
#[derive(Clone, Copy)]
pub(super) struct Scan<'a>(pub(super) &'a str);

impl Scan<'_> {
    /// Passes over blanks.
    pub(super) fn blanks(&mut self) {
        self.0 = self.0.trim_start();
    }

    /// Passes over one of some words, if the text goes on with it after blanks.
    pub(super) fn word<'w>(&mut self, words: &[&'w str]) -> Option<&'w str> {
        let rest = self.0.trim_start();
        let word = words.iter().find(|word| rest.starts_with(**word))?;
        self.0 = &rest[word.len()..];
        Some(word)
    }

    /// Reads a whole number.
    pub(super) fn whole(&mut self) -> Option<u32> {
        let length = self
            .0
            .find(|c: char| !c.is_ascii_digit())
            .unwrap_or(self.0.len());
        let (digits, rest) = self.0.split_at(length);
        self.0 = rest;
        digits.parse().ok()
    }

    /// Reads a number with or without decimals, after blanks.
    pub(super) fn decimal(&mut self) -> Option<f64> {
        self.blanks();
        let length = self
            .0
            .find(|c: char| !c.is_ascii_digit() && c != '.')
            .unwrap_or(self.0.len());
        let number = self.0[..length].parse().ok()?;
        self.0 = &self.0[length..];
        Some(number)
    }

    /// Reads a size: `1-1/4`, `1 1/4`, `1/2`, `0.5` or `3`.
    pub(super) fn size(&mut self) -> Option<f64> {
        self.blanks();
        let Some((size, length)) = mixed_number(self.0) else {
            return self.decimal();
        };
        self.0 = &self.0[length..];
        Some(size)
    }

    /// Whether nothing but blanks is left.
    pub(super) fn is_done(&self) -> bool {
        self.0.trim_start().is_empty()
    }
}

/// Lower case, one kind of dash, inch mark and multiplication sign, a point for a decimal comma.
pub(super) fn plain(text: &str) -> String {
    text.trim()
        .chars()
        .flat_map(char::to_lowercase)
        .map(|c| match c {
            '×' | '*' => 'x',
            '″' | '”' | '“' => '"',
            '–' | '—' | '−' => '-',
            ',' => '.',
            '\u{a0}' => ' ',
            other => other,
        })
        .collect()
}

/// A whole text that is one size: `1-1/4` is 1.25.
pub(super) fn size(text: &str) -> Option<f64> {
    let mut scan = Scan(text);
    let size = scan.size()?;
    scan.is_done().then_some(size)
}

/// The names of the rows next below and above a figure, for messages: `M12 and M14`.
pub(super) fn neighbours<'a>(
    rows: impl IntoIterator<Item = (&'a str, f64)> + Clone,
    figure: f64,
) -> String {
    let below = rows
        .clone()
        .into_iter()
        .filter(|(_, at)| *at <= figure)
        .max_by(|a, b| a.1.total_cmp(&b.1));
    let above = rows
        .into_iter()
        .filter(|(_, at)| *at > figure)
        .min_by(|a, b| a.1.total_cmp(&b.1));
    match (below, above) {
        (Some((low, _)), Some((high, _))) => format!("{low} and {high}"),
        (Some((only, _)), None) | (None, Some((only, _))) => only.to_owned(),
        (None, None) => "none".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_read_whole_mixed_and_decimal() {
        for (text, value) in [
            ("1", 1.0),
            ("0.5", 0.5),
            ("1/2", 0.5),
            ("1-1/4", 1.25),
            ("1 1/4", 1.25),
        ] {
            assert_eq!(size(text), Some(value), "{text}");
        }
    }

    #[test]
    fn nonsense_is_no_size() {
        for text in [
            "", "-", "1/0", "1/", "x", "1/2 x", "1.2.3", "1-2", "2 - 1/2",
        ] {
            assert_eq!(size(text), None, "{text}");
        }
    }

    #[test]
    fn neighbours_are_the_rows_on_either_side() {
        let rows = [("a", 1.0), ("b", 2.0), ("c", 3.0)];
        assert_eq!(neighbours(rows, 2.5), "b and c");
        assert_eq!(neighbours(rows, 9.0), "c");
        assert_eq!(neighbours(rows, 0.0), "a");
    }
}
