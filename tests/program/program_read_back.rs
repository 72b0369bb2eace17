//! Programs come back through an independent reader (`gcode`) as the cut paths of the sheet's drawing
//! (read by `dxf`), run by run; and net sheets carry the nominal contours alone.
//!
//! What the words mean is taken from RS274/NGC (NIST IR 6556): G0 rapid, G1 line, G2 clockwise and G3
//! counter-clockwise arc with the centre at I, J from the start, G4 P seconds, G20 inch, G21 mm, G90
//! absolute, M3 on, M5 off (from memory).

use std::f64::consts::TAU;
use std::fs;
use std::path::Path;

use crate::support::bench::Bench;
use dxf::entities::EntityType;
use gcode::{Code, Value};
use platewright::geometry::{Point, Segment};
use serde_json::Value as Json;

/// How far a program may be off the drawing, mm.
const EXACT: f64 = 0.005;

/// One torch run of a program: its pieces in mm, the feed in mm/min and the wait in s.
#[derive(Debug, Default)]
struct Run {
    pieces: Vec<Piece>,
    feed: f64,
    wait: f64,
}

/// A line, or an arc about a centre with a signed sweep.
#[derive(Debug, Clone, Copy)]
struct Piece {
    from: Point,
    to: Point,
    arc: Option<(Point, f64)>,
}

impl Piece {
    fn length(&self) -> f64 {
        match self.arc {
            None => self.from.distance(self.to),
            Some((centre, sweep)) => centre.distance(self.from) * sweep.abs(),
        }
    }

    fn at(&self, share: f64) -> Point {
        match self.arc {
            None => self.from.lerp(self.to, share),
            Some((centre, sweep)) => {
                let start = (self.from - centre).angle();
                centre.polar(centre.distance(self.from), start + sweep * share)
            }
        }
    }
}

/// A machine that knows nothing but the words.
#[derive(Default)]
struct Machine {
    unit: Option<f64>,
    absolute: bool,
    at: Point,
    motion: u32,
    feed: f64,
    on: Option<Run>,
    wait: f64,
    runs: Vec<Run>,
    /// Moves with the torch off before the first run.
    way_in: Vec<(Point, Point)>,
    /// Whether it stopped for the operator there.
    stopped: bool,
}

impl Machine {
    fn word(&mut self, letter: char, major: u32, args: &[(char, f64)]) {
        match (letter, major) {
            ('G', 20) => self.unit = Some(25.4),
            ('G', 21) => self.unit = Some(1.0),
            ('G', 90) => self.absolute = true,
            ('G', 0..=3) => {
                self.motion = major;
                self.travel(args);
            }
            ('G', 4) => self.wait = args.iter().find(|(l, _)| *l == 'P').expect("a time").1,
            ('M', 0) if self.runs.is_empty() => self.stopped = true,
            ('M', 3) => {
                assert!(self.on.is_none(), "the torch is on already");
                self.wait = 0.0;
                self.on = Some(Run::default());
            }
            ('M', 5) => {
                let run = self.on.take().expect("the torch is on");
                self.runs.push(Run {
                    feed: self.feed,
                    wait: self.wait,
                    ..run
                });
            }
            _ => {}
        }
    }

