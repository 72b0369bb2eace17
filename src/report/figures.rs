//! The figures of a report, as `report.json` has them. Fields are added, never renamed.

use serde::Serialize;

use crate::export::Listed;
use crate::trade::cautions::Caution;

/// The schema of `report.json`.
pub const SCHEMA: u32 = 1;

/// Everything a run comes to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Report {
    /// Version of these fields.
    pub schema: u32,
    /// Version of the program.
    pub platewright: String,
    /// What the builder calls the job.
    pub job: String,
    /// The table it is cut on.
    pub table: String,
    /// Seed of the layout search.
    pub seed: u64,
    /// Each plate once.
    pub plates: Vec<PlateFigures>,
    /// What of them is bolted together, as the job says.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub joints: Vec<JointFigures>,
    /// Each sheet, in cutting order.
    pub sheets: Vec<SheetFigures>,
    /// What found no room.
    pub unplaced: Vec<Unplaced>,
    /// Everything together.
    pub totals: Totals,
    /// What the figures rest on.
    pub assumptions: Vec<String>,
    /// What to mind.
    pub cautions: Vec<Caution>,
    /// The files of the run, with checksums.
    pub files: Vec<Listed>,
}

/// Whether a plate holds.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Holding {
    /// What is nearest its limit, and how much is not checked, in one line.
    pub governing: Option<String>,
    /// What it carries over what is asked of it, the margin nearest its limit first.
    pub margins: Vec<MarginFigures>,
    /// Ways to fail that nothing was worked out for.
    pub not_checked: Vec<NotCheckedFigures>,
}

/// One way to fail: what a plate carries over what is asked of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MarginFigures {
    /// What is looked at.
    pub says: String,
    /// What is asked, with its unit.
    pub load: String,
    /// What it carries, with its unit.
    pub carries: String,
    /// Named values that both rest on, each with its numbers put in.
    pub steps: Vec<String>,
    /// Whether it rests on a strength that no standard guarantees.
    pub typical: bool,
    /// Carried over asked.
    pub margin: f64,
    /// The margin wanted.
    pub wanted: f64,
    /// Whether it is enough.
    pub enough: bool,
    /// The formula in words.
    pub formula: String,
    /// How the load was reckoned, with its numbers put in; empty where it is given.
    pub load_reckoned: String,
    /// How what it carries was reckoned, with its numbers put in; empty where it is given.
    pub carries_reckoned: String,
    /// Where it comes from.
    pub source: String,
    /// What to change where it is not enough; else empty.
    pub remedy: String,
}

/// A way to fail that nothing was worked out for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NotCheckedFigures {
    /// What it is.
    pub says: String,
    /// Why its margin could not be worked out, where its family has a formula for it.
    pub why: Option<String>,
    /// What to look at instead.
    pub look: String,
}

/// Bolts to get, for all copies of a plate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HardwareFigures {
    /// What they are for.
    pub says: String,
    /// Thread.
    pub thread: String,
    /// Class or grade.
    pub class: String,
    /// What is bought: `bolt with a nut`.
    pub fastener: &'static str,
    /// How many for all copies together.
    pub count: u32,
    /// Thickness of what they clamp, of U-bolts all that their legs span, mm.
    pub grip_mm: f64,
    /// Tightening torque, N·m; none for a thread or class without a table and for what is not tightened.
    pub torque_nm: Option<f64>,
    /// Torque over force and diameter that it goes by.
    pub torque_factor: f64,
    /// Washers under heads and nuts, for all copies together.
    pub washers: u32,
    /// What its nut is, if it is no plain one.
    pub nut: Option<String>,
    /// The length to buy, mm; none for a thread without a table.
    pub length_mm: Option<f64>,
    /// The same as it is asked for: `1-1/2 in`.
    pub length: Option<String>,
    /// What that length is: `long, with a nut`.
    pub length_is: &'static str,
}

