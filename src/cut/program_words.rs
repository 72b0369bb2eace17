//! What a table wants in its programs beside the moves: unit, first and last lines, and those of each run.
//!
//! In: the `[program]` block of a settings file. Out: [`ProgramWords`] whose every line a controller can
//! read as one line: its words are those of RS274/NGC or declared in the block, and it leaves nothing
//! behind that changes what the moves mean.

use super::ngc_words::{is_standard, left_behind, parted, words as words_of};
use crate::fault::Fault;
use crate::quantity::Dimension;
use crate::toml_text::words::{Words, words};
use crate::toml_text::{self, Item, Names};

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

impl ProgramUnit {
    /// The word that sets it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Millimetre => "G21",
            Self::Inch => "G20",
        }
    }
}

words! {
    /// A value of a run that a line may have, in the program's unit.
    RunValue {
        /// Where the torch pierces, along x.
        X = "x",
        /// Likewise along y.
        Y = "y",
        /// The number of the run on its sheet, from 1.
        Run = "run",
        /// The feed of the run, per minute.
        Feed = "feed",
        /// The wait at the pierce, s.
        PierceTime = "pierce_time",
        /// The height of the torch over the sheet at the pierce.
        PierceHeight = "pierce_height",
        /// Its height in the cut.
        CutHeight = "cut_height",
    }
}

/// A line of a program with places for the values of a run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RunLine(Vec<LinePiece>);

#[derive(Debug, Clone, PartialEq, Eq)]
enum LinePiece {
    AsItStands(String),
    Value(RunValue),
}

impl RunLine {
    /// The line for a run.
    pub fn filled(&self, value: impl Fn(RunValue) -> String) -> String {
        let pieces = self.0.iter().map(|piece| match piece {
            LinePiece::AsItStands(text) => text.clone(),
            LinePiece::Value(named) => value(*named),
        });
        pieces.collect()
    }

    /// Whether it has a value.
    #[must_use]
    pub fn has(&self, value: RunValue) -> bool {
        self.0.contains(&LinePiece::Value(value))
    }

    /// Reads `G4 P{pierce_time}`; what is wrong with it otherwise.
    fn parse(line: &str) -> Result<Self, Fault> {
        let mut pieces = Vec::new();
        let mut rest = line;
        while let Some((before, after)) = rest.split_once('{') {
            let value = after.split_once('}').and_then(|(name, after)| {
                let (value, _) = RunValue::ALL.iter().find(|(_, word)| *word == name)?;
                Some((*value, after))
            });
            let Some((value, after)) = value else {
                let what = after.split_once('}').map_or(after, |(name, _)| name);
                let fault = Fault::refused(format!("a run has no value called `{what}`"));
                let known = RunValue::ALL.iter().map(|(_, word)| format!("{{{word}}}"));
                let known: Vec<String> = known.collect();
                return Err(fault.remedy(format!("use {}", known.join(", "))));
            };
            pieces.push(LinePiece::AsItStands(before.to_owned()));
            pieces.push(LinePiece::Value(value));
            rest = after;
        }
        pieces.push(LinePiece::AsItStands(rest.to_owned()));
        Ok(Self(pieces))
    }

    /// With one and the same number for every value.
    fn sample(&self) -> String {
        self.filled(|_| "1".to_owned())
    }
}

/// What a table wants in its programs beside the moves.
#[derive(Debug, Clone, PartialEq)]
pub struct ProgramWords {
    /// The unit of the numbers.
    pub unit: ProgramUnit,
    /// After the unit and G90, before the first move.
    pub header: Vec<String>,
    /// After the last cut.
    pub footer: Vec<String>,
    /// Before the move to a pierce, the torch off.
    pub before_run: Vec<RunLine>,
    /// Over the pierce: what finds the sheet and starts the torch.
    pub before_pierce: Vec<RunLine>,
    /// Once it burns: the wait, and what brings the torch to the height of the cut.
    pub after_pierce: Vec<RunLine>,
    /// At the end of a run: what stops the torch, and lifts it.
    pub after_run: Vec<RunLine>,
    /// Before the torch starts on a small hole: what stops the height control from following the arc.
    pub hold_height: Vec<RunLine>,
    /// After a small hole: what lets the height control follow again.
    pub follow_height: Vec<RunLine>,
    /// Over the start of a line to scribe: what puts the marking tool on, or the torch with a low current. Without
    /// them nothing is scribed.
    pub before_scribe: Vec<RunLine>,
    /// At its end: what takes the tool off.
    pub after_scribe: Vec<RunLine>,
    /// Feed along lines to scribe, mm/s.
    pub scribe_feed: Option<f64>,
}

