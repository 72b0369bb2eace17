//! Arc-true plane geometry: lines and circular arcs from the recipe to the file.
//!
//! Lengths are millimetres, angles radians, y points up. A hole is a circle and a fillet an arc;
//! flattening happens only inside a computation that asks for it, with a stated chord tolerance.

mod arrangement;
mod box_room;
pub mod contour;
pub mod crowd;
mod curve;
pub mod flatten;
mod inscribed;
mod intersection;
mod island;
pub mod kernel;
pub mod measure;
mod neck;
mod offset;
mod piece;
mod planar;
pub mod point;
pub mod pose;
mod rectangle;
pub mod region;
mod rotation;
mod run;
pub mod segment;
mod stitching;
mod stretch;
pub mod tolerance;

pub use box_room::{BoxRoom, Clear, Rooms};
pub use contour::{Circle, Contour};
pub use flatten::Side;
pub use kernel::{Proof, Unresolved, arrange, arrange_proved};
pub use measure::Gap;
pub use neck::Neck;
pub(crate) use point::lines_cross;
pub use point::{Bounds, Point, Vector};
pub use pose::Pose;
pub(crate) use rectangle::largest_rectangle;
pub use region::{Face, Region};
pub use segment::{Segment, Turning};
pub use tolerance::Tolerance;
