//! What a part may know of the table that it is cut on.

use crate::quantity::Value;
use crate::toml_text::Names;
use crate::trade::thermal::Process;

/// The process and the kerf that a part is cut with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cutting {
    /// How it is cut.
    pub process: Process,
    /// Width of the slot that is burnt, mm.
    pub kerf: f64,
}

impl Default for Cutting {
    /// Until a table is known: that of a plasma table on plate of 6 mm (common practice, no source).
    fn default() -> Self {
        Self {
            process: Process::Plasma,
            kerf: 1.5,
        }
    }
}

impl Cutting {
    /// Gives the names `kerf` and `process` their values.
    pub(crate) fn tell(&self, names: &mut Names) {
        names.set("kerf", Value::length(self.kerf));
        names.set("process", Value::text(self.process.word()));
    }
}
