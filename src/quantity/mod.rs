//! Numbers with units, and expressions over them.
//!
//! In: text such as `1-5/8 in + 2 * wall`. Out: a [`Value`] in base units (mm, kg, s, rad), or a
//! [`Mistake`] that points at the place. Adding a length to an angle is such a mistake.

pub mod dimension;
mod evaluate;
pub mod expression;
pub mod format;
mod forms;
pub mod function;
pub mod mathematics;
mod mixed;
pub mod parameter;
mod parser;
pub mod rows;
mod token;
mod tree;
pub mod unit;
pub mod value;

pub use dimension::Dimension;
pub use expression::{Expression, Mistake, Nameless, RESERVED, Scope, Use};
pub use function::{Argument, Function, Given};
pub use mathematics::MATHEMATICS;
pub(crate) use mixed::mixed_number;
pub use parameter::{Parameter, Presence, Takes};
pub use rows::Rows;
pub use unit::{UNITS, Unit};
pub use value::{Mismatch, Quantity, Value};
