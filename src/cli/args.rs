//! Every command and option, defined once: help, man page and completions read this.

use std::path::PathBuf;

use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::fault::Refusal;
use crate::geometry::Point;
use crate::measure::outline::Measured;
use crate::pipeline::Restart;
use crate::quantity::Dimension;
use crate::schema::SchemaOf;
use crate::trade;
use crate::trade::paper::Paper;

/// Papers narrower than this, mm, have no room for scale bars and a title.
const LEAST_PAPER: f64 = 200.0;

/// Caliper measurements to plates that fit, and files that cut right the first time.
#[derive(Debug, Parser)]
#[command(
    name = "platewright",
    version,
    long_version = super::version::long(),
    arg_required_else_help = true,
    propagate_version = true,
    after_help = "Exit codes: 0 done; 1 a recipe, part or plan is refused; 2 wrong usage; 3 a file could not be read or written; 4 Ctrl-C ended the layout search early and the best layout so far was kept; 5 a mistake in the program itself."
)]
pub(super) struct Cli {
    /// Print one JSON object instead of text.
    #[arg(long, global = true)]
    pub json: bool,

    /// When to colour messages.
    #[arg(long, global = true, value_enum, default_value_t = Color::Auto, value_name = "WHEN")]
    pub color: Color,

    #[command(flatten)]
    pub shelf: ShelfArgs,

    #[command(subcommand)]
    pub command: Command,
}

/// Where recipes come from.
#[derive(Debug, Args)]
pub(super) struct ShelfArgs {
    /// Folder with recipes and tables of your own; a file there takes the place of the built-in one
    /// of the same name.
    #[arg(long = "shelf", global = true, value_name = "DIR")]
    pub folder: Option<PathBuf>,
}

/// When to colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Color {
    /// On a terminal, unless `NO_COLOR` is set.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// List what can be made, or the dimensions of one recipe with a picture.
    Recipes(RecipesArgs),
    /// Write a small part file with its dimensions explained.
    Start(StartArgs),
    /// Draw the plates of a part or job and say what the checks find; no cutting.
    Draw(DrawArgs),
    /// Say what the checks find; write nothing.
    Check(CheckArgs),
    /// Why a finding is one: what it looks at, its limit, the limit's source, what happens if ignored.
    #[command(
        after_help = "Examples:\n  platewright explain thin web\n  platewright explain hub-adapter"
    )]
    Explain(ExplainArgs),
    /// What is doubtful in a recipe file that you write: names that nothing uses, rules that nothing breaks.
    #[command(after_help = "Example:\n  platewright lint families/hanger.toml")]
    Lint(LintArgs),
    /// The JSON schema of parts, jobs, recipes or tables, by which an editor completes and checks their keys.
    #[command(after_help = "Example:\n  platewright schema part > part.schema.json")]
    Schema(SchemaArgs),
    /// The main job: sheets to cut, plates, pictures and the report, all into one folder.
    #[command(
        after_help = "Examples:\n  platewright cut orchard-cart.toml --out tonight\n  platewright cut friend.dxf --thickness '6 mm'\n  platewright cut --rectangle 80x40mm --thickness '6 mm' --hole '8.4 mm at 10 mm, 10 mm'"
    )]
    Cut(CutArgs),
    /// Sheets, mass, pierces, time and cost of a job, or how many fit; write nothing.
    #[command(
        after_help = "Examples:\n  platewright estimate orchard-cart.toml\n  platewright estimate flange.toml --as-many-as-fit"
    )]
    Estimate(EstimateArgs),
    /// Print plates in true size on paper, as PDF: one page, or tiles to join.
    #[command(
        after_help = "Examples:\n  platewright paper hub-adapter.toml\n  platewright paper hub-adapter.toml --paper letter --drill"
    )]
    Paper(PaperArgs),
    /// The parts and jobs of a folder in the browser: dimensions to fill in with the plate beside them,
    /// sheets, and the same files as the commands write. Nothing leaves this machine.
    #[command(after_help = "Example:\n  platewright page workshop")]
    Page(PageArgs),
    /// Nest plain outlines from a JSON file on a strip.
    Nest(NestArgs),
    /// Clock a second bolt pattern onto a plate that exists, with a template to drill by.
    #[command(
        after_help = "Examples:\n  platewright redrill hub-adapter.toml --new '5 x 150 mm, M12x1.5'\n  platewright redrill plates/hub.dxf --new '5 on 4-1/2 in, 1/2-20' --thickness 10mm\n  platewright redrill --outside 190mm --bore 60mm --has '4 x 100 mm, M12' --new '5 x 114.3 mm, M12'"
    )]
    Redrill(RedrillArgs),
    /// Caliper readings to pitch circles, radii, wheel patterns and the kerf.
    Measure(MeasureArgs),
    /// A steering linkage over its lock: error against rolling without scrub, best set, over centre.
    #[command(
        after_help = "Example:\n  platewright steering --track 1200mm --wheelbase 1800mm --arm 120mm --lock 35deg"
    )]
    Steering(SteeringArgs),
    /// Work out one expression with units and trade functions.
    #[command(
        after_help = "Examples:\n  platewright reckon '4-1/2 in'\n  platewright reckon 'clearance(\"M10\", \"medium\")'\n  platewright reckon 'chord(5, 114.3 mm)'"
    )]
    Reckon(ReckonArgs),
    /// Print the completions for a shell.
    Completions(CompletionsArgs),
    /// Print the man page.
    Man,
    /// Print the licences of the program and of every library in it.
    #[command(alias = "licenses")]
    Licences,
}

