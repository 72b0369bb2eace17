//! One sheet's torch work as a program for the table.
//!
//! In: a [`CutSheet`] with its plates, and what the table wants beside the moves ([`ProgramWords`]).
//! Out: a program in the words of RS274/NGC (NIST IR 6556): G20 or G21 for the unit, G90, and for each
//! cut path G0 to its pierce, round what is cut out, lines as G1 and arcs as G2 or G3 with the centre from
//! the start of the arc; before and after that the table's lines, M3, G4 and M5 unless it has others. A
//! program may begin with a later run, after a stop. The paths are those of the cut-ready drawing, in the same
//! order, with the kerf already in them. Lines to scribe come first where the table has lines that put a tool on and
//! off for them; centre marks and bends are not in it.

use super::Exporter;
use super::sheet_view::scrap_says;
use crate::cut::{
    CutPath, CutSettings, HeightControl, Placed, ProgramUnit, ProgramWords, Reach, RunLine,
    RunValue, ScrapCut, way_in,
};
use crate::fault::Outcome;
use crate::geometry::{Contour, Point, Segment, Turning, Vector};
use crate::layer::Layer;
use crate::nest::Placement;
use crate::plate::Scribed;
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
        if self.from == 0 {
            self.scribed(sheet, &mut writer);
        }
        let numbers = sheet.plate_numbers();
        let of_plates = sheet.plan.paths.iter().map(|(_, path)| TorchRun::of(path));
        let runs = of_plates.chain(sheet.plan.scrap.iter().map(TorchRun::through));
        let runs = runs.zip(&sheet.plan.rapids);
        for (order, (run, way)) in runs.enumerate().skip(self.from) {
            let way = if order == self.from && order > 0 {
                self.goes_on(sheet, &mut writer)
            } else {
                way.clone()
            };
            writer.comment(&self.called(sheet, &numbers, order));
            writer.run(order, &run, &way);
        }
        writer.lines(&self.words.footer);
        Ok(writer.text.into_bytes())
    }
}

