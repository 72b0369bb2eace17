//! What a table can do: its settings by material and thickness.

use super::program_words::ProgramWords;
use crate::check::Limits;
use crate::fault::{Fault, nearest};
use crate::plate::{HoleLimits, Plate};
use crate::quantity::format::{decimal, millimetres};
use crate::recipe::Tabs;
use crate::toml_text::words::{Words, words};

pub use crate::trade::thermal::Process;

impl Words for Process {
    const ALL: &'static [(Self, &'static str)] = &[
        (Self::Plasma, "plasma"),
        (Self::Laser, "laser"),
        (Self::OxyFuel, "oxy-fuel"),
    ];
}

/// Which way the gas swirls, seen from above: it makes one side of the cut square, and that side
/// must be the part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Swirl {
    /// The right side of the cut is the good one: outsides are cut clockwise, openings
    /// counter-clockwise.
    #[default]
    Clockwise,
    /// The left side is the good one.
    CounterClockwise,
}

impl Words for Swirl {
    const ALL: &'static [(Self, &'static str)] = &[
        (Self::Clockwise, "clockwise"),
        (Self::CounterClockwise, "counter-clockwise"),
    ];
}

words! {
    /// The form of a lead-in.
    LeadForm {
        /// A straight run and an arc that meets the path at a tangent.
        Arc = "arc",
        /// A straight run onto the path.
        Straight = "straight",
    }
}

words! {
    /// When a torch height control is held, so that it does not dive where the torch slows down.
    HeightControl {
        /// Never: it follows the sheet on every cut, or there is none.
        Follow = "follow",
        /// On small holes.
        HoldInSmallHoles = "hold in small holes",
        /// On every cut.
        Hold = "hold",
    }
}

/// A table's settings file, read.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// What the builder calls it.
    pub title: String,
    /// How it cuts.
    pub process: Process,
    /// Bed size along x and y, mm.
    pub bed: (f64, f64),
    /// The sheet that is cut unless a job says otherwise, along x and y, mm.
    pub sheet: (f64, f64),
    /// Which side of the cut is the good one.
    pub swirl: Swirl,
    /// Speed of moves with the torch off, mm/s.
    pub rapid: f64,
    /// How hard the machine starts and stops, mm/s².
    pub acceleration: f64,
    /// How far the torch goes at least from the end of a run to the next pierce where it can, mm, so
    /// that the heat of one run does not add to that of the next; 0 where only short ways count.
    pub spread_heat: f64,
    /// What an hour of the table costs, in the shop's money.
    pub hour_rate: f64,
    /// What a pierce costs in worn parts, in the shop's money.
    pub pierce_cost: f64,
    /// The holding tabs it leaves; `None` for none.
    pub tabs: Option<Tabs>,
    /// What it wants in its programs beside the moves.
    pub program: ProgramWords,
    /// The current that the nozzle is for which is fitted, A: only its rows are used. `None` for all.
    pub current: Option<f64>,
    /// Rows by material, thickness and current, in the order of the file.
    pub rows: Vec<CutSettings>,
}

/// Settings for one material and thickness.
#[derive(Debug, Clone, PartialEq)]
pub struct CutSettings {
    /// Material as the trade tables name it.
    pub material: String,
    /// Thickness, mm.
    pub thickness: f64,
    /// Current of a plasma source, A; values are never taken between rows of different currents.
    pub current: Option<f64>,
    /// Width of the slot that the torch burns, mm.
    pub kerf: f64,
    /// Feed on contours, mm/s.
    pub feed: f64,
    /// Wait at the pierce, s.
    pub pierce_time: f64,
    /// Height of the torch over the sheet at the pierce, mm, if it is known.
    pub pierce_height: Option<f64>,
    /// Height of the torch over the sheet in the cut, mm, if it is known.
    pub cut_height: Option<f64>,
    /// When the height control is held.
    pub height_control: HeightControl,
    /// Least distance of a pierce from a finished edge, mm.
    pub pierce_clearance: f64,
    /// Lead-in length, mm.
    pub lead_length: f64,
    /// Lead-in form.
    pub lead: LeadForm,
    /// How far an opening is overcut past its start, mm.
    pub overcut: f64,
    /// Diameter below which a hole is a small hole, mm.
    pub small_hole: f64,
    /// Diameter below which a hole is not cut but drilled, mm.
    pub smallest_hole: f64,
    /// Share of the feed used on small holes.
    pub small_hole_feed: f64,
    /// How much smaller in diameter a hole is cut that is drilled or reamed afterwards, mm.
    pub undersize: f64,
}

/// Thicknesses nearer than this, mm, are the same row.
const SAME_THICKNESS: f64 = 1e-6;

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
        match nearest(material, known.iter().copied()) {
            Some(near) => fault.remedy(format!("did you mean \"{near}\"?")),
            None => fault.remedy(format!(
                "it cuts {}; add [[cut]] rows for {material} to its file",
                known.join(", ")
            )),
        }
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
            .position(|row| row.thickness >= thickness - SAME_THICKNESS)?;
        if (rows[above].thickness - thickness).abs() <= SAME_THICKNESS {
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
            && (self.thickness - other.thickness).abs() <= SAME_THICKNESS
    }

    /// The settings at a thickness between this row's and the next one's, in proportion.
    fn towards(&self, next: &Self, thickness: f64) -> Self {
        let share = (thickness - self.thickness) / (next.thickness - self.thickness);
        let between = |value: fn(&Self) -> f64| value(self) + (value(next) - value(self)) * share;
        let height = |value: fn(&Self) -> Option<f64>| {
            let (low, high) = (value(self)?, value(next)?);
            Some(low + (high - low) * share)
        };
        // What is chosen from words comes from the nearer row.
        let nearer = if share < 0.5 { self } else { next };
        Self {
            material: self.material.clone(),
            thickness,
            current: self.current,
            pierce_height: height(|row| row.pierce_height),
            cut_height: height(|row| row.cut_height),
            height_control: nearer.height_control,
            lead: nearer.lead,
            kerf: between(|row| row.kerf),
            feed: between(|row| row.feed),
            pierce_time: between(|row| row.pierce_time),
            pierce_clearance: between(|row| row.pierce_clearance),
            lead_length: between(|row| row.lead_length),
            overcut: between(|row| row.overcut),
            small_hole: between(|row| row.small_hole),
            smallest_hole: between(|row| row.smallest_hole),
            small_hole_feed: between(|row| row.small_hole_feed),
            undersize: between(|row| row.undersize),
        }
    }
}
