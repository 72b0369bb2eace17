//! How much a recipe or job may ask for: far above real use, low enough that a slip of the keyboard
//! is a message and not an afternoon's wait: `benches/limits/measure.py` measures how long each takes.

use crate::fault::Refusal;

/// The refusal of more than is possible of something in one of what may be made several.
pub(crate) fn beyond(most: usize, what: &str, several: &str) -> Refusal {
    Refusal::new(format!("no more than {most} {what} are possible")).remedy(format!(
        "leave some of them out, or make several {several} of it"
    ))
}

/// Dimensions of a family.
pub const DIMENSIONS: usize = 200;
/// Named values in `[let]`.
pub const LETS: usize = 500;
/// Lookup tables of a family.
pub const TABLES: usize = 50;
/// Rows of a lookup table or of a list.
pub const ROWS: usize = 200;
/// Columns of a lookup table or of a list.
pub const COLUMNS: usize = 20;
/// Named shapes of a family.
pub const SHAPES: usize = 50;
/// Joints of a family.
pub const JOINTS: usize = 50;
/// Tabs of a joint.
pub const TABS: u32 = 100;
/// Plates of a family.
pub const PLATES: usize = 50;
/// Steps of a plate.
pub const STEPS: usize = 500;
/// Named points of a plate.
pub const POINTS: usize = 500;
/// Corners of a polygon.
pub const CORNERS: usize = 2_000;
/// Discs of a hull.
pub const DISCS: usize = 200;
/// Copies of one step.
pub const COPIES: u32 = 2_000;
/// Copies of all steps of a plate.
pub const ALL_COPIES: usize = 5_000;
/// Teeth of a chain wheel, sides of a polygon.
pub const TEETH: u32 = 500;
/// Parts of a job.
pub const PARTS: usize = 200;
/// Stock lines of a job.
pub const STOCK: usize = 100;
/// Copies of one part or plate, and of all plates of a job.
pub const QUANTITY: u32 = 1_000;
/// Copies of all outlines of a strip.
pub const OUTLINES: u32 = 20_000;
/// Corners of all different outlines of a strip, with their windows.
pub const OUTLINE_CORNERS: usize = 20_000;
/// Sheets of a job.
pub const SHEETS: usize = 250;
/// Joints of a job.
pub const BOLTED: usize = 50;
/// Plies of a joint of a job.
pub const PLIES: usize = 6;
/// Bolts of a joint of a job.
pub const BOLTS: usize = 36;
/// Characters of a plate's name.
pub const NAME: usize = 60;
