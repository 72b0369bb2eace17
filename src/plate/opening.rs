//! One opening of a plate: what it is for decides how it is made.

use super::Making;
use crate::geometry::Circle;
use crate::recipe::words::{Finish, Purpose};

/// One opening of a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// The step's name in the recipe, for messages and overrides: `hub bolt 3`.
    pub name: String,
    /// What it is for.
    pub purpose: Purpose,
    /// The thread that passes or is tapped, as the builder wrote it.
    pub thread: Option<String>,
    /// How the builder wants it made.
    pub finish: Finish,
    /// The circle, if it is round (nominal, as in the net outline).
    pub circle: Option<Circle>,
    /// How it is made on the table; `None` where no table is chosen that has settings for the plate.
    pub making: Option<Making>,
}

impl Opening {
    /// Its name without the number that tells it from others of that name.
    #[must_use]
    pub fn title(&self) -> &str {
        super::openings::without_number(&self.name)
    }

    /// That number; 0 where it has none.
    #[must_use]
    pub fn number(&self) -> u32 {
        let number = self.name.strip_prefix(self.title());
        number.map_or(0, |it| it.trim().parse().unwrap_or(0))
    }

    /// Whether a name means it: its own, or that of all openings that differ by their number.
    #[must_use]
    pub fn is_called(&self, name: &str) -> bool {
        self.name == name || self.title() == name
    }
}
