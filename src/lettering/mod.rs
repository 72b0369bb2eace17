//! Words as single strokes: lines and arcs that a scriber, a pen or a torch can follow.
//!
//! In: words and the height of a capital. Out: strokes in mm from the left end of the base line, x to
//! the right and y up. No fonts of the system are used, so the same words look the same everywhere.

mod alphabet;
mod signs;

use crate::geometry::{Point, Segment};

use alphabet::{CAPITAL, Corner, GAP, Letter, empty_box, letter};
use signs::{SignPlace, signed, spelled};

/// How much lower a sign stands over a small letter, on the grid.
const LOWER: f64 = 1.7;

/// One stroke: pieces that follow one another without a gap.
pub type Stroke = Vec<Segment>;

/// The strokes of a line of words whose capitals are `height` mm high. A letter with an accent has it
/// over or under it, and what has no letter of its own is spelled (`½` as 1/2).
#[must_use]
pub fn strokes(words: &str, height: f64) -> Vec<Stroke> {
    let scale = height / CAPITAL;
    let mut x = 0.0;
    let mut found = Vec::new();
    for drawn in drawn(words) {
        for stroke in drawn.strokes(x) {
            let place = |corner: &Corner| Point::new(corner.0 * scale, corner.1 * scale);
            let pieces = stroke
                .windows(2)
                .map(|two| Segment::from_bulge(place(&two[0]), place(&two[1]), two[0].2));
            found.push(pieces.collect());
        }
        x += drawn.letter.width + GAP;
    }
    found
}

/// From the left of the first letter to the right of the last, mm; 0 for no letters.
#[must_use]
pub fn width(words: &str, height: f64) -> f64 {
    let across: f64 = drawn(words).map(|drawn| drawn.letter.width + GAP).sum();
    (across - GAP).max(0.0) * height / CAPITAL
}

/// Words in lines no longer than `most` mm, parted after some of the places where `at` stands. What has
/// no such place stays whole.
#[must_use]
pub fn wrapped(words: &str, at: &str, height: f64, most: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for part in words.split_inclusive(at) {
        let fits = |line: &&mut String| width(format!("{line}{part}").trim_end(), height) <= most;
        match lines.last_mut().filter(fits) {
            Some(line) => line.push_str(part),
            None => lines.push(part.to_owned()),
        }
    }
    lines.iter().map(|it| it.trim_end().to_owned()).collect()
}

/// From the start of a character to that of the next, mm.
#[must_use]
pub fn advance(character: char, height: f64) -> f64 {
    let mut buffer = [0; 4];
    let letters = drawn(character.encode_utf8(&mut buffer));
    let across: f64 = letters.map(|drawn| drawn.letter.width + GAP).sum();
    across * height / CAPITAL
}

/// The first character that the alphabet neither has nor can spell.
#[must_use]
pub fn unknown(words: &str) -> Option<char> {
    words
        .chars()
        .find(|&c| letter(c).is_none() && signed(c).is_none() && spelled(c).is_none())
}

/// A letter as it is drawn: with its sign, if it has one.
struct DrawnLetter {
    letter: &'static Letter,
    /// The sign's strokes, moved up by so much.
    sign: Option<(&'static [Vec<Corner>], f64)>,
}

impl DrawnLetter {
    /// Its strokes from a place along the line on.
    fn strokes(&self, x: f64) -> impl Iterator<Item = Vec<Corner>> {
        let (sign, up) = self.sign.unwrap_or((&[], 0.0));
        let moved = |strokes: &'static [Vec<Corner>], (dx, dy): (f64, f64)| {
            strokes.iter().map(move |stroke| {
                let corners = stroke.iter();
                corners
                    .map(|corner| (corner.0 + dx, corner.1 + dy, corner.2))
                    .collect()
            })
        };
        let middle = x + self.letter.width / 2.0;
        moved(&self.letter.strokes, (x, 0.0)).chain(moved(sign, (middle, up)))
    }
}

/// The letters that words are drawn with.
fn drawn(words: &str) -> impl Iterator<Item = DrawnLetter> {
    words.chars().flat_map(|c| {
        let others = spelled(c);
        let itself = others.is_none().then_some(c);
        others.unwrap_or_default().chars().chain(itself).map(one)
    })
}

