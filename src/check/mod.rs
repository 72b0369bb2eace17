//! Can it be cut, will it hold: findings with remedies.

pub use crate::finding::{Finding, Level};