#[derive(Debug, Args)]
pub(super) struct RecipesArgs {
    /// The recipe to explain, or a word to look for; all of them are listed without it.
    pub name: Option<String>,
    /// Write its labelled sketch, every dimension where it is measured: a file that ends in .svg, .pdf
    /// or .png.
    #[arg(long, value_name = "FILE", requires = "name")]
    pub sketch: Option<PathBuf>,
    /// Set a dimension for the sketch, for example --set outside=180mm.
    #[arg(long = "set", value_name = "NAME=VALUE", requires = "sketch")]
    pub set: Vec<String>,
    /// Write all that are listed onto a page, with their pictures: a file that ends in .pdf.
    #[arg(long, value_name = "FILE", conflicts_with = "sketch")]
    pub sheet: Option<PathBuf>,
    /// Write over a file that is already there.
    #[arg(long)]
    pub replace: bool,
}

#[derive(Debug, Args)]
pub(super) struct StartArgs {
    /// The recipe to start from, for example hub-adapter.
    pub recipe: String,
    /// Where to write the part file, with the labelled sketch beside it; `-` for stdout, without
    /// [default: RECIPE.toml].
    #[arg(short, long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Write over a file that is already there.
    #[arg(long)]
    pub replace: bool,
}

/// A part or job file, with dimensions changed on the way, or a drawing.
#[derive(Debug, Args)]
pub(super) struct Input {
    /// A part or job file, or a drawing of plates (.dxf, .svg), which needs --thickness. A plain plate is typed
    /// without one.
    #[arg(value_name = "FILE", required_unless_present = "plain")]
    pub file: Option<PathBuf>,
    #[command(flatten)]
    pub drawing: DrawingArgs,
    #[command(flatten)]
    pub plain: PlainArgs,
    /// Set a dimension of a bare part for this run, for example --set outside=180mm.
    #[arg(long = "set", value_name = "NAME=VALUE")]
    pub set: Vec<String>,
    /// Only the plates of this name; may be given several times.
    #[arg(long, value_name = "PLATE")]
    pub only: Vec<String>,
}