    fn travel(&mut self, args: &[(char, f64)]) {
        let unit = self.unit.expect("a unit before the first move");
        assert!(self.absolute, "G90 before the first move");
        let value = |letter| {
            args.iter()
                .find(|(l, _)| *l == letter)
                .map(|(_, v)| v * unit)
        };
        let to = Point::new(
            value('X').unwrap_or(self.at.x),
            value('Y').unwrap_or(self.at.y),
        );
        let arc = match self.motion {
            0 | 1 => None,
            way => {
                let centre = Point::new(
                    self.at.x + value('I').expect("I"),
                    self.at.y + value('J').expect("J"),
                );
                let (a, b) = ((self.at - centre).angle(), (to - centre).angle());
                // A controller refuses an arc whose ends are not on one circle.
                let off = centre.distance(self.at) - centre.distance(to);
                assert!(off.abs() < 0.002, "an arc that misses its end by {off} mm");
                let turn = (b - a).rem_euclid(TAU);
                Some((centre, if way == 3 { turn } else { turn - TAU }))
            }
        };
        let from = self.at;
        self.at = to;
        if let Some(feed) = value('F') {
            self.feed = feed;
        }
        match (&mut self.on, self.motion) {
            (Some(_), 0) => panic!("a rapid with the torch on"),
            // Down to the height of the cut.
            (Some(_), _) if from == to => {}
            (Some(run), _) => run.pieces.push(Piece { from, to, arc }),
            (None, 0) if self.runs.is_empty() => self.way_in.push((from, to)),
            (None, 0) => {}
            (None, _) => panic!("a cut with the torch off"),
        }
    }
}

fn runs_of(program: &str) -> Vec<Run> {
    read(program).runs
}

fn read(program: &str) -> Machine {
    let program = gcode::parse(program).expect("the reader takes the program");
    let mut machine = Machine::default();
    for code in program.blocks.iter().flat_map(|block| &block.codes) {
        let (letter, number, args) = match code {
            Code::General(code) => ('G', code.number, &code.args),
            Code::Miscellaneous(code) => ('M', code.number, &code.args),
            other => panic!("{other:?}"),
        };
        let args: Vec<(char, f64)> = args
            .iter()
            .map(|arg| match arg.value {
                Value::Literal(value) => (arg.letter, f64::from(value)),
                ref other => panic!("{other:?}"),
            })
            .collect();
        machine.word(letter, number.major(), &args);
    }
    assert!(machine.on.is_none(), "the torch stays on");
    machine
}

/// The open chains to be cut of a drawing in its order: the layer and the pieces. What is scribed has
/// its own layer and is no part of the program.
fn chains_of(path: &Path) -> Vec<(String, Vec<Piece>)> {
    let file = dxf::Drawing::load_file(path).expect("a drawing");
    file.entities()
        .filter(|entity| entity.common.layer != "SCRIBE")
        .filter_map(|entity| match &entity.specific {
            EntityType::LwPolyline(chain) if !chain.is_closed() => {
                let pieces = chain.vertices.windows(2).map(|pair| {
                    let (from, to) = (
                        Point::new(pair[0].x, pair[0].y),
                        Point::new(pair[1].x, pair[1].y),
                    );
                    let arc = match Segment::from_bulge(from, to, pair[0].bulge) {
                        Segment::Arc { centre, .. } => Some((centre, 4.0 * pair[0].bulge.atan())),
                        Segment::Line { .. } => None,
                    };
                    Piece { from, to, arc }
                });
                Some((entity.common.layer.clone(), pieces.collect()))
            }
            _ => None,
        })
        .collect()
}

/// Points along a run at even shares of its length.
fn walk(pieces: &[Piece], count: u32) -> Vec<Point> {
    let length: f64 = pieces.iter().map(Piece::length).sum();
    (0..=count)
        .map(|i| {
            let mut left = length * f64::from(i) / f64::from(count);
            for piece in pieces {
                if left <= piece.length() {
                    return piece.at((left / piece.length()).min(1.0));
                }
                left -= piece.length();
            }
            pieces[pieces.len() - 1].to
        })
        .collect()
}

