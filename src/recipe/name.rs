//! Names: what may be called what, and names that are safe as files.

use std::sync::Arc;

use crate::fault::{Fault, Source};
use crate::quantity::expression::RESERVED;

use super::limits;
use crate::toml_text::Key;

/// What a name is given to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Named {
    /// A dimension, which part files set by its name.
    Dimension,
    /// A value in `[let]`.
    Value,
    /// A point of a plate or of the family.
    Point,
    /// A column of a list or a lookup table.
    Column,
}

impl Named {
    const fn words(self) -> &'static str {
        match self {
            Self::Dimension => "a dimension",
            Self::Value => "a value",
            Self::Point => "a point",
            Self::Column => "a column",
        }
    }

    /// Whether the word means something else where this kind of name is used.
    fn is_taken(self, name: &str) -> bool {
        let in_expressions = RESERVED.contains(&name) || name == "material";
        in_expressions || (self == Self::Dimension && PART_KEYS.contains(&name))
    }
}

/// Keys of a part file that are not dimensions.
const PART_KEYS: [&str; 8] = [
    "recipe", "name", "quantity", "opening", "plates", "table", "tabs", "order",
];

/// Whether a word is a key of part files rather than a dimension.
pub(crate) fn is_key_of_a_part(word: &str) -> bool {
    PART_KEYS.contains(&word)
}

/// The fault of a name that expressions could not read, or that means something already.
pub(crate) fn check(key: &Key, source: &Arc<Source>, named: Named) -> Option<Fault> {
    let name = key.name.as_str();
    let what = named.words();
    let fault = |message: String| Fault::refused(message).at(source, key.span.clone());
    if !is_plain(name) {
        let message = format!("`{name}` cannot be the name of {what}");
        return Some(
            fault(message).remedy(
                "use letters, digits and underscores, a letter first, such as `hub_circle`",
            ),
        );
    }
    named.is_taken(name).then(|| {
        let message = format!("`{name}` means something already and cannot name {what}");
        fault(message).remedy("choose another name")
    })
}

fn is_plain(name: &str) -> bool {
    name.starts_with(|c: char| c.is_ascii_alphabetic())
        && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_')
}

/// Words as a name that is safe for a file: lower-case letters, digits and single hyphens, at most
/// [`limits::NAME`] long; `fallback` if nothing is left.
#[must_use]
pub fn safe(words: &str, fallback: &str) -> String {
    let mut name = String::new();
    for c in words.chars().flat_map(plain_letters) {
        if c.is_ascii_alphanumeric() {
            name.push(c.to_ascii_lowercase());
        } else if !name.is_empty() && !name.ends_with('-') {
            name.push('-');
        }
    }
    name.truncate(limits::NAME);
    let name = name.trim_end_matches('-');
    match name {
        "" => fallback.to_owned(),
        device if is_device(device) => format!("{device}-{fallback}"),
        name => name.to_owned(),
    }
}

/// Whether some systems take a name for a device, whatever its ending: consoles, printers and ports
/// had these names before there were folders, and their names are still kept free for them.
fn is_device(name: &str) -> bool {
    let port = name
        .strip_prefix("com")
        .or_else(|| name.strip_prefix("lpt"));
    let is_port = port.is_some_and(|it| it.len() == 1 && it.as_bytes()[0].is_ascii_digit());
    is_port || ["con", "prn", "aux", "nul"].contains(&name)
}

/// A letter as plain ASCII: `é` is `e`, `ß` is `ss`; anything unknown parts words.
fn plain_letters(c: char) -> std::vec::IntoIter<char> {
    let plain = match c {
        'ä' | 'Ä' | 'æ' | 'Æ' => "ae",
        'ö' | 'Ö' | 'ø' | 'Ø' | 'œ' | 'Œ' => "oe",
        'ü' | 'Ü' => "ue",
        'ß' => "ss",
        'å' | 'Å' | 'à' | 'á' | 'â' | 'ã' | 'À' | 'Á' | 'Â' | 'Ã' => "a",
        'ç' | 'Ç' => "c",
        'è' | 'é' | 'ê' | 'ë' | 'È' | 'É' | 'Ê' | 'Ë' => "e",
        'ì' | 'í' | 'î' | 'ï' | 'Ì' | 'Í' | 'Î' | 'Ï' => "i",
        'ñ' | 'Ñ' => "n",
        'ò' | 'ó' | 'ô' | 'õ' | 'Ò' | 'Ó' | 'Ô' | 'Õ' => "o",
        'ù' | 'ú' | 'û' | 'Ù' | 'Ú' | 'Û' => "u",
        _ => return vec![c].into_iter(),
    };
    plain.chars().collect::<Vec<_>>().into_iter()
}

/// `name`, or `name-2`, `name-3`… if it is taken already.
#[must_use]
pub fn unique(name: String, taken: &[&str]) -> String {
    if !taken.contains(&name.as_str()) {
        return name;
    }
    // Of one more candidate than there are names, one is free.
    (2..=taken.len() + 2)
        .map(|n| format!("{name}-{n}"))
        .find(|candidate| !taken.contains(&candidate.as_str()))
        .unwrap_or(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_safe_as_files() {
        assert_eq!(
            safe("Spring perch, left (2)", "part"),
            "spring-perch-left-2"
        );
        assert_eq!(safe("../../etc/passwd", "part"), "etc-passwd");
        assert_eq!(safe("Größe ½\u{1f6e0}", "part"), "groesse");
        assert_eq!(safe("///", "part"), "part");
        assert_eq!(safe("CON", "part"), "con-part");
        assert_eq!(safe("com1", "part"), "com1-part");
        assert_eq!(safe("comb", "part"), "comb");
        assert_eq!(safe(&"x".repeat(500), "part").len(), limits::NAME);
    }

    #[test]
    fn a_taken_name_gets_a_number() {
        assert_eq!(unique("arm".to_owned(), &["arm", "arm-2"]), "arm-3");
        assert_eq!(unique("arm".to_owned(), &[]), "arm");
    }
}