/// A plain plate that is typed.
#[derive(Debug, Args)]
#[command(next_help_heading = "A plain plate in place of a file")]
#[group(skip)]
pub(super) struct PlainArgs {
    /// A rectangle, its width and height, for example 80x40mm; places count from its lower left corner.
    #[arg(long, value_name = "SIZE", group = "plain", conflicts_with = "file")]
    pub rectangle: Option<String>,
    /// A disc of this diameter; places count from its middle.
    #[arg(long, value_name = "LENGTH", group = "plain", conflicts_with = "file")]
    pub disc: Option<String>,
    /// An outline by its corners, 'X, Y; X, Y; X, Y, RADIUS', in order around it.
    #[arg(
        long = "outline",
        value_name = "CORNERS",
        allow_hyphen_values = true,
        group = "plain",
        conflicts_with = "file"
    )]
    pub corners: Option<String>,
    /// Radius of the corners of the rectangle.
    #[arg(long, value_name = "LENGTH", requires = "rectangle")]
    pub corner: Option<String>,
    /// A hole: '8.4 mm at 10 mm, 20 mm', 'M8 at 10 mm, 20 mm' for a bolt to pass, 'bore 20 mm at 0 mm, 0 mm', or
    /// '4 x 9 mm on 60 mm' about the middle of a disc; may be given several times.
    #[arg(long = "hole", value_name = "HOLE", requires = "plain")]
    pub holes: Vec<String>,
}

/// What neither a drawing nor a plain plate says of itself.
#[derive(Debug, Args)]
#[command(next_help_heading = "For a drawing or a plain plate")]
pub(super) struct DrawingArgs {
    /// How thick its plates are, for example "6 mm".
    #[arg(long, value_name = "LENGTH")]
    pub thickness: Option<String>,
    /// What they are of [default: mild steel].
    #[arg(long, value_name = "NAME")]
    pub material: Option<String>,
    /// How many of each [default: 1].
    #[arg(long, value_name = "N")]
    pub quantity: Option<u32>,
    /// How far the ends of short lines may be off the arcs that they stand for; 0 mm takes all as it is drawn
    /// [default: 0.01 mm].
    #[arg(long, value_name = "LENGTH")]
    pub fit: Option<String>,
    #[command(flatten)]
    pub reading: ReadingArgs,
}

/// How a drawing is read.
#[derive(Debug, Args)]
#[command(next_help_heading = "How a drawing is read")]
pub(super) struct ReadingArgs {
    /// What its numbers are in: mm, cm, m, in or ft [default: what it says].
    #[arg(long, value_name = "UNIT")]
    pub unit: Option<String>,
    /// How many times as large as it is drawn the plate is to be [default: 1].
    #[arg(long, value_name = "NUMBER")]
    pub scale: Option<String>,
    /// Ends of lines that are no further apart are joined, up to 2 mm [default: 0.05 mm].
    #[arg(long, value_name = "LENGTH")]
    pub gap: Option<String>,
    /// Only what is on this layer; may be given several times [default: all but marks and centre lines].
    #[arg(long = "layer", value_name = "NAME")]
    pub layers: Vec<String>,
}

#[derive(Debug, Args)]
pub(super) struct ExplainArgs {
    /// The name in brackets of a finding, such as thin web, or a recipe for its rules; all are listed
    /// without it.
    #[arg(value_name = "NAME")]
    pub name: Vec<String>,
}

#[derive(Debug, Args)]
pub(super) struct SchemaArgs {
    /// The kind of file.
    #[arg(value_name = "KIND", value_parser = kinds_of_schema())]
    pub of: SchemaOf,
}

/// The kinds of files that have a schema, by their words.
fn kinds_of_schema() -> impl TypedValueParser<Value = SchemaOf> {
    let words = SchemaOf::ALL.iter().map(|(_, word)| *word);
    PossibleValuesParser::new(words).map(|typed| {
        let mut all = SchemaOf::ALL.iter();
        let found = all.find(|(_, word)| **word == *typed);
        found.map_or(SchemaOf::Part, |(of, _)| *of)
    })
}

#[derive(Debug, Args)]
pub(super) struct LintArgs {
    /// A recipe file.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
}

/// Where files go.
#[derive(Debug, Args)]
pub(super) struct FolderArgs {
    /// Folder to write into. Files of earlier runs there that no longer hold are removed, except
    /// remnants.
    #[arg(short, long, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
    /// Write over files in the way even if this program did not write them, or they were changed since.
    #[arg(long)]
    pub replace: bool,
}

