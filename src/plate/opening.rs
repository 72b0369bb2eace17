//! What an opening is for decides how it is cut and what is done to it afterwards.

use crate::geometry::Circle;

/// What an opening is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Purpose {
    /// A round hole that centres on a hub or shaft.
    Bore,
    /// A clearance hole for a bolt.
    Bolt,
    /// A hole to be tapped.
    Tapped,
    /// A hole for a pin or bush, reamed to size.
    Pin,
    /// A slotted hole for adjustment.
    Slot,
    /// An opening to save weight or make room.
    Window,
}

impl Purpose {
    /// Every purpose with its word in recipes and reports.
    pub const ALL: [(Self, &'static str); 6] = [
        (Self::Bore, "bore"),
        (Self::Bolt, "bolt"),
        (Self::Tapped, "tapped"),
        (Self::Pin, "pin"),
        (Self::Slot, "slot"),
        (Self::Window, "window"),
    ];

    /// Its word in recipes and reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(purpose, _)| *purpose == self)
            .map_or("window", |(_, word)| word)
    }
}

/// How the builder wants an opening made, where the recipe or the job says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Finish {
    /// By the table's rules for its purpose and size.
    #[default]
    ByRule,
    /// Cut to size on the table.
    Cut,
    /// Only centre-marked on the table, then drilled.
    Drill,
    /// Cut undersize on the table, then drilled or reamed to size.
    Undersize,
}

/// One opening of a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// The step's name in the recipe, for messages and overrides: `hub bolt 3`.
    pub name: String,
    /// What it is for.
    pub purpose: Purpose,
    /// The thread that passes or is tapped, as the builder wrote it.
    pub thread: Option<String>,
    /// How it is to be made.
    pub finish: Finish,
    /// The circle, if it is round (nominal, as in the net outline).
    pub circle: Option<Circle>,
}
