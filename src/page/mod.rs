//! The page at the bench: the folder's parts and jobs in a browser.
//!
//! In: a [`Request`] and the texts of a folder ([`Bench`]). Out: an [`Answer`]: a page, a piece of one, a
//! picture, or texts to write. [`answer()`] has no clock and no thread, and writes nothing; what it tells
//! is what the commands tell, from the same rooms. [`server`] is a thin shell round it: loopback, the files
//! of the folder, events, and the layout search on a thread of its own. Files are the only state.

pub mod answer;
mod distance;
pub mod document;
mod edit;
mod fields;
mod folder;
mod job;
pub(crate) mod live;
mod part;
pub(crate) mod readings;
pub mod request;
pub mod server;
mod sheets;
mod table;
mod views;

pub use answer::{Answer, Bench, Change, Parts, answer};
pub use document::{Block, checksum};
pub use request::{Patch, Request};