#[derive(Debug, Args)]
pub(super) struct DrawArgs {
    #[command(flatten)]
    pub input: Input,
    #[command(flatten)]
    pub into: FolderArgs,
    #[command(flatten)]
    pub dxf: DxfArgs,
    #[command(flatten)]
    pub pictures: PictureArgs,
    #[command(flatten)]
    pub scribe: ScribeArgs,
    /// Paper of the dimensioned drawings: A4, Letter, or any larger size.
    #[arg(long, default_value = "A4", value_name = "SIZE", value_parser = printable)]
    pub paper: Paper,
}

#[derive(Debug, Args)]
pub(super) struct CheckArgs {
    #[command(flatten)]
    pub input: Input,
    /// Every way a plate may fail: margins with formula, numbers and source, and what is not checked.
    #[arg(long)]
    pub margins: bool,
    /// Tell every finding, however many there are, and the cautions in full.
    #[arg(long)]
    pub all: bool,
}

#[derive(Debug, Args)]
pub(super) struct CutArgs {
    #[command(flatten)]
    pub input: Input,
    #[command(flatten)]
    pub into: FolderArgs,
    /// Also write a program beside each sheet, in the words of RS274/NGC (G20/G21, not ISO 6983).
    #[arg(long, conflicts_with = "net")]
    pub program: bool,
    /// With --program, after a stop: also write a program that goes on with this run, its number as in
    /// its comments; 2/17 is run 17 of the second sheet. The rest of the command as before.
    #[arg(long, requires = "program", value_name = "RUN", value_parser = restart)]
    pub from: Option<Restart>,
    /// Nominal contours on the sheets, without kerf or leads, for a table or service that adds its own.
    #[arg(long)]
    pub net: bool,
    #[command(flatten)]
    pub dxf: DxfArgs,
    #[command(flatten)]
    pub pictures: PictureArgs,
    #[command(flatten)]
    pub scribe: ScribeArgs,
    #[command(flatten)]
    pub search: SearchArgs,
    /// Paper of the drawings and templates: A4, Letter, or any larger size.
    #[arg(long, default_value = "A4", value_name = "SIZE", value_parser = printable)]
    pub paper: Paper,
}

#[derive(Debug, Args)]
pub(super) struct EstimateArgs {
    #[command(flatten)]
    pub input: Input,
    /// How many of the part, or of the job's whole set of plates, the stock takes; one sheet of each
    /// line without a quantity.
    #[arg(long)]
    pub as_many_as_fit: bool,
    /// Tell every plate, bolt and finding, however many there are, and the cautions in full.
    #[arg(long, conflicts_with = "as_many_as_fit")]
    pub all: bool,
    #[command(flatten)]
    pub search: SearchArgs,
}

/// Which DXF to write.
#[derive(Debug, Args)]
pub(super) struct DxfArgs {
    /// DXF release: r2000, or r12 for old tables.
    #[arg(long, value_enum, default_value_t = DxfRelease::R2000, value_name = "RELEASE")]
    pub dxf: DxfRelease,
}

/// What is scribed.
#[derive(Debug, Args)]
pub(super) struct ScribeArgs {
    /// Scribe nothing: no names, no arrows to the upper side, no left or right, no fold ticks, no lines
    /// of the recipe.
    /// Centres to punch stay.
    #[arg(long)]
    pub no_scribe: bool,
}

/// What pictures are written as.
#[derive(Debug, Args)]
pub(super) struct PictureArgs {
    /// Write every picture as PNG too, beside its SVG.
    #[arg(long)]
    pub png: bool,
}

/// A DXF release.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum DxfRelease {
    /// AC1015.
    R2000,
    /// AC1009.
    R12,
}

/// How the sheet layout is searched.
#[derive(Debug, Args)]
pub(super) struct SearchArgs {
    /// Seed of the search: the same seed gives the same files.
    #[arg(long, default_value_t = 0)]
    pub seed: u64,
    /// Stop the layout search after this many seconds.
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    pub seconds: Option<f64>,
}

