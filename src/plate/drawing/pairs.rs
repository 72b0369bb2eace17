//! The pairs of a DXF file, a group code and a value each, gathered into records.
//!
//! In: the bytes of a file, text or binary. Out: its [`Record`]s, each what stands from one group
//! code 0 to the next, with the line it begins at. Codes and the kinds of their values are those of
//! the published DXF reference.

use std::borrow::Cow;

use crate::fault::Refusal;

/// A binary file begins with so many bytes, of which the last are [`BINARY`].
const SENTINEL: usize = 22;
/// How the first bytes of a binary file end.
const BINARY: &[u8] = b"\r\n\x1a\0";
/// A code of one byte that says that the code follows in two.
const WIDE: u8 = 255;

/// What goes by one name in a file: an entity, a layer, the head of a section.
#[derive(Debug, Clone)]
pub(super) struct Record<'a> {
    /// The value of its group code 0, for example `CIRCLE`.
    pub(super) kind: String,
    /// The line it begins at, from 1; 0 in a binary file.
    pub(super) line: usize,
    /// Its other pairs, in order.
    pub(super) pairs: Vec<(i32, Value<'a>)>,
}

/// The value of a pair.
#[derive(Debug, Clone, Copy)]
pub(super) enum Value<'a> {
    /// As written.
    Text(&'a [u8]),
    /// A number of a binary file.
    Number(f64),
}

impl Value<'_> {
    /// The number that it is, if it is one.
    pub(super) fn number(&self) -> Option<f64> {
        let number = match self {
            Self::Number(number) => Some(*number),
            Self::Text(text) => std::str::from_utf8(text).ok()?.trim().parse().ok(),
        };
        number.filter(|it: &f64| it.is_finite())
    }

    /// As words: UTF-8, else one letter a byte as older files have it; `\U+00E9` is a letter.
    pub(super) fn words(&self) -> String {
        let text = match self {
            Self::Number(number) => return number.to_string(),
            Self::Text(text) => text.trim_ascii(),
        };
        let plain = match std::str::from_utf8(text) {
            Ok(words) => Cow::from(words),
            Err(_) => text.iter().map(|byte| char::from(*byte)).collect(),
        };
        let mut parts = plain.split("\\U+");
        let first = parts.next().unwrap_or_default().to_owned();
        parts.fold(first, |mut words, part| {
            let code = part
                .get(..4)
                .and_then(|it| u32::from_str_radix(it, 16).ok());
            match code.and_then(char::from_u32) {
                Some(letter) => {
                    words.push(letter);
                    words.push_str(&part[4..]);
                }
                None => {
                    words.push_str("\\U+");
                    words.push_str(part);
                }
            }
            words
        })
    }
}

/// The records of a file, until its end or its first fault.
pub(super) struct Records<'a> {
    pairs: Pairs<'a>,
    next: Option<(String, usize)>,
    is_over: bool,
}

impl<'a> Records<'a> {
    pub(super) fn of(bytes: &'a [u8]) -> Self {
        Self {
            pairs: Pairs::of(bytes),
            next: None,
            is_over: false,
        }
    }

    fn record(&mut self) -> Result<Option<Record<'a>>, Refusal> {
        let mut record: Option<Record<'a>> = self.next.take().map(|(kind, line)| Record {
            kind,
            line,
            pairs: Vec::new(),
        });
        loop {
            let line = self.pairs.line();
            let Some((code, value)) = self.pairs.pair()? else {
                return Ok(record);
            };
            match (code, &mut record) {
                (999, _) => {}
                (0, None) => {
                    record = Some(Record {
                        kind: value.words().to_uppercase(),
                        line,
                        pairs: Vec::new(),
                    });
                }
                (0, Some(_)) => {
                    self.next = Some((value.words().to_uppercase(), line));
                    return Ok(record);
                }
                (_, Some(record)) => record.pairs.push((code, value)),
                (_, None) => return Err(no_dxf()),
            }
        }
    }
}

impl<'a> Iterator for Records<'a> {
    type Item = Result<Record<'a>, Refusal>;

    fn next(&mut self) -> Option<Self::Item> {
        if self.is_over {
            return None;
        }
        let record = self.record().transpose();
        self.is_over = !matches!(record, Some(Ok(_)));
        record
    }
}

/// What is said of a file of another kind.
pub(super) fn no_dxf() -> Refusal {
    Refusal::new("it is no DXF file").remedy("save the drawing as DXF")
}