impl Default for ProgramWords {
    fn default() -> Self {
        let wait = [
            LinePiece::AsItStands("G4 P".to_owned()),
            LinePiece::Value(RunValue::PierceTime),
        ];
        let plain = |line: &str| RunLine(vec![LinePiece::AsItStands(line.to_owned())]);
        Self {
            unit: ProgramUnit::default(),
            header: Vec::new(),
            footer: vec!["M2".to_owned()],
            before_run: Vec::new(),
            before_pierce: vec![plain("M3")],
            after_pierce: vec![RunLine(wait.to_vec())],
            after_run: vec![plain("M5")],
            hold_height: Vec::new(),
            follow_height: Vec::new(),
            before_scribe: Vec::new(),
            after_scribe: Vec::new(),
            scribe_feed: None,
        }
    }
}

impl ProgramWords {
    /// The lines that come with every run.
    pub fn run_lines(&self) -> impl Iterator<Item = &RunLine> {
        [
            &self.before_run,
            &self.before_pierce,
            &self.after_pierce,
            &self.after_run,
            &self.hold_height,
            &self.follow_height,
            &self.before_scribe,
            &self.after_scribe,
        ]
        .into_iter()
        .flatten()
    }
}

/// The longest line of RS274/NGC, characters (NIST IR 6556).
const LONGEST_LINE: usize = 256;

/// Reads the `[program]` block, if there is one.
pub(super) fn read(file: &mut toml_text::Table, faults: &mut Vec<Fault>) -> Option<ProgramWords> {
    let mut program = ProgramWords::default();
    let Some(item) = file.take("program") else {
        return Some(program);
    };
    let mut block = item.table(faults)?;
    block.call("[program]");
    let unit = match block.take("unit") {
        Some(item) => item.word::<ProgramUnit>(faults),
        None => Some(program.unit),
    };
    let declared = block.take("declared").map_or_else(Vec::new, |item| {
        let texts = item.texts(faults);
        texts
            .iter()
            .flat_map(|text| words_of(text.as_str()))
            .collect()
    });
    let scribe_feed = block.take("scribe_feed");
    let scribe_feed = match scribe_feed {
        Some(item) => feed(item, faults).map(Some),
        None => Some(None),
    };
    let mut reader = Reader {
        unit: unit?,
        declared,
        faults,
    };
    program.unit = reader.unit;
    let mut whole = true;
    for (name, of) in WHOLE_LINES {
        if let Some(item) = block.take(name) {
            let lines = reader.lines(item, |line| Ok(line.to_owned()), Clone::clone);
            whole &= lines.map(|lines| *of(&mut program) = lines).is_some();
        }
    }
    for (name, of) in RUN_LINES {
        if let Some(item) = block.take(name) {
            let lines = reader.lines(item, RunLine::parse, RunLine::sample);
            whole &= lines.map(|lines| *of(&mut program) = lines).is_some();
        }
    }
    program.scribe_feed = scribe_feed?;
    if whole && !program.before_scribe.is_empty() && program.scribe_feed.is_none() {
        let fault = block.fault("lines are scribed, and nothing says how fast");
        faults.push(fault.remedy("add `scribe_feed = \"3000 mm/min\"` to [program]"));
        whole = false;
    }
    block.finish(faults);
    whole.then_some(program)
}

/// The feed along lines to scribe, mm/s.
fn feed(item: Item, faults: &mut Vec<Fault>) -> Option<f64> {
    let formula = item.formula(faults)?;
    let amount = formula.amount(&Names::none(), Dimension::SPEED, "`scribe_feed`");
    match amount {
        Ok(amount) if amount > 0.0 && amount.is_finite() => Some(amount),
        Ok(_) => {
            let message = format!("`scribe_feed` is {}", formula.text().as_str());
            faults.push(formula.fault(message).remedy("it must be more than 0"));
            None
        }
        Err(fault) => {
            faults.push(fault);
            None
        }
    }
}

