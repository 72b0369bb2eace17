//! Numbers with units, and expressions over them.
//!
//! In: text such as `1-5/8 in + 2 * wall`. Out: a [`Value`] in base units (mm, kg, s, rad), or a
//! [`Mistake`] that points at the place. Adding a length to an angle is such a mistake.

pub mod dimension;
pub mod expression;
pub mod function;
pub mod value;

pub use dimension::Dimension;
pub use expression::{Expression, Mistake, Scope};
pub use function::{Function, Parameter};
pub use value::{Quantity, Value};
