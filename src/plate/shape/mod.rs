//! The shapes that steps add, cut and keep, about their own origins.
//!
//! In: sizes in mm and angles in radians. Out: a [`Region`](crate::geometry::Region) that keeps the
//! promises of a [`Face`](crate::geometry::Face) (outside counter-clockwise, openings clockwise,
//! nothing crosses), with true arcs; or one sentence that says which size is wrong and what is
//! possible. Nothing here panics, whatever the numbers.

pub mod bar;
mod outline;
pub mod path;
pub mod polygon;
pub mod round;
pub mod size;
pub mod teeth;
#[cfg(test)]
mod testing;
pub mod words;

/// What a shape comes to: a region, or one sentence that says what is wrong and what is possible.
pub type Shaped = Result<crate::geometry::Region, String>;

pub use bar::{bar, bow, slot};
pub use path::path;
pub use polygon::{Corner, polygon, rectangle, regular_polygon};
pub use round::{curved_slot, disc, ring, sector};
pub use teeth::teeth;
pub use words::words;
