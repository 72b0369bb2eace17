//! The words and signs of an expression.
//!
//! In: its text. Out: tokens with their places, mixed numbers and fractions of an inch or foot
//! already made one number, or the first mistake.

use std::ops::Range;

use super::Mistake;
use super::mixed::{Mixed, digits, spaces};
use super::tree::Operator;
use super::unit::{self, Unit};
use crate::fault::Refusal;

/// One word or sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Token<'a> {
    /// A number; a fraction or mixed number if an inch or foot mark follows.
    Number(f64),
    /// A unit, only after a number or a closing parenthesis.
    Unit(&'static Unit),
    /// A name, perhaps with one dot.
    Name(&'a str),
    /// Words in quotes, without them.
    Text(&'a str),
    /// `true` or `false`.
    Truth(bool),
    /// An operator between two operands; a minus may also stand before one.
    Operator(Operator),
    /// `not`.
    Not,
    /// `(`
    Open,
    /// `)`
    Close,
    /// `,`
    Comma,
}

/// A token and its place in bytes.
#[derive(Debug, Clone)]
pub(super) struct Spanned<'a> {
    pub(super) token: Token<'a>,
    pub(super) span: Range<usize>,
}

/// Splits an expression into tokens.
pub(super) fn read(text: &str) -> Result<Vec<Spanned<'_>>, Mistake> {
    let mut reader = Reader {
        text,
        at: 0,
        tokens: Vec::new(),
    };
    while reader.skip_space() {
        reader.next()?;
    }
    Ok(reader.tokens)
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
    tokens: Vec<Spanned<'a>>,
}

impl<'a> Reader<'a> {
    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    /// Moves to the next visible character; false at the end.
    fn skip_space(&mut self) -> bool {
        self.at += spaces(self.rest());
        self.at < self.text.len()
    }

    fn push(&mut self, token: Token<'a>, length: usize) {
        let span = self.at..self.at + length;
        self.at = span.end;
        self.tokens.push(Spanned { token, span });
    }

    fn next(&mut self) -> Result<(), Mistake> {
        let rest = self.rest();
        let Some(first) = rest.chars().next() else {
            return Ok(());
        };
        if self.unit_may_follow()
            && let Some((unit, length)) = unit::leading(rest)
        {
            self.push(Token::Unit(unit), length);
            return Ok(());
        }
        if first.is_ascii_digit() || starts_decimal(rest) {
            return self.number();
        }
        if first.is_alphabetic() || first == '_' {
            return self.word();
        }
        if matches!(first, '"' | '\'') {
            return self.quoted(first);
        }
        self.sign(first)
    }

    /// Whether the last token is a number or a closing parenthesis.
    fn unit_may_follow(&self) -> bool {
        matches!(
            self.tokens.last(),
            Some(Spanned {
                token: Token::Number(_) | Token::Close,
                ..
            })
        )
    }

    fn number(&mut self) -> Result<(), Mistake> {
        let rest = self.rest();
        if let Some(mixed) = Mixed::leading(rest) {
            return self.mixed(&mixed);
        }
        let length = decimal_length(rest);
        if let Some(mistake) = self.loose_fraction(length) {
            return Err(mistake);
        }
        let digits = &rest[..length];
        let number: f64 = digits
            .parse()
            .map_err(|_| self.mistake(length, format!("`{digits}` is not a number")))?;
        if !number.is_finite() {
            return Err(self.mistake(length, "this number is too large"));
        }
        self.push(Token::Number(number), length);
        Ok(())
    }

    fn mixed(&mut self, mixed: &Mixed) -> Result<(), Mistake> {
        let written = &self.rest()[..mixed.length];
        if mixed.below == 0.0 {
            return Err(self.mistake(mixed.length, "this divides by zero"));
        }
        if mixed.whole.is_some() && mixed.above >= mixed.below {
            return Err(self
                .mistake(
                    mixed.length,
                    format!("`{written}` is not a mixed number: its fraction is not less than 1"),
                )
                .remedy("put spaces around the minus to subtract"));
        }
        if let Some(sign) = self.tight_operator() {
            let is_harmless = sign == Operator::Multiply && mixed.whole.is_none();
            if !is_harmless {
                return Err(self
                    .mistake(
                        mixed.length,
                        format!("`{written}` after `{}` can be read two ways", sign.sign()),
                    )
                    .remedy(
                        "put the number and its unit in parentheses, or spaces around every operator",
                    ));
            }
        }
        self.push(Token::Number(mixed.value()), mixed.length);
        Ok(())
    }

