//! What a run comes to: totals, sheets, plates; and how they are told.
//!
//! In: everything a run made ([`Run`]). Out: a [`Report`] of plain figures, and its faces: JSON, a
//! page, a cut list, a terminal summary. The figures are the same in all of them.

pub mod brief;
mod build;
pub mod cut_list;
pub mod figures;
pub mod holding;
mod order;
pub mod page;
pub mod rows;
mod shared;
mod skeleton;
mod starts;
pub mod terminal;
pub mod words;

pub use build::Run;
pub use figures::Report;