/// Cuts a job and compares every program with its drawing; gives the number of runs and the worst gap.
fn compare(bench: &Bench, job: &str) -> (usize, f64) {
    bench.done(&["cut", job, "--program", "--out", "out", "--seconds", "0"]);
    let report = fs::read_to_string(bench.path("out/report.json")).expect("report.json");
    let report: Json = serde_json::from_str(&report).expect("JSON");
    let (mut count, mut worst) = (0, 0.0_f64);
    for sheet in report["sheets"].as_array().expect("sheets") {
        let drawing = bench
            .path("out")
            .join(sheet["file"].as_str().expect("a file"));
        let program = fs::read_to_string(drawing.with_extension("nc")).expect("a program");
        let (runs, chains) = (runs_of(&program), chains_of(&drawing));
        assert_eq!(runs.len(), chains.len());
        for (run, (layer, chain)) in runs.iter().zip(&chains) {
            let drawn_arcs = chain.iter().filter(|piece| piece.arc.is_some()).count();
            let arcs = run
                .pieces
                .iter()
                .filter(|piece| piece.arc.is_some())
                .count();
            assert_eq!(arcs, drawn_arcs, "arcs are arcs");
            assert!(run.feed > 0.0 && run.wait > 0.0, "{layer}: {run:?}");
            for (a, b) in walk(&run.pieces, 500).iter().zip(walk(chain, 500)) {
                worst = worst.max(a.distance(b));
            }
        }
        count += runs.len();
    }
    (count, worst)
}

fn demo() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/jobs/orchard-cart.toml");
    path.to_str().expect("a plain path").to_owned()
}

#[test]
fn the_demo_s_programs_run_along_its_drawings() {
    let (count, worst) = compare(&Bench::new(), &demo());
    assert!(count > 50, "{count} runs");
    assert!(worst <= EXACT, "{worst} mm off");
}

const BRACKET: &str = "recipe = \"pedal-bracket\"\nthickness = \"5 mm\"\ntable = \"inch-table\"\n";

/// The shipped table with program lines of its own.
fn inch_table(bench: &Bench) {
    let shipped =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/tables/shop-plasma.toml");
    let shipped = fs::read_to_string(shipped).expect("the shipped table");
    let rows = &shipped[shipped.find("[[cut]]").expect("rows")..];
    let head = &shipped[..shipped.find("[program]").expect("program lines")];
    let words = r#"
[program]
unit = "inch"
header = ["G17 G40", "(shed table)"]
footer = ["G0 X0 Y0", "M30"]
hold_height = ["M8"]
follow_height = ["M9"]

"#;
    bench.write("inch-table.toml", &format!("{head}{words}{rows}"));
}

#[test]
fn a_table_may_want_inches_and_lines_of_its_own() {
    let bench = Bench::new();
    inch_table(&bench);
    bench.write("part.toml", BRACKET);
    let (count, worst) = compare(&bench, "part.toml");
    assert!(count > 1 && worst <= EXACT, "{count} runs, {worst} mm off");
    let text =
        fs::read_to_string(bench.path("out/sheets/01-mild-steel-5mm.nc")).expect("a program");
    let lines: Vec<&str> = text.lines().collect();
    let unit = lines.iter().position(|line| *line == "G20").expect("G20");
    assert_eq!(
        lines[unit + 1..unit + 4],
        ["G90", "G17 G40", "(shed table)"]
    );
    assert_eq!(lines[lines.len() - 2..], ["G0 X0 Y0", "M30"]);
    // The height control is held for each small hole, and only there.
    let small = lines
        .iter()
        .filter(|line| line.contains("SMALL_HOLE"))
        .count();
    assert!(small > 0, "{text}");
    assert_eq!(lines.iter().filter(|line| **line == "M8").count(), small);
    assert_eq!(lines.iter().filter(|line| **line == "M9").count(), small);
    assert!(text.is_ascii());
}

/// Shipped tables with lines of their own: a torch clamped at one height, and one that touches off.
#[test]
fn programs_of_every_shipped_table_run_along_their_drawings() {
    for file in fs::read_dir("part-recipes/tables").expect("the tables") {
        let table = file.expect("a table").path();
        let table = table
            .file_stem()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        let bench = Bench::new();
        let part = format!(
            "recipe = \"flange\"\nquantity = 2\nthickness = \"6 mm\"\ntable = \"{table}\"\n"
        );
        bench.write("part.toml", &part);
        let (count, worst) = compare(&bench, "part.toml");
        assert!(
            count >= 4 && worst <= EXACT,
            "{table}: {count} runs, {worst} mm off"
        );
    }
}

