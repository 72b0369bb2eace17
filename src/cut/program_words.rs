//! What a table wants in its programs beside the moves: unit, first and last lines.
//!
//! In: the `[program]` block of a settings file. Out: [`ProgramWords`] whose every line a controller
//! can read as one line.

use crate::fault::Fault;
use crate::toml_text::words::Words;
use crate::toml_text::{self, Item};

/// The unit that a program's numbers are in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ProgramUnit {
    /// Millimetres, G21.
    #[default]
    Millimetre,
    /// Inches, G20.
    Inch,
}

impl Words for ProgramUnit {
    const ALL: &'static [(Self, &'static str)] = &[(Self::Millimetre, "mm"), (Self::Inch, "inch")];
}

/// What a table wants in its programs beside the moves. Lines are written as they stand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProgramWords {
    /// The unit of the numbers.
    pub unit: ProgramUnit,
    /// After the unit and G90, before the first move.
    pub header: Vec<String>,
    /// After the last cut.
    pub footer: Vec<String>,
    /// Before the torch starts on a small hole: what stops the height control from following the arc.
    pub hold_height: Vec<String>,
    /// After a small hole: what lets the height control follow again.
    pub follow_height: Vec<String>,
}

impl Default for ProgramWords {
    fn default() -> Self {
        Self {
            unit: ProgramUnit::default(),
            header: Vec::new(),
            footer: vec!["M2".to_owned()],
            hold_height: Vec::new(),
            follow_height: Vec::new(),
        }
    }
}

/// The longest line of RS274/NGC, characters (NIST IR 6556).
const LONGEST_LINE: usize = 256;

/// Reads the `[program]` block, if there is one.
pub(super) fn read(file: &mut toml_text::Table, faults: &mut Vec<Fault>) -> Option<ProgramWords> {
    let usual = ProgramWords::default();
    let Some(item) = file.take("program") else {
        return Some(usual);
    };
    let mut block = item.table(faults)?;
    block.call("[program]");
    let unit = match block.take("unit") {
        Some(item) => item.word::<ProgramUnit>(faults),
        None => Some(usual.unit),
    };
    let header = lines(&mut block, "header", usual.header, faults);
    let footer = lines(&mut block, "footer", usual.footer, faults);
    let hold = lines(&mut block, "hold_height", usual.hold_height, faults);
    let follow = lines(&mut block, "follow_height", usual.follow_height, faults);
    block.finish(faults);
    Some(ProgramWords {
        unit: unit?,
        header: header?,
        footer: footer?,
        hold_height: hold?,
        follow_height: follow?,
    })
}

/// A list of program lines, or the usual ones if it is not given.
fn lines(
    block: &mut toml_text::Table,
    key: &str,
    usual: Vec<String>,
    faults: &mut Vec<Fault>,
) -> Option<Vec<String>> {
    let Some(item) = block.take(key) else {
        return Some(usual);
    };
    let items = item.list(faults)?;
    items.into_iter().map(|item| line(item, faults)).collect()
}

fn line(item: Item, faults: &mut Vec<Fault>) -> Option<String> {
    let text = item.text(faults)?;
    let line = text.as_str();
    let printable = line.chars().all(|c| c.is_ascii_graphic() || c == ' ');
    if !printable || line.len() > LONGEST_LINE {
        let fault = text.fault("a program line is one line of plain ASCII characters");
        faults.push(fault.remedy(format!(
            "write at most {LONGEST_LINE} letters, digits and signs; each line in quotes of its own"
        )));
        return None;
    }
    Some(line.to_owned())
}
