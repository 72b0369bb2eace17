//! Cautions as commands say them: lines of text, or objects.

use serde_json::{Value, json};

use crate::trade::cautions::Caution;

/// One line for each caution.
pub(super) fn lines(cautions: &[Caution]) -> impl Iterator<Item = String> + '_ {
    cautions.iter().map(Caution::line)
}

/// One object for each caution.
pub(super) fn objects(cautions: &[Caution]) -> Vec<Value> {
    cautions.iter().map(|it| json!(it)).collect()
}
