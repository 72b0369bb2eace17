//! What a table can do: its settings file, by material and thickness.

/// How the table cuts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Process {
    /// Plasma torch.
    Plasma,
    /// Laser.
    Laser,
    /// Oxy-fuel torch.
    OxyFuel,
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
    /// Rows by material and thickness.
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
    /// How far a round hole is overcut past its start, mm.
    pub overcut: f64,
    /// Diameter below which a hole is a small hole, mm.
    pub small_hole: f64,
    /// Diameter below which a hole is not cut but drilled, mm.
    pub smallest_hole: f64,
    /// Share of the feed used on small holes.
    pub small_hole_feed: f64,
}