impl Program<'_> {
    /// A run as its comment calls it: its number, the plate's number as in the picture, its name and copy,
    /// the contour's number in that and the opening, and the layer.
    fn called(&self, sheet: &CutSheet, numbers: &[usize], order: usize) -> String {
        let Some((index, path)) = sheet.plan.paths.get(order) else {
            let cut = order - sheet.plan.paths.len();
            let says = scrap_says(&sheet.plan.scrap[cut]);
            return format!("{}: {says}, {}", order + 1, Layer::Scrap.name());
        };
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
            Reach::AcrossSlug => ", across its slug",
            Reach::BesideCut => ", from the cut that it shares",
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

    /// Lines to scribe, plate after plate, where the table has a tool for it: before anything is cut.
    fn scribed(&self, sheet: &CutSheet, writer: &mut Writer<'_>) {
        let Some(feed) = self.words.scribe_feed.filter(|_| writer.scribes()) else {
            return;
        };
        let strokes = sheet.placements.iter().flat_map(|placement| {
            let plate = &self.plates[placement.piece].plate;
            let strokes = plate.strokes().into_iter();
            strokes.map(move |it| (plate.name.as_str(), placement, it))
        });
        for (order, (name, placement, stroke)) in strokes.enumerate() {
            let pieces = match stroke {
                Scribed::Circle(circle) => {
                    let around = Contour::circle(circle.centre, circle.radius);
                    around.segments().to_vec()
                }
                Scribed::Stroke(pieces) => pieces,
            };
            let pieces = pieces.iter().map(|it| (it.posed(&placement.pose), feed));
            let run = TorchRun {
                layer: Layer::Scribe,
                segments: pieces.collect(),
                feed,
                pierce_time: 0.0,
            };
            let copy = placement.copy + 1;
            writer.comment(&format!("scribe {}: {name} copy {copy}", order + 1));
            writer.scribe(order, &run);
        }
    }

    /// What a program that begins with a later run says first; gives the way to that run.
    fn goes_on(&self, sheet: &CutSheet, writer: &mut Writer<'_>) -> Vec<Point> {
        let placed: Vec<Placed> = sheet.placements.iter().map(Placement::placed).collect();
        let way = way_in(&sheet.plan, &placed, self.from);
        writer.comment(&format!(
            "goes on with run {} of {}; bring the torch to 0,0 first: from there the way is known",
            self.from + 1,
            sheet.plan.runs()
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

/// A run as the torch sees it.
#[derive(Debug, Clone)]
struct TorchRun {
    layer: Layer,
    /// Each with its feed, mm/s.
    segments: Vec<(Segment, f64)>,
    /// mm/s.
    feed: f64,
    /// s.
    pierce_time: f64,
}

impl TorchRun {
    fn of(path: &CutPath) -> Self {
        Self {
            layer: path.layer,
            segments: path.paced(),
            feed: path.feed,
            pierce_time: path.pierce_time,
        }
    }

    fn through(cut: &ScrapCut) -> Self {
        Self {
            layer: Layer::Scrap,
            segments: cut.segments.iter().map(|it| (*it, cut.feed)).collect(),
            feed: cut.feed,
            pierce_time: cut.pierce_time,
        }
    }

    fn pierce(&self) -> Point {
        self.segments[0].0.start()
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
        self.comment(if self.scribes() {
            "centre marks are in the drawing only"
        } else {
            "centre marks and scribed lines are in the drawing only"
        });
        self.line(self.words.unit.word());
        self.line("G90");
        self.lines(&self.words.header);
    }

    /// Whether the table has a tool that scribes.
    fn scribes(&self) -> bool {
        !self.words.before_scribe.is_empty()
    }

    /// One line to scribe, and the way to it.
    fn scribe(&mut self, order: usize, run: &TorchRun) {
        let words = self.words;
        self.line(&format!("G0{}", self.place(self.steps(run.pierce()))));
        self.run_lines(&words.before_scribe, order, run);
        self.along(run);
        self.run_lines(&words.after_scribe, order, run);
    }

    /// The moves of a run from its start on.
    fn along(&mut self, run: &TorchRun) {
        let mut here = self.steps(run.pierce());
        let mut last = None;
        for (segment, feed) in &run.segments {
            let end = self.steps(segment.end());
            // Pieces shorter than a step are left out: what follows starts from here.
            if end != here {
                self.cut((here, end), segment, (last != Some(*feed)).then_some(*feed));
                (here, last) = (end, Some(*feed));
            }
        }
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
    fn run(&mut self, order: usize, path: &TorchRun, way: &[Point]) {
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
        self.along(path);
        self.run_lines(&words.after_run, order, path);
        if held {
            self.run_lines(&words.follow_height, order, path);
        }
    }

    /// The table's lines with the values of a run.
    fn run_lines(&mut self, lines: &[RunLine], order: usize, path: &TorchRun) {
        let pierce = self.steps(path.pierce());
        let height = |mm: Option<f64>| decimal(mm.unwrap_or_default() / self.unit, self.decimals);
        let filled = lines.iter().map(|line| {
            line.filled(|value| match value {
                RunValue::X => self.number(pierce.0),
                RunValue::Y => self.number(pierce.1),
                RunValue::Run => (order + 1).to_string(),
                RunValue::Feed => self.feed(path.feed),
                RunValue::PierceTime => decimal(path.pierce_time, 3),
                // A table whose lines use a height has it in every row.
                RunValue::PierceHeight => height(self.settings.pierce_height),
                RunValue::CutHeight => height(self.settings.cut_height),
            })
        });
        let filled: Vec<String> = filled.collect();
        self.lines(&filled);
    }

    /// A feed as it is written.
    fn feed(&self, mm_per_second: f64) -> String {
        decimal(mm_per_second * MINUTE / self.unit, 3)
    }

    /// One piece of a run, with its feed where that is another than before.
    fn cut(&mut self, (here, end): (Steps, Steps), segment: &Segment, feed: Option<f64>) {
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
        let feed = feed.map_or_else(String::new, |it| format!(" F{}", self.feed(it)));
        self.line(&(word + &feed));
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
