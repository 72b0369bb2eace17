//! What a family demands of its dimensions, and figures worth telling with the part.

use crate::finding::Level;

use super::reader::Reader;
use super::template::Template;
use crate::toml_text::Formula;
use crate::toml_text::Table;
use crate::toml_text::Text;
use crate::trade::edge::source_of_limit;

/// Where a limit comes from that no standard has.
const PRACTICE: &str = "common practice";

/// A demand on the dimensions: `[[rule]]`.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Rule {
    /// The rule counts only if this holds.
    pub(crate) when: Option<Formula>,
    /// It counts for each row of this list.
    pub(crate) each: Option<Text>,
    /// What must hold.
    pub(crate) need: Formula,
    /// What is wrong if it does not.
    pub(crate) wrong: Template,
    /// What to do about it.
    pub(crate) remedy: Template,
    /// How serious.
    pub(crate) level: Level,
    /// Where the limit comes from.
    pub(crate) source: String,
    /// Name of the openings it is about, if it has a place.
    pub(crate) near: Option<Text>,
    /// The check whose fact it tells, in that check's place.
    pub(crate) check: Option<String>,
    /// The plates that it is about: it counts if one of them is made.
    pub(crate) plates: Vec<Text>,
}

/// A value worth telling: `[[figure]]`.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Figure {
    /// The figure counts only if this holds.
    pub(crate) when: Option<Formula>,
    /// It is told for each row of this list.
    pub(crate) each: Option<Text>,
    /// What it is.
    pub(crate) says: Template,
    /// Its value.
    pub(crate) value: Formula,
}

impl Rule {
    pub(crate) fn read(mut table: Table, reader: &mut Reader<'_>) -> Option<Self> {
        table.call("[[rule]]");
        let each = reader.enter(&mut table);
        let practice = table.take("practice");
        let is_practice = practice.is_some();
        let need = match practice {
            Some(practice) => {
                if let Some(need) = table.take("need") {
                    let fault = need.fault("a rule has `need` or `practice`, and this has both");
                    let remedy = "keep `practice` if the limit is common practice";
                    reader.faults.push(fault.remedy(remedy));
                }
                reader.formula(practice)
            }
            None => reader.need(&mut table, "need", "\"width >= 2 * edge\""),
        };
        let example = "\"what is wrong: what to do\"";
        let otherwise = reader.text(&mut table, "otherwise", example);
        let remedy = reader.words(&mut table, "remedy");
        let otherwise = otherwise.and_then(|text| match remedy {
            Some(remedy) => reader.filled_in(text).zip(reader.filled_in(remedy)),
            None => wrong_and_remedy(&text, reader),
        });
        let level = table
            .take("level")
            .and_then(|item| item.word(reader.faults));
        let source = reader.words(&mut table, "source");
        if let Some(source) = source.as_ref().filter(|_| is_practice) {
            let fault = source.fault("`practice` says where the limit comes from");
            let remedy = "leave `source` out, or write `need` in place of `practice`";
            reader.faults.push(fault.remedy(remedy));
        }
        let mut words = |key: &str| table.take(key).and_then(|item| item.text(reader.faults));
        let near = words("near");
        let check = words("check");
        let plates = reader.plates(&mut table);
        let when = reader.option(&mut table, "when");
        table.finish(reader.faults);
        reader.leave();
        let (wrong, remedy) = otherwise?;
        let need = need?;
        Some(Self {
            when,
            each,
            wrong,
            remedy,
            level: level.unwrap_or(Level::Refuse),
            source: match source {
                Some(source) => source.as_str().to_owned(),
                None if is_practice => PRACTICE.to_owned(),
                None => limit_source(&need),
            },
            need,
            near,
            check: check.map(|text| text.as_str().to_owned()),
            plates,
        })
    }
}

impl Figure {
    pub(crate) fn read(mut table: Table, reader: &mut Reader<'_>) -> Option<Self> {
        table.call("[[figure]]");
        let each = reader.enter(&mut table);
        let says = reader.template(&mut table, "says", "\"what it is\"");
        let value = reader.need(&mut table, "value", "\"…\"");
        let when = reader.option(&mut table, "when");
        table.finish(reader.faults);
        reader.leave();
        Some(Self {
            when,
            each,
            says: says?,
            value: value?,
        })
    }
}

/// Where the limits stand that the functions of a `need` give.
fn limit_source(need: &Formula) -> String {
    let calls = need.calls().into_iter();
    let mut sources: Vec<&str> = calls.filter_map(source_of_limit).collect();
    sources.sort_unstable();
    sources.dedup();
    sources.join("; ")
}

/// The two halves of `otherwise`, parted by its last colon or semicolon outside braces.
fn wrong_and_remedy(text: &Text, reader: &mut Reader<'_>) -> Option<(Template, Template)> {
    let words = text.as_str();
    let Some(at) = parting(words) else {
        let fault = text.fault("this says what is wrong, but not what to do");
        let remedy = "add remedy = \"what to do\", or write \"what is wrong: what to do\"";
        reader.faults.push(fault.remedy(remedy));
        return None;
    };
    let wrong = reader.filled_in(text.slice(0..at));
    let remedy = reader.filled_in(text.slice(at + 2..words.len()));
    Some((wrong?, remedy?))
}

/// Where `otherwise` parts into what is wrong and what to do, if it does.
pub(super) fn parting(words: &str) -> Option<usize> {
    let outside = |at: &usize| {
        let before = &words[..*at];
        before.matches('{').count() == before.matches('}').count()
    };
    let parting = words.rmatch_indices([':', ';']).map(|(at, _)| at);
    let mut parting = parting.filter(|at| words[at + 1..].starts_with(' '));
    parting.find(outside)
}