#[test]
fn a_touch_off_comes_before_each_pierce_and_the_height_of_the_cut_after_it() {
    let bench = Bench::new();
    bench.write(
        "part.toml",
        "recipe = \"flange\"\nquantity = 2\nthickness = \"6 mm\"\ntable = \"touch-off-plasma\"\n",
    );
    bench.done(&["cut", "part.toml", "--program"]);
    let path = bench.path("out/sheets/01-mild-steel-6mm.nc");
    let text = fs::read_to_string(path).expect("a program");
    let lines: Vec<&str> = text.lines().collect();
    let starts: Vec<usize> = (0..lines.len()).filter(|at| lines[*at] == "M3").collect();
    assert!(starts.len() > 4, "{text}");
    // The row of that table for 6 mm: 3.8 mm at the pierce for 0.5 s, 1.5 mm in the cut.
    for at in starts {
        assert_eq!(lines[at - 3..at], ["G38.2 Z-35 F600", "G92 Z0", "G0 Z3.8"]);
        assert_eq!(lines[at + 1..at + 3], ["G4 P0.5", "G1 Z1.5 F1200"]);
        assert!(lines[at - 4].starts_with("G0 X"), "{}", lines[at - 4]);
    }
    assert_eq!(lines[lines.len() - 4..], ["M5", "G0 Z20", "G92.1", "M2"]);
}

#[test]
fn values_of_a_run_stand_where_a_line_names_them_in_the_program_s_unit() {
    let bench = Bench::new();
    inch_table(&bench);
    let table = fs::read_to_string(bench.path("inch-table.toml")).expect("the table");
    let line = "before_pierce = [\"(run {run} at {x} {y}, {pierce_height} then {cut_height}, {feed})\", \
                \"M3\"]\nheader =";
    bench.write("inch-table.toml", &table.replacen("header =", line, 1));
    bench.write("part.toml", BRACKET);
    bench.done(&["cut", "part.toml", "--program"]);
    let path = bench.path("out/sheets/01-mild-steel-5mm.nc");
    let text = fs::read_to_string(path).expect("a program");
    let lines: Vec<&str> = text.lines().collect();
    let mut seen = 0;
    for (at, line) in lines
        .iter()
        .enumerate()
        .filter(|(_, line)| line.starts_with("(run "))
    {
        seen += 1;
        let back = |letter: char| {
            let to = lines[..at]
                .iter()
                .rfind(|it| it.starts_with("G0 X"))
                .expect("a way");
            let word = to.split(' ').find(|word| word.starts_with(letter));
            word.expect("a word")[1..].to_owned()
        };
        // 3.8 and 1.5 mm in inches, to six places.
        let heights = "0.149606 then 0.059055";
        let starts = format!("(run {seen} at {} {}, {heights}, ", back('X'), back('Y'));
        assert!(line.starts_with(&starts), "{line} is not {starts}");
        let feed: f64 = line[starts.len()..line.len() - 1].parse().expect("a feed");
        let on = lines[at..]
            .iter()
            .find(|it| it.contains(" F"))
            .expect("a cut");
        assert!(on.ends_with(&format!(" F{feed}")), "{on} is not at {feed}");
    }
    assert!(seen > 4, "{text}");
}