/// A list of lines among the words of a program.
type Lines<T> = fn(&mut ProgramWords) -> &mut Vec<T>;

/// The keys of the lists of lines that stand once in a program.
pub(super) const WHOLE_LINES: [(&str, Lines<String>); 2] = [
    ("header", |it| &mut it.header),
    ("footer", |it| &mut it.footer),
];

/// The keys of those that come with a run.
pub(super) const RUN_LINES: [(&str, Lines<RunLine>); 8] = [
    ("before_run", |it| &mut it.before_run),
    ("before_pierce", |it| &mut it.before_pierce),
    ("after_pierce", |it| &mut it.after_pierce),
    ("after_run", |it| &mut it.after_run),
    ("hold_height", |it| &mut it.hold_height),
    ("follow_height", |it| &mut it.follow_height),
    ("before_scribe", |it| &mut it.before_scribe),
    ("after_scribe", |it| &mut it.after_scribe),
];

/// The keys of all lists of lines.
pub fn line_keys() -> impl Iterator<Item = &'static str> {
    let whole = WHOLE_LINES.iter().map(|(name, _)| *name);
    whole.chain(RUN_LINES.iter().map(|(name, _)| *name))
}

struct Reader<'a> {
    unit: ProgramUnit,
    /// Words of the table's own that the block names.
    declared: Vec<String>,
    faults: &'a mut Vec<Fault>,
}

impl Reader<'_> {
    /// A list of lines; `None` if one of them is wrong.
    fn lines<T>(
        &mut self,
        item: Item,
        parse: impl Fn(&str) -> Result<T, Fault>,
        sample: impl Fn(&T) -> String,
    ) -> Option<Vec<T>> {
        let behind = item.fault("these lines change what the moves after them mean");
        let items = item.list(self.faults)?;
        let read: Vec<Option<T>> = items
            .into_iter()
            .map(|item| self.line(item, &parse, &sample))
            .collect();
        let lines: Option<Vec<T>> = read.into_iter().collect();
        let lines = lines?;
        let samples: Vec<String> = lines.iter().map(sample).collect();
        let samples = samples.iter().map(String::as_str);
        if let Some((word, instead)) = left_behind(samples, self.unit.word()) {
            self.faults.push(behind.remedy(format!(
                "{word} holds until it is taken back: write {instead} after it, or leave it out"
            )));
            return None;
        }
        Some(lines)
    }

    fn line<T>(
        &mut self,
        item: Item,
        parse: impl Fn(&str) -> Result<T, Fault>,
        sample: impl Fn(&T) -> String,
    ) -> Option<T> {
        let text = item.text(self.faults)?;
        let line = text.as_str();
        let printable = line.chars().all(|c| c.is_ascii_graphic() || c == ' ');
        if !printable || line.len() > LONGEST_LINE {
            let fault = text.fault("a program line is one line of plain ASCII characters");
            self.faults.push(fault.remedy(format!(
                "write at most {LONGEST_LINE} letters, digits and signs; each line in quotes of its own"
            )));
            return None;
        }
        let parsed = match parse(line) {
            Ok(parsed) => parsed,
            Err(fault) => {
                self.faults.push(fault.at(text.source(), text.span()));
                return None;
            }
        };
        let is_known = |word: &str| {
            let declared = |it: &String| it == word || it == parted(word).0;
            is_standard(word) || self.declared.iter().any(declared)
        };
        let foreign = words_of(&sample(&parsed));
        if let Some(word) = foreign.into_iter().find(|word| !is_known(word)) {
            let fault = text.fault(format!("{word} is no word of RS274/NGC"));
            self.faults.push(fault.remedy(format!(
                "look it up in your controller's manual; if it is one of its own, write \
                 `declared = [\"{word}\"]` in [program]"
            )));
            return None;
        }
        Some(parsed)
    }
}