#[derive(Debug, Args)]
pub(super) struct PaperArgs {
    #[command(flatten)]
    pub input: Input,
    /// Paper in the printer: A4, Letter, or any larger size such as A3 or Tabloid.
    #[arg(long, default_value = "A4", value_name = "SIZE", value_parser = printable)]
    pub paper: Paper,
    /// Only hole centres, to punch through onto a plate that exists.
    #[arg(long)]
    pub drill: bool,
    #[command(flatten)]
    pub into: FolderArgs,
}

#[derive(Debug, Args)]
pub(super) struct PageArgs {
    /// The folder that holds the parts and jobs.
    #[arg(value_name = "FOLDER", default_value = ".")]
    pub folder: PathBuf,
    /// Listen on this port of this machine [default: any that is free].
    #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true)]
    pub port: u16,
    /// Do not open the browser.
    #[arg(long)]
    pub no_open: bool,
    /// Let one phone of the local network in, by an address that is good once: it can look and tick off, and
    /// with --phone=edit all that this machine can.
    #[arg(long, value_enum, value_name = "WHAT", num_args = 0..=1, require_equals = true, default_missing_value = "look")]
    pub phone: Option<PhoneMay>,
}

/// What a phone may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum PhoneMay {
    /// Look and tick off.
    Look,
    /// All that this machine can.
    Edit,
}

#[derive(Debug, Args)]
pub(super) struct NestArgs {
    /// A JSON file of outlines for one strip.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    #[command(flatten)]
    pub search: SearchArgs,
}

#[derive(Debug, Args)]
pub(super) struct RedrillArgs {
    /// The plate: a part or job file, a recipe's name, or a drawing (.dxf, .svg); leave it out to type one.
    #[arg(id = "file", value_name = "PLATE")]
    pub plate: Option<PathBuf>,
    /// The pattern to add: count, pitch circle, and bolt or hole, such as '5 x 114.3 mm, M12x1.5' or
    /// '4 on 4-1/2 in, hole 13 mm'.
    #[arg(long, value_name = "PATTERN")]
    pub new: String,
    /// Fit of the new holes: fine, medium or coarse.
    #[arg(long, default_value = "medium", value_name = "FIT")]
    pub fit: String,
    /// Which plate of a file that makes several.
    #[arg(long = "plate", value_name = "NAME")]
    pub name: Option<String>,
    /// Centre of the new pattern if it is not the bore: 'X, Y' with units.
    #[arg(long, value_name = "X, Y", value_parser = point, allow_hyphen_values = true)]
    pub centre: Option<(f64, f64)>,
    /// Thickness of a plate that is typed or drawn [default: 10mm].
    #[arg(long, value_name = "LENGTH", value_parser = size)]
    pub thickness: Option<f64>,
    /// Typed plate: outside diameter.
    #[arg(long, value_name = "LENGTH", value_parser = size, conflicts_with_all = ["file", "plain"])]
    pub outside: Option<f64>,
    /// Typed plate: bore.
    #[arg(long, value_name = "LENGTH", value_parser = size, requires = "outside")]
    pub bore: Option<f64>,
    /// Typed plate: a pattern that is there, as in --new; `, at 30 deg` may follow. May be repeated.
    #[arg(long, value_name = "PATTERN", requires = "outside")]
    pub has: Vec<String>,
    /// Write the template as PDF too, in true size on this paper: A4, Letter, or any larger size.
    #[arg(long, value_name = "SIZE", value_parser = printable, num_args = 0..=1, default_missing_value = "A4")]
    pub paper: Option<Paper>,
    #[command(flatten)]
    pub plain: PlainArgs,
    #[command(flatten)]
    pub reading: ReadingArgs,
    #[command(flatten)]
    pub into: FolderArgs,
    #[command(flatten)]
    pub pictures: PictureArgs,
}

#[derive(Debug, Args)]
pub(super) struct MeasureArgs {
    #[command(subcommand)]
    pub command: MeasureCommand,
}