#[test]
fn lines_that_a_controller_misreads_are_refused_with_their_remedy() {
    for (key, lines, says) in [
        (
            "before_pierce",
            "[\"M67 E0 Q1\", \"M3\"]",
            "`declared = [\"M67\"]`",
        ),
        (
            "after_run",
            "[\"M5\", \"G91\", \"G0 Z20\"]",
            "write G90 after it",
        ),
        ("header", "[\"G21\"]", "write G20 after it"),
        ("after_pierce", "[\"G4 P{wait}\"]", "no value called `wait`"),
        ("after_pierce", "[\"G4 P{feed\"]", "no value called `feed`"),
    ] {
        let bench = Bench::new();
        inch_table(&bench);
        let table = fs::read_to_string(bench.path("inch-table.toml")).expect("the table");
        let is_other = |line: &&str| !line.starts_with(&format!("{key} ="));
        let table: Vec<&str> = table.lines().filter(is_other).collect();
        let table = table.join("\n") + "\n";
        let wrong = table.replacen("unit =", &format!("{key} = {lines}\nunit ="), 1);
        bench.write("inch-table.toml", &wrong);
        bench.write("part.toml", BRACKET);
        let said = bench.refused(&["cut", "part.toml", "--program"], 1);
        assert!(said.contains(says), "{says}: {said}");
    }
    // What the remedies say is taken.
    let bench = Bench::new();
    inch_table(&bench);
    let table = fs::read_to_string(bench.path("inch-table.toml")).expect("the table");
    let lines = "declared = [\"M67\", \"E\"]\nbefore_pierce = [\"M67 E0 Q1\", \"M3\"]\n\
                 after_run = [\"M5\", \"G91\", \"G0 Z0.5\", \"G90\"]\nunit =";
    bench.write("inch-table.toml", &table.replacen("unit =", lines, 1));
    bench.write("part.toml", BRACKET);
    bench.done(&["cut", "part.toml", "--program"]);
}

#[test]
fn lines_with_a_height_need_it_in_every_row() {
    let bench = Bench::new();
    inch_table(&bench);
    let table = fs::read_to_string(bench.path("inch-table.toml")).expect("the table");
    let lines = "after_pierce = [\"G4 P{pierce_time}\", \"G1 Z{cut_height} F60\"]\nunit =";
    let table = table.replacen("unit =", lines, 1);
    bench.write(
        "inch-table.toml",
        &table.replacen("cut_height = \"1.5 mm\"\n", "", 1),
    );
    bench.write("part.toml", BRACKET);
    let said = bench.refused(&["cut", "part.toml", "--program"], 1);
    assert!(
        said.contains("use {cut_height}, and this row has none"),
        "{said}"
    );
}

#[test]
fn each_run_is_called_by_plate_copy_and_opening() {
    let bench = Bench::new();
    bench.write(
        "part.toml",
        "recipe = \"flange\"\nquantity = 2\nthickness = \"6 mm\"\n",
    );
    bench.done(&["cut", "part.toml", "--program"]);
    let path = bench.path("out/sheets/01-mild-steel-6mm.nc");
    let text = fs::read_to_string(path).expect("a program");
    let numbers: Vec<u32> = [1, 2]
        .into_iter()
        .map(|copy| {
            let copy = format!(", flange copy {copy} of 2, contour ");
            let of_copy = text.lines().filter(|line| line.contains(&copy));
            let of_copy: Vec<&str> = of_copy.collect();
            for ends in [" outside, OUTSIDE)", " bore, INSIDE)"] {
                let found = of_copy.iter().filter(|line| line.ends_with(ends));
                assert_eq!(found.count(), 1, "{text}");
            }
            // One plate, and each of its contours once.
            let after = |line: &str, word: &str| -> u32 {
                let (_, rest) = line.split_once(word).expect("its number");
                let number: String = rest.chars().take_while(char::is_ascii_digit).collect();
                number.parse().expect("a number")
            };
            let mut contours: Vec<u32> = of_copy.iter().map(|it| after(it, "contour ")).collect();
            contours.sort_unstable();
            assert_eq!(contours, (1..=of_copy.len() as u32).collect::<Vec<_>>());
            let plate = after(of_copy[0], ": plate ");
            assert!(of_copy.iter().all(|line| after(line, ": plate ") == plate));
            plate
        })
        .collect();
    assert!(numbers == [1, 2] || numbers == [2, 1], "{numbers:?}");
}

