//! One sheet's torch work as a program for the table.
//!
//! In: a [`CutSheet`] with its plates, and what the table wants beside the moves ([`ProgramWords`]).
//! Out: a program in the words of RS274/NGC (NIST IR 6556): G20 or G21 for the unit, G90, and for each
//! cut path G0 to its pierce, round what is cut out, lines as G1 and arcs as G2 or G3 with the centre from
//! the start of the arc; before and after that the table's lines, M3, G4 and M5 unless it has others. A
//! program may begin with a later run, after a stop. The paths are those of the cut-ready drawing, in the same
//! order, with the kerf already in them. Centre marks, scribed lines and bends are not in it.

use super::Exporter;
use crate::cut::{
    CutPath, CutSettings, HeightControl, Placed, ProgramUnit, ProgramWords, Reach, RunLine,
    RunValue, way_in,
};
use crate::fault::Outcome;
use crate::geometry::{Point, Segment, Turning, Vector};
use crate::layer::Layer;
use crate::nest::Placement;
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
    /// The first run that it cuts, by its place in the order: 0 for all.
    pub from: usize,
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
        let numbers = sheet.plate_numbers();
        let runs = sheet.plan.paths.iter().zip(&sheet.plan.rapids);
        for (order, ((_, path), way)) in runs.enumerate().skip(self.from) {
            let way = if order == self.from && order > 0 {
                self.goes_on(sheet, &mut writer)
            } else {
                way.clone()
            };
            writer.comment(&self.called(sheet, &numbers, order));
            writer.path(order, path, &way);
        }
        writer.lines(&self.words.footer);
        Ok(writer.text.into_bytes())
    }
}

impl Program<'_> {
    /// A run as its comment calls it: its number, the plate's number as in the picture, its name and copy,
    /// the contour's number in that and the opening, and the layer.
    fn called(&self, sheet: &CutSheet, numbers: &[usize], order: usize) -> String {
        let (index, path) = &sheet.plan.paths[order];
        let placement = &sheet.placements[*index];
        let CutPlate { plate, prepared } = &self.plates[placement.piece];
        let copy = match plate.quantity {
            1 => String::new(),
            copies => format!(" copy {} of {copies}", placement.copy + 1),
        };
        let opening = path.opening.map(|it| plate.openings[it].name.as_str());
        let up_to = match path.reach {
            Reach::Whole => "",
            Reach::BetweenTabs => ", up to a holding tab",
        };
        format!(
            "{}: plate {}, {}{copy}, contour {} {}, {}{up_to}",
            order + 1,
            numbers[*index],
            plate.name,
            prepared.contour_number(path.opening),
            opening.unwrap_or("outside"),
            path.layer.name()
        )
    }

    /// What a program that begins with a later run says first; gives the way to that run.
    fn goes_on(&self, sheet: &CutSheet, writer: &mut Writer<'_>) -> Vec<Point> {
        let placed: Vec<Placed> = sheet.placements.iter().map(Placement::placed).collect();
        let way = way_in(&sheet.plan, &placed, self.from);
        writer.comment(&format!(
            "goes on with run {} of {}; bring the torch to 0,0 first: from there the way is known",
            self.from + 1,
            sheet.plan.paths.len()
        ));
        if way.crosses {
            writer.comment(
                "THE WAY TO THIS PIERCE LEADS OVER WHAT IS CUT OUT: clear it or lift the torch",
            );
            writer.line("M0");
        }
        way.points
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
        let says = match self.words.unit {
            ProgramUnit::Millimetre => "mm",
            ProgramUnit::Inch => "inch",
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
        self.line(self.words.unit.word());
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
    fn path(&mut self, order: usize, path: &CutPath, way: &[Point]) {
        let held = match self.settings.height_control {
            HeightControl::Follow => false,
            HeightControl::HoldInSmallHoles => path.layer == Layer::SmallHole,
            HeightControl::Hold => true,
        };
        let words = self.words;
        let pierce = self.steps(path.pierce());
        self.run_lines(&words.before_run, order, path);
        for corner in way.iter().skip(1).take(way.len().saturating_sub(2)) {
            self.line(&format!("G0{}", self.place(self.steps(*corner))));
        }
        self.line(&format!("G0{}", self.place(pierce)));
        if held {
            self.run_lines(&words.hold_height, order, path);
        }
        self.run_lines(&words.before_pierce, order, path);
        self.run_lines(&words.after_pierce, order, path);
        let feed = format!(" F{}", self.feed(path));
        let mut here = pierce;
        let mut feed = Some(feed);
        for segment in &path.segments {
            here = self.cut(here, segment, &mut feed);
        }
        self.run_lines(&words.after_run, order, path);
        if held {
            self.run_lines(&words.follow_height, order, path);
        }
    }

    /// The table's lines with the values of a run.
    fn run_lines(&mut self, lines: &[RunLine], order: usize, path: &CutPath) {
        let pierce = self.steps(path.pierce());
        let height = |mm: Option<f64>| decimal(mm.unwrap_or_default() / self.unit, self.decimals);
        let filled = lines.iter().map(|line| {
            line.filled(|value| match value {
                RunValue::X => self.number(pierce.0),
                RunValue::Y => self.number(pierce.1),
                RunValue::Run => (order + 1).to_string(),
                RunValue::Feed => self.feed(path),
                RunValue::PierceTime => decimal(path.pierce_time, 3),
                // A table whose lines use a height has it in every row.
                RunValue::PierceHeight => height(self.settings.pierce_height),
                RunValue::CutHeight => height(self.settings.cut_height),
            })
        });
        let filled: Vec<String> = filled.collect();
        self.lines(&filled);
    }

    /// A run's feed as it is written.
    fn feed(&self, path: &CutPath) -> String {
        decimal(path.feed * MINUTE / self.unit, 3)
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