/// What to measure.
#[derive(Debug, Subcommand)]
pub(super) enum MeasureCommand {
    /// Pitch circle from the distance between two studs or holes, and which wheel pattern it is.
    #[command(
        after_help = "Examples:\n  platewright measure chord 67.2mm --studs 5\n  platewright measure chord 79.1mm 79.2mm --studs 5 --over 12mm\n  platewright measure chord 79.2mm --studs 5 --and-between 55.2mm"
    )]
    Chord(ChordArgs),
    /// Circle through three points on an arc.
    #[command(
        after_help = "Example:\n  platewright measure points '0 mm, 0 mm' '40 mm, 12 mm' '80 mm, 1 mm'"
    )]
    Points(PointsArgs),
    /// Circle of an arc from a chord and the rise over its middle.
    #[command(after_help = "Example:\n  platewright measure rise --chord 100mm --rise 12.4mm")]
    Rise(RiseArgs),
    /// The outline of a plate from points around it, arcs found by the least squares, with what each misses.
    #[command(
        after_help = "Examples:\n  platewright measure outline '0 mm, 0 mm' '60 mm, 0 mm' 'arc 74.1 mm, 5.9 mm' 'arc 80 mm, 20 mm' 'arc 74.2 mm, 34.1 mm' '60 mm, 40 mm' '0 mm, 40 mm' --write eye.toml --thickness '6 mm'\n  platewright measure outline 'arc 50 mm, 0 mm' 'arc 0 mm, 50.02 mm' 'arc -49.98 mm, 0 mm'"
    )]
    Outline(OutlineArgs),
    /// Kerf from a test piece that was cut (recipe kerf-test), into the table's file when asked.
    #[command(
        after_help = "Example:\n  platewright measure kerf kerf-test.toml --outer 69.8mm --inner 30.2mm --slot 10.2mm --write shop-plasma.toml"
    )]
    Kerf(KerfArgs),
}