/// Plates and other things that are bolted together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JointFigures {
    /// What the builder calls it.
    pub name: String,
    /// How many such joints there are.
    pub quantity: u32,
    /// Its plies from one side to the other, with their thickness.
    pub through: Vec<String>,
    /// The bolts of all of them together.
    pub bolts: HardwareFigures,
    /// How surely the bolts go in, in words.
    pub fit: String,
    /// What is to spare where every hole is off to the worst side, mm; below 0 what is wanting.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worst_spare_mm: Option<f64>,
    /// The share of draws in which all bolts go in, percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub goes_together_percent: Option<f64>,
}

/// One plate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlateFigures {
    /// Its name.
    pub name: String,
    /// Its id in its pictures.
    pub id: String,
    /// The family it was made from.
    pub recipe: String,
    /// `left` or `right`, of a pair.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hand: Option<String>,
    /// How many.
    pub quantity: u32,
    /// Material.
    pub material: String,
    /// Thickness, mm.
    pub thickness_mm: f64,
    /// Metal of one, mm².
    pub net_area_mm2: f64,
    /// Mass of one, kg.
    pub mass_kg: f64,
    /// Size along x, mm.
    pub width_mm: f64,
    /// Size along y, mm.
    pub height_mm: f64,
    /// Torch-on runs of one by itself.
    pub pierces: usize,
    /// Torch-on length of one, mm.
    pub cut_length_mm: f64,
    /// Its net drawing.
    pub file: String,
    /// Where x and y of the plate's places count from: the origin of its net drawing.
    pub datum: String,
    /// What is cut out of it.
    pub openings: Vec<OpeningFigures>,
    /// What is drilled, tapped or reamed after cutting.
    pub drill_list: Vec<DrillFigures>,
    /// Where one stays tied to its sheet, or a slug to it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub holding_tabs: Vec<TabFigures>,
    /// Slugs that are cut up where no other plates lie in them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub cut_up_slugs: Vec<SlugFigures>,
    /// Bolts, for all copies together.
    pub hardware: Vec<HardwareFigures>,
    /// Whether it holds.
    #[serde(flatten)]
    pub holding: Holding,
    /// Fold lines.
    pub bends: usize,
    /// Figures that the recipe tells.
    pub figures: Vec<Named>,
    /// The dimensions it was made with.
    pub dimensions: Vec<Named>,
    /// What the checks and rules say.
    pub findings: Vec<FindingFigures>,
}

/// A value with its name, ready to print.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Named {
    /// What it is.
    pub says: String,
    /// Its value.
    pub value: String,
}

/// An opening of a plate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OpeningFigures {
    /// Its name.
    pub name: String,
    /// Its id in the pictures of its plate.
    pub id: String,
    /// What it is for.
    pub purpose: String,
    /// The thread that passes or is tapped.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thread: Option<String>,
    /// Its diameter if it is round, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub diameter_mm: Option<f64>,
    /// Its middle from the plate's datum, mm.
    pub x_mm: f64,
    /// Its middle from the plate's datum, mm.
    pub y_mm: f64,
    /// `cut`, `marked` (centre only) or `undersize`.
    pub made: String,
}

/// Work after cutting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DrillFigures {
    /// The opening.
    pub opening: String,
    /// The finished hole, mm.
    pub diameter_mm: f64,
    /// What to drill or ream with, mm.
    pub drill_mm: f64,
    /// What the table cuts, mm; none if it only marks the centre.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pilot_mm: Option<f64>,
    /// Its middle from the plate's datum, mm.
    pub x_mm: f64,
    /// Its middle from the plate's datum, mm.
    pub y_mm: f64,
    /// The thread to tap.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tap: Option<String>,
    /// What to ream to, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ream_mm: Option<f64>,
    /// What to countersink to, 90 degrees, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub countersink_mm: Option<f64>,
    /// Washer that sits on it: its outside diameter, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub washer_mm: Option<f64>,
    /// What to do, in words.
    pub work: String,
}

