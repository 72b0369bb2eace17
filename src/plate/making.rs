//! How an opening is made: cut to size, cut undersize for the drill or reamer, or only centre-marked.
//!
//! In: an opening with its purpose, size and the builder's wish, and what the table can do. Out: the
//! [`Making`] that the opening carries from then on. It is decided here and nowhere else: checks, cut
//! paths, drawings and the report read it.

use super::{Finish, LoadClass, Opening, Plate, Purpose};
use crate::geometry::{Circle, Point};
use crate::quantity::format::decimal;
use crate::trade::thermal::Process;
use crate::trade::thread;

/// How an opening is made.
#[derive(Debug, Clone, PartialEq)]
pub enum Making {
    /// Cut to size.
    Cut,
    /// Cut as a smaller circle, then drilled or reamed to size.
    Undersize {
        /// The diameter that the table cuts, mm.
        pilot: f64,
        /// What is done by hand.
        work: DrillWork,
    },
    /// Only its centre is marked by the table; it is drilled from the solid.
    Drilled(DrillWork),
}

/// What is drilled, tapped or reamed by hand.
#[derive(Debug, Clone, PartialEq)]
pub struct DrillWork {
    /// What to drill or ream with, mm (the tap drill of a tapped hole).
    pub drill: f64,
    /// What to do in words: `drill 6.8 mm, tap M8`.
    pub says: String,
}

/// What a table can do with holes in one material and thickness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoleLimits {
    /// How it cuts.
    pub process: Process,
    /// Width of the slot that the torch burns, mm.
    pub kerf: f64,
    /// Diameter below which a hole is not cut but drilled, mm.
    pub smallest_hole: f64,
    /// How much smaller in diameter a hole is cut that is drilled or reamed afterwards, mm.
    pub undersize: f64,
}

impl HoleLimits {
    /// Whether the table cuts a hole of this diameter, mm.
    fn cuts(&self, diameter: f64) -> bool {
        diameter >= self.smallest_hole && diameter > self.kerf
    }
}

impl Plate {
    /// Decides how each opening is made on a table.
    pub fn decide_making(&mut self, limits: &HoleLimits) {
        let loads = self.load_class();
        for opening in &mut self.openings {
            opening.making = Some(opening.made_on(limits, loads));
        }
    }
}

impl Opening {
    /// Only round openings are drilled: reading a part refuses such a wish of others.
    fn made_on(&self, limits: &HoleLimits, loads: LoadClass) -> Making {
        let Some(hole) = self.circle else {
            return Making::Cut;
        };
        match self.finish {
            Finish::Cut => Making::Cut,
            Finish::Drill => Making::Drilled(self.drill_work(hole)),
            Finish::Undersize => self.undersize(hole, limits),
            Finish::ByRule if !limits.cuts(2.0 * hole.radius) => {
                Making::Drilled(self.drill_work(hole))
            }
            Finish::ByRule if is_finished_by_hand(self.purpose, limits.process, loads) => {
                self.undersize(hole, limits)
            }
            Finish::ByRule => Making::Cut,
        }
    }

    /// Cut smaller by the table's allowance; drilled from the solid if that leaves too little to cut.
    fn undersize(&self, hole: Circle, limits: &HoleLimits) -> Making {
        let work = self.drill_work(hole);
        let pilot = hole.radius * 2.0 - limits.undersize;
        if !limits.cuts(pilot) {
            return Making::Drilled(work);
        }
        let says = format!("{} (cut at {})", work.says, size(pilot));
        Making::Undersize {
            pilot,
            work: DrillWork { says, ..work },
        }
    }

    fn drill_work(&self, hole: Circle) -> DrillWork {
        let diameter = hole.radius * 2.0;
        let thread = self.thread.as_deref();
        let thread = thread.and_then(|words| thread::read(words).ok());
        let (drill, says) = match (self.purpose, thread) {
            (Purpose::Tapped, Some(thread)) => {
                let words = format!("drill {}, tap {}", thread.drill, thread.name());
                (thread.drill.diameter(), words)
            }
            (Purpose::Pin, _) => (diameter, format!("drill and ream to {}", size(diameter))),
            (Purpose::Bore, _) => (diameter, format!("drill or bore to {}", size(diameter))),
            _ => (diameter, format!("drill {}", size(diameter))),
        };
        DrillWork { drill, says }
    }

    /// What is drilled or reamed, if anything is.
    #[must_use]
    pub const fn drilling(&self) -> Option<&DrillWork> {
        match &self.making {
            Some(Making::Undersize { work, .. } | Making::Drilled(work)) => Some(work),
            Some(Making::Cut) | None => None,
        }
    }

    /// Whether the table only marks its centre.
    #[must_use]
    pub const fn is_only_marked(&self) -> bool {
        matches!(self.making, Some(Making::Drilled(_)))
    }

    /// The centre to mark for the drill, if the table only marks it.
    #[must_use]
    pub fn marked_centre(&self) -> Option<Point> {
        let hole = self.circle.filter(|_| self.is_only_marked())?;
        Some(hole.centre)
    }

    /// The diameter that is cut for the drill or reamer, mm.
    #[must_use]
    pub const fn pilot(&self) -> Option<f64> {
        match self.making {
            Some(Making::Undersize { pilot, .. }) => Some(pilot),
            _ => None,
        }
    }

    /// The circle that the table cuts, if it cuts one: the nominal one, or a smaller one.
    #[must_use]
    pub fn cut_circle(&self) -> Option<Circle> {
        let hole = self.circle?;
        match self.making {
            Some(Making::Drilled(_)) => None,
            Some(Making::Undersize { pilot, .. }) => Some(Circle {
                radius: pilot / 2.0,
                ..hole
            }),
            Some(Making::Cut) | None => Some(hole),
        }
    }

    /// What is done to it by hand once the sheet is cut, in words; `None` if it is used as it comes
    /// off the table.
    #[must_use]
    pub fn hand_work(&self) -> Option<String> {
        match (self.drilling(), &self.thread) {
            (Some(work), _) => Some(work.says.clone()),
            (None, Some(thread)) if self.purpose == Purpose::Tapped => {
                Some(format!("tap {thread} (cut to size)"))
            }
            (None, _) => None,
        }
    }
}

impl Making {
    /// In one word, as the report has it.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Cut => "cut",
            Self::Undersize { .. } => "undersize",
            Self::Drilled(_) => "marked",
        }
    }
}

/// Whether a hole of this purpose is not used as cut: a pin wants a reamed hole, a tap wants metal that
/// the torch has not hardened, and a bolt under changing loads a hole without notches. Common practice.
fn is_finished_by_hand(purpose: Purpose, process: Process, loads: LoadClass) -> bool {
    match purpose {
        Purpose::Pin => true,
        Purpose::Tapped => process.edges_need_drilling(),
        Purpose::Bolt => loads == LoadClass::Cyclic,
        Purpose::Bore | Purpose::Opening | Purpose::TabSlot | Purpose::Slot | Purpose::Window => {
            false
        }
    }
}

/// A drill size in mm without trailing zeros.
fn size(mm: f64) -> String {
    format!("{} mm", decimal(mm, 2))
}
