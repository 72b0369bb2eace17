//! The shapes of the letters, as `alphabet.txt` has them.

use std::collections::HashMap;
use std::sync::LazyLock;

/// Height of a capital on the grid.
pub(super) const CAPITAL: f64 = 6.0;
/// Between letters, on the grid.
pub(super) const GAP: f64 = 1.6;

/// What stands in `alphabet.txt` for a space, and for all characters that it does not have.
const SPACE: char = '\u{2423}';
const UNKNOWN: char = '\u{fffd}';

/// Sweeps of arcs by their letters: the tangent of a quarter of each.
const SWEEPS: [(char, f64); 7] = [
    ('Q', 0.414_213_562_373_095_03),
    ('N', -0.414_213_562_373_095_03),
    ('H', 1.0),
    ('M', -1.0),
    ('D', -0.176_326_980_708_464_97),
    ('F', 0.221_694_662_642_939_88),
    ('S', -0.267_949_192_431_122_7),
];

/// A corner of a stroke: x, y, and the bulge of the piece that starts there, as in a DXF polyline:
/// the tangent of a quarter of its sweep, 0 for a line, above 0 counter-clockwise.
pub(super) type Corner = (f64, f64, f64);

/// A letter: how wide it is, and its strokes.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Letter {
    pub(super) width: f64,
    pub(super) strokes: Vec<Vec<Corner>>,
}

static LETTERS: LazyLock<HashMap<char, Letter>> = LazyLock::new(|| {
    let lines = include_str!("alphabet.txt").lines();
    let lines = lines.filter(|line| !line.starts_with("//"));
    lines
        .flat_map(|line| {
            let mut parts = line.splitn(3, ' ');
            let characters = parts.next().unwrap_or_default().chars();
            let letter = Letter {
                width: number(parts.next().unwrap_or_default()),
                strokes: strokes(parts.next().unwrap_or_default()),
            };
            characters.map(move |c| (if c == SPACE { ' ' } else { c }, letter.clone()))
        })
        .collect()
});

/// The letter of a character; none if the alphabet does not have it.
pub(super) fn letter(c: char) -> Option<&'static Letter> {
    LETTERS.get(&c).filter(|_| c != UNKNOWN)
}

/// Drawn for a character that the alphabet does not have: an empty box.
pub(super) fn empty_box() -> &'static Letter {
    &LETTERS[&UNKNOWN]
}

/// Strokes as `alphabet.txt` writes them.
pub(super) fn strokes(text: &str) -> Vec<Vec<Corner>> {
    let strokes = text.split("; ").filter(|it| !it.is_empty());
    strokes
        .map(|stroke| stroke.split(' ').map(corner).collect())
        .collect()
}

fn corner(text: &str) -> Corner {
    let sweep = SWEEPS.iter().find(|(name, _)| text.ends_with(*name));
    let (place, bulge) = match (text.split_once(':'), sweep) {
        (Some((place, bulge)), _) => (place, number(bulge)),
        (None, Some((name, bulge))) => (text.trim_end_matches(*name), *bulge),
        (None, None) => (text, 0.0),
    };
    let (x, y) = place.split_once(',').unwrap_or_default();
    (number(x), number(y), bulge)
}

fn number(text: &str) -> f64 {
    text.parse().expect("the alphabet is made of numbers")
}
