//! The grammar of a DXF file: pairs of lines, a group code and its value.
//!
//! Guaranteed: lines end in CR LF (readers on old table controllers want it, and every other reader
//! takes it), text is plain ASCII on one line, numbers have no exponent and no negative zero.

use std::fmt::{Display, Write as _};

use crate::fault::{Fault, Outcome};
use crate::geometry::Point;

/// Decimals of a coordinate: half of the last one is 5e-10 mm, far below what any table resolves.
const COORDINATE_DECIMALS: usize = 9;

/// Decimals of a bulge, which is multiplied by half the chord.
const BULGE_DECIMALS: usize = 12;

/// A file under way.
#[derive(Debug, Default)]
pub(super) struct Groups {
    text: String,
    finite: Finite,
}

/// Whether every number written so far is one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Finite {
    #[default]
    Yes,
    No,
}

impl Groups {
    /// A pair whose value is written as it stands.
    pub(super) fn pair(&mut self, code: u16, value: impl Display) -> &mut Self {
        write!(self.text, "{code:>3}\r\n{value}\r\n").expect("writing to a string cannot fail");
        self
    }

    /// Several pairs.
    pub(super) fn pairs(&mut self, pairs: &[(u16, &str)]) -> &mut Self {
        for (code, value) in pairs {
            self.pair(*code, value);
        }
        self
    }

    /// A handle, in hexadecimal as the format wants it.
    pub(super) fn handle(&mut self, code: u16, handle: u32) -> &mut Self {
        self.pair(code, format_args!("{handle:X}"))
    }

    /// A length in mm or an angle in degrees.
    pub(super) fn real(&mut self, code: u16, value: f64) -> &mut Self {
        self.number(code, value, COORDINATE_DECIMALS)
    }

    /// A bulge.
    pub(super) fn bulge(&mut self, value: f64) -> &mut Self {
        self.number(42, value, BULGE_DECIMALS)
    }

    /// A point in the plane: x under `code`, y ten above it.
    pub(super) fn point(&mut self, code: u16, at: Point) -> &mut Self {
        self.real(code, at.x).real(code + 10, at.y)
    }

    /// A point in space with z = 0: x under `code`, y ten and z twenty above it.
    pub(super) fn point_in_space(&mut self, code: u16, at: Point) -> &mut Self {
        self.point(code, at).real(code + 20, 0.0)
    }

    /// Words that a person may have written, escaped.
    pub(super) fn words(&mut self, code: u16, words: &str) -> &mut Self {
        self.pair(code, escaped(words))
    }

    /// Everything in `other` after what is here.
    pub(super) fn append(&mut self, other: &Self) -> &mut Self {
        self.text.push_str(&other.text);
        if other.finite == Finite::No {
            self.finite = Finite::No;
        }
        self
    }

    /// The finished file; refused if a number in it was infinite or not a number.
    pub(super) fn into_bytes(self) -> Outcome<Vec<u8>> {
        match self.finite {
            Finite::Yes => Ok(self.text.into_bytes()),
            Finite::No => Err(Fault::refused(
                "the drawing has a length that is infinite or not a number",
            )
            .remedy("look for a division by zero in the dimensions of its parts")
            .into()),
        }
    }

    fn number(&mut self, code: u16, value: f64, decimals: usize) -> &mut Self {
        if !value.is_finite() {
            self.finite = Finite::No;
        }
        self.pair(code, decimal(value, decimals))
    }
}

/// A number rounded to some decimals, without trailing zeros but always with a decimal point, never
/// `-0.0` and never with an exponent.
fn decimal(value: f64, decimals: usize) -> String {
    let fixed = format!("{value:.decimals$}");
    let trimmed = fixed.trim_end_matches('0');
    let digits = match trimmed {
        "-0." => "0.",
        other => other,
    };
    if digits.ends_with('.') {
        format!("{digits}0")
    } else {
        digits.to_owned()
    }
}

/// Words as DXF writes them: ASCII on one line. Other letters become `\U+XXXX`, a caret `^ ` (alone
/// it would start a control character), and each of two percent signs `%%%` (a pair would start a
/// drafting symbol). Letters beyond sixteen bits have no form in the format and become `?`.
fn escaped(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    let mut letters = words.chars().peekable();
    let mut after_percent = false;
    while let Some(letter) = letters.next() {
        let percent = letter == '%';
        match letter {
            '%' if after_percent || letters.peek() == Some(&'%') => text.push_str("%%%"),
            '^' => text.push_str("^ "),
            ' '..='~' => text.push(letter),
            _ if letter.is_control() => text.push(' '),
            _ => match u16::try_from(u32::from(letter)) {
                Ok(code) => {
                    write!(text, "\\U+{code:04X}").expect("writing to a string cannot fail");
                }
                Err(_) => text.push('?'),
            },
        }
        after_percent = percent;
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_a_point_no_exponent_and_no_negative_zero() {
        assert_eq!(decimal(0.0, 9), "0.0");
        assert_eq!(decimal(-1e-17, 9), "0.0");
        assert_eq!(decimal(2440.0, 9), "2440.0");
        assert_eq!(decimal(100.0, 9), "100.0");
        assert_eq!(decimal(-114.3, 9), "-114.3");
        assert_eq!(decimal(1.0 / 3.0, 9), "0.333333333");
        assert_eq!(decimal(1e21, 9), "1000000000000000000000.0");
    }

    #[test]
    fn words_stay_ascii_on_one_line() {
        assert_eq!(escaped("hub 5\u{d7}M12"), "hub 5\\U+00D7M12");
        assert_eq!(escaped("two\nlines"), "two lines");
        assert_eq!(escaped("50% of 100%%"), "50% of 100%%%%%%");
        assert_eq!(escaped("x^2"), "x^ 2");
        assert_eq!(escaped("\u{1F6D2}"), "?");
    }
}
