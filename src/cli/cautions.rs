//! Cautions as commands say them: lines of text, or objects.

use serde_json::{Value, json};

use crate::trade;

/// One line for each topic.
pub(super) fn lines<'a>(topics: &'a [&str]) -> impl Iterator<Item = String> + 'a {
    let said = |topic: &&str| {
        Some(format!(
            "caution, {topic}: {}",
            trade::cautions::text(topic)?
        ))
    };
    topics.iter().filter_map(said)
}

/// One object for each topic.
pub(super) fn objects<'a>(topics: impl IntoIterator<Item = &'a str>) -> Vec<Value> {
    let said = |topic| Some(json!({ "topic": topic, "text": trade::cautions::text(topic)? }));
    topics.into_iter().filter_map(said).collect()
}