fn one(c: char) -> DrawnLetter {
    let plain = |letter| DrawnLetter { letter, sign: None };
    if let Some(letter) = letter(c) {
        return plain(letter);
    }
    let Some((base, sign)) = signed(c) else {
        return plain(empty_box());
    };
    let is_low = base.is_lowercase() && sign.place == SignPlace::Above;
    DrawnLetter {
        letter: letter(base).unwrap_or_else(empty_box),
        sign: Some((&sign.strokes, if is_low { -LOWER } else { 0.0 })),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Printable ASCII that words on plates use, and the signs of the trade.
    const KNOWN: &str = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 \
                         .,:;!?-+±×=<>/_()'\"#%°⌀øØ→↑−–";

    #[test]
    fn every_stroke_hangs_together_and_stays_in_its_letter() {
        for c in KNOWN.chars() {
            assert_eq!(unknown(&c.to_string()), None, "{c}");
            let width = width(&c.to_string(), 6.0);
            for stroke in strokes(&c.to_string(), 6.0) {
                assert!(!stroke.is_empty(), "{c}");
                for two in stroke.windows(2) {
                    assert!(two[0].end().distance(two[1].start()) < 1e-12, "{c}");
                }
                for piece in &stroke {
                    let bounds = piece.bounds();
                    assert!(
                        bounds.min.x > -0.1 && bounds.max.x < width + 0.1,
                        "{c}: {bounds:?}"
                    );
                    assert!(
                        bounds.min.y > -2.01 && bounds.max.y < 7.01,
                        "{c}: {bounds:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn neighbours_are_joined_without_a_kink_where_an_arc_meets_an_arc() {
        for c in "CGOSUQcopes2356890".chars() {
            for stroke in strokes(&c.to_string(), 6.0) {
                for two in stroke.windows(2) {
                    let arcs = two.iter().all(|it| matches!(it, Segment::Arc { .. }));
                    let kink = two[0].direction_at(1.0).cross(two[1].direction_at(0.0));
                    let is_crossing_of_bowls = c == '8';
                    assert!(
                        !arcs || is_crossing_of_bowls || kink.abs() < 1e-3,
                        "{c} {kink}"
                    );
                }
            }
        }
    }

    #[test]
    fn lines_are_as_long_as_they_may_be_and_nothing_is_lost() {
        let text = "a word and another, a third, and the-last-one-which-is-very-long, end";
        let most = width("a word and another,", 2.0) + 0.1;
        for at in [" ", ", "] {
            let lines = wrapped(text, at, 2.0, most);
            assert_eq!(lines[0], "a word and another,");
            assert_eq!(lines.join(" "), text);
            for two in lines.windows(2) {
                let next = two[1].split_inclusive(at).next().unwrap_or_default();
                let longer = format!("{} {next}", two[0]);
                assert!(width(longer.trim_end(), 2.0) > most, "{two:?}");
            }
        }
    }

    #[test]
    fn size_follows_height() {
        assert!((width("Hi", 12.0) - 2.0 * (4.0 + 1.6 + 0.6)).abs() < 1e-12);
        assert!(width("", 5.0).abs() < 1e-12);
        let top = strokes("H", 12.0)
            .iter()
            .flatten()
            .map(|it| it.bounds().max.y)
            .fold(0.0, f64::max);
        assert!((top - 12.0).abs() < 1e-12);
    }

    #[test]
    fn letters_that_look_alike_differ() {
        let all = ["O", "0", "I", "1", "l", "5", "S", "2", "Z", "8", "B"];
        for (i, a) in all.iter().enumerate() {
            for b in &all[i + 1..] {
                assert_ne!(strokes(a, 6.0), strokes(b, 6.0), "{a} {b}");
            }
        }
    }

    #[test]
    fn what_is_not_in_the_alphabet_is_told() {
        assert_eq!(unknown("Lenkrad Ж 7"), Some('Ж'));
        assert_eq!(strokes("Ж", 6.0).len(), 1);
    }

    #[test]
    fn a_letter_with_a_sign_is_the_letter_and_its_sign_as_wide_as_it() {
        for (signed, plain) in [("é", "e"), ("Ä", "A"), ("ç", "c"), ("Ł", "L"), ("ñ", "n")] {
            assert_eq!(unknown(signed), None);
            let (with, without) = (strokes(signed, 6.0), strokes(plain, 6.0));
            assert_eq!(with[..without.len()], without, "{signed}");
            assert!(with.len() > without.len(), "{signed}");
            assert!((width(signed, 6.0) - width(plain, 6.0)).abs() < 1e-12);
        }
    }

    #[test]
    fn every_signed_and_spelled_character_is_drawn_of_letters_there_are() {
        for c in "ÁÉÍÓÚÝáéíóúýÀÈàèìòùÂÊÎÔÛâêîôûÃÑÕãñõÄËÏÖÜäëïöüÿÅåČčĘęŞşŁłĐđŐőŻż½¼¾²³ßæœ".chars()
        {
            assert_eq!(unknown(&c.to_string()), None, "{c}");
            for drawn in drawn(&c.to_string()) {
                assert_ne!(drawn.letter, empty_box(), "{c}");
            }
            for piece in strokes(&c.to_string(), 6.0).iter().flatten() {
                let around = piece.bounds();
                assert!(
                    around.min.y > -2.01 && around.max.y < 7.11,
                    "{c} {around:?}"
                );
            }
        }
    }

    #[test]
    fn fractions_are_spelled() {
        assert_eq!(strokes("3½", 6.0), strokes("31/2", 6.0));
    }
}