/// After a flame-out at any run of the demo, what is left is cut as it would have been, and the way to it
/// keeps clear of what is cut out, or the program stops first and says so.
#[test]
fn cutting_goes_on_from_any_run_of_the_demo() {
    use platewright::export::{Exporter, Program};
    use platewright::nest::{Budget, Control};
    use platewright::pipeline;
    use platewright::recipe::{Job, Shelf};
    let shelf = Shelf::built_in();
    let job = Job::read(Path::new(&demo()), &shelf).expect("the demo job");
    let drawn = pipeline::draw(&job, &shelf).expect("plates");
    let planned = pipeline::plan(&job, drawn, &Budget::FIRST_LAYOUT, &mut |_| {
        Control::Continue
    });
    let planned = planned.expect("a plan");
    let (mut count, mut stops) = (0, 0);
    for sheet in &planned.sheets {
        let settings = planned.table.settings(&sheet.material, sheet.thickness);
        let settings = settings.expect("its row");
        let from = |from| {
            let program = Program {
                plates: &planned.plates,
                words: &planned.table.program,
                settings: &settings,
                from,
            };
            String::from_utf8(program.export(sheet).expect("a program")).expect("ASCII")
        };
        let whole = from(0);
        let runs = runs_of(&whole);
        for first in 1..runs.len() {
            let text = from(first);
            let machine = read(&text);
            assert_eq!(machine.runs.len(), runs.len() - first);
            let pairs = machine.runs.iter().zip(&runs[first..]);
            for (ours, wanted) in pairs {
                assert_eq!(format!("{ours:?}"), format!("{wanted:?}"));
            }
            // After the way in, line by line the same.
            let mark = format!("({}: plate ", first + 2);
            let rest = |text: &str| text.find(&mark).map(|at| text[at..].to_owned());
            assert_eq!(rest(&text), rest(&whole));
            let cut_out = &sheet.plan.paths[..first];
            let samples = machine.way_in.iter().flat_map(|(from, to)| {
                let steps = (4.0 * from.distance(*to)).ceil().max(1.0) as u32;
                let at = move |k: u32| from.lerp(*to, (f64::from(k) + 0.5) / f64::from(steps));
                (0..steps).map(at)
            });
            let samples: Vec<Point> = samples.collect();
            // So many mm lie over what a run has cut out. One may end and begin at its rim, and what has come
            // out of an opening is smaller than that by the kerf.
            let over = cut_out.iter().map(|(_, path)| {
                let over = samples.iter().filter(|at| {
                    let edge = &path.nominal;
                    edge.encloses(**at) && edge.gap_to_point(**at).distance > settings.kerf
                });
                over.count() as f64 / 4.0
            });
            let over = over.fold(0.0, f64::max);
            assert!(
                over < 5.0 || machine.stopped,
                "run {first}: {over} mm over what is cut out"
            );
            assert_eq!(machine.stopped, text.contains("LEADS OVER WHAT IS CUT OUT"));
            count += 1;
            stops += usize::from(machine.stopped);
        }
    }
    println!("{count} runs to go on with, {stops} of them behind what is cut out");
    assert!(
        count > 50 && stops * 4 < count,
        "{count} runs, {stops} stops"
    );
}

#[test]
fn cutting_goes_on_with_the_sheet_on_the_table_and_no_other() {
    let bench = Bench::new();
    bench.write(
        "part.toml",
        "recipe = \"flange\"\nquantity = 2\nthickness = \"6 mm\"\n",
    );
    let goes_on = ["cut", "part.toml", "--program", "--from"];
    let with = |run| [goes_on[0], goes_on[1], goes_on[2], goes_on[3], run];
    let said = bench.refused(&with("3"), 1);
    assert!(said.contains("there is no program"), "{said}");
    bench.done(&["cut", "part.toml", "--program"]);
    let whole = fs::read(bench.path("out/sheets/01-mild-steel-6mm.nc")).expect("a program");
    bench.done(&with("1/3"));
    let on = bench.path("out/sheets/01-mild-steel-6mm-from-3.nc");
    let text = fs::read_to_string(&on).expect("a program");
    assert!(text.contains("(goes on with run 3 of "), "{text}");
    assert!(text.contains("(3: ") && !text.contains("(2: "), "{text}");
    let again = fs::read(bench.path("out/sheets/01-mild-steel-6mm.nc")).expect("a program");
    assert_eq!(whole, again);
    for (run, says) in [("99", "has no run 99"), ("2/1", "there is no sheet 2")] {
        let said = bench.refused(&with(run), 1);
        assert!(said.contains(says), "{said}");
    }
    bench.refused(&with("0"), 2);
    bench.refused(&["cut", "part.toml", "--from", "3"], 2);
    bench.write(
        "part.toml",
        "recipe = \"flange\"\nquantity = 3\nthickness = \"6 mm\"\n",
    );
    let said = bench.refused(&with("3"), 1);
    assert!(said.contains("is not the program of this layout"), "{said}");
}

