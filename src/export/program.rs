//! One sheet's torch work as a program for the table.
//!
//! In: a [`CutSheet`] with its plates, and what the table wants beside the moves ([`ProgramWords`]).
//! Out: a program in the words of RS274/NGC (NIST IR 6556): G20 or G21 for the unit, G90, and for each
//! cut path G0 to its pierce, round what is cut out, M3, G4, lines as G1 and arcs as G2 or G3 with the centre from the start
//! of the arc, M5. The paths are those of the cut-ready drawing, in the same order, with the kerf
//! already in them. Centre marks, scribed lines and bends are not in it.

use super::Exporter;
use crate::cut::{CutPath, CutSettings, HeightControl, ProgramUnit, ProgramWords, Reach};
use crate::fault::Outcome;
use crate::geometry::{Point, Segment, Turning, Vector};
use crate::layer::Layer;
use crate::quantity::format::{decimal, millimetres};
use crate::sheet::{CutPlate, CutSheet};

/// Writes programs.
#[derive(Debug, Clone, Copy)]
pub struct Program<'a> {
    /// The plates of the run, which the sheet's placements point into.
    pub plates: &'a [CutPlate],
    /// What the table wants beside the moves.
    pub words: &'a ProgramWords,
    /// The settings that the sheet is cut with.
    pub settings: &'a CutSettings,
}

/// Millimetres of an inch.
const INCH: f64 = 25.4;

/// Seconds of a minute: feeds are written per minute.
const MINUTE: f64 = 60.0;

impl Exporter<CutSheet> for Program<'_> {
    fn extension(&self) -> &'static str {
        "nc"
    }

    fn export(&self, sheet: &CutSheet) -> Outcome<Vec<u8>> {
        let mut writer = Writer::new(self.words, self.settings);
        writer.opening(sheet);
        let runs = sheet.plan.paths.iter().zip(&sheet.plan.rapids);
        for (order, ((placement, path), way)) in runs.enumerate() {
            let plate = &self.plates[sheet.placements[*placement].piece].plate.name;
            let up_to = match path.reach {
                Reach::Whole => "",
                Reach::BetweenTabs => ", up to a holding tab",
            };
            let layer = path.layer.name();
            writer.comment(&format!("{}: {layer}, {plate}{up_to}", order + 1));
            writer.path(path, way);
        }
        writer.lines(&self.words.footer);
        Ok(writer.text.into_bytes())
    }
}

/// A program being written.
struct Writer<'a> {
    words: &'a ProgramWords,
    settings: &'a CutSettings,
    /// mm of the program's unit.
    unit: f64,
    /// Decimals of a coordinate: to a tenth of a micrometre or better.
    decimals: usize,
    /// Steps of the last decimal in a unit.
    steps: f64,
    text: String,
}

/// A coordinate as it is written, in steps of its last decimal.
type Steps = (i64, i64);

impl<'a> Writer<'a> {
    fn new(words: &'a ProgramWords, settings: &'a CutSettings) -> Self {
        let (unit, decimals, steps) = match words.unit {
            ProgramUnit::Millimetre => (1.0, 4, 1e4),
            ProgramUnit::Inch => (INCH, 6, 1e6),
        };
        Self {
            words,
            settings,
            unit,
            decimals,
            steps,
            text: String::new(),
        }
    }

    fn opening(&mut self, sheet: &CutSheet) {
        let (unit, says) = match self.words.unit {
            ProgramUnit::Millimetre => ("G21", "mm"),
            ProgramUnit::Inch => ("G20", "inch"),
        };
        self.comment(&sheet.name);
        self.comment(&format!(
            "{} {}, {} x {}",
            sheet.material,
            millimetres(sheet.thickness),
            millimetres(sheet.length()),
            millimetres(sheet.width())
        ));
        self.comment(&format!(
            "RS274/NGC, {says}; 0,0 as in the sheet's drawing; kerf {} is in the paths",
            millimetres(sheet.kerf)
        ));
        self.torch();
        self.comment("centre marks and scribed lines are in the drawing only");
        self.line(unit);
        self.line("G90");
        self.lines(&self.words.header);
    }

