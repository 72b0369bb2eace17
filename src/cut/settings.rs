//! What a table can do: its settings by material and thickness.

use super::keys::{
    self, Amount, Key, Range, SettingKey, SettingValue, Unless, key, keyed, word_of, words_of,
};
use super::program_words::ProgramWords;
use crate::check::Limits;
use crate::fault::Fault;
use crate::geometry::Tolerance;
use crate::plate::{HoleLimits, Plate};
use crate::quantity::Dimension;
use crate::quantity::format::{decimal, millimetres};
use crate::recipe::{CutOrder, Tabs};
use crate::toml_text::words::{Words, words};

pub use crate::trade::thermal::Process;

impl Words for Process {
    const ALL: &'static [(Self, &'static str)] = Self::ALL;
}

words! {
    /// Which way the gas swirls, seen from above: it makes one side of the cut square, and that side
    /// must be the part.
    #[derive(Default)]
    Swirl {
        /// The right side of the cut is the good one: outsides are cut clockwise, openings
        /// counter-clockwise.
        #[default]
        Clockwise = "clockwise",
        /// The left side is the good one.
        CounterClockwise = "counter-clockwise",
    }
}

words! {
    /// The form of a lead-in.
    #[derive(Default)]
    LeadForm {
        /// A straight run and an arc that meets the path at a tangent.
        #[default]
        Arc = "arc",
        /// A straight run onto the path.
        Straight = "straight",
    }
}

words! {
    /// When a torch height control is held, so that it does not dive where the torch slows down.
    #[derive(Default)]
    HeightControl {
        /// Never: it follows the sheet on every cut, or there is none.
        Follow = "follow",
        /// On small holes.
        #[default]
        HoldInSmallHoles = "hold in small holes",
        /// On every cut.
        Hold = "hold",
    }
}

words! {
    /// What is done about a slug that may tip between the slats and catch the torch.
    #[derive(Default)]
    SlugWork {
        /// Nothing.
        #[default]
        Leave = "leave",
        /// It is cut into pieces that fall through.
        CutUp = "cut up",
        /// It is held by tabs.
        Tabs = "tabs",
    }
}

words! {
    /// Whether a cut at the end parts what is left of a sheet from its skeleton.
    #[derive(Default)]
    CutOff {
        /// No.
        #[default]
        No = "no",
        /// Straight across the sheet.
        Straight = "straight",
        /// Along what is used, in steps that leave more than a straight cut does.
        Outline = "outline",
    }
}

words! {
    /// How the torch begins a run in thick plate.
    #[derive(Default)]
    StartFrom {
        /// It pierces.
        #[default]
        Pierce = "pierce",
        /// In a hole that is drilled before.
        Drilled = "drilled",
        /// Outsides at the edge of the sheet or in a slot that is burnt already, where there is one near.
        Edge = "edge",
    }
}

keyed! {
    /// A table's settings file, read.
    Table, TABLE_KEYS, remark about
    {
        /// What the builder calls it.
        title: String = text("\"Shop plasma\"");
        /// How it cuts.
        process: Process = word(Unless::Needed, "\"plasma\"");
        /// Bed size along x and y, mm.
        bed: (f64, f64) = size("[\"1500 mm\", \"3000 mm\"]");
        /// The sheet that is cut unless a job says otherwise, along x and y, mm.
        sheet: (f64, f64) = size("[\"1220 mm\", \"2440 mm\"]");
        /// Which side of the cut is the good one.
        swirl: Swirl = word(Unless::Default, "\"clockwise\"");
        /// Speed of moves with the torch off, mm/s.
        rapid: f64 = number(SPEED, Positive, Unless::Needed, "\"12000 mm/min\"");
        /// How hard the machine starts and stops, mm/s².
        acceleration: f64 = number(ACCELERATION, Positive, Unless::Needed, "\"800 mm/s2\"");
        /// How far the torch goes at least from the end of a run to the next pierce where it can, mm, so
        /// that the heat of one run does not add to that of the next; 0 where only short ways count.
        spread_heat: f64 = number(LENGTH, ZeroUp, Unless::Default, "\"60 mm\"");
        /// By which law the torch goes from run to run.
        order: CutOrder = word(Unless::WorkedOut(usual_order), "\"plate by plate\"");
        /// From the middle of one slat to that of the next, mm, if it is known.
        slats: Option<f64> = number(LENGTH, Positive, Unless::Default, "\"100 mm\"");
        /// What is done about slugs that may tip between the slats.
        slugs: SlugWork = word(Unless::Default, "\"cut up\"");
        /// Whether a last cut parts what is left of a sheet from its skeleton.
        cut_off: CutOff = word(Unless::Default, "\"straight\"");
        /// The heaviest piece of a skeleton, kg: one that is heavier is cut up. `None` for no limit.
        lift: Option<f64> = number(MASS, Positive, Unless::Default, "\"25 kg\"");
        /// What an hour of the table costs, in the shop's money.
        hour_rate: f64 = number(NONE, ZeroUp, Unless::Default, "60");
        /// What a pierce costs in worn parts, in the shop's money.
        pierce_cost: f64 = number(NONE, ZeroUp, Unless::Default, "0.10");
        /// The current that the nozzle is for which is fitted, A: only its rows are used. `None` for all.
        current: Option<f64> = number(NONE, Positive, Unless::Default, "65");
    }
    {
        /// The holding tabs it leaves; `None` for none.
        tabs: Option<Tabs>;
        /// What it wants in its programs beside the moves.
        program: ProgramWords;
        /// Rows by material, thickness and current, in the order of the file.
        rows: Vec<CutSettings>;
    }
}