    /// The operator `*`, `/` or `^` written right before this place without a space.
    fn tight_operator(&self) -> Option<Operator> {
        let last = self.tokens.last()?;
        match last.token {
            Token::Operator(sign @ (Operator::Multiply | Operator::Divide | Operator::Power))
                if last.span.end == self.at =>
            {
                Some(sign)
            }
            _ => None,
        }
    }

    /// `3/4 mm`: one number over another with a unit that takes no fractions.
    fn loose_fraction(&self, length: usize) -> Option<Mistake> {
        let rest = self.rest();
        let below = rest[length..].strip_prefix('/')?;
        let below_length = decimal_length(below);
        let (above, divisor) = (
            rest[..length].parse::<f64>().ok()?,
            below[..below_length].parse::<f64>().ok()?,
        );
        let after = &below[below_length..];
        let (unit, _) = unit::leading(&after[spaces(after)..])?;
        let written = &rest[..length + 1 + below_length];
        Some(
            self.mistake(
                written.len(),
                format!(
                    "`{written}` is read as a fraction only as whole numbers of inches or feet"
                ),
            )
            .remedy(format!(
                "write `{} {}`",
                super::format::decimal(above / divisor, 6),
                unit.name()
            )),
        )
    }

    fn word(&mut self) -> Result<(), Mistake> {
        let length = name_length(self.rest());
        let name = &self.rest()[..length];
        let keyword = match name {
            "and" => Some(Token::Operator(Operator::And)),
            "or" => Some(Token::Operator(Operator::Or)),
            "not" => Some(Token::Not),
            "true" => Some(Token::Truth(true)),
            "false" => Some(Token::Truth(false)),
            _ => None,
        };
        if keyword.is_none() && self.unit_may_follow() {
            return Err(self.unknown_unit(name));
        }
        self.push(keyword.unwrap_or(Token::Name(name)), length);
        Ok(())
    }

    fn unknown_unit(&self, name: &str) -> Mistake {
        let before = self
            .tokens
            .last()
            .map_or("", |last| &self.text[last.span.clone()]);
        let remedy = match unit::nearest(name) {
            Some(unit) => format!("write `{} {unit}`", self.mixed_before(before, unit)),
            None if GAUGE_WORDS.contains(&name) => format!(
                "how thick a gauge is depends on the metal: write `gauge({before}, \"steel\")`, or \
                 \"galvanised\", \"stainless\" or \"aluminium\" in place of \"steel\""
            ),
            None if name.len() > 1 => format!(
                "write a unit that there is, such as `mm`, `in`, `deg` or `N`; to multiply, write \
                 `{before} * {name}`"
            ),
            None => format!("to multiply, write `{before} * {name}`"),
        };
        self.mistake(name.len(), format!("`{name}` is not a unit"))
            .remedy(remedy)
    }

    /// `4-1/2` of `4-1/2 inches`, whose last number is `2`, where the unit takes fractions.
    fn mixed_before<'b>(&'b self, last: &'b str, unit: &str) -> &'b str {
        if ![unit::INCH.name(), unit::FOOT.name()].contains(&unit) {
            return last;
        }
        let before = self.text[..self.at].trim_end();
        let is_within = |c: char| c.is_ascii_digit() || matches!(c, '.' | '/' | '-');
        let from = before.trim_end_matches(is_within).len();
        before[from..].trim_start_matches(['-', '/'])
    }

    fn quoted(&mut self, quote: char) -> Result<(), Mistake> {
        let inside = &self.rest()[1..];
        let Some(length) = inside.find(quote) else {
            return Err(self
                .mistake(self.rest().len(), "this text has no closing quote")
                .remedy(format!("close it with {quote}")));
        };
        self.push(Token::Text(&inside[..length]), length + 2);
        Ok(())
    }

    fn sign(&mut self, first: char) -> Result<(), Mistake> {
        let rest = self.rest();
        let found = SIGNS
            .iter()
            .find_map(|(sign, token)| rest.starts_with(sign).then_some((*token, sign.len())));
        if let Some((token, length)) = found {
            self.push(token, length);
            return Ok(());
        }
        let mistake = self.mistake(first.len_utf8(), format!("`{first}` has no meaning here"));
        Err(
            match FOREIGN.iter().find(|(sign, _)| rest.starts_with(sign)) {
                Some((_, remedy)) => mistake.remedy(*remedy),
                None => mistake,
            },
        )
    }