#[derive(Debug, Args)]
pub(super) struct KerfArgs {
    /// The part file that the piece was cut from [default: the recipe kerf-test as it comes].
    #[arg(value_name = "PART")]
    pub part: Option<PathBuf>,
    /// The outer square as cut; several readings are averaged. Measure at the middle of the sides.
    #[arg(long, num_args = 1.., value_name = "LENGTH", value_parser = size)]
    pub outer: Vec<f64>,
    /// The side of the inner square as cut.
    #[arg(long, num_args = 1.., value_name = "LENGTH", value_parser = size)]
    pub inner: Vec<f64>,
    /// The width of the slot as cut.
    #[arg(long, num_args = 1.., value_name = "LENGTH", value_parser = size)]
    pub slot: Vec<f64>,
    /// The kerf that the paths were offset for; 0mm if it was cut on net lines [default: the table's].
    #[arg(long, value_name = "LENGTH", value_parser = size_or_none)]
    pub cut_with: Option<f64>,
    /// How far each reading may be off; readings that differ by more than twice that are refused.
    #[arg(long, default_value = "0.05mm", value_name = "LENGTH", value_parser = size)]
    pub within: f64,
    /// Write the kerf into this settings file; a copy of the table's is made if it is not there.
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(super) struct ChordArgs {
    /// The reading; several of the same distance are averaged.
    #[arg(required = true, value_name = "LENGTH", value_parser = size)]
    pub readings: Vec<f64>,
    /// How many studs or holes the circle has.
    #[arg(long, value_name = "COUNT")]
    pub studs: u32,
    /// How many studs lie between the two measured; 0 for neighbours.
    #[arg(long, default_value_t = 0, value_name = "COUNT")]
    pub skipped: u32,
    /// The reading is over the far sides of studs or holes of this diameter.
    #[arg(long, value_name = "DIAMETER", value_parser = size, conflicts_with_all = ["between", "and_between"])]
    pub over: Option<f64>,
    /// The reading is between the near sides of studs or holes of this diameter.
    #[arg(long, value_name = "DIAMETER", value_parser = size, conflicts_with = "and_between")]
    pub between: Option<f64>,
    /// The reading is over the far sides, and this one is between the near sides of the same two; no
    /// stud diameter is needed then.
    #[arg(long, value_name = "LENGTH", value_parser = size)]
    pub and_between: Option<f64>,
    /// How far each reading may be off, nineteen times of twenty; over bare holes a caliper does better
    /// than over the threads of studs.
    #[arg(long, default_value = "0.1mm", value_name = "LENGTH", value_parser = size)]
    pub within: f64,
}

#[derive(Debug, Args)]
pub(super) struct PointsArgs {
    /// Three points on the arc, each 'X, Y' with units.
    #[arg(required = true, num_args = 3, value_name = "X, Y", value_parser = point, allow_hyphen_values = true)]
    pub points: Vec<(f64, f64)>,
    /// How far each coordinate may be off.
    #[arg(long, default_value = "0.05mm", value_name = "LENGTH", value_parser = size)]
    pub within: f64,
}

#[derive(Debug, Args)]
pub(super) struct OutlineArgs {
    /// Points in order around the plate: a corner 'X, Y', one with a radius 'X, Y, RADIUS', or a point on the arc
    /// between two corners 'arc X, Y'. Points on an arc alone make a circle. A corner left of the origin is
    /// 'corner -5 mm, 0 mm'.
    #[arg(required = true, value_name = "POINT", value_parser = measured)]
    pub points: Vec<Measured>,
    /// How far each reading may be off; points on arcs that miss by more are refused.
    #[arg(long, default_value = "0.2mm", value_name = "LENGTH", value_parser = size)]
    pub within: f64,
    /// Write a part file of it.
    #[arg(long, value_name = "FILE", requires = "thickness")]
    pub write: Option<PathBuf>,
    /// How thick the part is, for example "6 mm".
    #[arg(long, value_name = "LENGTH", requires = "write")]
    pub thickness: Option<String>,
    /// Write over a file that is already there.
    #[arg(long, requires = "write")]
    pub replace: bool,
}

#[derive(Debug, Args)]
pub(super) struct RiseArgs {
    /// Straight distance between the two ends.
    #[arg(long, value_name = "LENGTH", value_parser = size)]
    pub chord: f64,
    /// Height of the arc over the middle of the chord.
    #[arg(long, value_name = "LENGTH", value_parser = size)]
    pub rise: f64,
    /// How far each reading may be off.
    #[arg(long, default_value = "0.05mm", value_name = "LENGTH", value_parser = size)]
    pub within: f64,
}

#[derive(Debug, Args)]
pub(super) struct SteeringArgs {
    /// From kingpin to kingpin.
    #[arg(long, value_name = "LENGTH", value_parser = size)]
    pub track: f64,
    /// From front axle to rear axle.
    #[arg(long, value_name = "LENGTH", value_parser = size)]
    pub wheelbase: f64,
    /// Length of the steering arms.
    #[arg(long, value_name = "LENGTH", value_parser = size)]
    pub arm: f64,
    /// Angle of the arms from the fore-and-aft line [default: they point at the middle of the rear axle].
    #[arg(long, value_name = "ANGLE", value_parser = angle, allow_hyphen_values = true)]
    pub set: Option<f64>,
    /// Tie rod between its joints, in place of --set.
    #[arg(long, value_name = "LENGTH", value_parser = size, conflicts_with = "set")]
    pub tie_rod: Option<f64>,
    /// The arms point ahead of the kingpins.
    #[arg(long)]
    pub forward: bool,
    /// Largest angle of the inner wheel.
    #[arg(long, default_value = "35deg", value_name = "ANGLE", value_parser = lock)]
    pub lock: f64,
    #[command(flatten)]
    pub into: FolderArgs,
    #[command(flatten)]
    pub pictures: PictureArgs,
}

#[derive(Debug, Args)]
pub(super) struct ReckonArgs {
    /// The expression, in quotes.
    #[arg(required_unless_present = "functions", allow_hyphen_values = true)]
    pub expression: Option<String>,
    /// List the trade functions, what they take and where their figures come from.
    #[arg(long)]
    pub functions: bool,
}

#[derive(Debug, Args)]
pub(super) struct CompletionsArgs {
    /// The shell.
    pub shell: clap_complete::Shell,
}

/// A length above 0 as an expression, mm.
fn size(text: &str) -> Result<f64, Refusal> {
    let mm = trade::amount(text, Dimension::LENGTH)?;
    if mm > 0.0 && mm.is_finite() {
        Ok(mm)
    } else {
        Err("a length above 0 is needed".into())
    }
}

/// A length of 0 or more as an expression, mm.
fn size_or_none(text: &str) -> Result<f64, Refusal> {
    let mm = trade::amount(text, Dimension::LENGTH)?;
    if mm >= 0.0 && mm.is_finite() {
        Ok(mm)
    } else {
        Err("a length of 0 or more is needed".into())
    }
}

/// Two lengths with a comma between, mm.
fn point(text: &str) -> Result<(f64, f64), Refusal> {
    let (x, y) = text
        .split_once(',')
        .ok_or("write two lengths with a comma between, such as '10 mm, 0 mm'")?;
    let length = |text| trade::amount(text, Dimension::LENGTH);
    Ok((length(x)?, length(y)?))
}

/// A point of an outline, mm.
fn measured(text: &str) -> Result<Measured, Refusal> {
    let wrong = || {
        Refusal::new(format!("\"{text}\" is no point of an outline")).remedy(
            "write 'X, Y' for a corner, 'X, Y, RADIUS' for a rounded one, 'arc X, Y' for a point on an arc",
        )
    };
    let (on_arc, rest) = match text.trim().strip_prefix("arc ") {
        Some(rest) => (true, rest),
        None => (false, text.trim().strip_prefix("corner ").unwrap_or(text)),
    };
    let lengths = rest
        .split(',')
        .map(|it| trade::amount(it, Dimension::LENGTH));
    let lengths = lengths.collect::<Result<Vec<f64>, _>>()?;
    match (on_arc, lengths.as_slice()) {
        (true, [x, y]) => Ok(Measured::OnArc(Point::new(*x, *y))),
        (false, [x, y]) => Ok(Measured::Corner(Point::new(*x, *y), 0.0)),
        (false, [x, y, radius]) if *radius >= 0.0 => {
            Ok(Measured::Corner(Point::new(*x, *y), *radius))
        }
        _ => Err(wrong()),
    }
}

/// An angle short of a quarter turn to either side, radians.
fn angle(text: &str) -> Result<f64, Refusal> {
    let angle = trade::amount(text, Dimension::ANGLE)?;
    if angle.abs() < std::f64::consts::FRAC_PI_2 {
        Ok(angle)
    } else {
        Err("an angle between -90 and 90 deg is needed".into())
    }
}

/// An angle that wheels turn to, radians.
fn lock(text: &str) -> Result<f64, Refusal> {
    match angle(text)? {
        lock if lock >= 1_f64.to_radians() => Ok(lock),
        _ => Err("a lock of 1 deg up to 89 deg is needed".into()),
    }
}

/// Paper that has room for the scale bars both ways.
fn printable(text: &str) -> Result<Paper, Refusal> {
    let paper = *trade::paper::find(text)?;
    if paper.width >= LEAST_PAPER {
        Ok(paper)
    } else {
        let cause = format!("{} is too small for the scale bars", paper.name);
        Err(Refusal::new(cause).remedy("use A4 or larger"))
    }
}

fn seconds(text: &str) -> Result<f64, Refusal> {
    match text.parse::<f64>() {
        Ok(seconds) if (0.0..=86_400.0).contains(&seconds) => Ok(seconds),
        _ => Err("give a number of seconds from 0 to 86400".into()),
    }
}

/// Reads `17` or `2/17`.
fn restart(text: &str) -> Result<Restart, String> {
    let number = |text: &str| match text.parse::<usize>() {
        Ok(number) if number > 0 => Ok(number),
        _ => Err(
            "a run is a number from 1, or that of its sheet, a slash and its own: 2/17".to_owned(),
        ),
    };
    Ok(match text.split_once('/') {
        Some((sheet, run)) => Restart {
            sheet: Some(number(sheet)?),
            run: number(run)?,
        },
        None => Restart {
            sheet: None,
            run: number(text)?,
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_command_line_is_consistent() {
        use clap::CommandFactory;
        Cli::command().debug_assert();
    }
}