#[test]
fn a_program_line_that_no_controller_reads_is_refused() {
    let bench = Bench::new();
    inch_table(&bench);
    let table = fs::read_to_string(bench.path("inch-table.toml")).expect("the table");
    bench.write("inch-table.toml", &table.replace("\"M30\"", "\"M30\\nM2\""));
    bench.write("part.toml", BRACKET);
    let said = bench.refused(&["cut", "part.toml", "--program"], 1);
    assert!(
        said.contains("one line of plain ASCII characters"),
        "{said}"
    );
}

#[test]
fn net_sheets_carry_nominal_contours_without_leads() {
    let bench = Bench::new();
    bench.write("part.toml", "recipe = \"hub-adapter\"\n");
    bench.done(&["cut", "part.toml", "--net", "--out", "out"]);
    let report = fs::read_to_string(bench.path("out/report.json")).expect("report.json");
    let report: Json = serde_json::from_str(&report).expect("JSON");
    assert!(
        report["assumptions"]
            .to_string()
            .contains("without kerf or leads")
    );
    let sheet = report["sheets"][0]["file"].as_str().expect("a file");
    let file = dxf::Drawing::load_file(bench.path("out").join(sheet)).expect("a drawing");
    let plate = report["plates"][0]["file"].as_str().expect("a file");
    let plate = dxf::Drawing::load_file(bench.path("out").join(plate)).expect("a drawing");
    let radii = |file: &dxf::Drawing, only: &[f64]| {
        let mut radii: Vec<f64> = file
            .entities()
            .filter_map(|entity| match &entity.specific {
                EntityType::Circle(circle) => Some((circle.radius * 1e6).round() / 1e6),
                _ => None,
            })
            .filter(|radius| only.is_empty() || only.contains(radius))
            .collect();
        radii.sort_by(f64::total_cmp);
        radii
    };
    // Holes that are cut undersize or marked differ from the plate's drawing on purpose.
    let made: Vec<f64> = report["plates"][0]["openings"]
        .as_array()
        .expect("openings")
        .iter()
        .filter(|opening| opening["made"] == "cut")
        .filter_map(|opening| Some(opening["diameter_mm"].as_f64()? / 2.0))
        .map(|radius| (radius * 1e6).round() / 1e6)
        .collect();
    assert!(!made.is_empty());
    assert_eq!(radii(&file, &made), radii(&plate, &made));
    let open = file.entities().filter(
        |entity| matches!(&entity.specific, EntityType::LwPolyline(chain) if !chain.is_closed()),
    );
    // Scribed letters are open; what is cut is not.
    let open = open.filter(|entity| entity.common.layer != "SCRIBE");
    assert_eq!(open.count(), 0, "no leads");
    let said = bench.refused(&["cut", "part.toml", "--net", "--program"], 2);
    assert!(said.contains("--program"), "{said}");
}

/// Words of RS274/NGC, tables 5 and 7 of its report (NIST IR 6556, 2000); from memory, the report was not
/// at hand.
const G_WORDS: &str = "0 1 2 3 4 10 17 18 19 20 21 28 30 38.2 40 41 42 43 49 53 54 55 56 57 58 59 59.1 \
                       59.2 59.3 61 61.1 64 80 81 82 83 84 85 86 87 88 89 90 91 92 92.1 92.2 92.3 93 94 \
                       98 99";