    fn mistake(&self, length: usize, message: impl Into<Refusal>) -> Mistake {
        Mistake::new(self.at..self.at + length, message)
    }
}

/// Signs, longer ones before those they start with.
const SIGNS: [(&str, Token<'static>); 25] = [
    ("<=", Token::Operator(Operator::LessOrEqual)),
    (">=", Token::Operator(Operator::GreaterOrEqual)),
    ("==", Token::Operator(Operator::Equal)),
    ("!=", Token::Operator(Operator::NotEqual)),
    ("≤", Token::Operator(Operator::LessOrEqual)),
    ("≥", Token::Operator(Operator::GreaterOrEqual)),
    ("≠", Token::Operator(Operator::NotEqual)),
    ("<", Token::Operator(Operator::Less)),
    (">", Token::Operator(Operator::Greater)),
    ("+", Token::Operator(Operator::Add)),
    ("-", Token::Operator(Operator::Subtract)),
    ("−", Token::Operator(Operator::Subtract)),
    ("–", Token::Operator(Operator::Subtract)),
    ("‐", Token::Operator(Operator::Subtract)),
    ("‑", Token::Operator(Operator::Subtract)),
    ("*", Token::Operator(Operator::Multiply)),
    ("×", Token::Operator(Operator::Multiply)),
    ("·", Token::Operator(Operator::Multiply)),
    ("⋅", Token::Operator(Operator::Multiply)),
    ("/", Token::Operator(Operator::Divide)),
    ("÷", Token::Operator(Operator::Divide)),
    ("^", Token::Operator(Operator::Power)),
    ("(", Token::Open),
    (")", Token::Close),
    (",", Token::Comma),
];

/// Signs of other notations, with what to write here.
const FOREIGN: [(&str, &str); 14] = [
    ("&", "write `and`"),
    ("|", "write `or`"),
    ("!", "write `not`"),
    ("=", "write `==` to compare"),
    (
        "%",
        "write `mod(a, b)` for the rest of a division; `%` goes after a number",
    ),
    ("°", "write it after a number, `15°`"),
    ("[", "use parentheses"),
    ("{", "use parentheses"),
    (";", "separate with a comma"),
    ("½", "write `1/2`, as in `1/2 in` or `3-1/2 in`"),
    ("¼", "write `1/4`, as in `1/4 in` or `3-1/4 in`"),
    ("¾", "write `3/4`, as in `3/4 in` or `3-3/4 in`"),
    ("²", "write `^2`"),
    ("³", "write `^3`"),
];

/// Words for the gauge of a sheet, which is no unit: each metal has a table of its own.
const GAUGE_WORDS: [&str; 4] = ["ga", "gage", "gauge", "GA"];

fn starts_decimal(text: &str) -> bool {
    text.strip_prefix('.')
        .is_some_and(|rest| digits(rest).is_some())
}

/// Bytes of the number that `text` starts with: `12`, `12.5`, `.5`, `1e-3`.
fn decimal_length(text: &str) -> usize {
    let mut length = digits(text).unwrap_or(0);
    if starts_decimal(&text[length..]) {
        length += 1;
        length += digits(&text[length..]).unwrap_or(0);
    }
    if length > 0 {
        length += exponent_length(&text[length..]);
    }
    length
}

fn exponent_length(text: &str) -> usize {
    let Some(power) = text.strip_prefix(['e', 'E']) else {
        return 0;
    };
    let unsigned = power.strip_prefix(['+', '-']).unwrap_or(power);
    digits(unsigned).map_or(0, |count| text.len() - unsigned.len() + count)
}

/// Bytes of the name that `text` starts with, with at most one dot.
fn name_length(text: &str) -> usize {
    let word = |text: &str| text.len() - text.trim_start_matches(is_name_character).len();
    let first = word(text);
    let second = text[first..]
        .strip_prefix('.')
        .filter(|rest| rest.starts_with(|c: char| c.is_alphabetic() || c == '_'))
        .map_or(0, |rest| 1 + word(rest));
    first + second
}

fn is_name_character(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}
