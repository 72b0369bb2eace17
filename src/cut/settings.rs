//! What a table can do: its settings by material and thickness.

use super::program_words::ProgramWords;
use crate::fault::{Fault, nearest};
use crate::recipe::words::Words;

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
    /// What an hour of the table costs, in the shop's money.
    pub hour_rate: f64,
    /// What a pierce costs in worn parts, in the shop's money.
    pub pierce_cost: f64,
    /// What it wants in its programs beside the moves.
    pub program: ProgramWords,
    /// Rows by material and thickness, in the order of the file.
    pub rows: Vec<CutSettings>,
}

/// Settings for one material and thickness.
#[derive(Debug, Clone, PartialEq)]
pub struct CutSettings {
    /// Material as the trade tables name it.
    pub material: String,
    /// Thickness, mm.
    pub thickness: f64,
    /// Width of the slot that the torch burns, mm.
    pub kerf: f64,
    /// Feed on contours, mm/s.
    pub feed: f64,
    /// Wait at the pierce, s.
    pub pierce_time: f64,
    /// Least distance of a pierce from a finished edge, mm.
    pub pierce_clearance: f64,
    /// Lead-in length, mm.
    pub lead_length: f64,
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
    /// The settings for a material and thickness in mm: the table's row, or between two rows the
    /// values in proportion. Nothing is guessed outside the rows.
    pub fn settings(&self, material: &str, thickness: f64) -> Result<CutSettings, Fault> {
        let mut rows: Vec<&CutSettings> = self
            .rows
            .iter()
            .filter(|row| row.material == material)
            .collect();
        rows.sort_by(|a, b| a.thickness.total_cmp(&b.thickness));
        let (Some(thinnest), Some(thickest)) = (rows.first(), rows.last()) else {
            return Err(self.no_such_material(material));
        };
        let above = rows
            .iter()
            .position(|row| row.thickness >= thickness - SAME_THICKNESS);
        match above {
            Some(i) if (rows[i].thickness - thickness).abs() <= SAME_THICKNESS => {
                Ok(rows[i].clone())
            }
            Some(i) if i > 0 => Ok(rows[i - 1].towards(rows[i], thickness)),
            _ => Err(Fault::refused(format!(
                "the table \"{}\" cuts {material} from {} to {} mm, not {thickness} mm",
                self.title, thinnest.thickness, thickest.thickness
            ))
            .remedy(
                "choose a thickness in that range, or cut a kerf test piece and add a [[cut]] row",
            )),
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

impl CutSettings {
    /// The settings at a thickness between this row's and the next one's, in proportion.
    fn towards(&self, next: &Self, thickness: f64) -> Self {
        let share = (thickness - self.thickness) / (next.thickness - self.thickness);
        let between = |value: fn(&Self) -> f64| value(self) + (value(next) - value(self)) * share;
        Self {
            material: self.material.clone(),
            thickness,
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
