//! Characters that the alphabet draws from others: letters with accents, and what is spelled out.

use std::sync::LazyLock;

use super::alphabet::{Corner, strokes};
use SignPlace::{Above, Fixed};

/// A sign over, under or through a letter, on the grid.
pub(super) struct Sign {
    /// Its strokes, about the middle of the letter; for a letter as high as a capital.
    pub(super) strokes: Vec<Vec<Corner>>,
    /// Where it stands.
    pub(super) place: SignPlace,
    with: &'static str,
    without: &'static str,
}

/// Where a sign stands.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum SignPlace {
    /// Above the letter, so lower on a small one.
    Above,
    /// At its foot or through it.
    Fixed,
}

/// Where signs stand, the letters that carry them, what those are without, and the strokes as
/// `alphabet.txt` writes them.
const SIGNED: [(SignPlace, &str, &str, &str); 13] = [
    (
        Above,
        "ÁÉÍÓÚÝĆŃŚŹáéíóúýćńśź",
        "AEIOUYCNSZaeıouycnsz",
        "-0.4,6.4 0.5,7",
    ),
    (Above, "ÀÈÌÒÙàèìòù", "AEIOUaeıou", "-0.5,7 0.4,6.4"),
    (Above, "ÂÊÎÔÛâêîôû", "AEIOUaeıou", "-0.8,6.4 0,7 0.8,6.4"),
    (
        Above,
        "ČĎĚŇŘŠŤŽčěňřšž",
        "CDENRSTZcenrsz",
        "-0.8,7 0,6.4 0.8,7",
    ),
    (Above, "ÃÑÕãñõ", "ANOano", "-1,6.5 -0.4,6.9 0.4,6.5 1,6.9"),
    (
        Above,
        "ÄËÏÖÜŸäëïöüÿ",
        "AEIOUYaeıouy",
        "-0.9,6.5 -0.9,6.9; 0.9,6.5 0.9,6.9",
    ),
    (Above, "ÅŮåů", "AUau", "-0.4,6.6H 0.4,6.6H -0.4,6.6"),
    (Above, "ŻĖĠİżėġ", "ZEGIzeg", "0,6.5 0,6.9"),
    (Above, "ĀĒĪŌŪāēīōū", "AEIOUaeıou", "-0.8,6.6 0.8,6.6"),
    (Above, "ŐŰőű", "OUou", "-0.7,6.4 -0.2,7; 0.3,6.4 0.8,7"),
    (Fixed, "ÇŞŢçşţĄĘąę", "CSTcstAEae", "0.1,0 0.3,-0.6 -0.4,-1"),
    (Fixed, "Łł", "Ll", "-1.2,2.4 0.6,3.8"),
    (Fixed, "Đđ", "Dd", "-0.6,4.9 1.4,4.9"),
];

static SIGNS: LazyLock<Vec<Sign>> = LazyLock::new(|| {
    let signs = SIGNED.into_iter();
    signs
        .map(|(place, with, without, text)| Sign {
            strokes: strokes(text),
            place,
            with,
            without,
        })
        .collect()
});

/// The letter and the sign that a character is made of.
pub(super) fn signed(c: char) -> Option<(char, &'static Sign)> {
    SIGNS.iter().find_map(|sign| {
        let place = sign.with.chars().position(|it| it == c)?;
        Some((sign.without.chars().nth(place)?, sign))
    })
}

/// Characters that are spelled with several of the alphabet.
const SPELLED: &[(char, &str)] = &[
    ('ß', "ss"),
    ('ẞ', "SS"),
    ('Æ', "AE"),
    ('æ', "ae"),
    ('Œ', "OE"),
    ('œ', "oe"),
    ('Þ', "Th"),
    ('þ', "th"),
    ('Ð', "D"),
    ('ð', "d"),
    ('½', "1/2"),
    ('¼', "1/4"),
    ('¾', "3/4"),
    ('⅛', "1/8"),
    ('⅜', "3/8"),
    ('⅝', "5/8"),
    ('⅞', "7/8"),
    ('²', "2"),
    ('³', "3"),
    ('≤', "<="),
    ('≥', ">="),
    ('…', "..."),
    ('′', "'"),
    ('″', "\""),
    ('“', "\""),
    ('”', "\""),
    ('„', "\""),
    ('‘', "'"),
    ('ď', "d'"),
    ('ť', "t'"),
    ('·', "."),
    ('\t', " "),
    ('\u{a0}', " "),
    ('\u{202f}', " "),
    ('\u{2009}', " "),
];

/// How a character is spelled with others that the alphabet has.
pub(super) fn spelled(c: char) -> Option<&'static str> {
    let found = SPELLED.iter().find(|(known, _)| *known == c);
    found.map(|(_, letters)| *letters)
}