enum Pairs<'a> {
    Text { rest: &'a [u8], line: usize },
    Binary { rest: &'a [u8], wide: bool },
}

impl<'a> Pairs<'a> {
    fn of(bytes: &'a [u8]) -> Self {
        let head = bytes.get(..SENTINEL);
        if head.is_some_and(|head| head.ends_with(BINARY)) {
            let rest = &bytes[SENTINEL..];
            // The first code is 0, and a word follows it at once where codes have one byte.
            let wide = rest.get(1) == Some(&0);
            return Self::Binary { rest, wide };
        }
        let rest = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        Self::Text { rest, line: 1 }
    }

    fn line(&self) -> usize {
        match self {
            Self::Text { line, .. } => *line,
            Self::Binary { .. } => 0,
        }
    }

    fn pair(&mut self) -> Result<Option<(i32, Value<'a>)>, Refusal> {
        match self {
            Self::Text { rest, line } => {
                let Some(code) = next_line(rest) else {
                    return Ok(None);
                };
                let word = code.trim_ascii();
                if word.is_empty() && rest.trim_ascii().is_empty() {
                    return Ok(None);
                }
                let number = std::str::from_utf8(word).ok();
                let number = number.and_then(|it| it.parse::<i32>().ok());
                let Some(number) = number else {
                    return Err(match *line {
                        1 => no_dxf(),
                        line => damaged(&format!(
                            "line {line} should be a group code and is \"{}\"",
                            shortened(word)
                        )),
                    });
                };
                let Some(value) = next_line(rest) else {
                    return Err(damaged(&format!("it ends in the middle, at line {line}")));
                };
                *line += 2;
                Ok(Some((number, Value::Text(value))))
            }
            Self::Binary { rest, wide } => {
                if rest.is_empty() {
                    return Ok(None);
                }
                let pair = binary(rest, *wide);
                let pair = pair.ok_or_else(|| damaged("it ends in the middle, or has other codes"));
                pair.map(Some)
            }
        }
    }
}

/// What is said of a file that breaks the rules of its format.
pub(super) fn damaged(what: &str) -> Refusal {
    Refusal::new(format!("the file is damaged: {what}")).remedy("save it as DXF once more")
}

/// The first letters of what was found in a file.
pub(super) fn shortened(found: &[u8]) -> String {
    let words = String::from_utf8_lossy(found);
    let letters = words.chars().filter(|it| !it.is_control());
    letters.take(20).collect()
}

fn next_line<'a>(rest: &mut &'a [u8]) -> Option<&'a [u8]> {
    if rest.is_empty() {
        return None;
    }
    let end = rest.iter().position(|byte| *byte == b'\n');
    let (line, more) = match end {
        Some(end) => (&rest[..end], &rest[end + 1..]),
        None => (*rest, &rest[rest.len()..]),
    };
    *rest = more;
    Some(line.strip_suffix(b"\r").unwrap_or(line))
}

/// One pair of a binary file; `None` if it is cut off or its code has no known kind.
fn binary<'a>(rest: &mut &'a [u8], wide: bool) -> Option<(i32, Value<'a>)> {
    let code = match (wide, rest.first()?) {
        (false, &short) if short != WIDE => {
            taken(rest, 1)?;
            i32::from(short)
        }
        (false, _) => {
            taken(rest, 1)?;
            i32::from(i16::from_le_bytes(array(taken(rest, 2)?)?))
        }
        (true, _) => i32::from(i16::from_le_bytes(array(taken(rest, 2)?)?)),
    };
    let value = match code {
        10..=59 | 110..=149 | 210..=239 | 460..=469 | 1010..=1059 => {
            Value::Number(f64::from_le_bytes(array(taken(rest, 8)?)?))
        }
        60..=79 | 170..=179 | 270..=289 | 370..=389 | 400..=409 | 1060..=1070 => {
            Value::Number(f64::from(i16::from_le_bytes(array(taken(rest, 2)?)?)))
        }
        90..=99 | 420..=429 | 440..=459 | 1071 => {
            Value::Number(f64::from(i32::from_le_bytes(array(taken(rest, 4)?)?)))
        }
        160..=169 => Value::Number(i64::from_le_bytes(array(taken(rest, 8)?)?) as f64),
        290..=299 => Value::Number(f64::from(*taken(rest, 1)?.first()?)),
        310..=319 | 1004 => {
            let length = usize::from(*taken(rest, 1)?.first()?);
            Value::Text(taken(rest, length)?)
        }
        0..=9
        | 100..=109
        | 300..=309
        | 320..=369
        | 390..=399
        | 410..=419
        | 430..=439
        | 470..=489
        | 999..=1009 => {
            let end = rest.iter().position(|byte| *byte == 0)?;
            let text = taken(rest, end)?;
            taken(rest, 1)?;
            Value::Text(text)
        }
        _ => return None,
    };
    Some((code, value))
}

fn taken<'a>(rest: &mut &'a [u8], count: usize) -> Option<&'a [u8]> {
    let (taken, more) = rest.split_at_checked(count)?;
    *rest = more;
    Some(taken)
}

fn array<const N: usize>(bytes: &[u8]) -> Option<[u8; N]> {
    bytes.try_into().ok()
}
