//! Characters that the alphabet draws from others: letters with accents, and what is spelled out.

use super::alphabet::Corner;

/// A half turn, as a bulge.
const H: f64 = 1.0;

/// A sign over, under or through a letter, on the grid.
#[derive(Clone, Copy)]
pub(super) struct Sign {
    /// Its strokes, about the middle of the letter; for a letter as high as a capital.
    pub(super) strokes: &'static [&'static [Corner]],
    /// Where it stands.
    pub(super) place: SignPlace,
}

/// Where a sign stands.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum SignPlace {
    /// Above the letter, so lower on a small one.
    Above,
    /// At its foot or through it.
    Fixed,
}

const fn above(strokes: &'static [&'static [Corner]]) -> Sign {
    Sign {
        strokes,
        place: SignPlace::Above,
    }
}

const fn fixed(strokes: &'static [&'static [Corner]]) -> Sign {
    Sign {
        strokes,
        place: SignPlace::Fixed,
    }
}

/// Signs with the letters that carry them, and what those are without.
const SIGNED: &[(&str, &str, Sign)] = &[
    (
        "ÁÉÍÓÚÝĆŃŚŹáéíóúýćńśź",
        "AEIOUYCNSZaeıouycnsz",
        above(&[&[(-0.4, 6.4, 0.0), (0.5, 7.0, 0.0)]]),
    ),
    (
        "ÀÈÌÒÙàèìòù",
        "AEIOUaeıou",
        above(&[&[(-0.5, 7.0, 0.0), (0.4, 6.4, 0.0)]]),
    ),
    (
        "ÂÊÎÔÛâêîôû",
        "AEIOUaeıou",
        above(&[&[(-0.8, 6.4, 0.0), (0.0, 7.0, 0.0), (0.8, 6.4, 0.0)]]),
    ),
    (
        "ČĎĚŇŘŠŤŽčěňřšž",
        "CDENRSTZcenrsz",
        above(&[&[(-0.8, 7.0, 0.0), (0.0, 6.4, 0.0), (0.8, 7.0, 0.0)]]),
    ),
    (
        "ÃÑÕãñõ",
        "ANOano",
        above(&[&[
            (-1.0, 6.5, 0.0),
            (-0.4, 6.9, 0.0),
            (0.4, 6.5, 0.0),
            (1.0, 6.9, 0.0),
        ]]),
    ),
    (
        "ÄËÏÖÜŸäëïöüÿ",
        "AEIOUYaeıouy",
        above(&[
            &[(-0.9, 6.5, 0.0), (-0.9, 6.9, 0.0)],
            &[(0.9, 6.5, 0.0), (0.9, 6.9, 0.0)],
        ]),
    ),
    (
        "ÅŮåů",
        "AUau",
        above(&[&[(-0.4, 6.6, H), (0.4, 6.6, H), (-0.4, 6.6, 0.0)]]),
    ),
    (
        "ŻĖĠİżėġ",
        "ZEGIzeg",
        above(&[&[(0.0, 6.5, 0.0), (0.0, 6.9, 0.0)]]),
    ),
    (
        "ĀĒĪŌŪāēīōū",
        "AEIOUaeıou",
        above(&[&[(-0.8, 6.6, 0.0), (0.8, 6.6, 0.0)]]),
    ),
    (
        "ŐŰőű",
        "OUou",
        above(&[
            &[(-0.7, 6.4, 0.0), (-0.2, 7.0, 0.0)],
            &[(0.3, 6.4, 0.0), (0.8, 7.0, 0.0)],
        ]),
    ),
    (
        "ÇŞŢçşţĄĘąę",
        "CSTcstAEae",
        fixed(&[&[(0.1, 0.0, 0.0), (0.3, -0.6, 0.0), (-0.4, -1.0, 0.0)]]),
    ),
    ("Łł", "Ll", fixed(&[&[(-1.2, 2.4, 0.0), (0.6, 3.8, 0.0)]])),
    ("Đđ", "Dd", fixed(&[&[(-0.6, 4.9, 0.0), (1.4, 4.9, 0.0)]])),
];

/// The letter and the sign that a character is made of.
pub(super) fn signed(c: char) -> Option<(char, Sign)> {
    SIGNED.iter().find_map(|(with, without, sign)| {
        let place = with.chars().position(|it| it == c)?;
        Some((without.chars().nth(place)?, *sign))
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
