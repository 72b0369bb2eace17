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
