//! Fractions and mixed numbers: `3/4`, `3-1/2`, `1 5/8`.

use super::unit;

/// The fraction or mixed number that a text starts with, and how many bytes of it: `3/4`, `3-1/2`,
/// `1 5/8`.
pub(crate) fn mixed_number(text: &str) -> Option<(f64, usize)> {
    let mixed = Mixed::of(text)?;
    let is_one = mixed.below > 0.0 && (mixed.whole.is_none() || mixed.above < mixed.below);
    is_one.then(|| (mixed.value(), mixed.length))
}

/// A fraction or mixed number.
pub(super) struct Mixed {
    pub(super) whole: Option<f64>,
    pub(super) above: f64,
    pub(super) below: f64,
    /// Bytes up to the end of the fraction, without the mark.
    pub(super) length: usize,
}

impl Mixed {
    /// One with an inch or foot mark after it: `3/4 in`, `3-1/2"`, `1 5/8 in`.
    pub(super) fn leading(text: &str) -> Option<Self> {
        let mixed = Self::of(text)?;
        let after = &text[mixed.length..];
        let (unit, _) = unit::leading(&after[spaces(after)..])?;
        unit.takes_fractions().then_some(mixed)
    }

    pub(super) fn value(&self) -> f64 {
        self.whole.unwrap_or(0.0) + self.above / self.below
    }

    fn of(text: &str) -> Option<Self> {
        let first = digits(text)?;
        let after = &text[first..];
        let (whole, start) = if after.starts_with('/') {
            (None, 0)
        } else {
            let dash = after.chars().next().filter(|c| is_dash(*c));
            let gap = dash.map_or_else(|| spaces(after), char::len_utf8);
            if gap == 0 {
                return None;
            }
            (text[..first].parse().ok(), first + gap)
        };
        let above = digits(&text[start..])?;
        let bar = start + above;
        let below = digits(text[bar..].strip_prefix('/')?)?;
        let length = bar + 1 + below;
        Some(Self {
            whole,
            above: text[start..bar].parse().ok()?,
            below: text[bar + 1..length].parse().ok()?,
            length,
        })
    }
}

fn is_dash(c: char) -> bool {
    matches!(c, '-' | '−' | '–' | '‐' | '‑')
}

pub(super) fn spaces(text: &str) -> usize {
    text.len() - text.trim_start().len()
}

/// How many digits `text` starts with, if any.
pub(super) fn digits(text: &str) -> Option<usize> {
    let length = text.bytes().take_while(u8::is_ascii_digit).count();
    (length > 0).then_some(length)
}
