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
    let mut program = usual;
    let mut whole = true;
    for (name, of) in LINES {
        if let Some(item) = block.take(name) {
            let items = item.list(faults);
            let lines: Option<Vec<String>> =
                items.and_then(|items| items.into_iter().map(|item| line(item, faults)).collect());
            whole &= lines.map(|lines| *of(&mut program) = lines).is_some();
        }
    }
    block.finish(faults);
    program.unit = unit?;
    whole.then_some(program)
}

/// A list of lines among the words of a program.
type Lines = fn(&mut ProgramWords) -> &mut Vec<String>;

/// The keys of the lists of lines.
pub(super) const LINES: [(&str, Lines); 4] = [
    ("header", |it| &mut it.header),
    ("footer", |it| &mut it.footer),
    ("hold_height", |it| &mut it.hold_height),
    ("follow_height", |it| &mut it.follow_height),
];

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
