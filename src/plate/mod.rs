//! A plate: one flat part, with what each opening is for.

mod beside;
mod construction;
pub mod datum;
pub mod drawing;
pub mod expand;
pub(crate) mod form;
mod holes;
mod known_outlines;
mod load_class;
mod making;
mod mark;
pub mod opening;
mod openings;
mod pieces;
mod placing;
mod proof;
pub mod scribing;
pub mod shape;
mod shaping;
mod steps;
mod wanted;

pub use crate::recipe::words::{AllowedRotation, Finish, Fold, Purpose};
pub use beside::{Beside, Shown, WantedSize};
pub use datum::Datum;
pub use expand::{Expanded, job_plates, plates};
pub(crate) use expand::{outline_steps, plates_known, plates_of_other_outlines, plates_tried};
pub(crate) use known_outlines::{KnownOutlines, OutlineSteps};
pub use load_class::LoadClass;
pub use making::{DrillWork, HoleLimits, Making};
pub use opening::Opening;
pub use scribing::{Scribed, Scribing};
pub use shaping::troubles;

use crate::fault::{Fault, Place};
use crate::geometry::{Contour, Face, Point};
use crate::quantity::format::{decimal, degrees};
pub use crate::recipe::{FIRST_LOOK, Hardware, Margin, NotChecked, StrengthResults};

/// One flat part as it should come out, in its own coordinates (mm, y up).
#[derive(Debug, Clone, PartialEq)]
pub struct Plate {
    /// Unique within a job, safe as a file name: lower-case letters, digits and hyphens.
    pub name: String,
    /// The family it was made from.
    pub recipe: String,
    /// Which of a left and a right it is.
    pub hand: Handed,
    /// How many to cut.
    pub quantity: u32,
    /// Material as the trade tables name it, for example `mild steel`.
    pub material: String,
    /// Thickness, mm.
    pub thickness: f64,
    /// The metal.
    pub face: Face,
    /// What each opening is for, in the order of `face.openings`.
    pub openings: Vec<Opening>,
    /// Stretches of edge that mate with another part: leads keep away. Each is a closed shape whose
    /// edge the mating edge lies on.
    pub mating: Vec<Contour>,
    /// Lines and text to scribe on the face.
    pub marks: Vec<Mark>,
    /// Fold lines.
    pub bends: Vec<Bend>,
    /// How it may be turned on the sheet.
    pub rotation: AllowedRotation,
    /// Topics of the cautions that apply, its metal's among them (keys of the cautions table).
    pub cautions: Vec<String>,
    /// Figures worth telling, such as a pedal ratio: label and value ready to print.
    pub figures: Vec<(String, String)>,
    /// Names and values of the dimensions it was made with, ready to print.
    pub dimensions: Vec<(String, String)>,
    /// What it carries under the loads of its dimensions, and what it is bolted with.
    pub strength: StrengthResults,
    /// What drawings and pictures show beside its edges.
    pub beside: Beside,
    /// Where the part was asked for, for messages.
    pub place: Option<Place>,
}

/// Which of a left and a right a plate is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Handed {
    /// It goes on either side.
    #[default]
    Either,
    /// The left one.
    Left,
    /// The right one.
    Right,
}

impl Handed {
    /// What is scribed and told of it; nothing for a plate that goes on either side.
    #[must_use]
    pub const fn word(self) -> Option<&'static str> {
        match self {
            Self::Either => None,
            Self::Left => Some("LEFT"),
            Self::Right => Some("RIGHT"),
        }
    }
}

/// Something scribed or marked on the face, not cut through.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A straight line.
    Line {
        /// From here, mm.
        from: Point,
        /// To here, mm.
        to: Point,
    },
    /// A circle, for instance a pitch circle.
    Circle {
        /// Its centre, mm.
        centre: Point,
        /// Its diameter, mm.
        diameter: f64,
    },
    /// A centre to punch or drill.
    Centre {
        /// Where, mm.
        at: Point,
    },
    /// Single-stroke text.
    Text {
        /// Lower left corner of the first letter, mm.
        at: Point,
        /// Height of a capital, mm.
        height: f64,
        /// Turn in radians.
        turn: f64,
        /// The words.
        text: String,
    },
}

/// A fold line.
#[derive(Debug, Clone, PartialEq)]
pub struct Bend {
    /// One end of the line, mm.
    pub from: Point,
    /// The other end, mm.
    pub to: Point,
    /// Bend angle (rotation, not the included angle), radians.
    pub angle: f64,
    /// Inside radius, mm.
    pub radius: f64,
    /// Which way.
    pub fold: Fold,
}

impl Bend {
    /// What is done there: `fold up 90°`.
    #[must_use]
    pub fn says(&self) -> String {
        let way = match self.fold {
            Fold::Up => "up",
            Fold::Down => "down",
        };
        format!("fold {way} {}", degrees(self.angle))
    }

    /// The same with its inside radius, in mm: `fold up 90°, R6`.
    #[must_use]
    pub fn label(&self) -> String {
        format!("{}, R{}", self.says(), decimal(self.radius, 2))
    }
}

impl Plate {
    /// Its name, and which of a left and a right it is: `rocker, LEFT`.
    #[must_use]
    pub fn title(&self) -> String {
        match self.hand.word() {
            Some(hand) => format!("{}, {hand}", self.name),
            None => self.name.clone(),
        }
    }

    /// Topics of the cautions that apply to it by itself; [`crate::trade::cautions::applying`] adds those
    /// of what is made of it.
    pub fn topics(&self) -> impl Iterator<Item = &str> {
        self.cautions.iter().map(String::as_str)
    }

    /// The middle of the first opening whose name begins so.
    #[must_use]
    pub fn place_of(&self, name: &str) -> Option<Point> {
        let mut names = self.openings.iter().map(|it| &it.name);
        let index = names.position(|it| it.starts_with(name))?;
        Some(self.middle_of(index))
    }

    /// A fault of this plate, at the line that asks for its part unless it has a place of its own.
    #[must_use]
    pub(crate) fn located(&self, fault: Fault) -> Fault {
        match (&fault.place, &self.place) {
            (None, Some(place)) => fault.at(&place.source, place.span.clone()),
            _ => fault,
        }
    }

    /// Net area of one plate, mm².
    #[must_use]
    pub fn net_area(&self) -> f64 {
        self.face.area()
    }
}