keyed! {
    /// Settings for one material and thickness.
    CutSettings, ROW_KEYS, remark source
    {
        /// Material as the trade tables name it.
        material: String = text("\"mild steel\"");
        /// Thickness, mm.
        thickness: f64 = number(LENGTH, Positive, Unless::Needed, "\"6 mm\"");
        /// Current of a plasma source, A; values are never taken between rows of different currents.
        current: Option<f64> = number(NONE, Positive, Unless::Default, "45");
        /// Width of the slot that the torch burns, mm.
        kerf: f64 = number(LENGTH, Positive, Unless::Needed, "\"1.6 mm\"");
        /// Feed on contours, mm/s.
        feed: f64 = number(SPEED, Positive, Unless::Needed, "\"2400 mm/min\"");
        /// Wait at the pierce, s.
        pierce_time: f64 = number(TIME, ZeroUp, Unless::Needed, "\"0.5 s\"");
        /// Least distance of a pierce from a finished edge, mm.
        pierce_clearance: f64 = number(LENGTH, ZeroUp, Unless::Needed, "\"5 mm\"");
        /// Lead-in length, mm.
        lead_length: f64 = number(LENGTH, Positive, Unless::Needed, "\"6 mm\"");
        /// Lead-in form.
        lead: LeadForm = word(Unless::Default, "\"arc\"");
        /// Height of the torch over the sheet at the pierce, mm, if it is known.
        pierce_height: Option<f64> = number(LENGTH, Positive, Unless::Default, "\"3.8 mm\"");
        /// Height of the torch over the sheet in the cut, mm, if it is known.
        cut_height: Option<f64> = number(LENGTH, Positive, Unless::Default, "\"1.5 mm\"");
        /// When the height control is held.
        height_control: HeightControl = word(Unless::Default, "\"hold in small holes\"");
        /// How far an opening is overcut past its start, mm.
        overcut: f64 = number(LENGTH, ZeroUp, Unless::Needed, "\"2 mm\"");
        /// Diameter below which a hole is a small hole, mm.
        small_hole: f64 = number(LENGTH, ZeroUp, Unless::Needed, "\"18 mm\"");
        /// Share of the feed used on small holes.
        small_hole_feed: f64 = number(NONE, Share, Unless::Needed, "0.6");
        /// Diameter below which a hole is not cut but drilled, mm.
        smallest_hole: f64 = number(LENGTH, ZeroUp, Unless::Needed, "\"7 mm\"");
        /// How the torch begins a run.
        start: StartFrom = word(Unless::Default, "\"pierce\"");
        /// Diameter of the hole that is drilled where a run begins, mm.
        start_drill: Option<f64> = number(LENGTH, Positive, Unless::Default, "\"8 mm\"");
        /// How far the torch runs on past a sharp corner of an outside before it turns in the scrap and comes back, mm;
        /// `None` where it turns at the corner.
        corner_loop: Option<f64> = number(LENGTH, Positive, Unless::Default, "\"8 mm\"");
        /// Share of the feed near corners; `None` for all of it.
        corner_feed: Option<f64> = number(NONE, Share, Unless::Default, "0.6");
        /// So far before and behind a corner the feed is less, mm.
        corner_reach: f64 = number(LENGTH, Positive, Unless::WorkedOut(usual_reach), "\"12 mm\"");
        /// How much smaller in diameter a hole is cut that is drilled or reamed afterwards, mm.
        undersize: f64 = number(LENGTH, Positive, Unless::WorkedOut(usual_undersize), "\"2 mm\"");
    }
    {}
}

/// The keys of a table's settings file, but for its blocks.
#[must_use]
pub fn table_keys() -> Vec<SettingKey> {
    keys::told(TABLE_KEYS, &Table::blank())
}

/// The keys of a row for one material and thickness.
#[must_use]
pub fn row_keys() -> Vec<SettingKey> {
    keys::told(ROW_KEYS, &CutSettings::blank())
}

/// One plate after another, but where heat is to be spread: there the torch goes on to a cold plate.
fn usual_order(table: &mut Table) {
    table.order = if table.spread_heat > 0.0 {
        CutOrder::Shortest
    } else {
        CutOrder::PlateByPlate
    };
}

/// What a hole to be drilled out or reamed is cut smaller at least, in diameter, where the file does
/// not say: half a millimetre a side takes the hardened skin off. Common practice, no source.
const LEAST_UNDERSIZE: f64 = 1.0;

/// The lag of the arc grows with the thickness: common practice, no source.
fn usual_reach(row: &mut CutSettings) {
    row.corner_reach = row.thickness;
}

