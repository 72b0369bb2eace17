//! Plain plates that are typed: what a part file for them would say.

use super::args::PlainArgs;
use crate::fault::Refusal;
use crate::quantity::Dimension;
use crate::recipe::words::Purpose;
use crate::trade::{self, thread};

impl PlainArgs {
    /// Whether a plate is typed.
    pub(super) const fn is_any(&self) -> bool {
        self.rectangle.is_some() || self.disc.is_some() || self.corners.is_some()
    }

    /// The lines of a part file for it.
    pub(super) fn lines(&self) -> Result<Vec<String>, Refusal> {
        let mut lines = if let Some(size) = &self.rectangle {
            let [width, height] = sides(size)?;
            let corner = self.corner.iter().map(|it| line("corner", it));
            let shape = [line("shape", "rectangle"), line("width", &width)];
            let mut lines = shape.to_vec();
            lines.push(line("height", &height));
            lines.extend(corner);
            lines
        } else if let Some(diameter) = &self.disc {
            vec![line("shape", "disc"), line("diameter", diameter)]
        } else {
            let corners = self.corners.as_deref().unwrap_or_default().split(';');
            let corners = corners.map(|it| {
                let lengths: Vec<String> = it.split(',').map(|it| quoted(it.trim())).collect();
                format!("[{}]", lengths.join(", "))
            });
            let corners: Vec<String> = corners.collect();
            let points = format!("points = [{}]", corners.join(", "));
            vec![line("shape", "outline"), points]
        };
        let holes = self.holes.iter().map(|it| self.hole(it));
        let holes = holes.collect::<Result<Vec<_>, _>>()?;
        if !holes.is_empty() {
            lines.push("holes = [".to_owned());
            lines.extend(holes.into_iter().map(|it| format!("    {{ {it} }},")));
            lines.push("]".to_owned());
        }
        Ok(lines)
    }

    /// `[PURPOSE] [COUNT x] SIZE [on CIRCLE] [at X, Y]` as the keys of a hole.
    fn hole(&self, text: &str) -> Result<String, Refusal> {
        let wrong = |why: &str| {
            let refusal = Refusal::new(format!("the hole \"{text}\" {why}"));
            refusal.remedy("write '8.4 mm at 10 mm, 20 mm', 'M8 at 10 mm, 20 mm', 'bore 20 mm at 0 mm, 0 mm' or '4 x 9 mm on 60 mm'")
        };
        let (what, place) = match text.split_once(" at ") {
            Some((what, place)) => (what.trim(), Some(place)),
            None => (text.trim(), None),
        };
        let words = Purpose::ALL.iter();
        let mut named = words.filter_map(|(purpose, word)| {
            let rest = what.strip_prefix(word)?.strip_prefix(' ')?;
            Some((*purpose, rest.trim()))
        });
        let (purpose, what) = match named.next_back() {
            Some((purpose, rest)) => (Some(purpose), rest),
            None => (None, what),
        };
        let (what, circle) = match what.split_once(" on ") {
            Some((what, circle)) => (what.trim(), Some(circle.trim())),
            None => (what, None),
        };
        let counted = what.split_once(['x', '×']);
        let counted = counted
            .and_then(|(count, size)| Some((count.trim().parse::<u32>().ok()?, size.trim())));
        let (count, size) = match (counted, circle) {
            (Some((count, size)), Some(_)) => (count, size),
            (None, None) => (1, what),
            (Some(_), None) => return Err(wrong("does not say on which circle")),
            (None, Some(_)) => return Err(wrong("does not say how many")),
        };
        let mut keys = Vec::new();
        if trade::amount(size, Dimension::LENGTH).is_ok() {
            keys.push(line("diameter", size));
        } else if thread::read(size).is_ok() {
            let function = match purpose {
                Some(Purpose::Tapped) => "tap_drill",
                _ => "clearance",
            };
            keys.push(line("diameter", &format!("{function}(\"{size}\")")));
            keys.push(line("thread", size));
        } else {
            return Err(wrong("names neither a diameter nor a thread"));
        }
        if let Some(circle) = circle {
            let circle = quoted(circle);
            keys.push(format!("around = {{ count = {count}, circle = {circle} }}"));
        }
        match place {
            Some(place) => {
                let (x, y) = place
                    .split_once(',')
                    .ok_or_else(|| wrong("has no place of two lengths"))?;
                let (x, y) = (quoted(x.trim()), quoted(y.trim()));
                keys.push(format!("at = [{x}, {y}]"));
            }
            None if self.disc.is_none() => return Err(wrong("does not say where it is")),
            None => {}
        }
        let in_the_middle = place.is_none() && circle.is_none();
        let purpose = purpose.or_else(|| in_the_middle.then_some(Purpose::Bore));
        keys.extend(purpose.map(|it| line("purpose", it.word())));
        Ok(keys.join(", "))
    }
}