/// A holding tab.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TabFigures {
    /// The opening whose slug it holds; none on the outside.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub opening: Option<String>,
    /// Its middle on the finished edge from the plate's datum, mm.
    pub x_mm: f64,
    /// Its middle on the finished edge from the plate's datum, mm.
    pub y_mm: f64,
    /// Width of its metal at the narrowest, mm.
    pub width_mm: f64,
}

/// A slug that is cut up before its opening is cut out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SlugFigures {
    /// The opening.
    pub opening: String,
    /// Runs that it takes.
    pub cuts: usize,
    /// No piece is longer than this from corner to corner, mm.
    pub longest_mm: f64,
}

/// What is cut in the skeleton of a sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SkeletonFigures {
    /// Runs through the skeleton.
    pub cuts: usize,
    /// The mass of each piece that it is cut into, kg, at most.
    pub pieces_kg: Vec<f64>,
    /// The heaviest piece that is wanted, kg.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lift_kg: Option<f64>,
    /// Runs that part what is left from it.
    pub cut_off_runs: usize,
    /// All of that in words.
    pub says: String,
}

/// What cutting edges once for two plates saves.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SharedCutFigures {
    /// Edges that are cut once for two plates.
    pub edges: usize,
    /// Runs that begin in the slot of a neighbour instead of with a pierce.
    pub pierces_saved: usize,
    /// Torch-on length less than with every plate cut all round, mm.
    pub length_saved_mm: f64,
    /// All of that in words.
    pub says: String,
}

/// What a check says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FindingFigures {
    /// Its id in the picture of its plate, if it has a place there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub id: Option<String>,
    /// The check.
    pub check: String,
    /// `refuse`, `warn` or `note`.
    pub level: String,
    /// What was found.
    pub message: String,
    /// What to do.
    pub remedy: String,
    /// Where the limit comes from.
    pub source: String,
    /// Where from the plate's datum, mm, if it has a place.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub x_mm: Option<f64>,
    /// Where from the plate's datum, mm, if it has a place.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub y_mm: Option<f64>,
}

/// One sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SheetFigures {
    /// Its name, as in its files.
    pub name: String,
    /// The stock it comes from.
    pub stock: String,
    /// Material.
    pub material: String,
    /// Thickness, mm.
    pub thickness_mm: f64,
    /// Width of the slot that the torch burns, mm.
    pub kerf_mm: f64,
    /// Size along y, mm.
    pub width_mm: f64,
    /// Size along x, mm.
    pub length_mm: f64,
    /// The side that it is used up along: `x` from the left, or `y` from below.
    pub used_along: &'static str,
    /// How far along that side it is used, mm.
    pub used_length_mm: f64,
    /// What is used of it in words: a strip right across, or a corner, and how large.
    pub used: String,
    /// The corner, along x and along y, mm, where it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub corner_mm: Option<[f64; 2]>,
    /// Net metal of the plates as a share of what is used, percent.
    pub use_percent: f64,
    /// Torch-on runs that begin with a pierce.
    pub pierces: usize,
    /// Torch-on length, mm.
    pub cut_length_mm: f64,
    /// Length of rapid moves, mm.
    pub rapid_length_mm: f64,
    /// Estimated time, s.
    pub time_s: f64,
    /// In which order it is cut.
    pub order: OrderFigures,
    /// Mass of the whole sheet, kg.
    pub mass_kg: f64,
    /// The piece left beyond what is used.
    pub remnant: RemnantFigures,
    /// What is cut in its skeleton.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub skeleton: Option<SkeletonFigures>,
    /// Edges that are cut once for two plates.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shared_cuts: Option<SharedCutFigures>,
    /// Holes to drill before it is cut, for runs to begin in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub starts: Option<StartFigures>,
    /// Its cut-ready drawing.
    pub file: String,
    /// What lies where.
    pub placements: Vec<PlacementFigures>,
    /// Every run in the order of cutting.
    pub runs: Vec<RunFigures>,
}