const M_WORDS: &str = "0 1 2 3 4 5 6 7 8 9 30 48 49 60";
/// Letters of its other words.
const LETTERS: &str = "ABCDFHIJKLNPQRSTXYZ";

/// What a line has besides comments that is no word of the standard.
fn foreign_words(line: &str) -> Vec<String> {
    let mut bare = String::new();
    let mut within = false;
    for c in line.chars().filter(|c| !c.is_whitespace()) {
        match c {
            '(' => within = true,
            ')' => within = false,
            _ if !within => bare.push(c.to_ascii_uppercase()),
            _ => {}
        }
    }
    let mut words: Vec<String> = Vec::new();
    for c in bare.chars() {
        match words.last_mut() {
            Some(word) if !c.is_ascii_alphabetic() => word.push(c),
            _ => words.push(c.to_string()),
        }
    }
    words.retain(|word| {
        let (letter, number) = word.split_at(1);
        let is_number = number.parse::<f64>().is_ok();
        let known = match letter {
            "G" => G_WORDS.split_whitespace().any(|it| it == number),
            "M" => M_WORDS.split_whitespace().any(|it| it == number),
            other => LETTERS.contains(other) && is_number,
        };
        !known
    });
    words
}

#[test]
fn a_word_that_the_standard_lacks_is_told_from_one_that_it_has() {
    for line in [
        "G17 G40",
        "(G91.1 is said here)",
        "G2 X1.5 Y-2 I0 J.5",
        "M30",
    ] {
        assert!(foreign_words(line).is_empty(), "{line}");
    }
    assert_eq!(foreign_words("G90.1 M3 S1"), ["G90.1"]);
    assert_eq!(foreign_words("G91.1"), ["G91.1"]);
    assert_eq!(foreign_words("M67 E0 Q1"), ["M67", "E0"]);
}

#[test]
fn shipped_tables_the_guide_and_the_demos_programs_use_words_of_the_standard_only() {
    use platewright::cut::Table;
    use platewright::fault::Source;
    let guide = include_str!("../../part-recipes/README.md");
    let (_, chapter) = guide.split_once("## A table").expect("a chapter");
    let (_, example) = chapter.split_once("```toml\n").expect("an example");
    let example = example.split_once("```").expect("its end").0.to_owned();
    let mut files = vec![("the guide".to_owned(), example)];
    for file in fs::read_dir("part-recipes/tables").expect("the tables") {
        let path = file.expect("a table").path();
        let text = fs::read_to_string(&path).expect("a table");
        files.push((path.display().to_string(), text));
    }
    assert_eq!(files.len(), 6);
    for (name, text) in files {
        let words = Table::read(&Source::inline(name.clone(), text))
            .expect("sound")
            .program;
        let filled = words
            .run_lines()
            .map(|line| line.filled(|_| "1".to_owned()));
        let lines = words.header.iter().chain(&words.footer).cloned();
        for line in lines.chain(filled) {
            assert!(foreign_words(&line).is_empty(), "{name}: {line}");
        }
    }
    let bench = Bench::new();
    bench.write(
        "part.toml",
        "recipe = \"pedal-bracket\"\nthickness = \"5 mm\"\n",
    );
    bench.done(&["cut", "part.toml", "--program"]);
    let mut programs = 0;
    for file in fs::read_dir(bench.path("out/sheets")).expect("sheets") {
        let path = file.expect("a file").path();
        if path.extension().is_some_and(|it| it == "nc") {
            programs += 1;
            let text = fs::read_to_string(&path).expect("a program");
            for line in text.lines() {
                assert!(foreign_words(line).is_empty(), "{line}");
            }
        }
    }
    assert_eq!(programs, 2, "the bracket and its pedal differ in thickness");
}
