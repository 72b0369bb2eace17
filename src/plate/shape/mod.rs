//! The shapes that steps add, cut and keep, about their own origins.
//!
//! In: sizes in mm and angles in radians. Out: a [`Region`](crate::geometry::Region) that keeps the
//! promises of a [`Face`](crate::geometry::Face) (outside counter-clockwise, openings clockwise,
//! nothing crosses), with true arcs; or which size is wrong and what is possible. Nothing here panics, whatever the numbers.

pub mod bar;
pub(in crate::plate) mod fitting;
pub mod hull;
pub(in crate::plate) mod joining;
pub(in crate::plate) mod nesting;
pub(in crate::plate) mod outline;
pub mod path;
pub(in crate::plate) mod pen;
pub mod polygon;
pub mod round;
pub mod size;
pub mod teeth;
#[cfg(test)]
mod testing;
pub mod words;

/// What a shape comes to: a region, or what is wrong and what is possible.
pub type Shaped = Result<crate::geometry::Region, crate::fault::Refusal>;

pub use bar::{bar, bow, slot};
pub use hull::hull;
pub use path::path;
pub use polygon::{Corner, polygon, rectangle, regular_polygon};
pub use round::{curved_slot, disc, ring, sector};
pub use teeth::teeth;
pub use words::words;