    /// What the operator sets at the torch, as far as the settings say.
    fn torch(&mut self) {
        let settings = self.settings;
        let mut said = Vec::new();
        said.extend(
            settings
                .current
                .map(|amperes| format!("{} A", decimal(amperes, 1))),
        );
        for (what, height) in [
            ("pierce height", settings.pierce_height),
            ("cut height", settings.cut_height),
        ] {
            said.extend(height.map(|height| format!("{what} {}", millimetres(height))));
        }
        if !said.is_empty() {
            self.comment(&said.join(", "));
        }
    }

    /// One torch run, and the way to its pierce, which may go round what is cut out already.
    fn path(&mut self, path: &CutPath, way: &[Point]) {
        let held = match self.settings.height_control {
            HeightControl::Follow => false,
            HeightControl::HoldInSmallHoles => path.layer == Layer::SmallHole,
            HeightControl::Hold => true,
        };
        let pierce = self.steps(path.pierce());
        for corner in way.iter().skip(1).take(way.len().saturating_sub(2)) {
            self.line(&format!("G0{}", self.place(self.steps(*corner))));
        }
        self.line(&format!("G0{}", self.place(pierce)));
        if held {
            self.lines(&self.words.hold_height);
        }
        self.line("M3");
        if path.pierce_time > 0.0 {
            self.line(&format!("G4 P{}", decimal(path.pierce_time, 3)));
        }
        let feed = format!(" F{}", decimal(path.feed * MINUTE / self.unit, 3));
        let mut here = pierce;
        let mut feed = Some(feed);
        for segment in &path.segments {
            here = self.cut(here, segment, &mut feed);
        }
        self.line("M5");
        if held {
            self.lines(&self.words.follow_height);
        }
    }

    /// One piece of a run from where the torch is; gives where it is then. Pieces shorter than a step
    /// are left out: what follows starts from here.
    fn cut(&mut self, here: Steps, segment: &Segment, feed: &mut Option<String>) -> Steps {
        let end = self.steps(segment.end());
        if end == here {
            return here;
        }
        let word = match segment {
            Segment::Line { .. } => format!("G1{}", self.place(end)),
            Segment::Arc {
                centre, turning, ..
            } => {
                let word = match turning {
                    Turning::Left => "G3",
                    Turning::Right => "G2",
                };
                let centre = self.steps(*centre);
                let from_start = (centre.0 - here.0, centre.1 - here.1);
                format!(
                    "{word}{} I{} J{}",
                    self.place(end),
                    self.number(from_start.0),
                    self.number(from_start.1)
                )
            }
        };
        self.line(&(word + feed.take().as_deref().unwrap_or_default()));
        end
    }

    fn steps(&self, at: Point) -> Steps {
        let scale = self.steps / self.unit;
        let Vector { x, y } = at - Point::ORIGIN;
        ((x * scale).round() as i64, (y * scale).round() as i64)
    }

    fn place(&self, at: Steps) -> String {
        format!(" X{} Y{}", self.number(at.0), self.number(at.1))
    }

    fn number(&self, steps: i64) -> String {
        decimal(steps as f64 / self.steps, self.decimals)
    }

    fn line(&mut self, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
    }

    fn lines(&mut self, lines: &[String]) {
        for line in lines {
            self.line(line);
        }
    }

    /// A comment: plain characters, no brackets in it.
    fn comment(&mut self, words: &str) {
        let plain = words.chars().map(|c| match c {
            '×' => 'x',
            '(' | ')' => ' ',
            c if c.is_ascii_graphic() || c == ' ' => c,
            _ => '?',
        });
        let comment = format!("({})", plain.collect::<String>());
        self.line(&comment);
    }
}