/// A run of the torch on a sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RunFigures {
    /// Its id in the picture of its sheet.
    pub id: String,
    /// What it cuts.
    pub cuts: String,
    /// How it begins, where that is not with a pierce: `drilled` or `edge`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start: Option<&'static str>,
}

/// How the runs of a sheet begin, where not all of them pierce.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StartFigures {
    /// Holes to drill before the sheet is cut: their middles from the lower left corner of the sheet, mm.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub drilled_mm: Vec<[f64; 2]>,
    /// All of that in words.
    pub says: String,
}

/// By which law the torch goes from run to run, and what that costs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrderFigures {
    /// The law, as a table's file has it.
    pub law: &'static str,
    /// Length of rapid moves that it costs beside the shortest order found, mm.
    pub more_rapid_mm: f64,
    /// Time that it costs, s.
    pub more_time_s: f64,
    /// All of that in words.
    pub says: String,
}

/// What is left of a sheet beyond the used length.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RemnantFigures {
    /// Size along y, mm.
    pub width_mm: f64,
    /// Size along x, mm.
    pub length_mm: f64,
    /// Its area, mm².
    pub area_mm2: f64,
    /// What it is, a rectangle, an L or odd, and the sides of the largest rectangle in it along x and
    /// along y, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub form: Option<&'static str>,
    /// See `form`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub largest_mm: Option<[f64; 2]>,
    /// All of that in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub says: Option<String>,
    /// Its drawing, for the stock of a later job, if it is worth keeping and files were made.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
}

/// One copy of a plate: turn its net drawing about the origin, then move it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlacementFigures {
    /// Its id in the picture of its sheet.
    pub id: String,
    /// The plate.
    pub plate: String,
    /// Which copy, from 1.
    pub copy: u32,
    /// Move along x, mm.
    pub x_mm: f64,
    /// Move along y, mm.
    pub y_mm: f64,
    /// Turn, degrees counter-clockwise.
    pub turn_deg: f64,
    /// The plate and copy whose window it sits in, `NAME/COPY`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inside: Option<String>,
    /// Its place among the plates of the sheet, from 1 in the order in which they come free.
    pub comes_free: usize,
    /// The numbers of its runs on the sheet, from 1 in cutting order: `4 to 9, 12`.
    pub runs: String,
}

/// Copies that found no room.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Unplaced {
    /// The plate.
    pub plate: String,
    /// How many copies.
    pub copies: u32,
}

/// Everything together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Totals {
    /// Sheets used.
    pub sheets: usize,
    /// Torch-on runs that begin with a pierce.
    pub pierces: usize,
    /// Torch-on length, mm.
    pub cut_length_mm: f64,
    /// Length of rapid moves, mm.
    pub rapid_length_mm: f64,
    /// In which order the sheets are cut.
    pub order: OrderFigures,
    /// Edges that are cut once for two plates.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shared_cuts: Option<SharedCutFigures>,
    /// Net mass of the plates placed, kg.
    pub plate_mass_kg: f64,
    /// Mass of the sheets, kg.
    pub sheet_mass_kg: f64,
    /// Mass that is neither plate nor remnant, kg.
    pub scrap_mass_kg: f64,
    /// Mass of the remnants, kg.
    pub remnant_mass_kg: f64,
    /// Net metal as a share of the used lengths, percent.
    pub use_percent: f64,
    /// Estimated time, s.
    pub time_s: f64,
    /// Sheets without a price, which the cost leaves out.
    pub unpriced_sheets: usize,
    /// Sheets with a price, machine time and worn parts, in the shop's money.
    pub cost: f64,
}

impl Report {
    /// `report.json`.
    #[must_use]
    pub fn json(&self) -> String {
        let mut text = serde_json::to_string_pretty(self).expect("figures are finite and plain");
        text.push('\n');
        text
    }
}

/// A figure as the report gives it, to a millionth.
pub(super) fn rounded(value: f64) -> f64 {
    let rounded = (value * 1e6).round() / 1e6;
    // No -0 in the file.
    if rounded == 0.0 { 0.0 } else { rounded }
}