/// `80x40mm` as two lengths: a bare number has the unit of the other.
fn sides(size: &str) -> Result<[String; 2], Refusal> {
    let wrong = || {
        Refusal::new(format!("\"{size}\" is no width and height"))
            .remedy("write both with an x between, such as 80x40mm or '3-1/2 in x 2 in'")
    };
    let (width, height) = size.split_once(['x', '×']).ok_or_else(wrong)?;
    let (width, height) = (width.trim(), height.trim());
    let unit = height.trim_start_matches(|c: char| !c.is_alphabetic());
    let width = if width.contains(char::is_alphabetic) {
        width.to_owned()
    } else {
        format!("{width} {unit}")
    };
    for side in [width.as_str(), height] {
        trade::amount(side, Dimension::LENGTH).map_err(|_| wrong())?;
    }
    Ok([width, height.to_owned()])
}

/// A key with words.
pub(super) fn line(key: &str, value: &str) -> String {
    format!("{key} = {}", quoted(value))
}

/// Words as a file has them.
pub(super) fn quoted(words: &str) -> String {
    toml_edit::Value::from(words).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain() -> PlainArgs {
        PlainArgs {
            rectangle: None,
            disc: Some("60 mm".to_owned()),
            corners: None,
            corner: None,
            holes: Vec::new(),
        }
    }

    #[test]
    fn holes_are_read_as_builders_write_them() {
        let disc = plain();
        for (typed, keys) in [
            ("20 mm", "diameter = \"20 mm\", purpose = \"bore\""),
            (
                "4 x 6.6 mm on 40 mm",
                "diameter = \"6.6 mm\", around = { count = 4, circle = \"40 mm\" }",
            ),
            (
                "8.4 mm at 10 mm, -5 mm",
                "diameter = \"8.4 mm\", at = [\"10 mm\", \"-5 mm\"]",
            ),
            (
                "tab slot 3 mm at 1 mm, 2 mm",
                "diameter = \"3 mm\", at = [\"1 mm\", \"2 mm\"], purpose = \"tab slot\"",
            ),
        ] {
            assert_eq!(disc.hole(typed).as_deref(), Ok(keys));
        }
        for (wrong, why) in [
            ("4 x 6 mm", "on which circle"),
            ("6 mm on 40 mm", "how many"),
            ("wide", "neither a diameter nor a thread"),
            ("6 mm at 3 mm", "two lengths"),
        ] {
            let said = disc.hole(wrong).expect_err(wrong).to_string();
            assert!(said.contains(why), "{said}");
        }
        let rectangle = PlainArgs {
            rectangle: Some("80x40mm".to_owned()),
            disc: None,
            ..plain()
        };
        assert!(rectangle.hole("8 mm").is_err());
    }

    #[test]
    fn sides_share_a_unit() {
        let sides = |text| sides(text).map(|it| it.join(" by "));
        assert_eq!(sides("80x40mm").as_deref(), Ok("80 mm by 40mm"));
        assert_eq!(sides("3-1/2 in x 2 in").as_deref(), Ok("3-1/2 in by 2 in"));
        assert!(sides("80mm").is_err() && sides("80x40").is_err());
    }
}