fn usual_undersize(row: &mut CutSettings) {
    row.undersize = row.kerf.max(LEAST_UNDERSIZE);
}

impl Table {
    /// The settings for a material and thickness in mm: the table's row, or between two rows of one
    /// current the values in proportion. Where several currents cut that thickness, the one whose rows
    /// come first in the file. Nothing is guessed outside the rows.
    pub fn settings(&self, material: &str, thickness: f64) -> Result<CutSettings, Fault> {
        let fitted = |row: &&CutSettings| self.current.is_none() || row.current == self.current;
        let of_material = |row: &&CutSettings| row.material == material;
        let rows: Vec<&CutSettings> = self.rows.iter().filter(of_material).collect();
        if rows.is_empty() {
            return Err(self.no_such_material(material));
        }
        let rows: Vec<&CutSettings> = rows.into_iter().filter(fitted).collect();
        let mut currents: Vec<Option<f64>> = Vec::new();
        for row in &rows {
            if !currents.contains(&row.current) {
                currents.push(row.current);
            }
        }
        let mut ranges = Vec::new();
        for current in currents {
            let series = Series::of(&rows, current);
            if let Some(found) = series.at(thickness) {
                return Ok(found);
            }
            ranges.push(series.says());
        }
        let cuts = match ranges.as_slice() {
            [] => format!("no {material} with the nozzle that is fitted"),
            ranges => format!("{material} {}", ranges.join(", ")),
        };
        Err(Fault::refused(format!(
            "the table \"{}\" cuts {cuts}, not {}",
            self.title,
            millimetres(thickness)
        ))
        .remedy("choose a thickness in that range, or cut a kerf test piece and add a [[cut]] row"))
    }

    /// What the checks have to know for a plate; `None` if the table has no settings for it.
    #[must_use]
    pub fn limits(&self, plate: &Plate) -> Option<Limits> {
        let settings = self.settings(&plate.material, plate.thickness).ok()?;
        Some(Limits {
            process: self.process,
            kerf: settings.kerf,
            bed: self.bed,
        })
    }

    /// Decides how each opening of a plate is made here, if the table has settings for the plate.
    pub fn decide_making(&self, plate: &mut Plate) {
        if let Ok(settings) = self.settings(&plate.material, plate.thickness) {
            plate.decide_making(&settings.hole_limits(self.process));
        }
    }

    fn no_such_material(&self, material: &str) -> Fault {
        let mut known: Vec<&str> = self.rows.iter().map(|row| row.material.as_str()).collect();
        known.dedup();
        let fault = Fault::refused(format!(
            "the table \"{}\" has no settings for {material}",
            self.title
        ));
        // A material is one of the trade tables: it was not mistyped.
        fault.remedy(format!(
            "it cuts {}; choose one of these, or add [[cut]] rows for {material} to a table of your own",
            known.join(", ")
        ))
    }
}

/// The rows of one material and current, thinnest first.
struct Series<'a>(Vec<&'a CutSettings>);

impl<'a> Series<'a> {
    fn of(rows: &[&'a CutSettings], current: Option<f64>) -> Self {
        let mut rows: Vec<&CutSettings> = rows
            .iter()
            .copied()
            .filter(|row| row.current == current)
            .collect();
        rows.sort_by(|a, b| a.thickness.total_cmp(&b.thickness));
        Self(rows)
    }

    /// The settings at a thickness in mm; `None` outside the rows.
    fn at(&self, thickness: f64) -> Option<CutSettings> {
        let rows = &self.0;
        let above = rows
            .iter()
            .position(|row| row.thickness >= thickness - Tolerance::SAME)?;
        if (rows[above].thickness - thickness).abs() <= Tolerance::SAME {
            return Some(rows[above].clone());
        }
        let below = above.checked_sub(1)?;
        Some(rows[below].towards(rows[above], thickness))
    }

    /// The range of thicknesses in words.
    fn says(&self) -> String {
        let (Some(thinnest), Some(thickest)) = (self.0.first(), self.0.last()) else {
            return String::new();
        };
        let current = thinnest.current.map_or_else(String::new, |current| {
            format!(" at {} A", decimal(current, 1))
        });
        format!(
            "from {} to {}{current}",
            decimal(thinnest.thickness, 3),
            millimetres(thickest.thickness)
        )
    }
}

impl CutSettings {
    /// What decides how holes are made.
    #[must_use]
    pub const fn hole_limits(&self, process: Process) -> HoleLimits {
        HoleLimits {
            process,
            kerf: self.kerf,
            smallest_hole: self.smallest_hole,
            undersize: self.undersize,
        }
    }

    /// Whether this is the row of the same material, thickness and current.
    pub(super) fn is_row_of(&self, other: &Self) -> bool {
        self.material == other.material
            && self.current == other.current
            && (self.thickness - other.thickness).abs() <= Tolerance::SAME
    }

    /// The settings at a thickness between this row's and the next one's.
    fn towards(&self, next: &Self, thickness: f64) -> Self {
        let share = (thickness - self.thickness) / (next.thickness - self.thickness);
        Self {
            thickness,
            ..keys::between(ROW_KEYS, self, next, share)
        }
    }
}
