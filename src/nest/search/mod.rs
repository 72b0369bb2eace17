//! The search for shorter strips and fuller sheets.
//!
//! In: shapes that lie without overlap in a room. Out: the same shapes on less length, or with one
//! more among them. The method is that of arXiv:2509.13329, which builds on guided local search with
//! overlap minimisation (Egeblad, Nielsen and Odgaard 2007; Umetani and others 2009; Imamichi, Yagiura and
//! Nagamochi 2009; all of these named from memory): make the room smaller, let shapes overlap, and part
//! them again by moving one after the other to where it overlaps least, pairs that keep overlapping
//! weighing more and more ([`separate`]); when that leads nowhere, swap two large shapes and try again, or
//! begin anew from half a layout ([`strip`], [`perturb`]). To it comes a step of our own that moves all
//! shapes a little at once along straight bounds ([`press`]); it settles in one go what single moves only
//! creep towards.
//!
//! Two workers search at once and take over the better layout at fixed counts of places tried, so
//! that what comes out depends on the seed and the number of steps only, never on the machine.

mod convex;
pub(super) mod insert;
mod pack;
mod perturb;
mod press;
mod reach;
mod seek;
mod separate;
mod shape;
pub(super) mod strip;
pub(super) mod workers;

pub(super) use pack::Pack;
pub(super) use shape::SearchShape;
