//! The cautions of a family: those of all its parts, and `[[caution]]` blocks for some of its forms.

use std::ops::Range;
use std::sync::Arc;

use super::reader::Reader;
use crate::fault::{Fault, Source, nearest};
use crate::toml_text::{Formula, Names, Table, Text, holds};
use crate::trade::cautions;

/// A topic of the cautions table, and when it applies.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Caution {
    topic: Text,
    when: Option<Formula>,
}

impl Caution {
    /// A topic that applies to every part of a family.
    pub(crate) fn always(topic: Text, faults: &mut Vec<Fault>) -> Option<Self> {
        known(&topic, faults).then_some(Self { topic, when: None })
    }

    /// A topic that is in the table, told of a place.
    pub(super) fn topic_of_all(topic: &str, source: &Arc<Source>, span: Range<usize>) -> Self {
        Self {
            topic: Text::new(source, span, topic.to_owned()),
            when: None,
        }
    }

    /// A `[[caution]]` block.
    pub(crate) fn read(mut table: Table, reader: &mut Reader<'_>) -> Option<Self> {
        table.call("[[caution]]");
        let topic = reader.text(&mut table, "topic", "\"welds\"");
        let when = reader.need(&mut table, "when", "\"boss_bolts == 0\"");
        table.finish(reader.faults);
        let (topic, when) = (topic?, when?);
        known(&topic, reader.faults).then_some(Self {
            topic,
            when: Some(when),
        })
    }

    /// Its topic, if it applies.
    pub(crate) fn topic(&self, names: &Names) -> Result<Option<String>, Fault> {
        let applies = holds(self.when.as_ref(), names)?;
        Ok(applies.then(|| self.topic.as_str().to_owned()))
    }
}

/// Whether the cautions table has a topic; a fault if it has not.
fn known(topic: &Text, faults: &mut Vec<Fault>) -> bool {
    let name = topic.as_str();
    let is_known = cautions::topics().any(|known| known == name);
    if !is_known {
        let fault = topic.fault(format!("there are no cautions about \"{name}\""));
        faults.push(match nearest(name, cautions::topics()) {
            Some(near) => fault.remedy(format!("did you mean \"{near}\"?")),
            None => {
                let topics: Vec<&str> = cautions::topics().collect();
                fault.remedy(format!("there are {}", topics.join(", ")))
            }
        });
    }
    is_known
}
