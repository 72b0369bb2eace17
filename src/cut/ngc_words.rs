//! The words that a controller reads by RS274/NGC.
//!
//! In: a line of a program. Out: which of its words the standard lacks, and whether it changes what the
//! moves after it mean. Comments in it are nobody's words.

/// Its G words, by number (NIST IR 6556, 2000, table 5; from memory).
const G_WORDS: &[&str] = &[
    "0", "1", "2", "3", "4", "10", "17", "18", "19", "20", "21", "28", "30", "38.2", "40", "41",
    "42", "43", "49", "53", "54", "55", "56", "57", "58", "59", "59.1", "59.2", "59.3", "61",
    "61.1", "64", "80", "81", "82", "83", "84", "85", "86", "87", "88", "89", "90", "91", "92",
    "92.1", "92.2", "92.3", "93", "94", "98", "99",
];

/// Its M words (table 7, likewise).
const M_WORDS: &[&str] = &[
    "0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "30", "48", "49", "60",
];

/// The letters of words that take any number.
const LETTERS: &str = "ABCDFHIJKLNPQRSTXYZ";

/// Words of which one holds until the next: the first is what our moves need, whatever the unit.
const STATES: &[&[&str]] = &[
    &["G90", "G91"],
    &["G17", "G18", "G19"],
    &["G40", "G41", "G42"],
    &["G94", "G93"],
];

/// The words of a line, without comments: letters in capitals, numbers as short as they can be.
pub(super) fn words(line: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut within = false;
    for c in line.chars().filter(|c| !c.is_whitespace()) {
        match c {
            '(' => within = true,
            ')' => within = false,
            _ if within => {}
            _ => match words.last_mut() {
                Some(word) if !c.is_ascii_alphabetic() => word.push(c),
                _ => words.push(c.to_ascii_uppercase().to_string()),
            },
        }
    }
    words.into_iter().map(short).collect()
}

/// A word without needless zeros: `G01` is `G1`.
fn short(word: String) -> String {
    let (letter, number) = parted(&word);
    match number.parse::<f64>() {
        Ok(number) => format!("{letter}{number}"),
        Err(_) => word,
    }
}

/// The letter that a word begins with, whatever alphabet it is of, and the rest.
pub(super) fn parted(word: &str) -> (&str, &str) {
    word.split_at(word.chars().next().map_or(0, char::len_utf8))
}

/// Whether RS274/NGC has a word.
pub(super) fn is_standard(word: &str) -> bool {
    let (letter, number) = parted(word);
    match letter {
        "G" => G_WORDS.contains(&number),
        "M" => M_WORDS.contains(&number),
        other => LETTERS.contains(other) && number.parse::<f64>().is_ok(),
    }
}

/// What some lines leave behind that changes what the moves after them mean, and the word that takes it
/// back: `("G91", "G90")`. `unit` is the word of the program's unit.
pub(super) fn left_behind<'a>(
    lines: impl Iterator<Item = &'a str>,
    unit: &'static str,
) -> Option<(String, &'static str)> {
    let other = if unit == "G21" { "G20" } else { "G21" };
    let units = [unit, other];
    let all: Vec<String> = lines.flat_map(words).collect();
    let states = STATES.iter().copied().chain([&units[..]]);
    states.into_iter().find_map(|state| {
        let last = all.iter().rfind(|word| state.contains(&word.as_str()))?;
        (last != state[0]).then(|| (last.clone(), state[0]))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_told_apart_and_comments_left_out() {
        assert_eq!(
            words("g01 x-.5(to G91)Y2.0 f300"),
            ["G1", "X-0.5", "Y2", "F300"]
        );
        assert!(words("(only said)").is_empty());
        assert_eq!(words("é1"), ["é1"]);
        for sound in ["G38.2", "M30", "Z-20", "G59.3"] {
            assert!(is_standard(sound), "{sound}");
        }
        for foreign in ["G90.1", "M67", "E0", "G", "Q", "%", "é1", ""] {
            assert!(!is_standard(foreign), "{foreign}");
        }
    }

    #[test]
    fn what_lines_leave_behind_is_what_the_last_of_them_sets() {
        let left = |lines: &[&str]| left_behind(lines.iter().copied(), "G21");
        assert_eq!(left(&["G91", "G0 Z10", "G90"]), None);
        assert_eq!(left(&["G0 Z10", "g91"]), Some(("G91".to_owned(), "G90")));
        assert_eq!(left(&["G18 (plane)"]), Some(("G18".to_owned(), "G17")));
        assert_eq!(left(&["G20"]), Some(("G20".to_owned(), "G21")));
        assert_eq!(left_behind(["G20"].into_iter(), "G20"), None);
    }
}
